//! The types of recipe values: a number, a list of numbers, names, a day.

use oar_schema::time::Date;
use toml::Value;

/// The description of a value, with its bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettingDescription {
    /// The group and the name in it, as `wear.goal_minutes`.
    pub key: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// Its unit, or its kind when it has none.
    pub unit: &'static str,
    /// The smallest value.
    pub least: f64,
    /// The greatest value.
    pub most: f64,
}

/// Why a value is rejected.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum RecipeValueError {
    /// It has the wrong type; the text names the right one.
    Kind(String),
    /// It is outside the bounds.
    Range(f64),
}

/// A type of value.
pub(crate) trait Setting: Sized {
    /// Reads a value from the file.
    ///
    /// # Errors
    /// When it has another type or is outside the bounds.
    fn take(value: &Value, bounds: (f64, f64)) -> Result<Self, RecipeValueError>;
}

fn number(value: &Value, (least, most): (f64, f64)) -> Result<f64, RecipeValueError> {
    let number = match value {
        Value::Float(number) => *number,
        Value::Integer(number) => {
            i32::try_from(*number).map(f64::from).map_err(|_| RecipeValueError::Range(f64::INFINITY))?
        }
        _ => return Err(RecipeValueError::Kind("a number".to_owned())),
    };
    if (least..=most).contains(&number) { Ok(number) } else { Err(RecipeValueError::Range(number)) }
}

impl Setting for f64 {
    fn take(value: &Value, bounds: (f64, f64)) -> Result<Self, RecipeValueError> {
        number(value, bounds)
    }
}

impl Setting for i32 {
    fn take(value: &Value, bounds: (f64, f64)) -> Result<Self, RecipeValueError> {
        let Value::Integer(_) = value else { return Err(RecipeValueError::Kind("a whole number".to_owned())) };
        Ok(number(value, bounds)? as i32)
    }
}

impl Setting for bool {
    fn take(value: &Value, _: (f64, f64)) -> Result<Self, RecipeValueError> {
        value.as_bool().ok_or_else(|| RecipeValueError::Kind("true or false".to_owned()))
    }
}

impl<const N: usize> Setting for [f64; N] {
    fn take(value: &Value, bounds: (f64, f64)) -> Result<Self, RecipeValueError> {
        let wanted = || RecipeValueError::Kind(format!("a list of {N} numbers"));
        let list = value.as_array().filter(|list| list.len() == N).ok_or_else(wanted)?;
        let mut numbers = [0.0; N];
        for (place, entry) in numbers.iter_mut().zip(list) {
            *place = number(entry, bounds)?;
        }
        Ok(numbers)
    }
}

impl Setting for Vec<String> {
    fn take(value: &Value, _: (f64, f64)) -> Result<Self, RecipeValueError> {
        let wanted = || RecipeValueError::Kind("a list of names".to_owned());
        let list = value.as_array().filter(|list| !list.is_empty()).ok_or_else(wanted)?;
        list.iter().map(|entry| entry.as_str().map(str::to_owned).ok_or_else(wanted)).collect()
    }
}

impl Setting for String {
    fn take(value: &Value, _: (f64, f64)) -> Result<Self, RecipeValueError> {
        value.as_str().map(str::to_owned).ok_or_else(|| RecipeValueError::Kind("a text".to_owned()))
    }
}

impl Setting for Date {
    fn take(value: &Value, _: (f64, f64)) -> Result<Self, RecipeValueError> {
        let text = value.as_str().map(str::to_owned).or_else(|| value.as_datetime().map(ToString::to_string));
        let day = text.and_then(|text| Self::parse(text.as_bytes()));
        day.ok_or_else(|| RecipeValueError::Kind("a day such as \"2031-01-06\"".to_owned()))
    }
}
