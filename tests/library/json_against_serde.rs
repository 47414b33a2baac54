//! The reader against `serde_json`, and decimals against integer arithmetic, on seeded random input.

use open_aligner_record::json::{Kind, NodeId, Problem, SyntaxErrorKind, Tree, decimal, decode};
use serde::de::{Deserialize, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::{collections::BTreeSet, fmt};

/// `SplitMix64` (Steele, Lea, Flood 2014).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn pick<'a, T: ?Sized>(&mut self, from: &[&'a T]) -> &'a T {
        from[self.below(from.len())]
    }
}

const SPACES: &[&str] = &["", "", "", " ", "\n\t", "\r\n"];
const NAMES: &[&str] = &[
    "a",
    "b",
    "\\u0061",
    "\\u0062",
    "tooth",
    "to\\u006Fth",
    "",
    "é",
    "\\u00e9",
    "on tray 12345",
    "on tray 12346",
    "\\n",
];
const SCALARS: &[&str] = &[
    "0",
    "-0",
    "1.25",
    "-3e2",
    "12E-1",
    "1e999",
    "9007199254740993",
    "true",
    "false",
    "null",
    "\"\"",
    "\"plain text of a note\"",
    "\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"",
    "\"\\uD834\\udd1e\"",
    "\"\\uD834\"",
    "\"\u{7f}é日𝄞\"",
    "\"\\u0000\"",
];

/// Writes a random document; few names, so that many are repeated.
fn write(random: &mut Random, depth: usize, text: &mut String) {
    text.push_str(random.pick(SPACES));
    match random.below(if depth == 0 { 1 } else { 3 }) {
        0 => text.push_str(random.pick(SCALARS)),
        1 => write_members(random, depth, ["[", "]"], text),
        _ => write_members(random, depth, ["{", "}"], text),
    }
    text.push_str(random.pick(SPACES));
}

fn write_members(random: &mut Random, depth: usize, [open, close]: [&str; 2], text: &mut String) {
    text.push_str(open);
    let many = if random.below(20) == 0 { 40 } else { 4 };
    for n in 0..random.below(many) {
        text.push_str(if n == 0 { "" } else { "," });
        if open == "{" {
            let number = if many == 40 { random.below(99).to_string() } else { String::new() };
            let (name, space) = (random.pick(NAMES), random.pick(SPACES));
            text.extend(["\"", name, &number, "\"", space, ":"]);
        }
        write(random, depth - 1, text);
    }
    text.push_str(close);
}

/// Pieces that edits put in: every byte of the grammar, and some that are not.
const PIECES: &[&[u8]] = &[
    b"{",
    b"}",
    b"[",
    b"]",
    b",",
    b":",
    b"\"",
    b"\\",
    b"\\u",
    b"\\uD800",
    b"0",
    b"-",
    b".",
    b"e",
    b"E+",
    b"9",
    b"true",
    b"nul",
    b" ",
    b"\n",
    b"\x0b",
    b"\x00",
    b"\x1f",
    b"\x80",
    b"\xff",
    b"\xc3",
    b"\xef\xbb\xbf",
    b"/",
    b"x",
    b"\\x",
];

fn edit(random: &mut Random, bytes: &mut Vec<u8>) {
    let from = random.below(bytes.len() + 1);
    let to = (from + random.below(3)).min(bytes.len());
    match random.below(4) {
        0 => drop(bytes.drain(from..to)),
        1 => bytes.truncate(from.max(1)),
        2 => drop(bytes.splice(from..to, random.pick(PIECES).iter().copied())),
        _ => drop(bytes.splice(from..from, random.pick(PIECES).iter().copied())),
    }
}

/// The document as `serde_json` would hold it; of a repeated name the last counts there.
fn value(tree: &Tree, id: NodeId, bytes: &[u8]) -> Value {
    let node = tree.node(id);
    let below = || tree.children(id).map(|child| value(tree, child, bytes));
    match node.kind {
        Kind::Null => Value::Null,
        Kind::Bool(is) => Value::Bool(is),
        Kind::Number => serde_json::from_slice(node.token(bytes)).expect("a number"),
        Kind::String => Value::String(decode(node.token(bytes)).into_owned()),
        Kind::Array => Value::Array(below().collect()),
        Kind::Object => {
            let keys = tree.children(id).filter_map(|child| tree.node(child).key);
            let names = keys.map(|(start, end)| decode(&bytes[start as usize..end as usize]).into_owned());
            Value::Object(names.zip(below()).collect::<Map<_, _>>())
        }
    }
}

/// How many members of all objects have the name of an earlier one, as `serde_json` reads them.
struct Repeats(usize);

impl<'de> Deserialize<'de> for Repeats {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(CountRepeats).map(Repeats)
    }
}

struct CountRepeats;

impl<'de> Visitor<'de> for CountRepeats {
    type Value = usize;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("anything")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<usize, A::Error> {
        let (mut seen, mut count) = (BTreeSet::new(), 0);
        while let Some((name, Repeats(below))) = map.next_entry::<String, _>()? {
            count += below + usize::from(!seen.insert(name));
        }
        Ok(count)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<usize, A::Error> {
        let mut count = 0;
        while let Some(Repeats(below)) = list.next_element()? {
            count += below;
        }
        Ok(count)
    }

    fn visit_bool<E>(self, _: bool) -> Result<usize, E> {
        Ok(0)
    }
    fn visit_i64<E>(self, _: i64) -> Result<usize, E> {
        Ok(0)
    }
    fn visit_u64<E>(self, _: u64) -> Result<usize, E> {
        Ok(0)
    }
    fn visit_f64<E>(self, _: f64) -> Result<usize, E> {
        Ok(0)
    }
    fn visit_str<E>(self, _: &str) -> Result<usize, E> {
        Ok(0)
    }
    fn visit_unit<E>(self) -> Result<usize, E> {
        Ok(0)
    }
}

fn count(tree: &Tree, problem: Problem) -> usize {
    tree.problems().iter().filter(|p| p.0 == problem).count()
}

/// Compares the two readers on one document and says whether both accepted it.
fn compare(tree: &mut Tree, bytes: &[u8]) -> bool {
    let shown = String::from_utf8_lossy(bytes);
    let ours = tree.parse(bytes);
    let theirs = serde_json::from_slice::<Value>(bytes);
    match (ours, theirs) {
        (Ok(()), Ok(theirs)) => {
            assert_eq!(value(tree, tree.root(), bytes), theirs, "{shown}");
            let Repeats(repeats) = serde_json::from_slice(bytes).expect("accepted before");
            assert_eq!(count(tree, Problem::RepeatedName), repeats, "{shown}");
            true
        }
        (Err(_), Err(_)) => false,
        (Ok(()), Err(fault)) => {
            // The one named difference: serde_json refuses what a double cannot hold.
            assert!(fault.to_string().starts_with("number out of range"), "{shown}: {fault}");
            assert!(count(tree, Problem::NumberTooLarge) > 0, "{shown}");
            true
        }
        (Err(fault), Ok(_)) => panic!("{shown}: only we refuse it, {fault}"),
    }
}

#[test]
fn edited_documents_are_accepted_and_read_as_serde_json_does() {
    let (mut random, mut tree) = (Random(2031), Tree::default());
    let (mut accepted, mut refused) = (0, 0);
    for _ in 0..20_000 {
        let mut text = String::new();
        write(&mut random, 4, &mut text);
        let mut bytes = text.into_bytes();
        for _ in 0..random.below(4) {
            edit(&mut random, &mut bytes);
        }
        let both = compare(&mut tree, &bytes);
        *(if both { &mut accepted } else { &mut refused }) += 1;
    }
    // The comparison means something only if both verdicts are common.
    assert!(accepted > 4000 && refused > 4000, "{accepted} accepted, {refused} refused");
}

/// Whether `serde_json` finds nothing wrong with a text but that it ends, as it stands or with a
/// digit after it: of a number that breaks off it says that it is wrong, not that it ends.
fn could_go_on(text: &[u8]) -> bool {
    let sound = |text: &[u8]| match serde_json::from_slice::<IgnoredAny>(text) {
        Ok(_) => true,
        Err(fault) => fault.is_eof(),
    };
    sound(text) || sound(&[text, b"0"].concat())
}

/// Whether the byte at the fault cannot follow what is before it. Words and escapes are pointed
/// at by their first byte, which can.
fn fault_is_in_its_first_byte(kind: SyntaxErrorKind) -> bool {
    match kind {
        SyntaxErrorKind::Expected(what) => what != "a value",
        SyntaxErrorKind::BadNumber | SyntaxErrorKind::TextAfterEnd | SyntaxErrorKind::ControlCharacterInString => true,
        _ => false,
    }
}

#[test]
fn the_place_of_a_fault_is_where_a_sound_beginning_ends() {
    let (mut random, mut tree) = (Random(12), Tree::default());
    let (mut compared, mut sharp) = (0, 0);
    for _ in 0..10_000 {
        let mut text = String::new();
        write(&mut random, 3, &mut text);
        let mut bytes = text.into_bytes();
        edit(&mut random, &mut bytes);
        let Err(fault) = tree.parse(&bytes) else {
            continue;
        };
        if fault.kind == SyntaxErrorKind::NotUtf8 {
            continue; // Looked for before anything else, so there may be an earlier fault.
        }
        let shown = String::from_utf8_lossy(&bytes);
        assert!(could_go_on(&bytes[..fault.at]), "{shown}: {fault}");
        compared += 1;
        if fault_is_in_its_first_byte(fault.kind) {
            assert!(!could_go_on(&bytes[..=fault.at]), "{shown}: {fault}");
            sharp += 1;
        }
    }
    assert!(compared > 1000 && sharp > 500, "{compared}, {sharp}");
}

/// `number` × 10^-`places`, written in one of many ways.
fn written(random: &mut Random, number: i64, places: i32) -> String {
    let mut digits = number.unsigned_abs().to_string() + &"0".repeat(random.below(4));
    let added = digits.len() - number.unsigned_abs().to_string().len();
    let point = random.below(digits.len() + 6);
    if point >= digits.len() {
        digits = "0".repeat(point + 1 - digits.len()) + &digits;
    }
    let exponent = point as i32 - places - added as i32;
    let (whole, part) = digits.split_at(digits.len() - point);
    let whole = whole.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    let sign = if number < 0 { "-" } else { "" };
    let part = if part.is_empty() { String::new() } else { format!(".{part}") };
    let plus = if exponent >= 0 { random.pick(&["", "+", "0", "+00"]) } else { "" };
    let e = random.pick(&["e", "E"]);
    match exponent {
        0 if random.below(2) == 0 => format!("{sign}{whole}{part}"),
        _ => format!("{sign}{whole}{part}{e}{plus}{exponent}"),
    }
}

/// `number` × 10^`power`, if that is whole and fits.
fn exact(number: i64, power: i32) -> Option<i64> {
    let factor = 10_i128.pow(power.unsigned_abs());
    let number = i128::from(number);
    let whole = if power >= 0 { number.checked_mul(factor)? } else { number / factor };
    (power >= 0 || number % factor == 0).then(|| i64::try_from(whole).ok())?
}

#[test]
fn decimals_agree_with_integer_arithmetic() {
    let mut random = Random(53);
    let mut whole = 0;
    for _ in 0..50_000 {
        let size = 10_i64.pow(random.below(19) as u32);
        let number = (random.next() as i64 % size) * 10_i64.pow(random.below(3) as u32 * u32::from(size < 1_000_000));
        let places = random.below(24) as i32 - 8;
        let token = written(&mut random, number, places);
        let value = decimal(token.as_bytes()).expect(&token);
        assert_eq!(value.as_integer(), exact(number, -places), "{token}");
        assert_eq!(value.as_hundredths(), exact(number, 2 - places), "{token}");
        let divides = places <= 0 || number % 10_i64.pow(places.min(18) as u32) == 0;
        assert_eq!(value.is_integer(), divides, "{token}");
        whole += usize::from(divides);
    }
    assert!((5000..45_000).contains(&whole), "{whole}");
}
