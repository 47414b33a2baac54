//! One patient: the whole record, part by part.

mod attachments;
mod due;
mod head;
mod lines;
mod measured;
mod ribbon;
mod teeth;
mod trays;
mod wear;

pub(in crate::review) use due::told as what_is_due;

use super::CAUTION;
use crate::review::{Raised, Review};
use lines::WrappedLines;

/// The whole record, in lines of at most `width` columns; widths below 48 columns may be exceeded.
pub fn patient(review: &Review, width: usize) -> String {
    let mut lines = WrappedLines::new(width);
    head::tell(review, &mut lines);
    signals(&review.raised, &mut lines);
    due::tell(review, &mut lines);
    trays::tell(review, &mut lines);
    wear::tell(review, &mut lines);
    teeth::tell(review, &mut lines);
    attachments::tell(review, &mut lines);
    measured::tell(review, &mut lines);
    lines.blank();
    lines.told("", CAUTION);
    lines.into_text()
}

/// The signals, each with its reason and what would usually be considered.
fn signals(raised: &[Raised], lines: &mut WrappedLines) {
    lines.title("signals");
    for one in raised {
        lines.named(one.priority.words(), &format!("{}: {}", one.signal.name, one.message()));
        if let Some(consider) = one.consider() {
            lines.named("", &format!("consider {consider}"));
        }
    }
    if raised.is_empty() {
        lines.told("  ", "none raised");
    }
}
