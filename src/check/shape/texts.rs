//! Texts of a certain shape: dates, instants, time zones, identifiers, free text.

use oar_schema::describe::{Bounds, Type};
use oar_schema::record::{Id, TimeZone, VERSION, Version};
use oar_schema::time::{Date, Instant, YEARS, days_in_month};

use super::{Walk, told};
use crate::check::args::{Args, args};
use crate::check::rules::shape;
use crate::json::{Kind, NodeId, decode};

/// Characters of an identifier at most.
const ID_LENGTH: usize = 64;

impl Walk<'_> {
    pub(super) fn text(&mut self, node: NodeId, ty: &'static Type) {
        if self.tree.node(node).kind != Kind::String {
            return self.no_text(node, ty);
        }
        let text = decode(self.token(node));
        match ty {
            Type::Date => self.date(node, &text),
            Type::Instant => self.instant(node, &text),
            Type::TimeZone => self.time_zone(node, &text),
            Type::Id if !Id::fits(text.as_bytes()) => self.bad_id(node, &text),
            Type::Text(bounds) if !bounds.hold(text.chars().count() as i64) => self.too_long(node, &text, *bounds),
            Type::Constant(constant) if text != *constant => self.unknown_word(node, &text, &[constant]),
            Type::Version if text != VERSION.to_string() => self.unknown_version(node, &text),
            _ => {}
        }
    }

    /// A value of another type where a text belongs. A day that is written as a number is read.
    fn no_text(&mut self, node: NodeId, ty: &'static Type) {
        self.wrong_type(node, expected(ty));
        let day = self.day_as_number(node).filter(|_| matches!(ty, Type::Date));
        self.read_or_lose(node, day.map(|day| format!("\"{day}\"")));
    }

    fn date(&mut self, node: NodeId, text: &str) {
        match Date::parse(text.as_bytes()) {
            Some(day) if self.field.is_some_and(|field| field.name != "until") => self.note_day(day),
            Some(_) => {}
            None => {
                let args = self.not_a_date(node, text);
                let meant = args.iter().find(|(name, _)| matches!(*name, "patient_day" | "written_day" | "meant"));
                let meant = meant.map(|(_, day)| format!("\"{day}\""));
                self.fault(&shape::not_a_date, node, args);
                self.read_or_lose(node, meant);
            }
        }
    }

    fn instant(&mut self, node: NodeId, text: &str) {
        match Instant::parse(text.as_bytes()) {
            Some(at) if self.field.is_some_and(|field| field.name != "exported_at") => self.note_day(at.written_date()),
            Some(_) => {}
            None => {
                self.fault(&shape::not_an_instant, node, not_an_instant(text));
                self.read_or_lose(node, respelt_instant(text).map(|at| format!("\"{at}\"")));
            }
        }
    }

    /// An identifier that does not fit is read as another, which it alone has: what it says could be anything.
    fn bad_id(&mut self, node: NodeId, text: &str) {
        self.fault(&shape::bad_id, node, bad_id(text));
        if text.is_empty() {
            return self.lose(node);
        }
        let number = self.unfit_ids.len() + 1;
        let number = *self.unfit_ids.entry(text.to_owned()).or_insert(number);
        self.read_as(node, format!("\"unfit-{number}\""));
        self.note_hole();
    }

    /// A text that is too long is read as far as it may go.
    fn too_long(&mut self, node: NodeId, text: &str, bounds: Bounds) {
        let characters = text.chars().count();
        self.fault(&shape::too_long, node, args!["characters" = characters, "most" = bounds.most]);
        let read: String = text.chars().take(bounds.most as usize).collect();
        self.read_as(node, serde_json::Value::from(read).to_string());
        self.note_hole();
    }

    fn unknown_version(&mut self, node: NodeId, text: &str) {
        let known = VERSION.to_string();
        let mut args = args!["allowed" = known.clone(), "only" = known, "field" = "version"];
        let version = Version::parse(text).filter(|version| told::is_usual(*version));
        args.extend(version.map(|version| ("version", version.to_string().into())));
        self.fault(&shape::unknown_word, node, args);
        self.lose(node);
    }

    fn not_a_date(&mut self, node: NodeId, text: &str) -> Args {
        let mut args = args![];
        if told::is_time(text) {
            args.push(("value", text.to_owned().into()));
        }
        if let Some(instant) = Instant::parse(text.as_bytes()).or_else(|| respelt_instant(text)) {
            args.push(("instant", "instant".into()));
            args.push(match self.patient_day(instant) {
                Some(day) => ("patient_day", day.into()),
                None => ("written_day", instant.written_date().into()),
            });
        } else if let Some(day) = day_by_shape(text) {
            args.extend(no_such_day(day));
        } else if let Some(meant) = respelt_date(text).or_else(|| date_of_local_time(text)) {
            args.push(("meant", meant.into()));
        }
        let optional = self.field.filter(|field| !field.required && self.tree.node(node).key.is_some());
        args.extend(optional.map(|field| ("optional", field.name.into())));
        args
    }

    /// The calendar day of an instant where the patient lives, if the record tells the time zone.
    fn patient_day(&mut self, instant: Instant) -> Option<Date> {
        let patient = self.tree.member(self.bytes, self.tree.root(), "patient")?;
        let zone = self.tree.member(self.bytes, patient, "time_zone")?;
        let name = decode(self.token(zone)).into_owned();
        let zone = self.zones.find(name.as_bytes()).filter(|_| TimeZone::fits(name.as_bytes()))?;
        Some(self.zones.zone(zone).date(instant))
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
        self.lose(node);
    }
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

/// The day of a date and time without an offset.
fn date_of_local_time(text: &str) -> Option<Date> {
    let (day, clock) = text.split_once(['T', ' '])?;
    let is_clock = Instant::parse(format!("2031-01-01T{clock}Z").as_bytes()).is_some()
        || Instant::parse(format!("2031-01-01T{clock}:00Z").as_bytes()).is_some();
    Date::parse(day.as_bytes()).filter(|_| is_clock)
}

/// A date in a notation that can be read in one way only: year first, day, month and year with points, or
/// year last and only one of the others a month.
fn respelt_date(text: &str) -> Option<Date> {
    let numbers: Vec<i32> = text.split(['-', '.', '/']).map(|part| part.parse().unwrap_or(-1)).collect();
    let compact = text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_digit());
    match numbers[..] {
        [year, month, day] if year >= *YEARS.start() => Date::new(year, month, day),
        [day, month, year] if text.split('.').count() == 3 => Date::new(year, month, day),
        [day, month, year] | [month, day, year] if day > 12 && month <= 12 => Date::new(year, month, day),
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

/// Why an identifier does not fit. Of the text itself punctuation is told only: it can be a person's name.
fn bad_id(text: &str) -> Args {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || "._:-".contains(letter);
    let wrong = text.chars().position(|letter| !plain(letter));
    match (wrong, text.chars().next()) {
        (_, None) => args!["empty" = "empty"],
        (Some(at), _) => {
            let mut args = args!["unfit" = unfit(text.chars().filter(|letter| !plain(*letter))), "at" = at + 1];
            if text.contains('@') {
                args.push(("mail", "\"@\"".into()));
            } else if text.contains(' ') {
                args.push(("space", "space".into()));
            }
            args
        }
        (None, Some('.' | '_' | ':' | '-')) => args!["first" = "first character"],
        (None, _) => args!["characters" = text.chars().count(), "most" = ID_LENGTH],
    }
}

/// Characters by name, each kind once: punctuation as it is, others by what they are.
fn unfit(letters: impl Iterator<Item = char>) -> String {
    let mut names: Vec<String> = Vec::new();
    for letter in letters {
        let name = match letter {
            ' ' => "a space".to_owned(),
            _ if letter.is_ascii_punctuation() => format!("\"{letter}\""),
            _ if letter.is_control() => "a control character".to_owned(),
            _ if letter.is_alphabetic() => "a letter beyond A to Z".to_owned(),
            _ => "another character".to_owned(),
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let last = names.pop().unwrap_or_default();
    if names.is_empty() { last } else { format!("{} and {last}", names.join(", ")) }
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
