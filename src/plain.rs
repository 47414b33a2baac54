//! Plain text of a record: what the fast road reads, written from what the slow road understood.
//!
//! Numbers lose exotic spellings, texts lose needless escapes, and what the format does not know or what is damaged is
//! left out; what others add stays as it is written. So the rules see one kind of record only, whichever way its exporter writes JSON.

use oar_schema::describe::{Described, Object, Type};
use oar_schema::number::Hundredths;
use oar_schema::record::Record;

use crate::json::{NodeId, Tree, decimal, decode};

/// Writes the record in `tree` without its damaged sections, given as bits in the order of the record's fields.
pub(crate) fn write(tree: &Tree, bytes: &[u8], damaged: u32, out: &mut String) {
    out.clear();
    let mut writer = Writer { tree, bytes, out };
    writer.object(tree.root(), Record::OBJECT, damaged);
}

struct Writer<'a> {
    tree: &'a Tree,
    bytes: &'a [u8],
    out: &'a mut String,
}

impl Writer<'_> {
    fn object(&mut self, node: NodeId, object: &'static Object, without: u32) {
        self.out.push('{');
        let mut written = 0u32;
        for member in self.tree.children(node) {
            let (start, end) = self.tree.node(member).key.unwrap_or_default();
            let name = decode(&self.bytes[start as usize..end as usize]);
            let Some(place) = object.fields.iter().position(|field| field.name == name) else { continue };
            let field = &object.fields[place];
            if (written | without) >> place & 1 == 1 {
                continue;
            }
            if written != 0 {
                self.out.push(',');
            }
            written |= 1 << place;
            self.out.extend(["\"", field.name, "\":"]);
            self.value(member, &field.ty);
        }
        self.out.push('}');
    }

    fn list(&mut self, node: NodeId, of: &'static Type) {
        self.out.push('[');
        for (index, entry) in self.tree.children(node).enumerate() {
            if index > 0 {
                self.out.push(',');
            }
            self.value(entry, of);
        }
        self.out.push(']');
    }

    fn value(&mut self, node: NodeId, ty: &'static Type) {
        let token = self.tree.node(node).token(self.bytes);
        match ty {
            Type::Object(object) => self.object(node, object, 0),
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
            _ => self.out.push_str(&serde_json::Value::from(decode(token)).to_string()),
        }
    }
}
