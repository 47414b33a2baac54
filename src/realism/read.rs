//! Reads files into a cohort.

use std::io;
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use super::Cohort;
use crate::check::Checker;
use crate::read::frames::{Frame, Frames, Layout, Next};
use crate::read::inputs::Input;
use crate::read::stream;
use crate::report::run::threads::start;

/// How records are read.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// Threads that process records; fewer when the system gives fewer.
    pub threads: usize,
    /// The maximum size of a record in bytes.
    pub largest: usize,
}

/// A piece of a file.
type Piece = (Layout, Frame);

/// Reads all inputs into a cohort. Records with errors, and those that are too large, are skipped and counted; `missed` is
/// called for each file that cannot be read, or not to its end.
pub fn read(inputs: &[Input], reading: Reading, missed: &mut dyn FnMut(&Input, &io::Error)) -> Cohort {
    let workers = reading.threads.max(1);
    let (send, receive) = sync_channel::<Piece>(2 * workers);
    let receive = Arc::new(Mutex::new(receive));
    thread::scope(|scope| {
        let workers = start(scope, workers, || {
            let receive = Arc::clone(&receive);
            move || look(&receive)
        });
        // Once every worker is gone nothing waits for a place in the queue.
        drop(receive);
        let mut here = Looker::new();
        let mut left_out = 0;
        for input in inputs {
            let mut give = |piece| if workers.is_empty() { here.look(&piece) } else { drop(send.send(piece)) };
            match pieces(input, reading.largest, &mut give) {
                Ok(too_large) => left_out += too_large,
                Err(error) => missed(input, &error),
            }
        }
        drop(send);
        let mut cohort = here.cohort;
        cohort.left_out += left_out;
        for worker in workers {
            match worker.join() {
                Ok(part) => cohort.merge(part),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        cohort
    })
}

/// Sends the pieces of one file; returns how many records were too large.
fn pieces(input: &Input, largest: usize, give: &mut dyn FnMut(Piece)) -> io::Result<u64> {
    let mut frames = Frames::new(stream::open(input)?, input.says_lines(), largest);
    let mut too_large = 0;
    loop {
        let mut frame = Frame::default();
        match frames.next(&mut frame)? {
            Next::Frame => give((frames.start().layout, frame)),
            Next::TooLarge(_) => too_large += 1,
            Next::End if frames.broke_off() => return Err(io::Error::other("it breaks off in the middle")),
            Next::End => return Ok(too_large),
        }
    }
}

/// Processes pieces until there are no more.
fn look(receive: &Mutex<Receiver<Piece>>) -> Cohort {
    let mut looker = Looker::new();
    loop {
        let piece = receive.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(piece) = piece else { return looker.cohort };
        looker.look(&piece);
    }
}

/// The result of one thread.
struct Looker {
    checker: Checker,
    cohort: Cohort,
}

impl Looker {
    fn new() -> Self {
        Self { checker: Checker::new().without_excerpts(), cohort: Cohort::default() }
    }

    fn look(&mut self, (layout, frame): &Piece) {
        if *layout == Layout::Document {
            return self.add(&frame.bytes);
        }
        frame.bytes.split(|byte| *byte == b'\n').for_each(|line| self.add(line));
    }

    fn add(&mut self, text: &[u8]) {
        if text.trim_ascii().is_empty() {
            return;
        }
        match self.checker.read(text) {
            Ok(record) => self.cohort.add(&record),
            Err(_) => self.cohort.left_out += 1,
        }
    }
}
