//! Single edits of a right record, one after the other, along the descriptions of the format.

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use oar_schema::time::{Date, Instant};
use open_aligner_record::teeth::Tooth;
use serde_json::Value;

/// What is done to the value at a place.
pub enum Change {
    /// It is another one.
    Set(Value),
    /// It is taken out.
    Remove,
    /// The entry is there twice.
    Double,
    /// The entry and the next one change places.
    Swap,
}

/// One edit: where, what, and what it is called.
pub struct Edit {
    /// Where.
    pub pointer: String,
    /// What it is called.
    pub name: String,
    /// What is done.
    pub change: Change,
}

/// Every edit of a record.
pub fn of(record: &Value) -> Vec<Edit> {
    let exported = record["source"]["exported_at"].as_str().unwrap();
    let birth = i32::try_from(record["patient"]["birth_year"].as_i64().unwrap()).unwrap();
    let mut walk = Walk { today: Date::parse(&exported.as_bytes()[..10]).unwrap(), birth, edits: Vec::new() };
    walk.object(Record::OBJECT, record, "");
    walk.edits
}

/// The record with an edit made, as JSON text.
pub fn edited(record: &Value, edit: &Edit) -> Vec<u8> {
    let mut record = record.clone();
    let (parent, last) = edit.pointer.rsplit_once('/').unwrap();
    let parent = record.pointer_mut(parent).unwrap();
    match (&edit.change, parent) {
        (Change::Set(value), parent) => *parent.pointer_mut(&format!("/{last}")).unwrap() = value.clone(),
        (Change::Remove, Value::Object(members)) => drop(members.shift_remove(last)),
        (change, Value::Array(entries)) => {
            let at: usize = last.parse().unwrap();
            match change {
                Change::Double => entries.insert(at, entries[at].clone()),
                Change::Swap => entries.swap(at, at + 1),
                _ => drop(entries.remove(at)),
            }
        }
        _ => panic!("no list or object is around {}", edit.pointer),
    }
    serde_json::to_vec(&record).unwrap()
}

struct Walk {
    today: Date,
    birth: i32,
    edits: Vec<Edit>,
}

impl Walk {
    fn add(&mut self, pointer: &str, name: impl Into<String>, change: Change) {
        self.edits.push(Edit { pointer: pointer.to_owned(), name: name.into(), change });
    }

    fn set(&mut self, pointer: &str, value: impl Into<Value>) {
        let value = value.into();
        self.add(pointer, value.to_string(), Change::Set(value));
    }

    fn object(&mut self, object: &Object, value: &Value, pointer: &str) {
        for (name, value) in value.as_object().unwrap() {
            let field = object.field(name).unwrap();
            let pointer = format!("{pointer}/{name}");
            self.value(&field.ty, value, &pointer);
            if !field.required {
                self.add(&pointer, "removed", Change::Remove);
            }
        }
    }

    fn value(&mut self, ty: &Type, value: &Value, pointer: &str) {
        match ty {
            Type::Object(object) => self.object(object, value, pointer),
            Type::List(of, bounds) => self.list(of, value.as_array().unwrap(), bounds.least == bounds.most, pointer),
            Type::Word(words) => {
                for word in words.words.iter().filter(|word| *value != word.word) {
                    self.set(pointer, word.word);
                }
            }
            Type::Whole(bounds) => {
                let number = value.as_i64().unwrap();
                let others = [0, number - 1, number + 1, number + 50, number * 10];
                for other in others.into_iter().filter(|other| bounds.hold(*other) && *other != number) {
                    self.set(pointer, other);
                }
            }
            Type::Tooth => self.tooth(value, pointer),
            Type::Date => self.date(Date::parse(value.as_str().unwrap().as_bytes()).unwrap(), "", pointer),
            Type::Instant => self.instant(value.as_str().unwrap(), pointer),
            Type::Truth => self.set(pointer, !value.as_bool().unwrap()),
            Type::Hundredths(bounds) => {
                let hundredths = (value.as_f64().unwrap() * 100.0).round() as i64;
                for other in [0, -hundredths, hundredths * 10, hundredths * 100] {
                    if bounds.hold(other) && other != hundredths {
                        self.set(pointer, f64::from(i32::try_from(other).unwrap()) / 100.0);
                    }
                }
            }
            _ => {}
        }
    }

    fn list(&mut self, of: &Type, entries: &[Value], fixed: bool, pointer: &str) {
        // Of a long list, a few entries stand for all.
        let step = entries.len().div_ceil(9).max(1);
        for (at, entry) in entries.iter().enumerate().filter(|(at, _)| at % step == 0 || at + 1 == entries.len()) {
            let pointer = format!("{pointer}/{at}");
            self.value(of, entry, &pointer);
            if fixed {
                continue;
            }
            self.add(&pointer, "removed", Change::Remove);
            self.add(&pointer, "doubled", Change::Double);
            if entries.get(at + 1).is_some_and(|next| next != entry) {
                self.add(&pointer, "swapped with the next", Change::Swap);
            }
        }
    }

    /// The teeth beside it, the one above or below it, the one across the midline, and a wisdom tooth.
    fn tooth(&mut self, value: &Value, pointer: &str) {
        let tooth = value.as_u64().unwrap();
        let (quadrant, position) = (tooth / 10, tooth % 10);
        let across = [2, 1, 4, 3, 6, 5, 8, 7][quadrant as usize - 1];
        let opposite = [4, 3, 2, 1, 8, 7, 6, 5][quadrant as usize - 1];
        let others = [tooth - 1, tooth + 1, across * 10 + position, opposite * 10 + position, 18];
        for other in others.into_iter().filter(|other| *other != tooth) {
            if Tooth::new(u8::try_from(other).unwrap()).is_some() {
                self.set(pointer, other);
            }
        }
    }

    fn instant(&mut self, value: &str, pointer: &str) {
        assert!(Instant::parse(value.as_bytes()).is_some());
        self.date(Date::parse(&value.as_bytes()[..10]).unwrap(), &value[10..], pointer);
    }

    fn date(&mut self, day: Date, rest: &str, pointer: &str) {
        let (year, month, of_month) = day.civil();
        let years = [year + 1, year - 1, year - 10, year + 10, year - 100, year + 100, self.birth - 1];
        let moved = years.into_iter().filter_map(|year| Date::new(year, month, of_month.min(28)));
        let near = [1, -1, 7, -7, 30, -30].into_iter().map(|days| day.plus_days(days));
        let swapped = Date::new(year, of_month, month).into_iter();
        let late = self.today.plus_days(1);
        for other in moved.chain(near).chain(swapped).chain([late]).filter(|other| *other != day) {
            self.set(pointer, format!("{other}{rest}"));
        }
    }
}
