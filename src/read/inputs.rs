//! Finds the input files: paths, folders, standard input.

use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};
use std::{fs, io};

use oar_schema::options;

use super::names::{self, Patterns};
use crate::text::readable;

/// The message for a folder without a record file.
const NOTHING_IN: &str = "no file in this folder ends in .oar.json or .oar.jsonl (also with .gz or .zst); a file that is given by name is read whatever its ending";

/// One input.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// Standard input.
    Standard,
    /// A file.
    File(PathBuf),
}

impl Input {
    /// Its name in outputs: the path relative to the working folder, with `/` between its parts; `-` for standard input.
    pub fn name(&self) -> String {
        match self {
            Self::Standard => "-".to_owned(),
            Self::File(path) => tidy(path),
        }
    }

    /// Whether its name promises one record per line.
    pub fn says_lines(&self) -> bool {
        match self {
            Self::Standard => false,
            Self::File(path) => names::says_lines(&path.to_string_lossy()),
        }
    }
}

fn tidy(typed: &Path) -> String {
    // Only an absolute path can need the working folder: asking for it costs as much as reading a short file.
    let here = typed.is_absolute().then(|| std::env::current_dir().ok()).flatten();
    let inside = here.and_then(|here| typed.strip_prefix(here).ok().map(Path::to_path_buf));
    let path = inside.unwrap_or_else(|| typed.to_path_buf());
    let parts: Vec<String> = shortened(&path).components().map(|part| readable(part.as_os_str())).collect();
    match parts.join("/").replacen("//", "/", 1) {
        name if !name.is_empty() => name,
        // The working folder, as it was typed.
        _ if typed.is_absolute() => ".".to_owned(),
        _ => readable(typed.as_os_str()),
    }
}

/// A path without `.`, and without folders that `..` leaves again, unless they are links: `exports/../exports` is `exports`.
fn shortened(path: &Path) -> PathBuf {
    let mut short = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir
                if matches!(short.components().next_back(), Some(Component::Normal(_))) && !short.is_symlink() =>
            {
                short.pop();
            }
            _ => short.push(part),
        }
    }
    short
}

/// An error of the system in plain words.
pub fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        _ => error.to_string(),
    }
}

/// An input that cannot be read.
#[derive(Debug)]
#[non_exhaustive]
pub struct Missed {
    /// The path as it was given or found.
    pub path: PathBuf,
    /// Why, in plain words.
    pub error: io::Error,
}

/// The inputs that paths lead to.
#[derive(Debug, Default)]
#[non_exhaustive]
pub struct FoundInputs {
    /// The readable inputs, in the order of the paths; within a folder, in the order of names.
    pub inputs: Vec<Input>,
    /// Paths that do not exist or cannot be opened, and folders without a record file.
    pub missed: Vec<Missed>,
    /// JSON files in folders whose names are not those of records.
    pub passed_over: u64,
    /// Temporary files in folders that a run is writing or that an interrupted run left behind. They are not inputs.
    pub partial: Vec<PathBuf>,
}

options! {
    /// Which files in folders are included in addition to record files, and which are excluded; `*` matches any text.
    Selection {
        /// Names of files that are records too.
        include: Vec<String> = Vec::new(),
        /// Names of files and folders that are excluded, even if they are included.
        exclude: Vec<String> = Vec::new(),
        /// Whether files that are named explicitly are also excluded when they, or a folder on their path, match; so that a run
        /// over some files of a folder takes none that a run over the folder would skip.
        named_too: bool = false,
    }
}

/// Resolves all paths: a file is itself, `-` is standard input, a folder means the record files below it. Names in a folder
/// that begin with a dot or match a pattern in `exclude`, and links to folders, are skipped. An input that several paths lead
/// to occurs once. In a pattern, `*` matches any text.
pub fn find(paths: &[PathBuf], exclude: &[String]) -> FoundInputs {
    Selection::default().exclude(exclude.to_vec()).find(paths)
}

impl Selection {
    /// Like [`find`], including record files with other names.
    pub fn find(&self, paths: &[PathBuf]) -> FoundInputs {
        let (mut found, choice) = (FoundInputs::default(), Choice::of(self));
        for path in paths {
            found.add(path, &choice);
        }
        if paths.len() > 1 {
            found.leave_out_repeats();
        }
        found
    }
}

/// A selection, with its patterns prepared for matching.
struct Choice {
    include: Patterns,
    exclude: Patterns,
    named_too: bool,
}

impl Choice {
    fn of(selection: &Selection) -> Self {
        let [include, exclude] =
            [&selection.include, &selection.exclude].map(|names| Patterns::new(names.iter().map(String::as_str)));
        Self { include, exclude, named_too: selection.named_too }
    }

    fn leaves_out(&self, name: &str) -> bool {
        name.starts_with('.') || self.exclude.any(name)
    }

    /// Whether a file that is named explicitly is excluded.
    fn leaves_out_named(&self, path: &Path) -> bool {
        let name = tidy(path);
        let mut parts = name.split('/').filter(|part| !matches!(*part, "" | "." | ".."));
        self.named_too && parts.any(|part| self.exclude.any(part))
    }

    fn takes(&self, name: &str) -> bool {
        names::is_record(name) || self.include.any(name)
    }
}

impl FoundInputs {
    fn add(&mut self, path: &Path, choice: &Choice) {
        if path == Path::new("-") {
            return self.inputs.push(Input::Standard);
        }
        match fs::metadata(path) {
            Err(error) => self.miss(path, error),
            Ok(kind) if kind.is_dir() => self.add_folder(path, choice),
            Ok(_) if choice.leaves_out_named(path) => {}
            Ok(_) => self.inputs.push(Input::File(path.to_path_buf())),
        }
    }

    fn add_folder(&mut self, folder: &Path, choice: &Choice) {
        let before = (self.inputs.len(), self.missed.len());
        self.search(folder, choice);
        if (self.inputs.len(), self.missed.len()) == before {
            self.miss(folder, io::Error::other(NOTHING_IN));
        }
    }

    /// Finds record files in a folder and below.
    fn search(&mut self, folder: &Path, choice: &Choice) {
        let entries = fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<fs::DirEntry>>>);
        let mut entries = match entries {
            Ok(entries) => entries,
            Err(error) => return self.miss(folder, error),
        };
        entries.sort_by_key(fs::DirEntry::file_name);
        for entry in entries {
            let name = entry.file_name().to_string_lossy().into_owned();
            match entry.file_type() {
                _ if names::is_partial(&name) => self.partial.push(entry.path()),
                _ if choice.leaves_out(&name) => {}
                Ok(kind) if kind.is_dir() => self.search(&entry.path(), choice),
                Ok(kind) if choice.takes(&name) && (kind.is_file() || leads_to_file(&entry.path())) => {
                    self.inputs.push(Input::File(entry.path()));
                }
                Ok(_) => self.passed_over += u64::from(names::is_json(&name)),
                Err(error) => self.miss(&entry.path(), error),
            }
        }
    }

    /// Skips what was found before under the same or another name.
    fn leave_out_repeats(&mut self) {
        let mut seen = BTreeSet::new();
        self.inputs.retain(|input| {
            seen.insert(match input {
                Input::Standard => input.clone(),
                Input::File(path) => Input::File(path.canonicalize().unwrap_or_else(|_| path.clone())),
            })
        });
    }

    fn miss(&mut self, path: &Path, error: io::Error) {
        self.missed.push(Missed { path: path.to_path_buf(), error });
    }
}

/// Whether a link leads to a file, or to nothing, which reading it will show.
fn leads_to_file(link: &Path) -> bool {
    fs::metadata(link).map_or(true, |kind| kind.is_file())
}
