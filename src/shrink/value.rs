//! A JSON document that can be cut down: values without their places, numbers as written.

use oar_schema::describe::{Described, Type};
use oar_schema::record::Record;

use crate::json::{Kind, NodeId, Tree, decode};

/// A JSON value. An object may hold a name twice.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    Object(Vec<(String, Value)>),
    List(Vec<Value>),
    Text(String),
    /// As it is written.
    Number(String),
    Truth(bool),
    Null,
}

/// The places of children on the way from the document to a value.
pub(super) type Way = Vec<usize>;

/// A value that holds no other, with the type that the format has for its place.
#[derive(Clone, Debug)]
pub(super) struct Leaf {
    pub(super) way: Way,
    /// The type that belongs there; none where the format knows of nothing.
    pub(super) ty: Option<&'static Type>,
    /// The name of the field that it is, or that it stands in.
    pub(super) field: String,
}

impl Value {
    pub(super) fn read(tree: &Tree, bytes: &[u8], node: NodeId) -> Self {
        let token = tree.node(node).token(bytes);
        let children = || tree.children(node);
        match tree.node(node).kind {
            Kind::Object => Self::Object(
                children()
                    .map(|child| {
                        let (start, end) = tree.node(child).key.unwrap_or_default();
                        let name = decode(&bytes[start as usize..end as usize]).into_owned();
                        (name, Self::read(tree, bytes, child))
                    })
                    .collect(),
            ),
            Kind::Array => Self::List(children().map(|child| Self::read(tree, bytes, child)).collect()),
            Kind::String => Self::Text(decode(token).into_owned()),
            Kind::Number => Self::Number(String::from_utf8_lossy(token).into_owned()),
            Kind::Bool(truth) => Self::Truth(truth),
            Kind::Null => Self::Null,
        }
    }

    /// The document as compact JSON.
    pub(super) fn write(&self) -> String {
        let mut out = String::new();
        self.append(&mut out);
        out
    }

    fn append(&self, out: &mut String) {
        let text = |text: &str| serde_json::Value::from(text).to_string();
        match self {
            Self::Object(members) => {
                out.push('{');
                for (place, (name, value)) in members.iter().enumerate() {
                    out.push_str(if place > 0 { "," } else { "" });
                    out.push_str(&text(name));
                    out.push(':');
                    value.append(out);
                }
                out.push('}');
            }
            Self::List(entries) => {
                out.push('[');
                for (place, value) in entries.iter().enumerate() {
                    out.push_str(if place > 0 { "," } else { "" });
                    value.append(out);
                }
                out.push(']');
            }
            Self::Text(value) => out.push_str(&text(value)),
            Self::Number(number) => out.push_str(number),
            Self::Truth(truth) => out.push_str(if *truth { "true" } else { "false" }),
            Self::Null => out.push_str("null"),
        }
    }

    /// How many values there are, this one counted.
    pub(super) fn count(&self) -> usize {
        1 + (0..self.len()).filter_map(|at| self.child(at)).map(Self::count).sum::<usize>()
    }

    /// How many values it holds itself.
    pub(super) fn len(&self) -> usize {
        match self {
            Self::Object(members) => members.len(),
            Self::List(entries) => entries.len(),
            _ => 0,
        }
    }

    fn child(&self, at: usize) -> Option<&Self> {
        match self {
            Self::Object(members) => members.get(at).map(|(_, value)| value),
            Self::List(entries) => entries.get(at),
            _ => None,
        }
    }

    pub(super) fn get(&self, way: &[usize]) -> Option<&Self> {
        way.iter().try_fold(self, |value, at| value.child(*at))
    }

    pub(super) fn get_mut(&mut self, way: &[usize]) -> Option<&mut Self> {
        way.iter().try_fold(self, |value, at| match value {
            Self::Object(members) => members.get_mut(*at).map(|(_, value)| value),
            Self::List(entries) => entries.get_mut(*at),
            _ => None,
        })
    }

    /// The JSON Pointer to a value.
    pub(super) fn pointer(&self, way: &[usize]) -> String {
        let (mut value, mut pointer) = (self, String::new());
        for at in way {
            pointer.push('/');
            match value {
                Self::Object(members) => pointer.push_str(&members[*at].0.replace('~', "~0").replace('/', "~1")),
                _ => pointer.push_str(&at.to_string()),
            }
            let Some(child) = value.child(*at) else { break };
            value = child;
        }
        pointer
    }

    /// All values that hold no other.
    pub(super) fn leaves(&self) -> Vec<Leaf> {
        let mut found = Vec::new();
        self.collect(&mut Leaf { way: Vec::new(), ty: None, field: String::new() }, Some(&RECORD), &mut found);
        found
    }

    fn collect(&self, at: &mut Leaf, ty: Option<&'static Type>, found: &mut Vec<Leaf>) {
        if self.len() == 0 {
            found.push(Leaf { ty, ..at.clone() });
        }
        for place in 0..self.len() {
            let (name, ty) = match (self, ty) {
                (Self::Object(members), Some(Type::Object(object))) => {
                    let name = &members[place].0;
                    (Some(name), object.field(name).map(|field| &field.ty))
                }
                (Self::Object(members), _) => (Some(&members[place].0), None),
                (_, Some(Type::List(of, _))) => (None, Some(*of)),
                _ => (None, None),
            };
            let Some(child) = self.child(place) else { continue };
            let outer = at.field.clone();
            at.way.push(place);
            at.field = name.unwrap_or(&outer).clone();
            child.collect(at, ty, found);
            at.way.pop();
            at.field = outer;
        }
    }
}

static RECORD: Type = Type::Object(Record::OBJECT);

/// Whether a type is one of texts that are words of the format and tell nothing of a person.
pub(super) fn is_word(ty: &Type, text: &str) -> bool {
    match ty {
        Type::Word(vocabulary) => vocabulary.words.iter().any(|word| word.word == text),
        Type::Constant(constant) => *constant == text,
        Type::Version => text == "1.0",
        _ => false,
    }
}
