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

/// Largest file, bytes; what would go beyond is left out and told.
const LARGEST_FILE: usize = 2_950_000;
/// Room for head, contents and headings, bytes.
const FRAME_BYTES: usize = 40_000;

/// Room that is left in the file, bytes.
#[derive(Debug)]
pub struct Room {
    left: usize,
}

impl Room {
    /// What a page leaves beside so many bytes of text and scripts.
    pub fn beside(bytes: usize) -> Self {
        Self::new(LARGEST_FILE.saturating_sub(bytes + FRAME_BYTES))
    }

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
    Here(Inline),
    /// It would have made the file too large.
    NoRoom,
    /// It is not as this program draws it.
    Refused(&'static str),
}

/// The figures of one run by their names, in the order in which they are shown.
pub type Chosen = Vec<(String, Shown)>;

/// Chooses figures of several runs, of those with the names `asked` for: the first of every run, then the second of every run,
/// and so on, as long as there is room. `ids` begins the identifiers of each run.
pub fn choose(
    runs: &[(&RunContents, String)],
    asked: Option<&[String]>,
    room: &mut Room,
) -> Vec<Chosen> {
    let mut chosen: Vec<Chosen> = runs.iter().map(|_| Vec::new()).collect();
    let mut ordered: Vec<Vec<usize>> = Vec::new();
    for (run, _) in runs {
        let known = |name: &str| KNOWN.iter().position(|k| k.0 == name);
        let place = |name: &str| known(name).unwrap_or(KNOWN.len());
        let mut order: Vec<usize> = (0..run.figures.len())
            .filter(|i| asked.is_none_or(|names| names.contains(&run.figures[*i].name)))
            .collect();
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

/// Takes the picture of the instants out of a run's figures: it stands with the moving picture.
pub fn board(chosen: &mut Chosen) -> Option<Shown> {
    let n = chosen.iter().position(|c| c.0 == "storyboard")?;
    Some(chosen.remove(n).1)
}

/// What is said of a figure that is not shown; none where it is.
pub fn left_out(run: &RunContents, name: &str, shown: &Shown) -> Option<String> {
    let of = &run.folder;
    match shown {
        Shown::Here(_) => None,
        Shown::NoRoom => Some(format!(
            "figures/{name}.svg of the folder {of}: left out to keep this file below 3 MB."
        )),
        Shown::Refused(reason) => Some(format!(
            "figures/{name}.svg of the folder {of}: not shown, {reason}."
        )),
    }
}

/// The figures of one run but for the instants (`board`: they stand elsewhere on the page); `replay` moves the cursor in them.
pub fn chapter(
    m: &mut Markup,
    run: &RunContents,
    chosen: &Chosen,
    board: bool,
    replay: Option<&str>,
) {
    if board {
        m.raw("<p>The instants of the impact stand under <a href=\"#moving\">the moving picture</a>.</p>\n");
    } else if chosen.is_empty() {
        m.paragraph(if run.manifest.files.iter().any(|f| f.name.starts_with("figures/")) {
            "The figures of this run are not as it left them and are not shown."
        } else {
            "This run wrote no figures (it was asked not to). Run the scenario again with figures to have them here."
        });
        return;
    }
    let mut missing = Vec::new();
    for (name, shown) in chosen {
        if let Shown::Here(picture) = shown {
            moved(m, picture, words_of(name), replay);
        }
        missing.extend(left_out(run, name, shown));
    }
    m.points(&missing);
}

/// The short description of a figure.
pub fn words_of(name: &str) -> &'static str {
    (KNOWN.iter().find(|k| k.0 == name)).map_or("Figure of the folder", |k| k.1)
}

/// A figure with its caption.
pub fn figure(m: &mut Markup, picture: &Inline, words: &str) {
    moved(m, picture, words, None);
}

/// A figure with its caption; the clock of these replays moves a cursor along its axes of time.
pub fn moved(m: &mut Markup, picture: &Inline, words: &str, replays: Option<&str>) {
    match replays.filter(|_| picture.markup.starts_with("<svg data-clocks")) {
        Some(ids) => m.raw(&format!("<figure data-replays=\"{ids}\">\n")),
        None => m.raw("<figure>\n"),
    }
    m.raw(&picture.markup);
    m.raw("\n<figcaption>");
    m.raw(&escaped(words));
    m.raw("</figcaption>\n</figure>\n");
}
