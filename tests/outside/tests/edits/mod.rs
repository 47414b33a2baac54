//! Random edits of a right record: of values, names, structure, spelling and bytes.

use open_aligner_record::json::{Kind, Node, NodeId, Tree};
use rand::{Rng, RngExt};

/// Values that are put in the place of others: right ones, wrong ones, and rare spellings of right ones.
const VALUES: &[&str] = &[
    "null",
    "true",
    "false",
    "0",
    "-0",
    "-0.0",
    "1",
    "2",
    "11",
    "11.0",
    "1.1e1",
    "110e-1",
    "12",
    "19",
    "32",
    "48",
    "55",
    "85",
    "86",
    "99",
    "-1",
    "0.5",
    "0.25",
    "0.250",
    "0.255",
    "1e1",
    "1E+2",
    "1e400",
    "9007199254740991",
    "9007199254740993",
    "123456789012345678901234567890",
    "20",
    "20.00",
    "20.01",
    "1500",
    "1501",
    "1440.0",
    "2004",
    "[]",
    "{}",
    "[1, 2]",
    "[11, 21]",
    "[[]]",
    "{\"a\": 1}",
    "\"\"",
    "\"both\"",
    "\"upper\"",
    "\"advance\"",
    "\"Advance\"",
    "\"advanc\\u0065\"",
    "\"facial\"",
    "\"2031-02-03\"",
    "\"2031-02-30\"",
    "\"2032-02-29\"",
    "\"2031-2-3\"",
    "\"1899-12-31\"",
    "\"2031-02-03T08:30:00+01:00\"",
    "\"2031-02-03T08:30:00Z\"",
    "\"2031-02-03t08:30:00z\"",
    "\"2031-02-03T24:00:00Z\"",
    "\"2031-02-03T08:30:60Z\"",
    "\"2031-02-03T08:30:00.123+01:00\"",
    "\"2031-02-03T08:30:00.+01:00\"",
    "\"2031-02-03T08:30:00\"",
    "\"Europe/Vienna\"",
    "\"Mars/Olympus\"",
    "\"europe/vienna\"",
    "\"1.0\"",
    "\"1.1\"",
    "\"open-aligner-record\"",
    "\"A 1\"",
    "\"A1\"",
    "\"\\ud83d\\ude00\"",
    "\"\\ud83d\"",
    "\"\u{e9}\u{1f600}\"",
    "\"a\\nb\"",
];

/// Names that are put in the place of others.
const NAMES: &[&str] = &[
    "\"on\"",
    "\"tooth\"",
    "\"minutes\"",
    "\"id\"",
    "\"note\"",
    "\"extensions\"",
    "\"\"",
    "\"x\"",
    "\"to\\u006fth\"",
    "\"org.example.a\"",
];

/// Bytes that random text edits use.
const BYTES: &[u8] = b"{}[]:,\"\\ \n0123456789.-+eEtrufalsn_/xA\xc3\xa9\xff";

/// The record with one to three random edits.
pub fn edited<R: Rng>(base: &[u8], rng: &mut R) -> Vec<u8> {
    let mut text = base.to_vec();
    for _ in 0..rng.random_range(1..=3) {
        let mut tree = Tree::default();
        if tree.parse(&text).is_err() {
            return text;
        }
        text = edit(&text, &tree, rng);
    }
    text
}

fn edit<R: Rng>(text: &[u8], tree: &Tree, rng: &mut R) -> Vec<u8> {
    let node = pick(tree, rng);
    match rng.random_range(0..12) {
        0..4 => replace_value(text, tree.node(node), rng),
        4 => remove(text, tree, node),
        5 => repeat(text, tree, node),
        6 => rename(text, tree.node(node), rng),
        7 => swap(text, tree, node),
        8 => space(text, tree.node(node), rng),
        9 => escape(text, tree.node(node), rng),
        10 => respell(text, tree.node(node), rng),
        _ => byte(text, rng),
    }
}

/// A random value; lists and objects less often than what they hold.
fn pick<R: Rng>(tree: &Tree, rng: &mut R) -> NodeId {
    let mut all = vec![tree.root()];
    let mut at = 0;
    while at < all.len() {
        all.extend(tree.children(all[at]));
        at += 1;
    }
    all[rng.random_range(0..all.len())]
}

fn replace_value<R: Rng>(text: &[u8], node: &Node, rng: &mut R) -> Vec<u8> {
    let value = VALUES[rng.random_range(0..VALUES.len())];
    splice(text, node.start as usize, node.end as usize, value.as_bytes())
}

/// The bytes of a member or entry, name included.
fn whole(node: &Node) -> (usize, usize) {
    (node.key.map_or(node.start, |(start, _)| start) as usize, node.end as usize)
}

fn remove(text: &[u8], tree: &Tree, id: NodeId) -> Vec<u8> {
    let (start, end) = whole(tree.node(id));
    match tree.node(id).next_sibling {
        Some(next) => splice(text, start, whole(tree.node(next)).0, b""),
        None if text[..start].ends_with(b",") => splice(text, start - 1, end, b""),
        None => splice(text, start, end, b""),
    }
}

fn repeat(text: &[u8], tree: &Tree, id: NodeId) -> Vec<u8> {
    let (start, end) = whole(tree.node(id));
    let copy = [b",", &text[start..end]].concat();
    splice(text, end, end, &copy)
}

fn rename<R: Rng>(text: &[u8], node: &Node, rng: &mut R) -> Vec<u8> {
    let Some((start, end)) = node.key else { return text.to_vec() };
    splice(text, start as usize, end as usize, NAMES[rng.random_range(0..NAMES.len())].as_bytes())
}

/// Swaps a member or entry with the next one.
fn swap(text: &[u8], tree: &Tree, id: NodeId) -> Vec<u8> {
    let Some(next) = tree.node(id).next_sibling else { return text.to_vec() };
    let ((a, b), (c, d)) = (whole(tree.node(id)), whole(tree.node(next)));
    [&text[..a], &text[c..d], &text[b..c], &text[a..b], &text[d..]].concat()
}

fn space<R: Rng>(text: &[u8], node: &Node, rng: &mut R) -> Vec<u8> {
    let at = [whole(node).0, node.start as usize, node.end as usize][rng.random_range(0..3)];
    splice(text, at, at, [&b" "[..], b"\n\t", b"\r\n  ", b"\x0b"][rng.random_range(0..4)])
}

/// Writes one character of a text or name as an escape.
fn escape<R: Rng>(text: &[u8], node: &Node, rng: &mut R) -> Vec<u8> {
    let name = node.key.filter(|_| node.kind != Kind::String || rng.random());
    let (start, end) = name.unwrap_or((node.start, node.end));
    let (start, end) = (start as usize + 1, (end as usize).saturating_sub(1));
    if start >= end || text[start - 1] != b'"' {
        return text.to_vec();
    }
    let at = rng.random_range(start..end);
    if !text[at].is_ascii_alphanumeric() || text[at - 1] == b'\\' {
        return text.to_vec();
    }
    splice(text, at, at + 1, format!("\\u{:04x}", text[at]).as_bytes())
}

/// Writes a number in another way, mostly with the same value.
fn respell<R: Rng>(text: &[u8], node: &Node, rng: &mut R) -> Vec<u8> {
    if node.kind != Kind::Number {
        return text.to_vec();
    }
    let (start, end) = (node.start as usize, node.end as usize);
    let number = String::from_utf8_lossy(&text[start..end]).into_owned();
    let other = match rng.random_range(0..6) {
        0 => format!("{number}e0"),
        1 if number.contains('.') => format!("{number}0"),
        1 => format!("{number}.0"),
        2 => format!("{number}E-1"),
        3 => format!("-{number}"),
        4 => format!("0{number}"),
        _ => format!("{number}{}", rng.random_range(0..10)),
    };
    splice(text, start, end, other.as_bytes())
}

fn byte<R: Rng>(text: &[u8], rng: &mut R) -> Vec<u8> {
    let at = rng.random_range(0..text.len());
    let new = [BYTES[rng.random_range(0..BYTES.len())]];
    match rng.random_range(0..4) {
        0 => splice(text, at, at + 1, b""),
        1 => splice(text, at, at, &new),
        2 => text[..at].to_vec(),
        _ => splice(text, at, at + 1, &new),
    }
}

fn splice(text: &[u8], start: usize, end: usize, new: &[u8]) -> Vec<u8> {
    [&text[..start], new, &text[end..]].concat()
}
