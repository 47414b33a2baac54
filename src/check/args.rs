//! Arguments: the typed values in a finding.

use std::fmt;

use oar_schema::number::Hundredths;
use oar_schema::teeth::Tooth;
use oar_schema::time::{Date, Instant};
use serde::{Serialize, Serializer};

/// A value in a finding. There is no variant for free text, and none is ever made from free text.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Arg {
    /// A whole number.
    Whole(i64),
    /// A decimal.
    Decimal(Hundredths),
    /// A tooth.
    Tooth(Tooth),
    /// A day.
    Date(Date),
    /// An instant.
    Instant(Instant),
    /// A word of the format or of the project: a name of a field, a vocabulary word, a type, a unit.
    Word(&'static str),
    /// A short text from the record that is known not to be free text: an identifier within the record's own
    /// plan, a name of a field, a number as written, or a list of words.
    Text(String),
}

impl fmt::Display for Arg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole(value) => value.fmt(f),
            Self::Decimal(value) => value.fmt(f),
            Self::Tooth(tooth) => tooth.fdi().fmt(f),
            Self::Date(date) => date.fmt(f),
            Self::Instant(instant) => instant.fmt(f),
            Self::Word(word) => word.fmt(f),
            Self::Text(text) => text.fmt(f),
        }
    }
}

impl Serialize for Arg {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Whole(value) => serializer.serialize_i64(*value),
            Self::Decimal(value) => value.serialize(serializer),
            Self::Tooth(tooth) => serializer.serialize_u8(tooth.fdi()),
            other => serializer.collect_str(other),
        }
    }
}

macro_rules! arg_from {
    ($($ty:ty => $make:expr),* $(,)?) => {
        $(impl From<$ty> for Arg {
            fn from(value: $ty) -> Self {
                $make(value)
            }
        })*
    };
}

arg_from! {
    i64 => Arg::Whole,
    i32 => |value| Arg::Whole(i64::from(value)),
    u32 => |value| Arg::Whole(i64::from(value)),
    usize => |value| Arg::Whole(value as i64),
    Hundredths => Arg::Decimal,
    Tooth => Arg::Tooth,
    Date => Arg::Date,
    Instant => Arg::Instant,
    &'static str => Arg::Word,
    String => Arg::Text,
}

/// Named values of a finding, in the order in which the rule gives them.
pub type Args = Vec<(&'static str, Arg)>;

/// The values of a finding as a JSON object.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ByName<'a>(pub(crate) &'a Args);

impl Serialize for ByName<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, arg)| (name, arg)))
    }
}

#[cfg(feature = "schemas")]
impl schemars::JsonSchema for ByName<'_> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "ByName".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "object",
            "propertyNames": {"pattern": crate::check::rule::NAME},
            "additionalProperties": {"type": ["string", "number"]},
        })
    }
}

/// Makes [`Args`]: `args!["tray" = worn.tray, "from" = worn.from]`.
macro_rules! args {
    ($($name:literal = $value:expr),* $(,)?) => {
        vec![$(($name, $crate::check::args::Arg::from($value))),*]
    };
}
pub(crate) use args;
