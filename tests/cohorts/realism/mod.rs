//! The realism report: the table of published statistics, statistics against published examples, measures against values by hand,
//! and the command.

#![expect(clippy::needless_for_each, reason = "a line that adds each to a cohort")]
#![expect(clippy::cast_precision_loss, reason = "tests count to hundreds")]
#![expect(clippy::float_cmp, reason = "what is exact is compared as such")]

mod by_hand;
mod command;
mod general;
mod many;
mod statistics;
mod table;

/// Whether two numbers agree to that many digits after the point.
#[track_caller]
fn near(one: f64, other: f64, within: f64) {
    assert!((one - other).abs() <= within, "{one} and {other} differ by more than {within}");
}
