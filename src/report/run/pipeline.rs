//! How a run goes through its inputs: what it reads, and the events that it reports.

use std::io::{self, Read};

use oar_schema::pipeline;

use super::{Event, Listener, Options, open};
use crate::check::cohort::Cohort;
use crate::check::finding::Item;
use crate::check::work::{FileProgress, Remark, Work};
use crate::read::frames::Frames;
use crate::read::inputs::Input;
use crate::report::summary::Summary;

/// A piece in flight: the index of its file among the inputs, and the work, or why there is none.
#[derive(Default)]
struct PieceInFlight {
    file: usize,
    work: Work,
    failed: Option<io::Error>,
}

/// Opens the inputs one by one.
struct InputSource<'a> {
    inputs: &'a [Input],
    options: &'a Options,
    file: usize,
    frames: Option<Frames<Box<dyn Read>>>,
}

impl<'a> InputSource<'a> {
    fn new(inputs: &'a [Input], options: &'a Options) -> Self {
        Self { inputs, options, file: 0, frames: None }
    }

    /// Puts the next piece of the inputs into `piece`; false when all is read.
    fn fill(&mut self, piece: &mut PieceInFlight) -> bool {
        let Some(input) = self.inputs.get(self.file) else { return false };
        (piece.file, piece.failed) = (self.file, None);
        if let Err(error) = self.take(input, &mut piece.work) {
            piece.work.empty();
            piece.failed = Some(error);
            self.close();
        }
        true
    }

    /// Takes the next piece of the input, which is opened if it is not open.
    fn take(&mut self, input: &Input, work: &mut Work) -> io::Result<()> {
        let mut frames = match self.frames.take() {
            Some(frames) => frames,
            None => open(input, self.options)?,
        };
        if work.take(&mut frames)? {
            self.frames = Some(frames);
        } else {
            self.close();
        }
        Ok(())
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
    told: FileProgress,
    /// Whether a repair refuses the current file, and the fixable findings before it.
    refused: bool,
    fixable_before: Option<u64>,
    cohort: Cohort,
    /// The current file, and its name.
    open: Option<(usize, String)>,
}

impl<'a> Teller<'a> {
    fn new(inputs: &'a [Input], options: &Options, listener: &'a mut dyn Listener) -> Self {
        Self {
            inputs,
            listener,
            summary: Summary { fixable: options.fixable.then_some(0), ..Summary::default() },
            told: FileProgress::default(),
            refused: false,
            fixable_before: None,
            cohort: Cohort::with_settings(&options.settings),
            open: None,
        }
    }

    fn tell(&mut self, piece: &PieceInFlight) -> io::Result<()> {
        let name = match &self.open {
            Some((file, name)) if *file == piece.file => name.clone(),
            _ => self.begin(piece.file)?,
        };
        if let Some(error) = &piece.failed {
            self.summary.unreadable += 1;
            self.refused = true;
            self.listener.event(&Event::Unreadable { file: &name, error })?;
            // A file that could not be opened at all was not read.
            self.summary.files -= u64::from(self.told.bytes == 0);
            return self.end(&name);
        }
        self.refused |= self.summary.fixable.is_some() && piece.work.repair_refusal().is_some();
        self.told.gather(&name, &piece.work, &mut self.cohort);
        let (listener, summary) = (&mut *self.listener, &mut self.summary);
        self.told.tell(&piece.work, &mut |record, said| match said {
            Remark::Finding(finding) => {
                summary.count(finding);
                listener.event(&Event::Finding(Item { file: &name, record, finding }))
            }
            Remark::Partial(partial) => {
                summary.count_partial(partial);
                listener.event(&Event::Partial { file: &name, record, partial })
            }
        })?;
        let mut systems = piece.work.systems();
        systems.try_for_each(|(system, records)| self.listener.event(&Event::Records { system, records }))?;
        let (bytes, records) = (self.summary.bytes + self.told.bytes, self.summary.records + self.told.records);
        self.listener.event(&Event::Progress { bytes, records })?;
        if piece.work.is_last() { self.end(&name) } else { Ok(()) }
    }

    /// Reports the findings across the records of the run; returns the totals.
    fn finish(mut self) -> io::Result<Summary> {
        let mut last = None;
        for across in self.cohort.findings() {
            if last.is_none() {
                self.listener.event(&Event::Across)?;
            }
            self.summary.count(&across.finding);
            let (file, record, finding) = (across.file.as_str(), across.record, &across.finding);
            self.listener.event(&Event::Finding(Item { file, record, finding }))?;
            let place = Some((across.file, across.record));
            self.summary.records_with_findings += u64::from(!across.had_findings && last != place);
            last = place;
        }
        Ok(self.summary)
    }

    fn begin(&mut self, file: usize) -> io::Result<String> {
        let name = self.inputs[file].name();
        self.told = FileProgress::default();
        self.open = Some((file, name.clone()));
        (self.refused, self.fixable_before) = (false, self.summary.fixable);
        self.summary.files += 1;
        self.listener.event(&Event::File(&name))?;
        Ok(name)
    }

    fn end(&mut self, name: &str) -> io::Result<()> {
        if self.refused && self.summary.fixable != self.fixable_before {
            self.summary.fixable = self.fixable_before;
            self.listener.event(&Event::Refused)?;
        }
        self.summary.records += self.told.records;
        self.summary.records_with_findings += self.told.with_findings;
        self.summary.bytes += self.told.bytes;
        self.open = None;
        let records = self.told.records;
        self.told = FileProgress::default();
        self.listener.event(&Event::FileEnd { file: name, records })
    }
}

/// This thread reads and tells; workers check.
pub(super) fn through(inputs: &[Input], options: &Options, listener: &mut dyn Listener) -> io::Result<Summary> {
    let mut source = InputSource::new(inputs, options);
    let mut teller = Teller::new(inputs, options, listener);
    pipeline::run(
        options.threads,
        |piece| source.fill(piece),
        || options.worker(),
        |worker, piece: &mut PieceInFlight| worker.check(&mut piece.work),
        |piece| teller.tell(piece),
    )?;
    teller.finish()
}
