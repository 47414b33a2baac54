//! Other ways to write the same value: found by walking a record along the descriptions of the format.

use oar_schema::describe::{Bounds, Described, Field, Object, Type};
use oar_schema::number::Hundredths;
use oar_schema::record::Record;
use oar_schema::teeth::Tooth;
use oar_schema::words::Vocabulary;

use super::edits::Edits;
use super::{Bench, Mend, Mended};
use crate::finding::Arg;
use crate::json::{Kind, NodeId, Problem, Tree, decimal, decode};

/// Writes every value in its plain form; none when all of them are.
pub(super) fn mend(tree: &Tree, bytes: &[u8], mended: &mut Mended) -> Option<Vec<u8>> {
    let mut walk = Walk { tree, bytes, edits: Edits::default(), mended };
    if tree.node(tree.root()).kind == Kind::Object {
        walk.object(tree.root(), Record::OBJECT);
    }
    walk.edits.applied(bytes)
}

/// Writes days and instants that can be read in one way only as the format has them.
pub(super) fn times(bench: &mut Bench<'_>) -> Option<Vec<u8>> {
    let (tree, bytes, mut edits) = (bench.tree, bench.bytes, Edits::default());
    for finding in bench.findings.iter().filter(|found| matches!(found.rule.name, "not_a_date" | "not_an_instant")) {
        let Some((_, meant @ (Arg::Date(_) | Arg::Instant(_)))) =
            finding.args.iter().find(|(name, _)| *name == "meant")
        else {
            continue;
        };
        let Some(node) = tree.find(bytes, &finding.place.pointer).map(|node| tree.node(node)) else { continue };
        if node.kind == Kind::String {
            edits.replace(node.start as usize, node.end as usize, format!("\"{meant}\"").as_bytes());
            *bench.mended.entry(Mend::Time).or_default() += 1;
        }
    }
    edits.applied(bytes)
}

struct Walk<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    edits: Edits,
    mended: &'a mut Mended,
}

impl Walk<'_> {
    fn token(&self, node: NodeId) -> &[u8] {
        self.tree.node(node).token(self.bytes)
    }

    fn replace(&mut self, node: NodeId, text: &str, mend: Mend) {
        let node = self.tree.node(node);
        self.edits.replace(node.start as usize, node.end as usize, text.as_bytes());
        *self.mended.entry(mend).or_default() += 1;
    }

    fn object(&mut self, node: NodeId, object: &'static Object) {
        let members: Vec<(NodeId, Option<&'static Field>)> =
            self.tree.children(node).map(|member| (member, self.field(member, object))).collect();
        let gone: Vec<Option<Mend>> = (0..members.len()).map(|at| self.is_needless(&members, at)).collect();
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

    /// Why a member can be left out: it is null where nothing has to be, or an earlier one says the same.
    fn is_needless(&self, members: &[(NodeId, Option<&'static Field>)], at: usize) -> Option<Mend> {
        let (member, field) = members[at];
        let field = field?;
        let repeated = self.tree.problems().iter().any(|(kind, _)| *kind == Problem::RepeatedName);
        let others = || {
            members
                .iter()
                .enumerate()
                .filter(|(n, (_, other))| *n != at && other.is_some_and(|other| other.name == field.name))
        };
        if repeated && others().count() > 0 {
            let same = |(_, (other, _)): (usize, &(NodeId, _))| self.token(*other) == self.token(member);
            return (others().all(same) && others().any(|(n, _)| n < at)).then_some(Mend::Twice);
        }
        (!field.required && self.tree.node(member).kind == Kind::Null).then_some(Mend::Null)
    }

    /// Takes members out, each with the comma that it no longer needs.
    fn leave_out(&mut self, members: &[(NodeId, Option<&'static Field>)], gone: &[Option<Mend>]) {
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
        for mend in gone.iter().flatten() {
            *self.mended.entry(*mend).or_default() += 1;
        }
    }

    /// Writes the name of a field without escapes.
    fn name(&mut self, member: NodeId, field: &'static Field) {
        let Some((start, end)) = self.tree.node(member).key else { return };
        if self.bytes[start as usize..end as usize].contains(&b'\\') {
            self.edits.replace(start as usize, end as usize, format!("\"{}\"", field.name).as_bytes());
            *self.mended.entry(Mend::Escape).or_default() += 1;
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
            (Type::Version, Kind::Number) if self.token(node) == b"1.0" => self.replace(node, "\"1.0\"", Mend::Quotes),
            _ => {}
        }
    }

    fn whole(&mut self, node: NodeId) {
        let token = self.token(node);
        let value = decimal(token).and_then(|number| number.as_integer()).map(|value| value.to_string());
        if let Some(plain) = value.filter(|plain| plain.as_bytes() != token) {
            self.replace(node, &plain, Mend::Number);
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
            self.replace(node, &Hundredths(value).to_string(), Mend::Number);
        }
    }

    fn text(&mut self, node: NodeId, ty: &'static Type) {
        let token = self.token(node);
        let (text, escaped) = (decode(token).into_owned(), token.contains(&b'\\'));
        match ty {
            Type::Whole(bounds) => self.quoted(node, &text, *bounds, |text| decimal(text)?.as_integer()),
            Type::Hundredths(bounds) => self.quoted(node, &text, *bounds, |text| decimal(text)?.as_hundredths()),
            Type::Truth if text == "true" || text == "false" => self.replace(node, &text, Mend::Quotes),
            Type::Tooth => {
                if let Some(tooth) = tooth(&text) {
                    self.replace(node, &tooth.to_string(), Mend::Notation);
                }
            }
            Type::Word(vocabulary) if !has(vocabulary, &text) => {
                if let Some(word) = meant(vocabulary, &text) {
                    self.replace(node, &format!("\"{word}\""), Mend::Word);
                }
            }
            Type::Object(_) | Type::List(..) | Type::Extensions | Type::Text(_) => {}
            _ if escaped && is_plain(&text) => self.replace(node, &format!("\"{text}\""), Mend::Escape),
            _ => {}
        }
    }

    /// A number in quotes, if it is one that the field takes.
    fn quoted(&mut self, node: NodeId, text: &str, bounds: Bounds, read: fn(&[u8]) -> Option<i64>) {
        if read(text.as_bytes()).is_some_and(|value| bounds.hold(value)) {
            self.replace(node, text, Mend::Quotes);
        }
    }
}

fn has(vocabulary: &Vocabulary, text: &str) -> bool {
    vocabulary.words.iter().any(|word| word.word == text)
}

/// The word that a text is, but for capitals and for what stands between its parts.
fn meant(vocabulary: &Vocabulary, text: &str) -> Option<&'static str> {
    let plain = text.to_ascii_lowercase().replace(['-', ' '], "_");
    vocabulary.words.iter().map(|word| word.word).find(|word| *word == plain)
}

/// The tooth that a text names in a way that no other notation has: with its quadrant in letters, or in FDI with a
/// separator. A bare number in quotes may be of any notation.
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
