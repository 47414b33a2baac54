//! The source text around a finding. Everything that a person could have typed freely is masked.

use std::borrow::Cow;

use oar_schema::describe::{Described, Type};
use oar_schema::record::{Record, Version};

use crate::check::finding::Excerpt;
use crate::check::shape::told;
use crate::json::{Kind, NodeId, Tree, decode};

/// Characters shown before and after the value in a long line.
const AROUND: usize = 36;
/// The maximum number of shown characters of the value.
const VALUE: usize = 48;
/// The replacement for a masked character.
const MASK: char = '·';

/// The part of the line at `line` that shows the bytes from `start` to `end`.
pub(crate) fn excerpt(tree: &Tree, bytes: &[u8], line: (usize, usize), start: usize, end: usize) -> Excerpt {
    let end = end.min(line.1).max(start);
    let from = back(bytes, line.0, start, AROUND);
    let shown_end = forward(bytes, start, end, VALUE);
    let to = if shown_end < end { shown_end } else { forward(bytes, end, line.1, AROUND) };
    let ranges = Masked { tree, bytes, types: None }.ranges(from, to);
    let (head, middle) = (show(bytes, from, start, &ranges), show(bytes, start, shown_end, &ranges));
    let tail = show(bytes, shown_end, to, &ranges);
    let lead = if from > line.0 { "…" } else { "" };
    let rest = if to < line.1 { "…" } else { "" };
    let before = if from > line.0 { head } else { head.trim_start().to_owned() };
    Excerpt {
        start: lead.chars().count() + before.chars().count(),
        len: middle.chars().count().max(1),
        text: format!("{lead}{before}{middle}{tail}{rest}").trim_end().to_owned(),
    }
}

/// A text that is not JSON: known names and words, short numbers and punctuation are shown, all else is masked.
pub(crate) fn unparsed(bytes: &[u8], line: (usize, usize), at: usize) -> Excerpt {
    let at = at.min(line.1);
    let from = back(bytes, line.0, at, AROUND);
    let to = forward(bytes, at, line.1, AROUND);
    let text = String::from_utf8_lossy(&bytes[from..to]).into_owned();
    let before = String::from_utf8_lossy(&bytes[from..at]).chars().count();
    let lead = if from > line.0 { "…" } else { "" };
    let rest = if to < line.1 { "…" } else { "" };
    let masked = mask_unknown(&text, from > line.0, to < line.1);
    Excerpt { text: format!("{lead}{masked}{rest}"), start: before + lead.chars().count(), len: 1 }
}

/// Masks every run of letters that is not a name or word of the format, and every number that is long or next to anything
/// except the punctuation of JSON. `cut_before` and `cut_after`: the text continues there.
fn mask_unknown(text: &str, cut_before: bool, cut_after: bool) -> String {
    let letters: Vec<char> = text.chars().collect();
    let in_run = |letter: &char| letter.is_alphanumeric() || !letter.is_ascii() || "_@".contains(*letter);
    let mut out = String::new();
    let mut at = 0;
    while at < letters.len() {
        let run: String = letters[at..].iter().take_while(|letter| in_run(letter)).collect();
        let end = at + run.chars().count();
        let alone = begins_alone(&letters[..at], cut_before) && ends_alone(&letters[end..], cut_after);
        let short_number = (1..=2).contains(&run.len()) && run.bytes().all(|byte| byte.is_ascii_digit());
        if is_known(&run) || (short_number && alone) {
            out.push_str(&run);
        } else {
            out.extend(run.chars().map(|_| MASK));
        }
        out.extend(letters.get(end).map(|letter| if letter.is_control() { ' ' } else { *letter }));
        at = end + 1;
    }
    out.trim_end().to_owned()
}

/// Whether the punctuation of JSON, or the start of the line, precedes.
fn begins_alone(before: &[char], cut: bool) -> bool {
    let last = before.iter().rev().find(|letter| !letter.is_whitespace());
    last.map_or(!cut, |letter| "[{:,".contains(*letter))
}

/// Whether the punctuation of JSON, or the end of the line, follows.
fn ends_alone(after: &[char], cut: bool) -> bool {
    let next = after.iter().find(|letter| !letter.is_whitespace());
    next.map_or(!cut, |letter| "]},".contains(*letter))
}

fn is_known(word: &str) -> bool {
    let objects = Record::OBJECT.with_parts();
    let field = objects.iter().any(|object| object.field(word).is_some());
    let vocabularies = oar_schema::json_schema::vocabularies(&objects);
    field || vocabularies.iter().any(|words| words.words.iter().any(|known| known.word == word))
}

/// The parts that must not be shown. Only the window of one excerpt is examined, so that each of many findings in a large
/// record takes no longer than a single one.
struct Masked<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    /// The last list or object, and its type.
    types: Option<(NodeId, Option<&'static Type>)>,
}

impl Masked<'_> {
    /// The ranges of bytes within a window that must not be shown.
    fn ranges(&mut self, from: usize, to: usize) -> Vec<(usize, usize)> {
        let mut ranges = Vec::new();
        for node in self.tree.between(from, to) {
            let ty = self.type_of(node);
            let found = self.tree.node(node);
            if let Some((start, end)) =
                found.key.filter(|(start, end)| ty.is_none() && !may_be_shown(self.name(*start, *end)))
            {
                ranges.push((start as usize + 1, end as usize - 1));
            }
            let scalar = !matches!(found.kind, Kind::Object | Kind::Array | Kind::Bool(_) | Kind::Null);
            if scalar && !is_safe(found.kind, ty, found.token(self.bytes)) {
                ranges.push((found.start as usize, found.end as usize));
            }
        }
        ranges
    }

    /// The type that the format gives a value, if the format has that value.
    fn type_of(&mut self, node: NodeId) -> Option<&'static Type> {
        let found = self.tree.node(node);
        let Some(parent) = found.parent else { return Some(&RECORD) };
        let holder = match self.types {
            Some((known, ty)) if known == parent => ty,
            _ => self.type_of(parent),
        };
        self.types = Some((parent, holder));
        match (holder?, found.key) {
            (Type::List(of, _), None) => Some(of),
            (Type::Object(object), Some((start, end))) => {
                let name = self.name(start, end)?;
                object.field(&name).or_else(|| told::spelt(object, &name)).map(|field| &field.ty)
            }
            _ => None,
        }
    }

    /// A name, unless it is too long to be one of the format.
    fn name(&self, start: u32, end: u32) -> Option<Cow<'_, str>> {
        let token = &self.bytes[start as usize..end as usize];
        (token.len() <= told::NAME).then(|| decode(token))
    }
}

/// The type of a whole record.
static RECORD: Type = Type::Object(Record::OBJECT);

fn may_be_shown(name: Option<Cow<'_, str>>) -> bool {
    name.is_some_and(|name| told::name(&name).is_some())
}

/// The maximum number of bytes of a value that can be shown, unless it is a number.
const SAFE: usize = 512;

/// Whether a value can be shown in a field of that type: it looks like a value of the type, and so reveals nothing else.
fn is_safe(kind: Kind, ty: Option<&Type>, token: &[u8]) -> bool {
    match (kind, ty) {
        (Kind::Number, Some(Type::Whole(_) | Type::Hundredths(_) | Type::Tooth | Type::Version)) => {
            told::number(token).is_some()
        }
        (Kind::String, _) if token.len() > SAFE => false,
        (Kind::String, Some(Type::Word(vocabulary))) => {
            let text = decode(token);
            told::is_plain_word(&text) || vocabulary.words.iter().any(|word| word.word == text)
        }
        (Kind::String, Some(Type::Date | Type::Instant)) => told::is_time(&decode(token)),
        (Kind::String, Some(Type::Constant(constant))) => decode(token) == *constant,
        (Kind::String, Some(Type::Version)) => Version::parse(&decode(token)).is_some_and(told::is_usual),
        _ => false,
    }
}

/// Some bytes as text, with masked characters in the masked ranges.
fn show(bytes: &[u8], from: usize, to: usize, masked: &[(usize, usize)]) -> String {
    let text = String::from_utf8_lossy(&bytes[from..to]);
    let mut at = from;
    let mut out = String::new();
    for letter in text.chars() {
        let hidden = masked.iter().any(|(start, end)| (*start..*end).contains(&at));
        at += letter.len_utf8();
        let shown = if letter.is_control() { ' ' } else { letter };
        out.push(if hidden && letter != '"' { MASK } else { shown });
    }
    out
}

/// The byte `count` characters before `at`, no further back than `least`.
fn back(bytes: &[u8], least: usize, at: usize, count: usize) -> usize {
    let starts = (least..at).rev().filter(|byte| bytes[*byte] & 0xc0 != 0x80);
    starts.take(count).last().unwrap_or(at)
}

/// The byte `count` characters after `at`, no further than `most`.
fn forward(bytes: &[u8], at: usize, most: usize, count: usize) -> usize {
    let mut starts = (at..most).filter(|byte| bytes[*byte] & 0xc0 != 0x80);
    starts.nth(count).unwrap_or(most)
}
