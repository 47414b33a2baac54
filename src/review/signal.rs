//! Signals: their names, priorities and pages.

use oar_schema::parse::from_text;
use serde::Serialize;

use super::view::View;
use crate::check::args::Args;
use crate::check::page;
use crate::check::path::Path;

/// How soon somebody should look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum Priority {
    /// Today.
    Today,
    /// Within the week.
    ThisWeek,
    /// At the next contact with the patient.
    NextContact,
}

impl Priority {
    /// All priorities, the most urgent first.
    pub const ALL: [Self; 3] = [Self::Today, Self::ThisWeek, Self::NextContact];

    /// The word for programs: `today`, `this_week` or `next_contact`.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Today => "today",
            Self::ThisWeek => "this_week",
            Self::NextContact => "next_contact",
        }
    }

    /// The words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Today => "today",
            Self::ThisWeek => "this week",
            Self::NextContact => "next contact",
        }
    }
}

from_text!(names Priority, "a priority: today, this_week or next_contact", Self::ALL);

/// Something in a valid record that somebody should look at. Its name says what.
#[non_exhaustive]
pub struct Signal {
    /// Its name, the same everywhere.
    pub name: &'static str,
    /// How soon somebody should look, unless settings say otherwise.
    pub priority: Priority,
    /// Its page: documentation, messages and examples.
    pub page: &'static str,
    /// Looks at a record.
    pub(crate) look: fn(&View<'_>, &mut Raising<'_>),
}

impl std::fmt::Debug for Signal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

impl PartialEq for Signal {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

/// The table of signals of one file: priority and name, with a function of that name in the file and a page
/// `signals/<name>.md`.
macro_rules! signals {
    ($($priority:ident $name:ident;)*) => {
        /// The signals of this file.
        pub(crate) const SIGNALS: &[&$crate::review::signal::Signal] = &[
            $(&$crate::review::signal::Signal {
                name: stringify!($name),
                priority: $crate::review::signal::Priority::$priority,
                page: include_str!(concat!(stringify!($name), ".md")),
                look: $name,
            },)*
        ];
    };
}
pub(crate) use signals;

/// A signal that a record raises.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Raised {
    /// The signal.
    pub signal: &'static Signal,
    /// How soon somebody should look.
    pub priority: Priority,
    /// The severity score, for the order among signals of one priority. Each signal has its own scale, about 1 at its threshold.
    pub score: f64,
    /// The arguments of its message.
    pub args: Args,
    /// The values of the record behind it, the most informative one first.
    pub fields: Vec<Path>,
}

impl Raised {
    /// What to look at, in numbers.
    pub fn message(&self) -> String {
        page::filled(self.signal.page, "", &self.args).unwrap_or_else(|| self.signal.name.replace('_', " "))
    }

    /// What would usually be considered.
    pub fn consider(&self) -> Option<String> {
        page::filled(self.signal.page, "consider:", &self.args)
    }

    /// The values behind it, as JSON Pointers.
    pub fn pointers(&self) -> Vec<String> {
        self.fields.iter().map(|path| crate::check::path::pointer(path)).collect()
    }
}

/// Collects what a signal raises.
pub(crate) struct Raising<'a> {
    pub(super) signal: &'static Signal,
    pub(super) priority: Priority,
    pub(super) raised: &'a mut Vec<Raised>,
}

impl Raising<'_> {
    pub(crate) fn add(&mut self, score: f64, fields: Vec<Path>, args: Args) {
        self.raised.push(Raised { signal: self.signal, priority: self.priority, score, args, fields });
    }
}
