//! What stops a reading, and where.

use std::fmt;

/// Why a document is not JSON, and where the reading stopped.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub struct SyntaxError {
    /// What is wrong.
    pub kind: SyntaxErrorKind,
    /// Byte offset of the first byte that does not fit; the length of the document when it is
    /// cut short. Escapes are pointed at by their backslash.
    pub at: usize,
}

/// The ways in which bytes can fail to be a JSON document.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum SyntaxErrorKind {
    /// The bytes are not UTF-8 from here on.
    NotUtf8,
    /// Something else stands where this could have stood, such as "a value" or "a colon".
    Expected(&'static str),
    /// The document ends in the middle of something.
    CutShort,
    /// One more list or object would be open than [`MAX_DEPTH`](super::MAX_DEPTH).
    TooDeep,
    /// There is more after the end of the document.
    TextAfterEnd,
    /// A backslash is followed by something JSON gives no meaning to.
    BadEscape,
    /// A number breaks off, or starts with a zero it cannot have.
    BadNumber,
    /// A string holds a character below U+0020 as it is, not as an escape.
    ControlCharacterInString,
    /// There is nothing, or nothing but white space.
    Empty,
    /// An escape is one half of a surrogate pair without the other.
    LoneSurrogate,
    /// The document is longer than byte offsets of 32 bits reach (4 GiB).
    TooLong,
}

impl fmt::Display for SyntaxErrorKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self {
            Self::NotUtf8 => "the bytes here are not UTF-8",
            Self::Expected(what) => return write!(f, "expected {what} here"),
            Self::CutShort => "the document ends in the middle",
            Self::TooDeep => "too many lists and objects are open here",
            Self::TextAfterEnd => "there is more text after the end of the document",
            Self::BadEscape => "this escape is not one JSON knows",
            Self::BadNumber => "this number is not written as JSON writes numbers",
            Self::ControlCharacterInString => "a control character stands in a string",
            Self::Empty => "the document is empty",
            Self::LoneSurrogate => "this escape is half of a surrogate pair",
            Self::TooLong => "the document is longer than 4 GiB",
        };
        f.write_str(text)
    }
}

impl fmt::Display for SyntaxError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (byte {})", self.kind, self.at)
    }
}

impl std::error::Error for SyntaxError {}
