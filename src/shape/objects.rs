//! Objects and lists.

use oar_schema::describe::{Bounds, Field, Object, Type};
use oar_schema::record::is_reverse_domain;

use super::{Fault, Walk};
use crate::finding::args;
use crate::json::{Kind, NodeId};
use crate::nearest::nearest;
use crate::rules::shape;

impl Walk<'_> {
    pub(super) fn object(&mut self, node: NodeId, object: &'static Object) {
        if self.tree.node(node).kind != Kind::Object {
            return self.wrong_type(node, "an object");
        }
        let members: Vec<(NodeId, String)> = self.tree.children(node).map(|id| (id, self.name(id))).collect();
        let mut meant: Vec<&str> = Vec::new();
        for (member, name) in &members {
            if self.skip.contains(member) {
                continue;
            }
            match object.field(name) {
                Some(field) => self.value(*member, &field.ty),
                None => meant.extend(self.unknown_field(*member, name, object, &members)),
            }
        }
        let there = |field: &&Field| members.iter().any(|(_, name)| name == field.name) || meant.contains(&field.name);
        for field in object.fields.iter().filter(|field| field.required && !there(field)) {
            self.fault(&shape::missing_field, node, args!["field" = field.name, "object" = object.name]);
        }
    }

    /// Notes an unknown field; gives the absent field that it was probably meant to be.
    fn unknown_field(
        &mut self,
        member: NodeId,
        name: &str,
        object: &'static Object,
        members: &[(NodeId, String)],
    ) -> Option<&'static str> {
        let absent = object.fields.iter().map(|field| field.name);
        let absent = absent.filter(|field| !members.iter().any(|(_, name)| name == field));
        let meant = nearest(name, absent);
        let mut args = args![];
        if is_plain(name) {
            args.push(("field", name.to_owned().into()));
        }
        args.extend(meant.map(|meant| ("nearest", meant.into())));
        if object.field("extensions").is_some() {
            args.push(("extensible", object.name.into()));
        }
        self.faults.push(Fault { rule: &shape::unknown_field, node: member, on_name: true, args });
        meant
    }

    pub(super) fn list(&mut self, node: NodeId, of: &'static Type, bounds: Bounds) {
        if self.tree.node(node).kind != Kind::Array {
            return self.wrong_type(node, "a list");
        }
        let entries: Vec<NodeId> = self.tree.children(node).collect();
        if !bounds.hold(entries.len() as i64) {
            let args = args!["count" = entries.len(), "least" = bounds.least, "most" = bounds.most];
            self.fault(&shape::wrong_count, node, args);
        }
        for entry in entries {
            self.value(entry, of);
        }
    }

    pub(super) fn extensions(&mut self, node: NodeId) {
        if self.tree.node(node).kind != Kind::Object {
            return self.wrong_type(node, "an object");
        }
        let members: Vec<NodeId> = self.tree.children(node).collect();
        for member in members {
            if !is_reverse_domain(self.name(member).as_bytes()) && !self.skip.contains(&member) {
                self.faults.push(Fault {
                    rule: &shape::not_a_reverse_domain,
                    node: member,
                    on_name: true,
                    args: args![],
                });
            }
        }
    }
}

/// Whether a name looks like the name of a field, and so may be told; others could be anything.
fn is_plain(name: &str) -> bool {
    name.len() <= 40
        && !name.is_empty()
        && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"_-.".contains(&byte))
}
