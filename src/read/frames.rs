//! Frames: pieces of a file that hold whole records, cut without looking inside them.
//!
//! A file is either one document or one record a line. A frame is the document, or as many lines as fit a block.
//! What is held at once is one block, or one record when a record is larger than that.

use std::io::{self, Read};

use crate::json::Tree;

/// Bytes that are read at once.
pub const BLOCK: usize = 1 << 20;
/// The byte order mark of UTF-8.
const MARK: &[u8] = &[0xef, 0xbb, 0xbf];

/// How records lie in a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// One record, over as many lines as it takes.
    Document,
    /// One record a line.
    Lines,
}

/// A piece of a file.
#[derive(Debug, Default)]
pub struct Frame {
    /// Its bytes; whole lines, or a document.
    pub bytes: Vec<u8>,
    /// The line of the file on which it begins, from 1.
    pub line: u64,
    /// Whether the last line ends with the file instead of a line break.
    pub ends_open: bool,
}

/// What a file began with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// How its records lie.
    pub layout: Layout,
    /// Whether it begins with a byte order mark, which was taken off.
    pub byte_order_mark: bool,
}

/// What comes next in a file.
#[derive(Debug, PartialEq, Eq)]
pub enum Next {
    /// A frame.
    Frame,
    /// A record that is larger than allowed was left out; it begins on this line.
    TooLarge(u64),
    /// The end.
    End,
}

/// Cuts one file into frames.
pub struct Frames<R> {
    reader: R,
    start: Start,
    largest: usize,
    /// Read, but not yet given.
    held: Vec<u8>,
    line: u64,
    ended: bool,
    /// Whether nothing was given yet.
    fresh: bool,
    /// Whether the data broke off, as a compressed file does that was cut.
    broke_off: bool,
}

impl<R: Read> Frames<R> {
    /// Frames of `reader`; no record may have more than `largest` bytes. With `says_lines`, there is one record a line.
    ///
    /// # Errors
    /// When reading fails.
    pub fn new(reader: R, says_lines: bool, largest: usize) -> io::Result<Self> {
        let start = Start { layout: Layout::Document, byte_order_mark: false };
        let mut frames =
            Self { reader, start, largest, held: Vec::new(), line: 1, ended: false, fresh: true, broke_off: false };
        frames.fill(BLOCK)?;
        frames.start.byte_order_mark = frames.held.starts_with(MARK);
        if frames.start.byte_order_mark {
            frames.held.drain(..MARK.len());
        }
        if says_lines || frames.looks_like_lines()? {
            frames.start.layout = Layout::Lines;
        }
        Ok(frames)
    }

    /// What the file began with.
    pub fn start(&self) -> Start {
        self.start
    }

    /// Whether the compressed data broke off in the middle.
    pub fn broke_off(&self) -> bool {
        self.broke_off
    }

    /// Whether nothing was given yet.
    pub fn is_fresh(&self) -> bool {
        self.fresh
    }

    /// The most bytes that a record may have.
    pub fn largest(&self) -> usize {
        self.largest
    }

    /// Fills `frame` with what comes next.
    ///
    /// # Errors
    /// When reading fails.
    pub fn next(&mut self, frame: &mut Frame) -> io::Result<Next> {
        self.fresh = false;
        match self.start.layout {
            Layout::Document => self.document(frame),
            Layout::Lines => self.lines(frame),
        }
    }

    /// Reads until `wanted` bytes are held or the file ends.
    fn fill(&mut self, wanted: usize) -> io::Result<()> {
        let missing = wanted.saturating_sub(self.held.len());
        if self.ended || missing == 0 {
            return Ok(());
        }
        self.held.reserve(missing);
        let read = self.reader.by_ref().take(missing as u64).read_to_end(&mut self.held);
        match read {
            Ok(count) => self.ended = count < missing,
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => (self.ended, self.broke_off) = (true, true),
            Err(error) => return Err(error),
        }
        Ok(())
    }

    /// Whether the first line is a whole value, or the first two lines both begin an object.
    fn looks_like_lines(&mut self) -> io::Result<bool> {
        while !self.ended && self.held.len() < self.largest && second_line(&self.held).is_none() {
            self.fill(self.held.len() + BLOCK)?;
        }
        let Some((first, second)) = second_line(&self.held) else { return Ok(false) };
        Ok((first.first() == Some(&b'{') && second == b'{') || Tree::default().parse(first).is_ok())
    }

    fn document(&mut self, frame: &mut Frame) -> io::Result<Next> {
        if self.held.is_empty() && self.ended {
            return Ok(Next::End);
        }
        while !self.ended && self.held.len() <= self.largest {
            self.fill(self.held.len() + BLOCK)?;
        }
        if self.held.len() > self.largest {
            (self.held, self.ended) = (Vec::new(), true);
            return Ok(Next::TooLarge(1));
        }
        frame.bytes.clear();
        std::mem::swap(&mut frame.bytes, &mut self.held);
        (frame.line, frame.ends_open) = (1, true);
        Ok(Next::Frame)
    }

    fn lines(&mut self, frame: &mut Frame) -> io::Result<Next> {
        let mut searched = 0;
        loop {
            self.fill(BLOCK.max(searched + BLOCK / 2))?;
            if let Some(last) = memchr::memrchr(b'\n', &self.held[searched..]) {
                self.give(frame, searched + last + 1, false);
                return Ok(Next::Frame);
            }
            if self.held.len() > self.largest {
                return self.skip_line();
            }
            if self.ended {
                break;
            }
            searched = self.held.len();
        }
        if self.held.is_empty() {
            return Ok(Next::End);
        }
        self.give(frame, self.held.len(), true);
        Ok(Next::Frame)
    }

    /// Gives the first `count` bytes that are held.
    fn give(&mut self, frame: &mut Frame, count: usize, ends_open: bool) {
        frame.bytes.clear();
        std::mem::swap(&mut frame.bytes, &mut self.held);
        self.held.extend_from_slice(&frame.bytes[count..]);
        frame.bytes.truncate(count);
        (frame.line, frame.ends_open) = (self.line, ends_open);
        self.line += memchr::memchr_iter(b'\n', &frame.bytes).count() as u64;
    }

    /// Leaves out a line that is too large.
    fn skip_line(&mut self) -> io::Result<Next> {
        let line = self.line;
        loop {
            if let Some(end) = memchr::memchr(b'\n', &self.held) {
                self.held.drain(..=end);
                self.line += 1;
                return Ok(Next::TooLarge(line));
            }
            self.held.clear();
            if self.ended {
                return Ok(Next::TooLarge(line));
            }
            self.fill(BLOCK)?;
        }
    }
}

/// The first line that is not blank, and the first byte of the second one.
fn second_line(text: &[u8]) -> Option<(&[u8], u8)> {
    let text = text.trim_ascii_start();
    let end = memchr::memchr(b'\n', text)?;
    let second = text[end..].trim_ascii_start().first()?;
    Some((text[..end].trim_ascii_end(), *second))
}
