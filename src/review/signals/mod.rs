//! The signals, file by file.

mod attachments;
mod check_ins;
mod trays;
mod visits;
mod wear;

use super::signal::Signal;

/// All signals, in the order in which they are listed.
pub fn all() -> impl Iterator<Item = &'static Signal> {
    let files = [check_ins::SIGNALS, attachments::SIGNALS, wear::SIGNALS, trays::SIGNALS, visits::SIGNALS];
    files.into_iter().flatten().copied()
}

/// The signal with that name.
pub fn find(name: &str) -> Option<&'static Signal> {
    all().find(|signal| signal.name == name)
}
