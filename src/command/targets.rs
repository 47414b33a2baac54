//! Forms of a report and where they go: `--output FORMAT` and `--output FORMAT=FILE`.

use std::io::{self, BufWriter, Write};
use std::path::PathBuf;

use open_aligner_record::output::{shown, shown_path};
use open_aligner_record::read::inputs::{Input, reason};

use super::atomic_file::{AtomicFile, commit_all};
use super::reads::place;
use super::{Failure, complain, perhaps};

/// A form and the file that it goes to; none is standard output.
pub(crate) type Target<F> = (F, Option<PathBuf>);

/// Reads `form` or `form=file`. `known` are the forms with their names.
pub(crate) fn target<F: Copy>(text: &str, known: &[(F, &str)]) -> Result<Target<F>, Failure> {
    let (name, file) = text.split_once('=').map_or((text, None), |(name, file)| (name, Some(file)));
    let names: Vec<&str> = known.iter().map(|(_, name)| *name).collect();
    let Some((form, _)) = known.iter().find(|(_, known)| *known == name) else {
        let near = perhaps(name, names.iter().copied());
        let (last, others) = names.split_last().unwrap_or((&"", &[]));
        let others = others.join(", ");
        return Err(Failure::Asked(format!("--output {}: the forms are {others} and {last}{near}", shown(text))));
    };
    if file == Some("") {
        return Err(Failure::Asked(format!("--output {}: name a file after the =", shown(text))));
    }
    Ok((*form, file.filter(|file| *file != "-").map(PathBuf::from)))
}

/// Refuses two forms in one place; `example` shows a file of its own.
pub(crate) fn refuse_clashes<F>(targets: &[Target<F>], example: &str) -> Result<(), Failure> {
    let at = |file: &Option<PathBuf>| file.as_ref().map(|file| place(file).unwrap_or_else(|| file.clone()));
    let repeated = |one: usize| targets[..one].iter().any(|(_, before)| at(before) == at(&targets[one].1));
    let Some(twice) = (0..targets.len()).find(|one| repeated(*one)) else { return Ok(()) };
    let name = targets[twice].1.as_ref().map_or("standard output".to_owned(), |file| shown_path(file));
    let mend = format!("give each a place of its own, as in --output {example}");
    Err(Failure::Asked(format!("two outputs would go to {name}: {mend}")))
}

/// Where a form goes that is written while a run goes on.
pub(crate) enum Sink {
    Standard(Box<dyn Write>),
    File(AtomicFile),
}

impl Sink {
    /// Standard output, or a file that appears under its name only when it is whole.
    pub(crate) fn open(file: Option<&PathBuf>, standard: impl Write + 'static) -> Result<Self, Failure> {
        match file {
            None => Ok(Self::Standard(Box::new(BufWriter::new(standard)))),
            Some(file) => AtomicFile::open(file, true).map(Self::File),
        }
    }

    /// Standard output or a file with this text in it, to be ended with the others.
    pub(crate) fn holding(text: &str, file: Option<&PathBuf>) -> Result<Self, Failure> {
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

    /// Ends all of them: gives the files their names, together, once everything is written.
    pub(crate) fn end_all(sinks: impl Iterator<Item = Self>) -> Result<(), Failure> {
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

/// Tells of an input that cannot be read.
pub(crate) fn tell_missed(input: &Input, error: &io::Error) {
    complain(&Failure::Asked(format!("{}: {}", input_name(input), reason(error))));
}

/// What messages call an input.
pub(crate) fn input_name(input: &Input) -> String {
    if *input == Input::Standard { "standard input".to_owned() } else { shown(&input.name()) }
}
