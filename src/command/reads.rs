//! What a run reads, which it does not write over.

use std::path::{Path, PathBuf};

use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::Input;

use super::Failure;

/// The files that a run reads, each with what is said of it when it would be written over. Where they lead to is looked up only when
/// something is to be written: that costs as much as reading a short file.
#[derive(Default)]
pub(crate) struct Reads(Vec<(PathBuf, &'static str)>);

impl Reads {
    /// The inputs of a run, of which `what` is said.
    pub(crate) fn of(inputs: &[Input], what: &'static str) -> Self {
        let path = |input: &Input| if let Input::File(path) = input { Some((path.clone(), what)) } else { None };
        Self(inputs.iter().filter_map(path).collect())
    }

    /// And another file, if there is one.
    #[must_use]
    pub(crate) fn and(mut self, path: Option<&PathBuf>, what: &'static str) -> Self {
        self.0.extend(path.map(|path| (path.clone(), what)));
        self
    }

    /// Refuses to write `what` to one of them.
    pub(crate) fn refuse(&self, to: Option<&PathBuf>, what: &str) -> Result<(), Failure> {
        let Some((to, own)) = to.and_then(|to| Some((to, place(to)?))) else { return Ok(()) };
        match self.0.iter().find(|(path, _)| place(path).as_ref() == Some(&own)) {
            Some((_, read)) => Err(Failure::Asked(format!("{} {read}: write {what} to another file", shown_path(to)))),
            None => Ok(()),
        }
    }
}

/// Refuses a file that is there already, unless it is to be written over. A device or a pipe is no file: nothing in it is lost.
pub(crate) fn refuse_existing(to: Option<&PathBuf>, overwrite: bool) -> Result<(), Failure> {
    match to.filter(|to| !overwrite && is_file_or_folder(to)) {
        Some(to) => Err(already_there(to)),
        None => Ok(()),
    }
}

/// Whether a path leads to an ordinary file or a folder.
pub(crate) fn is_file_or_folder(path: &Path) -> bool {
    path.metadata().is_ok_and(|kind| kind.is_file() || kind.is_dir())
}

/// What is said of a file that is there already.
fn already_there(path: &Path) -> Failure {
    Failure::Asked(format!("{} is already there\n  help: give another name, or --overwrite", shown_path(path)))
}

/// Where a path leads to, with no links on the way; of a file that is not there yet, where it would be.
pub(crate) fn place(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok().or_else(|| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Some(folder.canonicalize().ok()?.join(path.file_name()?))
    })
}
