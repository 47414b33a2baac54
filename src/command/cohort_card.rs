//! The dataset card that `oar generate` writes beside a cohort.

use std::ffi::{OsStr, OsString};
use std::io::Write;
use std::path::{Path, PathBuf};

use oar_generators::cohort::SyntheticCohort;
use open_aligner_record::card::{Card, CardTotals, Made};
use open_aligner_record::output::shown_path;
use open_aligner_record::realism::published;

use super::Failure;
use super::atomic_file::AtomicFile;
use super::cohort_paths::{begin, is_stream};
use super::overwrite_guard::is_file_or_folder;

/// Endings of a card's files, for programs and for people.
const ENDINGS: [&str; 2] = [".card.json", ".card.md"];

/// Where the card goes.
pub(crate) struct CardFiles {
    stem: OsString,
}

impl CardFiles {
    /// The place of the card: the given one, or beside the file, or in the folder. With standard output there is no card. Existing
    /// files are overwritten only when that is asked for.
    pub(crate) fn choose(to: &Path, asked: Option<&Path>, overwrite: bool) -> Result<Option<Self>, Failure> {
        let stem = match asked {
            Some(asked) => without(asked.as_os_str(), &[".card.json", ".card.md", ".json", ".md"]),
            None if to.as_os_str() == "-" => return Ok(None),
            None if is_stream(to) => {
                let name = without(to.as_os_str(), &[".gz", ".zst"]);
                without(&without(&name, &[".jsonl"]), &[".oar"])
            }
            None => to.join("cohort").into_os_string(),
        };
        let card = Self { stem };
        match card.paths().into_iter().find(|path| is_file_or_folder(path)) {
            Some(path) if !overwrite => Err(Failure::Message(format!(
                "{} already exists\n  help: give another name, --overwrite, or --no-card",
                shown_path(&path)
            ))),
            _ => Ok(Some(card)),
        }
    }

    pub(crate) fn paths(&self) -> [PathBuf; 2] {
        ENDINGS.map(|ending| {
            let mut path = self.stem.clone();
            path.push(ending);
            PathBuf::from(path)
        })
    }

    /// Writes the card, up to giving its files their names.
    pub(crate) fn write(
        &self,
        cohort: &SyntheticCohort,
        gathered: &CardTotals,
        made: Made,
        overwrite: bool,
    ) -> Result<Vec<AtomicFile>, Failure> {
        let table = published::read(published::TABLE)
            .map_err(|error| Failure::Message(format!("the table of published statistics cannot be read: {error}")))?;
        let card = Card::new(cohort, gathered, &table, made);
        let [json, markdown] = self.paths();
        let text = card.json().map_err(|error| Failure::writing(&shown_path(&json))(error.into()))?;
        [(json, text), (markdown, card.markdown())]
            .into_iter()
            .map(|(path, text)| whole(&path, &text, overwrite))
            .collect()
    }
}

fn whole(path: &Path, text: &str, overwrite: bool) -> Result<AtomicFile, Failure> {
    let mut file = begin(path, overwrite)?;
    file.write_all(text.as_bytes()).map_err(Failure::writing(&file.name()))?;
    Ok(file)
}

/// A path without the first of the endings that its name has.
fn without(path: &OsStr, endings: &[&str]) -> OsString {
    let path = Path::new(path);
    let name = path.file_name().and_then(OsStr::to_str);
    let bare = name.and_then(|name| endings.iter().find_map(|ending| name.strip_suffix(ending)));
    bare.map_or_else(|| path.as_os_str().to_owned(), |bare| path.with_file_name(bare).into_os_string())
}
