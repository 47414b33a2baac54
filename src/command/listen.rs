//! The outputs of one run: each printer with the stream that it writes to.

use std::io::{self, Write};
use std::path::PathBuf;

use open_aligner_record::acceptance::Accepted;
use open_aligner_record::finding::Finding;
use open_aligner_record::finding::Item;
use open_aligner_record::output::{Format, Printer, Style, shown, shown_path};
use open_aligner_record::partial::Partial;
use open_aligner_record::read::inputs::reason;
use open_aligner_record::run::Listener;
use open_aligner_record::summary::Summary;

use super::progress::Progress;
use super::reads::{Reads, place};
use super::targets::Sink;
use super::{Failure, complain, perhaps};

/// A form and where it goes.
pub(crate) struct Target {
    format: Format,
    file: Option<PathBuf>,
}

impl Target {
    /// Reads `format` or `format=file`.
    pub(crate) fn parse(text: &str) -> Result<Self, Failure> {
        let (name, file) = text.split_once('=').map_or((text, None), |(name, file)| (name, Some(file)));
        let known = Format::ALL.iter().find(|(_, known, _)| *known == name);
        let Some((format, _, _)) = known else { return Err(unknown(&shown(name))) };
        if file == Some("") {
            return Err(Failure::Asked(format!("--output {}: name a file after the =", shown(text))));
        }
        let file = file.filter(|file| *file != "-").map(PathBuf::from);
        Ok(Self { format: *format, file })
    }

    /// The same form, to a file.
    pub(crate) fn into_file(self, file: PathBuf) -> Self {
        Self { file: Some(file), ..self }
    }

    /// Refuses what would lose data: two outputs to one place, or an output to a file that the run reads.
    pub(crate) fn refuse_clashes(targets: &[Self], reads: &Reads) -> Result<(), Failure> {
        let place = |target: &Self| target.file.as_ref().map(|file| place(file).unwrap_or_else(|| file.clone()));
        let repeated = |at: usize| targets[..at].iter().any(|before| place(before) == place(&targets[at]));
        if let Some(twice) = (0..targets.len()).find(|at| repeated(*at)) {
            let place = targets[twice].name();
            return Err(Failure::Asked(format!(
                "two outputs would go to {place}: give each a place of its own, as in --output sarif=findings.sarif"
            )));
        }
        targets.iter().try_for_each(|target| reads.refuse(target.file.as_ref(), "findings"))
    }

    /// Whether the totals of the run are in it.
    pub(crate) fn has_totals(&self) -> bool {
        self.format.has_totals()
    }

    /// Whether source lines are in it.
    pub(crate) fn has_excerpts(&self) -> bool {
        self.format.has_excerpts()
    }

    fn name(&self) -> String {
        self.file.as_ref().map_or("standard output".to_owned(), |file| shown_path(file))
    }
}

fn unknown(name: &str) -> Failure {
    let names: Vec<&str> = Format::ALL.iter().map(|(_, name, _)| *name).collect();
    let near = perhaps(name, names.iter().copied());
    Failure::Asked(format!("--output {name}: no form is called so{near}\n  there are {}", names.join(", ")))
}

struct Output {
    printer: Box<dyn Printer>,
    sink: Sink,
}

/// All outputs of a run.
pub(crate) struct Outputs {
    all: Vec<Output>,
    progress: Progress,
    failed: Option<String>,
    /// Whether an output was left out because its reader had gone.
    lost: bool,
}

impl Outputs {
    /// Opens the targets.
    pub(crate) fn open(targets: &[Target], style: Style, in_file: Style) -> Result<Self, Failure> {
        let progress = Progress::new();
        let outputs: Result<Vec<Output>, Failure> = targets
            .iter()
            .map(|target| open(target, if target.file.is_some() { in_file } else { style }, &progress))
            .collect();
        let mut opened = Self { all: outputs?, progress, failed: None, lost: false };
        opened.each(|printer, out| printer.begin(out)).map_err(|error| opened.failure(error))?;
        Ok(opened)
    }

    /// Ends all outputs, and gives their files their names. Whether all of them were written to their ends.
    pub(crate) fn end(mut self, summary: &Summary) -> Result<bool, Failure> {
        self.progress.clear();
        self.each(|printer, out| printer.end(out, summary).and_then(|()| out.flush()))
            .map_err(|error| self.failure(error))?;
        Sink::end_all(self.all.into_iter().map(|output| output.sink))?;
        Ok(!self.lost)
    }

    /// What went wrong when an output could not be written.
    pub(crate) fn failure(&self, error: io::Error) -> Failure {
        Failure::Writing(self.failed.clone().unwrap_or_default(), error)
    }

    /// Tells all outputs. One whose reader has gone away is left out from then on, unless it is the only one.
    fn each(&mut self, mut tell: impl FnMut(&mut dyn Printer, &mut dyn Write) -> io::Result<()>) -> io::Result<()> {
        let several = self.all.len() > 1;
        let (mut failed, mut lost) = (None, false);
        self.all.retain_mut(|output| match tell(output.printer.as_mut(), &mut output.sink) {
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

fn open(target: &Target, style: Style, progress: &Progress) -> Result<Output, Failure> {
    let colour = style.colour && target.file.is_none();
    let printer = target.format.printer(Style { colour, ..style });
    Ok(Output { printer, sink: Sink::open(target.file.as_ref(), progress.stdout())? })
}

impl Outputs {
    /// Something was found that is accepted.
    pub(crate) fn accepted(&mut self, item: &Item<'_>, why: &Accepted<'_>) -> io::Result<()> {
        self.each(|printer, out| printer.accepted(out, item, why))
    }
}

impl Listener for Outputs {
    fn file(&mut self, file: &str) -> io::Result<()> {
        self.each(|printer, out| printer.file(out, file))
    }

    fn finding(&mut self, file: &str, record: u64, finding: &Finding) -> io::Result<()> {
        self.each(|printer, out| printer.finding(out, &Item { file, record, finding }))
    }

    fn partial(&mut self, file: &str, record: u64, partial: &Partial) -> io::Result<()> {
        self.each(|printer, out| printer.partial(out, file, record, partial))
    }

    fn records(&mut self, system: &str, records: u64) -> io::Result<()> {
        self.each(|printer, _| {
            printer.records(system, records);
            Ok(())
        })
    }

    fn across(&mut self) -> io::Result<()> {
        self.each(|printer, out| printer.across(out))
    }

    fn file_end(&mut self, file: &str, records: u64) -> io::Result<()> {
        self.each(|printer, out| printer.file_end(out, file, records))
    }

    fn unreadable(&mut self, file: &str, error: &io::Error) -> io::Result<()> {
        self.progress.clear();
        let plain = io::Error::new(error.kind(), reason(error));
        self.each(|printer, out| printer.unreadable(out, file, &plain))?;
        self.progress.clear();
        let name = if file == "-" { "standard input".to_owned() } else { shown(file) };
        complain(&Failure::Asked(format!("{name}: {plain}")));
        Ok(())
    }

    fn progress(&mut self, bytes: u64, records: u64) {
        self.progress.show(bytes, records);
    }
}
