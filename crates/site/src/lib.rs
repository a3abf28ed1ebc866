//! What stands on site: requirements of an installed base, records of poles, and what they mean for an impact; and the
//! installation sheet of a scenario. It reads text and returns data; it opens no files, draws nothing and knows no clock.
//!
//! ```text
//! text of a record or list --Record::read, read_list--> Record, what was measured
//! Record, PoleType --inspect--> Inspection    items, governing tests, order, what was not measured, decision
//! many of them --inspect_all, survey--> Survey    one line a pole, the worst first
//! ```

mod codes;
mod csv_text;
mod date;
mod decision;
mod finding;
mod inspection;
mod judging;
mod list;
mod measured;
mod order;
mod pole_type;
pub mod profile;
mod record;
mod reference;
pub mod requirements;
mod settings;
pub mod sheet;
mod solver;
mod survey;
mod survey_table;

pub use codes::{all_codes, explain};
pub use date::{Date, span_of_days};
pub use decision::{Decision, Open, RULE, TestResult};
pub use finding::{At, Said, diagnostic};
pub use giveway_study::{GoverningTest, governing};
pub use inspection::{ConditionResult, Inspection, Note, Step, inspect, inspect_in};
pub use judging::ItemResult;
pub use list::{Entry, pole_in_row, read_list};
pub use measured::{Measured, NOT_MEASURED, Value};
pub use pole_type::{PoleType, Solver, TestNumbers};
pub use profile::{Assembly, Profile};
pub use record::{Record, pole_named};
pub use reference::{requirements_markdown, schemas};
pub use requirements::limit_words;
pub use settings::{Assumed, Setting};
pub use solver::solve;
pub use survey::{Inspected, PoleLine, Survey, Unreadable, inspect_all, latest, survey};
