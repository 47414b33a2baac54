//! Why something could not be set.

use std::fmt;

use oar_schema::limits::{LIMITS, Limit, LimitError};

use super::Switch;
use crate::check::rule::RuleKind;
use crate::check::rules;
use crate::nearest::{did_you_mean, nearest};

/// Something could not be set; the text says what is known and what was probably meant.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum SettingError {
    /// There is no rule and no theme of that name.
    NoRule(String),
    /// There is no level of that name.
    NoLevel(String),
    /// What was to be off, and the rule in it that has to run.
    NeverOff(&'static str, &'static str),
    /// What was to be set in a profile, and the rule in it that does not know what system wrote a record.
    NotInProfile(String, Option<&'static str>),
    /// A system cannot have that name.
    NoSystem(String),
    /// The rule came only after the edition: its name, its edition and the one that counts.
    Later(String, u32, u32),
    /// There is no such edition; this is the newest.
    NoEdition(String, u32),
    /// There is no limit of that name.
    NoLimit(String),
    /// No limit of that name, but one in another unit, and the value in that one if it can be said.
    LimitInOtherUnit(String, &'static Limit, Option<String>),
    /// A value in another unit than the limit's: the value as given, and in the right unit if it can be said.
    OtherUnit(String, &'static Limit, Option<String>),
    /// There is no unit of that name, in a value of the limit; and one that may be meant.
    NoUnit(String, &'static Limit, Option<&'static str>),
    /// The text is not a number for the limit.
    NotANumber(String, &'static Limit),
    /// The number has more places than the limit takes.
    TooFine(String, &'static Limit, &'static str),
    /// The value does not fit the limit.
    Limit(LimitError),
}

impl fmt::Display for SettingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRule(name) => no_rule(f, name),
            Self::NoLevel(word) => {
                let words: Vec<&str> = Switch::WORDS.iter().map(|(word, _)| *word).collect();
                write!(
                    f,
                    "unknown level {word}{}; levels are {}",
                    perhaps(word, words.iter().copied()),
                    words.join(", ")
                )
            }
            Self::NeverOff(name, rule) if name == rule => {
                write!(f, "{name} cannot be off, because an unread record would look valid; it can be a note")
            }
            Self::NeverOff(name, rule) => {
                write!(
                    f,
                    "{name} cannot be off as a whole, because {rule} always runs; turn off its other rules by name"
                )
            }
            Self::NotInProfile(name, Some(rule)) if compares(rule) => {
                write!(
                    f,
                    "{name} cannot be set in a profile, because it compares records that several systems may have written; set it for all records"
                )
            }
            Self::NotInProfile(name, Some(rule)) if name != rule => {
                write!(
                    f,
                    "{name} cannot be set in a profile, because {rule} runs before the system is known; set its other rules by name"
                )
            }
            Self::NotInProfile(name, _) => {
                write!(
                    f,
                    "{name} cannot be set in a profile, because it runs before the system is known; set it for all records"
                )
            }
            Self::NoSystem(name) if name.is_empty() => f.write_str("the name of the system is empty; * matches any"),
            Self::NoSystem(name) => {
                write!(f, "invalid system name {name}: use A-Z a-z 0-9 . _ : - (and * for any text)")
            }
            Self::Later(name, since, edition) => {
                write!(f, "{name} was added in edition {since} of the rules, but edition {edition} is set")
            }
            Self::NoEdition(given, 1) => write!(f, "there is no edition {given} of the rules; the only one is 1"),
            Self::NoEdition(given, newest) => {
                write!(f, "there is no edition {given} of the rules; they are 1 to {newest}")
            }
            other => other.about_limit(f),
        }
    }
}

impl SettingError {
    fn about_limit(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let or_so = |meant: &Option<String>| meant.as_ref().map_or(String::new(), |meant| format!("; write {meant}"));
        match self {
            Self::NoLimit(name) if rules::find(name).is_some() => {
                write!(f, "unknown limit {name}; it is a rule, so set its level")
            }
            Self::NoLimit(name) => {
                write!(f, "unknown limit {name}{}", perhaps(name, LIMITS.iter().map(|limit| limit.name)))
            }
            Self::LimitInOtherUnit(name, limit, meant) => {
                write!(f, "unknown limit {name}; {} is in {}{}", limit.name, limit.unit, or_so(meant))
            }
            Self::OtherUnit(given, limit, meant) => {
                write!(f, "{given} has the wrong unit: the limit {} is in {}{}", limit.name, limit.unit, or_so(meant))
            }
            Self::NoUnit(unit, limit, near) => {
                write!(f, "unknown unit {unit}{}; the limit {} is in {}", did_you_mean(*near), limit.name, limit.unit)
            }
            Self::NotANumber(text, limit) if text.is_empty() => {
                write!(f, "the limit {} needs a value, as in {}", limit.name, limit.written(limit.value))
            }
            Self::NotANumber(text, limit) => write!(f, "{text} is not a number for the limit {}", limit.name),
            Self::TooFine(text, limit, takes) => {
                write!(f, "{text} has too many decimal places for the limit {}, which takes {takes}", limit.name)
            }
            Self::Limit(error) => fmt::Display::fmt(error, f),
            _ => Ok(()),
        }
    }
}

impl std::error::Error for SettingError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Limit(error) => Some(error),
            _ => None,
        }
    }
}

/// Whether the rule of that name looks at several records together.
fn compares(rule: &str) -> bool {
    rules::find(rule).is_some_and(|rule| rule.kind == RuleKind::CrossRecord)
}

fn no_rule(f: &mut fmt::Formatter<'_>, name: &str) -> fmt::Result {
    if name.is_empty() {
        return f.write_str("give the name of a rule or theme");
    }
    if LIMITS.iter().any(|limit| limit.name == name) {
        return write!(f, "unknown rule or theme {name}; it is a limit, so set its value");
    }
    if rules::every().any(|rule| rule.name == name || rule.theme == name) {
        return write!(f, "{name} is about waivers, not about records: it has no level and cannot be selected");
    }
    let names = rules::all().flat_map(|rule| [rule.name, rule.theme]);
    write!(f, "unknown rule or theme {name}{}", perhaps(name, names))
}

/// ` (did you mean …?)`, when one of the names is near the given one, or is the only one that contains it.
pub fn perhaps<'n>(name: &str, names: impl Iterator<Item = &'n str>) -> String {
    let names: Vec<&str> = names.collect();
    let mut holding = names.iter().copied().filter(|known| name.len() > 2 && known.contains(name));
    let only = holding.next().filter(|_| holding.next().is_none());
    did_you_mean(nearest(name, names.into_iter()).or(only))
}
