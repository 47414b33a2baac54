//! A treatment, one day at a time: what the patient and the clinic do, and what is recorded.
//!
//! Every day, in this order: personal events (a pause, a move), appointments, the change of a tray that is due, the wear of the
//! day, a check-in in the evening, accidents. Nothing looks ahead, so a treatment that is exported on an earlier day is the same
//! up to that day.

mod accidents;
mod begin;
mod bonds;
mod check_ins;
mod endings;
mod measure;
mod observations;
mod rescans;
mod trays;
mod visits;
mod write;

use oar_schema::record::{Record, WearSource};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use oar_schema::zones::Zone;

use crate::key::Truth;
use crate::layers::bite::Bite;
use crate::layers::plan::aim::Aim;
use crate::layers::plan::{PlanStyle, SeriesPlan};
use crate::layers::population::Person;
use crate::layers::response::Tracking;
use crate::layers::start::InitialState;
use crate::layers::wear::Wearer;
use crate::mouth::{ForTeeth, Moves};
use crate::random::RandomStream;
use crate::recipe::Recipe;

pub use begin::PatientSeed;
use bonds::Bond;
use observations::Keeping;
use visits::Booking;

/// The state of a treatment on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Trays are planned and made.
    Planned,
    /// A tray is in.
    Wearing,
    /// A tray went missing and no other can replace it until a new one arrives.
    Without,
    /// Trays are not worn until a day.
    Paused(Date),
    /// Retention.
    Retained,
    /// Nothing more happens.
    Over,
}

/// How this patient is treated and followed.
#[derive(Clone, Debug)]
struct Habits {
    change_interval_days: i32,
    remote: bool,
    check_in_trays: i32,
    review_days: i32,
    /// Where logged minutes come from; none when nothing is logged.
    log: Option<WearSource>,
    /// Share of the time without trays that this patient omits when reporting it.
    flattery: f64,
    comfort: Option<f64>,
    /// The deviation accepted at the end, in millimetres of the clinic's score.
    accepted_mm: f64,
    /// Share of appointments that this patient misses.
    misses: f64,
    /// Days until speech is back to normal.
    speech_days: f64,
    /// Days late that this patient changes trays, on average.
    lateness: f64,
}

/// Streams of the layers that draw while time goes by.
struct Streams {
    plan: RandomStream,
    response: RandomStream,
    check_ins: RandomStream,
    visits: RandomStream,
    losses: RandomStream,
    ends: RandomStream,
    sights: RandomStream,
    urgent: RandomStream,
    logging: RandomStream,
    reporting: RandomStream,
}

/// The current tray.
#[derive(Clone, Copy, Debug)]
struct Current {
    /// The place of its series.
    series: usize,
    number: i32,
    /// Whether it is in the upper and in the lower arch.
    arches: [bool; 2],
    from: Date,
    /// The day on which the next one may be put in.
    due: Date,
    /// The patient has to come to the clinic before anything changes.
    frozen: bool,
    /// The next check-in is made whatever the interval.
    watched: bool,
}

/// An active treatment.
pub struct Treatment<'a> {
    recipe: &'a Recipe,
    zone: &'a Zone,
    person: Person,
    start: InitialState,
    aim: Aim,
    style: PlanStyle,
    habits: Habits,
    streams: Streams,
    wearer: Wearer,
    /// How much more or less than usual is expressed in this clinic and patient, in log-odds.
    effect: f64,
    record: Record,
    truth: Truth,
    today: Date,
    phase: Phase,
    plans: Vec<SeriesPlan>,
    /// The index of the current series.
    series: usize,
    /// A plan that is made and not yet handed over.
    ordered: Option<(Date, SeriesPlan)>,
    current: Option<Current>,
    bonds: Vec<Bond>,
    tracking: Tracking,
    /// The movements of earlier series.
    moved: ForTeeth<Moves>,
    /// Enamel removed at each contact, in hundredths of a millimetre.
    enamel: Vec<([Tooth; 2], i32)>,
    /// The last tray that was handed over.
    handed: i32,
    appointments: Vec<Booking>,
    /// Waits for the next series, or for the end, with the last tray in.
    waits: bool,
    holds: i32,
    stepped_back: bool,
    /// A new tray is being made for a lost one.
    replacing: Option<i32>,
    /// The next series was asked for before the last tray.
    broken_off: bool,
    /// The molar relationship.
    bite: Bite,
    /// Observations of hygiene and trays.
    keeping: Keeping,
    /// Minutes of the present tray's log: how many, over how many days.
    logged: (i32, i32),
    /// The first day of wear, and the days until personal events.
    pending: endings::Pending,
}

impl Treatment<'_> {
    /// Simulates all days up to the day of the export and gives the record and what is behind it.
    pub fn simulate(mut self, cut: Date) -> (Record, Truth) {
        while self.today < cut && self.phase != Phase::Over {
            self.day();
            self.today = self.today.plus_days(1);
        }
        self.today = cut;
        self.standing();
        self.finish_record();
        (self.record, self.truth)
    }

    /// The plan of the series that is worn.
    fn plan(&self) -> Option<&SeriesPlan> {
        self.plans.get(self.series)
    }

    fn day(&mut self) {
        if self.today < self.person.arrival {
            return;
        }
        self.life();
        self.keep_appointments();
        if self.phase == Phase::Wearing {
            self.change_tray();
            self.wear_today();
            self.evening();
            self.accident();
            self.worry();
        } else if !self.truth.true_minutes.is_empty() && !matches!(self.phase, Phase::Retained | Phase::Over) {
            self.truth.true_minutes.push(0);
        }
    }
}
