//! Findings: what is wrong in a record, as data.

use crate::check::args::Args;
use crate::check::page;
use crate::check::rule::{Level, Rule};

/// The form of a JSON Pointer, as a regular expression.
#[cfg(feature = "schemas")]
pub(crate) const POINTER: &str = "^(/([^~/]|~[01])*)*$";

/// A place in a file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Place {
    /// The value, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = POINTER)))]
    pub pointer: String,
    /// The line in the file, from 1.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub line: u64,
    /// The column of its first character, from 1, in Unicode code points.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub column: u64,
    /// The line on which the value ends.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub end_line: u64,
    /// The column after its last character.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub end_column: u64,
}

/// A place in another record, perhaps in another file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Elsewhere {
    /// The file, named as in the finding's own place.
    pub file: String,
    /// The place of the record in that file, from 1.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub record: u64,
    /// Where in the file.
    #[cfg_attr(feature = "serde", serde(flatten))]
    pub place: Place,
}

/// The source text around a finding. Texts that a person could have written freely are masked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Excerpt {
    /// One line, or a part of a long one.
    pub text: String,
    /// The first character of the value within `text`, from 0.
    pub start: usize,
    /// How many characters of the value are shown; at least 1.
    pub len: usize,
}

/// One thing that is wrong, or worth a look, in a record.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Finding {
    /// The rule.
    pub rule: &'static Rule,
    /// How much it weighs, as the settings have it.
    pub level: Level,
    /// Where.
    pub place: Place,
    /// The values it speaks of.
    pub args: Args,
    /// Other places in the same record that belong to it.
    pub related: Vec<Place>,
    /// Places in other records that belong to it.
    pub elsewhere: Vec<Elsewhere>,
    /// The source text around it.
    pub excerpt: Option<Excerpt>,
    /// The id of the record, of a finding across records; none where nobody asked ([`crate::report::run::Options::record_ids`]).
    /// Findings in a record have it in their subject.
    pub record: Option<String>,
    /// Whether [`crate::repair`] takes it away; false where nobody asked ([`crate::report::run::Options::fixable`]).
    pub fixable: bool,
    /// What the finding is about, independent of where it stands: the pointer with indices replaced by ids of
    /// entries, for fingerprints that survive moved lines.
    pub subject: String,
}

impl Finding {
    /// A finding without more than this.
    pub fn new(rule: &'static Rule, level: Level, place: Place, args: Args, subject: String) -> Self {
        let (related, elsewhere, excerpt, record) = (Vec::new(), Vec::new(), None, None);
        Self { rule, level, place, args, related, elsewhere, excerpt, record, fixable: false, subject }
    }

    /// The id of the record, if it has one. It may be a pseudonym of a patient: it is there to be compared, not to be told.
    pub fn record_id(&self) -> Option<String> {
        self.record.clone().or_else(|| self.origin().map(|(id, _)| id))
    }

    /// The system that wrote the record, as outputs may tell it.
    pub(crate) fn system(&self) -> String {
        let system = self.origin().and_then(|(_, system)| system);
        crate::check::systems::label(system.as_deref()).to_owned()
    }

    /// The id of the record and the name of its system, out of the subject.
    fn origin(&self) -> Option<(String, Option<String>)> {
        let (id, rest) = quoted(self.subject.strip_prefix('/')?)?;
        let system = rest.strip_prefix('@').and_then(quoted).map(|(system, _)| system);
        Some((id, system))
    }

    /// What is wrong, in one short line.
    pub fn message(&self) -> String {
        page::message(self.rule, &self.args)
    }

    /// How to fix it, in one short line.
    pub fn help(&self) -> Option<String> {
        page::help(self.rule, &self.args)
    }
}

/// The string in quotes with which a text begins, and what follows it.
fn quoted(text: &str) -> Option<(String, &str)> {
    let mut strings = serde_json::Deserializer::from_str(text).into_iter::<String>();
    let string = strings.next()?.ok()?;
    Some((string, &text[strings.byte_offset()..]))
}

/// One finding and where it was found.
#[derive(Clone, Copy, Debug)]
pub struct Item<'a> {
    /// The file, relative to the working folder where it can be; `-` is standard input.
    pub file: &'a str,
    /// The place of the record in the file, from 1; 0 for a finding about the file as a whole.
    pub record: u64,
    /// The finding.
    pub finding: &'a Finding,
}
