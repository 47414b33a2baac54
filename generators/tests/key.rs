//! The answer key against its schema, and against the record that it belongs to.

#![expect(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::Recipe;
use oar_schema::record::{CheckInMode, DecisionKind};
use oar_testing::schema::{published, stray};

fn cohort() -> SyntheticCohort {
    SyntheticCohort::new(Recipe::load("low-wear", &[]).unwrap(), 3)
}

#[test]
fn keys_follow_the_schema() {
    let (cohort, schema) = (cohort(), published("answer_key"));
    for index in 0..30 {
        let key = serde_json::to_value(cohort.patient(index).1).unwrap();
        assert_eq!(stray(&key, &schema), None, "patient {index}");
    }
    let mut key = serde_json::to_value(cohort.patient(0).1).unwrap();
    key["adherence"] = "much".into();
    assert_eq!(stray(&key, &schema), Some("/adherence".to_owned()));
    let mut key = serde_json::to_value(cohort.patient(0).1).unwrap();
    key["series"] = 3.into();
    assert_eq!(stray(&key, &schema), Some("/series".to_owned()));
}

#[test]
fn keys_tell_what_is_behind_the_record() {
    let cohort = cohort();
    let mut holds = 0;
    for index in 0..60 {
        let (record, truth) = cohort.patient(index);
        assert_eq!(record.id, truth.id);
        let halted: Vec<_> =
            record.check_ins.iter().flatten().filter(|it| it.decision.kind != DecisionKind::Advance).collect();
        assert_eq!(halted.len(), truth.holds.len(), "patient {index}");
        holds += halted.len();
        for hold in &truth.holds {
            let causes = [hold.causes.expression, hold.causes.attachment, hold.causes.room, hold.causes.wear];
            let sum: f64 = causes.iter().sum();
            assert!(hold.tooth.is_none() || (sum - 1.0).abs() < 0.003, "patient {index}: {hold:?}");
        }
        if let Some(worn) = record.wear_periods.first() {
            let last = record.wear_periods.last().unwrap().to.unwrap_or(record.status.since);
            assert!(truth.true_minutes.len() as i32 >= last.days_since(worn.from), "patient {index}");
        }
        let rescans = record.series.iter().filter(|series| series.achieved.is_some()).count();
        assert!(truth.refinements.len() <= rescans, "patient {index}");
    }
    assert!(holds > 50, "{holds} holds");
}

#[test]
fn patients_who_wear_less_wait_longer_and_reach_less() {
    // Pairs of one patient with full and with little wear: the same teeth, the same plan, the same clinic.
    let load = |sets: [&str; 2]| {
        let sets = sets.map(str::to_owned);
        SyntheticCohort::new(Recipe::load("general", &sets).unwrap(), 5)
    };
    let full = load(["wear.adherence_alpha=40", "wear.adherence_beta=2"]);
    let little = load(["wear.adherence_alpha=2", "wear.adherence_beta=40"]);
    let reached = |cohort: &SyntheticCohort, index| -> f64 {
        let truth = cohort.patient(index).1;
        let moved = truth.series.first().into_iter().flat_map(|series| &series.moved);
        let (mut sum, mut count) = (0.0, 0.0);
        for tooth in moved.filter(|tooth| tooth.planned[3].0.abs() > 300) {
            sum += tooth.moved[3].as_f64() / tooth.planned[3].as_f64();
            count += 1.0;
        }
        if count > 0.0 { sum / count } else { 0.5 }
    };
    let share = |cohort: &SyntheticCohort| (0..60).map(|index| reached(cohort, index)).sum::<f64>() / 60.0;
    let (full, little) = (share(&full), share(&little));
    assert!(full > little + 0.08, "turns reached with full wear {full:.2}, with little {little:.2}");
}

#[test]
fn the_key_tells_which_attachments_stand_on_each_day() {
    let cohort = cohort();
    let (mut off, mut looks) = (0, 0);
    for index in 0..60 {
        let (record, truth) = cohort.patient(index);
        for check_in in record.check_ins.iter().flatten() {
            let day = check_in.at.written_date();
            let planned = record.series[check_in.series as usize].attachments.iter().flatten();
            for attachment in planned {
                let mut own = truth.attachments.iter().filter(|stood| {
                    // What came off is bonded again after the look in the chair, and before the one in the evening.
                    let before = stood.from < day || stood.from == day && check_in.mode == CheckInMode::Remote;
                    stood.series == check_in.series && stood.attachment == attachment.id && before
                });
                let stands = own.any(|stood| stood.to.is_none_or(|to| to > day));
                let told_off = check_in.attachments_debonded.iter().flatten().any(|id| *id == attachment.id);
                assert_ne!(stands, told_off, "patient {index}, {day}: {}", attachment.id.0);
                off += u32::from(told_off);
                looks += 1;
            }
        }
    }
    assert!(off > 10 && looks > 1000, "{off} of {looks} off");
}

#[test]
fn those_who_wear_least_are_held_most_and_for_that() {
    let cohort = SyntheticCohort::new(Recipe::load("general", &["plan.remote_share=1".to_owned()]).unwrap(), 11);
    let (mut looks, mut holds, mut by_wear) = ([0u32; 2], [0u32; 2], [0.0; 2]);
    for index in 0..400 {
        let (record, truth) = cohort.patient(index);
        let group = match truth.adherence {
            share if share < 0.4 => 0,
            share if share > 0.8 => 1,
            _ => continue,
        };
        looks[group] += record.check_ins.iter().flatten().count() as u32;
        for hold in truth.holds.iter().filter(|hold| hold.tooth.is_some()) {
            holds[group] += 1;
            by_wear[group] += hold.causes.wear;
        }
    }
    let rate = |group: usize| f64::from(holds[group]) / f64::from(looks[group].max(1));
    assert!(rate(0) > 4.0 * rate(1), "held at {:.3} and {:.3} of check-ins", rate(0), rate(1));
    let share = |group: usize| by_wear[group] / f64::from(holds[group].max(1));
    assert!(share(0) > 0.4 && share(1) < 0.2, "wear causes {:.2} and {:.2} of it", share(0), share(1));
}

#[test]
fn elastics_bring_molars_into_class_one_by_and_by() {
    let class = |record: &oar_schema::record::Record, last: bool| {
        let all = record.assessments.as_deref().unwrap_or_default();
        let one = if last { all.last() } else { all.first() };
        let molars = one.and_then(|assessment| assessment.molar_class.clone());
        molars.is_some_and(|molars| [molars.right, molars.left].contains(&oar_schema::record::AngleClass::ClassII))
    };
    let after = |sets: &[&str]| {
        let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
        let cohort = SyntheticCohort::new(Recipe::load("general", &sets).unwrap(), 4);
        let records = (0..150).map(|index| cohort.patient(index).0);
        let second: Vec<_> = records.filter(|record| class(record, false)).collect();
        (second.len(), second.iter().filter(|record| class(record, true)).count())
    };
    let second = "start.class_ii_share=1.0";
    let (worn, left) = after(&[second, "plan.elastics_share=1.0", "plan.distalisation_share=0.0"]);
    let (none, stay) = after(&[second, "plan.elastics_share=0.0", "plan.distalisation_share=0.0"]);
    assert!(worn == none && worn > 100, "{worn} and {none} in class II");
    assert!(10 * left < 6 * worn && 10 * stay > 7 * worn, "of {worn} at the end: {left} with elastics, {stay} without");
}

#[test]
fn check_ins_tell_more_than_gaps() {
    use oar_schema::record::ObservationKind;
    let cohort = cohort();
    let records: Vec<_> = (0..120).map(|index| cohort.patient(index).0).collect();
    let seen = |what: ObservationKind| {
        let all = records.iter().flat_map(|record| record.check_ins.iter().flatten());
        all.flat_map(|check_in| check_in.observations.iter().flatten()).filter(|seen| seen.what == what).count()
    };
    for what in [
        ObservationKind::Plaque,
        ObservationKind::GumSwelling,
        ObservationKind::TrayStained,
        ObservationKind::TrayCracked,
        ObservationKind::RoughEdge,
    ] {
        assert!(seen(what) > 0, "{what:?} is never seen");
    }
    assert!(seen(ObservationKind::Plaque) > seen(ObservationKind::GumSwelling));
}
