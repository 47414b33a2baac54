//! Where the values of a row are: the entries of a list in their table, a text in the bytes of its record.

use std::fmt;
use std::marker::PhantomData;
use std::ops::Range;

/// The entries of one list: a run of rows in the table of its kind.
pub struct Span<T> {
    start: u32,
    len: u32,
    kind: PhantomData<fn() -> T>,
}

impl<T> fmt::Debug for Span<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}..{}", self.start, self.start + self.len)
    }
}

impl<T> Clone for Span<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Span<T> {}

impl<T> Span<T> {
    /// No entries.
    pub(crate) const NONE: Self = Self { start: 0, len: 0, kind: PhantomData };

    pub(crate) fn new(start: usize, end: usize) -> Self {
        Self { start: start as u32, len: (end - start) as u32, kind: PhantomData }
    }

    /// The indices of its entries in the table.
    #[inline]
    pub(crate) fn range(self) -> Range<usize> {
        let start = self.start as usize;
        start..start + self.len as usize
    }

    /// How many entries.
    pub fn len(&self) -> usize {
        self.len as usize
    }

    /// Whether it is empty.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }
}

/// A text of the record, as a span of the record's bytes between the quotes, escapes as written.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Str {
    /// The first byte.
    pub start: u32,
    /// How many bytes.
    pub len: u32,
}

/// Shows that there is a text and nothing of its content; its location depends on the spelling of the record.
impl fmt::Debug for Str {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Str")
    }
}

impl Str {
    /// No bytes.
    pub(crate) const NONE: Self = Self { start: 0, len: 0 };

    /// The bytes of the text within the bytes of the record.
    #[inline]
    pub fn of(self, record: &[u8]) -> &[u8] {
        record.get(self.start as usize..(self.start + self.len) as usize).unwrap_or_default()
    }
}
