//! One patient.

use std::fmt::Write;

use super::CAUTION;
use crate::output::{visible, wrapped};
use crate::review::Review;

/// The whole story of one record.
pub fn patient(review: &Review, width: usize) -> String {
    let mut text = format!("{} on {}\n\n", visible(&review.record.id.0), review.day);
    for raised in &review.raised {
        let line = format!("{}  {}: {}", raised.rank.words(), raised.signal.name, raised.message());
        let _ = writeln!(text, "{}", wrapped(&line, 0, 4, width));
    }
    let _ = writeln!(text, "\n{}", wrapped(CAUTION, 0, 0, width));
    text
}
