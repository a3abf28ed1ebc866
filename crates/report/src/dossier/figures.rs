//! Figures on the page, and the room that they take: the file stays below its largest size by leaving pictures out and saying so.

use giveway_results::RunContents;

use super::markup::Markup;
use super::picture::{Inline, inline};
use crate::printed::escaped;

/// Order and short description of a run's figures.
const KNOWN: [(&str, &str); 6] = [
    (
        "storyboard",
        "Six instants, to scale, from the side and from above",
    ),
    ("motion", "Speed lost and acceleration of the vehicle"),
    ("contact", "Force between vehicle and pole"),
    ("flight", "Flight of the pole"),
    ("joint", "Slip joint, bolt by bolt"),
    ("energy", "Where the energy went"),
];

/// Room that is left in the file, bytes.
#[derive(Debug)]
pub struct Room {
    left: usize,
}

impl Room {
    /// That many bytes.
    pub fn new(left: usize) -> Self {
        Self { left }
    }

    /// Takes so many bytes; whether there were as many.
    pub fn take(&mut self, bytes: usize) -> bool {
        let fits = bytes <= self.left;
        if fits {
            self.left -= bytes;
        }
        fits
    }
}

/// What became of a figure.
#[derive(Debug)]
pub enum Shown {
    /// It is on the page.
    Here(Inline),
    /// It would have made the file too large.
    NoRoom,
    /// It is not as this program draws it.
    Refused(&'static str),
}

/// The figures of one run by their names, in the order in which they are shown.
pub type Chosen = Vec<(String, Shown)>;

/// Chooses figures of several runs: the first of every run, then the second of every run, and so on, as long as there is room.
/// `ids` begins the identifiers of each run.
pub fn choose(runs: &[(&RunContents, String)], room: &mut Room) -> Vec<Chosen> {
    let mut chosen: Vec<Chosen> = runs.iter().map(|_| Vec::new()).collect();
    let mut ordered: Vec<Vec<usize>> = Vec::new();
    for (run, _) in runs {
        let place = |name: &str| {
            KNOWN
                .iter()
                .position(|k| k.0 == name)
                .unwrap_or(KNOWN.len())
        };
        let mut order: Vec<usize> = (0..run.figures.len()).collect();
        order.sort_by_key(|i| place(&run.figures[*i].name));
        ordered.push(order);
    }
    let most = ordered.iter().map(Vec::len).max().unwrap_or(0);
    for turn in 0..most {
        for (r, (run, id)) in runs.iter().enumerate() {
            let Some(figure) = ordered[r].get(turn).map(|i| &run.figures[*i]) else {
                continue;
            };
            let shown = match inline(&figure.svg, &format!("{id}f{turn}")) {
                Ok(picture) if room.take(picture.markup.len() + 400) => Shown::Here(picture),
                Ok(_) => Shown::NoRoom,
                Err(reason) => Shown::Refused(reason),
            };
            chosen[r].push((figure.name.clone(), shown));
        }
    }
    chosen
}

/// The figures of one run.
pub fn chapter(m: &mut Markup, run: &RunContents, chosen: &Chosen) {
    if chosen.is_empty() {
        m.paragraph(if run.manifest.files.iter().any(|f| f.name.starts_with("figures/")) {
            "The figures of this run are not as it left them and are not shown."
        } else {
            "This run wrote no figures (it was asked not to). Run the scenario again with figures to have them here."
        });
        return;
    }
    let mut left_out = Vec::new();
    for (name, shown) in chosen {
        match shown {
            Shown::Here(picture) => {
                let words = KNOWN
                    .iter()
                    .find(|k| k.0 == name)
                    .map_or("Figure of the folder", |k| k.1);
                figure(m, picture, words);
            }
            Shown::NoRoom => left_out.push(format!(
                "figures/{name}.svg of the folder {}: left out to keep this file below 3 MB.",
                run.folder
            )),
            Shown::Refused(reason) => left_out.push(format!(
                "figures/{name}.svg of the folder {}: not shown, {reason}.",
                run.folder
            )),
        }
    }
    m.points(&left_out);
}

/// A figure with its caption.
pub fn figure(m: &mut Markup, picture: &Inline, words: &str) {
    m.raw("<figure>\n");
    m.raw(&picture.markup);
    m.raw("\n<figcaption>");
    m.raw(&escaped(words));
    m.raw("</figcaption>\n</figure>\n");
}
