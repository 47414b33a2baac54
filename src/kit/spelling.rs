//! One record in other spellings that JSON allows, all with the same meaning.

use std::fmt::Write as _;
use std::io::{self, Write as _};

use serde_json::{Map, Value};

use super::builder::{Builder, accept_case};
use super::clean_records::{CleanRecords, derived};
use super::edits::BASE;
use super::manifest::{CaseKind, KitCase};

/// Writes a record in one spelling.
type Spell = fn(&Value) -> Option<Vec<u8>>;

/// The spellings by name: what is special, and the ending of the file.
const SPELLINGS: &[(&str, &str, &str, Spell)] = &[
    ("plain", "without white space, names in the order of the reference", ".oar.json", |record| {
        Some(record.to_string().into_bytes())
    }),
    ("names_backwards", "the names of every object in reverse order", ".oar.json", |record| {
        Some(backwards(record).to_string().into_bytes())
    }),
    ("indented", "one value per line, indented by two spaces", ".oar.json", |record| {
        serde_json::to_vec_pretty(record).ok()
    }),
    ("wide", "tabs, spaces and CR LF wherever white space is allowed", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { space: "\r\n\t ", ..PLAIN }))
    }),
    ("escaped_names", "every character of names written as \\u and four digits", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { escape_names: true, ..PLAIN }))
    }),
    ("escaped_texts", "every character of texts written as \\u and four digits", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { escape_texts: true, ..PLAIN }))
    }),
    ("whole_numbers_with_fraction", "whole numbers with .0, such as 11.0 for 11", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { number: with_fraction, ..PLAIN }))
    }),
    ("numbers_with_exponent", "numbers with an exponent, such as 1.1e1 for 11", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { number: with_exponent, ..PLAIN }))
    }),
    ("numbers_with_zeros", "decimals with trailing zeros, such as 0.500 for 0.5", ".oar.json", |record| {
        Some(spelled(record, &SpellingStyle { number: with_zeros, ..PLAIN }))
    }),
    ("packed_gzip", "compressed with gzip (RFC 1952)", ".oar.json.gz", |record| gzip(record.to_string().as_bytes())),
    #[cfg(feature = "zstd")]
    ("packed_zstd", "compressed with zstd (RFC 8878)", ".oar.json.zst", |record| {
        zstd::bulk::compress(record.to_string().as_bytes(), 3).ok()
    }),
];

/// Adds the spellings of the complete small record, and of one that was simulated.
pub(super) fn add(builder: &mut Builder<'_>) -> io::Result<()> {
    if let (Ok(record), Ok(typed)) = (serde_json::from_str::<Value>(BASE), builder.checker.read(BASE.as_bytes())) {
        of_record(builder, "by_hand", &record, &derived(&typed))?;
    }
    let simulated = CleanRecords::new(&["live"], builder.seed).take(1, 60, &mut builder.checker);
    for clean in simulated {
        if let Ok(record) = serde_json::to_value(&clean.record) {
            of_record(builder, "simulated", &record, &clean.derived)?;
        }
    }
    Ok(())
}

fn of_record(builder: &mut Builder<'_>, which: &str, record: &Value, derived: &Map<String, Value>) -> io::Result<()> {
    let plain = format!("{}/{which}-plain", CaseKind::Spelling.as_str());
    for (name, what, ending, spell) in SPELLINGS {
        let Some(bytes) = spell(record) else { continue };
        let case = accept_case(CaseKind::Spelling, &format!("{which}-{name}"), what);
        let case = KitCase {
            file: case.file.replace(".oar.json", ending),
            same_as: (case.case != plain).then(|| plain.clone()),
            derived: Some(derived.clone()),
            ..case
        };
        builder.accepted(case, &bytes)?;
    }
    Ok(())
}

fn backwards(value: &Value) -> Value {
    match value {
        Value::Object(members) => {
            members.iter().rev().map(|(name, value)| (name.clone(), backwards(value))).collect::<Map<_, _>>().into()
        }
        Value::Array(entries) => entries.iter().map(backwards).collect(),
        other => other.clone(),
    }
}

/// How values are spelled.
#[derive(Clone, Copy)]
struct SpellingStyle {
    /// Between all tokens.
    space: &'static str,
    escape_names: bool,
    escape_texts: bool,
    number: fn(&str) -> String,
}

const PLAIN: SpellingStyle =
    SpellingStyle { space: "", escape_names: false, escape_texts: false, number: str::to_owned };

fn spelled(value: &Value, style: &SpellingStyle) -> Vec<u8> {
    let mut out = style.space.to_owned();
    spell(value, style, &mut out);
    out.into_bytes()
}

/// Writes a value and the white space after it.
fn spell(value: &Value, style: &SpellingStyle, out: &mut String) {
    let space = style.space;
    match value {
        Value::Object(members) => {
            out.extend(["{", space]);
            for (place, (name, value)) in members.iter().enumerate() {
                out.extend([
                    if place > 0 { "," } else { "" },
                    space,
                    &text(name, style.escape_names),
                    space,
                    ":",
                    space,
                ]);
                spell(value, style, out);
            }
            out.extend(["}", space]);
        }
        Value::Array(entries) => {
            out.extend(["[", space]);
            for (place, value) in entries.iter().enumerate() {
                out.extend([if place > 0 { "," } else { "" }, space]);
                spell(value, style, out);
            }
            out.extend(["]", space]);
        }
        Value::String(string) => out.extend([&text(string, style.escape_texts), space]),
        Value::Number(number) => out.extend([&(style.number)(&number.to_string()), space]),
        other => out.extend([&other.to_string(), space]),
    }
}

fn text(text: &str, escape: bool) -> String {
    if !escape {
        return Value::from(text).to_string();
    }
    let mut out = "\"".to_owned();
    for unit in text.encode_utf16() {
        let _ = write!(out, "\\u{unit:04x}");
    }
    out + "\""
}

fn with_fraction(number: &str) -> String {
    if number.contains(['.', 'e']) { number.to_owned() } else { format!("{number}.0") }
}

fn with_zeros(number: &str) -> String {
    if number.contains('.') && !number.contains('e') { format!("{number}00") } else { number.to_owned() }
}

/// The digits with the decimal point after the first, if that is exact.
fn with_exponent(number: &str) -> String {
    let (sign, digits) = number.strip_prefix('-').map_or(("", number), |digits| ("-", digits));
    if number.contains(['.', 'e']) || digits.len() < 2 {
        return number.to_owned();
    }
    let (first, rest) = digits.split_at(1);
    format!("{sign}{first}.{rest}e{}", rest.len())
}

fn gzip(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packed.write_all(bytes).ok()?;
    packed.finish().ok()
}
