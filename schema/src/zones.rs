//! Time zones: how long a calendar day was, on which day an instant fell, and which instant a clock showed.
//!
//! Names and rules are those of the IANA database, in the copy that the `jiff` crate carries; the machine's own copy is never
//! read, so results are the same everywhere.

use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, civil};

use crate::time::{Date, Instant};

/// Clock changes are known from this year on.
const FIRST_YEAR: i16 = 1900;
/// Clock changes are known up to this year.
const LAST_YEAR: i16 = 2200;
/// Minutes of a day without a clock change.
const USUAL_MINUTES: i32 = 1440;

/// One time zone, ready for many questions.
#[derive(Clone, Debug)]
pub struct Zone {
    name: String,
    first_offset: i64,
    /// Each offset (seconds) with the second (UTC) from which it applies, in chronological order.
    changes: Vec<(i64, i64)>,
    /// Days that are not 1440 minutes long, in order.
    unusual: Vec<(Date, i32)>,
    shortest: i32,
}

impl Zone {
    /// The zone of that name, if the database has exactly that name. Use [`Zones`] for many names.
    pub fn named(name: &str) -> Option<Self> {
        let mut zones = Zones::default();
        zones.find(name.as_bytes()).map(|index| zones.known.swap_remove(index))
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    fn load(database: &TimeZoneDatabase, name: &str) -> Option<Self> {
        let zone = database.get(name).ok()?;
        let start = civil::date(FIRST_YEAR, 1, 1).at(0, 0, 0, 0);
        let start = TimeZone::UTC.to_timestamp(start).ok()?;
        let changes = zone.following(start).take_while(|change| year(change.timestamp()) < LAST_YEAR);
        let changes: Vec<(i64, i64)> =
            changes.map(|change| (change.timestamp().as_second(), i64::from(change.offset().seconds()))).collect();
        let mut zone = Self {
            name: name.to_owned(),
            first_offset: i64::from(zone.to_offset(start).seconds()),
            changes,
            unusual: Vec::new(),
            shortest: USUAL_MINUTES,
        };
        zone.find_unusual_days();
        Some(zone)
    }

    fn find_unusual_days(&mut self) {
        let mut days: Vec<Date> = Vec::new();
        for (index, (second, after)) in self.changes.iter().enumerate() {
            let before = if index == 0 { self.first_offset } else { self.changes[index - 1].1 };
            let (low, high) = (second + before.min(*after), second + before.max(*after));
            days.extend((day_of(low).0 - 1..=day_of(high).0).map(Date));
        }
        days.sort_unstable();
        days.dedup();
        let measured = days.iter().map(|day| (*day, self.measure(*day)));
        self.unusual = measured.filter(|(_, minutes)| *minutes != USUAL_MINUTES).collect();
        self.shortest = self.unusual.iter().map(|(_, minutes)| *minutes).fold(USUAL_MINUTES, i32::min);
    }

    /// Minutes from the first moment of a day to the first moment of the next one.
    fn measure(&self, day: Date) -> i32 {
        ((self.begins(day.plus_days(1)) - self.begins(day)) / 60) as i32
    }

    /// The first second (UTC) at which the local calendar shows `day` or a later day.
    fn begins(&self, day: Date) -> i64 {
        let midnight = i64::from(day.0) * 86_400;
        let near = self.changes.partition_point(|(second, _)| *second < midnight - 2 * 86_400);
        let mut from = i64::MIN;
        let mut offset = if near == 0 { self.first_offset } else { self.changes[near - 1].1 };
        for (second, next) in self.changes[near..].iter().chain(&[(i64::MAX, 0)]) {
            let reached = (midnight - offset).max(from);
            if reached < *second {
                return reached;
            }
            (from, offset) = (*second, *next);
        }
        midnight - offset
    }

    /// How many minutes the day has there.
    pub fn minutes(&self, day: Date) -> i32 {
        let found = self.unusual.binary_search_by_key(&day, |(unusual, _)| *unusual);
        found.map_or(USUAL_MINUTES, |index| self.unusual[index].1)
    }

    /// The minutes of the shortest day that the zone ever has: no day is shorter.
    pub fn shortest_day(&self) -> i32 {
        self.shortest
    }

    /// Seconds that clocks there are ahead of UTC at an instant.
    pub fn offset(&self, at: Instant) -> i64 {
        self.offset_at(at.seconds)
    }

    fn offset_at(&self, second: i64) -> i64 {
        match self.changes.partition_point(|(change, _)| *change <= second) {
            0 => self.first_offset,
            after => self.changes[after - 1].1,
        }
    }

    /// The instant at which a local clock shows a time of a day, in minutes from midnight; during a clock change, one close
    /// to it.
    pub fn instant(&self, day: Date, minute: i32) -> Instant {
        let local = i64::from(day.0) * 86_400 + i64::from(minute) * 60;
        let near = local - self.offset_at(local - self.offset_at(local));
        let seconds = local - self.offset_at(near);
        Instant { seconds, nanoseconds: 0, offset_minutes: (self.offset_at(seconds) / 60) as i16 }
    }

    /// The period around an instant in which local clocks do not change.
    pub fn season(&self, at: Instant) -> Season {
        let after = self.changes.partition_point(|(second, _)| *second <= at.seconds);
        let until = self.changes.get(after).map_or(i64::MAX, |(second, _)| *second);
        match after {
            0 => Season { from: i64::MIN, until, offset: self.first_offset },
            _ => Season { from: self.changes[after - 1].0, until, offset: self.changes[after - 1].1 },
        }
    }

    /// The local calendar day at an instant.
    pub fn date(&self, at: Instant) -> Date {
        at.date_at(self.offset(at))
    }
}

/// A period in which the clocks of a zone do not change.
#[derive(Clone, Copy, Debug)]
pub struct Season {
    from: i64,
    until: i64,
    /// Seconds that clocks are ahead of UTC.
    pub offset: i64,
}

impl Season {
    /// Whether an instant is in it.
    pub fn contains(&self, at: Instant) -> bool {
        (self.from..self.until).contains(&at.seconds)
    }
}

fn day_of(local_second: i64) -> Date {
    Date(local_second.div_euclid(86_400) as i32)
}

fn year(at: Timestamp) -> i16 {
    TimeZone::UTC.to_datetime(at).year()
}

/// The zones used so far; each is computed once.
#[derive(Debug)]
pub struct Zones {
    database: TimeZoneDatabase,
    known: Vec<Zone>,
}

impl Default for Zones {
    fn default() -> Self {
        Self { database: TimeZoneDatabase::bundled(), known: Vec::new() }
    }
}

impl Zones {
    /// The index of the zone of that name, if the database has exactly that name.
    pub fn find(&mut self, name: &[u8]) -> Option<usize> {
        if let Some(index) = self.known.iter().position(|zone| zone.name.as_bytes() == name) {
            return Some(index);
        }
        let name = std::str::from_utf8(name).ok()?;
        self.known.push(Zone::load(&self.database, self.exact(name)?)?);
        Some(self.known.len() - 1)
    }

    /// The name, if it is written as in the database; the database itself ignores case.
    fn exact<'n>(&self, name: &'n str) -> Option<&'n str> {
        self.database.available().any(|known| known.as_str() == name).then_some(name)
    }

    /// The name in the database nearest to `name`, if one is near.
    pub fn nearest(&self, name: &str) -> Option<String> {
        let names: Vec<String> = self.database.available().map(|known| known.as_str().to_owned()).collect();
        crate::nearest::nearest(name, names.iter().map(String::as_str)).map(str::to_owned)
    }

    /// The zone at an index given by [`Self::find`].
    pub fn zone(&self, index: usize) -> &Zone {
        &self.known[index]
    }
}
