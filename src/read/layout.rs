//! Detects the layout of records in a file from its beginning.

use crate::json::{SyntaxErrorKind, Tree};

/// The layout of records in a frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layout {
    /// One record, on any number of lines.
    #[default]
    Document,
    /// One record a line.
    Lines,
}

/// Whether a text is UTF-16 or UTF-32: it begins with a byte order mark of these, or every other byte is zero.
pub(crate) fn is_wide(text: &[u8]) -> bool {
    match text {
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] | [0, 0, 0xfe, 0xff, ..] => true,
        [0, 0, 0, letter, ..] | [0, letter, ..] | [letter, 0, ..] => *letter != 0,
        _ => false,
    }
}

/// The layout that the beginning of a file shows; none while it has fewer than two lines. `ended` when there is no more of the
/// file.
///
/// The content decides; the name is used only when the content is ambiguous. A complete first line is a record. An incomplete
/// one may be the first line of a document, or of a list whose other records are readable.
pub(super) fn seen(text: &[u8], says_lines: bool, ended: bool) -> Option<Layout> {
    let (first, rest) = two_lines(text)?;
    let layout = |lines: bool| if lines { Layout::Lines } else { Layout::Document };
    match Tree::default().parse(first) {
        Ok(()) => Some(Layout::Lines),
        Err(error) if says_lines => Some(layout(error.kind != SyntaxErrorKind::CutShort || !goes_on(first, rest))),
        Err(_) => begins_with_record(rest, ended).map(layout),
    }
}

/// The first line that is not blank, and what follows it from the next such line on.
fn two_lines(text: &[u8]) -> Option<(&[u8], &[u8])> {
    let text = text.trim_ascii_start();
    let end = memchr::memchr(b'\n', text)?;
    let rest = text[end..].trim_ascii_start();
    (!rest.is_empty()).then_some((&text[..end], rest))
}

/// Whether a value that is open at the end of the first line continues in the next one: it is a list, or a field follows.
fn goes_on(first: &[u8], rest: &[u8]) -> bool {
    first.first() == Some(&b'[') || rest.first() == Some(&b'"')
}

/// Whether the text begins with a line that holds a whole record; none while the line has no end.
fn begins_with_record(text: &[u8], ended: bool) -> Option<bool> {
    if text.first() != Some(&b'{') {
        return Some(false);
    }
    let end = memchr::memchr(b'\n', text).or(ended.then_some(text.len()))?;
    let (line, mut tree) = (&text[..end], Tree::default());
    Some(tree.parse(line).is_ok() && tree.member(line, tree.root(), "format").is_some())
}
