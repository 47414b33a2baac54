//! Progress on a terminal, when a run takes long; nothing in a pipe.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// A run shorter than this shows nothing.
const PATIENCE: Duration = Duration::from_secs(2);
/// The time between two lines.
const PACE: Duration = Duration::from_millis(200);

/// The progress line on standard error.
pub(crate) struct Progress {
    watched: bool,
    next: Instant,
    shown: bool,
}

impl Progress {
    pub(crate) fn new() -> Self {
        Self { watched: io::stderr().is_terminal(), next: Instant::now() + PATIENCE, shown: false }
    }

    /// Shows how far the run is, if it is time to.
    pub(crate) fn show(&mut self, bytes: u64, records: u64) {
        if !self.watched || Instant::now() < self.next {
            return;
        }
        self.next = Instant::now() + PACE;
        self.shown = true;
        drop(write!(io::stderr(), "\r{records} records, {} MB checked …", bytes / 1_000_000));
    }

    /// Takes the line away before anything else is written.
    pub(crate) fn clear(&mut self) {
        if self.shown {
            drop(write!(io::stderr(), "\r\x1b[K"));
            self.shown = false;
        }
    }
}
