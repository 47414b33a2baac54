//! The values of a record as bytes: equal values give equal bytes, whatever the order of members, the white space and the
//! escapes in texts. The bytes are for hashing; they cannot be read back.

use crate::spans::Str;

/// Where values come from and go to.
pub struct ValueBytes<'a> {
    bytes: &'a [u8],
    out: &'a mut Vec<u8>,
}

impl<'a> ValueBytes<'a> {
    /// Values of the record in `bytes`, added to `out`.
    pub(crate) fn new(bytes: &'a [u8], out: &'a mut Vec<u8>) -> Self {
        Self { bytes, out }
    }

    #[inline]
    pub(crate) fn words(&mut self, words: &[[u8; 4]]) {
        self.out.extend_from_slice(words.as_flattened());
    }

    #[inline]
    pub(crate) fn long(&mut self, value: i64) {
        self.out.extend_from_slice(&value.to_le_bytes());
    }

    /// A text, without its escapes, and a byte that no text holds after it.
    pub(crate) fn text(&mut self, text: Str) {
        unescape(text.of(self.bytes), self.out);
        self.out.push(END);
    }

    /// Any JSON, without the white space in it.
    pub(crate) fn anything(&mut self, json: Str) {
        without_space(json.of(self.bytes), self.out);
        self.out.push(END);
    }
}

/// No byte of UTF-8.
const END: u8 = 0xff;

/// Adds JSON text to `out` without the white space between its tokens.
pub fn without_space(json: &[u8], out: &mut Vec<u8>) {
    let (mut inside, mut escaped) = (false, false);
    for byte in json {
        if inside || !matches!(byte, b' ' | b'\n' | b'\r' | b'\t') {
            out.push(*byte);
        }
        inside ^= *byte == b'"' && !escaped;
        escaped = inside && *byte == b'\\' && !escaped;
    }
}

/// A text of the record in `bytes`, without its escapes.
pub(crate) fn unescaped(text: Str, bytes: &[u8]) -> String {
    let mut out = Vec::with_capacity(text.len as usize);
    unescape(text.of(bytes), &mut out);
    String::from_utf8(out).unwrap_or_default()
}

/// Adds a text to `out` with its escapes resolved. The reader has accepted the text, so the escapes are valid.
fn unescape(mut text: &[u8], out: &mut Vec<u8>) {
    while let Some(at) = text.iter().position(|byte| *byte == b'\\') {
        out.extend_from_slice(&text[..at]);
        let (letter, length) = escape(&text[at..]);
        out.extend_from_slice(letter.encode_utf8(&mut [0; 4]).as_bytes());
        text = &text[(at + length).min(text.len())..];
    }
    out.extend_from_slice(text);
}

/// The character of the escape at the start of `rest`, and how many bytes it takes.
fn escape(rest: &[u8]) -> (char, usize) {
    let unit = |at: usize| {
        let digits = std::str::from_utf8(rest.get(at..at + 4)?).ok()?;
        u32::from_str_radix(digits, 16).ok()
    };
    let plain = |letter| (letter, 2);
    match rest.get(1) {
        Some(b'u') => match (unit(2), unit(8)) {
            (Some(high @ 0xd800..0xdc00), Some(low @ 0xdc00..0xe000)) => {
                let code = 0x1_0000 + ((high - 0xd800) << 10) + (low - 0xdc00);
                (char::from_u32(code).unwrap_or(char::REPLACEMENT_CHARACTER), 12)
            }
            (Some(code), _) => (char::from_u32(code).unwrap_or(char::REPLACEMENT_CHARACTER), 6),
            _ => plain(char::REPLACEMENT_CHARACTER),
        },
        Some(b'b') => plain('\u{8}'),
        Some(b'f') => plain('\u{c}'),
        Some(b'n') => plain('\n'),
        Some(b'r') => plain('\r'),
        Some(b't') => plain('\t'),
        Some(other) => plain(char::from(*other)),
        None => plain(char::REPLACEMENT_CHARACTER),
    }
}
