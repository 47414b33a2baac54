//! The bytes of one file, decompressed if they are compressed; the content decides, not the name.

use std::fs::File;
use std::io::{self, Cursor, Read};

use super::decoders;
use super::inputs::Input;

const GZIP: &[u8] = &[0x1f, 0x8b];
const ZSTD: &[u8] = &[0x28, 0xb5, 0x2f, 0xfd];
/// A frame that zstd decoders skip; it may come first.
const ZSTD_SKIPPED: &[u8] = &[0x2a, 0x4d, 0x18];

/// The size of the first read in bytes: most records are shorter.
const HEAD: usize = 64 * 1024;

/// The bytes of an input.
///
/// # Errors
/// When it cannot be opened or its first bytes cannot be read.
pub fn open(input: &Input) -> io::Result<Box<dyn Read>> {
    match input {
        Input::Standard => decompressed(io::stdin()),
        Input::File(path) => decompressed(File::open(path)?),
    }
}

/// The bytes behind gzip or zstd, or the bytes themselves.
///
/// # Errors
/// When the first bytes cannot be read.
pub fn decompressed<'r>(mut reader: impl Read + 'r) -> io::Result<Box<dyn Read + 'r>> {
    let head = head(&mut reader)?;
    let skipped = head.first().is_some_and(|first| first & 0xf0 == 0x50) && head[1..].starts_with(ZSTD_SKIPPED);
    let (gzip, zstd) = (head.starts_with(GZIP), head.starts_with(ZSTD) || skipped);
    let whole = Cursor::new(head).chain(reader);
    match () {
        () if gzip => decoders::gzip(whole),
        () if zstd => decoders::zstd(whole),
        () => Ok(Box::new(whole)),
    }
}

/// The first bytes, at least four if the file has that many. A short file is complete in them, so it is read once.
fn head(reader: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut head = vec![0; HEAD];
    let mut filled = 0;
    while filled < 4 {
        match reader.read(&mut head[filled..]) {
            Ok(0) => break,
            Ok(count) => filled += count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    head.truncate(filled);
    Ok(head)
}
