//! Where the files of a cohort go.

use std::path::Path;

use super::Failure;
use super::atomic_file::AtomicFile;
use super::overwrite_guard::refuse_existing;

/// Whether records go one a line into one file, or to standard output, rather than into a folder.
pub(crate) fn is_stream(to: &Path) -> bool {
    let name = to.to_string_lossy();
    name == "-" || [".jsonl", ".jsonl.gz", ".jsonl.zst"].iter().any(|ending| name.ends_with(ending))
}

/// Begins a file, unless one exists that may not be overwritten.
pub(crate) fn begin(path: &Path, overwrite: bool) -> Result<AtomicFile, Failure> {
    refuse_existing(Some(&path.to_path_buf()), overwrite)?;
    AtomicFile::open(path, overwrite)
}
