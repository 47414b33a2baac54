//! Paths: the way from a record to one of its values.

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

/// The way from the record to a value: `at!["worn", 3, "to"]`.
pub type Path = Vec<Step>;

/// A way from the record to a value as a JSON Pointer (RFC 6901).
pub fn pointer(path: &[Step]) -> String {
    path.iter().fold(String::new(), |text, step| match step {
        Step::Field(name) => text + "/" + name,
        Step::Entry(index) => format!("{text}/{index}"),
    })
}

/// Makes a [`Path`] from names of fields and indices of entries.
macro_rules! at {
    ($($step:expr),* $(,)?) => {
        vec![$($crate::check::path::Step::from($step)),*]
    };
}
pub(crate) use at;
