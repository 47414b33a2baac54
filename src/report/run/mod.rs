//! A run: many files through one or several checkers, with findings in the order of the input.

mod pipeline;

pub use crate::report::event::{Event, Listener};

use std::io;

use oar_schema::options;

use crate::check::Checker;
use crate::check::settings::Settings;
use crate::check::work::Work;
use crate::read::frames::Frames;
use crate::read::inputs::Input;
use crate::read::stream;
use crate::repair::Repairer;
use crate::report::summary::Summary;

options! {
    /// The options of a run.
    #[allow(clippy::struct_excessive_bools, reason = "each is asked for by itself")]
    Options {
        /// Levels of rules, and limits.
        settings: Settings = Settings::default(),
        /// Threads that check; 1 checks on the thread that reads. Fewer when the system gives fewer.
        threads: usize = 1,
        /// Whether findings include the source text around them.
        excerpts: bool = true,
        /// Whether the records of the run are compared with each other; this keeps 120 bytes of each.
        across: bool = true,
        /// Whether findings across records include the id of their record; this keeps the id of each record.
        record_ids: bool = false,
        /// Whether to try which findings a repair fixes, so that the totals can count them.
        fixable: bool = false,
    }
}

impl Options {
    pub(crate) fn checker(&self) -> Checker {
        let checker = Checker::with_settings(&self.settings);
        let checker = if self.across { checker.with_facts() } else { checker };
        let checker = if self.record_ids { checker.with_record_ids() } else { checker };
        if self.excerpts { checker } else { checker.without_excerpts() }
    }

    fn worker(&self) -> CheckWorker {
        let repairer = self.fixable.then(|| Repairer::with_settings(&self.settings));
        CheckWorker { checker: self.checker(), repairer }
    }

    pub(crate) fn largest(&self) -> usize {
        self.settings.largest_record()
    }
}

/// What checks the pieces of a run on one thread.
struct CheckWorker {
    checker: Checker,
    repairer: Option<Repairer>,
}

impl CheckWorker {
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
