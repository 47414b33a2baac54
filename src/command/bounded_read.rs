//! Reads files other than records, such as settings and baselines, up to a limit: a device without end is then an error.

use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::Path;

use open_aligner_record::read::inputs::reason;

use super::Failure;

/// For `oar.toml`, waivers and the text of a letter, which people write.
pub(crate) const SETTINGS: ByteLimit = ByteLimit { mebibytes: 16 };
/// For the manifest of a kit and the answers to it. A kit of a hundred cases of each fault takes a tenth of that.
pub(crate) const KIT: ByteLimit = ByteLimit { mebibytes: 256 };
/// For a line of a baseline or a report. Lines are read one by one, any number of them.
pub(crate) const LINE: ByteLimit = ByteLimit { mebibytes: 16 };

/// The most bytes that are read.
#[derive(Clone, Copy)]
pub(crate) struct ByteLimit {
    mebibytes: u64,
}

impl ByteLimit {
    const fn bytes(self) -> u64 {
        self.mebibytes << 20
    }
}

/// Reads a whole file.
pub(crate) fn read(path: &Path, limit: ByteLimit) -> io::Result<Vec<u8>> {
    read_from(File::open(path)?, limit)
}

/// Reads everything, up to the limit.
pub(crate) fn read_from(reader: impl Read, limit: ByteLimit) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(limit.bytes() + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit.bytes() {
        return Err(too_much("it has", limit));
    }
    Ok(bytes)
}

/// Reads a whole file as text. `name` is what messages call it.
pub(crate) fn read_text(path: &Path, name: &str, limit: ByteLimit) -> Result<String, Failure> {
    let bytes = read(path, limit).map_err(|error| Failure::Message(format!("{name}: {}", reason(&error))))?;
    text(bytes).map_err(|error| Failure::Message(format!("{name}: {error}")))
}

/// The bytes as text.
pub(crate) fn text(bytes: Vec<u8>) -> io::Result<String> {
    String::from_utf8(bytes).map_err(|error| {
        io::Error::new(
            io::ErrorKind::InvalidData,
            format!("byte {} is not UTF-8", error.utf8_error().valid_up_to() + 1),
        )
    })
}

fn too_much(what: &str, limit: ByteLimit) -> io::Error {
    let text = format!("{what} more than {} MiB, the limit", limit.mebibytes);
    io::Error::new(io::ErrorKind::FileTooLarge, text)
}

/// The lines of a file of any length, each up to the limit.
pub(crate) fn lines<R: Read>(reader: R) -> BufReader<impl Read> {
    BufReader::new(BoundedLines { reader, since: 0 })
}

struct BoundedLines<R> {
    reader: R,
    /// Bytes since the last line end.
    since: u64,
}

impl<R: Read> Read for BoundedLines<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.reader.read(buffer)?;
        self.since = match memchr::memrchr(b'\n', &buffer[..count]) {
            Some(at) => (count - at - 1) as u64,
            None => self.since + count as u64,
        };
        if self.since > LINE.bytes() { Err(too_much("a line of it has", LINE)) } else { Ok(count) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{BufRead, repeat};

    #[test]
    fn what_has_no_end_is_an_error_and_any_number_of_lines_is_none() {
        let said = read_from(repeat(0), SETTINGS).unwrap_err().to_string();
        assert_eq!(said, "it has more than 16 MiB, the limit");
        let said = lines(repeat(0)).lines().next().unwrap().unwrap_err().to_string();
        assert_eq!(said, "a line of it has more than 16 MiB, the limit");
        let many = "0123456789abcde\n".repeat(2 << 20);
        assert_eq!(lines(many.as_bytes()).lines().map_while(Result::ok).count(), 2 << 20);
    }
}
