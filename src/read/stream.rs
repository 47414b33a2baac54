//! The bytes of one file, decompressed if they are compressed; the content decides, not the name.

use std::fs::File;
use std::io::{self, Cursor, Read};

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
    if gzip {
        return Ok(Box::new(Plain { reader: flate2::read::MultiGzDecoder::new(whole), form: "gzip" }));
    }
    if zstd {
        return Ok(Box::new(Plain { reader: zstd::stream::read::Decoder::new(whole)?, form: "zstd" }));
    }
    Ok(Box::new(whole))
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

/// A decoder with plain error messages.
struct Plain<R> {
    reader: R,
    form: &'static str,
}

impl<R: Read> Read for Plain<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.reader.read(buffer).map_err(|error| damaged(error, self.form))
    }
}

/// The error of a decoder. Errors of the system, and of a truncated file, are kept unchanged.
fn damaged(error: io::Error, form: &str) -> io::Error {
    if error.raw_os_error().is_some() || error.kind() == io::ErrorKind::UnexpectedEof {
        return error;
    }
    let text = if error.to_string().contains("too much memory") {
        "it was compressed with a window of more than 128 MiB; compress it again with a smaller one".to_owned()
    } else {
        format!("its {form} data is damaged; whole lines before the damage were checked")
    };
    io::Error::new(io::ErrorKind::InvalidData, text)
}
