//! Records that the generator wrote, with one to three slips in them, and what a repair may change of them.
//!
//! A repair is wrong to change any number: it may take quotes off one, and write one plainly (`7.0` as `7`), no more.
//! What else the slips did not touch has to be as it was, too. Values are compared place by place. Only where a repair put a list
//! in order, they are compared as collections: every untouched object and value has to be there as often as before, under
//! the same names.

mod bases;
mod make;
mod tree;

use std::collections::BTreeMap;

use oar_generators::random::{RandomLayer, RandomStream};
use open_aligner_record::Checker;
use open_aligner_record::repair::{Fix, Repairer};
use serde_json::Value;

pub use bases::Bases;
use tree::{Node, TEETH};

/// What came of many records.
#[derive(Debug, Default)]
pub struct Counts {
    /// Records that were looked at.
    pub records: u64,
    /// Those that a repair changed.
    pub repaired: u64,
    /// Those of which it put a list in order.
    pub sorted: u64,
    /// Those with a slip where a tooth belongs.
    pub with_tooth: u64,
    /// What was wrong, each with the number of the record.
    pub problems: Vec<String>,
}

/// Makes and repairs `count` records, of which every `step`-th from `first` on is this caller's.
pub fn run(bases: &Bases, first: u64, step: u64, count: u64) -> Counts {
    let (mut repairer, mut checker, mut counts) =
        (Repairer::new(), Checker::new().without_excerpts(), Counts::default());
    for number in (first..count).step_by(step as usize) {
        let mut stream = RandomStream::new(10, number, RandomLayer::Faults);
        let mut record = bases.of(number).clone();
        for _ in 0..stream.whole(1, 3) {
            make::slip(&mut record, &mut stream);
        }
        let problem = problem(&record, &mut repairer, &mut checker, &mut counts);
        counts.problems.extend(problem.map(|problem| format!("record {number}: {problem}")));
    }
    counts
}

fn problem(record: &Node, repairer: &mut Repairer, checker: &mut Checker, counts: &mut Counts) -> Option<String> {
    let text = record.text();
    counts.records += 1;
    if has_tooth_slip(record, "") {
        counts.with_tooth += 1;
        if checker.check(text.as_bytes()).iter().any(|found| found.rule.name == "other_notation") {
            return Some("a few slips are taken for another notation".to_owned());
        }
    }
    let done = repairer.record(text.as_bytes());
    let after = Node::parse(done.text.as_deref()?);
    counts.repaired += 1;
    if done.fixes.contains_key(&Fix::Order) {
        counts.sorted += 1;
        return lost(record, &after);
    }
    changed(record, &after, "")
}

fn has_tooth_slip(node: &Node, name: &str) -> bool {
    match node {
        Node::Leaf { touched, .. } => *touched && TEETH.contains(&name),
        Node::List(entries) => entries.iter().any(|entry| has_tooth_slip(entry, name)),
        Node::Object(members) => members.iter().any(|(name, member)| has_tooth_slip(member, name)),
    }
}

/// The first place where a value is not what it has to be.
fn changed(before: &Node, after: &Node, at: &str) -> Option<String> {
    match (before, after) {
        (Node::Leaf { text, touched }, Node::Leaf { text: after, .. }) => {
            (!is_kept(text, *touched, after)).then(|| format!("{at} was {text} and is {after}"))
        }
        (Node::List(entries), Node::List(after)) if entries.len() == after.len() => {
            let mut pairs = entries.iter().zip(after).enumerate();
            pairs.find_map(|(place, (entry, after))| changed(entry, after, &format!("{at}/{place}")))
        }
        (Node::Object(members), Node::Object(after)) => {
            (0..members.len()).find_map(|place| changed_member(members, place, after, at))
        }
        _ => Some(format!("{at} is of another kind or length")),
    }
}

/// The same for a member of an object: it may be gone when it was null, or when an earlier one says the same.
fn changed_member(members: &[(String, Node)], place: usize, after: &[(String, Node)], at: &str) -> Option<String> {
    let (name, member) = &members[place];
    let at = format!("{at}/{name}");
    let earlier = members[..place].iter().filter(|(other, _)| other == name).count();
    let mut alike = after.iter().filter(|(other, _)| other == name);
    match alike.clone().nth(earlier).or_else(|| alike.next_back().filter(|_| earlier > 0)) {
        Some((_, after)) => changed(member, after, &at),
        None => (!member.is_null()).then(|| format!("{at} is gone")),
    }
}

/// Whether a value is what it has to be: as it was, or the same number without quotes or written in another way. Other
/// values that a slip touched may be anything.
fn is_kept(before: &str, touched: bool, after: &str) -> bool {
    let [before, after] = [before, after].map(|text| serde_json::from_str::<Value>(text).expect("every value is JSON"));
    let number = |value: &Value| match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => text.parse().ok(),
        _ => None,
    };
    before == after
        || match number(&before) {
            Some(value) => touched && after.is_number() && number(&after) == Some(value),
            None => touched,
        }
}

/// What is there as often as before no longer, of all that no slip touched.
fn lost(before: &Node, after: &Node) -> Option<String> {
    let mut counts: BTreeMap<(String, String), i64> = BTreeMap::new();
    untouched(before, "", &mut counts, 1);
    untouched(after, "", &mut counts, -1);
    let lost = counts.iter().find(|(_, count)| **count > 0);
    lost.map(|((path, text), _)| format!("under {path} there is no longer {text}"))
}

/// Adds `one` for each untouched object and value.
fn untouched(node: &Node, path: &str, counts: &mut BTreeMap<(String, String), i64>, one: i64) {
    if !node.is_touched() && !path.is_empty() && !matches!(node, Node::List(_)) {
        let value: Value = serde_json::from_str(&node.text()).expect("every value is JSON");
        *counts.entry((path.to_owned(), value.to_string())).or_default() += one;
    }
    match node {
        Node::Leaf { .. } => {}
        Node::List(entries) => {
            for entry in entries {
                untouched(entry, &format!("{path}/"), counts, one);
            }
        }
        Node::Object(members) => {
            for (name, member) in members {
                untouched(member, &format!("{path}/{name}"), counts, one);
            }
        }
    }
}
