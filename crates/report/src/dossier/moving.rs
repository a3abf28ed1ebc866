//! The moving picture: the data of each run and the places where the player puts itself.

use super::figures::Room;
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
    /// They are not what this program writes.
    Refused(String),
}

/// Takes the data of a run, if they are sound and there is room.
pub fn take(text: Option<&str>, id: String, label: String, room: &mut Room) -> Taken {
    let Some(text) = text else {
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
fn in_script(json: &str) -> String {
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

/// The players, at most four runs beside each other, and what is said where there is nothing to play.
pub fn players(m: &mut Markup, taken: &[Taken], with_player: bool) {
    let here: Vec<&Replay> = taken
        .iter()
        .filter_map(|t| match t {
            Taken::Here(r) => Some(r),
            _ => None,
        })
        .collect();
    if !with_player || here.is_empty() {
        m.paragraph(if here.is_empty() {
            "There is no moving picture in this report: the folder holds no data for it. The six instants below show the impact."
        } else {
            "The six instants below show the impact."
        });
    }
    if with_player {
        for group in here.chunks(MOST_BESIDE) {
            let ids: Vec<&str> = group.iter().map(|r| r.id.as_str()).collect();
            let labels: Vec<&str> = group.iter().map(|r| r.label.as_str()).collect();
            let name = if group.len() == 1 {
                format!("Replay of {}", labels.join(""))
            } else {
                format!("Replays of {} on one clock", labels.join("; "))
            };
            m.raw(&format!(
                "<section class=\"player\" data-replays=\"{}\" data-view=\"{}\" data-charts=\"yes\" tabindex=\"0\" aria-label=\"{}\">\n\
                 <figure class=\"still\"><p>The picture moves on a screen that draws in three dimensions. \
                 On paper and elsewhere the six instants below stand for it.</p></figure>\n</section>\n",
                ids.join(" "),
                if group.len() == 1 { "road" } else { "base" },
                escaped(&name)
            ));
        }
        m.classed(
            "soft screen",
            "Keys, while the picture has the focus: space plays and pauses, left and right step, up and down change the speed, \
             Home and End go to the ends, 1 to 4 choose road, side, plan and slip base.",
        );
    }
    let mut said = Vec::new();
    for t in taken {
        match t {
            Taken::NoRoom => said.push(
                "A moving picture was left out to keep this file below 3 MB: make a report of fewer runs.".to_owned(),
            ),
            Taken::Refused(reason) => said.push(format!("A moving picture is not shown: {reason}.")),
            Taken::Here(_) | Taken::None => {}
        }
    }
    said.dedup();
    m.points(&said);
}

/// The data, at the end of the page.
pub fn data(m: &mut Markup, taken: &[Taken]) {
    for t in taken {
        if let Taken::Here(r) = t {
            m.raw("<script type=\"application/json\" id=\"");
            m.raw(&r.id);
            m.raw("\">");
            m.raw(&r.json);
            m.raw("</script>\n");
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
