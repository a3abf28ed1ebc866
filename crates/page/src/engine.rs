//! Requests and answers.

use giveway_impact::Workspace;
use giveway_results::{Replay, Summary};
use giveway_scenario::{Diagnostic, read};
use giveway_study::{Supports, Wanted, compute_in};
use serde::{Deserialize, Serialize};

/// Name of a scenario that is given none.
const NAME: &str = "page";

/// What the page asks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Request {
    /// The scenario's file; where it is missing, that of the request before.
    text: Option<String>,
    /// Name of the scenario in diagnostics and in the copy that is written.
    name: Option<String>,
    /// Changed keys with their values, as after `--set`.
    #[serde(default)]
    changes: Vec<(String, String)>,
    want: Want,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Want {
    /// Numbers alone, without predictive ranges.
    Numbers,
    /// Numbers with them.
    Ranges,
    /// Numbers and the moving picture.
    Replay,
    /// All that `giveway run` writes: also what each finding does.
    Whole,
    /// The scenario as a file.
    Text,
}

#[derive(Serialize, Default)]
struct Answer<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    summary: Option<&'a Summary>,
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<&'a str>,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    problems: &'a [Diagnostic],
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    warnings: &'a [Diagnostic],
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'a str>,
}

/// The engine with what it keeps from request to request: the scenario's text, solved supports, memory.
#[derive(Debug, Default)]
pub struct Engine {
    text: String,
    supports: Supports,
    workspace: Workspace,
}

impl Engine {
    /// Without a scenario yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Answers `{"text": ..., "changes": [["slip_base.clamp.torque", "200 N.m"], ...], "want": "numbers"}`; `want` may also be `ranges` (numbers with
    /// predictive ranges), `replay` (numbers and `replay.json`), `whole` (all that `giveway run` writes) and `text` (the scenario as a file).
    /// The answer holds `summary`, `replay`, `text`, `warnings`, or else `problems` of the scenario or an `error`.
    pub fn answer(&mut self, request: &str) -> String {
        let failed = |error: &str| {
            told(&Answer {
                error: Some(error),
                ..Answer::default()
            })
        };
        let request: Request = match serde_json::from_str(request) {
            Ok(request) => request,
            Err(e) => return failed(&format!("the request cannot be read: {e}")),
        };
        if let Some(text) = request.text {
            self.text = text;
        }
        let name = request.name.as_deref().unwrap_or(NAME);
        let loaded = match read(&self.text, name, &request.changes) {
            Ok(loaded) => loaded,
            Err(problems) => {
                return told(&Answer {
                    problems: &problems,
                    ..Answer::default()
                });
            }
        };
        let mut answer = Answer {
            warnings: &loaded.warnings,
            ..Answer::default()
        };
        if request.want == Want::Text {
            answer.text = Some(&loaded.resolved_text);
            return told(&answer);
        }
        let whole = request.want == Want::Whole;
        let wanted = Wanted {
            histories: whole || request.want == Want::Replay,
            without_pole: whole,
            conditions: whole,
            ranges: whole || request.want == Want::Ranges,
            assumptions: loaded.assumptions.len(),
        };
        let (supports, workspace) = (&self.supports, &mut self.workspace);
        let computed = match compute_in(&loaded.scenario, supports, workspace, wanted) {
            Ok(computed) => computed,
            Err(e) => return failed(&e.to_string()),
        };
        let engagement = &computed.engagement;
        let replay = if engagement.frames.is_empty() {
            Ok(None)
        } else {
            replay(
                &loaded.scenario,
                engagement,
                &computed.summary,
                &loaded.resolved_text,
            )
            .map(Some)
        };
        let replay = match replay {
            Ok(replay) => replay,
            Err(e) => return failed(&e),
        };
        answer.summary = Some(&computed.summary);
        let mut answer = told(&answer);
        if let Some(replay) = replay {
            // An object with at least the summary in it: the content of `replay.json` becomes one more member as it is.
            answer.truncate(answer.len() - 1);
            answer.push_str(",\"replay\":");
            answer.push_str(replay.trim_end());
            answer.push('}');
        }
        self.workspace.take_back(computed.engagement.record);
        answer
    }
}

fn replay(
    scenario: &giveway_scenario::model::Scenario,
    engagement: &giveway_impact::outcome::Engagement,
    summary: &Summary,
    text: &str,
) -> Result<String, String> {
    let replay = Replay::of(scenario, engagement, summary, text).map_err(|e| e.to_string())?;
    let bytes = replay.to_bytes().map_err(|e| e.to_string())?;
    String::from_utf8(bytes).map_err(|e| e.to_string())
}

fn told(answer: &Answer) -> String {
    // Plain data without maps of odd keys: it always has a text.
    serde_json::to_string(answer)
        .unwrap_or_else(|_| r#"{"error":"the answer has no text"}"#.to_owned())
}
