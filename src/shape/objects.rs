//! Objects and lists.

use oar_schema::describe::{Bounds, Field, Object, Type};
use oar_schema::record::is_reverse_domain;

use super::values::listed;
use super::{Fault, Walk, told};
use crate::finding::{Args, args};
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
                Some(field) => {
                    self.field = Some(field);
                    self.value(*member, &field.ty);
                }
                None => meant.extend(self.unknown_field(*member, name, object, &members)),
            }
        }
        let there = |field: &&Field| members.iter().any(|(_, name)| name == field.name) || meant.contains(&field.name);
        for field in object.fields.iter().filter(|field| field.required && !there(field)) {
            self.fault(&shape::missing_field, node, missing(field, object));
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
        let mut args = args!["object" = told::spaced(object)];
        args.extend(told::name(name).map(|name| ("name", name.to_owned().into())));
        if let Some(meant) = meant {
            args.push(("nearest", meant.into()));
            self.meant(member, meant);
        } else if let Some(field) = told::field(name) {
            args.extend(args!["field" = field.name, "home" = told::homes(name)]);
        } else if let Some(twice) = nearest(name, object.fields.iter().map(|field| field.name)) {
            args.push(("twice", twice.into()));
        } else if object.name == "Patient" {
            args.push(("person", "who the patient is".into()));
        } else if object.field("extensions").is_some() {
            args.push(("extensions", "extensions".into()));
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
            self.fault(&shape::wrong_count, node, wrong_count(entries.len(), bounds));
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

fn missing(field: &Field, object: &Object) -> Args {
    let mut args = args!["field" = field.name, "object" = told::spaced(object)];
    match field.ty {
        Type::Word(vocabulary) => args.push(("words", listed(vocabulary).into())),
        Type::Constant(text) => args.push(("example", format!("\"{text}\"").into())),
        Type::Version => args.push(("example", format!("\"{}\"", oar_schema::record::VERSION).into())),
        Type::List(_, bounds) if bounds.least == 0 => args.push(("list", "an empty list".into())),
        _ if !field.example.is_empty() => args.push(("example", field.example.into())),
        _ => {}
    }
    args
}

fn wrong_count(count: usize, bounds: Bounds) -> Args {
    let mut args = args!["count" = count];
    match (bounds.least == bounds.most, count as i64 > bounds.most) {
        (true, _) => args.push(("exactly", bounds.most.into())),
        (false, true) => args.push(("most", bounds.most.into())),
        (false, false) => args.push(("least", bounds.least.into())),
    }
    args
}
