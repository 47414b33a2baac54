//! Files of the repository, and those among them that the code writes.

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of the whole project.
pub fn root() -> &'static Path {
    let crate_folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    crate_folder.ancestors().nth(2).unwrap()
}

/// Whether files that the code writes are written anew: the environment has `UPDATE`.
pub fn is_update() -> bool {
    std::env::var_os("UPDATE").is_some()
}

/// The paths in a folder of the project whose names end so, sorted.
pub fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join(folder)).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = entries.filter(|path| path.to_string_lossy().ends_with(ending)).collect();
    files.sort();
    files
}

/// Asks that a file of the project holds these bytes; with `UPDATE`, writes them. `command` is what writes them anew.
#[track_caller]
pub fn is_current(file: &str, bytes: impl AsRef<[u8]>, command: &str) {
    let (path, bytes) = (root().join(file), bytes.as_ref());
    if is_update() {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, bytes).unwrap();
    }
    let there = fs::read(&path).unwrap_or_default();
    assert!(there == bytes, "{file} is stale: UPDATE=1 {command}");
}
