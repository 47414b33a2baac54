//! Where things stand: from values in the tree of a record to lines, columns, pointers and subjects.

use oar_schema::record::is_reverse_domain;

use crate::check::finding::Place;
use crate::check::path::Step;
use crate::check::shape::{Reading, told};
use crate::json::lines::Lines;
use crate::json::{Kind, NodeId, Tree, decode};

/// The fields that tell an entry of a list apart from the others. All that are there are taken together: what is left out
/// here could make two entries alike, so that a fixed one would hide a new one.
const IDENTIFYING: &[&str] = &[
    "id",
    "number",
    "date",
    "at",
    "on",
    "from",
    "tooth",
    "upper_tooth",
    "lower_tooth",
    "between",
    "attachment",
    "series",
    "tray",
    "from_tray",
    "before_tray",
    "arches",
    "event",
    "what",
    "source",
    "purpose",
    "pattern",
];

/// Bytes of a name or value that identify an entry or a record at most; of a longer one the first and the number of all.
const LONG: usize = 256;
/// Finds places in one record, which begins on line `line` of its file.
pub(crate) struct Locator<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    line: u64,
    lines: Lines<'a>,
    reading: Option<&'a Reading>,
}

impl<'a> Locator<'a> {
    pub(crate) fn new(tree: &'a Tree, bytes: &'a [u8], line: u64) -> Self {
        Self { tree, bytes, line, lines: Lines::of(bytes), reading: None }
    }

    /// Follows paths as the record was read: what was left out does not count, and some members have another name.
    pub(crate) fn reading(self, reading: &'a Reading) -> Self {
        Self { reading: Some(reading), ..self }
    }

    /// The value that a path leads to, or the last one on the way that is there.
    pub(crate) fn follow(&self, path: &[Step]) -> NodeId {
        path.iter().fold(self.tree.root(), |node, step| {
            let next = match step {
                Step::Field(name) => self.read_as(node, name).or_else(|| self.tree.member(self.bytes, node, name)),
                Step::Entry(index) => self.tree.entry(node, self.place_of(node, *index)),
            };
            next.unwrap_or(node)
        })
    }

    fn read_as(&self, object: NodeId, name: &str) -> Option<NodeId> {
        self.reading?.member(object, name)
    }

    /// The place of an entry in its list, from its place among those that were read.
    fn place_of(&self, list: NodeId, index: usize) -> usize {
        self.reading.map_or(index, |reading| reading.place(list, index))
    }

    /// The bytes of a value, or of its name.
    pub(crate) fn range(&self, node: NodeId, on_name: bool) -> (usize, usize) {
        let node = self.tree.node(node);
        let (start, end) = node.key.filter(|_| on_name).unwrap_or((node.start, node.end));
        (start as usize, end as usize)
    }

    /// The place of a value. A list or object is told by its first character, so that a finding points at one line.
    pub(crate) fn place(&self, node: NodeId, on_name: bool) -> Place {
        let (start, end) = self.range(node, on_name);
        let end =
            if matches!(self.tree.node(node).kind, Kind::Object | Kind::Array) && !on_name { start + 1 } else { end };
        Place { pointer: self.tree.pointer(self.told(node), self.bytes), ..self.between(start, end) }
    }

    /// The value itself, or what holds it when a name on the way there is one that is not told.
    fn told(&self, node: NodeId) -> NodeId {
        let above = |id: &NodeId| self.tree.node(*id).parent;
        let hidden = std::iter::successors(Some(node), above).filter(|id| !self.may_be_shown(*id)).last();
        hidden.map_or(node, |hidden| self.tree.node(hidden).parent.unwrap_or(hidden))
    }

    fn may_be_shown(&self, node: NodeId) -> bool {
        let Some((start, end)) = self.tree.node(node).key else { return true };
        let token = &self.bytes[start as usize..end as usize];
        if token.len() > told::NAME {
            return false;
        }
        let name = decode(token);
        told::name(&name).is_some() || is_reverse_domain(name.as_bytes())
    }

    /// The lines and columns of some bytes.
    pub(crate) fn between(&self, start: usize, end: usize) -> Place {
        let (line, column) = self.position(start);
        let (end_line, end_column) = self.position(end);
        Place { pointer: String::new(), line, column, end_line, end_column }
    }

    fn position(&self, at: usize) -> (u64, u64) {
        let (line, column) = self.lines.position(at);
        (self.line + line - 1, column)
    }

    /// The bytes of the line that holds a byte.
    pub(crate) fn line_around(&self, at: usize) -> (usize, usize) {
        self.lines.around(at)
    }

    /// The pointer of a value with indices replaced by what identifies the entries, after the record's id and system, so
    /// that it stays the same when entries are added before it. Hashed by its users, never printed: identifiers may
    /// stand in it. [`Finding::record_id`](crate::check::finding::Finding::record_id) reads the id out of it.
    pub(crate) fn subject(&self, node: NodeId) -> String {
        let above = |id: &NodeId| self.tree.node(*id).parent;
        let mut way: Vec<NodeId> = std::iter::successors(Some(node), above).collect();
        way.pop();
        way.iter().rev().fold(self.record(), |subject, id| subject + "/" + &self.identity(*id))
    }

    /// `/"id"@"system"`; `/` when the record has no id.
    fn record(&self) -> String {
        let root = self.tree.root();
        let text = |node: NodeId, name: &str| {
            let found = self.tree.member(self.bytes, node, name)?;
            (self.tree.node(found).kind == Kind::String).then_some(found)
        };
        let Some(id) = text(root, "id") else { return "/".to_owned() };
        let system = self.tree.member(self.bytes, root, "source").and_then(|source| text(source, "system"));
        let system = system.map_or(String::new(), |system| self.written(system));
        format!("/{}@{system}", self.written(id))
    }

    /// The name of a member, or the identifying fields of an entry; the index of an entry that has none.
    fn identity(&self, node: NodeId) -> String {
        if let Some((start, end)) = self.tree.node(node).key {
            return short(&self.bytes[start as usize..end as usize]);
        }
        let fields = IDENTIFYING.iter().filter_map(|name| self.tree.member(self.bytes, node, name));
        let fields: Vec<String> = fields.map(|id| self.written(id)).collect();
        match (fields.is_empty(), self.tree.node(node).kind) {
            (false, _) => fields.join(","),
            (true, Kind::Object) => self.tree.node(node).index.to_string(),
            (true, _) => self.written(node),
        }
    }

    /// The value as written, without space between the entries of a list.
    fn written(&self, node: NodeId) -> String {
        let token = self.tree.node(node).token(self.bytes);
        let text = String::from_utf8_lossy(&token[..token.len().min(LONG)]);
        match self.tree.node(node).kind {
            Kind::String if token.len() > LONG => serde_json::Value::from(short(token)).to_string(),
            Kind::String => text.into_owned(),
            _ => text.split_ascii_whitespace().collect(),
        }
    }
}

/// The text of a token; of a long one the beginning and its length, since it is asked for once for each finding below it.
fn short(token: &[u8]) -> String {
    if token.len() <= LONG {
        return decode(token).into_owned();
    }
    format!("{}…{}", decode(&token[..LONG]), token.len())
}
