//! Other ways to write the same value, found by walking a record along the descriptions of the format.

use std::collections::BTreeMap;

use oar_schema::describe::{Bounds, Described, Field, Object, Type};
use oar_schema::number::Hundredths;
use oar_schema::record::Record;
use oar_schema::teeth::Tooth;
use oar_schema::words::Vocabulary;

use super::edits::Edits;
use super::{Bench, Fix, Fixes};
use crate::check::args::Arg;
use crate::check::finding::Finding;
use crate::check::notation;
use crate::json::{Kind, NodeId, Problem, Tree, decimal, decode};

/// Writes every value in its plain form; none when all values are plain already.
pub(super) fn fix(tree: &Tree, bytes: &[u8], fixes: &mut Fixes) -> Option<Vec<u8>> {
    let mut walk =
        FormWalk { tree, bytes, edits: Edits::default(), fixes, all_fdi: None, repeats_names: repeats_names(tree) };
    if tree.node(tree.root()).kind == Kind::Object {
        walk.object(tree.root(), Record::OBJECT);
    }
    walk.edits.applied(bytes)
}

/// Writes unambiguous days and instants in the notation of the format. Not when an object repeats a name: the location is
/// then ambiguous.
pub(super) fn times(bench: &mut Bench<'_>) -> Option<Vec<u8>> {
    let (tree, bytes, mut edits) = (bench.tree, bench.bytes, Edits::default());
    let times = bench.findings.iter().filter(|found| matches!(found.rule.name, "not_a_date" | "not_an_instant"));
    let meant = times.filter_map(|found| Some((found.place.pointer.as_str(), time_meant(found)?)));
    let meant: BTreeMap<&str, &Arg> = meant.collect();
    if meant.is_empty() || repeats_names(tree) {
        return None;
    }
    for id in texts(tree) {
        let Some(meant) = meant.get(tree.pointer(id, bytes).as_str()) else { continue };
        let node = tree.node(id);
        if !(matches!(meant, Arg::Date(_)) && has_clock(&decode(node.token(bytes)))) {
            edits.replace(node.start as usize, node.end as usize, format!("\"{meant}\"").as_bytes());
            *bench.fixes.entry(Fix::Time).or_default() += 1;
        }
    }
    edits.applied(bytes)
}

/// The day or instant that a text was meant to be.
fn time_meant(finding: &Finding) -> Option<&Arg> {
    let meant = finding.args.iter().find(|(name, _)| *name == "meant").map(|(_, meant)| meant);
    meant.filter(|meant| matches!(meant, Arg::Date(_) | Arg::Instant(_)))
}

/// Every value that is a text.
fn texts(tree: &Tree) -> Vec<NodeId> {
    let (mut all, mut at) = (vec![tree.root()], 0);
    while at < all.len() {
        all.extend(tree.children(all[at]));
        at += 1;
    }
    all.retain(|id| tree.node(*id).kind == Kind::String);
    all
}

fn repeats_names(tree: &Tree) -> bool {
    tree.problems().iter().any(|(kind, _)| *kind == Problem::RepeatedName)
}

/// Whether a text has a time of day other than midnight. Without an offset, its day may belong to another time zone.
fn has_clock(text: &str) -> bool {
    text.split_once(['T', 't', ' ']).is_some_and(|(_, clock)| clock.bytes().any(|byte| matches!(byte, b'1'..=b'9')))
}

struct FormWalk<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    edits: Edits,
    fixes: &'a mut Fixes,
    /// Whether every tooth of the record is written in FDI, in any spelling; none until it is needed.
    all_fdi: Option<bool>,
    /// Whether some object repeats a name.
    repeats_names: bool,
}

/// For names of fields: the first member with the name, and whether all members with it have the same value.
type Alike = BTreeMap<&'static str, (NodeId, bool)>;

impl FormWalk<'_> {
    fn token(&self, node: NodeId) -> &[u8] {
        self.tree.node(node).token(self.bytes)
    }

    fn replace(&mut self, node: NodeId, text: &str, fix: Fix) {
        let node = self.tree.node(node);
        self.edits.replace(node.start as usize, node.end as usize, text.as_bytes());
        *self.fixes.entry(fix).or_default() += 1;
    }

    fn object(&mut self, node: NodeId, object: &'static Object) {
        let members: Vec<(NodeId, Option<&'static Field>)> =
            self.tree.children(node).map(|member| (member, self.field(member, object))).collect();
        let alike = self.alike(&members);
        let gone: Vec<Option<Fix>> =
            members.iter().map(|(member, field)| self.is_needless(*member, *field, &alike)).collect();
        self.leave_out(&members, &gone);
        for ((member, field), gone) in members.into_iter().zip(gone) {
            if let (Some(field), None) = (field, gone) {
                self.name(member, field);
                self.value(member, &field.ty);
            }
        }
    }

    fn field(&self, member: NodeId, object: &'static Object) -> Option<&'static Field> {
        let (start, end) = self.tree.node(member).key?;
        object.field(&decode(&self.bytes[start as usize..end as usize]))
    }

    /// Why a member can be removed: it is an optional null, or an earlier one has the same value.
    fn is_needless(&self, member: NodeId, field: Option<&'static Field>, alike: &Alike) -> Option<Fix> {
        let field = field?;
        match alike.get(field.name) {
            Some((first, same)) if *first != member => same.then_some(Fix::Twice),
            Some((_, false)) => None,
            _ => (!field.required && self.tree.node(member).kind == Kind::Null).then_some(Fix::Null),
        }
    }

    /// For each repeated name of an object: the first member with that name, and whether all of them have its value.
    fn alike(&self, members: &[(NodeId, Option<&'static Field>)]) -> Alike {
        let mut alike = Alike::new();
        if !self.repeats_names {
            return alike;
        }
        for (member, field) in members {
            let Some(field) = field else { continue };
            let (first, same) = alike.entry(field.name).or_insert((*member, true));
            *same &= self.token(*first) == self.token(*member);
        }
        alike
    }

    /// Removes members, each with the comma that it no longer needs.
    fn leave_out(&mut self, members: &[(NodeId, Option<&'static Field>)], gone: &[Option<Fix>]) {
        let begin = |at: usize| self.tree.node(members[at].0).key.map_or(0, |key| key.0 as usize);
        let end = |at: usize| self.tree.node(members[at].0).end as usize;
        let head = gone.iter().position(Option::is_none).unwrap_or(gone.len());
        let mut ranges: Vec<(usize, usize)> = Vec::new();
        if head > 0 {
            ranges.push((begin(0), if head < gone.len() { begin(head) } else { end(head - 1) }));
        }
        ranges.extend((head..gone.len()).filter(|at| gone[*at].is_some()).map(|at| (end(at - 1), end(at))));
        for (start, end) in ranges {
            self.edits.replace(start, end, b"");
        }
        for fix in gone.iter().flatten() {
            *self.fixes.entry(*fix).or_default() += 1;
        }
    }

    /// Writes the name of a field without escapes.
    fn name(&mut self, member: NodeId, field: &'static Field) {
        let Some((start, end)) = self.tree.node(member).key else { return };
        if self.bytes[start as usize..end as usize].contains(&b'\\') {
            self.edits.replace(start as usize, end as usize, format!("\"{}\"", field.name).as_bytes());
            *self.fixes.entry(Fix::Escape).or_default() += 1;
        }
    }

    fn value(&mut self, node: NodeId, ty: &'static Type) {
        match (ty, self.tree.node(node).kind) {
            (Type::Object(object), Kind::Object) => self.object(node, object),
            (Type::List(of, _), Kind::Array) => {
                let entries: Vec<NodeId> = self.tree.children(node).collect();
                for entry in entries {
                    self.value(entry, of);
                }
            }
            (Type::Whole(_) | Type::Tooth, Kind::Number) => self.whole(node),
            (Type::Hundredths(_), Kind::Number) => self.hundredths(node),
            (_, Kind::String) => self.text(node, ty),
            (Type::Version, Kind::Number) if self.token(node) == b"1.0" => self.replace(node, "\"1.0\"", Fix::Quotes),
            _ => {}
        }
    }

    fn whole(&mut self, node: NodeId) {
        let token = self.token(node);
        let value = decimal(token).and_then(|number| number.as_integer()).map(|value| value.to_string());
        if let Some(plain) = value.filter(|plain| plain.as_bytes() != token) {
            self.replace(node, &plain, Fix::Number);
        }
    }

    fn hundredths(&mut self, node: NodeId) {
        let token = self.token(node);
        let point = token.iter().position(|byte| *byte == b'.');
        let places = point.map_or(0, |point| token.len() - point - 1);
        let value =
            decimal(token).and_then(|number| number.as_hundredths()).and_then(|value| i32::try_from(value).ok());
        let is_plain =
            places <= 2 && !token.iter().any(|byte| b"eE".contains(byte)) && (value != Some(0) || token[0] != b'-');
        if let Some(value) = value.filter(|_| !is_plain) {
            self.replace(node, &Hundredths(value).to_string(), Fix::Number);
        }
    }

    fn text(&mut self, node: NodeId, ty: &'static Type) {
        let token = self.token(node);
        let (text, escaped) = (decode(token).into_owned(), token.contains(&b'\\'));
        match ty {
            Type::Whole(bounds) => self.quoted(node, &text, *bounds, |text| decimal(text)?.as_integer()),
            Type::Hundredths(bounds) => self.quoted(node, &text, *bounds, |text| decimal(text)?.as_hundredths()),
            Type::Truth if text == "true" || text == "false" => self.replace(node, &text, Fix::Quotes),
            Type::Tooth => self.tooth(node, &text),
            Type::Word(vocabulary) if !has(vocabulary, &text) => {
                if let Some(word) = meant(vocabulary, &text) {
                    self.replace(node, &format!("\"{word}\""), Fix::Word);
                }
            }
            Type::Object(_) | Type::List(..) | Type::Extensions | Type::Text(_) => {}
            _ if escaped && is_plain(&text) => self.replace(node, &format!("\"{text}\""), Fix::Escape),
            _ => {}
        }
    }

    /// A tooth as text. A bare FDI number does not indicate another notation, but if other teeth of the record are not FDI, it
    /// may be in their notation.
    fn tooth(&mut self, node: NodeId, text: &str) {
        if let Some(tooth) = tooth(text) {
            return self.replace(node, &tooth.to_string(), Fix::Notation);
        }
        if notation::fdi(self.tree, self.bytes, node).is_some_and(|tooth| tooth.to_string() == text)
            && self.is_all_fdi()
        {
            self.replace(node, text, Fix::Quotes);
        }
    }

    fn is_all_fdi(&mut self) -> bool {
        let (tree, bytes) = (self.tree, self.bytes);
        let text = |node: NodeId| decode(tree.node(node).token(bytes)).into_owned();
        let is_fdi = |node: NodeId| {
            notation::fdi(tree, bytes, node).is_some()
                || (tree.node(node).kind == Kind::String && tooth(&text(node)).is_some())
        };
        *self.all_fdi.get_or_insert_with(|| notation::teeth(tree, bytes).into_iter().all(is_fdi))
    }

    /// A number in quotes, if the field accepts it.
    fn quoted(&mut self, node: NodeId, text: &str, bounds: Bounds, read: fn(&[u8]) -> Option<i64>) {
        if read(text.as_bytes()).is_some_and(|value| bounds.hold(value)) {
            self.replace(node, text, Fix::Quotes);
        }
    }
}

fn has(vocabulary: &Vocabulary, text: &str) -> bool {
    vocabulary.words.iter().any(|word| word.word == text)
}

/// The word that a text matches when capitals and separators are ignored.
fn meant(vocabulary: &Vocabulary, text: &str) -> Option<&'static str> {
    let plain = text.to_ascii_lowercase().replace(['-', ' '], "_");
    vocabulary.words.iter().map(|word| word.word).find(|word| *word == plain)
}

/// The tooth that a text names unambiguously: with its quadrant in letters, or in FDI with a separator.
fn tooth(text: &str) -> Option<Tooth> {
    match text.as_bytes() {
        [quadrant @ b'1'..=b'8', b'-' | b'.' | b'/', position @ b'1'..=b'8'] => {
            Tooth::new((quadrant - b'0') * 10 + (position - b'0'))
        }
        _ => Tooth::from_palmer(text),
    }
}

fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| (0x20..0x7f).contains(&byte) && byte != b'"' && byte != b'\\')
}
