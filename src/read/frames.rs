//! Frames: pieces of a file that hold whole records, cut without parsing them.
//!
//! A file is either one document or one record per line. A frame is the document, or as many lines as fit a block. Memory
//! holds one block, or one record if that is larger.

use std::io::{self, Read};

use super::layout;

pub use super::layout::Layout;

/// Bytes that are read at once.
pub const BLOCK: usize = 1 << 20;
/// The maximum number of lines in a frame: lines much shorter than records would give too many findings to hold at once.
const LINES: usize = 256;
/// The byte order mark of UTF-8.
const MARK: &[u8] = &[0xef, 0xbb, 0xbf];

/// A piece of a file.
#[derive(Debug, Default)]
pub struct Frame {
    /// Its bytes; whole lines, or a document.
    pub bytes: Vec<u8>,
    /// The line of the file on which it begins, from 1.
    pub line: u64,
    /// Whether the last line ends with the file instead of a line break.
    pub ends_open: bool,
    /// The layout of its records.
    pub layout: Layout,
}

impl Frame {
    /// The records in it, each with the line of the file on which it begins. Blank lines are skipped.
    pub fn records(&self) -> impl Iterator<Item = (u64, &[u8])> {
        let mut at = FrameCursor::default();
        std::iter::from_fn(move || self.record(&mut at))
    }

    /// The record at `at` or after it, with its line.
    pub(crate) fn record(&self, at: &mut FrameCursor) -> Option<(u64, &[u8])> {
        while at.byte < self.bytes.len() {
            let rest = &self.bytes[at.byte..];
            let end = Some(rest).filter(|_| self.layout == Layout::Lines).and_then(|rest| memchr::memchr(b'\n', rest));
            let (line, record) = (self.line + at.lines, &rest[..end.unwrap_or(rest.len())]);
            (at.byte, at.lines) = (at.byte + record.len() + 1, at.lines + 1);
            if !record.trim_ascii().is_empty() {
                return Some((line, record));
            }
        }
        None
    }
}

/// How much of a frame was returned.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct FrameCursor {
    byte: usize,
    lines: u64,
}

/// What a file began with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// The layout of its records.
    pub layout: Layout,
    /// Whether it begins with a byte order mark, which was removed.
    pub byte_order_mark: bool,
}

/// What comes next in a file.
#[derive(Debug, PartialEq, Eq)]
pub enum Next {
    /// A frame.
    Frame,
    /// A record that is too large was skipped; it begins on this line.
    TooLarge(u64),
    /// The end.
    End,
}

/// Cuts one file into frames.
pub struct Frames<R> {
    reader: R,
    start: Start,
    largest: usize,
    /// The bytes read; those from `from` on have not been returned yet.
    held: Vec<u8>,
    from: usize,
    line: u64,
    ended: bool,
    /// Whether nothing was given yet.
    fresh: bool,
    /// Whether the data ended too early, like a truncated compressed file.
    broke_off: bool,
    /// Why reading failed; reported after all data that was read before.
    failed: Option<io::Error>,
}

impl<R: Read> Frames<R> {
    /// Frames of `reader`; no record may have more than `largest` bytes. With `says_lines`, its name says that there is
    /// one record a line.
    pub fn new(reader: R, says_lines: bool, largest: usize) -> Self {
        let mut frames = Self {
            reader,
            start: Start { layout: Layout::Document, byte_order_mark: false },
            largest,
            held: Vec::new(),
            from: 0,
            line: 1,
            ended: false,
            fresh: true,
            broke_off: false,
            failed: None,
        };
        frames.fill(BLOCK);
        frames.begin(says_lines);
        frames
    }

    /// Removes the byte order mark and detects the layout of the records.
    fn begin(&mut self, says_lines: bool) {
        if layout::is_wide(&self.held) {
            // Not UTF-8 from the first byte: one finding, and nothing more to read.
            self.ended = true;
            return;
        }
        self.start.byte_order_mark = self.held.starts_with(MARK);
        if self.start.byte_order_mark {
            self.held.drain(..MARK.len());
        }
        self.start.layout = self.layout(says_lines);
    }

    /// The layout of the records; reads on until it is known.
    fn layout(&mut self, says_lines: bool) -> Layout {
        loop {
            match layout::seen(&self.held, says_lines, self.ended) {
                Some(layout) => return layout,
                None if says_lines => return Layout::Lines,
                None if self.ended || self.held.len() > self.largest => return Layout::Document,
                None => self.fill(self.held.len() + BLOCK),
            }
        }
    }

    /// What the file began with.
    pub fn start(&self) -> Start {
        self.start
    }

    /// Whether the compressed data ended in the middle.
    pub fn broke_off(&self) -> bool {
        self.broke_off
    }

    /// The line on which the next part begins, from 1.
    pub fn line(&self) -> u64 {
        self.line
    }

    /// Whether nothing has been returned yet.
    pub fn is_fresh(&self) -> bool {
        self.fresh
    }

    /// The maximum size of a record in bytes.
    pub fn largest(&self) -> usize {
        self.largest
    }

    /// Fills `frame` with what comes next.
    ///
    /// # Errors
    /// When reading failed, after all whole lines before that were returned. A document that could not be read to its end is
    /// not returned.
    pub fn next(&mut self, frame: &mut Frame) -> io::Result<Next> {
        self.fresh = false;
        frame.layout = self.start.layout;
        match self.start.layout {
            Layout::Document => self.document(frame),
            Layout::Lines => self.lines(frame),
        }
    }

    /// The bytes that were read and not yet returned.
    fn rest(&self) -> &[u8] {
        &self.held[self.from..]
    }

    /// Reads until `wanted` bytes are held or the file ends.
    fn fill(&mut self, wanted: usize) {
        let missing = wanted.saturating_sub(self.rest().len());
        if self.ended || missing == 0 {
            return;
        }
        self.held.drain(..self.from);
        self.from = 0;
        self.held.reserve(missing);
        match self.reader.by_ref().take(missing as u64).read_to_end(&mut self.held) {
            Ok(count) => self.ended = count < missing,
            Err(error) => {
                self.ended = true;
                self.broke_off = error.kind() == io::ErrorKind::UnexpectedEof;
                self.failed = Some(error).filter(|_| !self.broke_off);
            }
        }
    }

    /// The end, or why there is one.
    fn end(&mut self) -> io::Result<Next> {
        (self.held, self.from) = (Vec::new(), 0);
        self.failed.take().map_or(Ok(Next::End), Err)
    }

    fn document(&mut self, frame: &mut Frame) -> io::Result<Next> {
        while !self.ended && self.held.len() <= self.largest {
            self.fill(self.held.len() + BLOCK);
        }
        if self.held.is_empty() || self.failed.is_some() {
            return self.end();
        }
        if self.held.len() > self.largest {
            (self.held, self.ended) = (Vec::new(), true);
            return Ok(Next::TooLarge(1));
        }
        self.give(frame, self.held.len(), true, None);
        Ok(Next::Frame)
    }

    fn lines(&mut self, frame: &mut Frame) -> io::Result<Next> {
        if self.rest().len() < BLOCK / 4 {
            self.fill(BLOCK);
        }
        let mut searched = 0;
        loop {
            if let Some((end, lines)) = whole_lines(self.rest(), searched) {
                self.give(frame, end, false, lines);
                return Ok(Next::Frame);
            }
            if self.rest().len() > self.largest {
                return Ok(self.skip_line());
            }
            if self.ended {
                break;
            }
            searched = self.rest().len();
            self.fill(BLOCK.max(searched + BLOCK / 2));
        }
        if self.rest().is_empty() || self.failed.is_some() {
            return self.end();
        }
        self.give(frame, self.rest().len(), true, None);
        Ok(Next::Frame)
    }

    /// Returns the first `count` bytes of the rest: the buffer itself when that is most of it, otherwise a copy. `lines` is the
    /// number of their line ends, if it is known.
    fn give(&mut self, frame: &mut Frame, count: usize, ends_open: bool, lines: Option<usize>) {
        frame.bytes.clear();
        if self.from == 0 && count > self.held.len() / 2 {
            std::mem::swap(&mut frame.bytes, &mut self.held);
            self.held.extend_from_slice(&frame.bytes[count..]);
            frame.bytes.truncate(count);
        } else {
            frame.bytes.extend_from_slice(&self.rest()[..count]);
            self.from += count;
        }
        (frame.line, frame.ends_open) = (self.line, ends_open);
        self.line += lines.unwrap_or_else(|| memchr::memchr_iter(b'\n', &frame.bytes).count()) as u64;
    }

    /// Skips a line that is too large.
    fn skip_line(&mut self) -> Next {
        let line = self.line;
        loop {
            if let Some(end) = memchr::memchr(b'\n', self.rest()) {
                self.from += end + 1;
                self.line += 1;
                return Next::TooLarge(line);
            }
            self.held.clear();
            self.from = 0;
            if self.ended {
                return Next::TooLarge(line);
            }
            self.fill(BLOCK);
        }
    }
}

/// The end of the last whole line, or of the last that a frame may have, and the number of lines; the first `searched` bytes
/// have no line end.
fn whole_lines(text: &[u8], searched: usize) -> Option<(usize, Option<usize>)> {
    let last = searched + memchr::memrchr(b'\n', &text[searched..])?;
    let most = memchr::memchr_iter(b'\n', &text[searched..=last]).nth(LINES - 1);
    Some((most.map_or(last, |at| searched + at) + 1, most.map(|_| LINES)))
}
