//! A run: many files through one or several checkers, with findings in the order of the input.

mod pipeline;

pub use crate::report::event::{Event, Listener};

use std::io;

use crate::check::Checker;
use crate::check::settings::Settings;
use crate::check::work::Work;
use crate::read::frames::Frames;
use crate::read::inputs::Input;
use crate::read::stream;
use crate::repair::Repairer;
use crate::report::summary::Summary;

/// The options of a run.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is asked for by itself")]
pub struct Options {
    /// Levels of rules, and limits.
    pub settings: Settings,
    /// Threads that check; 1 checks on the thread that reads. Fewer when the system gives fewer.
    pub threads: usize,
    /// Whether findings include the source text around them.
    pub excerpts: bool,
    /// Whether the records of the run are compared with each other; this keeps 120 bytes of each.
    pub across: bool,
    /// Whether findings across records include the id of their record; this keeps the id of each record.
    pub record_ids: bool,
    /// Whether to try which findings a repair fixes, so that the totals can count them.
    pub fixable: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            settings: Settings::default(),
            threads: 1,
            excerpts: true,
            across: true,
            record_ids: false,
            fixable: false,
        }
    }
}

impl Options {
    pub(crate) fn checker(&self) -> Checker {
        let checker = Checker::with_settings(&self.settings);
        let checker = if self.across { checker.with_facts() } else { checker };
        let checker = if self.record_ids { checker.with_record_ids() } else { checker };
        if self.excerpts { checker } else { checker.without_excerpts() }
    }

    fn worker(&self) -> Worker {
        let repairer = self.fixable.then(|| Repairer::with_settings(&self.settings));
        Worker { checker: self.checker(), repairer }
    }

    pub(crate) fn largest(&self) -> usize {
        self.settings.largest_record()
    }
}

/// What checks the pieces of a run on one thread.
struct Worker {
    checker: Checker,
    repairer: Option<Repairer>,
}

impl Worker {
    fn check(&mut self, work: &mut Work) {
        match &mut self.repairer {
            None => work.check(&mut self.checker, None),
            Some(repairer) => {
                work.check(&mut self.checker, Some(&mut |findings, record| repairer.mark(findings, record)));
            }
        }
    }
}

/// Checks all inputs and reports findings to `listener`; returns the totals.
///
/// # Errors
/// Only the errors of the listener. Files that cannot be read are reported to it, and the run continues.
pub fn run(inputs: &[Input], options: &Options, listener: &mut dyn Listener) -> io::Result<Summary> {
    pipeline::through(inputs, options, listener)
}

/// Opens an input as frames.
pub(crate) fn open(input: &Input, options: &Options) -> io::Result<Frames<Box<dyn io::Read>>> {
    Ok(Frames::new(stream::open(input)?, input.says_lines(), options.largest()))
}
