//! Writing in the place of a file, or to another one: all of it or nothing.

use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use open_aligner_record::read::inputs::reason;

/// How a file is compressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Packing {
    None,
    Gzip,
    Zstd,
}

impl Packing {
    /// What the first bytes of a file tell.
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        let mut head = Vec::new();
        File::open(path)?.take(4).read_to_end(&mut head)?;
        Ok(match head[..] {
            [0x1f, 0x8b, ..] => Self::Gzip,
            [0x28, 0xb5, 0x2f, 0xfd] | [0x50..=0x5f, 0x2a, 0x4d, 0x18] => Self::Zstd,
            _ => Self::None,
        })
    }
}

enum Packed {
    None(BufWriter<File>),
    Gzip(flate2::write::GzEncoder<BufWriter<File>>),
    Zstd(zstd::stream::write::Encoder<'static, BufWriter<File>>),
}

/// A new content for a file, which takes its place only when it is whole.
pub(crate) struct Replacement {
    path: PathBuf,
    temporary: PathBuf,
    before: Option<Metadata>,
    out: Option<Packed>,
}

impl Replacement {
    /// Begins a new content for a file that is there, with its permissions and compression.
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        let before = fs::symlink_metadata(path)?;
        refuse(&before)?;
        let packing = Packing::of(path)?;
        Self::begin(path, Some(before), packing)
    }

    /// Begins a file that may not be there yet.
    pub(crate) fn new(path: &Path) -> io::Result<Self> {
        let before = match fs::symlink_metadata(path) {
            Ok(before) => Some(before),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(error),
        };
        before.as_ref().map_or(Ok(()), refuse)?;
        Self::begin(path, before, Packing::None)
    }

    fn begin(path: &Path, before: Option<Metadata>, packing: Packing) -> io::Result<Self> {
        let name = path.file_name().ok_or_else(|| io::Error::other("it has no name"))?;
        let temporary = path.with_file_name(format!(".{}.{}.new", name.to_string_lossy(), std::process::id()));
        let file = OpenOptions::new().write(true).create_new(true).open(&temporary)?;
        // From here on the temporary file is removed whatever happens.
        let mut replacement = Self { path: path.to_path_buf(), temporary, before, out: None };
        if let Some(before) = &replacement.before {
            file.set_permissions(before.permissions())?;
        }
        let file = BufWriter::new(file);
        replacement.out = Some(match packing {
            Packing::None => Packed::None(file),
            Packing::Gzip => Packed::Gzip(flate2::write::GzEncoder::new(file, flate2::Compression::default())),
            Packing::Zstd => Packed::Zstd(zstd::stream::write::Encoder::new(file, 0)?),
        });
        Ok(replacement)
    }

    /// Puts the new content in the place of the old one.
    pub(crate) fn finish(mut self) -> io::Result<()> {
        let file = match self.out.take() {
            Some(Packed::None(file)) => file,
            Some(Packed::Gzip(file)) => file.finish()?,
            Some(Packed::Zstd(file)) => file.finish()?,
            None => return Ok(()),
        };
        file.into_inner().map_err(io::IntoInnerError::into_error)?.sync_all()?;
        if let Some(before) = &self.before {
            let now = fs::symlink_metadata(&self.path)?;
            if (now.len(), now.modified().ok()) != (before.len(), before.modified().ok()) {
                return Err(io::Error::other("another program changed it in the meantime, so it was left as it is"));
            }
        }
        fs::rename(&self.temporary, &self.path)
    }
}

impl Drop for Replacement {
    fn drop(&mut self) {
        // After a rename there is nothing to remove.
        self.out = None;
        drop(fs::remove_file(&self.temporary));
    }
}

impl Write for Replacement {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.out {
            Some(Packed::None(file)) => file.write(bytes),
            Some(Packed::Gzip(file)) => file.write(bytes),
            Some(Packed::Zstd(file)) => file.write(bytes),
            None => Ok(bytes.len()),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Refuses what a new file of that name would not be the same as.
fn refuse(file: &Metadata) -> io::Result<()> {
    let why = if file.is_symlink() {
        "it is a link to another file; name that file itself"
    } else if !file.is_file() {
        "it is no ordinary file"
    } else if file.permissions().readonly() {
        "it may not be written"
    } else if has_other_names(file) {
        "it has more than one name (hard links), and the others would keep the old content"
    } else {
        return Ok(());
    };
    Err(io::Error::other(why))
}

#[cfg(unix)]
fn has_other_names(file: &Metadata) -> bool {
    std::os::unix::fs::MetadataExt::nlink(file) > 1
}

#[cfg(not(unix))]
fn has_other_names(_: &Metadata) -> bool {
    false
}

/// Why a file could not be written, in plain words.
pub(crate) fn told(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "its folder is not there".to_owned(),
        io::ErrorKind::PermissionDenied => "this user may not write there".to_owned(),
        _ => reason(error),
    }
}
