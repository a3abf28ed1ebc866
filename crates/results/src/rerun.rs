//! What a rerun says: whether the results of a folder come out again to the last byte, and if not, where they differ first
//! and why that may be.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::difference::Difference;
use crate::examine::{Examined, FileState, FolderFault};
use crate::manifest::Provenance;
use crate::seal::Seal;

/// How a rerun ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RerunVerdict {
    /// Every byte that was compared is the same, but for the versions that wrote them.
    Identical,
    /// Of a study: every value of a sample of rows is the same.
    SampleIdentical,
    /// Other numbers were computed, all within the tolerances that were asked for.
    WithinTolerance,
    /// Every file is as written, and other results were computed.
    Differs,
    /// A file was changed since it was written.
    Tampered,
    /// A file is shorter than it was written.
    CutShort,
    /// A file is missing.
    MissingFile,
    /// Another version of the format, or other results of another version of the model.
    ForeignVersion,
    /// No results that can be looked at.
    NoResults,
    /// The results could not be computed again.
    NotComputed,
}

/// What a rerun says of a folder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RerunReport {
    /// The folder as it was given.
    pub folder: String,
    /// How it ended.
    pub verdict: RerunVerdict,
    /// One plain sentence.
    pub sentence: String,
    /// Where folder (first) and computation (second) differ first; null where nothing was computed or nothing differs.
    pub first_difference: Option<Difference>,
    /// Why that may be, likeliest first.
    pub reasons: Vec<String>,
    /// Files of the folder.
    pub files: Vec<RerunFile>,
    /// Every value that differs, as far as the files can be compared value by value; those that name versions are left out.
    pub differences: Vec<String>,
    /// Rows of a study that were computed again, and rows it has.
    pub rows: Option<[u64; 2]>,
    /// How the rows were drawn; null where all of them were computed.
    pub sample: Option<RowSample>,
    /// Seals of the folder.
    pub seals: Vec<Seal>,
    /// SHA-256 of the manifest.
    pub anchor: Option<String>,
    /// What a reader should know besides.
    pub remarks: Vec<String>,
    /// What wrote the folder.
    pub written_by: Option<Provenance>,
    /// What computed it again.
    pub computed_by: Option<Provenance>,
}

/// A sample of a study's rows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RowSample {
    /// The number that the rows were drawn by.
    pub number: u64,
    /// How likely the sample would have held at least one of so many forged rows.
    pub would_have_seen: Vec<(u64, f64)>,
}

impl RowSample {
    /// Of `drawn` rows out of `rows`.
    pub fn new(number: u64, drawn: u64, rows: u64) -> Self {
        let mut forged = vec![1, 2, 5, 10, rows.div_ceil(100), rows.div_ceil(20)];
        forged.retain(|k| (1..=rows).contains(k));
        forged.sort_unstable();
        forged.dedup();
        Self {
            number,
            would_have_seen: forged
                .into_iter()
                .map(|k| (k, chance(k, drawn, rows)))
                .collect(),
        }
    }
}

impl RowSample {
    /// One plain sentence.
    pub fn sentence(&self) -> String {
        let chances: Vec<String> = (self.would_have_seen.iter())
            .map(|(k, p)| format!("of {k} forged rows {:.1} %", 100.0 * p))
            .collect();
        format!(
            "the rows were drawn by the number {} (--number {}); a sample of this size holds at least one {}; --all compares every row and every byte",
            self.number,
            self.number,
            chances.join(", ")
        )
    }
}

/// Probability that `drawn` of `rows`, without putting back, hold at least one of `forged`:
/// 1 - product over i < k of (N - n - i) / (N - i).
fn chance(forged: u64, drawn: u64, rows: u64) -> f64 {
    let none = (0..forged).map(|i| {
        let left = rows.saturating_sub(drawn).saturating_sub(i);
        left as f64 / (rows - i) as f64
    });
    1.0 - none.product::<f64>()
}

/// A file of the folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RerunFile {
    /// Name, with forward slashes.
    pub name: String,
    /// Against its checksum: `whole`, `changed`, `cut short` or `missing`.
    pub state: String,
    /// Whether it came out again byte for byte; null where it was not compared.
    pub equal: Option<bool>,
}

/// One file computed again: its first difference, if any.
#[derive(Debug, Clone, PartialEq)]
pub struct Recomputed {
    /// Name.
    pub name: String,
    /// First difference.
    pub difference: Option<Difference>,
}

impl RerunReport {
    /// Of a folder that cannot be looked at.
    pub fn of_fault(folder: &str, fault: &FolderFault) -> Self {
        let verdict = match fault {
            FolderFault::NotThere
            | FolderFault::NoResults(_)
            | FolderFault::OpenStudy
            | FolderFault::Io(_) => RerunVerdict::NoResults,
            FolderFault::ManifestCut(_) => RerunVerdict::CutShort,
            FolderFault::ManifestChanged(_) => RerunVerdict::Tampered,
            FolderFault::ForeignFormat { .. } => RerunVerdict::ForeignVersion,
        };
        Self::bare(folder, verdict, format!("{fault}; nothing was computed"))
    }

    /// With nothing but a sentence.
    pub fn bare(folder: &str, verdict: RerunVerdict, sentence: String) -> Self {
        Self {
            folder: folder.to_owned(),
            verdict,
            sentence,
            first_difference: None,
            reasons: Vec::new(),
            files: Vec::new(),
            differences: Vec::new(),
            rows: None,
            sample: None,
            seals: Vec::new(),
            anchor: None,
            remarks: Vec::new(),
            written_by: None,
            computed_by: None,
        }
    }

    /// Of a folder whose input is not what it was, so that nothing was computed; none where the input stands.
    pub fn of_input(folder: &str, looked_at: &Examined, input: &str) -> Option<Self> {
        let (verdict, sentence) = match looked_at.state_of(input) {
            None => return None,
            Some(FileState::Missing) => (
                RerunVerdict::MissingFile,
                format!("`{input}` is missing; without it nothing can be computed"),
            ),
            Some(FileState::CutShort) => (
                RerunVerdict::CutShort,
                format!("`{input}` is cut short; nothing was computed"),
            ),
            Some(FileState::Changed) => (
                RerunVerdict::Tampered,
                format!(
                    "`{input}` was changed since the results were written: its checksum is not that of the manifest; \
                     nothing was computed"
                ),
            ),
            Some(FileState::Whole) if !looked_at.input_fits => (
                RerunVerdict::Tampered,
                format!(
                    "`{input}` is not the input that the manifest names: file and manifest were changed; nothing was \
                     computed"
                ),
            ),
            Some(FileState::Whole) => return None,
        };
        let mut report = Self::bare(folder, verdict, sentence);
        report.take_files(looked_at, &[]);
        report.written_by = Some(looked_at.manifest.provenance());
        Some(report)
    }

    /// Of a folder whose files, in the order of their weight, were computed again.
    pub fn of_files(
        folder: &str,
        looked_at: &Examined,
        here: &Provenance,
        again: &[Recomputed],
    ) -> Self {
        let there = looked_at.manifest.provenance();
        let first = again.iter().find_map(|r| r.difference.clone());
        let [changed, cut, missing] = [FileState::Changed, FileState::CutShort, FileState::Missing]
            .map(|state| looked_at.in_state(state));
        let of = |names: &[&str]| -> Option<Difference> {
            let found = again.iter().filter(|r| names.contains(&r.name.as_str()));
            found.filter_map(|r| r.difference.clone()).next()
        };
        let values = |d: &Difference| {
            let or = |v: &Option<String>| v.clone().unwrap_or_else(|| "nothing".to_owned());
            format!(
                "{}: {} in the folder, {} computed",
                d.place,
                or(&d.first),
                or(&d.second)
            )
        };
        let (verdict, sentence, shown) = if !changed.is_empty() {
            let shown = of(&changed);
            let what = match &shown {
                Some(d) => format!("; `{}`, {}", d.file, values(d)),
                None => "; its content is what is computed, so the manifest was changed".to_owned(),
            };
            let sentence = format!(
                "{} changed since it was written{what}",
                listed(&changed, "was")
            );
            (RerunVerdict::Tampered, sentence, shown)
        } else if !cut.is_empty() {
            let shown = of(&cut);
            let what = match &shown {
                Some(d) => format!(
                    "; `{}` ends early, the first difference is {}",
                    d.file,
                    values(d)
                ),
                None => String::new(),
            };
            let sentence = format!("{} cut short{what}", listed(&cut, "is"));
            (RerunVerdict::CutShort, sentence, shown)
        } else if let Some(d) = &first {
            let verdict = if there.model_version == here.model_version {
                RerunVerdict::Differs
            } else {
                RerunVerdict::ForeignVersion
            };
            let sentence = format!("the first difference is in `{}`, {}", d.file, values(d));
            (verdict, sentence, first.clone())
        } else if !missing.is_empty() {
            let sentence = format!(
                "{} missing; what is there is identical",
                listed(&missing, "is")
            );
            (RerunVerdict::MissingFile, sentence, None)
        } else {
            let bytes: u64 = looked_at.files.iter().map(|f| f.0.bytes).sum();
            let sentence = format!(
                "identical: {} files, {bytes} bytes, every one the same",
                looked_at.files.len()
            );
            (RerunVerdict::Identical, sentence, None)
        };
        let mut report = Self::bare(folder, verdict, sentence);
        report.reasons = match &shown {
            Some(d) => reasons(&there, here, looked_at.state_of(&d.file)),
            None => Vec::new(),
        };
        report.first_difference = shown;
        if !missing.is_empty() && verdict != RerunVerdict::MissingFile {
            let more = format!("{} missing besides", listed(&missing, "is"));
            report.remarks.push(more);
        }
        report.take_files(looked_at, again);
        report.written_by = Some(there);
        report.computed_by = Some(here.clone());
        report
    }

    /// Lists the files and what no run wrote.
    pub fn take_files(&mut self, looked_at: &Examined, again: &[Recomputed]) {
        self.files = (looked_at.files.iter())
            .map(|(entry, state)| RerunFile {
                name: entry.name.clone(),
                state: state.word().to_owned(),
                equal: (again.iter().find(|r| r.name == entry.name))
                    .map(|r| r.difference.is_none()),
            })
            .collect();
        if !looked_at.strangers.is_empty() {
            let names: Vec<&str> = looked_at.strangers.iter().map(String::as_str).collect();
            let sentence = format!("{} in the folder, which no run wrote", listed(&names, "is"));
            self.remarks.push(sentence);
        }
        if !looked_at.links.is_empty() {
            let names: Vec<&str> = looked_at.links.iter().map(String::as_str).collect();
            let sentence = format!(
                "{} a link: what it points to may change",
                listed(&names, "is")
            );
            self.remarks.push(sentence);
        }
    }
}

/// Why the same input may give other results, likeliest first. `state` is that of the file that differs.
pub fn reasons(there: &Provenance, here: &Provenance, state: Option<FileState>) -> Vec<String> {
    let mut reasons = Vec::new();
    match state {
        Some(FileState::Changed) => {
            reasons.push("edited file: its checksum is not that of the manifest".to_owned());
        }
        Some(FileState::CutShort) => reasons.push(
            "cut file: it is shorter than the manifest says, as after a copy that broke off"
                .to_owned(),
        ),
        _ => {}
    }
    let mut other = |what: &str, a: &str, b: &str| {
        if a != b {
            reasons.push(format!("{what}: {a} there, {b} here"));
        }
    };
    let number = |p: &Provenance| p.model_version.to_string();
    let features = |p: &Provenance| match p.features.as_slice() {
        [] => "none".to_owned(),
        list => list.join(" "),
    };
    other("model version", &number(there), &number(here));
    other("program version", &there.version, &here.version);
    other("build features", &features(there), &features(here));
    other("platform", &there.platform, &here.platform);
    other("build profile", &there.profile, &here.profile);
    if reasons.is_empty() {
        reasons.push(
            "checksums, versions, features, platform and profile all fit: either a file was edited together with the \
             manifest, or this build was changed without a new version, or the machine does not compute alike"
                .to_owned(),
        );
    }
    reasons
}

/// `a.json was`, `a.json and b.csv were`, `a.json and 3 more files were`.
fn listed(names: &[&str], verb: &str) -> String {
    let plural = if verb == "was" { "were" } else { "are" };
    let shown = |name: &str| format!("`{}`", crate::json_tree::shortened(name).escape_debug());
    match names {
        [] => String::new(),
        [one] => format!("{} {verb}", shown(one)),
        [one, two] => format!("{} and {} {plural}", shown(one), shown(two)),
        [one, rest @ ..] => format!("{} and {} more files {plural}", shown(one), rest.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn provenance() -> Provenance {
        Provenance::of("input", &[])
    }

    #[test]
    fn reasons_name_what_is_another() {
        let here = provenance();
        let fits = reasons(&here, &here, Some(FileState::Whole));
        assert!(
            fits.len() == 1 && fits[0].starts_with("checksums, versions"),
            "{fits:?}"
        );
        let mut there = provenance();
        there.model_version = 1;
        there.platform = "plan9-mips".to_owned();
        there.features = vec!["x".to_owned()];
        let found = reasons(&there, &here, Some(FileState::Changed));
        let heads: Vec<&str> = found.iter().map(|r| r.split(':').next().unwrap()).collect();
        assert_eq!(
            heads,
            ["edited file", "model version", "build features", "platform"]
        );
        assert!(found[2].ends_with("x there, none here"), "{found:?}");
    }

    #[test]
    fn the_chance_of_seeing_a_forgery_is_that_of_drawing_without_putting_back() {
        // One of 300 in a sample of 20: 20/300. All three of three: certain. C(5,2)/C(7,2) = 10/21 see neither of two.
        assert!((chance(1, 20, 300) - 20.0 / 300.0).abs() < 1e-15);
        assert_eq!(chance(3, 3, 3), 1.0);
        assert!((chance(2, 2, 7) - 11.0 / 21.0).abs() < 1e-15);
        // 7 of 300 in 100: 1 - (200 199 ... 194) / (300 299 ... 294).
        let s = RowSample::new(4, 100, 300);
        let k: Vec<u64> = s.would_have_seen.iter().map(|s| s.0).collect();
        assert_eq!(k, [1, 2, 3, 5, 10, 15]);
        assert!(
            (chance(7, 100, 300) - 0.943_521_8).abs() < 1e-7,
            "{}",
            chance(7, 100, 300)
        );
        assert_eq!(chance(2, 6, 6), 1.0);
    }

    #[test]
    fn lists_of_files_are_short() {
        assert_eq!(listed(&["a"], "was"), "`a` was");
        assert_eq!(listed(&["a", "b"], "is"), "`a` and `b` are");
        assert_eq!(listed(&["a", "b", "c"], "was"), "`a` and 2 more files were");
        assert_eq!(listed(&["a\u{1b}[0m"], "is"), "`a\\u{1b}[0m` is");
    }
}
