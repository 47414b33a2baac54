//! The case: one record as the rules see it, with the facts that several of them need.

pub(crate) mod appointments;
pub(crate) mod attachments;
pub(crate) mod contacts;
pub(crate) mod days;
pub(crate) mod deliveries;
pub(crate) mod doubt;
pub(crate) mod elastics;
pub(crate) mod enamel;
pub(crate) mod events;
pub(crate) mod events_by_name;
pub(crate) mod movements;
pub(crate) mod plan;
pub(crate) mod reductions;
pub(crate) mod refinements;
pub(crate) mod state;
pub(crate) mod totals;
pub(crate) mod wear_periods;
pub(crate) mod worn_trays;

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;

use oar_schema::limits::Limits;
use oar_schema::rows::{Rows, Str};
use oar_schema::teeth::ToothSet;
use oar_schema::time::{Date, Instant};

use crate::check::marks::{Heed, Mark, Marks};
use crate::zones::Zone;
use contacts::Contacts;
use days::first_and_last;
use doubt::{Doubt, doubt};
use events::EventFaults;
use events_by_name::Events;
use totals::ToothTotals;

/// One record under check. It gives the record's fields and lists through [`Rows`]: `case[case.worn]`.
pub(crate) struct Case<'a> {
    rows: &'a Rows,
    bytes: &'a [u8],
    /// The limits.
    pub limits: &'a Limits,
    /// The patient's time zone; none when its name is not known.
    pub zone: Option<&'a Zone>,
    /// The patient's calendar day at the export: today, for this record.
    pub today: Date,
    /// Teeth that stood in the mouth at the start (permanent ones not listed absent, listed primary ones).
    pub standing: ToothSet,
    /// The first and the last date in the record, the end of the retention left out.
    pub(crate) days: (Date, Date),
    /// From which day to which dates can be relied on.
    pub(crate) trusted: (Date, Date),
    /// The teeth that the movements name.
    pub(crate) moved: ToothSet,
    /// Why the tooth numbers may be no FDI numbers. Rules about teeth then have nothing to say but that. As with
    /// [`Case::trusts`], a section that could not be read counts as empty here.
    pub(crate) doubt: Option<Doubt>,
    /// How far each series moves each tooth, by the place of the series.
    pub(crate) totals: &'a [ToothTotals],
    /// What is worked out when the first rule asks for it.
    pub(crate) once: Once,
    /// How marks are asked for.
    pub(crate) heed: Heed,
}

/// Facts that only some records make rules ask for.
#[derive(Default)]
pub(crate) struct Once {
    /// The contacts of both arches.
    pub(crate) contacts: OnceCell<[Contacts; 2]>,
    /// What is wrong with the events of attachments.
    pub(crate) event_faults: OnceCell<EventFaults>,
    /// The events of attachments by what they name.
    pub(crate) events: OnceCell<Events>,
    /// Whether two attachments of a series have the same id, by where its attachments lie.
    pub(crate) ids_repeat: Known<bool>,
    /// Whether the events of a series contradict each other or the plan.
    pub(crate) events_told: Known<bool>,
    /// Whether an attachment is named that a series does not have.
    pub(crate) unknown_named: Known<bool>,
    /// The teeth of a series on which an attachment stands, or came off, and those from which it was removed.
    pub(crate) standing: Known<Option<[ToothSet; 2]>>,
    /// The last tray that a series speaks of, by arch.
    pub(crate) last_trays: Known<[i32; 2]>,
    /// Whether no other rule reports the trays of a delivery.
    pub(crate) plain_deliveries: OnceCell<Vec<bool>>,
    /// The days of low wear, in order.
    pub(crate) low_days: OnceCell<Vec<Date>>,
    /// Whether a wear period contradicts the one after it.
    pub(crate) any_contradiction: OnceCell<bool>,
}

impl<'a> Case<'a> {
    /// The record in `rows`, read from `bytes`. `totals` is filled, and used again for the next record.
    pub(crate) fn new(
        rows: &'a Rows,
        bytes: &'a [u8],
        limits: &'a Limits,
        zone: Option<&'a Zone>,
        totals: &'a mut Vec<ToothTotals>,
        left_out: Marks,
    ) -> Self {
        let now = rows.source.exported_at;
        let today = zone.map_or(now.written_date(), |zone| zone.date(now));
        let (moved, days) = (moved(rows), first_and_last(rows));
        let doubt = doubt(rows, moved, today, limits);
        totals.clear();
        totals.extend(rows[rows.series].iter().map(|series| ToothTotals::of(&rows[series.movements])));
        let (standing, once, heed) = (standing(rows), Once::default(), Heed::without(left_out));
        let mut case =
            Self { rows, bytes, limits, zone, today, standing, days, trusted: days, moved, doubt, totals, once, heed };
        case.trusted = case.reliable_days();
        case
    }

    /// Whether a mark counts.
    pub(crate) fn heeds(&self, mark: Mark) -> bool {
        self.heed.counts(mark)
    }

    /// Whether the record has one of these marks as a whole: then a rule that declares it has nothing to report.
    pub(crate) fn is_marked(&self, marks: Marks) -> bool {
        self.doubt.is_some() && marks.contains(Mark::ToothNumbers) && self.heeds(Mark::ToothNumbers)
    }

    /// The bytes of the record.
    pub(crate) fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// The bytes of a text, escapes as written.
    pub(crate) fn text(&self, text: Str) -> &'a [u8] {
        text.of(self.bytes)
    }

    /// An identifier, for a message.
    pub(crate) fn id(&self, id: Str) -> String {
        String::from_utf8_lossy(self.text(id)).into_owned()
    }

    /// The patient's calendar day of an instant.
    pub(crate) fn day_of(&self, at: Instant) -> Date {
        self.zone.map_or(at.written_date(), |zone| zone.date(at))
    }
}

impl std::ops::Deref for Case<'_> {
    type Target = Rows;

    fn deref(&self) -> &Rows {
        self.rows
    }
}

/// What is worked out once for each list or row of a record, by where it lies. The first few are kept without allocating.
#[derive(Debug)]
pub(crate) struct Known<T> {
    few: RefCell<[Option<(usize, T)>; FEW]>,
    more: RefCell<BTreeMap<usize, T>>,
}

/// Usual records have no more series.
const FEW: usize = 8;

impl<T: Copy> Default for Known<T> {
    fn default() -> Self {
        Self { few: RefCell::new([None; FEW]), more: RefCell::default() }
    }
}

impl<T: Copy> Known<T> {
    fn get(&self, place: usize) -> Option<T> {
        let few = self.few.borrow();
        let found = few.iter().map_while(|known| *known).find(|(known, _)| *known == place);
        found.map(|(_, value)| value).or_else(|| self.more.borrow().get(&place).copied())
    }

    fn insert(&self, place: usize, value: T) {
        match self.few.borrow_mut().iter_mut().find(|known| known.is_none()) {
            Some(free) => *free = Some((place, value)),
            None => drop(self.more.borrow_mut().insert(place, value)),
        }
    }
}

/// What is known of a list or row, worked out the first time.
pub(crate) fn known<R, T: Copy>(known: &Known<T>, of: *const R, work_out: impl FnOnce() -> T) -> T {
    let place = of.addr();
    known.get(place).unwrap_or_else(|| {
        let found = work_out();
        known.insert(place, found);
        found
    })
}

fn standing(rows: &Rows) -> ToothSet {
    let dentition = &rows.dentition;
    let mut teeth: ToothSet = oar_schema::teeth::Tooth::all().filter(|tooth| !tooth.is_primary()).collect();
    for tooth in &rows[dentition.absent] {
        teeth.remove(*tooth);
    }
    for tooth in &rows[dentition.primary] {
        teeth.insert(*tooth);
    }
    teeth
}

fn moved(rows: &Rows) -> ToothSet {
    rows[rows.series].iter().flat_map(|series| &rows[series.movements]).map(|movement| movement.tooth).collect()
}
