//! The outputs of `oar check`: each printer with the stream that it writes to.

use std::io::{self, Write};

use open_aligner_record::output::{OutputFormat, Printer, Style, shown};
use open_aligner_record::read::inputs::reason;
use open_aligner_record::run::{Event, Listener};
use open_aligner_record::summary::Summary;

use super::outputs::{ReportFormat, Sink, Target};
use super::progress::Progress;
use super::{Failure, complain};

impl ReportFormat for OutputFormat {
    const ALL: &'static [(Self, &'static str, &'static str)] = Self::ALL;
    const REPORT: &'static str = "findings";
    const EXAMPLE: &'static str = "sarif=findings.sarif";
}

struct Output {
    printer: Box<dyn Printer>,
    sink: Sink,
}

/// All outputs of a run.
pub(crate) struct CheckOutputs {
    all: Vec<Output>,
    progress: Progress,
    failed: Option<String>,
    /// Whether an output was left out because its reader had gone.
    lost: bool,
}

impl CheckOutputs {
    /// Opens the targets.
    pub(crate) fn open(targets: &[Target<OutputFormat>], style: Style, in_file: Style) -> Result<Self, Failure> {
        let progress = Progress::new();
        let outputs: Result<Vec<Output>, Failure> = targets
            .iter()
            .map(|target| open(target, if target.file.is_some() { in_file } else { style }, &progress))
            .collect();
        let mut opened = Self { all: outputs?, progress, failed: None, lost: false };
        opened.each(|printer, out| printer.event(out, &Event::Begin)).map_err(|error| opened.failure(error))?;
        Ok(opened)
    }

    /// Ends all outputs, and gives their files their names. Says whether all of them were written to the end.
    pub(crate) fn end(mut self, summary: &Summary) -> Result<bool, Failure> {
        self.progress.clear();
        self.each(|printer, out| printer.event(out, &Event::End(summary)).and_then(|()| out.flush()))
            .map_err(|error| self.failure(error))?;
        Sink::close_all(self.all.into_iter().map(|output| output.sink))?;
        Ok(!self.lost)
    }

    /// What went wrong when an output could not be written.
    pub(crate) fn failure(&self, error: io::Error) -> Failure {
        Failure::Writing(self.failed.clone().unwrap_or_default(), error)
    }

    /// Passes an event to all outputs. One whose reader has gone is left out from then on, unless it is the only one.
    fn each(&mut self, mut event: impl FnMut(&mut dyn Printer, &mut dyn Write) -> io::Result<()>) -> io::Result<()> {
        let several = self.all.len() > 1;
        let (mut failed, mut lost) = (None, false);
        self.all.retain_mut(|output| match event(output.printer.as_mut(), &mut output.sink) {
            Err(error) if several && error.kind() == io::ErrorKind::BrokenPipe => {
                lost = true;
                false
            }
            Err(error) => {
                failed.get_or_insert((output.sink.name(), error));
                true
            }
            Ok(()) => true,
        });
        self.lost |= lost;
        let Some((name, error)) = failed else { return Ok(()) };
        self.failed = Some(name);
        Err(error)
    }
}

fn open(target: &Target<OutputFormat>, style: Style, progress: &Progress) -> Result<Output, Failure> {
    let colour = style.colour && target.file.is_none();
    let printer = target.format.printer(style.colour(colour));
    Ok(Output { printer, sink: Sink::open(target.file.as_ref(), progress.stdout())? })
}

impl CheckOutputs {
    fn unreadable(&mut self, file: &str, error: &io::Error) -> io::Result<()> {
        self.progress.clear();
        let plain = io::Error::new(error.kind(), reason(error));
        self.each(|printer, out| printer.event(out, &Event::Unreadable { file, error: &plain }))?;
        self.progress.clear();
        let name = if file == "-" { "standard input".to_owned() } else { shown(file) };
        complain(&Failure::Message(format!("{name}: {plain}")));
        Ok(())
    }
}

impl Listener for CheckOutputs {
    fn event(&mut self, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Unreadable { file, error } => self.unreadable(file, error),
            Event::Progress { bytes, records } => {
                self.progress.show(*bytes, *records);
                Ok(())
            }
            _ => self.each(|printer, out| printer.event(out, event)),
        }
    }
}
