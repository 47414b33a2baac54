//! The review in text, for a terminal.

mod patient;
mod worklist;

pub use patient::patient;
pub(super) use patient::what_is_due;
pub use worklist::worklist;

use super::entry::Entry;

/// Printed under every review.
pub const CAUTION: &str = "Record-keeping and test data, not a medical device: signals name what to look at, never a treatment. Licensed \
                           clinicians and local rules decide.";

/// One JSON object a line.
pub fn lines(list: &[Entry]) -> String {
    list.iter().flat_map(|entry| [entry.json().to_string(), "\n".to_owned()]).collect()
}
