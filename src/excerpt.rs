//! The source text around a finding, with everything masked that a person could have written freely.

use oar_schema::describe::{Described, Type};
use oar_schema::record::Record;

use crate::finding::Excerpt;
use crate::json::{Kind, NodeId, Tree, decode};

/// Characters shown before and after the value in a long line.
const AROUND: usize = 36;
/// Characters of the value that are shown at most.
const VALUE: usize = 48;
/// What stands for a masked character.
const MASK: char = '·';

/// The part of the line at `line` that shows the bytes from `start` to `end`.
pub(crate) fn excerpt(tree: &Tree, bytes: &[u8], line: (usize, usize), start: usize, end: usize) -> Excerpt {
    let end = end.min(line.1).max(start);
    let from = back(bytes, line.0, start, AROUND);
    let shown_end = forward(bytes, start, end, VALUE);
    let to = if shown_end < end { shown_end } else { forward(bytes, end, line.1, AROUND) };
    let mut masked = Masked { tree, bytes, from, to, ranges: Vec::new() };
    masked.object(tree.root(), Some(&Type::Object(Record::OBJECT)));
    let ranges = masked.ranges;
    let (head, middle) = (show(bytes, from, start, &ranges), show(bytes, start, shown_end, &ranges));
    let tail = show(bytes, shown_end, to, &ranges);
    let lead = if from > line.0 { "…" } else { "" };
    let trail = if to < line.1 { "…" } else { "" };
    let before = if from > line.0 { head } else { head.trim_start().to_owned() };
    Excerpt {
        start: lead.chars().count() + before.chars().count(),
        len: middle.chars().count().max(1),
        text: format!("{lead}{before}{middle}{tail}{trail}").trim_end().to_owned(),
    }
}

/// A text that is no JSON: known names and words, short numbers and punctuation are shown, all else is masked.
pub(crate) fn unparsed(bytes: &[u8], line: (usize, usize), at: usize) -> Excerpt {
    let at = at.min(line.1);
    let from = back(bytes, line.0, at, AROUND);
    let to = forward(bytes, at, line.1, AROUND);
    let text = String::from_utf8_lossy(&bytes[from..to]).into_owned();
    let before = String::from_utf8_lossy(&bytes[from..at]).chars().count();
    let lead = if from > line.0 { "…" } else { "" };
    Excerpt { text: format!("{lead}{}", mask_unknown(&text)), start: before + lead.chars().count(), len: 1 }
}

/// Masks every run of letters that is no name or word of the format, and every long number.
fn mask_unknown(text: &str) -> String {
    let mut out = String::new();
    let mut run = String::new();
    for letter in text.chars().chain(std::iter::once('\n')) {
        if letter.is_alphanumeric() || letter == '_' || letter == '@' {
            run.push(letter);
            continue;
        }
        let told = is_known(&run) || (run.len() <= 2 && run.bytes().all(|byte| byte.is_ascii_digit()));
        if told {
            out.push_str(&run)
        } else {
            out.extend(run.chars().map(|_| MASK))
        }
        run.clear();
        out.push(if letter.is_control() { ' ' } else { letter });
    }
    out.trim_end().to_owned()
}

fn is_known(word: &str) -> bool {
    let objects = Record::OBJECT.with_parts();
    let field = objects.iter().any(|object| object.field(word).is_some());
    let vocabularies = oar_schema::json_schema::vocabularies(&objects);
    field || vocabularies.iter().any(|words| words.words.iter().any(|known| known.word == word))
}

/// The ranges of bytes within a window that are not to be shown.
struct Masked<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    from: usize,
    to: usize,
    ranges: Vec<(usize, usize)>,
}

impl Masked<'_> {
    fn visit(&mut self, node: NodeId, ty: Option<&'static Type>) {
        let (start, end) = (self.tree.node(node).start as usize, self.tree.node(node).end as usize);
        if end <= self.from || self.to <= start {
            return;
        }
        match self.tree.node(node).kind {
            Kind::Object | Kind::Array => self.object(node, ty),
            Kind::Bool(_) | Kind::Null => {}
            kind if !is_safe(kind, ty) => self.ranges.push((start, end)),
            _ => {}
        }
    }

    fn object(&mut self, node: NodeId, ty: Option<&'static Type>) {
        for child in self.tree.children(node) {
            let Some((start, end)) = self.tree.node(child).key else {
                let entry = match ty {
                    Some(Type::List(of, _)) => Some(*of),
                    _ => None,
                };
                self.visit(child, entry);
                continue;
            };
            let name = decode(&self.bytes[start as usize..end as usize]);
            let field = match ty {
                Some(Type::Object(object)) => object.field(&name),
                _ => None,
            };
            if field.is_none() && !is_known(&name) {
                self.ranges.push((start as usize + 1, end as usize - 1));
            }
            self.visit(child, field.map(|field| &field.ty));
        }
    }
}

/// Whether a value of that kind can be shown where that type belongs.
fn is_safe(kind: Kind, ty: Option<&Type>) -> bool {
    match (kind, ty) {
        (_, None | Some(Type::Text(_) | Type::Extensions)) => false,
        (Kind::Number, _) => true,
        (Kind::String, Some(Type::Word(_) | Type::Date | Type::Instant | Type::Constant(_) | Type::Version)) => true,
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
    let starts = (at..most).filter(|byte| bytes[*byte] & 0xc0 != 0x80);
    starts.skip(count).next().unwrap_or(most)
}
