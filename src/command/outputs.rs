//! Reports and where they go: `--output FORMAT` and `--output FORMAT=FILE`.

use std::io::{self, BufWriter, Write};
use std::path::PathBuf;

use open_aligner_record::output::{shown, shown_path};
use open_aligner_record::read::inputs::{Input, reason};

use super::atomic_file::{AtomicFile, commit_all};
use super::overwrite_guard::{ProtectedFiles, resolved};
use super::{Failure, complain, perhaps};

/// The formats of a report.
pub(crate) trait ReportFormat: Copy + PartialEq + 'static {
    /// All formats, each with its name and what it is for.
    const ALL: &'static [(Self, &'static str, &'static str)];
    /// What messages call the report.
    const REPORT: &'static str;
    /// A format with a file of its own, for messages.
    const EXAMPLE: &'static str;
}

/// The list of formats for the help of `--output`, after a first sentence.
pub(crate) fn formats_help<F: ReportFormat>(first: &str, last: &str) -> String {
    let widest = F::ALL.iter().map(|(_, name, _)| name.len()).max().unwrap_or_default();
    let formats: Vec<String> = F::ALL.iter().map(|(_, name, what)| format!("  {name:<widest$}  {what}")).collect();
    format!("{first}\n\nFormats:\n{}\n\n{last}", formats.join("\n"))
}

/// The help of `--output` for one report.
pub(crate) fn report_help<F: ReportFormat>() -> String {
    let first = format!("Write {} as FORMAT, to FILE or standard output; repeatable.", F::REPORT);
    formats_help::<F>(&first, "")
}

/// A format and the file that it goes to; without a file, it goes to standard output.
#[derive(Clone)]
pub(crate) struct Target<F> {
    pub(crate) format: F,
    pub(crate) file: Option<PathBuf>,
}

impl<F: ReportFormat> Target<F> {
    /// Reads `FORMAT` or `FORMAT=FILE`.
    pub(crate) fn parse(text: &str) -> Result<Self, Failure> {
        let (name, file) = text.split_once('=').map_or((text, None), |(name, file)| (name, Some(file)));
        let Some((format, ..)) = F::ALL.iter().find(|(_, known, _)| *known == name) else {
            return Err(unknown::<F>(name));
        };
        if file == Some("") {
            return Err(Failure::Message(format!("--output {}: give a file after the =", shown(text))));
        }
        Ok(Self { format: *format, file: file.filter(|file| *file != "-").map(PathBuf::from) })
    }

    /// Reads all values of `--output`.
    pub(crate) fn parse_all(given: &[String]) -> Result<Vec<Self>, Failure> {
        given.iter().map(|text| Self::parse(text)).collect()
    }

    /// Refuses what would lose data: two outputs to one place, or an output to a file that the run reads.
    pub(crate) fn refuse_clashes(targets: &[Self], protected: &ProtectedFiles) -> Result<(), Failure> {
        let place = |target: &Self| target.file.as_ref().map(|file| resolved(file).unwrap_or_else(|| file.clone()));
        let is_taken = |at: &usize| targets[..*at].iter().any(|before| place(before) == place(&targets[*at]));
        if let Some(twice) = (0..targets.len()).find(is_taken) {
            let name = targets[twice].name();
            return Err(Failure::Message(format!(
                "two outputs would go to {name}: give each its own file, as in --output {}",
                F::EXAMPLE
            )));
        }
        targets.iter().try_for_each(|target| protected.refuse(target.file.as_ref(), F::REPORT))
    }

    /// What messages call the place.
    fn name(&self) -> String {
        self.file.as_ref().map_or("standard output".to_owned(), |file| shown_path(file))
    }
}

fn unknown<F: ReportFormat>(name: &str) -> Failure {
    let names: Vec<&str> = F::ALL.iter().map(|(_, name, _)| *name).collect();
    let near = perhaps(name, names.iter().copied());
    let name = shown(name);
    Failure::Message(format!("--output {name}: unknown format{near}\n  help: formats are {}", names.join(", ")))
}

/// An output that is open: standard output, or a file that appears under its name only when it is whole.
pub(crate) enum Sink {
    Standard(Box<dyn Write>),
    File(AtomicFile),
}

impl Sink {
    /// Opens a file, or else standard output as it is given.
    pub(crate) fn open(file: Option<&PathBuf>, standard: impl Write + 'static) -> Result<Self, Failure> {
        match file {
            None => Ok(Self::Standard(Box::new(BufWriter::new(standard)))),
            Some(file) => AtomicFile::open(file, true).map(Self::File),
        }
    }

    /// Opens a file or standard output and writes a text to it. It has to be closed with the others.
    pub(crate) fn with_text(text: &str, file: Option<&PathBuf>) -> Result<Self, Failure> {
        let mut sink = Self::open(file, io::stdout())?;
        sink.write_all(text.as_bytes()).map_err(Failure::writing(&sink.name()))?;
        Ok(sink)
    }

    /// What messages call it.
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Standard(_) => "standard output".to_owned(),
            Self::File(file) => file.name(),
        }
    }

    /// Closes all of them. Files get their names together, once everything is written.
    pub(crate) fn close_all(sinks: impl Iterator<Item = Self>) -> Result<(), Failure> {
        let mut files = Vec::new();
        for sink in sinks {
            match sink {
                Self::Standard(mut out) => out.flush().map_err(Failure::writing("standard output"))?,
                Self::File(file) => files.push(file),
            }
        }
        commit_all(files)
    }
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Standard(out) => out.write(bytes),
            Self::File(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Standard(out) => out.flush(),
            Self::File(file) => file.flush(),
        }
    }
}

/// Writes one text for each target, and closes them together.
pub(crate) fn write_texts<F: ReportFormat>(
    targets: &[Target<F>],
    text: impl Fn(&Target<F>) -> String,
) -> Result<(), Failure> {
    let sinks: Result<Vec<Sink>, Failure> =
        targets.iter().map(|target| Sink::with_text(&text(target), target.file.as_ref())).collect();
    Sink::close_all(sinks?.into_iter())
}

/// Says that an input cannot be read.
pub(crate) fn complain_unreadable(input: &Input, error: &io::Error) {
    complain(&Failure::Message(format!("{}: {}", input_name(input), reason(error))));
}

/// What messages call an input.
pub(crate) fn input_name(input: &Input) -> String {
    if *input == Input::Standard { "standard input".to_owned() } else { shown(&input.name()) }
}
