//! The command line's grammar.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use giveway_study::plan::Histories;
use giveway_units::System;

use crate::exit;

/// What happens when a vehicle strikes a lighting pole on a slip base.
///
/// Results are engineering estimates: no substitute for a full-scale test or approval; local codes and
/// licensed practice decide.
#[derive(Debug, Parser)]
#[command(name = "giveway", version, after_help = exit::HELP)]
pub struct Arguments {
    /// Units that people read: si or us; files keep SI [default: those of the profile, else GIVEWAY_UNITS, else as an
    /// inspection was written, else si]
    #[arg(long, global = true, value_name = "SYSTEM", value_parser = units)]
    pub units: Option<System>,
    /// An agency's profile (TOML): limits, torques, documents, units [default: the one that the scenario names, else
    /// GIVEWAY_PROFILE, else the trade's own rules]
    #[arg(long, global = true, value_name = "FILE")]
    pub profile: Option<PathBuf>,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Reads `si` or `us`.
fn units(text: &str) -> Result<System, String> {
    System::named(text).ok_or_else(|| "write si or us".to_owned())
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Compute scenarios and write a folder of results for each
    Run(Run),
    /// Read scenarios, studies, records and other documents, report every problem and what was assumed; writes nothing
    Check(Check),
    /// Explain a diagnostic code, or list them all
    Explain(Explain),
    /// Print a resolved scenario in SI as JSON, with the stiffnesses of its joint
    Export(Export),
    /// Print the installation sheet of a scenario: bolts, torque, clearances, sling, lean, sequence
    Sheet(Sheet),
    /// Find the torque window: what stands in the wind and lets go in an impact
    Window(Window),
    /// Compute the many runs of a study file, or go on with them
    Study(Study),
    /// Join the parts of a study that was computed in parts, and list what is missing
    Merge(Merge),
    /// Draw a closed study: surfaces, curves with bands, shares beyond a limit, sensitivities
    Draw(Draw),
    /// Paint a film of computed runs, side by side on one clock: numbered pictures and an animated one
    Film(Film),
    /// Write the motion of a computed run as an animated 3-D scene (glTF 2.0)
    Scene(Scene),
    /// Write one page for a run, for several side by side, for a study, or for a torque window
    Report(Report),
    /// Clean the record of a test and judge it like a computed run
    Record(Record),
    /// Fit parameters to what was measured, and say what the data does not tell
    Fit(Fit),
    /// Say which test, or which two, would tell most
    Plan(PlanTests),
    /// Hold what was measured on site against the requirements and say what it means for an impact
    Inspect(Inspect),
    /// Write an offline page on which an inspector enters one pole of a type, for phone and tablet
    Form(Form),
    /// Write one offline page on which a scenario answers while sliders are moved, with the engine in it
    Page(Page),
    /// Say what differs between old and new results, and by how much
    Compare(Compare),
    /// Compute results again from their folder alone and compare every byte
    Rerun(Rerun),
    /// Add a reviewer's signed-off note to results, or list the notes
    Note(Note),
    /// Sign results with a key, or check the seals that are there; prints a line to file
    Seal(Seal),
    /// Compute the cases of a lesson and write its page, handout and key
    Lesson(LessonArguments),
}

/// How results are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// One JSON object per scenario, one per line.
    Json,
}

/// Scenario files with changes to them.
#[derive(Debug, Args)]
pub struct Files {
    /// Scenario files (TOML)
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Change one value of every file, for example --set impact.speed="50 km/h"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
}

/// `giveway run`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Run {
    /// What to compute.
    #[command(flatten)]
    pub input: Files,
    /// Results of an earlier test of the same vehicle: its face starts as that test left it (`vehicle.front.used`, `vehicle.side.used`)
    #[arg(long, value_name = "FOLDER")]
    pub used: Option<PathBuf>,
    /// Folder for the results; with several files, a folder in it for each [default: runs/ and the file's stem]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
    /// How to print the results
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Draw no figures
    #[arg(long)]
    pub no_figures: bool,
    /// Do not compute what each installation condition found does, by the same impact with it put right
    #[arg(long)]
    pub no_counterfactuals: bool,
    /// Exit with code 5 when a verdict is "fail"
    #[arg(long)]
    pub strict: bool,
}

/// `giveway check`.
#[derive(Debug, Args)]
pub struct Check {
    /// What to check.
    #[command(flatten)]
    pub input: Files,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
    /// How to print; as JSON, an editor finds every problem with its line and column
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `giveway explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// Code, for example S012; none lists them all
    #[arg(value_name = "CODE")]
    pub code: Option<String>,
}

/// `giveway export`.
#[derive(Debug, Args)]
pub struct Export {
    /// Scenario file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Change one value, for example --set impact.speed="50 km/h"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Print a stated free flight of the support instead: start, duration and end
    #[arg(long)]
    pub flight: bool,
}

/// How an installation sheet is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SheetFormat {
    /// For a terminal.
    Text,
    /// Printable on one leaf, A4 or US Letter.
    Html,
    /// Every number, SI.
    Json,
}

/// `giveway sheet`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Sheet {
    /// Scenario file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Change one value, for example --set slip_base.clamp.torque="150 N.m"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Write this file instead of printing; a name that ends in .html or .json asks for that format
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Format [default: by the name of --out, else text]
    #[arg(long, value_enum)]
    pub format: Option<SheetFormat>,
}

/// `giveway window`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Window {
    /// Scenario file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Change one value, for example --set slip_base.bolt_circle="400 mm"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Vehicle class to pass; may be repeated [default: that of the governing document's tests]
    #[arg(long, value_name = "CLASS")]
    pub vehicle: Vec<String>,
    /// Speed to pass, for example "30 km/h"; may be repeated [default: those of the governing document's tests]
    #[arg(long, value_name = "SPEED", allow_hyphen_values = true)]
    pub speed: Vec<String>,
    /// Direction of travel to pass, for example "20 deg"; may be repeated [default: that of the scenario]
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    pub heading: Vec<String>,
    /// Place on the front to pass: a length to the left of the centre, or centre, quarter-left, quarter-right, corner-left,
    /// corner-right; may be repeated [default: those of the governing document's tests]
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    pub offset: Vec<String>,
    /// Document by whose tests and limits to judge, by its name in the scenario file; may be repeated, each with rows of its
    /// own [default: the scenario's first]
    #[arg(long, value_name = "NAME")]
    pub document: Vec<String>,
    /// What decides an impact: blow (dents are remarks), velocity (release and velocity alone) or everything
    /// [default: blow]
    #[arg(long, value_name = "CHECKS")]
    pub criteria: Option<String>,
    /// Instead: which bolt size, bolt circle and number of bolts have a window, the widest first
    #[arg(long, conflicts_with_all = ["confidence", "fragility", "directions", "changes"])]
    pub search: bool,
    /// Bolt size for --search, for example M24; may be repeated [default: the design's and two beside it each way]
    #[arg(long, value_name = "SIZE", requires = "search")]
    pub bolt_size: Vec<String>,
    /// Diameter of the bolt circle for --search; may be repeated [default: 85, 100, 115 and 130 % of the design's]
    #[arg(long, value_name = "LENGTH", requires = "search")]
    pub bolt_circle: Vec<String>,
    /// Number of bolts for --search; may be repeated [default: 3 and 4]
    #[arg(long, value_name = "COUNT", requires = "search")]
    pub bolts: Vec<usize>,
    /// Also the window that this part of all bases shares under the standard scatter, for example 0.9
    #[arg(long, value_name = "PART")]
    pub confidence: Option<f64>,
    /// Also the probability of failing each impact against the torque, at this many torques
    #[arg(long, value_name = "TORQUES")]
    pub fragility: Option<usize>,
    /// Also strike the base from this many directions, evenly round
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=720))]
    pub directions: Option<u16>,
    /// Realisations of the scatter
    #[arg(long, value_name = "COUNT", default_value_t = 200)]
    pub realisations: u64,
    /// Root of the random numbers
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Also try the changes to the design that are tried where there is no window
    #[arg(long)]
    pub changes: bool,
    /// Write window.json, window.txt and the figures into this folder; of a search designs.json and designs.txt
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// How to print
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// What the commands of many runs share.
#[derive(Debug, Args)]
pub struct ManyRuns {
    /// Change one value of every run, for example --set site.wind.speed="40 m/s"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Threads [default: one for each core]
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway study`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Study {
    /// Study file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Folder for the results [default: studies/ and the file's stem, with the part if it is one]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Compute one of several equal parts only, for example 3/8; `giveway merge` joins them
    #[arg(long, value_name = "I/N", value_parser = part)]
    pub part: Option<(u64, u64)>,
    /// Check the file, say how many runs there are and what they will cost, and run nothing of the study
    #[arg(long)]
    pub dry_run: bool,
    /// Print runs, hash of the plan, version of the model and the runs of each part as JSON, and run nothing
    #[arg(long)]
    pub plan_json: bool,
    /// The plan was checked before and has this hash (`--plan-json` prints it): its values are not tried again, and another plan
    /// is refused
    #[arg(long, value_name = "HASH")]
    pub plan_hash: Option<String>,
    /// End with 0 when the study is complete, also where runs failed: they are rows with their reason
    #[arg(long)]
    pub failed_rows_are_results: bool,
    /// Time histories of these runs: none, all, or numbers such as 0,17 [default: what the file says]
    #[arg(long, value_name = "RUNS", value_parser = histories)]
    pub histories: Option<Histories>,
    /// Go on in a folder that holds runs of another plan or version of the model
    #[arg(long)]
    pub mix: bool,
    /// Leave `runs.csv` out: of many runs it takes most of the disk
    #[arg(long)]
    pub no_csv: bool,
    #[command(flatten)]
    pub runs: ManyRuns,
}

/// `giveway record`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Record {
    /// Description of the laboratory's file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Folder for the results [default: records/ and the file's stem]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Change one value of the scenario, for example --set impact.speed="29.4 km/h"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway fit`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Fit {
    /// Fit file (TOML): a study file with data
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Folder for the results [default: fits/ and the file's stem]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub runs: ManyRuns,
}

/// `giveway plan`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct PlanTests {
    /// File of candidate tests (TOML): a study file with what would be measured
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Folder for the results; without it they are printed only
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Single tests and pairs that are listed
    #[arg(long, value_name = "COUNT", default_value_t = 8)]
    pub list: usize,
    #[command(flatten)]
    pub runs: ManyRuns,
}

/// `giveway merge`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Merge {
    /// Folders of the parts
    #[arg(required = true, value_name = "PART")]
    pub parts: Vec<PathBuf>,
    /// Folder for the whole
    #[arg(long, value_name = "DIR", required = true)]
    pub out: PathBuf,
    /// Join parts of different plans or versions of the model; of a run that stands in two, the first given counts
    #[arg(long)]
    pub mix: bool,
    /// Leave `runs.csv` out
    #[arg(long)]
    pub no_csv: bool,
    /// Leave the table in the parts' Parquet files, in the folder `runs`, and write none of it again
    #[arg(long, conflicts_with = "mix")]
    pub by_part: bool,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway draw`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Draw {
    /// Folder of a closed or merged study
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Swept quantity along: a column of the table or a path of the scenario [default: torque, or what has most values]
    #[arg(long, value_name = "PATH")]
    pub x: Option<String>,
    /// Swept quantity up, of surfaces; each of its values is a curve of its own against the first [default: the next one]
    #[arg(long, value_name = "PATH")]
    pub y: Option<String>,
    /// Column of the table to draw; may be repeated [default: velocity change, impact velocity, ridedown, margin, force,
    /// time of release, crush]
    #[arg(long, value_name = "COLUMN")]
    pub value: Vec<String>,
    /// Keep a swept quantity at one of its values, as it stands in the table (SI); may be repeated [default: the middle one]
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub at: Vec<(String, String)>,
    /// Quantile that a surface shows where many runs fall on one place, 0 to 1
    #[arg(long, value_name = "PART", default_value_t = 0.5, value_parser = part_of_one)]
    pub quantile: f64,
    /// Limit of the columns asked for, in their unit, instead of that of the governing document
    #[arg(long, value_name = "NUMBER", requires = "value", value_parser = finite, allow_negative_numbers = true)]
    pub limit: Option<f64>,
    /// Folder for figures and analysis.json [default: figures in the study's folder]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// What a film looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FilmLook {
    /// The whole scene from the right of the travel, with close-ups of the slip base.
    Side,
    /// The whole scene from above.
    Plan,
    /// Only the slip base, from the side and from above.
    Base,
    /// The section through the bolt that lies furthest ahead, then the whole scene.
    Section,
}

/// `giveway film`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Film {
    /// Folders of runs, shown side by side in this order
    #[arg(required = true, value_name = "RESULT")]
    pub results: Vec<PathBuf>,
    /// Folder for the pictures
    #[arg(long, value_name = "DIR", default_value = "film")]
    pub out: Option<PathBuf>,
    /// What stands over each run, in their order; may be repeated [default: the title of its scenario]
    #[arg(long, value_name = "TEXT")]
    pub heading: Vec<String>,
    /// Width and height of a picture in pixels [default: 960x720 for one run, 640 in width for each of several]
    #[arg(long, value_name = "WIDTHxHEIGHT", value_parser = picture_size)]
    pub size: Option<(u32, u32)>,
    /// Speed while vehicle and base are at work, as a part of the true one: 1/60, 0.02
    #[arg(long, value_name = "PART", default_value = "1/50", value_parser = speed)]
    pub speed: f64,
    /// Speed after that
    #[arg(long, value_name = "PART", default_value = "1/3", value_parser = speed)]
    pub speed_after: f64,
    /// Pictures a second
    #[arg(long, value_name = "NUMBER", default_value_t = 20.0)]
    pub frames_per_second: f64,
    /// What to look at
    #[arg(long, value_enum, default_value = "side")]
    pub view: FilmLook,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway scene`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Scene {
    /// Folder of a run
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// File to write [default: the folder's name with .glb]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway page`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Page {
    /// Scenario file (TOML)
    #[arg(value_name = "SCENARIO")]
    pub file: PathBuf,
    /// Change one value before the page begins, for example --set impact.speed="50 km/h"; may be repeated
    #[arg(long, value_name = "PATH=VALUE", value_parser = assignment)]
    pub set: Vec<(String, String)>,
    /// Lesson whose cases can be opened on the page [default: the shipped one for installers]
    #[arg(long, value_name = "LESSON")]
    pub lesson: Option<PathBuf>,
    /// The file [default: the scenario's name with .html]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway report`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Report {
    /// Results folders of runs, shown side by side in this order, or the folder of one closed study or window
    #[arg(required = true, value_name = "RESULT")]
    pub results: Vec<PathBuf>,
    /// The file [default: the folder's name and .html beside it; report.html for several]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Figures by name, separated by commas; of runs storyboard,motion,contact,flight,joint,energy, of a study those that
    /// `giveway draw` lists; none [default: all]
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub figures: Option<Vec<String>>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `1280x720`.
fn picture_size(text: &str) -> Result<(u32, u32), String> {
    let parts = text.split_once(['x', 'X']);
    match parts.map(|(w, h)| (w.trim().parse::<u32>(), h.trim().parse::<u32>())) {
        Some((Ok(w), Ok(h))) if (160..=7680).contains(&w) && (160..=7680).contains(&h) => {
            Ok((w, h))
        }
        _ => Err("give width and height from 160 to 7680, for example 1280x720".to_owned()),
    }
}

/// A speed as a decimal number or a fraction, above 0.
fn speed(text: &str) -> Result<f64, String> {
    let number = match text.split_once('/') {
        Some((a, b)) => match (a.trim().parse::<f64>(), b.trim().parse::<f64>()) {
            (Ok(a), Ok(b)) => Some(a / b),
            _ => None,
        },
        None => text.trim().parse::<f64>().ok(),
    };
    match number {
        Some(x) if x.is_finite() && x > 0.0 => Ok(x),
        _ => Err("give a number or fraction above 0, for example 1/50".to_owned()),
    }
}

/// A number from 0 to 1.
fn part_of_one(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(part) if (0.0..=1.0).contains(&part) => Ok(part),
        _ => Err("give a number from 0 to 1, for example 0.9".to_owned()),
    }
}

/// A finite number.
fn finite(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => Err("give a plain number in the unit of the column, for example 4.88".to_owned()),
    }
}

/// How an inspection is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum InspectFormat {
    /// For a terminal.
    Text,
    /// Every number, SI.
    Json,
    /// Two printable pages at most, A4 or US Letter; of many poles the list.
    Html,
}

/// `giveway inspect`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Inspect {
    /// A site record (TOML), a folder of them, or a list of poles (CSV, one row a pole)
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// Of a folder or a list, this pole only
    #[arg(long, value_name = "ID")]
    pub pole: Option<String>,
    /// One pole: write this file instead of printing; a name that ends in .html or .json asks for that format. Many
    /// poles: write a folder with the list (CSV, JSON, Parquet, text) and every inspection
    #[arg(long, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// Format of what is printed [default: by the name of --out, else text]
    #[arg(long, value_enum)]
    pub format: Option<InspectFormat>,
}

/// `giveway form`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Form {
    /// Scenario of the pole's type (TOML)
    #[arg(value_name = "TYPE")]
    pub file: PathBuf,
    /// Write this file [default: the type's name and .html beside it]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// How records name the type, a path from their folder [default: as given]
    #[arg(long, value_name = "PATH")]
    pub type_path: Option<String>,
}

/// `giveway compare`.
#[derive(Debug, Args)]
#[command(after_help = COMPARE_HELP)]
pub struct Compare {
    /// Folder of the old run or closed study
    #[arg(value_name = "OLD")]
    pub old: PathBuf,
    /// Folder of the new one
    #[arg(value_name = "NEW")]
    pub new: PathBuf,
    /// Largest relative difference that counts as the same, of everything or below a path, for example 1e-6 or
    /// contact=1e-3; may be repeated, the longest path counts [default: 0]
    #[arg(long, value_name = "[PATH=]WIDTH", value_parser = width)]
    pub tolerance: Vec<(String, f64)>,
    /// The same in the number's own unit, for example velocity_change=0.01
    #[arg(long, value_name = "[PATH=]WIDTH", value_parser = width)]
    pub absolute: Vec<(String, f64)>,
    /// Match the runs of studies by what is computed instead of by their numbers
    #[arg(long)]
    pub by_key: bool,
    /// Most changes that are listed of each kind
    #[arg(long, value_name = "COUNT", default_value_t = 20)]
    pub list: usize,
    /// Write comparison.json and, of runs, the traces laid over each other (SVG, PNG, text) into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// How to print
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// Exit codes of `compare`.
const COMPARE_HELP: &str = "\
Exit codes:
  0  the same within the tolerances: no input, number or word differs
  1  they differ
  2  the command line is wrong, or one is a run and the other a study
  4  a file could not be read or written
 14  a folder holds no results that can be looked at";

/// `giveway rerun`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Rerun {
    /// Folders of runs and closed studies
    #[arg(required = true, value_name = "RESULT")]
    pub results: Vec<PathBuf>,
    /// Rows of a study to compute again, drawn at random
    #[arg(long, value_name = "COUNT", default_value_t = 100, value_parser = clap::value_parser!(u64).range(1..))]
    pub rows: u64,
    /// The reviewer's own number, by which the rows are drawn [default: one that nobody can know]
    #[arg(long, value_name = "NUMBER")]
    pub number: Option<u64>,
    /// Compute every row of a study again and compare every byte of its tables
    #[arg(long)]
    pub all: bool,
    /// Study file of a study whose folder does not keep its plan
    #[arg(long, value_name = "FILE")]
    pub plan: Option<PathBuf>,
    /// Let numbers of a run differ by this part of the larger one, everywhere or below a path, as on another platform; what
    /// differs is told all the same. May be repeated
    #[arg(long, value_name = "[PATH=]PART", value_parser = width)]
    pub tolerance: Vec<(String, f64)>,
    /// Demand a seal by one of these public keys: one a line, the name before it
    #[arg(long, value_name = "FILE")]
    pub signers: Option<PathBuf>,
    /// Demand the manifest with this SHA-256, as it was printed and filed
    #[arg(long, value_name = "SHA256")]
    pub anchor: Option<String>,
    /// Also write a review record, one page for print: what was computed again, on what, outcome, notes, seals, tolerance
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// How to print
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// `giveway note`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Note {
    /// Folder of a run or of a closed study
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// Who signs the note
    #[arg(long, value_name = "NAME", requires = "text")]
    pub name: Option<String>,
    /// Day, for example 2026-03-31 [default: today, UTC]
    #[arg(long, value_name = "DAY", requires = "text")]
    pub date: Option<String>,
    /// What is said
    #[arg(long, value_name = "TEXT", requires = "name")]
    pub text: Option<String>,
}

/// `giveway seal`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct Seal {
    /// Folder of a run or of a closed study
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// Private key that signs: Ed25519, as `ssh-keygen -t ed25519` makes it, without a passphrase
    #[arg(long, value_name = "FILE")]
    pub key: Option<PathBuf>,
    /// Public keys whose names are told: one a line, the name before it
    #[arg(long, value_name = "FILE")]
    pub signers: Option<PathBuf>,
}

/// `giveway lesson`.
#[derive(Debug, Args)]
#[command(after_help = exit::HELP)]
pub struct LessonArguments {
    /// Lesson file (TOML)
    #[arg(value_name = "LESSON")]
    pub file: PathBuf,
    /// Folder for lesson.html, handout.html and key.html [default: lessons/ and the file's stem]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print problems only
    #[arg(long, short)]
    pub quiet: bool,
}

/// Splits `path=value` at the first equals sign.
fn assignment(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((path, value)) if !path.trim().is_empty() => {
            Ok((path.trim().to_owned(), value.trim().to_owned()))
        }
        _ => Err("write it as PATH=VALUE, for example impact.speed=\"50 km/h\"".to_owned()),
    }
}

/// Reads `width` or `path=width`.
fn width(text: &str) -> Result<(String, f64), String> {
    let (path, number) = text.rsplit_once('=').unwrap_or(("", text));
    match number.trim().parse::<f64>() {
        Ok(width) if width.is_finite() && width >= 0.0 => Ok((path.trim().to_owned(), width)),
        _ => Err("give a number from 0 on, for example 1e-6, or PATH=1e-6".to_owned()),
    }
}

/// Reads `i/n`.
fn part(text: &str) -> Result<(u64, u64), String> {
    let numbers = text.split_once('/').and_then(|(part, parts)| {
        Some((
            part.trim().parse::<u64>().ok()?,
            parts.trim().parse::<u64>().ok()?,
        ))
    });
    match numbers {
        Some((part, parts)) if 1 <= part && part <= parts => Ok((part, parts)),
        _ => Err("write it as I/N with I from 1 to N, for example 3/8".to_owned()),
    }
}

/// Reads which runs leave histories.
fn histories(text: &str) -> Result<Histories, String> {
    match text.trim() {
        "none" => Ok(Histories::None),
        "all" => Ok(Histories::All),
        list => list
            .split(',')
            .map(|number| number.trim().parse())
            .collect::<Result<_, _>>()
            .map(Histories::Runs)
            .map_err(|_| "write none, all, or numbers of runs such as 0,17".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_grammar_is_sound() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn assignments_split_at_the_first_equals_sign() {
        assert_eq!(assignment("a.b = c=d"), Ok(("a.b".into(), "c=d".into())));
        assert!(assignment("a.b").is_err());
        assert!(assignment("=c").is_err());
    }
}
