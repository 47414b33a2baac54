//! Words of a text, forward and backward, without allocation.

/// The most bytes between two words that are skipped.
const BETWEEN: usize = 3;

/// Whether a byte belongs to a word; bytes beyond ASCII count as letters.
pub(super) fn is_letter(byte: u8) -> bool {
    byte.is_ascii_alphabetic() || byte >= 0x80
}

fn is_inside(byte: u8) -> bool {
    is_letter(byte) || byte.is_ascii_digit()
}

fn is_between(byte: u8) -> bool {
    b" .:,-(#/_\t\n".contains(&byte)
}

/// The word that ends before `at`, and where it begins; empty if none is near.
pub(super) fn before(text: &[u8], at: usize) -> (&[u8], usize) {
    let gap = text[..at].iter().rev().take(BETWEEN).take_while(|byte| is_between(**byte)).count();
    let end = at - gap;
    let length = text[..end].iter().rev().take_while(|byte| is_inside(**byte)).count();
    (&text[end - length..end], end - length)
}

/// The word that begins after `at`, and where it ends; empty if none is near.
pub(super) fn after(text: &[u8], at: usize) -> (&[u8], usize) {
    let gap = text[at..].iter().take(BETWEEN).take_while(|byte| is_between(**byte)).count();
    let start = at + gap;
    let length = text[start..].iter().take_while(|byte| is_inside(**byte)).count();
    (&text[start..start + length], start + length)
}

/// Whether a word is one of these, whatever its case.
pub(super) fn is_one(word: &[u8], words: &[&str]) -> bool {
    words.iter().any(|other| word.eq_ignore_ascii_case(other.as_bytes()))
}

/// Whether a word begins with one of these, whatever its case.
pub(super) fn begins(word: &[u8], words: &[&str]) -> bool {
    words.iter().any(|other| word.get(..other.len()).is_some_and(|head| head.eq_ignore_ascii_case(other.as_bytes())))
}

/// Whether a word ends with one of these, after at least three other letters, whatever its case.
pub(super) fn ends(word: &[u8], words: &[&str]) -> bool {
    words.iter().any(|other| {
        let head = word.len().checked_sub(other.len()).filter(|head| *head >= 3);
        head.is_some_and(|head| word[head..].eq_ignore_ascii_case(other.as_bytes()))
    })
}

/// Whether a word begins with a capital that a small letter follows.
pub(super) fn is_capitalised(word: &[u8]) -> bool {
    matches!(word, [first, second, ..] if (first.is_ascii_uppercase() || *first >= 0x80) && !second.is_ascii_uppercase() && is_letter(*second))
}
