//! The one writer of files: a file is whole under its name, or it is not there.
//!
//! Bytes are gathered in a temporary file in the same folder. When they are all on the disk, that file takes the name, and with it the
//! place, permissions and owner of a file that had the name before. A symbolic link stays; the file that it leads to is replaced.
//! What is no ordinary file, such as a device or a pipe, is written into.

use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use open_aligner_record::output::shown_path;

use super::Failure;
use super::temporary::{Renaming, Temporary, name_leftovers_in, rename_all};

/// Symbolic links that are followed one after the other, as on Linux (`path_resolution(7)`).
const MOST_LINKS: usize = 40;
/// Bytes that are gathered before they are written.
const BUFFER: usize = 1 << 16;

/// A file that is being written.
pub(crate) struct AtomicFile {
    /// The path as it was given.
    path: PathBuf,
    out: BufWriter<File>,
    /// What is left to do when it is whole; nothing for what is written into.
    place: Option<FilePlace>,
}

/// Where a whole file goes.
struct FilePlace {
    temporary: Temporary,
    target: PathBuf,
    replace: bool,
}

impl AtomicFile {
    /// Begins a file. With `replace`, it takes the place of an ordinary file of that name.
    pub(crate) fn create(path: &Path, replace: bool) -> io::Result<Self> {
        let target = match followed(path)? {
            Destination::Descriptor(target) => {
                // At the end of what others wrote there: the shell may have opened it with >>.
                let file = OpenOptions::new().append(true).open(target)?;
                return Ok(Self::new(path, file, None));
            }
            Destination::Path(target) => target,
        };
        match OpenOptions::new().write(true).open(&target) {
            Ok(file) => {
                let before = file.metadata()?;
                if before.is_file() {
                    return Self::begin(path, target, Some(&before), replace);
                }
                Ok(Self::new(path, file, None))
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound && !is_folder_name(&target) => {
                Self::begin(path, target, None, replace)
            }
            Err(error) => Err(error),
        }
    }

    /// As [`Self::create`], with words for a failure.
    pub(crate) fn open(path: &Path, replace: bool) -> Result<Self, Failure> {
        Self::create(path, replace).map_err(Failure::writing(&shown_path(path)))
    }

    fn begin(path: &Path, target: PathBuf, before: Option<&Metadata>, replace: bool) -> io::Result<Self> {
        let folder = folder_of(&target);
        name_leftovers_in(folder);
        let (file, temporary) = Temporary::create_in(folder, before.is_some())?;
        if let Some(before) = before {
            keep(&file, before)?;
        }
        Ok(Self::new(path, file, Some(FilePlace { temporary, target, replace })))
    }

    fn new(path: &Path, file: File, place: Option<FilePlace>) -> Self {
        Self { path: path.to_path_buf(), out: BufWriter::with_capacity(BUFFER, file), place }
    }

    /// The path as messages show it.
    pub(crate) fn name(&self) -> String {
        shown_path(&self.path)
    }

    /// Brings all bytes to the disk, so that nothing but the name is left to be given.
    pub(crate) fn settle(&mut self) -> io::Result<()> {
        self.out.flush()?;
        if self.place.is_some() { self.out.get_ref().sync_all() } else { Ok(()) }
    }

    /// Gives the file its name.
    pub(crate) fn commit(self) -> io::Result<()> {
        commit(&mut [self]).map_err(|(_, error)| error)
    }
}

impl Write for AtomicFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// Gives several files their names, once all of them are on the disk.
pub(crate) fn commit_all(mut files: Vec<AtomicFile>) -> Result<(), Failure> {
    let committed = commit(&mut files);
    committed.map_err(|(at, error)| Failure::Writing(files[at].name(), error))
}

/// Writes a whole text to a file.
pub(crate) fn write_file(path: &Path, text: &[u8], replace: bool) -> Result<(), Failure> {
    let mut file = AtomicFile::open(path, replace)?;
    file.write_all(text).map_err(Failure::writing(&file.name()))?;
    commit_all(vec![file])
}

/// Settles the files, and then gives them their names; gives the place of the one that failed.
fn commit(files: &mut [AtomicFile]) -> Result<(), (usize, io::Error)> {
    for (at, file) in files.iter_mut().enumerate() {
        file.settle().map_err(|error| (at, error))?;
    }
    let folder = |file: &AtomicFile| file.place.as_ref().map(|place| folder_of(&place.target).to_path_buf());
    let mut folders: Vec<(usize, PathBuf)> =
        files.iter().enumerate().filter_map(|(at, file)| Some((at, folder(file)?))).collect();
    let places = files.iter_mut().filter_map(|file| file.place.as_mut());
    let renaming =
        places.map(|FilePlace { temporary, target, replace }| Renaming { temporary, to: target, replace: *replace });
    rename_all(renaming).map_err(|(nth, error)| (folders[nth].0, error))?;
    folders.dedup_by(|one, other| one.1 == other.1);
    folders.into_iter().try_for_each(|(at, folder)| sync_folder(&folder).map_err(|error| (at, error)))
}

/// Where a path leads.
enum Destination {
    /// To something that this process has open, as `/dev/stdout`.
    Descriptor(PathBuf),
    Path(PathBuf),
}

/// Follows symbolic links to a path that is none, whether something is there or not.
fn followed(path: &Path) -> io::Result<Destination> {
    let mut path = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        if is_descriptor(&path) {
            return Ok(Destination::Descriptor(path));
        }
        let Ok(to) = std::fs::read_link(&path) else { return Ok(Destination::Path(path)) };
        path = folder_of(&path).join(to);
    }
    Err(io::Error::other("its symbolic links lead in a circle"))
}

/// Whether a path names something that a process has open: the files of `/dev/fd` and of `/proc/…/fd` (proc(5)).
fn is_descriptor(path: &Path) -> bool {
    let folder = folder_of(path);
    if !cfg!(unix) || !folder.ends_with("fd") {
        return false;
    }
    folder
        .canonicalize()
        .is_ok_and(|folder| folder == Path::new("/dev/fd") || (folder.starts_with("/proc") && folder.ends_with("fd")))
}

/// Whether a path can only name a folder.
fn is_folder_name(path: &Path) -> bool {
    path.as_os_str().as_encoded_bytes().last().is_some_and(|last| std::path::is_separator(char::from(*last)))
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Gives a new file the owner and the permissions of the one that it replaces. Where this user may not give it the group, the group
/// may do no more than everybody.
#[cfg(unix)]
fn keep(file: &File, before: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, fchown};
    let own = file.metadata()?;
    let owner = own.uid() == before.uid() || fchown(file, Some(before.uid()), None).is_ok();
    let group = own.gid() == before.gid() || fchown(file, None, Some(before.gid())).is_ok();
    let mode = match (owner, group) {
        (true, true) => before.mode() & 0o7777,
        (_, true) => before.mode() & 0o777,
        (_, false) => before.mode() & 0o777 & (0o707 | (before.mode() & 0o007) << 3),
    };
    if own.mode() & 0o7777 == mode { Ok(()) } else { file.set_permissions(std::fs::Permissions::from_mode(mode)) }
}

#[cfg(not(unix))]
fn keep(_: &File, _: &Metadata) -> io::Result<()> {
    Ok(())
}

/// Brings the names in a folder to the disk, where the file system can.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    use io::ErrorKind::{InvalidInput, PermissionDenied, Unsupported};
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        Err(error) if !matches!(error.kind(), InvalidInput | PermissionDenied | Unsupported) => Err(error),
        _ => Ok(()),
    }
}

#[cfg(not(unix))]
fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}
