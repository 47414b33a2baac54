//! Strings without their escapes.

use std::borrow::Cow;

/// The text of a string token, quotes included in the bytes given; borrowed if it has no escapes.
///
/// Made for tokens of a [`Tree`](super::Tree), which are known to be sound. For other bytes it
/// does what it can: U+FFFD stands for bytes that are not UTF-8 and for lone surrogates, and an
/// unknown escape stands for itself without its backslash.
pub fn decode(token: &[u8]) -> Cow<'_, str> {
    let inside = token.strip_prefix(b"\"").unwrap_or(token);
    let inside = inside.strip_suffix(b"\"").unwrap_or(inside);
    let text = std::str::from_utf8(inside).map_or_else(|_| String::from_utf8_lossy(inside), Cow::Borrowed);
    if text.contains('\\') { Cow::Owned(unescape(&text)) } else { text }
}

fn unescape(mut rest: &str) -> String {
    let mut text = String::with_capacity(rest.len());
    while let Some((plain, after)) = rest.split_once('\\') {
        text.push_str(plain);
        let (decoded, length) = escape(after);
        text.extend(decoded);
        rest = &after[length..];
    }
    text.push_str(rest);
    text
}

/// What the escape stands for, and the length of what follows its backslash.
fn escape(after: &str) -> (Option<char>, usize) {
    let Some(first) = after.chars().next() else {
        return (None, 0);
    };
    let decoded = match first {
        'b' => '\u{8}',
        'f' => '\u{c}',
        'n' => '\n',
        'r' => '\r',
        't' => '\t',
        'u' => return unicode_escape(after),
        other => other,
    };
    (Some(decoded), first.len_utf8())
}

fn unicode_escape(after: &str) -> (Option<char>, usize) {
    let Some(high) = code_unit(after) else {
        return (Some('u'), 1);
    };
    let low = after[5..].strip_prefix('\\').and_then(code_unit).unwrap_or(0);
    match char::decode_utf16([high, low]).next() {
        Some(Ok(c)) if c.len_utf16() == 2 => (Some(c), 11),
        Some(Ok(c)) => (Some(c), 5),
        _ => (Some(char::REPLACEMENT_CHARACTER), 5),
    }
}

/// The code unit of `uXXXX`.
fn code_unit(text: &str) -> Option<u16> {
    let digits = text.strip_prefix('u')?.get(..4)?;
    let hexadecimal = digits.bytes().all(|b| b.is_ascii_hexdigit());
    hexadecimal.then(|| u16::from_str_radix(digits, 16).ok())?
}

/// Whether a string token holds one of the 66 noncharacters of Unicode, section 23.7.
pub(super) fn has_noncharacter(token: &[u8]) -> bool {
    decode(token).chars().map(u32::from).any(|c| c & 0xFFFE == 0xFFFE || (0xFDD0..=0xFDEF).contains(&c))
}

#[cfg(test)]
mod tests {
    use super::{decode, has_noncharacter};
    use std::borrow::Cow;

    #[test]
    fn escapes_are_read_as_rfc_8259_section_7_lists_them() {
        let token = br#""\"\\\/\b\f\n\r\t\u0041\uD834\uDD1E!""#;
        assert_eq!(decode(token), "\"\\/\u{8}\u{c}\n\r\tA\u{1D11E}!");
        assert!(matches!(decode(b"\"plain\""), Cow::Borrowed("plain")));
        assert_eq!(decode(b"\"\""), "");
    }

    #[test]
    fn unsound_tokens_do_not_stop_the_decoding() {
        for token in ["\"", "\"\\", "\\u", "\\u+123", "\"\\uD800\\u0041\"", "\\uD800", "\\é", "\\uéé"] {
            assert!(decode(token.as_bytes()).len() < 16, "{token}");
        }
        assert_eq!(decode(b"\"\\uD800\\u0041\""), "\u{FFFD}A");
        assert_eq!(decode(b"\"\xFF\""), "\u{FFFD}");
    }

    #[test]
    fn there_are_66_noncharacters() {
        // Unicode 16.0, section 23.7: 32 from U+FDD0 on and two at the end of each of 17 planes.
        let holds = |c: &char| has_noncharacter(c.to_string().as_bytes());
        assert_eq!(('\0'..=char::MAX).filter(holds).count(), 66);
    }
}
