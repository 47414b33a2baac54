//! Which parts of a record's own text a finding may contain.
//!
//! A person's name or telephone number can be anywhere: in a date field, as the name of a field, as a number. So a finding
//! contains numbers and dates only if they look like those of a record. It contains words only if they are words of the format,
//! or are in a vocabulary's place and look like one of its words. It contains nothing else.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use oar_schema::describe::{Described, Field, Object};
use oar_schema::record::{Record, Version};

use super::meant;

/// Bytes of a name at most that is compared with those of the format.
pub(crate) const NAME: usize = 1024;
/// Digits before the point that the numbers of a record have at most; longer ones could be a telephone or record number.
const DIGITS: usize = 6;
/// Greater numbers are no part of a version that somebody writes.
const VERSION_PART: u16 = 99;
/// The maximum number of shown letters of a word in a vocabulary's place.
const WORD: usize = 20;
/// The maximum number of shown characters of a number.
const LENGTH: usize = 24;

/// The objects of the format.
static OBJECTS: LazyLock<Vec<&'static Object>> = LazyLock::new(|| Record::OBJECT.with_parts());
/// The names of their fields, without case and underscores.
static NAMES: LazyLock<BTreeSet<String>> =
    LazyLock::new(|| OBJECTS.iter().flat_map(|object| object.fields).map(|field| meant::plain(field.name)).collect());

/// A number as written, unless it could identify a person; cut if it is very long.
pub(crate) fn number(token: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(token).ok()?;
    let whole = text.trim_start_matches('-').split(['.', 'e', 'E']).next()?;
    if whole.len() > DIGITS {
        return None;
    }
    Some(if text.len() <= LENGTH { text.to_owned() } else { format!("{}…", &text[..LENGTH - 4]) })
}

/// A name of a member, if it looks like one that a program gives: it begins with a lower-case letter and goes on with
/// letters, underscores and at most two digits, or it is one of the format, whatever its case. Such names are the same in
/// every record of a source; a name that a
/// person could have typed is not told.
pub(crate) fn name(name: &str) -> Option<&str> {
    let digits = name.bytes().filter(u8::is_ascii_digit).count();
    let inside = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_';
    let fits = name.len() <= 40 && name.starts_with(|first: char| first.is_ascii_lowercase()) && digits <= 2;
    (fits && name.bytes().all(inside) || is_known(name)).then_some(name)
}

/// Whether some object of the format has a field of that name, but for case, underscores and hyphens.
fn is_known(name: &str) -> bool {
    name.len() <= NAME && NAMES.contains(&meant::plain(name))
}

/// The field of an object that has that name, but for case, underscores and hyphens.
pub(crate) fn spelt(object: &Object, name: &str) -> Option<&'static Field> {
    let field = meant::same(name, object.fields.iter().map(|field| field.name))?;
    object.field(field)
}

/// Whether a text looks like a date or an instant in some usual notation, and so says nothing else.
pub(crate) fn is_time(text: &str) -> bool {
    let (day, clock) = text.split_once(['T', 't', ' ']).unwrap_or((text, ""));
    is_day(day) && (clock.is_empty() && text == day || is_clock(clock))
}

/// Three groups of digits, one of them a year, the others no greater than a day can be.
fn is_day(text: &str) -> bool {
    let groups: Vec<&str> = text.split(['-', '.', '/']).collect();
    let digits = |group: &&str| (1..=4).contains(&group.len()) && group.bytes().all(|byte| byte.is_ascii_digit());
    let small = |group: &str| group.len() <= 2 && group.parse::<u8>().is_ok_and(|value| value <= 31);
    groups.iter().all(digits)
        && match groups[..] {
            [year, month, day] if year.len() == 4 => small(month) && small(day),
            [day, month, year] => small(day) && small(month) && matches!(year.len(), 2 | 4),
            _ => false,
        }
}

/// `08:30`, `08:30:00`, with or without a fraction and an offset.
fn is_clock(text: &str) -> bool {
    let (clock, offset) = text.split_at(text.find(['Z', 'z', '+', '-']).unwrap_or(text.len()));
    let (clock, fraction) = clock.split_once('.').unwrap_or((clock, ""));
    let groups = clock.split(':').filter(|group| group.len() == 2).count();
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit() || byte == b':');
    let offset_fits = offset.len() <= 6 && digits(offset.get(1..).unwrap_or_default());
    matches!(groups, 2 | 3)
        && clock.len() == groups * 3 - 1
        && digits(clock)
        && fraction.len() <= 9
        && digits(fraction)
        && offset_fits
}

/// Whether a version is one that somebody writes.
pub(crate) fn is_usual(version: Version) -> bool {
    version.major.max(version.minor) <= VERSION_PART
}

/// Whether a text reads like a word of some vocabulary: one ASCII word of at most 20 letters and underscores that begins
/// in lower case.
pub(crate) fn is_plain_word(text: &str) -> bool {
    text.len() <= WORD
        && text.starts_with(|first: char| first.is_ascii_lowercase())
        && text.bytes().all(|byte| byte.is_ascii_alphabetic() || byte == b'_')
}

/// The field of that name in some object of the format.
pub(super) fn field(name: &str) -> Option<&'static Field> {
    OBJECTS.iter().find_map(|object| object.field(name))
}

/// The objects of the format that have a field of that name, in words.
pub(super) fn homes(name: &str) -> String {
    let objects = OBJECTS.iter().filter(|object| object.field(name).is_some());
    objects.map(|object| spaced(object)).collect::<Vec<_>>().join(", ")
}

/// The word of the format's vocabularies that a text is.
pub(super) fn word(text: &str) -> Option<&'static str> {
    let vocabularies = oar_schema::json_schema::vocabularies(&OBJECTS);
    let mut words = vocabularies.iter().flat_map(|vocabulary| vocabulary.words);
    words.find(|word| word.word == text).map(|word| word.word)
}

/// The name of an object in words: `wear day` for `WearDay`.
pub(super) fn spaced(object: &Object) -> String {
    if object.name == "CheckIn" {
        return "check-in".to_owned();
    }
    let mut out = String::new();
    for letter in object.name.chars() {
        if letter.is_uppercase() && !out.is_empty() {
            out.push(' ');
        }
        out.extend(letter.to_lowercase());
    }
    out
}

/// Whether two names differ in one place only, by two letters at most. For names of places: what is merely similar
/// would be somewhere else.
pub(super) fn nearly_same(left: &str, right: &str) -> bool {
    let plain = |text: &str| text.to_lowercase().replace([' ', '-'], "_").chars().collect::<Vec<char>>();
    let (left, right) = (plain(left), plain(right));
    let same = |pairs: &mut dyn Iterator<Item = (&char, &char)>| pairs.take_while(|(one, other)| one == other).count();
    let head = same(&mut left.iter().zip(&right));
    let tail = same(&mut left[head..].iter().rev().zip(right[head..].iter().rev()));
    head + tail + 2 >= left.len().max(right.len())
}

#[cfg(test)]
mod tests {
    use super::{is_time, nearly_same, number};

    #[test]
    fn usual_dates_and_instants_are_told_and_other_digits_are_not() {
        let told = [
            "2031-02-30",
            "3.2.2031",
            "03/02/31",
            "2031-02-03T08:30:00+01:00",
            "2031-2-3 08:30",
            "2031-02-03T08:30:00.5Z",
        ];
        assert!(told.iter().all(|text| is_time(text)));
        let kept = [
            "0700-900-461",
            "0700900461",
            "07 00 90 04 61",
            "12-34-5678",
            "2031-02-03T0700900461",
            "2031-02-03 ",
            "+431234567",
            "",
        ];
        assert!(!kept.iter().any(|text| is_time(text)), "{:?}", kept.map(is_time));
    }

    #[test]
    fn long_numbers_are_not_told() {
        assert_eq!(number(b"0.30000000000000004").as_deref(), Some("0.30000000000000004"));
        assert_eq!(number(b"-18000.5").as_deref(), Some("-18000.5"));
        assert_eq!(number(b"700900461"), None);
    }

    #[test]
    fn a_place_is_meant_only_when_one_spot_differs() {
        assert!(nearly_same("Europe/Viena", "Europe/Vienna") && nearly_same("europe/vienna", "Europe/Vienna"));
        assert!(!nearly_same("Europe/Wien", "Europe/Kiev"));
    }
}
