//! Paths: the way from a record to one of its values.

use oar_schema::describe::{Described, Field, Object, Type};
use oar_schema::record::Record;

/// One step of the way from the record to a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Into the field of that name.
    Field(&'static str),
    /// Into the entry at that place of a list, from 0.
    Entry(usize),
}

impl From<&'static str> for Step {
    fn from(name: &'static str) -> Self {
        Self::Field(name)
    }
}

impl From<usize> for Step {
    fn from(index: usize) -> Self {
        Self::Entry(index)
    }
}

/// The way from the record to a value: `at!["wear_periods", 3, "to"]`.
pub type Path = Vec<Step>;

/// A way from the record to a value as a JSON Pointer (RFC 6901).
pub fn pointer(path: &[Step]) -> String {
    path.iter().fold(String::new(), |text, step| match step {
        Step::Field(name) => text + "/" + name,
        Step::Entry(index) => format!("{text}/{index}"),
    })
}

/// Whether a path leads to a value of the format: each name is a field of the object that it is reached in, and entries are
/// counted in lists alone. A step that only the run knows is none; below a name that only the run knows, nothing is checked.
pub(crate) const fn leads_somewhere(steps: &[Option<&str>]) -> bool {
    let mut ty = &Type::Object(<Record as Described>::OBJECT);
    let mut at = 0;
    while at < steps.len() {
        ty = match (ty, steps[at]) {
            (Type::Object(object), Some(name)) => match field(object, name) {
                Some(field) => &field.ty,
                None => return false,
            },
            (Type::List(of, _), None) => of,
            (Type::Object(_), None) | (Type::Extensions, _) => return true,
            _ => return false,
        };
        at += 1;
    }
    true
}

const fn field(object: &'static Object, name: &str) -> Option<&'static Field> {
    let mut at = 0;
    while at < object.fields.len() {
        if same(object.fields[at].name.as_bytes(), name.as_bytes()) {
            return Some(&object.fields[at]);
        }
        at += 1;
    }
    None
}

const fn same(one: &[u8], other: &[u8]) -> bool {
    let mut at = 0;
    while at < one.len() && at < other.len() && one[at] == other[at] {
        at += 1;
    }
    at == one.len() && at == other.len()
}

/// Makes a [`Path`] from names of fields and indices of entries: `at!["wear_periods", i, "to"]`. Names that the format does not have do
/// not compile.
macro_rules! at {
    (@known [$($known:expr,)*]) => { [$($known),*] };
    (@known [$($known:expr,)*] 0 $(, $($rest:tt)*)?) => { at!(@known [$($known,)* None,] $($($rest)*)?) };
    (@known [$($known:expr,)*] $name:literal $(, $($rest:tt)*)?) => { at!(@known [$($known,)* Some($name),] $($($rest)*)?) };
    (@known [$($known:expr,)*] $step:expr $(, $($rest:tt)*)?) => { at!(@known [$($known,)* None,] $($($rest)*)?) };
    (@steps $($step:expr),* $(,)?) => { vec![$($crate::check::path::Step::from($step)),*] };
    ($($steps:tt)*) => {{
        const _: () =
            assert!($crate::check::path::leads_somewhere(&at!(@known [] $($steps)*)), "the format has no such field");
        at!(@steps $($steps)*)
    }};
}
pub(crate) use at;

#[cfg(test)]
mod tests {
    use super::leads_somewhere;

    #[test]
    fn a_path_that_the_format_does_not_have_leads_nowhere() {
        for path in [
            &[Some("wear_periods"), None, Some("to")][..],
            &[Some("dentition"), Some("extracted"), None, Some("on")],
            &[Some("extensions"), Some("org.example")],
            &[None, None, Some("whatever")],
            &[],
        ] {
            assert!(leads_somewhere(path), "{path:?}");
        }
        for path in [
            &[Some("worm"), None, Some("to")][..],
            &[Some("wear_periods"), None, Some("too")],
            &[Some("wear_periods"), Some("to")],
            &[Some("patient"), Some("id"), Some("id")],
            &[Some("wear_periods"), None, Some("to"), None],
        ] {
            assert!(!leads_somewhere(path), "{path:?}");
        }
    }
}
