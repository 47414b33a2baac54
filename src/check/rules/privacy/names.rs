//! Ids that look like names, and ids that say that a record is synthetic.

use super::kinds::IdentityKind;
use super::words::is_one;

/// Words in ids that are not names.
const ORDINARY: [&str; 34] = [
    "patient",
    "person",
    "subject",
    "case",
    "record",
    "chart",
    "site",
    "clinic",
    "center",
    "centre",
    "group",
    "arm",
    "study",
    "trial",
    "demo",
    "test",
    "sample",
    "example",
    "synthetic",
    "unknown",
    "anonymous",
    "pseudonym",
    "export",
    "import",
    "aligner",
    "quillmere",
    "brannock",
    "north",
    "south",
    "east",
    "west",
    "left",
    "right",
    "system",
];

/// Words that say that a record is synthetic.
const MADE_UP: [&str; 12] = [
    "demo",
    "test",
    "testing",
    "synthetic",
    "simulated",
    "simulation",
    "dummy",
    "mock",
    "fake",
    "fictional",
    "fictitious",
    "example",
];

/// The runs of letters in an id: `Quimby-Zyxwv`, `quimby.zyxwv`.
fn parts(id: &[u8]) -> impl Iterator<Item = &[u8]> {
    id.split(|byte| !byte.is_ascii_alphabetic()).filter(|part| !part.is_empty())
}

/// Whether an id is two or three words that each begin with a capital, or two lower-case words with a point between
/// them, as in login names. Digits may follow.
pub(super) fn is_name(id: &[u8]) -> Option<IdentityKind> {
    let digits = id.iter().rev().take_while(|byte| byte.is_ascii_digit()).count();
    let id = &id[..id.len() - digits];
    let separators = id.iter().filter(|byte| !byte.is_ascii_alphabetic()).count();
    let count = parts(id).count();
    if separators > count || parts(id).any(|part| part.len() < 3 || is_one(part, &ORDINARY)) {
        return None;
    }
    let small = |part: &[u8]| part.iter().all(u8::is_ascii_lowercase);
    let titled = |part: &[u8]| part[0].is_ascii_uppercase() && small(&part[1..]);
    let login = count == 2 && separators == 1 && id.contains(&b'.') && parts(id).all(small);
    let name = (2..=3).contains(&count) && !id.contains(&b':') && parts(id).all(titled);
    (login || name).then_some(IdentityKind::Name)
}

/// The word in an id that says that the record is synthetic.
pub(super) fn made_up_word(id: &[u8]) -> Option<&'static str> {
    let made_up = |part: &[u8]| MADE_UP.into_iter().find(|word| part.eq_ignore_ascii_case(word.as_bytes()));
    parts(id).find_map(made_up)
}
