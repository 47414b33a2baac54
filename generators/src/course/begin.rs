//! The beginning: the patient, the aim, the first plan, and an almost empty record.

use oar_schema::record::{
    CrownWidth, Dentition, FollowUp, Id, Patient, Prescription, Record, Source, State, Status, Synthetic, TimeZone,
    WearSource,
};
use oar_schema::teeth::Tooth;
use oar_schema::zones::Zone;

use super::observations::Keeping;
use super::write::EXPORT_MINUTE;
use super::{Habits, Phase, Streams, Treatment};
use crate::key::Truth;
use crate::layers::bite::Bite;
use crate::layers::plan::aim::{self, Aim};
use crate::layers::plan::{PlanStyle, Task, staging};
use crate::layers::population::{self, Person};
use crate::layers::response::Tracking;
use crate::layers::start;
use crate::layers::wear::Wearer;
use crate::maths::{exp, hundredths};
use crate::random::{RandomLayer, RandomStream};
use crate::recipe::{Parameters, Recipe};

/// Nobody stays a patient who misses more than this share of appointments.
const MISSES_MOST: f64 = 0.6;
/// Days between two changes that clinics prescribe.
const CHANGE_DAYS: [i32; 3] = [7, 10, 14];

/// Where a record comes from.
#[derive(Clone, Copy)]
pub struct PatientSeed<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// The recipe's time zones, in its order.
    pub zones: &'a [Zone],
    /// The seed of the run.
    pub seed: u64,
    /// The place of the patient in the run.
    pub index: u64,
    /// A layer that draws once more at its beginning, so that tests can see what that changes.
    pub disturbed: Option<RandomLayer>,
}

impl<'a> PatientSeed<'a> {
    fn stream(&self, layer: RandomLayer) -> RandomStream {
        let mut stream = RandomStream::new(self.seed, self.index, layer);
        if self.disturbed == Some(layer) {
            stream.bits();
        }
        stream
    }

    fn streams(&self, plan: RandomStream, response: RandomStream) -> Streams {
        Streams {
            plan,
            response,
            check_ins: self.stream(RandomLayer::CheckIns),
            visits: self.stream(RandomLayer::Visits),
            losses: self.stream(RandomLayer::Losses),
            ends: self.stream(RandomLayer::Ends),
            sights: self.stream(RandomLayer::Sights),
            urgent: self.stream(RandomLayer::Urgent),
            logging: self.stream(RandomLayer::Logging),
            reporting: self.stream(RandomLayer::Reporting),
        }
    }

    fn truth(&self, record: &Record, person: &Person, adherence: f64, effects: [f64; 2]) -> Truth {
        let [clinic_effect, patient_effect] = effects;
        Truth {
            id: record.id.clone(),
            index: self.index,
            clinic: person.clinic,
            adherence,
            clinic_effect,
            patient_effect,
            true_minutes: Vec::new(),
            series: Vec::new(),
            holds: Vec::new(),
            attachments: Vec::new(),
            refinements: Vec::new(),
            derived: crate::derived::of(record, person.arrival),
            faults: Vec::new(),
        }
    }

    /// The treatment before its first day.
    pub fn course(self) -> Treatment<'a> {
        let values = &self.recipe.values;
        let person = population::draw(values, &mut self.stream(RandomLayer::Population));
        let mut start = start::draw(&values.start, &person, &mut self.stream(RandomLayer::Start));
        start::turn_some(&values.start, &mut start, &mut self.stream(RandomLayer::Turned));
        let bite = Bite::draw(&values.bite, &start, &mut self.stream(RandomLayer::Bite));
        let mut clinic = RandomStream::new(self.seed, person.clinic, RandomLayer::Clinic);
        let clinic_effect = values.clinic.expression_sd * clinic.normal();
        let mut plan = self.stream(RandomLayer::Plan);
        let style = PlanStyle::draw(values, &mut clinic, &mut plan);
        let aim = aim::draw(&values.plan, style, &person, &start, &mut plan);
        let (prescription, habits) = habits(values, &self);
        let mut response = self.stream(RandomLayer::Response);
        let patient_effect = values.response.patient_sd * response.normal();
        let reminded = prescription.follow_up.as_ref().is_some_and(|follow_up| follow_up.reminders);
        let wearer = Wearer::draw(values, &person, reminded, self.stream(RandomLayer::Wear));
        let mut streams = self.streams(plan, response);
        let keeping = Keeping::draw(&values.report, &mut streams.sights);
        let record = record(&self, &person, prescription);
        let truth = self.truth(&record, &person, wearer.adherence, [clinic_effect, patient_effect]);
        let zone = &self.zones[person.zone];
        let mut course = Treatment {
            recipe: self.recipe,
            zone,
            today: person.arrival,
            person,
            start,
            aim,
            style,
            habits,
            streams,
            wearer,
            effect: clinic_effect + patient_effect,
            record,
            truth,
            phase: Phase::Planned,
            plans: Vec::new(),
            series: 0,
            ordered: None,
            current: None,
            bonds: Vec::new(),
            tracking: Tracking::default(),
            moved: [[0.0; 6]; Tooth::COUNT],
            enamel: Vec::new(),
            handed: 0,
            appointments: Vec::new(),
            waits: false,
            holds: 0,
            stepped_back: false,
            replacing: None,
            broken_off: false,
            bite,
            keeping,
            logged: (0, 0),
            pending: super::endings::Pending::default(),
        };
        course.book_first();
        course
    }
}

/// How a patient is treated and followed; each choice from its own layer.
fn habits(values: &Parameters, patient_seed: &PatientSeed<'_>) -> (Prescription, Habits) {
    let (plan, care, report) = (&values.plan, &values.care, &values.report);
    let mut choices = patient_seed.stream(RandomLayer::Habits);
    let change_interval_days = CHANGE_DAYS[choices.choice(&plan.change_days_shares)];
    let remote = choices.chance(plan.remote_share);
    let reminders = choices.chance(plan.reminders_share);
    let sensor = choices.chance(plan.sensor_share);
    let timer = choices.chance(report.timer_share);
    let logs = choices.chance(report.logged_share);
    let flattery = report.flattery * (0.4 + 1.2 * choices.unit());
    let feels = choices.log_normal(1.0, 0.4);
    let tells = choices.chance(report.comfort_share);
    let accepted_mm = care.accepted_mm * exp(care.accepted_sigma * choices.normal());
    let lateness = choices.exponential(0.5);
    let evenness = care.no_show_evenness;
    let misses = patient_seed
        .stream(RandomLayer::Attendance)
        .beta(care.no_show_share * evenness + 1e-6, (1.0 - care.no_show_share) * evenness);
    let speech_days = patient_seed.stream(RandomLayer::Speech).log_normal(report.speech_days, report.speech_sigma);
    let stretch = if remote { care.remote_stretch } else { 1.0 };
    let weeks = (care.review_weeks * stretch * choices.log_normal(1.0, 0.15)).round().max(2.0);
    let log = match (sensor, logs, timer) {
        (true, ..) => Some(WearSource::Sensor),
        (_, false, _) => None,
        (_, _, true) => Some(WearSource::Timer),
        _ => Some(WearSource::Patient),
    };
    let every = remote.then_some(change_interval_days * plan.check_in_trays);
    let prescription = Prescription {
        check_in_interval_days: every,
        follow_up: Some(FollowUp { remote, reminders, sensor }),
        ..Prescription::new(plan.wear_goal_minutes, plan.wear_minimum_minutes, change_interval_days)
    };
    let habits = Habits {
        change_interval_days,
        remote,
        check_in_trays: plan.check_in_trays,
        review_days: weeks as i32 * 7,
        log,
        flattery: if log == Some(WearSource::Sensor) { 0.0 } else { flattery.min(0.9) },
        comfort: tells.then_some(feels),
        accepted_mm,
        misses: misses.min(MISSES_MOST),
        speech_days,
        lateness,
    };
    (prescription, habits)
}

fn record(patient_seed: &PatientSeed<'_>, person: &Person, prescription: Prescription) -> Record {
    let (recipe, index) = (patient_seed.recipe, patient_seed.index);
    let seed = patient_seed.seed as i64;
    let synthetic = Synthetic::new(recipe.name.clone(), recipe.version.clone(), seed, index as i64);
    let zone = TimeZone(patient_seed.zones[person.zone].name().to_owned());
    let system = Id(recipe.values.clinic.system.clone());
    let exported_at = patient_seed.zones[person.zone].instant(person.arrival, EXPORT_MINUTE);
    Record::new(
        Id(format!("QM-{index:07}")),
        Source::new(system, exported_at).system_version(env!("CARGO_PKG_VERSION").into()).synthetic(synthetic),
        Patient::new(Id(format!("P-{index:07}")), person.birth.civil().0, zone).sex(person.sex),
        dentition(person),
        prescription,
        Vec::new(),
        Vec::new(),
        Status::new(State::Planned, person.arrival),
    )
}

fn dentition(person: &Person) -> Dentition {
    let mouth = &person.mouth;
    let width =
        |tooth: Tooth| CrownWidth { tooth, width_mm: hundredths((mouth.widths[tooth.index()] * 10.0).round() / 10.0) };
    let measured = mouth.natural.iter().filter(|tooth| tooth.position() <= 6);
    Dentition {
        absent: mouth.absent.iter().collect(),
        primary: Some(mouth.primary.iter().collect()),
        implants: Some(mouth.implants.iter().collect()),
        pontics: Some(mouth.pontics.iter().collect()),
        extracted: Some(Vec::new()),
        crown_widths: person.widths_known.then(|| measured.map(width).collect()),
    }
}

impl Treatment<'_> {
    /// Plans a series for what is left to move.
    pub(super) fn make_plan(
        &mut self,
        moves: &crate::mouth::ForTeeth<crate::mouth::Moves>,
        reductions: Vec<([Tooth; 2], i32)>,
    ) -> crate::layers::plan::SeriesPlan {
        let number = self.plans.len() as i32;
        let task = Task { person: &self.person, aim: &self.aim, moves, reductions, number };
        staging::plan(&self.recipe.values.plan, self.style, &task, &mut self.streams.plan)
    }

    /// All enamel that the aim takes off.
    pub(super) fn aimed_reductions(aim: &Aim) -> Vec<([Tooth; 2], i32)> {
        aim.rooms.iter().flat_map(|room| room.reductions.clone()).collect()
    }
}
