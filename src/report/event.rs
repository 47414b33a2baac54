//! What a run reports as it goes: events, one after the other, and who takes them.

use std::io;

use crate::check::finding::Item;
use crate::check::partial::Partial;
use crate::report::acceptance::Accepted;
use crate::report::summary::Summary;

/// Something that happens in a run. Files come in the order of the input, and so does everything within a file. What is found
/// across records comes last, in the same order.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Event<'a> {
    /// The output begins.
    Begin,
    /// A file was opened.
    File(&'a str),
    /// Something was found.
    Finding(Item<'a>),
    /// A finding that is accepted, and so does not count.
    Accepted(Item<'a>, Accepted<'a>),
    /// A record could be checked in part only. Its findings came before.
    Partial {
        /// The file.
        file: &'a str,
        /// The place of the record in it, from 1.
        record: u64,
        /// What could not be checked.
        partial: &'a Partial,
    },
    /// So many more records of the file come from a system.
    Records {
        /// The system, named as outputs may show it.
        system: &'a str,
        /// How many.
        records: u64,
    },
    /// All files have ended. The findings that follow are those across records; there is at least one.
    Across,
    /// The file was read as far as it could be.
    FileEnd {
        /// The file.
        file: &'a str,
        /// The records in it.
        records: u64,
    },
    /// A file could not be read, or not to its end. What was read of it came before.
    Unreadable {
        /// The file.
        file: &'a str,
        /// Why.
        error: &'a io::Error,
    },
    /// A repair refuses the file, or fails as this run does: none of its findings that came before is fixable.
    Refused,
    /// So much has been checked by now.
    Progress {
        /// In bytes.
        bytes: u64,
        /// In records.
        records: u64,
    },
    /// The output ends.
    End(&'a Summary),
}

/// Takes the events of a run. [`Event::Begin`] and [`Event::End`] are not among them: who opens an output sends these.
pub trait Listener {
    /// Takes the next event.
    ///
    /// # Errors
    /// The errors of the listener; they end the run.
    fn event(&mut self, event: &Event<'_>) -> io::Result<()>;
}
