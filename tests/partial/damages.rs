//! Ways to make a value of a record unreadable, along the descriptions of the format.

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use serde_json::{Value, json};

/// Entries of a list that are damaged one by one, at most.
const ENTRIES: usize = 3;

/// A value of a record that is made unreadable.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    /// Where it is.
    pub(crate) pointer: String,
    /// Whether the object that holds it has to have it.
    pub(crate) required: bool,
    /// What no value of its type can be.
    pub(crate) other: Value,
}

/// Every value of a record; of a long list a few entries.
pub(crate) fn places(record: &Value) -> Vec<Place> {
    let mut found = Vec::new();
    object(Record::OBJECT, record, "", &mut found);
    found
}

fn object(object: &Object, value: &Value, pointer: &str, found: &mut Vec<Place>) {
    for (name, value) in value.as_object().unwrap() {
        let field = object.field(name).unwrap();
        self::value(&field.ty, value, &format!("{pointer}/{name}"), field.required, found);
    }
}

fn value(ty: &Type, value: &Value, pointer: &str, required: bool, found: &mut Vec<Place>) {
    let other = match ty {
        Type::Object(_) | Type::List(..) | Type::Extensions => json!(0),
        _ => json!({"unreadable": true}),
    };
    found.push(Place { pointer: pointer.to_owned(), required, other });
    match ty {
        Type::Object(of) => object(of, value, pointer, found),
        Type::List(of, _) => {
            let entries = value.as_array().unwrap();
            let step = entries.len().div_ceil(ENTRIES).max(1);
            let some = |at: usize| at.is_multiple_of(step) || at + 1 == entries.len();
            for (at, entry) in entries.iter().enumerate().filter(|(at, _)| some(*at)) {
                self::value(of, entry, &format!("{pointer}/{at}"), true, found);
            }
        }
        _ => {}
    }
}

/// The record with a value made unreadable.
pub(crate) fn damaged(record: &Value, place: &Place) -> Value {
    let mut record = record.clone();
    *record.pointer_mut(&place.pointer).unwrap() = place.other.clone();
    record
}

/// The record without a member.
pub(crate) fn without(record: &Value, pointer: &str) -> Value {
    let mut record = record.clone();
    let (parent, last) = pointer.rsplit_once('/').unwrap();
    record.pointer_mut(parent).unwrap().as_object_mut().unwrap().shift_remove(last);
    record
}

/// The record with the value made unreadable in every entry of the lists that lead to it.
pub(crate) fn damaged_everywhere(record: &Value, place: &Place) -> Value {
    let mut record = record.clone();
    let steps: Vec<&str> = place.pointer.split('/').skip(1).collect();
    everywhere(&mut record, &steps, &place.other);
    record
}

fn everywhere(value: &mut Value, steps: &[&str], other: &Value) {
    match (value, steps) {
        (value, []) => *value = other.clone(),
        (Value::Array(entries), [_, rest @ ..]) => entries.iter_mut().for_each(|entry| everywhere(entry, rest, other)),
        (Value::Object(members), [name, rest @ ..]) => {
            members.get_mut(*name).into_iter().for_each(|member| everywhere(member, rest, other));
        }
        _ => {}
    }
}
