//! The canonical bytes of random documents, beside those that another implementation of RFC 8785 writes.
//!
//! The other one is given values, ours a text of them with random spellings: exponents, needless zeros, escapes in either case
//! of letters, surrogate pairs, white space, members in any order.

use open_aligner_record::canonical::{CanonicalError, canonical};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Map, Value};

const DOCUMENTS: usize = 40_000;

/// Characters whose order by UTF-16 code units differs from that of code points, and those that need an escape or may have one.
const LETTERS: [char; 24] = [
    'a', 'b', 'A', '1', ' ', '"', '\\', '/', '\n', '\r', '\t', '\u{8}', '\u{c}', '\u{0}', '\u{1f}', '\u{7f}', '\u{80}',
    'ö', '€', '\u{2028}', '\u{d7ff}', '\u{e000}', '\u{fb33}', '😀',
];

fn letter(dice: &mut ChaCha8Rng) -> char {
    if dice.random_ratio(2, 3) {
        return LETTERS[dice.random_range(0..LETTERS.len())];
    }
    loop {
        let number = dice.random_range(0..=0x0010_ffff_u32);
        let noncharacter = number & 0xfffe == 0xfffe || (0xfdd0..=0xfdef).contains(&number);
        if let Some(letter) = char::from_u32(number).filter(|_| !noncharacter) {
            return letter;
        }
    }
}

fn text(dice: &mut ChaCha8Rng) -> String {
    (0..dice.random_range(0..6)).map(|_| letter(dice)).collect()
}

/// A double: any bits, or a short decimal, or an integer near where they are no longer all doubles.
fn number(dice: &mut ChaCha8Rng) -> f64 {
    let double = match dice.random_range(0..5) {
        0 => f64::from_bits(dice.next_u64()),
        1 => f64::from(dice.random_range(-100_000..100_000)) / 100.0,
        2 => f64::from(dice.random_range(-1000..1000)) * 10f64.powi(dice.random_range(-30..30)),
        3 => dice.random_range(-9_007_199_254_740_993_i64..=9_007_199_254_740_993) as f64,
        _ => [0.0, -0.0, 1e21, 1e-6, 1e-7, 123_456_789_012_345_680_000.0, f64::MAX, f64::MIN_POSITIVE, 5e-324]
            [dice.random_range(0..9)],
    };
    if double.is_finite() { double } else { 0.5 }
}

fn value(dice: &mut ChaCha8Rng, depth: usize) -> Value {
    match dice.random_range(0..if depth == 0 { 5 } else { 8 }) {
        0 => Value::Null,
        1 => Value::Bool(dice.random()),
        2 | 3 => Value::from(number(dice)),
        4 => Value::String(text(dice)),
        5 => (0..dice.random_range(0..4)).map(|_| value(dice, depth - 1)).collect(),
        _ => Value::Object((0..dice.random_range(0..6)).map(|_| (text(dice), value(dice, depth - 1))).collect()),
    }
}

fn space(dice: &mut ChaCha8Rng, out: &mut String) {
    out.push_str(["", "", " ", "\n", "\r\n\t"][dice.random_range(0..5)]);
}

/// The value as a text with random spellings.
fn spelt(value: &Value, dice: &mut ChaCha8Rng, out: &mut String) {
    space(dice, out);
    match value {
        Value::Number(number) => out.push_str(&spelt_number(number.as_f64().unwrap(), dice)),
        Value::String(text) => spelt_text(text, dice, out),
        Value::Array(entries) => {
            out.push('[');
            for (place, entry) in entries.iter().enumerate() {
                out.push_str(if place > 0 { "," } else { "" });
                spelt(entry, dice, out);
            }
            space(dice, out);
            out.push(']');
        }
        Value::Object(members) => spelt_object(members, dice, out),
        other => out.push_str(&other.to_string()),
    }
    space(dice, out);
}

fn spelt_object(members: &Map<String, Value>, dice: &mut ChaCha8Rng, out: &mut String) {
    let mut members: Vec<_> = members.iter().collect();
    for place in (1..members.len()).rev() {
        members.swap(place, dice.random_range(0..=place));
    }
    out.push('{');
    for (place, (name, value)) in members.into_iter().enumerate() {
        out.push_str(if place > 0 { "," } else { "" });
        space(dice, out);
        spelt_text(name, dice, out);
        space(dice, out);
        out.push(':');
        spelt(value, dice, out);
    }
    space(dice, out);
    out.push('}');
}

/// A spelling of a double that no other double is nearer to.
fn spelt_number(double: f64, dice: &mut ChaCha8Rng) -> String {
    match dice.random_range(0..4) {
        0 => format!("{double:e}"),
        1 => format!("{double:E}").replace('E', "E+").replace("E+-", "E-0"),
        2 => format!("{double:.25e}"),
        _ if double.abs() < 1e25 => format!("{double}"),
        _ => format!("{double:e}"),
    }
}

fn spelt_text(text: &str, dice: &mut ChaCha8Rng, out: &mut String) {
    out.push('"');
    for letter in text.chars() {
        let short = "\"\"\\\\//\u{8}b\u{c}f\nn\rr\tt".chars().collect::<Vec<_>>();
        let short = short.chunks(2).find(|pair| pair[0] == letter).map(|pair| pair[1]);
        let must = letter < ' ' || letter == '"' || letter == '\\';
        match (dice.random_range(0..3), short) {
            (0, Some(short)) => out.extend(['\\', short]),
            (1, _) if !must => out.push(letter),
            (2, None) if !must => out.push(letter),
            _ => {
                for unit in letter.encode_utf16(&mut [0; 2]) {
                    out.push_str(&if dice.random() { format!("\\u{unit:04x}") } else { format!("\\u{unit:04X}") });
                }
            }
        }
    }
    out.push('"');
}

#[test]
fn another_implementation_writes_the_same_bytes() {
    let mut dice = ChaCha8Rng::seed_from_u64(8785);
    let (mut objects, mut escapes, mut exponents) = (0, 0, 0);
    for number in 0..DOCUMENTS {
        let value = value(&mut dice, 4);
        let mut text = String::new();
        spelt(&value, &mut dice, &mut text);
        let theirs = serde_json_canonicalizer::to_vec(&value).unwrap();
        let ours = canonical(text.as_bytes()).unwrap_or_else(|error| panic!("{number}: {error}: {text}"));
        assert!(
            ours == theirs,
            "{number}: {text}\n{}\n{}",
            String::from_utf8_lossy(&ours),
            String::from_utf8_lossy(&theirs)
        );
        objects += usize::from(value.as_object().is_some_and(|members| members.len() > 2));
        escapes += usize::from(text.contains("\\u"));
        exponents += usize::from(theirs.windows(2).any(|pair| pair == b"e+" || pair == b"e-"));
    }
    assert!(objects > 2000 && escapes > 10_000 && exponents > 5_000, "{objects} {escapes} {exponents}");
}

#[test]
fn a_half_of_a_surrogate_pair_has_no_bytes() {
    for text in [r#""\ud83d""#, r#""\ude00\ud83d""#, r#"{"\ud83dx": 1}"#] {
        assert!(matches!(canonical(text.as_bytes()), Err(CanonicalError::Syntax(_))), "{text}");
        assert!(serde_json::from_str::<Value>(text).is_err(), "{text}");
    }
}
