//! What supports the numbers of pages: a source that can be looked up, or one of a closed set of marks.

use std::collections::BTreeSet;

use oar_schema::limits::{Basis, LIMITS};
use open_aligner_record::page::section;
use open_aligner_record::review::signals;
use open_aligner_record::rules;

/// What stands for a source in a page: texts that a reader has, beside publications with a year and numbered standards.
const OWN_TEXTS: [&str; 5] =
    ["The format:", "The published schema", "The plan itself", "IANA time zone database", "ISO 3950"];

/// Name and page of every rule and signal.
fn pages() -> impl Iterator<Item = (&'static str, &'static str)> {
    let rules = rules::all().map(|rule| (rule.name, rule.page));
    rules.chain(signals::all().map(|signal| (signal.name, signal.page)))
}

/// What a page says under «Source», in lower case and on one line.
fn source_of(page: &'static str) -> String {
    let text = section(page, "Source").unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

fn has_mark(text: &str) -> bool {
    Basis::MARKS[1..].iter().any(|mark| text.contains(mark))
}

fn cites(text: &str) -> bool {
    let years = text.split(|letter: char| !letter.is_ascii_digit());
    let year = |word: &str| word.len() == 4 && word.parse().is_ok_and(|year: u16| (1900..2100).contains(&year));
    let standards = ["rfc ", " cfr "];
    years.into_iter().any(year)
        || standards.iter().any(|standard| text.contains(standard))
        || OWN_TEXTS.iter().any(|own| text.contains(&own.to_lowercase()))
}

#[test]
fn every_page_cites_a_source_or_has_a_mark() {
    for (name, page) in pages() {
        let text = source_of(page);
        assert!(has_mark(&text) || cites(&text), "{name}: {text:?}");
    }
    assert!(!cites("everybody does it") && !has_mark("everybody does it"));
}

#[test]
fn no_page_cites_what_nobody_can_look_up() {
    for (name, page) in pages() {
        let text = source_of(page);
        for nameless in ["a textbook", "textbooks", "authors not noted"] {
            assert!(!text.contains(nameless), "{name}: {nameless}");
        }
    }
}

/// A page has the mark of each limit that it names, so that page and table agree.
#[test]
fn pages_have_the_marks_of_their_limits() {
    let mut wrong = BTreeSet::new();
    for (name, page) in pages() {
        let (text, limits) = (source_of(page), section(page, "Limits").unwrap_or_default());
        for limit in LIMITS.iter().filter(|limit| limits.contains(&format!("- `{}`", limit.name))) {
            let mark = limit.basis.mark();
            if !matches!(limit.basis, Basis::Source(_)) && !text.contains(mark) {
                wrong.insert(format!("{name}: `{}` has the mark {mark}", limit.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// `docs/reference/limits.md` shows the mark of every limit.
#[test]
fn the_list_of_limits_shows_the_marks() {
    let list = include_str!("../../docs/reference/limits.md");
    for limit in LIMITS {
        let row = list.lines().find(|line| line.starts_with(&format!("| `{}` |", limit.name)));
        let row = row.unwrap_or_else(|| panic!("{} is not in the list", limit.name));
        assert!(row.contains(&format!("| {}: ", limit.basis.mark())), "{row}");
    }
}
