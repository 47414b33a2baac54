//! Temporary files: created under names that nobody can guess, removed on failure and on signals, recognised when they were left behind.

use std::collections::BTreeSet;
use std::fs::{self, File, Metadata, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};

use open_aligner_record::output::shown_path;
use open_aligner_record::read::names::{PARTIAL_PREFIX, PARTIAL_SUFFIX, is_partial};
use tempfile::{Builder, TempPath};

use super::report;

/// Random characters in a name, of 62 each.
const RANDOM: usize = 12;

/// The temporary files that are open. Whoever holds the lock creates, renames or removes one, so that a signal meets whole steps.
static OPEN: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
/// The folders in which leftovers were looked for, and the leftovers that were named.
static NAMED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
/// Signals are watched from the first temporary file on: a run that writes none keeps the defaults of the system.
static WATCHED: Once = Once::new();

fn locked(set: &'static Mutex<BTreeSet<PathBuf>>) -> MutexGuard<'static, BTreeSet<PathBuf>> {
    set.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The name of a temporary file, which is removed when this is dropped.
pub(crate) struct Temporary(Option<TempPath>);

impl Temporary {
    /// Creates a file in a folder. Only this user may open it when it takes the place of another file, until it has the
    /// permissions of that file; otherwise it has those of any new file.
    pub(crate) fn create_in(folder: &Path, replaces: bool) -> io::Result<(File, Self)> {
        WATCHED.call_once(watch);
        let mut open = locked(&OPEN);
        let (file, path) = builder(replaces).tempfile_in(folder)?.into_parts();
        open.insert(path.to_path_buf());
        drop(open);
        // The lock says that a run still writes the file. Where a file system has none, the file counts as left behind.
        drop(file.try_lock());
        Ok((file, Self(Some(path))))
    }

    /// Gives the file its name. With `replace`, it takes the place of a file of that name.
    fn rename(&mut self, to: &Path, replace: bool, open: &mut BTreeSet<PathBuf>) -> io::Result<()> {
        let Some(path) = self.0.take() else { return Ok(()) };
        let name = path.to_path_buf();
        let renamed = if replace { path.persist(to) } else { path.persist_noclobber(to) };
        // On failure the error holds the path, and removes the file when it is dropped.
        let renamed = renamed.map_err(|error| error.error);
        open.remove(&name);
        renamed
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        let Some(path) = self.0.take() else { return };
        let mut open = locked(&OPEN);
        open.remove(&*path);
        drop(path);
    }
}

/// A file on its way to its name.
pub(crate) struct Renaming<'a> {
    pub(crate) temporary: &'a mut Temporary,
    pub(crate) to: &'a Path,
    pub(crate) replace: bool,
}

/// Gives several files their names, with no signal in between. When one fails, those before it have theirs; gives its place.
pub(crate) fn rename_all<'a>(files: impl Iterator<Item = Renaming<'a>>) -> Result<(), (usize, io::Error)> {
    let mut open = locked(&OPEN);
    for (at, file) in files.enumerate() {
        file.temporary.rename(file.to, file.replace, &mut open).map_err(|error| (at, error))?;
    }
    Ok(())
}

#[cfg(unix)]
fn builder(replaces: bool) -> Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt;
    let mut builder = named();
    // Less what the umask takes away.
    builder.permissions(fs::Permissions::from_mode(if replaces { 0o600 } else { 0o666 }));
    builder
}

#[cfg(not(unix))]
fn builder(_: bool) -> Builder<'static, 'static> {
    named()
}

fn named() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(PARTIAL_PREFIX).suffix(PARTIAL_SUFFIX).rand_bytes(RANDOM);
    builder
}

/// Removes all temporary files. The lock is never given back: nothing is created or renamed after this.
fn remove_all(open: MutexGuard<'_, BTreeSet<PathBuf>>) {
    for path in open.iter() {
        drop(fs::remove_file(path));
    }
    std::mem::forget(open);
}

/// Removes temporary files before a panic or a signal ends the program.
fn watch() {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        before(panic);
        if cfg!(panic = "abort")
            && let Ok(open) = OPEN.try_lock()
        {
            remove_all(open);
        }
    }));
    #[cfg(unix)]
    watch_signals();
}

/// Waits for signals on a thread of its own. Without a thread the system ends the program, and the next run names what it left.
#[cfg(unix)]
fn watch_signals() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;
    let ignored = ignored();
    let heard = [SIGHUP, SIGINT, SIGQUIT, SIGTERM].into_iter().filter(move |signal| ignored >> (signal - 1) & 1 == 0);
    let (ready, is_ready) = std::sync::mpsc::channel::<()>();
    let wait = move || {
        let signals = Signals::new(heard);
        drop(ready);
        let Ok(mut signals) = signals else { return };
        if let Some(signal) = signals.forever().next() {
            remove_all(locked(&OPEN));
            // As if nothing had been watched: the shell sees 128 and the number of the signal.
            drop(emulate_default_handler(signal));
        }
    };
    if std::thread::Builder::new().name("signals".to_owned()).spawn(wait).is_ok() {
        let _ = is_ready.recv();
    }
}

/// The signals that were ignored when the program began, as a set of bits: `nohup` and a shell's `&` ask for that. Where the system
/// does not say it as Linux does (proc(5)), none.
#[cfg(unix)]
fn ignored() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    line.and_then(|bits| u64::from_str_radix(bits.trim(), 16).ok()).unwrap_or_default()
}

/// Names the temporary files in a folder that a run left behind, once.
pub(crate) fn name_leftovers_in(folder: &Path) {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    if !locked(&NAMED).insert(folder.to_path_buf()) {
        return;
    }
    let Ok(entries) = fs::read_dir(folder) else { return };
    let mut left: Vec<PathBuf> = entries
        .flatten()
        .filter(|entry| is_partial(&entry.file_name().to_string_lossy()))
        .map(|entry| entry.path())
        .collect();
    left.sort();
    name_leftovers(&left);
}

/// Names those of these temporary files that no run is writing, each once.
pub(crate) fn name_leftovers(paths: &[PathBuf]) {
    for path in paths {
        let path = path.strip_prefix("./").unwrap_or(path);
        if is_left_behind(path) && locked(&NAMED).insert(path.to_path_buf()) {
            let name = shown_path(path);
            // A quiet run says it too: it is about patients' data.
            report(&format!(
                "note: {name} was left behind by an interrupted run and may hold patients' data\n  help: delete it"
            ));
        }
    }
}

/// Whether a temporary file belongs to no run any more. One that this user may not open belongs to somebody else's run.
pub(crate) fn is_left_behind(path: &Path) -> bool {
    let ordinary = |kind: Metadata| kind.is_file();
    if !fs::symlink_metadata(path).is_ok_and(ordinary) {
        return false;
    }
    File::open(path).is_ok_and(|file| !matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
}
