//! Finds the end of one token and says what is wrong with it.

use super::error::{SyntaxError, SyntaxErrorKind as Kind};

/// A string token that holds together.
pub(super) struct StringToken {
    /// Offset just after the closing quote.
    pub(super) end: usize,
    /// Whether it holds an escape or anything beyond ASCII.
    pub(super) unusual: bool,
}

/// A number token that holds together.
pub(super) struct Number {
    /// Offset just after the last byte.
    pub(super) end: usize,
    /// Whether it has an exponent.
    pub(super) exponent: bool,
}

/// Offset of the first byte at or after `at` that is not white space.
pub(super) fn space(bytes: &[u8], mut at: usize) -> usize {
    while let Some(b' ' | b'\n' | b'\r' | b'\t') = bytes.get(at) {
        at += 1;
    }
    at
}

/// Reads the string whose opening quote is at `start`.
pub(super) fn string(bytes: &[u8], start: usize) -> Result<StringToken, SyntaxError> {
    let mut at = start + 1;
    let mut unusual = false;
    loop {
        let (stop, beyond_ascii) = plain(bytes, at);
        unusual |= beyond_ascii;
        at = stop;
        match bytes.get(at) {
            Some(b'"') => {
                return Ok(StringToken { end: at + 1, unusual });
            }
            Some(b'\\') => at = escape(bytes, at)?,
            Some(_) => return Err(error(Kind::ControlCharacterInString, at)),
            None => return Err(cut_short(bytes)),
        }
        unusual = true;
    }
}

/// Skips characters that stand for themselves; also tells whether any is beyond ASCII.
fn plain(bytes: &[u8], mut at: usize) -> (usize, bool) {
    let mut seen = 0;
    while let Some(eight) = bytes.get(at..).and_then(<[u8]>::first_chunk::<8>) {
        let word = u64::from_le_bytes(*eight);
        let stops = special(word);
        if stops != 0 {
            let bits = stops.trailing_zeros() & !7;
            seen |= word & ((1 << bits) - 1);
            return (at + bits as usize / 8, seen & HIGHS != 0);
        }
        seen |= word;
        at += 8;
    }
    while let Some(&byte) = bytes.get(at).filter(|&&b| b >= 0x20 && b != b'"' && b != b'\\') {
        seen |= u64::from(byte);
        at += 1;
    }
    (at, seen & HIGHS != 0)
}

const ONES: u64 = u64::MAX / 255;
const HIGHS: u64 = ONES * 0x80;

/// Marks the high bit of each byte that is a quote, a backslash or below 0x20. Only the lowest
/// mark can be trusted: a borrow may mark bytes above a true one.
fn special(word: u64) -> u64 {
    let below = |x: u64, limit: u64| x.wrapping_sub(ONES * limit) & !x & HIGHS;
    let quote = below(word ^ (ONES * u64::from(b'"')), 1);
    let backslash = below(word ^ (ONES * u64::from(b'\\')), 1);
    quote | backslash | below(word, 0x20)
}

/// Reads the escape whose backslash is at `start` and gives the offset after it.
fn escape(bytes: &[u8], start: usize) -> Result<usize, SyntaxError> {
    match bytes.get(start + 1) {
        Some(b'"' | b'\\' | b'/' | b'b' | b'f' | b'n' | b'r' | b't') => Ok(start + 2),
        Some(b'u') => unicode_escape(bytes, start),
        Some(_) => Err(error(Kind::BadEscape, start)),
        None => Err(cut_short(bytes)),
    }
}

/// Reads `\uXXXX`, or the two of them that make a surrogate pair.
fn unicode_escape(bytes: &[u8], start: usize) -> Result<usize, SyntaxError> {
    match code_unit(bytes, start)? {
        0xD800..=0xDBFF => {
            let low = start + 6;
            if bytes.get(low..low + 2) == Some(b"\\u")
                && let 0xDC00..=0xDFFF = code_unit(bytes, low)?
            {
                return Ok(start + 12);
            }
            Err(error(Kind::LoneSurrogate, start))
        }
        0xDC00..=0xDFFF => Err(error(Kind::LoneSurrogate, start)),
        _ => Ok(start + 6),
    }
}

/// The four hexadecimal digits after `\u`.
fn code_unit(bytes: &[u8], start: usize) -> Result<u32, SyntaxError> {
    (start + 2..start + 6).try_fold(0, |unit, at| {
        let &byte = bytes.get(at).ok_or_else(|| cut_short(bytes))?;
        let digit = char::from(byte).to_digit(16).ok_or(error(Kind::BadEscape, start))?;
        Ok(unit * 16 + digit)
    })
}

/// Reads the number whose minus sign or first digit is at `start`.
pub(super) fn number(bytes: &[u8], start: usize) -> Result<Number, SyntaxError> {
    let mut at = start + usize::from(bytes.get(start) == Some(&b'-'));
    if bytes.get(at) == Some(&b'0') {
        at += 1;
        if bytes.get(at).is_some_and(u8::is_ascii_digit) {
            return Err(error(Kind::BadNumber, at));
        }
    } else {
        at = digits(bytes, at)?;
    }
    if bytes.get(at) == Some(&b'.') {
        at = digits(bytes, at + 1)?;
    }
    let exponent = matches!(bytes.get(at), Some(b'e' | b'E'));
    if exponent {
        let signed = matches!(bytes.get(at + 1), Some(b'+' | b'-'));
        at = digits(bytes, at + 1 + usize::from(signed))?;
    }
    Ok(Number { end: at, exponent })
}

/// Skips one or more digits.
fn digits(bytes: &[u8], start: usize) -> Result<usize, SyntaxError> {
    let mut at = start;
    while bytes.get(at).is_some_and(u8::is_ascii_digit) {
        at += 1;
    }
    match bytes.get(start) {
        _ if at > start => Ok(at),
        Some(_) => Err(error(Kind::BadNumber, start)),
        None => Err(cut_short(bytes)),
    }
}

/// Reads `true`, `false` or `null` at `start` and gives the offset after it.
pub(super) fn word(bytes: &[u8], start: usize, word: &str) -> Result<usize, SyntaxError> {
    let rest = &bytes[start..];
    if rest.starts_with(word.as_bytes()) {
        Ok(start + word.len())
    } else if word.as_bytes().starts_with(rest) {
        Err(cut_short(bytes))
    } else {
        Err(error(Kind::Expected("a value"), start))
    }
}

pub(super) fn error(kind: Kind, at: usize) -> SyntaxError {
    SyntaxError { kind, at }
}

pub(super) fn cut_short(bytes: &[u8]) -> SyntaxError {
    error(Kind::CutShort, bytes.len())
}
