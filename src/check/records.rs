//! The records of one file in their types, one after the other.

use std::io::{self, Read};
use std::path::Path;

use oar_schema::record::Record;

use crate::check::checker::{Checker, ReadError};
use crate::check::files::{Source, open, read};
use crate::read::frames::{Frame, FrameCursor, Next};

/// The records of a file in their types; a record with an error, or one that is too large, is an error in its place.
///
/// ```
/// use open_aligner_record::Records;
///
/// for record in Records::open("datasets/demo/quillmere.oar.jsonl")? {
///     let record = record?;
///     println!("{} has {} series", record.id, record.series.len());
/// }
/// # Ok::<(), open_aligner_record::ReadError>(())
/// ```
pub struct Records<'r> {
    checker: Checker,
    source: Source<'r>,
    frame: Frame,
    at: FrameCursor,
    ended: bool,
}

impl<'r> Records<'r> {
    /// The records of a file.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub fn open(path: impl AsRef<Path>) -> io::Result<Self> {
        let checker = Checker::new().without_excerpts();
        Ok(Self::of(open(path.as_ref(), &checker)?, checker))
    }

    /// The records in a reader that `checker` accepts. The reader may borrow, as `&[u8]` does. `says_lines` is whether its name, for
    /// example, says that it has one record a line.
    ///
    /// # Errors
    /// When its first bytes cannot be read.
    pub fn new(reader: impl Read + 'r, says_lines: bool, checker: Checker) -> io::Result<Self> {
        Ok(Self::of(read(reader, says_lines, &checker)?, checker))
    }

    fn of(source: Source<'r>, checker: Checker) -> Self {
        Self { checker, source, frame: Frame::default(), at: FrameCursor::default(), ended: false }
    }

    /// Reads the next piece. Fails for a record that is too large, and for a file that is cut short.
    fn piece(&mut self) -> Result<(), ReadError> {
        self.at = FrameCursor::default();
        self.frame.bytes.clear();
        match self.source.next(&mut self.frame)? {
            Next::Frame => Ok(()),
            Next::TooLarge(line) => Err(ReadError::TooLarge(line)),
            Next::End => {
                self.ended = true;
                if self.source.broke_off() { Err(io::Error::from(io::ErrorKind::UnexpectedEof).into()) } else { Ok(()) }
            }
        }
    }
}

impl Iterator for Records<'_> {
    type Item = Result<Record, ReadError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some((line, record)) = self.frame.record(&mut self.at) {
                let fits = record.len() <= self.checker.largest_record();
                return Some(if fits { self.checker.read_from(record, line) } else { Err(ReadError::TooLarge(line)) });
            }
            if self.ended {
                return None;
            }
            if let Err(error) = self.piece() {
                self.ended |= matches!(error, ReadError::Io(_));
                return Some(Err(error));
            }
        }
    }
}
