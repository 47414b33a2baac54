//! How a run processes its inputs: on one thread, or with workers.

use std::collections::BTreeMap;
use std::io::{self, Read};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

use super::threads::start;
use super::{Listener, Options, open};
use crate::check::cohort::Cohort;
use crate::check::work::{Said, Told, Work};
use crate::read::frames::Frames;
use crate::read::inputs::Input;
use crate::report::summary::Summary;

/// Pieces in flight for each worker: one being checked, and two queued so that no worker has to wait.
const PIECES: usize = 3;

/// A piece in flight: the index of its file among the inputs, and the work, or why there is none.
struct Piece {
    file: usize,
    work: Work,
    failed: Option<io::Error>,
}

/// Opens the inputs one by one.
struct Source<'a> {
    inputs: &'a [Input],
    options: &'a Options,
    file: usize,
    frames: Option<Frames<Box<dyn Read>>>,
}

impl<'a> Source<'a> {
    fn new(inputs: &'a [Input], options: &'a Options) -> Self {
        Self { inputs, options, file: 0, frames: None }
    }

    /// The next piece of the inputs, in `work`; none when all is read.
    fn next(&mut self, work: Work) -> Option<Piece> {
        let input = self.inputs.get(self.file)?;
        let mut piece = Piece { file: self.file, work, failed: None };
        if self.frames.is_none() {
            match open(input, self.options) {
                Ok(frames) => self.frames = Some(frames),
                Err(error) => return Some(self.failed(piece, error)),
            }
        }
        let Some(frames) = &mut self.frames else { return None };
        match piece.work.take(frames) {
            Ok(true) => {}
            Ok(false) => self.close(),
            Err(error) => return Some(self.failed(piece, error)),
        }
        Some(piece)
    }

    fn failed(&mut self, piece: Piece, error: io::Error) -> Piece {
        self.close();
        Piece { failed: Some(error), work: piece.work.emptied(), ..piece }
    }

    fn close(&mut self) {
        self.frames = None;
        self.file += 1;
    }
}

/// Reports pieces to the listener in order and adds them up.
struct Teller<'a> {
    inputs: &'a [Input],
    listener: &'a mut dyn Listener,
    summary: Summary,
    told: Told,
    /// Whether a repair refuses the current file, and the fixable findings before it.
    refused: bool,
    mendable_before: Option<u64>,
    cohort: Cohort,
    /// The current file, and its name.
    open: Option<(usize, String)>,
}

impl<'a> Teller<'a> {
    fn new(inputs: &'a [Input], options: &Options, listener: &'a mut dyn Listener) -> Self {
        Self {
            inputs,
            listener,
            summary: Summary { mendable: options.mendable.then_some(0), ..Summary::default() },
            told: Told::default(),
            refused: false,
            mendable_before: None,
            cohort: Cohort::with_settings(&options.settings),
            open: None,
        }
    }

    fn tell(&mut self, piece: &Piece) -> io::Result<()> {
        let name = match &self.open {
            Some((file, name)) if *file == piece.file => name.clone(),
            _ => self.begin(piece.file)?,
        };
        if let Some(error) = &piece.failed {
            self.summary.unreadable += 1;
            self.refused = true;
            self.listener.unreadable(&name, error)?;
            // A file that could not be opened at all was not read.
            self.summary.files -= u64::from(self.told.bytes == 0);
            return self.end(&name);
        }
        self.refused |= self.summary.mendable.is_some() && piece.work.repair_refusal().is_some();
        self.told.gather(&name, &piece.work, &mut self.cohort);
        let (listener, summary) = (&mut *self.listener, &mut self.summary);
        self.told.tell(&piece.work, &mut |record, said| match said {
            Said::Finding(finding) => {
                summary.count(finding);
                listener.finding(&name, record, finding)
            }
            Said::Partial(partial) => {
                summary.count_partial(partial);
                listener.partial(&name, record, partial)
            }
        })?;
        piece.work.systems().try_for_each(|(system, records)| self.listener.records(system, records))?;
        self.listener.progress(self.summary.bytes + self.told.bytes, self.summary.records + self.told.records);
        if piece.work.is_last() { self.end(&name) } else { Ok(()) }
    }

    /// Reports the findings across the records of the run; returns the totals.
    fn finish(mut self) -> io::Result<Summary> {
        let mut last = None;
        for across in self.cohort.findings() {
            if last.is_none() {
                self.listener.across()?;
            }
            self.summary.count(&across.finding);
            self.listener.finding(&across.file, across.record, &across.finding)?;
            let place = Some((across.file, across.record));
            self.summary.records_with_findings += u64::from(!across.had_findings && last != place);
            last = place;
        }
        Ok(self.summary)
    }

    fn begin(&mut self, file: usize) -> io::Result<String> {
        let name = self.inputs[file].name();
        self.told = Told::default();
        self.open = Some((file, name.clone()));
        (self.refused, self.mendable_before) = (false, self.summary.mendable);
        self.summary.files += 1;
        self.listener.file(&name)?;
        Ok(name)
    }

    fn end(&mut self, name: &str) -> io::Result<()> {
        if self.refused && self.summary.mendable != self.mendable_before {
            self.summary.mendable = self.mendable_before;
            self.listener.refused()?;
        }
        self.summary.records += self.told.records;
        self.summary.records_with_findings += self.told.with_findings;
        self.summary.bytes += self.told.bytes;
        self.open = None;
        let records = self.told.records;
        self.told = Told::default();
        self.listener.file_end(name, records)
    }
}

/// Does everything on one thread.
pub(super) fn alone(inputs: &[Input], options: &Options, listener: &mut dyn Listener) -> io::Result<Summary> {
    let mut worker = options.worker();
    let mut source = Source::new(inputs, options);
    let mut teller = Teller::new(inputs, options, listener);
    let mut work = Work::default();
    while let Some(mut piece) = source.next(work) {
        worker.check(&mut piece.work);
        teller.tell(&piece)?;
        work = piece.work;
    }
    teller.finish()
}

/// This thread reads and reports; workers check. When the system gives no thread, this one does everything.
pub(super) fn together(inputs: &[Input], options: &Options, listener: &mut dyn Listener) -> io::Result<Summary> {
    let pieces = options.threads * PIECES;
    let (to_check, waiting) = sync_channel::<(u64, Piece)>(pieces);
    let (checked, done) = sync_channel::<(u64, Piece)>(pieces);
    let waiting = Mutex::new(waiting);
    std::thread::scope(|scope| {
        let workers = start(scope, options.threads, || {
            let (waiting, checked) = (&waiting, checked.clone());
            move || check_pieces(options, waiting, &checked)
        });
        drop(checked);
        if workers.is_empty() {
            return alone(inputs, options, listener);
        }
        let mut order = Order { next: 0, early: BTreeMap::new(), teller: Teller::new(inputs, options, listener) };
        let fed = feed(Source::new(inputs, options), pieces, to_check, &done, &mut order);
        fed.and_then(|()| order.teller.finish())
    })
}

/// A worker: checks pieces until there are none.
fn check_pieces(options: &Options, waiting: &Mutex<Receiver<(u64, Piece)>>, out: &SyncSender<(u64, Piece)>) {
    let mut worker = options.worker();
    loop {
        let received = waiting.lock().map(|waiting| waiting.recv());
        let Ok(Ok((number, mut piece))) = received else { return };
        worker.check(&mut piece.work);
        if out.send((number, piece)).is_err() {
            return;
        }
    }
}

/// Puts checked pieces back into the order of the input.
struct Order<'a> {
    next: u64,
    early: BTreeMap<u64, Piece>,
    teller: Teller<'a>,
}

impl Order<'_> {
    /// Takes a checked piece; returns the buffers of those that have been reported.
    fn take(&mut self, number: u64, piece: Piece, spare: &mut Vec<Work>) -> io::Result<()> {
        self.early.insert(number, piece);
        while let Some(piece) = self.early.remove(&self.next) {
            self.teller.tell(&piece)?;
            self.next += 1;
            spare.push(piece.work);
        }
        Ok(())
    }
}

/// Reads pieces and hands them out, never more than there are buffers; then waits for the rest.
fn feed(
    mut source: Source<'_>,
    pieces: usize,
    to_check: SyncSender<(u64, Piece)>,
    done: &Receiver<(u64, Piece)>,
    order: &mut Order<'_>,
) -> io::Result<()> {
    let mut spare: Vec<Work> = (0..pieces).map(|_| Work::default()).collect();
    let mut number = 0;
    loop {
        let Some(work) = spare.pop() else {
            let Ok((number, piece)) = done.recv() else { return Ok(()) };
            order.take(number, piece, &mut spare)?;
            continue;
        };
        let Some(piece) = source.next(work) else { break };
        if to_check.send((number, piece)).is_err() {
            break;
        }
        number += 1;
    }
    drop(to_check);
    while let Ok((number, piece)) = done.recv() {
        order.take(number, piece, &mut spare)?;
    }
    Ok(())
}
