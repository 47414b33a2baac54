//! What a value of the wrong kind was probably meant to be.

use oar_schema::describe::{Field, Object, Type};
use oar_schema::teeth::Tooth;
use oar_schema::time::{Date, YEARS};

use super::Walk;
use crate::check::args::{Args, args};
use crate::json::{Kind, NodeId, decimal, decode};

/// Hours of a day.
const HOURS: f64 = 24.0;
/// Seconds of wear that are surely none of minutes: four hours.
const SECONDS: std::ops::RangeInclusive<i64> = 14_400..=90_000;

impl Walk<'_> {
    /// Whether the value stands in a field that counts minutes.
    fn counts_minutes(&self) -> bool {
        self.field.and_then(Field::unit) == Some("minutes")
    }

    /// How many minutes a number or text in a field of minutes probably means.
    pub(super) fn minutes_meant(&self, node: NodeId) -> Args {
        if !self.counts_minutes() {
            return args![];
        }
        match self.tree.node(node).kind {
            Kind::Number => hours(self.token(node)),
            Kind::String => duration(&decode(self.token(node))),
            _ => args![],
        }
    }

    /// How many minutes a number that is out of range probably means.
    pub(super) fn seconds_meant(&self, node: NodeId) -> Args {
        let value = decimal(self.token(node)).and_then(|number| number.as_integer());
        if let (Some("birth_year"), Some(year @ 40..=99)) = (self.field.map(|field| field.name), value) {
            return args!["two_digit_year" = "year", "full_year" = 1900 + year];
        }
        if value == Some(0) && self.field.is_some_and(|field| field.name.ends_with("tray")) {
            return args!["first_tray" = 1];
        }
        match value.filter(|value| self.counts_minutes() && SECONDS.contains(value)) {
            Some(value) => args!["meant_minutes" = value / 60, "unit_meant" = "seconds"],
            None => args![],
        }
    }

    /// What stands instead of a number, a date or a version, when that is a usual slip.
    pub(super) fn slip(&self, node: NodeId, expected: &str) -> Args {
        let ty = self.field.map(|field| &field.ty);
        match (self.tree.node(node).kind, ty) {
            (Kind::String, Some(Type::Whole(_))) if self.field.is_some_and(|field| field.name == "birth_year") => {
                let date = Date::parse(decode(self.token(node)).as_bytes());
                date.map_or(args![], |date| args!["year" = date.civil().0])
            }
            (Kind::String, Some(Type::Hundredths(_) | Type::List(Type::Hundredths(_), _)))
                if expected == "a number" =>
            {
                let point = decode(self.token(node)).replacen(',', ".", 1);
                decimal(point.as_bytes()).map_or(args![], |_| args!["comma" = "comma"])
            }
            (Kind::Number, Some(Type::Version)) => args!["with_quotes" = "quotes", "version" = "\"1.0\""],
            (Kind::Number, Some(Type::Date | Type::Instant)) => self.count_of_seconds(node),
            _ => args![],
        }
    }

    /// The day that a number such as 20310203 writes.
    pub(super) fn day_as_number(&self, node: NodeId) -> Option<Date> {
        let value = decimal(self.token(node)).and_then(|number| number.as_integer())?;
        let day = i32::try_from(value).ok().filter(|value| YEARS.contains(&(value / 10_000)))?;
        Date::new(day / 10_000, day / 100 % 100, day % 100)
    }

    /// A day written as a number, or a count since 1970. Which moment a count means is not told: other numbers are as
    /// long.
    fn count_of_seconds(&self, node: NodeId) -> Args {
        let Some(value) = decimal(self.token(node)).and_then(|number| number.as_integer()) else { return args![] };
        match (self.day_as_number(node), value) {
            (Some(day), _) => args!["day" = format!("\"{day}\"")],
            (None, 100_000_000..=9_999_999_999) => args!["epoch" = "seconds"],
            (None, 100_000_000_000..=9_999_999_999_999) => args!["epoch" = "milliseconds"],
            _ => args![],
        }
    }

    /// The tooth that a text names: in FDI with a separator, or in another notation.
    pub(super) fn tooth_meant(&self, node: NodeId) -> Args {
        if self.tree.node(node).kind != Kind::String {
            return args![];
        }
        let text = decode(self.token(node));
        let (tooth, notation) = match text.trim() {
            plain if Tooth::new(plain.parse().unwrap_or_default()).is_some() => return args![],
            text => match (
                with_separator(text),
                Tooth::from_palmer(text),
                Tooth::from_universal(text.trim_start_matches('#')),
            ) {
                (Some(tooth), ..) => (tooth, "FDI"),
                (_, Some(tooth), _) => (tooth, "Palmer"),
                (.., Some(tooth)) => (tooth, "Universal"),
                _ => return args![],
            },
        };
        args!["tooth" = tooth, "name" = tooth.name(), "notation" = notation]
    }
}

/// An FDI number with a separator, as `1-1` or `1.1`.
pub(super) fn with_separator(text: &str) -> Option<Tooth> {
    let [quadrant, b'-' | b'.' | b'/' | b' ', position] = text.as_bytes() else { return None };
    let digit = |byte: u8| byte.is_ascii_digit().then_some(byte.wrapping_sub(b'0'));
    Tooth::new(digit(*quadrant)? * 10 + digit(*position)?)
}

/// A number of hours with decimals.
fn hours(token: &[u8]) -> Args {
    match std::str::from_utf8(token).ok().and_then(|text| text.parse::<f64>().ok()) {
        Some(hours) if (0.0..=HOURS).contains(&hours) => {
            args!["meant_minutes" = (hours * 60.0).round() as i64, "unit_meant" = "hours"]
        }
        _ => args![],
    }
}

/// `21:30`, `PT21H30M`, `1290 min`, `21.5 h`.
fn duration(text: &str) -> Args {
    let text = text.trim().to_ascii_lowercase();
    let meant = clock(&text).map(|minutes| (minutes, "hours and minutes"));
    let meant = meant.or_else(|| iso(&text).map(|minutes| (minutes, "a duration")));
    match meant.or_else(|| with_unit(&text)).filter(|(minutes, _)| *minutes <= 1500) {
        Some((minutes, kind)) => args!["meant_minutes" = minutes, "as_text" = kind],
        None => args![],
    }
}

/// Minutes of `21:30` or `21:30:00`.
fn clock(text: &str) -> Option<i64> {
    let groups: Vec<i64> = text.split(':').map(small).collect::<Option<_>>()?;
    match groups[..] {
        [hours, minutes] | [hours, minutes, _] if minutes < 60 => Some(hours * 60 + minutes),
        _ => None,
    }
}

/// Minutes of `pt21h30m`; also of `21h30m` and `21h 30min`.
fn iso(text: &str) -> Option<i64> {
    let rest = text.strip_prefix("pt").unwrap_or(text);
    let (hours, rest) = rest.split_once('h').map_or((Some(0), rest), |(hours, rest)| (small(hours), rest));
    let minutes = rest.trim().trim_end_matches("in").trim_end_matches('m');
    let minutes = if minutes.is_empty() { Some(0) } else { small(minutes) };
    let has_unit = text.contains('h') || (text.starts_with("pt") && rest.ends_with('m'));
    if has_unit { Some(hours? * 60 + minutes?) } else { None }
}

/// Minutes of `1290 min` and `21.5 h`.
fn with_unit(text: &str) -> Option<(i64, &'static str)> {
    let (number, unit) = text.split_at(text.find(|letter: char| letter.is_alphabetic())?);
    let number: f64 = Some(number.trim()).filter(|number| number.len() <= 6)?.parse().ok()?;
    match unit {
        "min" | "mins" | "minutes" | "m" => Some((number.round() as i64, "minutes with their unit")),
        "h" | "hr" | "hrs" | "hours" => Some(((number * 60.0).round() as i64, "hours with their unit")),
        _ => None,
    }
}

/// A number of one to four digits.
fn small(text: &str) -> Option<i64> {
    let fits = (1..=4).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    if fits { text.parse().ok() } else { None }
}

/// The fields that an object has to have, as JSON without values; all its fields when none has to be there.
pub(super) fn outline(object: &Object) -> String {
    let any = object.fields.iter().any(|field| field.required);
    let fields = object.fields.iter().filter(|field| field.required || !any);
    let members: Vec<String> = fields.map(|field| format!("\"{}\": …", field.name)).collect();
    format!("{{{}}}", members.join(", "))
}

#[cfg(test)]
mod tests {
    use super::{clock, duration, hours, iso, with_separator, with_unit};

    #[test]
    fn minutes_are_read_from_other_ways_to_write_them() {
        assert_eq!((clock("21:30"), clock("21:75"), clock("2031-02")), (Some(1290), None, None));
        assert_eq!(
            (iso("pt21h30m"), iso("21h30m"), iso("pt90m"), iso("pt22h")),
            (Some(1290), Some(1290), Some(90), Some(1320))
        );
        assert_eq!(with_unit("1290 min").map(|found| found.0), Some(1290));
        assert_eq!(with_unit("21.5 h").map(|found| found.0), Some(1290));
        assert!(duration("0700-900-461").is_empty() && duration("the whole day").is_empty() && duration("").is_empty());
        assert!(hours(b"24.5").is_empty() && !hours(b"21.5").is_empty());
    }

    #[test]
    fn a_separator_within_an_fdi_number_is_seen_through() {
        assert_eq!(with_separator("1-1").map(u8::from), Some(11));
        assert_eq!((with_separator("9-1"), with_separator("1-12"), with_separator("")), (None, None, None));
    }
}
