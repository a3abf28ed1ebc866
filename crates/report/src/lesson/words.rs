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
    pub previous: String,
    pub next: String,
    pub question: String,
    pub watch: String,
    pub show_finding: String,
    pub finding: String,
    pub action: String,
    pub verdict_by: String,
    pub keys: String,
    pub still: String,
    pub still_shows: String,
    pub against: String,
    pub velocity_change: String,
    pub peak_force: String,
    pub crush: String,
    pub release: String,
    pub verdict: String,
    pub wind: String,
    pub handout: String,
    pub key: String,
    pub name: String,
    pub date: String,
    pub fill_in: String,
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
        return Err(format!(
            "there is no language `{}`; there is {}",
            code.escape_debug(),
            known.join(", ")
        ));
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
