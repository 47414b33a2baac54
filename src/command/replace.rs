//! Writing in the place of a record file, or to another one: all of it or nothing, and compressed as the file before.

use std::fs::{self, File, Metadata};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::atomic_file::AtomicFile;

/// How a file is compressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Packing {
    None,
    Gzip,
    Zstd,
}

impl Packing {
    /// The compression of a file, by its first bytes.
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
    None(AtomicFile),
    Gzip(flate2::write::GzEncoder<AtomicFile>),
    Zstd(zstd::stream::write::Encoder<'static, AtomicFile>),
}

/// A new content for a file, which takes its place only when it is whole.
pub(crate) struct Replacement {
    path: PathBuf,
    /// The file in whose place it is written, as it was at first.
    before: Option<Metadata>,
    out: Packed,
}

impl Replacement {
    /// Begins a new content for a file that is there, with its permissions and compression.
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        let before = fs::symlink_metadata(path)?;
        refuse(&before)?;
        let file = AtomicFile::create(path, true)?;
        let out = match Packing::of(path)? {
            Packing::None => Packed::None(file),
            Packing::Gzip => Packed::Gzip(flate2::write::GzEncoder::new(file, flate2::Compression::default())),
            Packing::Zstd => Packed::Zstd(zstd::stream::write::Encoder::new(file, 0)?),
        };
        Ok(Self { path: path.to_path_buf(), before: Some(before), out })
    }

    /// Begins a file that may not be there yet. With `overwrite`, it replaces an existing file.
    pub(crate) fn new(path: &Path, overwrite: bool) -> io::Result<Self> {
        let out = Packed::None(AtomicFile::create(path, overwrite)?);
        Ok(Self { path: path.to_path_buf(), before: None, out })
    }

    /// Replaces the old content by the new one.
    pub(crate) fn finish(self) -> io::Result<()> {
        let mut file = match self.out {
            Packed::None(file) => file,
            Packed::Gzip(file) => file.finish()?,
            Packed::Zstd(file) => file.finish()?,
        };
        file.settle()?;
        if let Some(before) = &self.before {
            let now = fs::symlink_metadata(&self.path)?;
            if (now.len(), now.modified().ok()) != (before.len(), before.modified().ok()) {
                return Err(io::Error::other("another program changed it in the meantime, so it was left alone"));
            }
        }
        file.commit()
    }
}

impl Write for Replacement {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.out {
            Packed::None(file) => file.write(bytes),
            Packed::Gzip(file) => file.write(bytes),
            Packed::Zstd(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Refuses a file that a new file of that name would not replace completely.
fn refuse(file: &Metadata) -> io::Result<()> {
    let why = if file.is_symlink() {
        "it is a link: give the file itself"
    } else if !file.is_file() {
        "it is not an ordinary file"
    } else if file.permissions().readonly() {
        "it is read-only"
    } else if has_other_names(file) {
        "it has several names (hard links), and the others would keep the old content"
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
