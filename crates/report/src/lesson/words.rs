//! The words of lesson pages, one file a language.

use serde::Deserialize;

/// Languages: code and text of the file.
const LANGUAGES: [(&str, &str); 1] = [("en", include_str!("../../assets/language/en.toml"))];

/// Every word of a page that does not come from the lesson.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs, reason = "the language file says what each is for")]
pub struct Words {
    pub code: String,
    pub case_of: String,
    pub cases: String,
    pub finding: String,
    pub action: String,
    pub verdict_by: String,
    pub keys: String,
    pub drive_first: String,
    pub drive_next: String,
    pub drive_answer: String,
    pub drive_case: String,
    pub drive_end: String,
    pub drive_back: String,
    pub drive_around: String,
    pub drive_flat: String,
    pub drive_full: String,
    pub show_right: String,
    pub show_wrong: String,
    pub show_both: String,
    pub show_legend: String,
    pub beat_push: String,
    pub beat_out: String,
    pub beat_stay: String,
    pub beat_leaves: String,
    pub beat_stops: String,
    pub lost_of: String,
    pub stopped: String,
    pub thrown_back: String,
    pub section_of: String,
    pub part_pole: String,
    pub part_upper: String,
    pub part_lower: String,
    pub part_head: String,
    pub part_grout: String,
    pub part_free: String,
    pub part_bar: String,
    pub part_soil: String,
    pub part_ground: String,
    pub part_push: String,
    pub part_stop: String,
    pub still: String,
    pub still_shows: String,
    pub record_of: String,
    pub record_item: String,
    pub record_measured: String,
    pub record_required: String,
    pub record_verdict: String,
    pub record_judge: String,
    pub decision: String,
    pub verdict: String,
    pub dents: String,
    pub dents_within: String,
    pub dents_open: String,
    pub dents_deep: String,
    pub wind: String,
    pub handout: String,
    pub key: String,
    pub name: String,
    pub date: String,
    pub fill_in: String,
    pub draw_in: String,
    pub what_to_do: String,
    pub case: String,
    pub never: String,
    pub unknown: String,
    pub released: String,
    pub held: String,
    pub no_contact: String,
    pub fixed_obstacle: String,
    pub time_limit: String,
    pub pass: String,
    pub marginal: String,
    pub fail: String,
    pub not_evaluated: String,
    pub undecided: String,
    pub stands: String,
    pub does_not_stand: String,
    pub of: String,
    pub caution_lead: String,
    pub caution: String,
}

/// The words of a language by its code.
///
/// # Errors
/// A language that is not there, with those that are; a file that does not read.
pub fn words(code: &str) -> Result<Words, String> {
    let Some((_, text)) = LANGUAGES.iter().find(|(name, _)| *name == code) else {
        let known: Vec<&str> = LANGUAGES.iter().map(|(name, _)| *name).collect();
        let (code, known) = (code.escape_debug(), known.join(", "));
        return Err(format!("there is no language `{code}`; there is {known}"));
    };
    toml::from_str(text).map_err(|e| format!("language {code}: {}", e.message()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_has_every_word() {
        for (code, _) in LANGUAGES {
            assert_eq!(words(code).unwrap().code, code);
        }
        assert!(words("xx").unwrap_err().contains("there is en"));
    }
}
