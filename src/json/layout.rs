//! The one layout of a record: its members in the order of the descriptions, and white space by one rule.
//!
//! A list or object that holds no object stands on one line; any other takes a line for each entry or member, set in by
//! two spaces. As one line of JSON Lines a record has no white space at all. What is not in the format, such as what
//! stands in `extensions`, keeps its own order. Numbers, texts and names stay as they are written.

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;

use crate::json::{Kind, NodeId, SyntaxError, Tree, decode};

/// How wide a record is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Over several lines, set in by two spaces; a line end follows the record.
    Lines,
    /// On one line without white space and without a line end, for JSON Lines.
    Compact,
}

/// A record in the layout of the format.
///
/// ```
/// use open_aligner_record::layout::{Form, laid_out};
///
/// let record = br#"{ "version":"1.0", "format" : "open-aligner-record"}"#;
/// let text = laid_out(record, Form::Compact)?;
/// assert_eq!(text, br#"{"format":"open-aligner-record","version":"1.0"}"#);
/// # Ok::<(), open_aligner_record::json::SyntaxError>(())
/// ```
///
/// # Errors
/// When it is not JSON.
pub fn laid_out(record: &[u8], form: Form) -> Result<Vec<u8>, SyntaxError> {
    let mut tree = Tree::default();
    tree.parse(record)?;
    Ok(write(&tree, record, form))
}

/// Writes the record in `tree`, which was read from `bytes`.
pub(crate) fn write(tree: &Tree, bytes: &[u8], form: Form) -> Vec<u8> {
    let mut writer = LayoutWriter { tree, bytes, form, out: Vec::with_capacity(bytes.len()) };
    writer.value(tree.root(), Some(&Type::Object(Record::OBJECT)), 0);
    if form == Form::Lines {
        writer.out.push(b'\n');
    }
    writer.out
}

struct LayoutWriter<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    form: Form,
    out: Vec<u8>,
}

impl LayoutWriter<'_> {
    fn value(&mut self, node: NodeId, ty: Option<&'static Type>, depth: usize) {
        let (bracket, children) = match self.tree.node(node).kind {
            Kind::Object => (b'}', self.members(node, ty)),
            Kind::Array => (b']', self.entries(node, ty)),
            _ => return self.out.extend_from_slice(self.tree.node(node).token(self.bytes)),
        };
        self.out.push(if bracket == b'}' { b'{' } else { b'[' });
        let broken = self.form == Form::Lines && (depth == 0 || self.holds_object(node)) && !children.is_empty();
        for (place, (child, ty)) in children.into_iter().enumerate() {
            if place > 0 {
                self.out.push(b',');
            }
            if broken {
                self.line(depth + 1);
            } else if place > 0 && self.form == Form::Lines {
                self.out.push(b' ');
            }
            self.name(child);
            self.value(child, ty, depth + 1);
        }
        if broken {
            self.line(depth);
        }
        self.out.push(bracket);
    }

    fn name(&mut self, child: NodeId) {
        if let Some((start, end)) = self.tree.node(child).key {
            self.out.extend_from_slice(&self.bytes[start as usize..end as usize]);
            self.out.extend_from_slice(if self.form == Form::Lines { b": " } else { b":" });
        }
    }

    fn line(&mut self, depth: usize) {
        self.out.push(b'\n');
        self.out.extend(std::iter::repeat_n(b' ', 2 * depth));
    }

    /// Whether an object stands somewhere in a list or object.
    fn holds_object(&self, node: NodeId) -> bool {
        self.tree.children(node).any(|child| match self.tree.node(child).kind {
            Kind::Object => true,
            Kind::Array => self.holds_object(child),
            _ => false,
        })
    }

    fn entries(&self, node: NodeId, ty: Option<&'static Type>) -> Vec<(NodeId, Option<&'static Type>)> {
        let of = match ty {
            Some(Type::List(of, _)) => Some(*of),
            _ => None,
        };
        self.tree.children(node).map(|child| (child, of)).collect()
    }

    /// The members in the order of the description, then those that it does not have as they come.
    fn members(&self, node: NodeId, ty: Option<&'static Type>) -> Vec<(NodeId, Option<&'static Type>)> {
        let fields = match ty {
            Some(Type::Object(Object { fields, .. })) => *fields,
            _ => &[],
        };
        let mut placed: Vec<(usize, NodeId)> =
            self.tree.children(node).map(|child| (self.place(child, fields), child)).collect();
        placed.sort_by_key(|(place, _)| *place);
        placed.into_iter().map(|(place, child)| (child, fields.get(place).map(|field| &field.ty))).collect()
    }

    /// The place of a member among the fields; after all of them for one that is none of them.
    fn place(&self, member: NodeId, fields: &[oar_schema::describe::Field]) -> usize {
        let (start, end) = self.tree.node(member).key.unwrap_or_default();
        let name = decode(&self.bytes[start as usize..end as usize]);
        fields.iter().position(|field| field.name == name).unwrap_or(fields.len())
    }
}
