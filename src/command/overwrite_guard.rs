//! Files that a command does not write over: those that it reads, and those that are already there.

use std::path::{Path, PathBuf};

use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::Input;

use super::Failure;

/// The files that a run reads, each with what is said when it would be written over. Where a path leads is looked up only when
/// something is to be written, because that costs as much as reading a short file.
#[derive(Default)]
pub(crate) struct ProtectedFiles(Vec<(PathBuf, &'static str)>);

impl ProtectedFiles {
    /// The inputs of a run. `what` says what they are.
    pub(crate) fn of(inputs: &[Input], what: &'static str) -> Self {
        let path = |input: &Input| if let Input::File(path) = input { Some((path.clone(), what)) } else { None };
        Self(inputs.iter().filter_map(path).collect())
    }

    /// Adds a file, if there is one.
    #[must_use]
    pub(crate) fn and(mut self, path: Option<&PathBuf>, what: &'static str) -> Self {
        self.0.extend(path.map(|path| (path.clone(), what)));
        self
    }

    /// Refuses to write `what` to one of them.
    pub(crate) fn refuse(&self, to: Option<&PathBuf>, what: &str) -> Result<(), Failure> {
        let Some((to, own)) = to.and_then(|to| Some((to, resolved(to)?))) else { return Ok(()) };
        match self.0.iter().find(|(path, _)| resolved(path).as_ref() == Some(&own)) {
            Some((_, read)) => {
                Err(Failure::Message(format!("{} {read}: write {what} to another file", shown_path(to))))
            }
            None => Ok(()),
        }
    }
}

/// Refuses a file that is already there, unless it may be overwritten. A device or a pipe is no file: writing to it loses nothing.
pub(crate) fn refuse_existing(to: Option<&PathBuf>, overwrite: bool) -> Result<(), Failure> {
    match to.filter(|to| !overwrite && is_file_or_folder(to)) {
        Some(to) => Err(Failure::Message(format!(
            "{} already exists\n  help: give another name, or --overwrite",
            shown_path(to)
        ))),
        None => Ok(()),
    }
}

/// Whether a path leads to an ordinary file or a folder.
pub(crate) fn is_file_or_folder(path: &Path) -> bool {
    path.metadata().is_ok_and(|kind| kind.is_file() || kind.is_dir())
}

/// Where a path leads, with all links followed; for a file that is not there yet, where it would be.
pub(crate) fn resolved(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok().or_else(|| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Some(folder.canonicalize().ok()?.join(path.file_name()?))
    })
}
