//! The review as one self-contained HTML page: no script, no font, no network. Every drawing has its numbers in a table.

#![expect(clippy::cast_precision_loss, reason = "counts and places in a drawing are far below 2^52")]

mod calendar;
mod dates;
mod days;
mod figures;
mod lags;
mod lifelines;
mod odontogram;
mod patient;
mod quality;
mod shell;
mod signals;
mod timeline;
mod tracking;
mod values;
mod worklist;

pub use patient::patient;

use super::clinic::Clinic;
use super::entry::Entry;
use shell::page;

/// The page of a clinic: the records in `list`, the most urgent first, of `shown` that could be shown; and the totals of all
/// records of the review.
pub fn clinic(list: &[Entry], shown: u64, clinic: &Clinic) -> String {
    let sections = [
        ("worklist", "Worklist", worklist::html(list, shown)),
        ("tracking", "Teeth that lag", tracking::clinic(clinic)),
        ("wear", "Wear", figures::wear(clinic)),
        ("times", "Times", figures::times(clinic)),
        ("counts", "Signals and states", figures::counts(clinic)),
        ("quality", "Data quality", quality::html(clinic)),
    ];
    page(&format!("Who needs attention{}", worklist::on(clinic)), &worklist::lead(clinic), sections)
}
