//! Objects and lists.

use std::collections::BTreeSet;

use oar_schema::describe::{Bounds, Field, Object, Type};
use oar_schema::record::is_reverse_domain;

use super::reading::PathStep;
use super::readings::outline;
use super::values::listed;
use super::{Fault, Walk, meant, told};
use crate::check::args::{Args, args};
use crate::check::rules::shape;
use crate::json::{Kind, NodeId, Problem};
use crate::nearest::nearest;

/// The name of a member.
enum ReadName {
    Known(&'static Field),
    Unknown(String),
}

impl Walk<'_> {
    pub(super) fn object(&mut self, node: NodeId, object: &'static Object) {
        if self.tree.node(node).kind != Kind::Object {
            self.wrong_type(node, "an object");
            if let Some(fault) = self.faults.last_mut() {
                fault.args.push(("outline", outline(object).into()));
            }
            return self.lose(node);
        }
        let mut absent: Vec<&'static str> = object.fields.iter().map(|field| field.name).collect();
        let members: Vec<(NodeId, ReadName)> = self.members(node, object, &mut absent);
        let (mut meant, mut repeated): (BTreeSet<&str>, Vec<&str>) = (BTreeSet::new(), Vec::new());
        let first_fault = self.faults.len();
        for (member, name) in &members {
            match name {
                ReadName::Known(field) if self.is_repeated(*member) => {
                    if !repeated.contains(&field.name) {
                        repeated.push(field.name);
                        self.repeated(*member, field, &members);
                    }
                }
                ReadName::Known(field) => self.member(*member, field),
                ReadName::Unknown(_) if self.skip.binary_search(member).is_ok() => {}
                ReadName::Unknown(name) => meant.extend(self.unknown_field(*member, name, object, &absent)),
            }
        }
        let lacks = |field: &&Field| absent.contains(&field.name) && !meant.contains(field.name);
        let missing: Vec<&Field> = object.fields.iter().filter(|field| field.required && lacks(field)).collect();
        self.suggest_missing(first_fault, node, &missing);
        for field in missing {
            self.fault(&shape::missing_field, node, missing_field(field, object));
            self.lose_missing(node, field);
        }
    }

    /// The members of an object; takes the names that are there out of `absent`.
    fn members(
        &self,
        node: NodeId,
        object: &'static Object,
        absent: &mut Vec<&'static str>,
    ) -> Vec<(NodeId, ReadName)> {
        let name = |member: NodeId| {
            let name = self.name(member);
            let Some(field) = object.field(&name) else { return (member, ReadName::Unknown(name.into_owned())) };
            absent.retain(|absent| *absent != field.name);
            (member, ReadName::Known(field))
        };
        self.tree.children(node).map(name).collect()
    }

    fn member(&mut self, member: NodeId, field: &'static Field) {
        self.held.push(PathStep::Member(Some(member), field));
        self.field = Some(field);
        self.value(member, &field.ty);
        self.held.pop();
    }

    fn is_repeated(&self, member: NodeId) -> bool {
        self.tree
            .problems()
            .binary_search_by_key(&(member, Problem::RepeatedName), |&(problem, node)| (node, problem))
            .is_ok()
    }

    /// A field is there more than once: it is read when it has the same value each time, and else no one of them is.
    fn repeated(&mut self, member: NodeId, field: &'static Field, members: &[(NodeId, ReadName)]) {
        let is_twin = |name: &ReadName| matches!(name, ReadName::Known(other) if other.name == field.name);
        let twins: Vec<NodeId> = members.iter().filter(|(_, name)| is_twin(name)).map(|(id, _)| *id).collect();
        if twins.iter().all(|twin| self.token(*twin) == self.token(member)) {
            return twins[1..].iter().for_each(|twin| self.leave_out(*twin));
        }
        for twin in twins {
            self.held.push(PathStep::Member(Some(twin), field));
            self.lose(member);
            self.held.pop();
        }
    }

    /// Adds to unknown fields of an object, from `first_fault` on, which fields are missing there.
    fn suggest_missing(&mut self, first_fault: usize, node: NodeId, missing: &[&Field]) {
        if missing.is_empty() {
            return;
        }
        let names = missing.iter().map(|field| field.name).collect::<Vec<_>>().join(", ");
        for fault in &mut self.faults[first_fault..] {
            let unknown = fault.rule.name == "unknown_field" && self.tree.node(fault.node).parent == Some(node);
            if unknown && !fault.args.iter().any(|(name, _)| *name == "nearest") {
                fault.args.push(("missing", names.clone().into()));
            }
        }
    }

    /// Notes an unknown field; gives the field, among the absent ones, that it was probably meant to be. Where the name differs by case,
    /// underscores or hyphens only, its value is looked at as that field's.
    fn unknown_field(
        &mut self,
        member: NodeId,
        name: &str,
        object: &'static Object,
        absent: &[&'static str],
    ) -> Option<&'static str> {
        let absent = if name.len() <= told::NAME { absent } else { &[] };
        let same = meant::same(name, absent.iter().copied());
        let birth = object.name == "Patient" && meant::is_birth(name);
        let who = same.is_none() && (birth || meant::tells_who(name));
        let meant = if who { None } else { same.or_else(|| meant::field(name, object, absent)) };
        let mut args = args!["object" = told::spaced(object)];
        args.extend(told::name(name).map(|name| ("name", name.to_owned().into())));
        if let Some(meant) = meant {
            args.push(("nearest", meant.into()));
        } else {
            args.extend(elsewhere(name, object, who, birth));
        }
        self.faults.push(Fault { rule: &shape::unknown_field, node: member, on_name: true, args });
        let parent = self.tree.node(member).parent.unwrap_or(member);
        if let Some(field) = same.and_then(|name| object.field(name)) {
            self.read_as_field(parent, member, field);
            self.member(member, field);
            return Some(field.name);
        }
        let meant = if birth && absent.contains(&"birth_year") { Some("birth_year") } else { meant };
        if let Some(field) = meant.and_then(|name| object.field(name)) {
            self.lose_missing(parent, field);
        }
        meant
    }

    pub(super) fn list(&mut self, node: NodeId, of: &'static Type, bounds: Bounds) {
        if self.tree.node(node).kind != Kind::Array {
            self.wrong_type(node, "a list");
            return self.lose(node);
        }
        let entries: Vec<NodeId> = self.tree.children(node).collect();
        if !bounds.hold(entries.len() as i64) {
            self.fault(&shape::wrong_count, node, wrong_count(entries.len(), bounds));
            self.lose(node);
        }
        let first_fault = self.faults.len();
        let fixed = bounds.least == bounds.most;
        for entry in &entries {
            self.held.push(PathStep::Entry { node: *entry, fixed });
            self.value(*entry, of);
            self.held.pop();
        }
        if matches!(of, Type::Tooth) && entries.len() > 1 {
            self.convert_list(&entries, first_fault);
        }
    }

    pub(super) fn extensions(&mut self, node: NodeId) {
        if self.tree.node(node).kind != Kind::Object {
            self.wrong_type(node, "an object");
            return self.lose(node);
        }
        let members: Vec<NodeId> = self.tree.children(node).collect();
        for member in members {
            if !is_reverse_domain(self.name(member).as_bytes()) && self.skip.binary_search(&member).is_err() {
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

/// What to do with a field that belongs somewhere else or nowhere.
fn elsewhere(name: &str, object: &Object, who: bool, birth: bool) -> Args {
    let all = || object.fields.iter().map(|field| field.name).filter(|_| name.len() <= told::NAME);
    let twice = || meant::same(name, all()).or_else(|| nearest(name, all()));
    if birth {
        return args!["year_only" = "birth_year"];
    }
    if who {
        return args!["person" = "who the patient is"];
    }
    if let Some(field) = told::field(name) {
        return args!["field" = field.name, "home" = told::homes(name)];
    }
    match twice() {
        Some(twice) => args!["twice" = twice],
        None if object.name == "Patient" => args!["person" = "who the patient is"],
        None if object.field("extensions").is_some() => args!["extensions" = "extensions"],
        None => args![],
    }
}

fn missing_field(field: &Field, object: &Object) -> Args {
    let mut args = args!["field" = field.name, "object" = told::spaced(object)];
    match field.ty {
        Type::Word(vocabulary) => args.push(("words", listed(vocabulary).into())),
        Type::Constant(text) => args.push(("example", format!("\"{text}\"").into())),
        Type::Version => args.push(("example", format!("\"{}\"", oar_schema::record::VERSION).into())),
        Type::Object(object) => args.push(("outline", outline(object).into())),
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
