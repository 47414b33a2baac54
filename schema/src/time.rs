//! Calendar days and instants, as RFC 3339 writes them.

use std::fmt;

use serde::{Serialize, Serializer};

use crate::parse::as_text;

/// The years that a record may name: the pattern in the published schema says the same.
pub const YEARS: std::ops::RangeInclusive<i32> = 1900..=2199;

/// The shape of a date, as an ECMA-262 regular expression.
pub const DATE_PATTERN: &str = "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$";

/// The shape of an instant, as an ECMA-262 regular expression.
pub const INSTANT_PATTERN: &str = "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,9})?(Z|[+-]([01][0-9]|2[0-3]):[0-5][0-9])$";

/// A calendar day, counted from 1970-01-01; the patient's time zone says when it begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub i32);

impl Date {
    /// 1970-01-01, from which days are counted.
    pub const EPOCH: Self = Self(0);

    /// The day of a Gregorian date, if there is such a day in [`YEARS`].
    pub fn new(year: i32, month: i32, day: i32) -> Option<Self> {
        let real =
            YEARS.contains(&year) && (1..=12).contains(&month) && (1..=days_in_month(year, month)).contains(&day);
        real.then(|| Self(days_from_civil(year, month, day)))
    }

    /// Reads `2031-01-15`, exactly that shape.
    pub fn parse(text: &[u8]) -> Option<Self> {
        let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = text.first_chunk::<10>()? else {
            return None;
        };
        if text.len() != 10 {
            return None;
        }
        let year = pair(*y1, *y2)? * 100 + pair(*y3, *y4)?;
        Self::new(year, pair(*m1, *m2)?, pair(*d1, *d2)?)
    }

    /// Year, month and day.
    pub fn civil(self) -> (i32, i32, i32) {
        civil_from_days(self.0)
    }

    /// Whole days from `earlier` to this day.
    pub fn days_since(self, earlier: Self) -> i32 {
        self.0 - earlier.0
    }

    /// The day that many days later.
    #[must_use]
    pub fn plus_days(self, days: i32) -> Self {
        Self(self.0.saturating_add(days))
    }
}

impl Date {
    /// Its text, if its year has four digits. Records have thousands of days, and formatting each takes far longer.
    fn digits(self) -> Option<[u8; 10]> {
        let (year, month, day) = self.civil();
        if !(0..=9999).contains(&year) {
            return None;
        }
        let digit = |number: i32| b'0' + (number % 10) as u8;
        let [y1, y2, y3, y4] = [year / 1000, year / 100, year / 10, year].map(digit);
        let [m1, m2, d1, d2] = [month / 10, month, day / 10, day].map(digit);
        Some([y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2])
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = self.digits();
        if let Some(Ok(text)) = digits.as_ref().map(|digits| std::str::from_utf8(digits)) {
            return f.write_str(text);
        }
        let (year, month, day) = self.civil();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

/// The month of a day that was read, with its text, so that the next day of the same month costs two digits.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Month {
    /// `2031-01-`, as a number.
    text: u64,
    /// The day before its first.
    before: i32,
    /// How many days it has.
    days: i32,
}

impl Month {
    /// Reads `2031-01-15`, from what is known when the month is the same one.
    #[inline]
    pub(crate) fn read(&mut self, text: &[u8; 10]) -> Option<Date> {
        let [month @ .., tens, ones] = text;
        let month = u64::from_le_bytes(*month);
        if month != self.text {
            return self.learn(month, text);
        }
        let day = pair(*tens, *ones)?;
        (1..=self.days).contains(&day).then(|| Date(self.before + day))
    }

    fn learn(&mut self, month: u64, text: &[u8; 10]) -> Option<Date> {
        let date = Date::parse(text)?;
        let (year, number, day) = date.civil();
        *self = Self { text: month, before: date.0 - day, days: days_in_month(year, number) };
        Some(date)
    }
}

/// A moment on the UTC scale, with the offset that it was written with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant {
    /// Seconds since 1970-01-01T00:00:00Z.
    pub seconds: i64,
    /// Nanoseconds after those seconds.
    pub nanoseconds: u32,
    /// Minutes that the written time is ahead of UTC.
    pub offset_minutes: i16,
}

impl Instant {
    /// Reads `2031-01-15T08:30:00+01:00`, `…Z`, with or without a fraction of up to nine digits.
    pub fn parse(text: &[u8]) -> Option<Self> {
        let (date, rest) = text.split_at_checked(10)?;
        let [b'T', h1, h2, b':', m1, m2, b':', s1, s2] = rest.first_chunk::<9>()? else {
            return None;
        };
        let (hour, minute, second) = (pair(*h1, *h2)?, pair(*m1, *m2)?, pair(*s1, *s2)?);
        if hour > 23 || minute > 59 || second > 59 {
            return None;
        }
        let (nanoseconds, zone) = fraction(&rest[9..])?;
        let offset = offset(zone)?;
        let local = i64::from(Date::parse(date)?.0) * 86_400 + i64::from(hour * 3600 + minute * 60 + second);
        Some(Self { seconds: local - i64::from(offset) * 60, nanoseconds, offset_minutes: offset })
    }

    /// The calendar day in the offset that it was written with.
    pub fn written_date(self) -> Date {
        self.date_at(i64::from(self.offset_minutes) * 60)
    }

    /// The calendar day of a clock that many seconds ahead of UTC.
    pub fn date_at(self, offset_seconds: i64) -> Date {
        Date((self.seconds + offset_seconds).div_euclid(86_400) as i32)
    }
}

impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let local = self.seconds + i64::from(self.offset_minutes) * 60;
        let clock = local.rem_euclid(86_400);
        write!(f, "{}T{:02}:{:02}:{:02}", self.written_date(), clock / 3600, clock / 60 % 60, clock % 60)?;
        if self.nanoseconds > 0 {
            write!(f, ".{}", format!("{:09}", self.nanoseconds).trim_end_matches('0'))?;
        }
        let (sign, offset) = (if self.offset_minutes < 0 { '-' } else { '+' }, self.offset_minutes.abs());
        match offset {
            0 => f.write_str("Z"),
            _ => write!(f, "{sign}{:02}:{:02}", offset / 60, offset % 60),
        }
    }
}

#[inline]
fn pair(tens: u8, ones: u8) -> Option<i32> {
    let (tens, ones) = (tens.wrapping_sub(b'0'), ones.wrapping_sub(b'0'));
    (tens < 10 && ones < 10).then(|| i32::from(tens * 10 + ones))
}

/// Nanoseconds of `.123…`, if it is there, and what follows.
fn fraction(text: &[u8]) -> Option<(u32, &[u8])> {
    let Some(digits) = text.strip_prefix(b".") else {
        return Some((0, text));
    };
    let count = digits.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if !(1..=9).contains(&count) {
        return None;
    }
    let value = digits[..count].iter().fold(0u32, |sum, digit| sum * 10 + u32::from(digit - b'0'));
    Some((value * 10u32.pow(9 - count as u32), &digits[count..]))
}

fn offset(text: &[u8]) -> Option<i16> {
    match text {
        b"Z" => Some(0),
        [sign @ (b'+' | b'-'), h1, h2, b':', m1, m2] => {
            let (hours, minutes) = (pair(*h1, *h2)?, pair(*m1, *m2)?);
            let size = (hours * 60 + minutes) as i16;
            (hours < 24 && minutes < 60).then_some(if *sign == b'-' { -size } else { size })
        }
        _ => None,
    }
}

/// Days in a month of the Gregorian calendar.
pub fn days_in_month(year: i32, month: i32) -> i32 {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970-01-01, by counting years that begin in March.
fn days_from_civil(year: i32, month: i32, day: i32) -> i32 {
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let day_of_year = (153 * month + 2) / 5 + day - 1;
    365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400) + day_of_year - 719_468
}

/// The inverse of [`days_from_civil`].
fn civil_from_days(days: i32) -> (i32, i32, i32) {
    let days = i64::from(days) + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year as i32, month as i32, day as i32)
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.digits().as_ref().map(|digits| std::str::from_utf8(digits)) {
            Some(Ok(text)) => serializer.serialize_str(text),
            _ => serializer.collect_str(self),
        }
    }
}

impl Serialize for Instant {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

as_text!(Date, "a date such as 2031-01-15", |text: &str| Self::parse(text.as_bytes()));
as_text!(Instant, "an instant such as 2031-01-15T08:30:00+01:00", |text: &str| Self::parse(text.as_bytes()));
