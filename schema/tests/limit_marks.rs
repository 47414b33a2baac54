//! What supports the value of each limit: exactly one mark of a closed set, and no text that says otherwise.

use oar_schema::limits::{Basis, LIMITS};

/// Words with the one mark that they belong to.
const WORDS: [(&str, &str); 4] = [
    ("from memory", "from memory"),
    ("no source", "common practice, no source"),
    ("common practice", "common practice, no source"),
    ("assumption", "assumption"),
];

/// Whether a text names a publication: the year of one, or a section of a law.
fn cites(text: &str) -> bool {
    let mut words = text.split(|letter: char| !letter.is_ascii_digit());
    text.contains(" CFR ")
        || words.any(|word| word.len() == 4 && word.parse().is_ok_and(|year: u16| (1900..2100).contains(&year)))
}

#[test]
fn every_limit_has_one_mark_with_its_reason() {
    for limit in LIMITS {
        let reason = limit.basis.reason();
        assert!(!reason.is_empty() && reason.trim() == reason, "{}: {reason:?}", limit.name);
        assert!(Basis::MARKS.contains(&limit.basis.mark()), "{}: {}", limit.name, limit.basis.mark());
        assert_eq!(limit.basis.to_string(), format!("{}: {reason}", limit.basis.mark()));
    }
}

#[test]
fn no_reason_contradicts_its_mark() {
    for limit in LIMITS {
        for (words, mark) in WORDS {
            let says = limit.basis.reason().contains(words);
            assert!(!says || limit.basis.mark() == mark, "{}: «{words}» beside another mark", limit.name);
        }
    }
}

#[test]
fn a_published_source_is_one_that_can_be_looked_up() {
    for limit in LIMITS.iter().filter(|limit| matches!(limit.basis, Basis::Source(_))) {
        assert!(cites(limit.basis.reason()), "{}: no year and no section of a law", limit.name);
    }
    assert!(!cites("0 to 10 mm is usual") && cites("Little 1975: 0 to 10 mm"));
}
