//! Local time: offsets from UTC and lengths of days, from the IANA database that comes with the build.

use jiff::Timestamp;
use jiff::tz::TimeZoneDatabase;
use oar_schema::time::{Date, Instant};

const DAY: i64 = 86_400;

/// A time zone over the years of a cohort.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its name.
    pub name: String,
    first_offset: i64,
    /// From which second (UTC) which offset (seconds) holds.
    changes: Vec<(i64, i64)>,
}

impl Zone {
    /// The zone of that name, from one day to another. None when the database does not have it.
    pub fn load(name: &str, from: Date, to: Date) -> Option<Self> {
        let zone = TimeZoneDatabase::bundled().get(name).ok()?;
        let start = Timestamp::from_second(i64::from(from.0) * DAY).ok()?;
        let end = i64::from(to.0) * DAY;
        let changes =
            zone.following(start).map(|change| (change.timestamp().as_second(), i64::from(change.offset().seconds())));
        let changes = changes.take_while(|(second, _)| *second < end).collect();
        Some(Self { name: name.to_owned(), first_offset: i64::from(zone.to_offset(start).seconds()), changes })
    }

    fn offset_at(&self, second: i64) -> i64 {
        match self.changes.partition_point(|(change, _)| *change <= second) {
            0 => self.first_offset,
            after => self.changes[after - 1].1,
        }
    }

    /// The second (UTC) at which a clock there shows a time of a day; during a clock change, one close to it.
    fn second_of(&self, day: Date, minute: i32) -> i64 {
        let local = i64::from(day.0) * DAY + i64::from(minute) * 60;
        let guess = local - self.offset_at(local - self.first_offset);
        local - self.offset_at(guess)
    }

    /// The instant at which a clock there shows a time of a day, in minutes from midnight.
    pub fn instant(&self, day: Date, minute: i32) -> Instant {
        let seconds = self.second_of(day, minute);
        Instant { seconds, nanoseconds: 0, offset_minutes: (self.offset_at(seconds) / 60) as i16 }
    }

    /// The first second (UTC) at which the calendar shows `day` or a later one: midnight may come twice, or not at all.
    fn begins(&self, day: Date) -> i64 {
        let midnight = i64::from(day.0) * DAY;
        let (mut from, mut offset) = (i64::MIN, self.first_offset);
        for (second, next) in &self.changes {
            let reached = (midnight - offset).max(from);
            if reached < *second {
                return reached;
            }
            (from, offset) = (*second, *next);
        }
        (midnight - offset).max(from)
    }

    /// Minutes from one midnight to the next.
    pub fn minutes(&self, day: Date) -> i32 {
        let local = i64::from(day.0) * DAY;
        let near = (local - 2 * DAY, local + 3 * DAY);
        if !self.changes.iter().any(|(second, _)| (near.0..near.1).contains(second)) {
            return 1440;
        }
        ((self.begins(day.plus_days(1)) - self.begins(day)) / 60) as i32
    }
}
