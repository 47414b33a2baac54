//! House numbers: digits beside the name of a street.

use super::super::kinds::{IdentityKind, TextKind};
use super::super::words::{after, before, ends, is_capitalised, is_one};
use super::spans::DigitGroups;

/// Words at the end of a street name, capitalised.
const LAST: [&[u8]; 14] = [
    b"Street",
    b"St",
    b"Road",
    b"Rd",
    b"Avenue",
    b"Ave",
    b"Lane",
    b"Ln",
    b"Boulevard",
    b"Blvd",
    b"Drive",
    b"Terrace",
    b"Crescent",
    b"Highway",
];
/// Words at the beginning of a street name.
const FIRST: [&str; 6] = ["rue", "avenue", "boulevard", "chemin", "impasse", "calle"];
/// Endings of street names that are one word.
const ENDINGS: [&str; 5] = ["stra\u{df}e", "strasse", "gasse", "allee", "str"];
/// The most words of a street name before its last one.
const WORDS: usize = 3;

/// A postal address, if a number is in the position of a house number. Ids have no room for one.
pub(super) fn look(span: &DigitGroups<'_>, place: TextKind) -> Option<IdentityKind> {
    let number = span.group(span.groups() - 1);
    let alone = span.groups() == 1 && (1..=4).contains(&number.len());
    (place != TextKind::Id && alone && (follows(span) || leads(span))).then_some(IdentityKind::Address)
}

/// `Mühlgasse 12`, `P.O. Box 12`.
fn follows(span: &DigitGroups<'_>) -> bool {
    let (word, start) = before(span.text, span.start());
    let (earlier, _) = before(span.text, start);
    let street = is_capitalised(word) && ends(word, &ENDINGS);
    street || is_one(word, &["postfach"]) || (is_one(word, &["box"]) && is_one(earlier, &["po", "o"]))
}

/// `12 Mill Lane`, `12, rue du Moulin`.
fn leads(span: &DigitGroups<'_>) -> bool {
    let (first, mut end) = after(span.text, span.end());
    if is_one(first, &FIRST) && first[0].is_ascii_lowercase() {
        return !after(span.text, end).0.is_empty();
    }
    let mut word = first;
    for _ in 0..WORDS {
        if !is_capitalised(word) {
            return false;
        }
        (word, end) = after(span.text, end);
        if LAST.contains(&word) {
            return true;
        }
    }
    false
}
