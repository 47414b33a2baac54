//! Leaving out what the finding does not need (Zeller and Hildebrandt, Simplifying and isolating failure-inducing input,
//! IEEE Transactions on Software Engineering 28, 2002, 183–200), level by level of the tree.

use oar_schema::describe::Type;
use oar_schema::record::State;
use oar_schema::words::Words;

use super::trial::Trial;
use super::value::{Leaf, Value, Way};

/// Times that everything is gone through; the first pass does nearly all of it.
const PASSES: usize = 4;

/// Leaves out what was worn, if the finding stays with some other state of the treatment: a state and what was worn hold
/// each other in place.
pub(super) fn settle(value: &mut Value, trial: &mut Trial<'_>) {
    for word in State::VOCABULARY.words {
        let mut settled = value.clone();
        let Value::Object(members) = &mut settled else { return };
        for (name, member) in members {
            match (name.as_str(), member) {
                ("wear_periods", Value::List(worn)) => worn.clear(),
                ("status", Value::Object(status)) => {
                    let state = status.iter_mut().find(|(name, _)| name == "state");
                    if let Some((_, value)) = state {
                        *value = Value::Text(word.word.to_owned());
                    }
                }
                _ => {}
            }
        }
        let pointer = trial.pointer.clone();
        if settled.count() < value.count() && trial.holds(&settled, &pointer) {
            *value = settled;
            return;
        }
    }
}

/// Leaves out values while the finding stays.
pub(super) fn reduce(value: &mut Value, trial: &mut Trial<'_>) {
    for _ in 0..PASSES {
        let before = value.count();
        level(value, &mut Vec::new(), trial);
        if value.count() == before || trial.budget.is_spent() {
            return;
        }
    }
}

/// Leaves out what one list or object holds, then what is left in it does.
fn level(value: &mut Value, way: &mut Way, trial: &mut Trial<'_>) {
    leave_out(value, way, trial);
    let count = value.get(way).map_or(0, Value::len);
    for place in 0..count {
        way.push(place);
        level(value, way, trial);
        way.pop();
    }
}

/// Tries to leave out all, then halves, quarters … and at last single values.
fn leave_out(value: &mut Value, way: &Way, trial: &mut Trial<'_>) {
    let mut count = value.get(way).map_or(0, Value::len);
    let mut size = count;
    while size > 0 {
        let mut start = 0;
        while start < count {
            let end = (start + size).min(count);
            if let Some(smaller) = without(value, way, start..end, trial) {
                *value = smaller;
                count -= end - start;
            } else {
                start = end;
            }
        }
        size /= 2;
    }
}

/// The document without some values, if it still gives the finding.
fn without(value: &Value, way: &Way, range: std::ops::Range<usize>, trial: &mut Trial<'_>) -> Option<Value> {
    if trial.budget.is_spent() {
        return None;
    }
    let pointer = moved(value, way, &range, &trial.pointer)?;
    let mut smaller = value.clone();
    match smaller.get_mut(way)? {
        Value::Object(members) => drop(members.drain(range)),
        Value::List(entries) => drop(entries.drain(range)),
        _ => return None,
    }
    trial.holds(&smaller, &pointer).then_some(smaller)
}

/// Where a pointer leads once entries of a list are left out; none when it leads to one of them.
fn moved(value: &Value, way: &Way, range: &std::ops::Range<usize>, pointer: &str) -> Option<String> {
    let list = value.pointer(way);
    let rest = match value.get(way)? {
        Value::List(_) => pointer.strip_prefix(&list).and_then(|rest| rest.strip_prefix('/')),
        _ => None,
    };
    let Some(rest) = rest else { return Some(pointer.to_owned()) };
    let (place, after) =
        rest.split_once('/').map_or((rest, String::new()), |(place, after)| (place, format!("/{after}")));
    match place.parse::<usize>().ok()? {
        place if range.contains(&place) => None,
        place if place >= range.end => Some(format!("{list}/{}{after}", place - range.len())),
        place => Some(format!("{list}/{place}{after}")),
    }
}

/// Puts the simplest values in place of those that the finding does not need as they are.
pub(super) fn simplify(value: &mut Value, trial: &mut Trial<'_>) {
    for Leaf { way, ty, field } in value.leaves() {
        let Some(ty) = ty.filter(|_| field != "birth_year") else { continue };
        let Some(now) = value.get(&way).cloned() else { continue };
        for simple in simplest(ty) {
            if simple == now || trial.budget.is_spent() {
                break;
            }
            if !fits(&now, &simple) {
                continue;
            }
            let Some(spot) = value.get_mut(&way) else { break };
            *spot = simple;
            let pointer = trial.pointer.clone();
            if trial.holds(value, &pointer) {
                break;
            }
            if let Some(spot) = value.get_mut(&way) {
                *spot = now.clone();
            }
        }
    }
}

/// Whether both are of one kind.
fn fits(now: &Value, simple: &Value) -> bool {
    std::mem::discriminant(now) == std::mem::discriminant(simple)
}

/// The simplest values of a type, the simplest first.
fn simplest(ty: &Type) -> Vec<Value> {
    let number = |number: i64| Value::Number(number.to_string());
    match ty {
        Type::Whole(bounds) => {
            let mut numbers = vec![0, 1, bounds.least];
            numbers.retain(|value| bounds.hold(*value));
            numbers.dedup();
            numbers.into_iter().map(number).collect()
        }
        Type::Hundredths(_) => vec![number(0), number(1)],
        Type::Tooth => vec![number(11)],
        Type::Truth => vec![Value::Truth(false)],
        Type::Word(vocabulary) => {
            vocabulary.words.first().map(|word| Value::Text(word.word.to_owned())).into_iter().collect()
        }
        _ => Vec::new(),
    }
}
