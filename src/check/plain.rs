//! Plain text of a record: what the fast path reads, written from what the slow path understood.
//!
//! Unusual spellings of numbers and unnecessary escapes are normalised. Unknown and unreadable data is left out; extensions stay
//! as written. So the rules see only one kind of record, whatever the style of its exporter. A missing required field of a
//! section, or a missing required list, gets a substitute: rules that need the field do not run.

use oar_schema::describe::{Described, Field, Object, Type};
use oar_schema::number::Hundredths;
use oar_schema::record::{Record, VERSION};
use oar_schema::time::Date;

use crate::check::shape::{Reading, can_be_empty};
use crate::json::{NodeId, Tree, decimal, decode};

/// The age assumed where the year of birth cannot be read, in years: an adult's.
const AGE: i32 = 30;
/// A time zone that does not exist.
const NO_ZONE: &str = "\"Etc/Unknown\"";

/// Writes the record in `tree` as it is read.
pub(crate) fn write(tree: &Tree, bytes: &[u8], reading: &Reading, out: &mut String) {
    out.clear();
    let mut writer = PlainWriter { tree, bytes, reading, out };
    writer.object(tree.root(), Record::OBJECT, true);
}

struct PlainWriter<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    reading: &'a Reading,
    out: &'a mut String,
}

impl PlainWriter<'_> {
    /// Writes an object; `whole` when it must have all required fields.
    fn object(&mut self, node: NodeId, object: &'static Object, whole: bool) {
        self.out.push('{');
        let mut written = 0u32;
        for member in self.tree.children(node) {
            let Some(place) = self.place(node, member, object) else { continue };
            if written >> place & 1 == 1 || self.reading.leaves_out(member) {
                continue;
            }
            self.name(&mut written, place, object);
            self.value(member, &object.fields[place].ty);
        }
        let needed = |field: &Field| field.required && (whole || can_be_empty(field));
        let missing = |place: &usize| written >> place & 1 == 0 && needed(&object.fields[*place]);
        let missing: Vec<usize> = (0..object.fields.len()).filter(missing).collect();
        for place in missing {
            self.name(&mut written, place, object);
            self.stand_in(&object.fields[place]);
        }
        self.out.push('}');
    }

    /// The index of the field that a member is read as.
    fn place(&self, node: NodeId, member: NodeId, object: &Object) -> Option<usize> {
        let (start, end) = self.tree.node(member).key.unwrap_or_default();
        let name = decode(&self.bytes[start as usize..end as usize]);
        let name = self.reading.name(node, member).unwrap_or(&name);
        object.fields.iter().position(|field| field.name == name)
    }

    fn name(&mut self, written: &mut u32, place: usize, object: &Object) {
        if *written != 0 {
            self.out.push(',');
        }
        *written |= 1 << place;
        self.out.extend(["\"", object.fields[place].name, "\":"]);
    }

    fn list(&mut self, node: NodeId, of: &'static Type) {
        self.out.push('[');
        let entries = self.tree.children(node).filter(|entry| !self.reading.leaves_out(*entry));
        for (index, entry) in entries.enumerate() {
            if index > 0 {
                self.out.push(',');
            }
            self.value(entry, of);
        }
        self.out.push(']');
    }

    fn value(&mut self, node: NodeId, ty: &'static Type) {
        if let Some(text) = self.reading.text(node) {
            return self.out.push_str(text);
        }
        let token = self.tree.node(node).token(self.bytes);
        match ty {
            Type::Object(object) => self.object(node, object, self.tree.node(node).parent == Some(self.tree.root())),
            Type::List(of, _) => self.list(node, of),
            Type::Whole(_) | Type::Tooth => {
                let value = decimal(token).and_then(|number| number.as_integer());
                self.out.push_str(&value.unwrap_or_default().to_string());
            }
            Type::Hundredths(_) => {
                let value = decimal(token).and_then(|number| number.as_hundredths());
                self.out.push_str(&Hundredths(value.unwrap_or_default() as i32).to_string());
            }
            Type::Truth => self.out.push_str(if token == b"true" { "true" } else { "false" }),
            Type::Extensions if token.starts_with(b"{") => self.out.push_str(&String::from_utf8_lossy(token)),
            Type::Extensions => self.out.push_str("{}"),
            _ => self.text(token),
        }
    }

    /// Writes a text; one without an escape is plain as it is.
    fn text(&mut self, token: &[u8]) {
        match std::str::from_utf8(token) {
            Ok(text) if memchr::memchr(b'\\', token).is_none() => self.out.push_str(text),
            _ => self.out.push_str(&serde_json::Value::from(decode(token)).to_string()),
        }
    }

    /// A value for a field that could not be read, in keeping with the days of the record.
    fn stand_in(&mut self, field: &Field) {
        let (first, last) = self.reading.days.unwrap_or((Date::EPOCH, Date::EPOCH));
        let text = match field.ty {
            Type::Whole(bounds) if field.name == "birth_year" => {
                (first.civil().0 - AGE).clamp(bounds.least as i32, bounds.most as i32).to_string()
            }
            Type::Date => format!("\"{last}\""),
            Type::Instant => format!("\"{}T12:00:00+00:00\"", Date(last.0 + 1)),
            Type::Version => format!("\"{VERSION}\""),
            Type::Constant(text) => format!("\"{text}\""),
            Type::Word(words) => format!("\"{}\"", words.words[0].word),
            Type::List(..) => "[]".to_owned(),
            Type::Object(object) => return self.stand_in_object(object),
            Type::Id => "\"unknown\"".to_owned(),
            Type::TimeZone => NO_ZONE.to_owned(),
            _ => field.example.to_owned(),
        };
        self.out.push_str(&text);
    }

    fn stand_in_object(&mut self, object: &'static Object) {
        self.out.push('{');
        let mut written = 0;
        for place in (0..object.fields.len()).filter(|place| object.fields[*place].required) {
            self.name(&mut written, place, object);
            self.stand_in(&object.fields[place]);
        }
        self.out.push('}');
    }
}
