//! A review of many files: valid records on several threads, reported in the order of the input.

use std::collections::BTreeMap;
use std::io;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use oar_schema::time::Date;

use super::finish::Cohort;
use super::{Priorities, Review, Reviewer};
use crate::check::Checker;
use crate::check::finding::Finding;
use crate::check::settings::Settings;
use crate::read::frames::{Frame, Frames, Layout, Next};
use crate::read::inputs::Input;
use crate::read::stream;
use crate::report::run::threads::start;

/// Pieces that may wait for each thread.
const WAITING: usize = 2;

/// How records are reviewed.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// Levels of rules, limits, profiles of systems.
    pub settings: Settings,
    /// Priorities of signals.
    pub priorities: Priorities,
    /// The day of the review; none means the day of each export.
    pub day: Option<Date>,
    /// Treatments that are over, for projections.
    pub cohort: Option<Arc<Cohort>>,
    /// Threads that review records; 0 counts as 1. Fewer when the system gives fewer.
    pub threads: usize,
}

/// Collects the results of one piece of a file, on the thread that processes it.
pub trait Part: Default + Send {
    /// Takes a record without errors. `record` counts the records of the piece from 0.
    fn take(&mut self, record: u64, review: Review, findings: &[Finding]);

    /// Takes the findings of a record that has errors and is therefore not reviewed.
    fn refuse(&mut self, record: u64, findings: &[Finding]);
}

/// Where a part comes from.
#[derive(Clone, Copy, Debug)]
pub struct Place<'a> {
    /// The input.
    pub input: &'a Input,
    /// How many of its records came before.
    pub before: u64,
}

/// The totals of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Records, with or without errors.
    pub records: u64,
    /// Records that were too large.
    pub too_large: u64,
}

/// Reviews all inputs. `tell` is called with each part, in the order of the input; `missed` with each input that cannot be
/// read, or not to its end.
///
/// # Errors
/// Only the errors of `tell`.
pub fn run<P: Part>(
    inputs: &[Input],
    options: &Options,
    tell: &mut dyn FnMut(Place<'_>, P) -> io::Result<()>,
    missed: &mut dyn FnMut(&Input, &io::Error),
) -> io::Result<Totals> {
    let threads = options.threads.max(1);
    let (send, receive) = sync_channel::<(u64, Piece)>(WAITING * threads);
    let (made, done) = sync_channel::<(u64, Made<P>)>(WAITING * threads);
    let receive = Mutex::new(receive);
    thread::scope(|scope| {
        let workers = start(scope, threads, || {
            let (receive, made) = (&receive, made.clone());
            move || work(options, receive, &made)
        });
        drop(made);
        let order = Order { inputs, next: 0, early: BTreeMap::new(), file: 0, before: 0, totals: Totals::default() };
        if workers.is_empty() {
            return alone(inputs, options, order, tell, missed);
        }
        feed(inputs, options, WAITING * threads, send, &done, order, tell, missed)
    })
}

/// A piece of an input.
struct Piece {
    file: usize,
    layout: Layout,
    frame: Frame,
}

/// The result of a piece.
struct Made<P> {
    file: usize,
    records: u64,
    part: P,
}

/// A thread: processes pieces until there are none.
fn work<P: Part>(options: &Options, receive: &Mutex<Receiver<(u64, Piece)>>, made: &SyncSender<(u64, Made<P>)>) {
    let mut worker = Worker::new(options);
    loop {
        let piece = receive.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok((number, piece)) = piece else { return };
        if made.send((number, worker.made(&piece))).is_err() {
            return;
        }
    }
}

struct Worker {
    checker: Checker,
    reviewer: Reviewer,
    day: Option<Date>,
}

impl Worker {
    fn new(options: &Options) -> Self {
        Self {
            checker: Checker::with_settings(&options.settings).without_excerpts(),
            reviewer: Reviewer {
                priorities: options.priorities.clone(),
                cohort: options.cohort.clone(),
                ..Reviewer::default()
            },
            day: options.day,
        }
    }

    fn made<P: Part>(&mut self, piece: &Piece) -> Made<P> {
        let (mut part, mut records, mut line) = (P::default(), 0, piece.frame.line);
        let texts = match piece.layout {
            Layout::Document => vec![piece.frame.bytes.as_slice()],
            Layout::Lines => piece.frame.bytes.split(|byte| *byte == b'\n').collect(),
        };
        for text in texts {
            if !text.trim_ascii().is_empty() {
                self.one(text, line, records, &mut part);
                records += 1;
            }
            line += 1;
        }
        Made { file: piece.file, records, part }
    }

    fn one<P: Part>(&mut self, text: &[u8], line: u64, record: u64, part: &mut P) {
        let checked = self.checker.check_from(text, line);
        match checked.record().filter(|_| !checked.has_error()) {
            Some(read) => {
                if self.reviewer.limits != *checked.limits() {
                    self.reviewer.limits = checked.limits().clone();
                }
                part.take(record, self.reviewer.review(read, self.day), &checked);
            }
            None => part.refuse(record, &checked),
        }
    }
}

/// Puts parts back into the order of the input.
struct Order<'a, P> {
    inputs: &'a [Input],
    next: u64,
    early: BTreeMap<u64, Made<P>>,
    file: usize,
    before: u64,
    totals: Totals,
}

impl<P: Part> Order<'_, P> {
    fn take(
        &mut self,
        number: u64,
        made: Made<P>,
        tell: &mut dyn FnMut(Place<'_>, P) -> io::Result<()>,
    ) -> io::Result<()> {
        self.early.insert(number, made);
        while let Some(made) = self.early.remove(&self.next) {
            if made.file != self.file {
                (self.file, self.before) = (made.file, 0);
            }
            tell(Place { input: &self.inputs[made.file], before: self.before }, made.part)?;
            self.next += 1;
            self.before += made.records;
            self.totals.records += made.records;
        }
        Ok(())
    }
}

/// Reads pieces and hands them out, never further ahead of the reported ones than the limit of waiting pieces.
#[expect(clippy::too_many_arguments, reason = "the two ends of the run meet here")]
fn feed<P: Part>(
    inputs: &[Input],
    options: &Options,
    ahead: usize,
    send: SyncSender<(u64, Piece)>,
    done: &Receiver<(u64, Made<P>)>,
    mut order: Order<'_, P>,
    tell: &mut dyn FnMut(Place<'_>, P) -> io::Result<()>,
    missed: &mut dyn FnMut(&Input, &io::Error),
) -> io::Result<Totals> {
    let mut number = 0;
    for (file, input) in inputs.iter().enumerate() {
        let mut give = |layout, frame| {
            while number >= order.next + ahead as u64 {
                let Ok((made, part)) = done.recv() else { break };
                order.take(made, part, tell)?;
            }
            number += 1;
            send.send((number - 1, Piece { file, layout, frame })).map_err(|_| io::Error::other("a thread is gone"))
        };
        match pieces(input, options.settings.largest_record(), &mut give) {
            Ok(Ok(too_large)) => order.totals.too_large += too_large,
            Ok(Err(error)) => return Err(error),
            Err(error) => missed(input, &error),
        }
    }
    drop(send);
    while let Ok((made, part)) = done.recv() {
        order.take(made, part, tell)?;
    }
    Ok(order.totals)
}

/// Does everything on one thread when the system gives no other.
fn alone<P: Part>(
    inputs: &[Input],
    options: &Options,
    mut order: Order<'_, P>,
    tell: &mut dyn FnMut(Place<'_>, P) -> io::Result<()>,
    missed: &mut dyn FnMut(&Input, &io::Error),
) -> io::Result<Totals> {
    let (mut worker, mut number) = (Worker::new(options), 0);
    for (file, input) in inputs.iter().enumerate() {
        let mut give = |layout, frame| {
            number += 1;
            order.take(number - 1, worker.made(&Piece { file, layout, frame }), tell)
        };
        match pieces(input, options.settings.largest_record(), &mut give) {
            Ok(Ok(too_large)) => order.totals.too_large += too_large,
            Ok(Err(error)) => return Err(error),
            Err(error) => missed(input, &error),
        }
    }
    Ok(order.totals)
}

/// Sends the pieces of one input; returns how many records were too large, or why sending failed.
fn pieces(
    input: &Input,
    largest: usize,
    give: &mut dyn FnMut(Layout, Frame) -> io::Result<()>,
) -> io::Result<io::Result<u64>> {
    let mut frames = Frames::new(stream::open(input)?, input.says_lines(), largest);
    let mut too_large = 0;
    loop {
        let mut frame = Frame::default();
        match frames.next(&mut frame)? {
            Next::Frame => {
                if let Err(error) = give(frames.start().layout, frame) {
                    return Ok(Err(error));
                }
            }
            Next::TooLarge(_) => too_large += 1,
            Next::End if frames.broke_off() => return Err(io::Error::other("it breaks off in the middle")),
            Next::End => return Ok(Ok(too_large)),
        }
    }
}
