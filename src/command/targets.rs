//! Forms of a report and where they go: `--output FORMAT` and `--output FORMAT=FILE`.

use std::io::{self, Write};
use std::path::PathBuf;

use oar_generators::output::WholeFile;
use open_aligner_record::read::inputs::{Input, reason};

use super::reads::place;
use super::{Failure, complain, perhaps, say};

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
        return Err(Failure::Asked(format!("--output {text}: the forms are {others} and {last}{near}")));
    };
    if file == Some("") {
        return Err(Failure::Asked(format!("--output {text}: name a file after the =")));
    }
    Ok((*form, file.filter(|file| *file != "-").map(PathBuf::from)))
}

/// Refuses two forms in one place; `example` shows a file of its own.
pub(crate) fn refuse_clashes<F>(targets: &[Target<F>], example: &str) -> Result<(), Failure> {
    let at = |file: &Option<PathBuf>| file.as_ref().map(|file| place(file).unwrap_or_else(|| file.clone()));
    let repeated = |one: usize| targets[..one].iter().any(|(_, before)| at(before) == at(&targets[one].1));
    let Some(twice) = (0..targets.len()).find(|one| repeated(*one)) else { return Ok(()) };
    let name = targets[twice].1.as_ref().map_or("standard output".to_owned(), |file| file.display().to_string());
    let mend = format!("give each a place of its own, as in --output {example}");
    Err(Failure::Asked(format!("two outputs would go to {name}: {mend}")))
}

/// Writes a form to its place. A file appears under its name only when it is whole.
pub(crate) fn write(text: &str, file: Option<&PathBuf>) -> Result<(), Failure> {
    let Some(file) = file else { return say(text).map(drop) };
    let name = file.display().to_string();
    let written = WholeFile::begin(file).and_then(|mut whole| {
        whole.write_all(text.as_bytes())?;
        whole.finish()
    });
    written.map_err(Failure::writing(&name))
}

/// Tells of an input that cannot be read.
pub(crate) fn tell_missed(input: &Input, error: &io::Error) {
    let name = if *input == Input::Standard { "standard input".to_owned() } else { input.name() };
    complain(&Failure::Asked(format!("{name}: {}", reason(error))));
}
