//! What a run reads, which it does not write over.

use std::path::{Path, PathBuf};

use open_aligner_record::read::inputs::Input;

use super::Failure;

/// The files that a run reads, each with what is said of it when it would be written over.
#[derive(Default)]
pub(crate) struct Reads(Vec<(PathBuf, &'static str)>);

impl Reads {
    /// The inputs of a run, of which `what` is said.
    pub(crate) fn of(inputs: &[Input], what: &'static str) -> Self {
        let path = |input: &Input| if let Input::File(path) = input { Some((place(path)?, what)) } else { None };
        Self(inputs.iter().filter_map(path).collect())
    }

    /// And another file, if there is one.
    #[must_use]
    pub(crate) fn and(mut self, path: Option<&PathBuf>, what: &'static str) -> Self {
        self.0.extend(path.and_then(|path| Some((place(path)?, what))));
        self
    }

    /// Refuses to write `what` to one of them.
    pub(crate) fn refuse(&self, to: Option<&PathBuf>, what: &str) -> Result<(), Failure> {
        let Some((to, own)) = to.and_then(|to| Some((to, place(to)?))) else { return Ok(()) };
        match self.0.iter().find(|(path, _)| *path == own) {
            Some((_, read)) => Err(Failure::Asked(format!("{} {read}: write {what} to another file", to.display()))),
            None => Ok(()),
        }
    }
}

/// Where a path leads to, with no links on the way; of a file that is not there yet, where it would be.
pub(crate) fn place(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok().or_else(|| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Some(folder.canonicalize().ok()?.join(path.file_name()?))
    })
}
