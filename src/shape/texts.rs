//! Texts of a certain shape: dates, instants, time zones, identifiers, free text.

use oar_schema::describe::Type;
use oar_schema::record::{Id, TimeZone, VERSION, Version};
use oar_schema::time::{Date, Instant, YEARS, days_in_month};

use super::{Walk, told};
use crate::finding::{Args, args};
use crate::json::{Kind, NodeId, decode};
use crate::rules::shape;

/// Characters of an identifier at most.
const ID_LENGTH: usize = 64;
/// Greater numbers are no part of a version that somebody writes.
const VERSION_PART: u16 = 99;

impl Walk<'_> {
    pub(super) fn text(&mut self, node: NodeId, ty: &'static Type) {
        if self.tree.node(node).kind != Kind::String {
            return self.wrong_type(node, expected(ty));
        }
        let text = decode(self.token(node));
        match ty {
            Type::Date if Date::parse(text.as_bytes()).is_none() => {
                self.fault(&shape::not_a_date, node, not_a_date(&text));
            }
            Type::Instant if Instant::parse(text.as_bytes()).is_none() => {
                self.fault(&shape::not_an_instant, node, not_an_instant(&text));
            }
            Type::TimeZone => self.time_zone(node, &text),
            Type::Id if !Id::fits(text.as_bytes()) => self.fault(&shape::bad_id, node, bad_id(&text)),
            Type::Text(bounds) if !bounds.hold(text.chars().count() as i64) => {
                let args = args!["characters" = text.chars().count(), "most" = bounds.most];
                self.fault(&shape::too_long, node, args);
            }
            Type::Constant(constant) if text != *constant => self.unknown_word(node, &text, vec![constant]),
            Type::Version if text != VERSION.to_string() => self.unknown_version(node, &text),
            _ => {}
        }
    }

    fn unknown_version(&mut self, node: NodeId, text: &str) {
        let known = VERSION.to_string();
        let mut args = args!["allowed" = known.clone(), "only" = known, "field" = "version"];
        let version = Version::parse(text).filter(|version| version.major.max(version.minor) <= VERSION_PART);
        args.extend(version.map(|version| ("version", version.to_string().into())));
        self.fault(&shape::unknown_word, node, args);
    }

    fn time_zone(&mut self, node: NodeId, text: &str) {
        if TimeZone::fits(text.as_bytes()) && self.zones.find(text.as_bytes()).is_some() {
            return;
        }
        let mut args = args![];
        let offset = text.trim_start_matches("UTC").trim_start_matches("GMT");
        if offset.starts_with(['+', '-']) && offset[1..].bytes().all(|byte| byte.is_ascii_digit() || byte == b':') {
            args.push(("offset", "offset".into()));
        } else if text.ends_with(" Standard Time") {
            args.push(("system", "Windows".into()));
        } else {
            let nearest = self.zones.nearest(text).filter(|name| told::nearly_same(text, name));
            args.extend(nearest.map(|name| ("nearest", name.into())));
        }
        self.fault(&shape::not_a_time_zone, node, args);
    }
}

fn not_a_date(text: &str) -> Args {
    let mut args = args![];
    if told::is_time(text) {
        args.push(("value", text.to_owned().into()));
    }
    if Instant::parse(text.as_bytes()).is_some() {
        args.push(("instant", "instant".into()));
    } else if let Some(day) = day_by_shape(text) {
        args.extend(no_such_day(day));
    } else if let Some(meant) = respelt_date(text) {
        args.push(("meant", meant.into()));
    }
    args
}

/// Why a day of the right shape does not exist.
fn no_such_day((year, month, day): (i32, i32, i32)) -> Args {
    if !YEARS.contains(&year) {
        return args!["year" = year, "first_year" = *YEARS.start(), "last_year" = *YEARS.end()];
    }
    if !(1..=12).contains(&month) {
        return args!["month" = month];
    }
    let last = Date::new(year, month, days_in_month(year, month));
    args!["day" = day].into_iter().chain(last.map(|last| ("last", last.into()))).collect()
}

/// Year, month and day of `YYYY-MM-DD`, whether or not there is such a day.
fn day_by_shape(text: &str) -> Option<(i32, i32, i32)> {
    let shape = text.len() == 10
        && text
            .bytes()
            .enumerate()
            .all(|(at, byte)| if at == 4 || at == 7 { byte == b'-' } else { byte.is_ascii_digit() });
    if !shape {
        return None;
    }
    Some((text[..4].parse().ok()?, text[5..7].parse().ok()?, text[8..].parse().ok()?))
}

/// A date in a notation that can be read in one way only: year first, or day, month and year with points.
fn respelt_date(text: &str) -> Option<Date> {
    let numbers: Vec<i32> = text.split(['-', '.', '/']).map(|part| part.parse().unwrap_or(-1)).collect();
    let compact = text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_digit());
    match numbers[..] {
        [year, month, day] if year >= *YEARS.start() => Date::new(year, month, day),
        [day, month, year] if text.split('.').count() == 3 => Date::new(year, month, day),
        [whole] if compact => Date::new(whole / 10_000, whole / 100 % 100, whole % 100),
        _ => None,
    }
}

fn not_an_instant(text: &str) -> Args {
    let mut args = args![];
    if told::is_time(text) {
        args.push(("value", text.to_owned().into()));
    }
    let reads = |text: String| Instant::parse(text.as_bytes());
    if Date::parse(text.as_bytes()).is_some() {
        args.push(("date", "date".into()));
    } else if reads(format!("{text}Z")).is_some() {
        args.push(("no_offset", "no offset".into()));
    } else if text.contains(":60") && reads(text.replacen(":60", ":59", 1)).is_some() {
        args.push(("leap", "leap second".into()));
    } else if let Some(meant) = respelt_instant(text) {
        args.push(("meant", meant.into()));
    } else if let Some(day) =
        text.get(..10).and_then(day_by_shape).filter(|_| Date::parse(&text.as_bytes()[..10]).is_none())
    {
        args.extend(no_such_day(day));
    }
    args
}

/// An instant that lacks the seconds, the `T` or the colon of its offset.
fn respelt_instant(text: &str) -> Option<Instant> {
    let text = text.to_ascii_uppercase().replacen(' ', "T", 1).replace(' ', "");
    let sign = text.get(10..)?.find(['Z', '+', '-'])? + 10;
    let (clock, offset) = text.split_at(sign);
    let clock = if clock.len() == 16 { format!("{clock}:00") } else { clock.to_owned() };
    let offset = match offset.len() {
        3 => format!("{offset}:00"),
        5 => format!("{}:{}", offset.get(..3)?, offset.get(3..)?),
        _ => offset.to_owned(),
    };
    Instant::parse(format!("{clock}{offset}").as_bytes())
}

/// Why an identifier does not fit. Nothing of it is told: it can be a person's name.
fn bad_id(text: &str) -> Args {
    let fits = |(at, letter): (usize, char)| {
        letter.is_ascii_alphanumeric() || (at > 0 && letter.is_ascii() && b"._:-".contains(&(letter as u8)))
    };
    let wrong = text.chars().enumerate().find(|letter| !fits(*letter));
    match wrong {
        _ if text.is_empty() => args!["empty" = "empty"],
        Some((at, ' ')) => args!["space" = "space", "at" = at + 1],
        Some((0, '.' | '_' | ':' | '-')) => args!["first" = "first character"],
        Some((at, _)) => args!["at" = at + 1],
        None => args!["characters" = text.chars().count(), "most" = ID_LENGTH],
    }
}

const fn expected(ty: &Type) -> &'static str {
    match ty {
        Type::Date => "a date such as \"2031-02-03\"",
        Type::Instant => "an instant such as \"2031-02-03T08:30:00+01:00\"",
        Type::TimeZone => "the name of a time zone such as \"Europe/Vienna\"",
        Type::Id => "an identifier in quotes",
        _ => "a text",
    }
}
