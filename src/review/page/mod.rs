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
use shell::{Page, Section};

/// The page of a clinic: the records in `list`, the most urgent first, of `shown` that could be shown; and the totals of all
/// records of the review.
pub fn clinic(list: &[Entry], shown: u64, clinic: &Clinic) -> String {
    let on = worklist::on(clinic);
    let page = Page {
        title: format!("Who needs attention{on}"),
        lead: worklist::lead(clinic),
        sections: vec![
            Section::new("worklist", "Worklist", worklist::html(list, shown)),
            Section::new("tracking", "Teeth that lag", tracking::clinic(clinic)),
            Section::new("wear", "Wear", figures::wear(clinic)),
            Section::new("times", "Times", figures::times(clinic)),
            Section::new("counts", "Signals and states", figures::counts(clinic)),
            Section::new("quality", "Data quality", quality::html(clinic)),
        ],
    };
    page.html()
}
