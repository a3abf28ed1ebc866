//! The moving picture: the data of each run and the places where the player puts itself.

use giveway_results::RunContents;

use super::figures::{Room, Shown, figure, left_out, words_of};
use super::markup::Markup;
use crate::printed::escaped;

/// Most runs that play side by side; more of them get players of their own.
const MOST_BESIDE: usize = 4;

/// A run's data for the player.
#[derive(Debug)]
pub struct Replay {
    /// Identifier of the data on the page.
    pub id: String,
    /// What stands over its picture.
    pub label: String,
    json: String,
}

/// What became of a run's data.
#[derive(Debug)]
pub enum Taken {
    /// They are on the page.
    Here(Replay),
    /// The run wrote none.
    None,
    /// They would have made the file too large.
    NoRoom,
    /// They are not what this program writes, or not as the run left them.
    Refused(String),
}

impl Taken {
    /// Identifier of the data on the page.
    pub fn id(&self) -> Option<&str> {
        match self {
            Self::Here(r) => Some(&r.id),
            _ => None,
        }
    }
}

/// Takes the data of a run, if they are sound and there is room.
pub fn take(run: &RunContents, id: String, label: String, room: &mut Room) -> Taken {
    if let Some(fault) = &run.replay_fault {
        return Taken::Refused(fault.clone());
    }
    let Some(text) = run.replay.as_deref() else {
        return Taken::None;
    };
    if let Err(reason) = giveway_results::check_replay(text) {
        return Taken::Refused(reason);
    }
    let json = in_script(text.trim());
    if room.take(json.len() + 200) {
        Taken::Here(Replay { id, label, json })
    } else {
        Taken::NoRoom
    }
}

/// JSON as it may stand in a script: without a character that could end the element or begin a comment. In JSON such
/// characters stand within texts only, where their number means the same.
pub fn in_script(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' => out.push_str("\\u003c"),
            '>' => out.push_str("\\u003e"),
            '&' => out.push_str("\\u0026"),
            '\u{2028}' => out.push_str("\\u2028"),
            '\u{2029}' => out.push_str("\\u2029"),
            // Marks that turn the direction of writing, as in every other text of the page.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// One run in the chapter of moving pictures.
pub struct Moving<'a> {
    pub run: &'a RunContents,
    /// What stands over its pictures where several runs do; empty for one alone.
    pub label: String,
    pub taken: &'a Taken,
    pub board: Option<Shown>,
}

/// The players, at most four runs beside each other, each with the instants as still pictures; and what is said where there
/// is nothing to play.
pub fn players(m: &mut Markup, runs: &[Moving], with_player: bool) {
    let (here, still): (Vec<&Moving>, Vec<&Moving>) =
        (runs.iter()).partition(|r| with_player && matches!(r.taken, Taken::Here(_)));
    for group in here.chunks(MOST_BESIDE) {
        let replays: Vec<&Replay> = (group.iter())
            .filter_map(|r| match r.taken {
                Taken::Here(replay) => Some(replay),
                _ => None,
            })
            .collect();
        let ids: Vec<&str> = replays.iter().map(|r| r.id.as_str()).collect();
        let labels: Vec<&str> = replays.iter().map(|r| r.label.as_str()).collect();
        let name = if group.len() == 1 {
            format!("Replay of {}", labels.join(""))
        } else {
            format!("Replays of {} on one clock", labels.join("; "))
        };
        m.raw(&format!(
            "<section class=\"player\" data-replays=\"{}\" data-view=\"{}\" data-charts=\"yes\" tabindex=\"0\" aria-label=\"{}\">\n",
            ids.join(" "),
            if group.len() == 1 { "road" } else { "base" },
            escaped(&name)
        ));
        boards(m, group);
        m.raw("</section>\n");
    }
    if !here.is_empty() {
        m.classed(
            "soft screen",
            "Keys, while the picture has the focus: space plays and pauses, left and right step, up and down change the speed, \
             Home and End go to the ends, 1 to 4 choose road, side, plan and slip base. The cursor moves in the charts below the \
             picture and in every figure against time; a click in one of them goes to that instant.",
        );
    }
    for moving in &still {
        let of = match moving.label.as_str() {
            "" => String::new(),
            label => format!("{label}: "),
        };
        match moving.taken {
            Taken::Refused(reason) => m.lead(
                "notice",
                &format!("{of}The file of the moving picture is damaged."),
                &format!("It is not shown: {reason}. The still pictures stand in its place."),
            ),
            Taken::NoRoom => m.paragraph(&format!(
                "{of}The moving picture was left out to keep this file below 3 MB: make a report of fewer runs."
            )),
            Taken::Here(_) | Taken::None => m.paragraph(&format!(
                "{of}There is no moving picture: the folder holds no data for it."
            )),
        }
    }
    if !still.is_empty() {
        boards(m, &still);
    }
}

/// The instants of some runs, and what is said of those that are not there.
fn boards(m: &mut Markup, runs: &[&Moving]) {
    let mut said = Vec::new();
    m.raw("<div class=\"still stays\">\n");
    for moving in runs {
        let words = words_of("storyboard");
        let words = match moving.label.as_str() {
            "" => format!("{words}."),
            label => format!("{label}: {}.", words.to_lowercase()),
        };
        match &moving.board {
            Some(Shown::Here(picture)) => figure(m, picture, &words),
            Some(shown) => said.extend(left_out(moving.run, "storyboard", shown)),
            None => said.push(format!(
                "The folder {} holds no picture of the instants.",
                moving.run.folder
            )),
        }
    }
    m.points(&said);
    m.raw("</div>\n");
}

/// The data, at the end of the page.
pub fn data(m: &mut Markup, taken: &[Taken]) {
    for t in taken {
        if let Taken::Here(r) = t {
            let (id, json) = (&r.id, &r.json);
            m.raw(&format!(
                "<script type=\"application/json\" id=\"{id}\">{json}</script>\n"
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn data_cannot_leave_their_script() {
        let text = in_script("{\"a\":\"</script><!--&\u{2028}\"}");
        assert_eq!(
            text,
            "{\"a\":\"\\u003c/script\\u003e\\u003c!--\\u0026\\u2028\"}"
        );
        assert_eq!(in_script("\"a\u{202e}b\""), "\"a\u{fffd}b\"");
        let back: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["a"], "</script><!--&\u{2028}");
    }
}
