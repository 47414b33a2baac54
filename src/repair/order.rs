//! Lists in chronological order.
//!
//! An entry out of order has two explanations: it was put in the wrong position, or its date was mistyped. Entries are moved
//! only when the record rules out the second one.

mod decide;

use oar_schema::time::{Date, Instant};

use super::edits::Edits;
use super::{Bench, Fix};
use crate::check::finding::Finding;
use crate::json::{Kind, NodeId, Tree, decode};
use decide::{ListEntry, Moment, in_order};

/// A list that the format keeps in chronological order.
pub(super) struct TimeList {
    name: &'static str,
    /// The field with the day or the instant.
    field: &'static str,
    /// The rule that checks its order.
    pub(super) rule: &'static str,
    /// The fields that two entries of one moment have to share for their order to matter; empty if it always matters.
    of_one: &'static [&'static str],
}

const fn list(
    name: &'static str,
    field: &'static str,
    rule: &'static str,
    of_one: &'static [&'static str],
) -> TimeList {
    TimeList { name, field, rule, of_one }
}

pub(super) const LISTS: &[TimeList] = &[
    list("assessments", "on", "list_out_of_order", &[]),
    list("deliveries", "on", "delivery_out_of_order", &["series"]),
    list("wear_periods", "from", "worn_out_of_order", &[]),
    list("wear_log", "on", "log_out_of_order", &["source"]),
    list("check_ins", "at", "check_in_out_of_order", &[]),
    list("attachment_events", "on", "list_out_of_order", &["series", "attachment"]),
    list("appointments", "on", "visit_out_of_order", &[]),
    list("comfort", "on", "list_out_of_order", &[]),
];

const UNREADABLE: &str = "a date in the list is invalid, so the order is not certain";
const NEW_FINDINGS: &str = "sorted, the list would contradict other parts of the record, so a date may be mistyped";

/// Sorts one of the lists that the findings name.
pub(super) fn fix(bench: &mut Bench<'_>) -> Option<Vec<u8>> {
    for list in LISTS {
        let pointer = format!("/{}", list.name);
        let inside = format!("{pointer}/");
        let told = || bench.findings.iter().filter(|finding| finding.place.pointer.starts_with(&inside));
        if !told().any(|finding| finding.rule.name == list.rule) {
            continue;
        }
        let doubted = told().any(|finding| finding.rule.name != list.rule && ends_in(finding, list.field));
        let sorted = if doubted { Err(UNREADABLE) } else { sorted(bench.tree, bench.bytes, list) };
        let tried = sorted.and_then(|text| bench.judged(text, list.rule, NEW_FINDINGS));
        let done = bench.noted(tried, Fix::Order, 1, &pointer);
        if done.is_some() {
            return done;
        }
    }
    None
}

fn ends_in(finding: &Finding, field: &str) -> bool {
    finding.place.pointer.rsplit('/').next() == Some(field)
}

/// The text with the list in order.
fn sorted(tree: &Tree, bytes: &[u8], list: &TimeList) -> Result<Vec<u8>, &'static str> {
    let node = tree.member(bytes, tree.root(), list.name).ok_or(UNREADABLE)?;
    let nodes: Vec<NodeId> = tree.children(node).collect();
    let entries: Option<Vec<ListEntry>> = nodes.iter().map(|entry| read(tree, bytes, *entry, list)).collect();
    let order = in_order(&entries.ok_or(UNREADABLE)?)?;
    let mut edits = Edits::default();
    for (place, from) in order.into_iter().enumerate().filter(|(place, from)| place != from) {
        let node = tree.node(nodes[place]);
        edits.replace(node.start as usize, node.end as usize, tree.node(nodes[from]).token(bytes));
    }
    edits.applied(bytes).ok_or(UNREADABLE)
}

/// The values on which the order of an entry depends.
fn read(tree: &Tree, bytes: &[u8], entry: NodeId, list: &TimeList) -> Option<ListEntry> {
    let member =
        |name: &str| tree.member(bytes, entry, name).map(|node| (tree.node(node).kind, tree.node(node).token(bytes)));
    let moment = |name: &str| match member(name)? {
        (Kind::String, token) => moment(&decode(token)),
        _ => None,
    };
    let of_one =
        list.of_one.iter().map(|name| member(name).map_or_else(Vec::new, |(_, token)| token.to_vec())).collect();
    let to = if list.name == "wear_periods" { moment("to").map(|(_, day)| day) } else { None };
    let daily = matches!(list.name, "wear_log" | "comfort");
    let (moment, day) = moment(list.field)?;
    Some(ListEntry { moment, day, to, daily, of_one })
}

/// The moment in a text, and the day that is written in it.
fn moment(text: &str) -> Option<(Moment, Date)> {
    if let Some(day) = Date::parse(text.as_bytes()) {
        return Some(((i64::from(day.0) * 86_400, 0), day));
    }
    let at = Instant::parse(text.as_bytes())?;
    Some(((at.seconds, at.nanoseconds), at.written_date()))
}
