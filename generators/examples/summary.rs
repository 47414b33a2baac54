//! Prints what a cohort is like in numbers, for work on a recipe: `cargo run -p oar-generators --example summary -- general 1000`.

#![expect(clippy::print_stdout, reason = "it is there to print")]

use oar_generators::cohort::SyntheticCohort;
use oar_generators::key::Truth;
use oar_generators::recipe::Recipe;
use oar_schema::record::{AppointmentReason, DecisionKind, Record, State};

/// Numbers gathered under a name.
#[derive(Default)]
struct Gathered(Vec<(String, Vec<f64>)>);

impl Gathered {
    fn add(&mut self, name: &str, value: f64) {
        match self.0.iter_mut().find(|(known, _)| known == name) {
            Some((_, values)) => values.push(value),
            None => self.0.push((name.to_owned(), vec![value])),
        }
    }

    fn print(&mut self) {
        for (name, values) in &mut self.0 {
            values.sort_by(f64::total_cmp);
            let count = values.len();
            let mean = values.iter().sum::<f64>() / f64::from(count as u32);
            let at = |percent: usize| values[(count - 1) * percent / 100];
            println!(
                "{name:<34} n {count:>6}  mean {mean:>8.3}  5% {:>7.2}  25% {:>7.2}  50% {:>7.2}  75% {:>7.2}  95% {:>7.2}",
                at(5),
                at(25),
                at(50),
                at(75),
                at(95)
            );
        }
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let name = arguments.next().unwrap_or_else(|| "general".to_owned());
    let patients: u64 = arguments.next().map_or(Ok(500), |text| text.parse())?;
    let sets: Vec<String> = arguments.collect();
    let cohort = SyntheticCohort::new(Recipe::load(&name, &sets)?, 1);
    let mut gathered = Gathered::default();
    for index in 0..patients {
        let (record, truth) = cohort.patient(index);
        look(&record, &truth, &mut gathered)?;
    }
    gathered.print();
    Ok(())
}

fn flag(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

fn look(record: &Record, truth: &Truth, all: &mut Gathered) -> Result<(), Box<dyn std::error::Error>> {
    all.add("bytes", f64::from(serde_json::to_vec(record)?.len() as u32));
    for state in [
        State::Planned,
        State::Active,
        State::Paused,
        State::Finished,
        State::Discontinued,
        State::Fixed,
        State::Transferred,
    ] {
        all.add(&format!("share {state:?}"), flag(record.status.state == state));
    }
    people(record, all);
    course(record, truth, all);
    wear(record, truth, all);
    accuracy(record, all);
    Ok(())
}

fn people(record: &Record, all: &mut Gathered) {
    let absent = record.dentition.absent.iter().filter(|tooth| tooth.position() != 8).count();
    all.add("share with a missing tooth (any)", flag(absent > 0));
    let Some(start) = record.assessments.as_ref().and_then(|list| list.first()) else { return };
    let offsets = start.contact_displacements_mm.clone().unwrap_or_default();
    for (name, list) in [("irregularity upper", offsets.upper), ("irregularity lower", offsets.lower)] {
        if let Some(list) = list {
            all.add(name, list.iter().map(|offset| offset.as_f64().abs()).sum());
        }
    }
    let crowding = start.crowding_mm.clone().unwrap_or_default();
    for (name, value) in [("crowding upper", crowding.upper), ("crowding lower", crowding.lower)] {
        all.add(name, value.map_or(0.0, oar_schema::number::Hundredths::as_f64));
    }
    all.add("overjet", start.overjet_mm.map_or(0.0, oar_schema::number::Hundredths::as_f64));
    all.add("overbite", start.overbite_mm.map_or(0.0, oar_schema::number::Hundredths::as_f64));
    all.add("share with extraction", flag(record.dentition.extracted.as_ref().is_some_and(|list| !list.is_empty())));
}

fn course(record: &Record, truth: &Truth, all: &mut Gathered) {
    let over = matches!(record.status.state, State::Finished | State::Fixed);
    if let Some(first) = record.series.first() {
        for (arch, trays) in [("upper", first.trays.upper), ("lower", first.trays.lower)] {
            if trays > 0 {
                all.add("trays per arch, first series", f64::from(trays));
                all.add(&format!("trays {arch}, first series"), f64::from(trays));
            }
        }
        all.add("attachments, first series", f64::from(first.attachments.as_ref().map_or(0, Vec::len) as u32));
    }
    for series in record.series.iter().skip(1) {
        all.add("trays of a refinement", f64::from(series.trays.upper.max(series.trays.lower)));
    }
    for series in &record.series {
        let planned: i32 =
            series.interproximal_reductions.iter().flatten().map(|reduction| reduction.amount_mm.0).sum();
        let name =
            if series.number == 0 { "reduction planned first, if any" } else { "reduction planned refinement, if any" };
        if planned > 0 {
            all.add(name, f64::from(planned) / 100.0);
        }
    }
    if over {
        ended(record, truth, all);
    }
    care(record, truth, all);
}

fn care(record: &Record, truth: &Truth, all: &mut Gathered) {
    for visit in record.appointments.iter().flatten() {
        all.add("share of visits missed", flag(!visit.attended));
    }
    let planned: i32 = record
        .series
        .first()
        .iter()
        .flat_map(|series| series.interproximal_reductions.iter().flatten())
        .map(|it| it.amount_mm.0)
        .sum();
    let done: i32 = record
        .appointments
        .iter()
        .flatten()
        .flat_map(|visit| visit.interproximal_reductions.iter().flatten())
        .map(|it| it.amount_mm.0)
        .sum();
    if planned > 0 {
        all.add("reduction done / planned at first", f64::from(done) / f64::from(planned));
    }
    for check_in in record.check_ins.iter().flatten() {
        all.add("share of check-ins: advance", flag(check_in.decision.kind == DecisionKind::Advance));
        all.add("share of check-ins: hold", flag(check_in.decision.kind == DecisionKind::Hold));
        all.add("share of check-ins: step back", flag(check_in.decision.kind == DecisionKind::StepBack));
        all.add("share of check-ins: see in person", flag(check_in.decision.kind == DecisionKind::SeeInPerson));
    }
    for hold in &truth.holds {
        all.add("hold causes: wear", hold.causes.wear);
        all.add("hold causes: expression", hold.causes.expression);
        all.add("hold causes: attachment", hold.causes.attachment);
        if let Some(tooth) = hold.tooth {
            all.add(&format!("share of holds at position {}", tooth.position()), 1.0);
            all.add("share of holds in the upper arch", flag(tooth.fdi() < 30));
            all.add("share of holds at upper laterals", flag(tooth.fdi() == 12 || tooth.fdi() == 22));
        }
    }
}

fn ended(record: &Record, truth: &Truth, all: &mut Gathered) {
    all.add("refinements", f64::from(record.series.len() as u32 - 1));
    all.add("share without refinement", flag(record.series.len() == 1));
    let refined: i32 = record.series.iter().skip(1).map(|series| series.trays.upper).sum();
    all.add("upper trays in refinements", f64::from(refined));
    let trays: i32 = record.series.iter().map(|series| series.trays.upper.max(series.trays.lower)).sum();
    all.add("trays in all", f64::from(trays));
    if let (Some(first), Some(last)) =
        (record.wear_periods.first(), record.wear_periods.last().and_then(|worn| worn.to))
    {
        all.add("months", f64::from(last.days_since(first.from)) / 30.44);
    }
    let visits = record
        .appointments
        .iter()
        .flatten()
        .filter(|visit| visit.attended && visit.reason != AppointmentReason::Retention);
    all.add("visits kept", f64::from(visits.count() as u32));
    let lost = record.attachment_events.iter().flatten().filter(|event| format!("{:?}", event.event) == "Lost");
    all.add("attachments lost", f64::from(lost.count() as u32));
    all.add("broken off series", f64::from(truth.refinements.iter().filter(|it| it.broken_off).count() as u32));
}

fn wear(record: &Record, truth: &Truth, all: &mut Gathered) {
    let worn: Vec<f64> =
        truth.true_minutes.iter().filter(|minutes| **minutes > 0).map(|minutes| f64::from(*minutes)).collect();
    if !worn.is_empty() {
        all.add("true minutes a day", worn.iter().sum::<f64>() / f64::from(worn.len() as u32));
    }
    let Some(log) = record.wear_log.as_ref() else { return };
    let mut full = 0u32;
    let mut trays = 0u32;
    for worn in &record.wear_periods {
        let Some(to) = worn.to else { continue };
        let days: Vec<i32> =
            log.iter().filter(|day| day.on >= worn.from && day.on < to).map(|day| day.minutes).collect();
        if days.len() >= 3 {
            trays += 1;
            full += u32::from(days.iter().sum::<i32>() >= 1320 * days.len() as i32);
        }
    }
    if trays >= 5 {
        let share = f64::from(full) / f64::from(trays);
        let reminded = record.prescription.follow_up.as_ref().is_some_and(|follow_up| follow_up.reminders);
        let group = if reminded { "reminded" } else { "not reminded" };
        all.add(&format!("{group}: share of trays at 22 h"), share);
        all.add(&format!("{group}: poor"), flag(share < 0.5));
        all.add(&format!("{group}: fair"), flag((0.5..0.75).contains(&share)));
        all.add(&format!("{group}: full"), flag(share >= 0.75));
    }
}

fn accuracy(record: &Record, all: &mut Gathered) {
    let Some(series) = record.series.first() else { return };
    let Some(achieved) = &series.achieved else { return };
    for reached in &achieved.movements {
        let own = series.movements.iter().filter(|movement| movement.tooth == reached.tooth);
        let mut planned = [0i32; 6];
        for movement in own {
            let axes = [
                movement.mesial_mm,
                movement.facial_mm,
                movement.occlusal_mm,
                movement.rotation_deg,
                movement.tip_deg,
                movement.torque_deg,
            ];
            for (sum, axis) in planned.iter_mut().zip(axes) {
                *sum += axis.map_or(0, |value| value.0);
            }
        }
        let reached = [
            reached.mesial_mm,
            reached.facial_mm,
            reached.occlusal_mm,
            reached.rotation_deg,
            reached.tip_deg,
            reached.torque_deg,
        ];
        for (axis, name) in ["mesial", "facial", "occlusal", "rotation", "tip", "torque"].into_iter().enumerate() {
            let least = if axis < 3 { 30 } else { 300 };
            if planned[axis].abs() >= least {
                let share = f64::from(reached[axis].map_or(0, |value| value.0)) / f64::from(planned[axis]);
                let name = match (axis, planned[axis] > 0) {
                    (2, true) => "extrusion",
                    (2, false) => "intrusion",
                    _ => name,
                };
                all.add(&format!("accuracy {name}"), share);
                all.add("accuracy overall", share);
            }
        }
    }
}
