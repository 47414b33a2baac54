//! Values from their text.

use std::fmt;

/// A text or number that is not a value of the wanted type. It does not repeat the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ParseError(&'static str);

impl ParseError {
    /// Something is not `wanted`, which is a phrase such as "a level".
    pub const fn new(wanted: &'static str) -> Self {
        Self(wanted)
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not {}", self.0)
    }
}

impl std::error::Error for ParseError {}

/// Lets a type be parsed from its text; `names` is for an enum with `as_str`, which is shown by its name too.
#[doc(hidden)]
#[macro_export]
macro_rules! from_text {
    (names $name:ident, $wanted:literal, $all:expr) => {
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }

        $crate::from_text!($name, $wanted, |text| $all.into_iter().find(|known: &Self| known.as_str() == text));
    };
    ($name:ident, $wanted:literal, $parse:expr) => {
        impl std::str::FromStr for $name {
            type Err = $crate::parse::ParseError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                $parse(text).ok_or($crate::parse::ParseError::new($wanted))
            }
        }
    };
}
pub use from_text;

/// Lets a type be parsed from its text, and read by serde from a string.
macro_rules! as_text {
    ($name:ident, $wanted:literal, $parse:expr) => {
        $crate::from_text!($name, $wanted, $parse);

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = std::borrow::Cow::<str>::deserialize(deserializer)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use as_text;
