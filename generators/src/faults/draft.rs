//! A record in which a mistake is made.

use oar_schema::limits::Limits;
use oar_schema::record::Record;
use oar_schema::time::Date;
use serde_json::Value;

use crate::key::{PlantedFault, RelatedLocation};

/// Where a mistake is found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultLocation {
    /// The value, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    pub pointer: String,
    /// In which record: 0 is the draft, 1 and on are those beside it, in the order in which they were added.
    pub record: u64,
    /// Places in other records that belong to it.
    pub elsewhere: Vec<(u64, String)>,
}

impl FaultLocation {
    /// A spot in a record beside the draft.
    pub fn beside(record: u64, pointer: &str, elsewhere: &[(u64, &str)]) -> Self {
        let elsewhere = elsewhere.iter().map(|(record, pointer)| (*record, (*pointer).to_owned())).collect();
        Self { pointer: pointer.to_owned(), record, elsewhere }
    }

    /// What a maker for a rule planted here, for the answer key.
    pub fn planted(self, rule: &'static str) -> PlantedFault {
        let elsewhere =
            self.elsewhere.into_iter().map(|(record, pointer)| RelatedLocation { record, pointer }).collect();
        PlantedFault { rule, pointer: self.pointer, record: self.record, elsewhere }
    }
}

impl<T: Into<String>> From<T> for FaultLocation {
    fn from(pointer: T) -> Self {
        Self { pointer: pointer.into(), record: 0, elsewhere: Vec::new() }
    }
}

/// A record on its way to the file: looked at as typed values, edited as a tree, and where that is not enough as bytes.
#[derive(Clone, Debug)]
pub struct Draft<'r> {
    /// The clean record, to look at.
    pub clean: &'r Record,
    /// The same as a tree in the order of the file, to be edited.
    pub tree: Value,
    /// The limits that the checker will have: the default ones.
    pub limits: &'r Limits,
    own_file: bool,
    raw: Vec<String>,
    text: Option<Vec<u8>>,
    beside: Vec<Value>,
}

impl<'r> Draft<'r> {
    /// The draft of a clean record; `own_file` when it will stand in a file of its own.
    pub fn new(clean: &'r Record, limits: &'r Limits, own_file: bool) -> Self {
        let tree = serde_json::to_value(clean).unwrap_or_default();
        Self { clean, tree, limits, own_file, raw: Vec::new(), text: None, beside: Vec::new() }
    }

    /// Whether the record stands in a file of its own rather than on a line among others.
    pub fn has_own_file(&self) -> bool {
        self.own_file
    }

    /// The patient's calendar day at the export.
    pub fn today(&self) -> Date {
        self.clean.source.exported_at.written_date()
    }

    /// The value at a pointer.
    pub fn get(&self, pointer: &str) -> Option<&Value> {
        self.tree.pointer(pointer)
    }

    /// Sets the value at a pointer: one that is there, or a member that is added at the end of its object.
    pub fn set(&mut self, pointer: &str, value: impl Into<Value>) -> Option<()> {
        let (parent, last) = parted(pointer)?;
        match self.tree.pointer_mut(parent)? {
            Value::Object(members) => drop(members.insert(unescaped(last), value.into())),
            Value::Array(entries) => *entries.get_mut(last.parse::<usize>().ok()?)? = value.into(),
            _ => return None,
        }
        Some(())
    }

    /// Sets the value at a pointer to JSON text, or what should have been some, that is written as it is.
    pub fn set_raw(&mut self, pointer: &str, text: impl Into<String>) -> Option<()> {
        let mark = mark(self.raw.len());
        self.set(pointer, mark)?;
        self.raw.push(text.into());
        Some(())
    }

    /// Takes out a member or an entry.
    pub fn remove(&mut self, pointer: &str) -> Option<Value> {
        let (parent, last) = parted(pointer)?;
        match self.tree.pointer_mut(parent)? {
            Value::Object(members) => members.shift_remove(&unescaped(last)),
            Value::Array(entries) => {
                let at = last.parse::<usize>().ok().filter(|at| *at < entries.len())?;
                Some(entries.remove(at))
            }
            _ => None,
        }
    }

    /// Adds an entry to a list: before the one at the pointer, or as the last one when the pointer ends in the length.
    pub fn insert(&mut self, pointer: &str, value: impl Into<Value>) -> Option<()> {
        let (parent, last) = parted(pointer)?;
        let entries = self.tree.pointer_mut(parent)?.as_array_mut()?;
        let at = last.parse::<usize>().ok().filter(|at| *at <= entries.len())?;
        entries.insert(at, value.into());
        Some(())
    }

    /// Lets two entries of a list change places.
    pub fn swap(&mut self, list: &str, one: usize, other: usize) -> Option<()> {
        let entries = self.tree.pointer_mut(list)?.as_array_mut()?;
        if one.max(other) >= entries.len() {
            return None;
        }
        entries.swap(one, other);
        Some(())
    }

    /// Gives a member another name, where it stands. Gives its new pointer.
    pub fn rename(&mut self, pointer: &str, name: &str) -> Option<String> {
        let (parent, last) = parted(pointer)?;
        let members = self.tree.pointer_mut(parent)?.as_object_mut()?;
        let last = unescaped(last);
        members.get(&last)?;
        let rename = |(old, value)| if old == last { (name.to_owned(), value) } else { (old, value) };
        *members = std::mem::take(members).into_iter().map(rename).collect();
        Some(format!("{parent}/{}", escaped(name)))
    }

    /// Edits the bytes of the record as they will be written, the line break after it left out. The tree is no longer
    /// looked at after that.
    pub fn edit_text(&mut self, edit: impl FnOnce(&mut Vec<u8>)) {
        let mut text = self.text();
        edit(&mut text);
        self.text = Some(text);
    }

    /// Adds a record that is written after this one; gives its number, for [`FaultLocation::beside`].
    pub fn add_beside(&mut self, record: Value) -> u64 {
        self.beside.push(record);
        self.beside.len() as u64
    }

    /// The bytes of the record, without a line break after it.
    pub fn text(&self) -> Vec<u8> {
        if let Some(text) = &self.text {
            return text.clone();
        }
        let mut text = self.tree.to_string();
        for (number, raw) in self.raw.iter().enumerate() {
            text = text.replacen(&Value::from(mark(number)).to_string(), raw, 1);
        }
        text.into_bytes()
    }

    /// The bytes of the record and of those beside it, in the order in which they are written.
    pub fn texts(&self) -> Vec<Vec<u8>> {
        let beside = self.beside.iter().map(|record| record.to_string().into_bytes());
        std::iter::once(self.text()).chain(beside).collect()
    }
}

/// What stands in the tree for raw text: no record has such a string.
fn mark(number: usize) -> String {
    format!("\u{1}{number}\u{1}")
}

/// The way to the parent, and the last part.
fn parted(pointer: &str) -> Option<(&str, &str)> {
    pointer.rsplit_once('/')
}

fn unescaped(part: &str) -> String {
    part.replace("~1", "/").replace("~0", "~")
}

/// A name as a part of a JSON Pointer.
pub(super) fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}
