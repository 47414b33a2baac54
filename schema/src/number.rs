//! Decimals with at most two places, held as integer hundredths.

use std::fmt;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::parse::{ParseError, from_text};

/// The fraction of a hundredth by which a float may miss it: sums of a few decimals miss it by less, and nobody measures so
/// finely. Common practice, no source.
const NOISE: f64 = 1e-6;

/// A decimal with at most two places, as a whole number of hundredths: 0.25 mm is `Hundredths(25)`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hundredths(pub i32);

impl Hundredths {
    /// The value as a float, for writing and for ratios; sums and comparisons stay in hundredths.
    pub fn as_f64(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// The hundredth nearest to a float; none when the difference is more than the noise of binary arithmetic.
    pub fn near(value: f64) -> Option<Self> {
        let hundredths = value * 100.0;
        let near = hundredths.round();
        let is_near = (hundredths - near).abs() <= NOISE && near.abs() <= f64::from(i32::MAX);
        is_near.then_some(Self(near as i32))
    }

    /// The size without the sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl fmt::Display for Hundredths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0.abs() / 100, self.0.abs() % 100);
        let sign = if self.0 < 0 { "-" } else { "" };
        match (rest, rest % 10) {
            (0, _) => write!(f, "{sign}{whole}"),
            (_, 0) => write!(f, "{sign}{whole}.{}", rest / 10),
            _ => write!(f, "{sign}{whole}.{rest:02}"),
        }
    }
}

impl TryFrom<f64> for Hundredths {
    type Error = ParseError;

    fn try_from(value: f64) -> Result<Self, ParseError> {
        Self::near(value).ok_or(ParseError::new("a decimal with at most two places"))
    }
}

from_text!(Hundredths, "a decimal with at most two places", |text| Some(Self(i32::try_from(hundredths(text)?).ok()?)));

/// Reads a decimal with at most two decimal places.
pub(crate) fn hundredths(text: &str) -> Option<i64> {
    let (whole, places) = text.split_once('.').unwrap_or((text, ""));
    let no_digit = !text.bytes().any(|byte| byte.is_ascii_digit());
    if no_digit || places.len() > 2 || !places.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let size: i64 = format!("{}{places:0<2}", whole.trim_start_matches('-')).parse().ok()?;
    Some(if whole.starts_with('-') { -size } else { size })
}

impl Serialize for Hundredths {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 100 == 0 {
            return serializer.serialize_i32(self.0 / 100);
        }
        serializer.serialize_f64(self.as_f64())
    }
}

impl<'de> Deserialize<'de> for Hundredths {
    /// Takes the nearest hundredth, and rejects a value that differs from it by more than float noise, as the checker does.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        f64::deserialize(deserializer)?.try_into().map_err(D::Error::custom)
    }
}
