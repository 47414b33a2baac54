//! One record as the signals see it.

use oar_schema::derived::arches::{self, Tray};
use oar_schema::derived::course;
use oar_schema::limits::Limits;
use oar_schema::record::{Arches, CheckIn, Record, Series, State, WearEnd, WearPeriod};
use oar_schema::time::Date;

use super::next;
use crate::check::args::Args;

/// A record on a day, with the facts that several signals need.
pub(crate) struct View<'r> {
    pub(crate) record: &'r Record,
    /// The day of the review; nothing in the record is dated later.
    pub(crate) today: Date,
    pub(crate) limits: &'r Limits,
    /// The current trays: one, or two when each arch wears its own; that of the leading arch first.
    pub(crate) trays: Vec<Tray<'r>>,
    /// The wear period of the first of them, and its index.
    pub(crate) current: Option<(usize, &'r WearPeriod)>,
    /// Its series, and its index.
    pub(crate) series: Option<(usize, &'r Series)>,
}

impl<'r> View<'r> {
    pub(crate) fn new(record: &'r Record, today: Date, limits: &'r Limits) -> Self {
        let trays = arches::trays(record);
        let current = trays.first().map(|tray| (tray.place, tray.worn));
        let of = |number| record.series.iter().enumerate().find(|(_, series)| series.number == number);
        let series = current.and_then(|(_, worn)| of(worn.series));
        Self { record, today, limits, trays, current, series }
    }

    /// Whether trays are being worn.
    pub(crate) fn is_active(&self) -> bool {
        self.record.status.state == State::Active
    }

    /// The current tray of an active treatment.
    pub(crate) fn wearing(&self) -> Option<(usize, &'r WearPeriod)> {
        self.current.filter(|_| self.is_active())
    }

    /// The current trays of an active treatment.
    pub(crate) fn worn_trays(&self) -> impl Iterator<Item = &Tray<'r>> {
        self.trays.iter().filter(|_| self.is_active())
    }

    /// The day from which a current tray may be changed.
    pub(crate) fn due(&self, tray: &Tray<'_>) -> Date {
        course::due(self.record, tray.worn)
    }

    /// Adds the arch of a tray to the arguments of a signal, when each arch wears a tray of its own.
    pub(crate) fn of_arch(&self, tray: &Tray<'_>, mut args: Args) -> Args {
        if self.trays.len() > 1 {
            args.push(("arch", tray.arches.as_str().into()));
        }
        args
    }

    /// The check-ins, with their indices.
    pub(crate) fn check_ins(&self) -> impl DoubleEndedIterator<Item = (usize, &'r CheckIn)> + use<'r> {
        self.record.check_ins.as_deref().unwrap_or_default().iter().enumerate()
    }

    /// The latest check-in of a current tray since it was put in.
    pub(crate) fn last_with_tray(&self, tray: &Tray<'_>) -> Option<(usize, &'r CheckIn)> {
        next::latest(self.record, tray)
    }

    /// The wear periods in the arches of a tray, up to an index, the last one first.
    pub(crate) fn before(&self, place: usize, arches: Arches) -> impl Iterator<Item = &'r WearPeriod> + use<'r> {
        self.record.wear_periods[..place].iter().rev().filter(move |worn| arches::overlap(worn.arches, arches))
    }

    /// The first day of a current tray: that of its first wear period, when it has several consecutive ones.
    pub(crate) fn tray_since(&self, tray: &Tray<'_>) -> Date {
        let worn = tray.worn;
        let before = self.before(tray.place, tray.arches);
        let same = before.take_while(|one| (one.series, one.tray) == (worn.series, worn.tray));
        same.last().map_or(worn.from, |first| first.from)
    }

    /// The days of attended visits.
    pub(crate) fn visits_kept(&self) -> impl Iterator<Item = Date> + use<'r> {
        self.record.appointments.iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on)
    }
}

/// Whether a wear period ended with the next tray.
pub(crate) fn advanced(worn: &WearPeriod) -> bool {
    worn.ended == Some(WearEnd::Advanced)
}
