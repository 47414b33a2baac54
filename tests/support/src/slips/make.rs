//! Slips: what people and exporters do to single values, entries and names.

use oar_generators::random::RandomStream;

use super::tree::{Node, TEETH};

/// Lists whose entries are numbers of teeth.
const LISTS_OF_TEETH: [&str; 4] = ["absent", "primary", "implants", "pontics"];

/// Makes one slip, half of the time in the number of a tooth. Where the record has no place for it, nothing is done.
pub(crate) fn slip(record: &mut Node, stream: &mut RandomStream) {
    match stream.whole(0, 23) {
        0..4 => value(record, stream, is_tooth, |text, _| format!("\"{text}\"")),
        4..7 => value(record, stream, is_tooth, mistyped),
        7..9 => value(record, stream, is_tooth, |_, stream| stream.whole(1, 99).to_string()),
        9..11 => stray(record, stream),
        11 => value(record, stream, is_tooth, |text, _| text.chars().rev().collect()),
        12 => value(record, stream, is_number, |text, _| format!("\"{text}\"")),
        13 => value(record, stream, is_number, mistyped),
        14 => value(record, stream, is_number, other_form),
        15 => value(record, stream, |name, node| name.ends_with("minutes") && is_number(name, node), other_unit),
        16 => entry(record, stream, |entries, at| drop(entries.remove(at))),
        17 => entry(record, stream, double),
        18 => entry(record, stream, |entries, at| exchange(entries, at)),
        19 => entry(record, stream, |entries, _| entries.reverse()),
        20 => rename(record, stream),
        21 => value(record, stream, is_day, other_day),
        22 => value(record, stream, is_day, mistyped),
        _ => value(
            record,
            stream,
            |_, node| matches!(node, Node::Leaf { .. }),
            |text, stream| (*stream.one_of(&["null".to_owned(), text.to_uppercase()]).expect("one of two")).clone(),
        ),
    }
}

fn is_number(_: &str, node: &Node) -> bool {
    matches!(node, Node::Leaf { text, .. } if text.bytes().all(|byte| byte.is_ascii_digit() || b".-".contains(&byte)))
}

fn is_tooth(name: &str, node: &Node) -> bool {
    TEETH.contains(&name) && is_number(name, node)
}

/// A day, or an instant.
fn is_day(_: &str, node: &Node) -> bool {
    matches!(node, Node::Leaf { text, .. } if text.starts_with("\"20") && text.len() >= 12)
}

fn pick(record: &Node, stream: &mut RandomStream, fits: impl Fn(&str, &Node) -> bool) -> Option<Vec<usize>> {
    stream.one_of(&record.places(&fits)).cloned()
}

/// Writes another text in the place of a value.
fn value(
    record: &mut Node,
    stream: &mut RandomStream,
    fits: impl Fn(&str, &Node) -> bool,
    write: impl Fn(&str, &mut RandomStream) -> String,
) {
    let Some(way) = pick(record, stream, fits) else { return };
    let node = record.at(&way);
    let written = write(&node.text(), stream);
    if serde_json::from_str::<serde_json::Value>(&written).is_ok() {
        *node = Node::slip(written);
    }
}

/// One digit is lost, doubled, changed, or exchanged with the next one.
fn mistyped(text: &str, stream: &mut RandomStream) -> String {
    let mut letters: Vec<char> = text.chars().collect();
    let digits: Vec<usize> = (0..letters.len()).filter(|at| letters[*at].is_ascii_digit()).collect();
    let Some(at) = stream.one_of(&digits).copied() else { return text.to_owned() };
    match stream.whole(0, 3) {
        0 => drop(letters.remove(at)),
        1 => letters.insert(at, letters[at]),
        2 if letters.get(at + 1).is_some_and(char::is_ascii_digit) => letters.swap(at, at + 1),
        _ => letters[at] = char::from(b'0' + stream.whole(0, 9) as u8),
    }
    letters.into_iter().collect()
}

/// The number in another form, or with decimals that it did not have.
fn other_form(text: &str, stream: &mut RandomStream) -> String {
    let point = text.contains('.');
    match stream.whole(0, 4) {
        0 if !point => format!("{text}.0"),
        0 => format!("{text}000"),
        1 => format!("{text}e0"),
        2 if !point => format!("{text}.{}", stream.whole(1, 999)),
        2 => format!("{text}{}", stream.whole(1, 999)),
        3 => format!("\"{}\"", text.replace('.', ",")),
        _ => format!("-{text}"),
    }
}

/// Seconds or hours instead of minutes.
fn other_unit(text: &str, stream: &mut RandomStream) -> String {
    let minutes: f64 = text.parse().unwrap_or_default();
    if stream.whole(0, 1) == 0 { format!("{}", minutes * 60.0) } else { format!("{}", minutes / 60.0) }
}

/// A number that nobody meant, in a list of teeth.
fn stray(record: &mut Node, stream: &mut RandomStream) {
    let Some(way) = pick(record, stream, |name, node| LISTS_OF_TEETH.contains(&name) && matches!(node, Node::List(_)))
    else {
        return;
    };
    let number = match stream.whole(0, 2) {
        0 => *stream.one_of(&[1, 9, 16, 17, 32]).expect("one of five"),
        _ => stream.whole(1, 99),
    };
    if let Node::List(entries) = record.at(&way) {
        let at = stream.whole(0, entries.len() as i32) as usize;
        entries.insert(at, Node::slip(number.to_string()));
    }
}

/// Changes a list of two entries or more.
fn entry(record: &mut Node, stream: &mut RandomStream, change: impl Fn(&mut Vec<Node>, usize)) {
    let has_two = |_: &str, node: &Node| matches!(node, Node::List(entries) if entries.len() > 1);
    let Some(way) = pick(record, stream, has_two) else { return };
    if let Node::List(entries) = record.at(&way) {
        let at = stream.whole(0, entries.len() as i32 - 1) as usize;
        change(entries, at);
    }
}

fn double(entries: &mut Vec<Node>, at: usize) {
    let mut copy = entries[at].clone();
    copy.touch();
    entries.insert(at + 1, copy);
}

fn exchange(entries: &mut [Node], at: usize) {
    let next = (at + 1) % entries.len();
    entries.swap(at, next);
}

/// Misspells the name of a field, or writes it and its value a second time.
fn rename(record: &mut Node, stream: &mut RandomStream) {
    let Some(way) = pick(record, stream, |_, node| matches!(node, Node::Object(members) if !members.is_empty())) else {
        return;
    };
    let Node::Object(members) = record.at(&way) else { return };
    let at = stream.whole(0, members.len() as i32 - 1) as usize;
    if stream.whole(0, 1) == 0 {
        members[at].0.pop();
        return;
    }
    let mut copy = members[at].clone();
    copy.1.touch();
    members.push(copy);
}

/// The day as another country writes it, or with a clock.
fn other_day(text: &str, stream: &mut RandomStream) -> String {
    let (year, month, day) = (&text[1..5], &text[6..8], &text[9..11]);
    match stream.whole(0, 4) {
        0 => format!("\"{day}.{month}.{year}\""),
        1 => format!("\"{year}/{month}/{day}\""),
        2 => format!("\"{month}/{day}/{year}\""),
        3 => format!("\"{year}-{month}-{day}T23:00:00\""),
        _ => text.replacen('T', " ", 1),
    }
}
