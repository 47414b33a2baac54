//! Searches one text for what could identify a person: one pass over its bytes, which stops at few of them.

use super::kinds::{IdentityKind, Kinds, TextKind};
use super::numbers;
use super::words::{after, before, is_capitalised, is_letter, is_one};

/// How many bytes of a text with escapes are searched together: the most that a note of 2,000 characters has.
const TOGETHER: usize = 8000;

/// What a text looks like. It may have JSON escapes.
pub(super) fn scan(text: &[u8], birth_year: i32, place: TextKind) -> Kinds {
    plain(text, birth_year, place, true).unwrap_or_else(|| scan_decoded(text, birth_year, place))
}

#[cold]
#[inline(never)]
fn scan_decoded(text: &[u8], birth_year: i32, place: TextKind) -> Kinds {
    let mut buffer = [0u8; TOGETHER];
    let mut kinds = Kinds::NONE;
    let mut rest = text;
    while !rest.is_empty() {
        let (read, written) = decode(rest, &mut buffer);
        kinds = kinds.and(plain(&buffer[..written], birth_year, place, false).unwrap_or_default());
        rest = &rest[read..];
    }
    kinds
}

/// Decodes escapes until the buffer is full; returns the bytes read and written. A character beyond ASCII becomes a
/// letter.
fn decode(text: &[u8], buffer: &mut [u8]) -> (usize, usize) {
    let (mut read, mut written) = (0, 0);
    while read < text.len() && written < buffer.len() {
        let (byte, length) = match (text[read], text.get(read + 1)) {
            (b'\\', Some(b'u')) => (code_unit(text.get(read + 2..read + 6)), 6),
            (b'\\', Some(b'b' | b'f' | b'n' | b'r' | b't')) => (b' ', 2),
            (b'\\', Some(other)) => (*other, 2),
            (byte, _) => (byte, 1),
        };
        buffer[written] = byte;
        written += 1;
        read = (read + length).min(text.len());
    }
    (read, written)
}

/// The ASCII character of four hexadecimal digits; a letter for any other.
fn code_unit(digits: Option<&[u8]>) -> u8 {
    let value = |sum: u32, digit: &u8| Some(sum * 16 + char::from(*digit).to_digit(16)?);
    let code = digits.and_then(|digits| digits.iter().try_fold(0, value)).unwrap_or(0x80);
    if code < 0x20 { b' ' } else { u8::try_from(code).unwrap_or(0x80) }
}

/// The bytes at which the search stops.
const WORTH_A_LOOK: [bool; 256] = {
    let mut table = [false; 256];
    let bytes = b"0123456789@:.MFH\\";
    let mut at = 0;
    while at < bytes.len() {
        table[bytes[at] as usize] = true;
        at += 1;
    }
    table
};

/// What a text without escapes looks like; none if it turns out to have one.
fn plain(text: &[u8], birth_year: i32, place: TextKind, escaped: bool) -> Option<Kinds> {
    let mut kinds = Kinds::NONE;
    let mut at = 0;
    while let Some(next) = text[at..].iter().position(|byte| WORTH_A_LOOK[*byte as usize]) {
        at += next;
        let (kind, end) = match text[at] {
            b'0'..=b'9' => {
                let (found, end) = numbers::look(text, at, birth_year, place);
                kinds = kinds.and(found);
                (None, end)
            }
            b'\\' if escaped => return None,
            b'@' => (is_mail(text, at).then_some(IdentityKind::Email), at + 1),
            b':' | b'.' => (is_web(text, at).then_some(IdentityKind::Web), at + 1),
            b'M' | b'F' | b'H' => (is_address_of_a_person(text, at).then_some(IdentityKind::Name), at + 1),
            _ => (None, at + 1),
        };
        kinds = kinds.with(kind);
        at = end;
    }
    Some(if place == TextKind::Extension { kinds.without(IdentityKind::Web) } else { kinds })
}

/// `someone@host.example`: a letter or digit on both sides, and a point with two letters after it.
fn is_mail(text: &[u8], at: usize) -> bool {
    let sides = |byte: Option<&u8>| byte.is_some_and(|byte| byte.is_ascii_alphanumeric() || *byte >= 0x80);
    let host = text[at + 1..].iter().take_while(|byte| byte.is_ascii_alphanumeric() || b".-".contains(byte)).count();
    let host = &text[at + 1..at + 1 + host];
    let ending = host.iter().rposition(|byte| *byte == b'.').map_or(&host[..0], |point| &host[point + 1..]);
    let whole = if ending.is_empty() { host.iter().rev().skip(1).any(|byte| *byte == b'.') } else { ending.len() >= 2 };
    at > 0 && sides(text.get(at - 1)) && sides(host.first()) && whole && host.iter().any(u8::is_ascii_alphabetic)
}

/// `https://…` or `www.…`.
fn is_web(text: &[u8], at: usize) -> bool {
    let next = |bytes: usize| text.get(at + bytes).is_some_and(u8::is_ascii_alphanumeric);
    let (word, start) = before(text, at);
    let scheme = text[at..].starts_with(b"://") && next(3) && start + word.len() == at && !word.is_empty();
    let site = text[at] == b'.' && is_one(word, &["www"]) && start + word.len() == at && next(1);
    scheme || site
}

/// `Mrs Quimby`: a form of address and a word with a capital.
fn is_address_of_a_person(text: &[u8], at: usize) -> bool {
    if at > 0 && (is_letter(text[at - 1]) || text[at - 1].is_ascii_digit()) {
        return false;
    }
    let (form, end) = after(text, at);
    let known: [&[u8]; 6] = [b"Mr", b"Mrs", b"Ms", b"Mme", b"Frau", b"Herr"];
    let spaced = matches!(text[end..], [b' ', ..] | [b'.', b' ', ..]);
    let (name, _) = after(text, end);
    known.contains(&form) && spaced && is_capitalised(name)
}
