//! Options that several commands share, and readers of their values.

use clap::Args;
use open_aligner_record::time::{Date, YEARS};

use super::{CLEAN, FOUND, Failure};

/// The number of threads.
#[derive(Args)]
pub(crate) struct ThreadOptions {
    /// Use N threads, from 1 to 1024 [default: one for each core]
    #[arg(short = 'j', long, value_name = "N")]
    threads: Option<usize>,
}

/// How many threads are started for each core at most: one thread reads for all of them, so more would only wait.
const THREADS_PER_CORE: usize = 8;

impl ThreadOptions {
    /// How many threads to start.
    pub(crate) fn count(&self) -> Result<usize, Failure> {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let threads = self.threads.unwrap_or(cores);
        if threads == 0 || threads > 1024 {
            return Err(Failure::Message(format!("--threads {threads}: give a number from 1 to 1024")));
        }
        Ok(threads.min(cores.saturating_mul(THREADS_PER_CORE)))
    }
}

/// What the exit code says.
#[derive(Args)]
pub(crate) struct ExitOptions {
    /// Exit with code 0 instead of 1; failures still exit with 2
    #[arg(long)]
    exit_zero: bool,
}

impl ExitOptions {
    /// The exit code of a run that did everything. `found` says whether it found what makes it fail.
    pub(crate) const fn code(&self, found: bool) -> u8 {
        if found && !self.exit_zero { FOUND } else { CLEAN }
    }
}

/// Reads the largest number of things to show.
pub(crate) fn number_or_all(text: &str) -> Result<u64, String> {
    if text == "all" {
        return Ok(u64::MAX);
    }
    text.parse().map_err(|_| "give a whole number, or all".to_owned())
}

/// Reads a number that is at least 1.
pub(crate) fn from_one(text: &str) -> Result<u64, String> {
    text.parse().ok().filter(|number| *number > 0).ok_or_else(|| "give a whole number of at least 1".to_owned())
}

/// Reads a date.
pub(crate) fn date(text: &str) -> Result<Date, String> {
    Date::parse(text.as_bytes()).ok_or_else(|| {
        let (from, to) = YEARS.into_inner();
        format!("give a date of the years {from} to {to}, as in 2031-05-31")
    })
}
