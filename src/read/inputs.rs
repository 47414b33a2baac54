//! Which files are meant: paths, folders, standard input.

use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The endings of the names of record files.
const ENDINGS: &[&str] = &[".oar.json", ".oar.jsonl"];
/// The endings that compression adds.
const COMPRESSED: &[&str] = &[".gz", ".zst"];

/// One thing to be read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// Standard input.
    Standard,
    /// A file.
    File(PathBuf),
}

impl Input {
    /// What it is called in outputs: the path with `/` between its parts, from the working folder on; `-` for
    /// standard input.
    pub fn name(&self) -> String {
        match self {
            Self::Standard => "-".to_owned(),
            Self::File(path) => tidy(path),
        }
    }

    /// Whether its name says that it holds one record a line.
    pub fn says_lines(&self) -> bool {
        match self {
            Self::Standard => false,
            Self::File(path) => bare(&path.to_string_lossy()).ends_with(".jsonl"),
        }
    }
}

fn tidy(path: &Path) -> String {
    let here = std::env::current_dir().ok();
    let inside = here.and_then(|here| path.strip_prefix(here).ok().map(Path::to_path_buf));
    let path = inside.unwrap_or_else(|| path.to_path_buf());
    let parts: Vec<String> = path
        .components()
        .filter(|part| !matches!(part, std::path::Component::CurDir))
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();
    parts.join("/").replacen("//", "/", 1)
}

/// A file name without the ending of its compression.
fn bare(name: &str) -> &str {
    COMPRESSED.iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(name)
}

/// A path could not be taken.
#[derive(Debug)]
pub enum InputError {
    /// It is not there, or cannot be looked into.
    Unreadable(PathBuf, io::Error),
    /// A folder holds no record file.
    NothingIn(PathBuf),
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(path, error) => write!(f, "{}: {}", path.display(), reason(error)),
            Self::NothingIn(path) => write!(
                f,
                "{}: no file in this folder ends in .oar.json or .oar.jsonl (or these with .gz or .zst); name the file itself to check it whatever it is called",
                path.display()
            ),
        }
    }
}

impl std::error::Error for InputError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Unreadable(_, error) => Some(error),
            Self::NothingIn(_) => None,
        }
    }
}

/// An error of the system in plain words.
pub fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::PermissionDenied => "reading it is not permitted".to_owned(),
        _ => error.to_string(),
    }
}

/// The inputs that a path means: itself, or the record files below it in the order of their names.
///
/// # Errors
/// When the path is not there or a folder has no record file.
pub fn inputs(path: &Path) -> Result<Vec<Input>, InputError> {
    if path == Path::new("-") {
        return Ok(vec![Input::Standard]);
    }
    let unreadable = |error| InputError::Unreadable(path.to_path_buf(), error);
    if !fs::metadata(path).map_err(unreadable)?.is_dir() {
        return Ok(vec![Input::File(path.to_path_buf())]);
    }
    let mut found = Vec::new();
    search(path, &mut found)?;
    if found.is_empty() { Err(InputError::NothingIn(path.to_path_buf())) } else { Ok(found) }
}

/// Looks for record files in a folder and below; hidden folders and linked folders are left out.
fn search(folder: &Path, found: &mut Vec<Input>) -> Result<(), InputError> {
    let unreadable = |error| InputError::Unreadable(folder.to_path_buf(), error);
    let entries: Result<Vec<fs::DirEntry>, io::Error> = fs::read_dir(folder).map_err(unreadable)?.collect();
    let mut entries = entries.map_err(unreadable)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = entry.file_name().to_string_lossy().into_owned();
        let kind = entry.file_type().map_err(unreadable)?;
        if kind.is_dir() && !name.starts_with('.') {
            search(&entry.path(), found)?;
        } else if !kind.is_dir() && ENDINGS.iter().any(|ending| bare(&name).ends_with(ending)) {
            found.push(Input::File(entry.path()));
        }
    }
    Ok(())
}
