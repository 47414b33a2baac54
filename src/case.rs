//! The case: one record as the rules see it, with what several of them ask.

use oar_schema::limits::Limits;
use oar_schema::rows::{Rows, Str};
use oar_schema::teeth::ToothSet;
use oar_schema::time::{Date, Instant};

use crate::days::first_and_last;
use crate::notation::{Doubt, doubt};
use crate::zones::Zone;

/// One record under check. It gives the record's fields and lists through [`Rows`]: `case[case.worn]`.
pub struct Case<'a> {
    rows: &'a Rows,
    bytes: &'a [u8],
    /// The thresholds.
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
}

impl<'a> Case<'a> {
    /// The record in `rows`, read from `bytes`.
    pub(crate) fn new(rows: &'a Rows, bytes: &'a [u8], limits: &'a Limits, zone: Option<&'a Zone>) -> Self {
        let now = rows.source.exported_at;
        let today = zone.map_or(now.written_date(), |zone| zone.date(now));
        let (moved, days) = (moved(rows), first_and_last(rows));
        let doubt = doubt(rows, moved, today, limits);
        let mut case =
            Self { rows, bytes, limits, zone, today, standing: standing(rows), days, trusted: days, moved, doubt };
        case.trusted = case.reliable_days();
        case
    }

    /// The bytes of the record.
    pub(crate) fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// The bytes of a text, escapes as written.
    pub fn text(&self, text: Str) -> &'a [u8] {
        text.of(self.bytes)
    }

    /// An identifier, for a message.
    pub fn id(&self, id: Str) -> String {
        String::from_utf8_lossy(self.text(id)).into_owned()
    }

    /// The patient's calendar day of an instant.
    pub fn day_of(&self, at: Instant) -> Date {
        self.zone.map_or(at.written_date(), |zone| zone.date(at))
    }
}

impl std::ops::Deref for Case<'_> {
    type Target = Rows;

    fn deref(&self) -> &Rows {
        self.rows
    }
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
