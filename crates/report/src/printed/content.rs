//! What stands on a page, as plain data. Every text is plain: it is escaped when the page is written.

use giveway_occupant::Outcome;
use giveway_site::Decision;

/// A page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// What kind of page it is, for example `Installation sheet`.
    pub kind: String,
    /// What it is about: the title of the scenario, the identifier of the pole.
    pub title: String,
    /// Title block: names and values.
    pub facts: Vec<(String, String)>,
    /// The one verdict of the page, under the title block.
    pub verdict: Option<Verdict>,
    /// Bands, one below the other.
    pub bands: Vec<Band>,
    /// Lines to sign: who signs for what. Each gets a line for name, date and signature.
    pub signatures: Vec<String>,
    /// The caution at the foot.
    pub caution: String,
    /// Sheets of paper that it may take; 0 counts as one.
    pub sheets: usize,
    /// Smallest type, pt; 0 = that of one-page documents.
    pub least_pt: f64,
}

impl Document {
    /// An empty page of that kind with that title.
    pub fn new(kind: &str, title: &str) -> Self {
        Self {
            kind: kind.to_owned(),
            title: title.to_owned(),
            ..Self::default()
        }
    }
}

/// Columns side by side.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Band {
    /// The columns, left to right.
    pub columns: Vec<Column>,
}

impl Band {
    /// A band of one column.
    pub fn whole(sections: Vec<Section>) -> Self {
        Self {
            columns: vec![Column {
                share: 1.0,
                sections,
            }],
        }
    }
}

/// Sections one below the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Share of the width, compared with its neighbours'.
    pub share: f64,
    /// The sections.
    pub sections: Vec<Section>,
}

/// A heading and what stands below it.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Heading.
    pub heading: String,
    /// Parts below it.
    pub parts: Vec<Part>,
}

impl Table {
    /// A table with columns of these heads and shares; a head that ends in `>` belongs to a column of numbers.
    pub fn new(caption: &str, columns: &[(&str, f64)], rows: Vec<Row>) -> Self {
        let head = |(head, share): &(&str, f64)| match head.strip_suffix('>') {
            Some(head) => Head::right(head, *share),
            None => Head::left(head, *share),
        };
        Self {
            caption: caption.to_owned(),
            columns: columns.iter().map(head).collect(),
            rows,
        }
    }
}

impl Row {
    /// A row.
    pub fn new(head: impl Into<String>, cells: Vec<Cell>) -> Self {
        Self {
            head: head.into(),
            cells,
        }
    }
}

impl Section {
    /// A section of one part.
    pub fn one(heading: &str, part: Part) -> Self {
        Self::new(heading, vec![part])
    }

    /// A section.
    pub fn new(heading: &str, parts: Vec<Part>) -> Self {
        Self {
            heading: heading.to_owned(),
            parts,
        }
    }
}

/// A piece of a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// A paragraph.
    Text(String),
    /// A paragraph that matters: in a frame, its first words bold.
    Notice(String, String),
    /// Bullet points.
    List(Vec<String>),
    /// Names and values in two columns.
    Facts(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// Numbered steps.
    Steps(Vec<Step>),
    /// A picture.
    Picture(Picture),
}

/// One numbered step with a box to tick.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Step {
    /// What to do, an imperative sentence.
    pub text: String,
    /// Remarks below it, each with its first word: why, what else.
    pub notes: Vec<(String, String)>,
    /// Values to write down, each beside an empty line.
    pub blanks: Vec<String>,
    /// A hold point: work stops here until somebody has signed; it says what is released.
    pub hold: Option<String>,
}

/// A table whose first column names the rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Heads of the columns, that of the row names first.
    pub columns: Vec<Head>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// Head of a column.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Text.
    pub text: String,
    /// Share of the width, compared with the other columns'.
    pub share: f64,
    /// Alignment of the column.
    pub align: Align,
}

impl Head {
    /// A column of words.
    pub fn left(text: &str, share: f64) -> Self {
        Self {
            text: text.to_owned(),
            share,
            align: Align::Left,
        }
    }

    /// A column of numbers.
    pub fn right(text: &str, share: f64) -> Self {
        Self {
            text: text.to_owned(),
            share,
            align: Align::Right,
        }
    }
}

/// Alignment of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Name of the row.
    pub head: String,
    /// Its cells, without the name; missing ones are left empty.
    pub cells: Vec<Cell>,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Plain text.
    Text(String),
    /// A verdict word in its frame.
    Verdict(Mark, String),
    /// An empty line to be written on by hand.
    Blank,
}

impl Cell {
    /// Plain text.
    pub fn text(text: &str) -> Self {
        Self::Text(text.to_owned())
    }

    /// A verdict word.
    pub fn verdict(mark: Mark, word: &str) -> Self {
        Self::Verdict(mark, word.to_owned())
    }
}

/// How a verdict word is framed. The word says it; the frame only helps the eye, in grey as well as in colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Thin frame: the requirement is met.
    Meets,
    /// Dashed frame: close to a limit.
    Near,
    /// Thick double frame and bold: not met.
    Fails,
    /// Dotted frame, slanted: not measured, cannot tell.
    Open,
}

impl Mark {
    /// Its class in the style sheets.
    pub(crate) fn class(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::Near => "near",
            Self::Fails => "fails",
            Self::Open => "open",
        }
    }
}

impl From<Outcome> for Mark {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Pass => Self::Meets,
            Outcome::Marginal => Self::Near,
            Outcome::Fail => Self::Fails,
            Outcome::NotEvaluated => Self::Open,
        }
    }
}

impl From<Decision> for Mark {
    fn from(decision: Decision) -> Self {
        match decision {
            Decision::Go => Self::Meets,
            Decision::CannotTell => Self::Open,
            Decision::NoGo => Self::Fails,
        }
    }
}

/// A verdict with its sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Frame.
    pub mark: Mark,
    /// The verdict in one or two words.
    pub word: String,
    /// What it means.
    pub sentence: String,
}

impl Verdict {
    /// A verdict.
    pub fn new(mark: Mark, word: &str, sentence: &str) -> Self {
        Self {
            mark,
            word: word.to_owned(),
            sentence: sentence.to_owned(),
        }
    }
}

/// A picture, drawn as scalable vectors inside the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// What it shows, in a few words; also its caption.
    pub title: String,
    /// The same in words with numbers, for those who do not see it.
    pub description: String,
    /// Width in its own units.
    pub width: f64,
    /// Height in its own units.
    pub height: f64,
    /// SVG elements, already escaped, without the outer `svg`.
    pub body: String,
    /// Width on paper, mm; it is never wider than its column.
    pub width_mm: f64,
}
