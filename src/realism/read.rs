//! Reads files into a cohort.

use std::convert::Infallible;
use std::io;

use oar_schema::pipeline;

use super::Observations;
use crate::check::Checker;
use crate::read::inputs::Input;
use crate::read::pieces::{Piece, Pieces};

/// How records are read.
#[derive(Clone, Copy, Debug)]
pub struct CohortReading {
    /// Threads that process records; fewer when the system gives fewer.
    pub threads: usize,
    /// The maximum size of a record in bytes.
    pub largest: usize,
}

/// Reads all inputs into a cohort. Records with errors, and those that are too large, are skipped and counted; `missed` is
/// called for each file that cannot be read, or not to its end.
pub fn read(inputs: &[Input], reading: CohortReading, missed: &mut dyn FnMut(&Input, &io::Error)) -> Observations {
    let mut pieces = Pieces::new(inputs, reading.largest, missed);
    let Ok(workers) = pipeline::run(
        reading.threads,
        |piece| pieces.fill(piece),
        Looker::new,
        Looker::look,
        |_| Ok::<(), Infallible>(()),
    );
    let mut cohort = Observations::default();
    cohort.left_out = pieces.too_large;
    for looker in workers {
        cohort.merge(looker.cohort);
    }
    cohort
}

/// The result of one thread.
struct Looker {
    checker: Checker,
    cohort: Observations,
}

impl Looker {
    fn new() -> Self {
        Self { checker: Checker::new().without_excerpts(), cohort: Observations::default() }
    }

    fn look(&mut self, piece: &mut Piece) {
        let too_large = piece.each(|text, _| self.add(text));
        self.cohort.left_out += too_large;
    }

    fn add(&mut self, text: &[u8]) {
        match self.checker.read(text) {
            Ok(record) => self.cohort.add(&record),
            Err(_) => self.cohort.left_out += 1,
        }
    }
}
