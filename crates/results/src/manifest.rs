//! The manifest: which program wrote a folder, from which input, when, and a checksum of every file.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use giveway_mechanics::MODEL_VERSION;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What marks a folder as the program's own.
pub const KIND: &str = "giveway-run";
/// Version of the manifest's layout.
pub const MANIFEST_FORMAT: u32 = 1;
/// File name of the manifest.
pub const MANIFEST_NAME: &str = "manifest.json";

/// What `manifest.json` holds. The only file that differs between two runs of the same input.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Manifest {
    /// Always `giveway-run`.
    pub kind: String,
    /// Version of this layout.
    pub format: u32,
    /// Version of the program.
    pub version: String,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Build profile: `release` or `debug`.
    pub profile: String,
    /// Features compiled in.
    pub features: Vec<String>,
    /// Operating system and processor family.
    pub platform: String,
    /// Threads used.
    pub threads: usize,
    /// Start of the run, UTC.
    pub started: String,
    /// Time from start to writing this file, s.
    pub wall_time_s: f64,
    /// blake3 of the resolved scenario text.
    pub input_blake3: String,
    /// Every other file of the folder.
    pub files: Vec<FileEntry>,
}

/// Where numbers come from, without time and place: two runs with equal provenance give equal digits. It can stand in
/// any result, also one that is no folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Provenance {
    /// Version of the program.
    pub version: String,
    /// Version of the model's arithmetic.
    pub model_version: u32,
    /// Build profile: `release` or `debug`.
    pub profile: String,
    /// Features compiled in.
    pub features: Vec<String>,
    /// Operating system and processor family.
    pub platform: String,
    /// blake3 of the input text.
    pub input_blake3: String,
}

impl Provenance {
    /// Of numbers that this program computes from an input text.
    pub fn of(input: &str, features: &[String]) -> Self {
        Self {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            model_version: MODEL_VERSION,
            profile: if cfg!(debug_assertions) {
                "debug"
            } else {
                "release"
            }
            .to_owned(),
            features: features.to_vec(),
            platform: format!("{}-{}", std::env::consts::OS, std::env::consts::ARCH),
            input_blake3: hash_text(input),
        }
    }
}

/// One file of a folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FileEntry {
    /// Path inside the folder, with forward slashes.
    pub name: String,
    /// Length, bytes.
    pub bytes: u64,
    /// blake3 of its content.
    pub blake3: String,
}

/// Circumstances of a run that only the caller knows.
#[derive(Debug, Clone, PartialEq)]
pub struct RunFacts {
    /// When the run started.
    pub started: SystemTime,
    /// Threads used.
    pub threads: usize,
    /// Features compiled into the program.
    pub features: Vec<String>,
}

impl RunFacts {
    /// Of a program without optional features.
    pub fn new(started: SystemTime, threads: usize) -> Self {
        Self {
            started,
            threads,
            features: Vec::new(),
        }
    }
}

impl Manifest {
    pub(crate) fn new(facts: &RunFacts, input: &str, files: Vec<FileEntry>) -> Self {
        let origin = Provenance::of(input, &facts.features);
        Manifest {
            kind: KIND.to_owned(),
            format: MANIFEST_FORMAT,
            version: origin.version,
            model_version: origin.model_version,
            profile: origin.profile,
            features: origin.features,
            platform: origin.platform,
            threads: facts.threads,
            started: utc_text(facts.started),
            wall_time_s: facts
                .started
                .elapsed()
                .unwrap_or(Duration::ZERO)
                .as_secs_f64(),
            input_blake3: origin.input_blake3,
            files,
        }
    }

    /// Of a study, whose input is its resolved plan.
    pub(crate) fn of_study(facts: &RunFacts, plan_hash: &str, files: Vec<FileEntry>) -> Self {
        Manifest {
            input_blake3: plan_hash.to_owned(),
            ..Manifest::new(facts, "", files)
        }
    }

    /// Where the folder's numbers come from.
    pub fn provenance(&self) -> Provenance {
        Provenance {
            version: self.version.clone(),
            model_version: self.model_version,
            profile: self.profile.clone(),
            features: self.features.clone(),
            platform: self.platform.clone(),
            input_blake3: self.input_blake3.clone(),
        }
    }
}

/// blake3 of a text, in hexadecimal.
pub fn hash_text(text: &str) -> String {
    blake3::hash(text.as_bytes()).to_hex().to_string()
}

/// Date and time in UTC, for example `2024-02-29T12:34:56Z`.
pub(crate) fn utc_text(at: SystemTime) -> String {
    let seconds = at
        .duration_since(UNIX_EPOCH)
        .unwrap_or(Duration::ZERO)
        .as_secs();
    let (days, rest) = (seconds / 86_400, seconds % 86_400);
    // Civil date from days since 1970-01-01: count from 1 March of year 0 in eras of 400 years (146 097 days).
    let z = days + 719_468;
    let era = z / 146_097;
    let day_of_era = z % 146_097;
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 {
        shifted_month + 3
    } else {
        shifted_month - 9
    };
    let year = 400 * era + year_of_era + u64::from(month <= 2);
    format!(
        "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}Z",
        rest / 3600,
        rest / 60 % 60,
        rest % 60
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_of_known_seconds() {
        let at = |s| utc_text(UNIX_EPOCH + Duration::from_secs(s));
        assert_eq!(at(0), "1970-01-01T00:00:00Z");
        assert_eq!(at(951_782_400), "2000-02-29T00:00:00Z");
        assert_eq!(at(1_000_000_000), "2001-09-09T01:46:40Z");
        assert_eq!(at(1_709_210_096), "2024-02-29T12:34:56Z");
        assert_eq!(at(4_102_444_799), "2099-12-31T23:59:59Z");
    }

    #[test]
    fn a_manifest_keeps_the_provenance_of_its_input() {
        let facts = RunFacts {
            started: UNIX_EPOCH,
            threads: 1,
            features: vec!["flight".to_owned()],
        };
        let of = |input: &str| Manifest::new(&facts, input, Vec::new()).provenance();
        assert_eq!(of("a"), Provenance::of("a", &facts.features));
        assert_ne!(of("a"), of("b"));
    }

    #[test]
    fn the_checksum_is_blake3() {
        // Published test vector: blake3 of the empty input.
        assert_eq!(
            hash_text(""),
            "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262"
        );
    }
}
