//! A lesson as its file says it: cases in their order, each a scenario with changes, a question, what to watch, the finding
//! and what must be done. Texts may hold places such as `{velocity_change}` for computed values.

use std::collections::BTreeMap;

use giveway_scenario::{Diagnostic, Severity, clipped, place_of, position, typed};
use giveway_units::invisible;
use serde::Deserialize;

/// Most cases of a lesson: page and handout hold no more.
pub const MOST_CASES: usize = 10;
/// Longest text of one piece, characters: a handout holds no more.
const LONGEST: usize = 260;
/// Longest title and name, characters.
const LONGEST_NAME: usize = 90;

/// A lesson.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lesson {
    /// Title.
    pub title: String,
    /// For whom, a few words.
    #[serde(default)]
    pub audience: String,
    /// Language of its texts.
    #[serde(default = "english")]
    pub language: String,
    /// What a reader of the file should know; not shown.
    #[serde(default)]
    pub notes: String,
    /// The base of the handout's pictures is shown at this time after first touch, ms.
    #[serde(default = "handout_time")]
    pub handout_time_ms: u32,
    /// Cases in the order of the lesson.
    #[serde(rename = "case")]
    pub cases: Vec<Case>,
}

/// A case.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// What it is, a few words.
    pub name: String,
    /// Scenario file, from the lesson's folder.
    #[serde(default)]
    pub scenario: String,
    /// Instead of it the record of an inspected pole, from the lesson's folder: it is shown first, to be judged.
    #[serde(default)]
    pub record: String,
    /// Changes of it, path and value as after `--set`.
    #[serde(default)]
    pub set: BTreeMap<String, String>,
    /// Asked before the replay.
    pub question: String,
    /// What to look at.
    pub watch: String,
    /// What happened, in one sentence with computed numbers.
    pub finding: String,
    /// What must be done.
    pub action: String,
    /// What is seen at the base between push and end, a few words; none for the usual ones.
    #[serde(default)]
    pub beat: String,
    /// First view of the replay: `road`, `side`, `plan` or `base`.
    #[serde(default = "base_view")]
    pub view: String,
    /// Number of the case, from 1, that is shown beside it.
    #[serde(default)]
    pub beside: Option<usize>,
}

fn english() -> String {
    "en".to_owned()
}

fn base_view() -> String {
    "base".to_owned()
}

fn handout_time() -> u32 {
    30
}

impl Lesson {
    /// Reads a lesson.
    ///
    /// # Errors
    /// Every problem with its place.
    pub fn read(text: &str, file: &str) -> Result<Self, Vec<Diagnostic>> {
        let mut found = Found {
            file,
            text,
            list: Vec::new(),
        };
        match typed::<Self>(text) {
            Ok(lesson) => {
                lesson.check(&mut found);
                if found.list.is_empty() {
                    return Ok(lesson);
                }
            }
            Err(list) => {
                for misfit in list {
                    let code = if misfit.syntax { "E001" } else { "E010" };
                    found.add(code, misfit.at, "", misfit.message);
                }
            }
        }
        Err(found.list)
    }

    fn check(&self, found: &mut Found<'_>) {
        found.text("title", &self.title, LONGEST_NAME, true);
        found.text("audience", &self.audience, LONGEST_NAME, false);
        if self.cases.is_empty() || self.cases.len() > MOST_CASES {
            let message = format!(
                "a lesson has 1 to {MOST_CASES} cases, this one has {}",
                self.cases.len()
            );
            found.key("case", message);
        }
        for (n, case) in (1..).zip(&self.cases) {
            case.check(n, self.cases.len(), found);
        }
    }
}

impl Case {
    /// Checks the case with this number, of so many.
    fn check(&self, n: usize, cases: usize, found: &mut Found<'_>) {
        let path = |key: &str| format!("case[{n}].{key}");
        for (key, text, most, needed) in [
            ("name", &self.name, LONGEST_NAME, true),
            ("question", &self.question, LONGEST, true),
            ("watch", &self.watch, LONGEST, true),
            ("finding", &self.finding, LONGEST, true),
            ("action", &self.action, LONGEST, true),
            ("scenario", &self.scenario, LONGEST, false),
            ("record", &self.record, LONGEST, false),
            ("beat", &self.beat, LONGEST_NAME, false),
        ] {
            found.text(&path(key), text, most, needed);
        }
        if self.scenario.is_empty() == self.record.is_empty() {
            found.key(
                &path("record"),
                "give either `scenario` or `record`, a file from the lesson's folder".into(),
            );
        }
        if !["road", "side", "plan", "base"].contains(&self.view.as_str()) {
            let message = format!(
                "this is one of road, side, plan, base, not `{}`",
                clipped(&self.view)
            );
            found.key(&path("view"), message);
        }
        if let Some(other) = self.beside
            && (other == 0 || other > cases || other == n)
        {
            let message =
                format!("this is {other}; it is the number of another case, 1 to {cases}");
            found.key(&path("beside"), message);
        }
    }
}

/// Collects what is wrong with a lesson.
struct Found<'a> {
    file: &'a str,
    text: &'a str,
    list: Vec<Diagnostic>,
}

impl Found<'_> {
    fn add(&mut self, code: &'static str, at: usize, path: &str, message: String) {
        let (line, column) = position(self.text, at);
        self.list.push(Diagnostic {
            code,
            severity: Severity::Error,
            file: self.file.to_owned(),
            line,
            column,
            path: path.to_owned(),
            message,
            found: None,
            allowed: None,
            suggestion: None,
        });
    }

    /// A problem of a key, such as `case[2].view`.
    fn key(&mut self, path: &str, message: String) {
        self.add("E020", place_of(self.text, path), path, message);
    }

    /// A text has at most so many characters, all of them visible, and is not empty where it is needed.
    fn text(&mut self, path: &str, text: &str, most: usize, needed: bool) {
        let length = text.chars().count();
        if needed && text.trim().is_empty() {
            self.key(path, "this text is empty".into());
        } else if let Some(c) = text.chars().find(|c| invisible(*c) && *c != '\n') {
            let message = format!("this holds the invisible character U+{:04X}", u32::from(c));
            self.key(path, message);
        } else if length > most {
            self.key(
                path,
                format!("this has {length} characters; at most {most} fit"),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CASE: &str = "[[case]]\nname = \"a\"\nscenario = \"b.toml\"\nquestion = \"c\"\nwatch = \"d\"\n\
        finding = \"e\"\naction = \"f\"\n";

    #[test]
    fn problems_are_said_with_their_place() {
        let lesson = Lesson::read(&format!("title = \"t\"\n{CASE}"), "a.toml").unwrap();
        assert_eq!(
            (lesson.language.as_str(), lesson.cases[0].view.as_str()),
            ("en", "base")
        );
        for (text, words) in [
            (format!("title = \"t\"\n{CASE}spede = 1\n"), "a.toml:9:1: "),
            ("title = 1".to_owned(), "a.toml:1:9: "),
            ("title = \"t\"".to_owned(), "case"),
            (format!("title = \"\"\n{CASE}"), "title: this text is empty"),
            (
                format!("title = \"t\"\n{}", CASE.repeat(11)),
                "this one has 11",
            ),
            (
                format!("title = \"t\"\n{CASE}view = \"moon\"\n"),
                "road, side",
            ),
            (format!("title = \"t\"\n{CASE}beside = 1\n"), "another case"),
            (
                format!(
                    "title = \"t\"\n{}",
                    CASE.replace("\"c\"", &format!("\"{}\"", "x".repeat(300)))
                ),
                "300 characters",
            ),
            (
                format!("title = \"t\"\n{CASE}record = \"r.toml\"\n"),
                "either `scenario` or `record`",
            ),
            (
                format!("title = \"t\"\n{}", CASE.replace("scenario", "#")),
                "either `scenario` or `record`",
            ),
            ("\u{0}".to_owned(), "a.toml:1:1: "),
        ] {
            let problems: Vec<String> = (Lesson::read(&text, "a.toml").unwrap_err().iter())
                .map(ToString::to_string)
                .collect();
            assert!(problems.iter().any(|p| p.contains(words)), "{problems:?}");
        }
    }

    #[test]
    fn all_problems_are_said_in_one_pass() {
        let text = format!("title = \"\"\n{CASE}view = \"moon\"\n{CASE}beside = 7\n");
        let list = Lesson::read(&text, "a.toml").unwrap_err();
        let places: Vec<(usize, &str)> = list.iter().map(|d| (d.line, d.path.as_str())).collect();
        assert_eq!(
            places,
            [(1, "title"), (9, "case[1].view"), (17, "case[2].beside")]
        );
        let text = format!("title = \"t\"\nadience = 1\n{CASE}spede = 1\n");
        let list = Lesson::read(&text, "a.toml").unwrap_err();
        assert_eq!(list.iter().map(|d| d.line).collect::<Vec<_>>(), [2, 10]);
    }
}
