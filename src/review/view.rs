//! One record as the signals see it.

use oar_schema::derived::course;
use oar_schema::limits::Limits;
use oar_schema::record::{CheckIn, Record, Series, State, Worn, WornEnd};
use oar_schema::time::Date;

use super::next;

/// A record on a day, with what several signals ask.
pub(crate) struct View<'r> {
    pub(crate) record: &'r Record,
    /// The day of the review; nothing in the record is dated later.
    pub(crate) today: Date,
    pub(crate) limits: &'r Limits,
    /// The last stretch, if it has no end, and its place.
    pub(crate) current: Option<(usize, &'r Worn)>,
    /// Its series, and its place.
    pub(crate) series: Option<(usize, &'r Series)>,
    /// The day on which the tray that is in may be changed.
    pub(crate) due: Option<Date>,
}

impl<'r> View<'r> {
    pub(crate) fn new(record: &'r Record, today: Date, limits: &'r Limits) -> Self {
        let current = course::current(record).map(|worn| (record.worn.len() - 1, worn));
        let of = |number| record.series.iter().enumerate().find(|(_, series)| series.number == number);
        let series = current.and_then(|(_, worn)| of(worn.series));
        Self { record, today, limits, current, series, due: course::tray_due(record) }
    }

    /// Whether trays are being worn.
    pub(crate) fn is_active(&self) -> bool {
        self.record.status.state == State::Active
    }

    /// The tray that is in, of a treatment that is under way.
    pub(crate) fn wearing(&self) -> Option<(usize, &'r Worn)> {
        self.current.filter(|_| self.is_active())
    }

    /// The check-ins, with their places.
    pub(crate) fn check_ins(&self) -> impl DoubleEndedIterator<Item = (usize, &'r CheckIn)> + use<'r> {
        self.record.check_ins.as_deref().unwrap_or_default().iter().enumerate()
    }

    /// The latest check-in with the tray that is in, since it was put in.
    pub(crate) fn last_with_tray(&self) -> Option<(usize, &'r CheckIn)> {
        let latest = next::latest(self.record)?;
        self.check_ins().next_back().map(|(place, _)| (place, latest))
    }

    /// The first day of the tray that is in: that of its first stretch, when several of one tray follow each other.
    pub(crate) fn tray_since(&self) -> Option<Date> {
        let (place, worn) = self.current?;
        let before = self.record.worn[..place].iter().rev();
        let same = before.take_while(|one| (one.series, one.tray) == (worn.series, worn.tray));
        Some(same.last().map_or(worn.from, |first| first.from))
    }

    /// The days on which a visit was kept.
    pub(crate) fn visits_kept(&self) -> impl Iterator<Item = Date> + use<'r> {
        self.record.visits.iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on)
    }
}

/// `1 day`, `12 days`.
pub(crate) fn counted(count: i32, name: &str) -> String {
    format!("{count} {name}{}", if count == 1 { "" } else { "s" })
}

/// Whether a stretch ended with the next tray.
pub(crate) fn advanced(worn: &Worn) -> bool {
    worn.ended == Some(WornEnd::Advanced)
}
