//! The outputs of one run: each printer with the stream that it writes to.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::PathBuf;

use open_aligner_record::finding::Finding;
use open_aligner_record::output::{Format, Item, Printer, Style, Summary};
use open_aligner_record::run::Listener;

use super::progress::Progress;
use super::{Failure, complain};

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
        let Some((format, _, _)) = known else { return Err(unknown(name)) };
        if file == Some("") {
            return Err(Failure::Asked(format!("--output {text}: name a file after the =")));
        }
        let file = file.filter(|file| *file != "-").map(PathBuf::from);
        Ok(Self { format: *format, file })
    }
}

fn unknown(name: &str) -> Failure {
    let names: Vec<&str> = Format::ALL.iter().map(|(_, name, _)| *name).collect();
    Failure::Asked(format!("--output {name}: there is no such form; there are {}", names.join(", ")))
}

struct Output {
    printer: Box<dyn Printer>,
    out: Box<dyn Write>,
    name: String,
}

/// All outputs of a run.
pub(crate) struct Outputs {
    outputs: Vec<Output>,
    progress: Progress,
    unreadable: u64,
    failed: Option<String>,
}

impl Outputs {
    /// Opens the targets; two cannot share standard output.
    pub(crate) fn open(targets: &[Target], style: Style) -> Result<Self, Failure> {
        if targets.iter().filter(|target| target.file.is_none()).count() > 1 {
            return Err(Failure::Asked(
                "two outputs would be mixed on standard output: give all but one a file, as in --output sarif=findings.sarif"
                    .to_owned(),
            ));
        }
        let outputs: Result<Vec<Output>, Failure> = targets.iter().map(|target| open(target, style)).collect();
        let mut all = Self { outputs: outputs?, progress: Progress::new(), unreadable: 0, failed: None };
        all.each(|printer, out| printer.begin(out)).map_err(|error| all.failure(error))?;
        Ok(all)
    }

    /// Files that could not be read to their end.
    pub(crate) fn unreadable(&self) -> u64 {
        self.unreadable
    }

    /// Ends all outputs.
    pub(crate) fn end(&mut self, summary: &Summary) -> Result<(), Failure> {
        self.progress.clear();
        self.each(|printer, out| printer.end(out, summary).and_then(|()| out.flush()))
            .map_err(|error| self.failure(error))
    }

    /// What went wrong when an output could not be written.
    pub(crate) fn failure(&self, error: io::Error) -> Failure {
        Failure::Io(self.failed.clone().unwrap_or_default(), error)
    }

    fn each(&mut self, mut tell: impl FnMut(&mut dyn Printer, &mut dyn Write) -> io::Result<()>) -> io::Result<()> {
        for output in &mut self.outputs {
            if let Err(error) = tell(output.printer.as_mut(), output.out.as_mut()) {
                self.failed = Some(output.name.clone());
                return Err(error);
            }
        }
        Ok(())
    }
}

fn open(target: &Target, style: Style) -> Result<Output, Failure> {
    let plain = Style { colour: false, ..style };
    match &target.file {
        None => Ok(Output {
            printer: target.format.printer(style),
            out: Box::new(BufWriter::new(io::stdout())),
            name: "standard output".to_owned(),
        }),
        Some(path) => {
            let name = path.display().to_string();
            let file = File::create(path).map_err(Failure::writing(&name))?;
            Ok(Output { printer: target.format.printer(plain), out: Box::new(BufWriter::new(file)), name })
        }
    }
}

impl Listener for Outputs {
    fn file(&mut self, file: &str) -> io::Result<()> {
        self.each(|printer, out| printer.file(out, file))
    }

    fn finding(&mut self, file: &str, record: u64, finding: &Finding) -> io::Result<()> {
        self.progress.clear();
        self.each(|printer, out| printer.finding(out, &Item { file, record, finding }))
    }

    fn file_end(&mut self, file: &str, records: u64) -> io::Result<()> {
        self.each(|printer, out| printer.file_end(out, file, records))
    }

    fn unreadable(&mut self, file: &str, error: &io::Error) -> io::Result<()> {
        self.progress.clear();
        self.unreadable += 1;
        complain(&Failure::Io(file.to_owned(), io::Error::new(error.kind(), error.to_string())));
        self.each(|printer, out| printer.unreadable(out, file, error))
    }

    fn progress(&mut self, bytes: u64, records: u64) {
        self.progress.show(bytes, records);
    }
}
