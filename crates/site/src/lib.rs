//! What stands on site: requirements of an installed base, records of poles, and what they mean for an impact. It reads
//! text and returns data; it opens no files, draws nothing and knows no clock.
//!
//! ```text
//! text of a record or list --Record::read, read_list--> Record, what was measured
//! ```

mod csv_text;
mod codes;
mod date;
mod finding;
mod list;
mod measured;
mod record;
pub mod requirements;

pub use codes::{all_codes, explain};
pub use date::Date;
pub use list::{Entry, read_list};
pub use measured::{Measured, NOT_MEASURED, Value};
pub use record::Record;
