//! The dataset card that `oar generate` writes beside a cohort.

use std::io::Write;
use std::path::{Path, PathBuf};

use oar_generators::cohort::Cohort;
use oar_generators::output::WholeFile;
use open_aligner_record::card::{Card, Gathered, Made};
use open_aligner_record::realism::published;

use super::Failure;
use super::cohort_files::{begin, is_stream};

/// Endings of a card's files, for programs and for people.
const ENDINGS: [&str; 2] = [".card.json", ".card.md"];

/// Where the card goes.
pub(crate) struct CardFiles {
    stem: String,
}

impl CardFiles {
    /// Beside a file, in a folder, or where it is asked for; nowhere beside standard output. What is there already is not
    /// written over unless that is asked for.
    pub(crate) fn choose(to: &Path, asked: Option<&Path>, overwrite: bool) -> Result<Option<Self>, Failure> {
        let stem = match asked {
            Some(asked) => without(&asked.display().to_string(), &[".card.json", ".card.md", ".json", ".md"]),
            None if to.as_os_str() == "-" => return Ok(None),
            None if is_stream(to) => {
                let name = without(&to.display().to_string(), &[".gz", ".zst"]);
                without(&without(&name, &[".jsonl"]), &[".oar"])
            }
            None => to.join("cohort").display().to_string(),
        };
        let card = Self { stem };
        match card.paths().into_iter().find(|path| path.exists()) {
            Some(path) if !overwrite => Err(Failure::Asked(format!(
                "{} is already there\n  help: give another name, --overwrite, or --no-card",
                path.display()
            ))),
            _ => Ok(Some(card)),
        }
    }

    pub(crate) fn paths(&self) -> [PathBuf; 2] {
        ENDINGS.map(|ending| PathBuf::from(format!("{}{ending}", self.stem)))
    }

    /// Writes the card, up to giving its files their names.
    pub(crate) fn write(
        &self,
        cohort: &Cohort,
        gathered: &Gathered,
        made: Made,
    ) -> Result<Vec<(WholeFile, String)>, Failure> {
        let table = published::read(published::TABLE)
            .map_err(|error| Failure::Asked(format!("the table of published statistics cannot be read: {error}")))?;
        let card = Card::new(cohort, gathered, &table, made);
        let [json, markdown] = self.paths();
        let text = card.json().map_err(|error| Failure::writing(&json.display().to_string())(error.into()))?;
        [(json, text), (markdown, card.markdown())].into_iter().map(|(path, text)| whole(&path, &text)).collect()
    }
}

fn whole(path: &Path, text: &str) -> Result<(WholeFile, String), Failure> {
    let name = path.display().to_string();
    let mut file = begin(path, true)?;
    file.write_all(text.as_bytes()).and_then(|()| file.settle()).map_err(Failure::writing(&name))?;
    Ok((file, name))
}

/// A name without the first of the endings that it has.
fn without(name: &str, endings: &[&str]) -> String {
    endings.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(name).to_owned()
}
