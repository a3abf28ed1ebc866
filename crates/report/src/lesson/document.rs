//! A lesson as its file says it: cases in their order, each a scenario with changes, a question, what to watch, the finding
//! and what must be done. Texts may hold places such as `{velocity_change}` for computed values.

use std::collections::BTreeMap;

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
    /// The first problem in words, with its line.
    pub fn read(text: &str) -> Result<Self, String> {
        let lesson: Self = toml::from_str(text).map_err(|e| {
            let line = e.span().map(|span| {
                let before = text.as_bytes().iter().take(span.start);
                before.filter(|b| **b == b'\n').count() + 1
            });
            let message = e.message().trim();
            line.map_or_else(
                || message.to_owned(),
                |line| format!("line {line}: {message}"),
            )
        })?;
        lesson.check()?;
        Ok(lesson)
    }

    fn check(&self) -> Result<(), String> {
        let long = |what: String, text: &str, most: usize, needed: bool| {
            let length = text.chars().count();
            if needed && text.trim().is_empty() {
                return Err(format!("{what} is empty"));
            }
            if let Some(c) = text.chars().find(|c| invisible(*c) && *c != '\n') {
                return Err(format!(
                    "{what} holds the invisible character U+{:04X}",
                    u32::from(c)
                ));
            }
            if length > most {
                return Err(format!(
                    "{what} has {length} characters; at most {most} fit"
                ));
            }
            Ok(())
        };
        long("the title".into(), &self.title, LONGEST_NAME, true)?;
        long("`audience`".into(), &self.audience, LONGEST_NAME, false)?;
        if self.cases.is_empty() || self.cases.len() > MOST_CASES {
            return Err(format!(
                "a lesson has 1 to {MOST_CASES} cases, this one has {}",
                self.cases.len()
            ));
        }
        for (i, case) in self.cases.iter().enumerate() {
            let n = i + 1;
            for (what, text, most) in [
                ("name", &case.name, LONGEST_NAME),
                ("question", &case.question, LONGEST),
                ("watch", &case.watch, LONGEST),
                ("finding", &case.finding, LONGEST),
                ("action", &case.action, LONGEST),
            ] {
                long(format!("case {n}: `{what}`"), text, most, true)?;
            }
            if case.scenario.is_empty() == case.record.is_empty() {
                return Err(format!(
                    "case {n}: give either `scenario` or `record`, a file from the lesson's folder"
                ));
            }
            for (what, text) in [("scenario", &case.scenario), ("record", &case.record)] {
                long(format!("case {n}: `{what}`"), text, LONGEST, false)?;
            }
            long(format!("case {n}: `beat`"), &case.beat, LONGEST_NAME, false)?;
            if !["road", "side", "plan", "base"].contains(&case.view.as_str()) {
                return Err(format!(
                    "case {n}: `view` is one of road, side, plan, base, not `{}`",
                    case.view.escape_debug()
                ));
            }
            if let Some(other) = case.beside
                && (other == 0 || other > self.cases.len() || other == n)
            {
                return Err(format!(
                    "case {n}: `beside` is {other}; it is the number of another case, 1 to {}",
                    self.cases.len()
                ));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CASE: &str = "[[case]]\nname = \"a\"\nscenario = \"b.toml\"\nquestion = \"c\"\nwatch = \"d\"\n\
        finding = \"e\"\naction = \"f\"\n";

    #[test]
    fn problems_are_said_with_their_place() {
        let lesson = Lesson::read(&format!("title = \"t\"\n{CASE}")).unwrap();
        assert_eq!(
            (lesson.language.as_str(), lesson.cases[0].view.as_str()),
            ("en", "base")
        );
        for (text, words) in [
            (format!("title = \"t\"\n{CASE}spede = 1\n"), "line 9"),
            ("title = 1".to_owned(), "line 1"),
            ("title = \"t\"".to_owned(), "case"),
            (format!("title = \"\"\n{CASE}"), "title is empty"),
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
            ("\u{0}".to_owned(), "line 1"),
        ] {
            let problem = Lesson::read(&text).unwrap_err();
            assert!(problem.contains(words), "{problem}");
        }
    }
}
