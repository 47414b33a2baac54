//! Progress on a terminal, when a run takes long; nothing in a pipe.

use open_aligner_record::counted;
use std::cell::Cell;
use std::io::{self, IsTerminal, Write};
use std::rc::Rc;
use std::time::{Duration, Instant};

use super::is_quiet;

/// A run shorter than this shows nothing.
const PATIENCE: Duration = Duration::from_secs(2);
/// The time between two lines.
const PACE: Duration = Duration::from_millis(200);

/// The progress line on standard error.
pub(crate) struct Progress {
    watched: bool,
    begun: Instant,
    next: Instant,
    shown: Rc<Cell<bool>>,
}

impl Progress {
    pub(crate) fn new() -> Self {
        let begun = Instant::now();
        Self { watched: io::stderr().is_terminal() && !is_quiet(), begun, next: begun + PATIENCE, shown: Rc::default() }
    }

    /// Shows how far the run is, if it is time to.
    pub(crate) fn show(&mut self, bytes: u64, records: u64) {
        if !self.watched || Instant::now() < self.next {
            return;
        }
        self.next = Instant::now() + PACE;
        self.shown.set(true);
        drop(write!(io::stderr(), "\r{}, {} MB checked …", counted(records, "record"), bytes / 1_000_000));
    }

    /// Shows how many records of how many are made, and about how long the rest takes, if it is time to.
    pub(crate) fn made(&mut self, records: u64, of: u64) {
        let now = Instant::now();
        if !self.watched || now < self.next || records == 0 {
            return;
        }
        self.next = now + PACE;
        self.shown.set(true);
        let (made, all) = (u32::try_from(records).unwrap_or(u32::MAX), u32::try_from(of).unwrap_or(u32::MAX));
        let left = self.begun.elapsed().mul_f64(f64::from(all.saturating_sub(made)) / f64::from(made));
        drop(write!(io::stderr(), "\r{}\x1b[K", made_line(records, of, left)));
    }

    /// Takes the line away before anything else is written to standard error.
    pub(crate) fn clear(&self) {
        clear(&self.shown);
    }

    /// Standard output, which takes the line away before it is written to.
    pub(crate) fn stdout(&self) -> impl Write + use<> {
        Behind { shown: Rc::clone(&self.shown) }
    }
}

/// How far a run is.
fn made_line(records: u64, of: u64, left: Duration) -> String {
    let left = match left.as_secs() {
        seconds @ ..=99 => format!("{seconds} s"),
        seconds @ ..=5999 => format!("{} min", seconds.div_ceil(60)),
        seconds => format!("{} h {} min", seconds / 3600, seconds % 3600 / 60),
    };
    format!("{records} of {} generated, about {left} left …", counted(of, "patient"))
}

fn clear(shown: &Cell<bool>) {
    if shown.replace(false) {
        drop(write!(io::stderr(), "\r\x1b[K"));
    }
}

struct Behind {
    shown: Rc<Cell<bool>>,
}

impl Write for Behind {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        clear(&self.shown);
        io::stdout().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        io::stdout().flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_is_told_in_the_unit_that_it_is_long_in() {
        let line = |seconds| made_line(10, 30, Duration::from_secs(seconds));
        assert_eq!(line(99), "10 of 30 patients generated, about 99 s left …");
        assert_eq!(line(100), "10 of 30 patients generated, about 2 min left …");
        assert_eq!(line(7500), "10 of 30 patients generated, about 2 h 5 min left …");
    }
}
