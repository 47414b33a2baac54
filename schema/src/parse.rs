//! Values from their text.

use std::fmt;

/// A text or number that is not a value of the wanted type. It does not repeat the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ParseError(pub(crate) &'static str);

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not {}", self.0)
    }
}

impl std::error::Error for ParseError {}

/// Lets a type be parsed from its text.
macro_rules! from_text {
    ($name:ident, $wanted:literal, $parse:expr) => {
        impl std::str::FromStr for $name {
            type Err = $crate::parse::ParseError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                $parse(text).ok_or($crate::parse::ParseError($wanted))
            }
        }
    };
}
pub(crate) use from_text;

/// Lets a type be parsed from its text, and read by serde from a string.
macro_rules! as_text {
    ($name:ident, $wanted:literal, $parse:expr) => {
        $crate::parse::from_text!($name, $wanted, $parse);

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = std::borrow::Cow::<str>::deserialize(deserializer)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use as_text;
