//! The reader of the fast path: JSON text straight into typed rows, in one pass, without allocation once its buffers are
//! warm.
//!
//! It reads ordinary valid records, in any key order and with any white space. It stops ([`Fallback`]) at everything else,
//! valid or not: an unknown name, an escape in a name, `11.0` for an integer. It never reports what is wrong; the slow path
//! reads such a record again with positions, and decides. So the reader has to be correct in one direction only: a record
//! that it accepts is one that the published schema accepts, with exactly these values.
//!
//! The text has to be UTF-8; the caller checks that once for many records.

use crate::spans::Str;
use crate::time::{Date, Month};

/// The reader found something that it leaves to the slow path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fallback;

/// A name of a field with its quotes and colon, or a word with its quotes, ready to be compared sixteen bytes at once.
#[derive(Clone, Copy, Debug)]
pub struct QuotedName {
    written: &'static str,
    start: u128,
    mask: u128,
}

impl QuotedName {
    /// `written` is the name with its quotes and colon, or the word with its quotes.
    pub const fn new(written: &'static str) -> Self {
        let bytes = written.as_bytes();
        let (mut start, mut mask, mut at) = (0u128, 0u128, 0);
        while at < bytes.len() && at < 16 {
            start |= (bytes[at] as u128) << (8 * at);
            mask |= 0xff << (8 * at);
            at += 1;
        }
        Self { written, start, mask }
    }

    #[inline]
    fn begins(&self, head: u128, rest: &[u8]) -> bool {
        head & self.mask == self.start && (self.written.len() <= 16 || rest.starts_with(self.written.as_bytes()))
    }

    /// The name with its quotes alone.
    fn quoted(&self) -> &'static [u8] {
        let bytes = self.written.as_bytes();
        &bytes[..bytes.len() - 1]
    }
}

/// A position in the text of a record.
pub struct RecordReader<'a> {
    bytes: &'a [u8],
    at: usize,
    partial: bool,
    depth: u32,
    month: Month,
    /// Where the value of each section of the record begins, or the space before it; 0 for a missing section.
    sections: [u32; SECTIONS],
}

/// The record has fewer sections than this: each has one of 32 bits.
pub(crate) const SECTIONS: usize = 32;

impl<'a> RecordReader<'a> {
    /// A reader at the start of `bytes`. With `partial`, the record may lack required fields (never an object within it).
    pub(crate) fn new(bytes: &'a [u8], partial: bool) -> Self {
        Self { bytes, at: 0, partial, depth: 0, month: Month::default(), sections: [0; SECTIONS] }
    }

    #[inline]
    pub(crate) fn peek(&self) -> u8 {
        self.bytes.get(self.at).copied().unwrap_or(0)
    }

    #[inline]
    pub(crate) fn rest(&self) -> &'a [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }

    #[inline]
    pub(crate) fn advance(&mut self, bytes: usize) {
        self.at += bytes;
    }

    #[inline]
    pub(crate) fn skip_space(&mut self) {
        while self.peek() <= b' ' && matches!(self.peek(), b' ' | b'\n' | b'\r' | b'\t') {
            self.at += 1;
        }
    }

    /// Takes one byte, with the space before it.
    #[inline]
    fn take(&mut self, wanted: u8) -> Result<(), Fallback> {
        self.skip_space();
        if self.peek() != wanted {
            return Err(Fallback);
        }
        self.at += 1;
        Ok(())
    }

    /// After an entry: whether a comma follows (true) or the end (false).
    #[inline]
    fn more(&mut self, end: u8) -> Result<bool, Fallback> {
        self.skip_space();
        let found = self.peek();
        self.at += 1;
        if found == b',' {
            Ok(true)
        } else if found == end {
            Ok(false)
        } else {
            Err(Fallback)
        }
    }

    /// After an opening: whether an entry follows (true) or the end (false).
    #[inline]
    fn open(&mut self, begin: u8, end: u8) -> Result<bool, Fallback> {
        self.take(begin)?;
        self.skip_space();
        if self.peek() == end {
            self.at += 1;
            return Ok(false);
        }
        Ok(true)
    }

    /// Enters an object; whether it has members.
    #[inline]
    pub fn open_object(&mut self) -> Result<bool, Fallback> {
        self.depth += 1;
        self.open(b'{', b'}')
    }

    /// Enters a list; whether it has entries.
    #[inline]
    pub(crate) fn open_list(&mut self) -> Result<bool, Fallback> {
        self.open(b'[', b']')
    }

    /// Whether another member follows.
    #[inline]
    pub fn more_members(&mut self) -> Result<bool, Fallback> {
        self.more(b'}')
    }

    /// Whether another entry follows.
    #[inline]
    pub(crate) fn more_entries(&mut self) -> Result<bool, Fallback> {
        self.more(b']')
    }

    /// Takes a name or a word if it comes next.
    #[inline]
    pub fn takes(&mut self, name: &QuotedName) -> bool {
        let rest = self.rest();
        let found = name.begins(head(rest), rest);
        if found {
            self.at += name.written.len();
        }
        found
    }

    /// Reads a name and its colon; returns its index in `names`, tried from `next` on.
    #[inline]
    pub fn name(&mut self, names: &[QuotedName], next: usize) -> Result<usize, Fallback> {
        let rest = self.rest();
        if let (Some(name), Some(head)) = (names.get(next), rest.first_chunk::<16>())
            && name.begins(u128::from_le_bytes(*head), rest)
        {
            self.at += name.written.len();
            return Ok(next);
        }
        self.other_name(names, next)
    }

    /// A name that is not the expected one, or has space around it.
    #[inline(never)]
    fn other_name(&mut self, names: &[QuotedName], next: usize) -> Result<usize, Fallback> {
        self.skip_space();
        let rest = self.rest();
        let head = head(rest);
        if let Some(index) = find(names, next, |name| name.begins(head, rest)) {
            self.at += names[index].written.len();
            return Ok(index);
        }
        let index = find(names, next, |name| rest.starts_with(name.quoted())).ok_or(Fallback)?;
        self.at += names[index].quoted().len();
        self.take(b':')?;
        Ok(index)
    }

    /// Leaves an object: whether all required members were found.
    #[inline]
    pub fn complete(&mut self, seen: u32, required: u32) -> Result<(), Fallback> {
        self.depth -= 1;
        let whole = seen & required == required || (self.partial && self.depth == 0);
        if whole { Ok(()) } else { Err(Fallback) }
    }

    /// Whether it reads what the slow path wrote.
    pub(crate) fn is_partial(&self) -> bool {
        self.partial
    }

    /// The byte position of the reader.
    pub(crate) fn position(&self) -> usize {
        self.at
    }

    /// Enters an object or list that the format does not describe; whether it has entries.
    pub(crate) fn enter(&mut self, begin: u8, end: u8) -> Result<bool, Fallback> {
        self.open(begin, end)
    }

    /// Takes the colon after a name.
    pub(crate) fn colon(&mut self) -> Result<(), Fallback> {
        self.take(b':')
    }

    /// Notes that the value of a section follows.
    #[inline]
    pub(crate) fn begin_section(&mut self, index: usize) {
        self.sections[index] = self.at as u32;
    }

    /// Where the sections begin.
    pub(crate) fn sections(&self) -> [u32; SECTIONS] {
        self.sections
    }

    /// The end of the record: only space may follow.
    pub(crate) fn finish(&mut self) -> Result<(), Fallback> {
        self.skip_space();
        if self.at == self.bytes.len() { Ok(()) } else { Err(Fallback) }
    }

    /// Reads a text without escapes; returns what is between the quotes.
    #[inline]
    pub(crate) fn plain(&mut self) -> Result<&'a [u8], Fallback> {
        self.take_quote()?;
        let rest = self.rest();
        let ends = |byte: &u8| matches!(*byte, b'"' | b'\\' | 0..0x20);
        let length = rest.iter().position(ends).ok_or(Fallback)?;
        if rest[length] != b'"' {
            return Err(Fallback);
        }
        self.at += length + 1;
        Ok(&rest[..length])
    }

    /// Reads a calendar day.
    #[inline]
    pub(crate) fn date(&mut self) -> Result<Date, Fallback> {
        self.skip_space();
        let Some([b'"', text @ .., b'"']) = self.rest().first_chunk::<12>() else { return Err(Fallback) };
        let date = self.month.read(text).ok_or(Fallback)?;
        self.at += 12;
        Ok(date)
    }

    /// The location of `text`, which was just read from this reader.
    pub(crate) fn place(&self, text: &[u8]) -> Str {
        Str { start: (self.at - 1 - text.len()) as u32, len: text.len() as u32 }
    }

    #[inline]
    fn take_quote(&mut self) -> Result<(), Fallback> {
        self.skip_space();
        if self.peek() != b'"' {
            return Err(Fallback);
        }
        self.at += 1;
        Ok(())
    }

    /// Reads a text that may have escapes; returns its location and the number of its characters.
    pub(crate) fn text(&mut self) -> Result<(Str, usize), Fallback> {
        self.take_quote()?;
        let start = self.at;
        let mut characters = 0;
        loop {
            match self.peek() {
                b'"' => break,
                b'\\' => {
                    self.at += escape_length(self.rest()).ok_or(Fallback)?;
                    characters += 1;
                }
                0..0x20 => return Err(Fallback),
                0x20..0x80 => {
                    characters += 1;
                    self.at += 1;
                }
                _ => {
                    let (length, count) = beyond_ascii(self.rest()).ok_or(Fallback)?;
                    self.at += length;
                    characters += count;
                }
            }
        }
        let place = Str { start: start as u32, len: (self.at - start) as u32 };
        self.at += 1;
        Ok((place, characters))
    }

    /// Takes a word such as `true`.
    pub(crate) fn literal(&mut self, word: &str) -> bool {
        self.skip_space();
        let found = self.rest().starts_with(word.as_bytes());
        if found {
            self.at += word.len();
        }
        found
    }
}

/// The first sixteen bytes, with zeros after the end.
#[inline]
fn head(rest: &[u8]) -> u128 {
    rest.first_chunk::<16>().map_or_else(|| short_head(rest), |head| u128::from_le_bytes(*head))
}

#[cold]
fn short_head(rest: &[u8]) -> u128 {
    rest.iter().rev().fold(0, |head, byte| head << 8 | u128::from(*byte))
}

/// The index of a name in `names`, those from `next` on first.
#[inline]
fn find(names: &[QuotedName], next: usize, fits: impl Fn(&QuotedName) -> bool) -> Option<usize> {
    let (before, after) = names.split_at(next.min(names.len()));
    let later = after.iter().position(&fits).map(|index| index + before.len());
    later.or_else(|| before.iter().position(fits))
}

/// The bytes of the run of non-ASCII characters at the start of `rest`, and how many characters they are; nothing when
/// one may be a noncharacter (all of which hold the bytes BF BE, BF BF or EF B7).
fn beyond_ascii(rest: &[u8]) -> Option<(usize, usize)> {
    let run = &rest[..rest.iter().take_while(|byte| **byte >= 0x80).count()];
    let doubtful = run.windows(2).any(|pair| matches!(pair, [0xbf, 0xbe | 0xbf] | [0xef, 0xb7]));
    let characters = run.iter().filter(|byte| **byte & 0xc0 != 0x80).count();
    (!doubtful).then_some((run.len(), characters))
}

/// The bytes of the escape at the start of `rest`; a surrogate pair is one escape; nothing for a lone surrogate
/// and for what may be a noncharacter.
fn escape_length(rest: &[u8]) -> Option<usize> {
    match rest.get(1)? {
        b'"' | b'\\' | b'/' | b'b' | b'f' | b'n' | b'r' | b't' => Some(2),
        b'u' => match code_unit(rest.get(2..6)?)? {
            0xd800..0xdc00 => {
                let low = rest.get(6..12)?;
                let paired = low.starts_with(b"\\u") && (0xdc00..0xdffe).contains(&code_unit(&low[2..])?);
                paired.then_some(12)
            }
            0xdc00..0xe000 | 0xfdd0..0xfdf0 | 0xfffe.. => None,
            _ => Some(6),
        },
        _ => None,
    }
}

fn code_unit(digits: &[u8]) -> Option<u32> {
    digits.iter().try_fold(0, |sum, digit| Some(sum * 16 + char::from(*digit).to_digit(16)?))
}
