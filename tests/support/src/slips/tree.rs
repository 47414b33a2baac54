//! A record as a tree that remembers which of its values a slip touched.

use open_aligner_record::json::{Kind, NodeId, Tree};
use serde_json::Value;

/// The names of fields in which teeth are numbered.
pub(crate) const TEETH: [&str; 9] =
    ["absent", "primary", "implants", "pontics", "tooth", "between", "upper_tooth", "lower_tooth", "teeth"];

/// A value with its places.
#[derive(Clone, Debug)]
pub(crate) enum Node {
    /// A value as it is written.
    Leaf {
        /// Its JSON text.
        text: String,
        /// Whether a slip made it what it is.
        touched: bool,
    },
    /// A list.
    List(Vec<Node>),
    /// An object; a name can be there twice.
    Object(Vec<(String, Node)>),
}

impl From<&Value> for Node {
    fn from(value: &Value) -> Self {
        match value {
            Value::Array(entries) => Self::List(entries.iter().map(Self::from).collect()),
            Value::Object(members) => {
                Self::Object(members.iter().map(|(name, value)| (name.clone(), value.into())).collect())
            }
            other => Self::Leaf { text: other.to_string(), touched: false },
        }
    }
}

impl Node {
    /// A JSON text; a name that an object has twice is there twice.
    pub(crate) fn parse(text: &[u8]) -> Self {
        let mut tree = Tree::default();
        tree.parse(text).expect("the text is JSON");
        Self::read(&tree, text, tree.root())
    }

    fn read(tree: &Tree, text: &[u8], id: NodeId) -> Self {
        let read = |child| Self::read(tree, text, child);
        let name = |child: NodeId| {
            let (start, end) = tree.node(child).key.expect("a member has a name");
            serde_json::from_slice(&text[start as usize..end as usize]).expect("a name is a text")
        };
        match tree.node(id).kind {
            Kind::Array => Self::List(tree.children(id).map(read).collect()),
            Kind::Object => Self::Object(tree.children(id).map(|child| (name(child), read(child))).collect()),
            _ => {
                let text = String::from_utf8_lossy(tree.node(id).token(text)).into_owned();
                Self::Leaf { text, touched: false }
            }
        }
    }

    /// A value that a slip wrote.
    pub(crate) fn slip(text: impl Into<String>) -> Self {
        Self::Leaf { text: text.into(), touched: true }
    }

    /// The value as JSON.
    pub(crate) fn text(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        match self {
            Self::Leaf { text, .. } => out.push_str(text),
            Self::List(entries) => {
                out.push('[');
                for (place, entry) in entries.iter().enumerate() {
                    out.push_str(if place > 0 { "," } else { "" });
                    entry.write(out);
                }
                out.push(']');
            }
            Self::Object(members) => {
                out.push('{');
                for (place, (name, member)) in members.iter().enumerate() {
                    out.push_str(if place > 0 { ",\"" } else { "\"" });
                    out.push_str(name);
                    out.push_str("\":");
                    member.write(out);
                }
                out.push('}');
            }
        }
    }

    /// Whether a slip touched any value in it.
    pub(crate) fn is_touched(&self) -> bool {
        match self {
            Self::Leaf { touched, .. } => *touched,
            Self::List(entries) => entries.iter().any(Self::is_touched),
            Self::Object(members) => members.iter().any(|(_, member)| member.is_touched()),
        }
    }

    /// Whether it is a null.
    pub(crate) fn is_null(&self) -> bool {
        matches!(self, Self::Leaf { text, .. } if text == "null")
    }

    /// Marks every value in it as the work of a slip.
    pub(crate) fn touch(&mut self) {
        match self {
            Self::Leaf { touched, .. } => *touched = true,
            Self::List(entries) => entries.iter_mut().for_each(Self::touch),
            Self::Object(members) => members.iter_mut().for_each(|(_, member)| member.touch()),
        }
    }

    /// The places that `fits` picks by the name of the field and the value, each as the way to it.
    pub(crate) fn places(&self, fits: &dyn Fn(&str, &Self) -> bool) -> Vec<Vec<usize>> {
        let mut found = Vec::new();
        self.collect("", fits, &mut Vec::new(), &mut found);
        found
    }

    fn collect(
        &self,
        name: &str,
        fits: &dyn Fn(&str, &Self) -> bool,
        way: &mut Vec<usize>,
        found: &mut Vec<Vec<usize>>,
    ) {
        if fits(name, self) {
            found.push(way.clone());
        }
        let mut into = |place: usize, name: &str, node: &Self| {
            way.push(place);
            node.collect(name, fits, way, found);
            way.pop();
        };
        match self {
            Self::Leaf { .. } => {}
            Self::List(entries) => entries.iter().enumerate().for_each(|(place, entry)| into(place, name, entry)),
            Self::Object(members) => {
                members.iter().enumerate().for_each(|(place, (name, member))| into(place, name, member));
            }
        }
    }

    /// The value at the end of a way that [`Self::places`] gave.
    pub(crate) fn at(&mut self, way: &[usize]) -> &mut Self {
        let Some((first, rest)) = way.split_first() else { return self };
        match self {
            Self::Leaf { .. } => self,
            Self::List(entries) => entries[*first].at(rest),
            Self::Object(members) => members[*first].1.at(rest),
        }
    }
}
