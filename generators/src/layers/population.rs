//! The patients: sex, age, the teeth present and the widths of their crowns.

use oar_schema::norms::{crown_widths, eruption};
use oar_schema::record::Sex;
use oar_schema::teeth::{Arch, Tooth, ToothSet};
use oar_schema::time::Date;

use crate::maths::exp;
use crate::mouth::{ForTeeth, SimulatedMouth, pair};
use crate::random::RandomStream;
use crate::recipe::{ByTooth, Parameters, PopulationValues};

/// Days of a year, on average.
pub const YEAR: f64 = 365.25;
/// Third molars are kept or extracted by this age.
const THIRD_MOLARS_FROM: f64 = 18.0;
/// Teeth are lost to decay and disease from this age on.
const LOSS_FROM: f64 = 30.0;
/// 1970-01-01, from which days are counted.
const THURSDAY: i32 = 3;
/// Wider and narrower crowns than this would be taken for mistakes.
const WIDTH_LIMIT_SDS: f64 = 3.2;

/// One patient at the first visit.
#[derive(Clone, Debug)]
pub struct Person {
    /// The day of the first visit.
    pub arrival: Date,
    /// The day of birth. Only its year is ever written down.
    pub birth: Date,
    /// Age at the first visit.
    pub age_years: f64,
    /// Sex.
    pub sex: Sex,
    /// The place of the time zone in the recipe's list.
    pub zone: usize,
    /// The number of the clinic.
    pub clinic: u64,
    /// The teeth.
    pub mouth: SimulatedMouth,
    /// How much wider the crowns are than the mean, in standard deviations.
    pub width_score: f64,
    /// Whether the widths are on record.
    pub widths_known: bool,
}

/// Draws a patient.
pub fn draw(values: &Parameters, stream: &mut RandomStream) -> Person {
    let (clinic, population) = (&values.clinic, &values.population);
    let arrival = working_day(clinic.anchor.plus_days(stream.whole(0, clinic.intake_days - 1)));
    let sex = if stream.chance(population.female_share) { Sex::Female } else { Sex::Male };
    let age_years = age(population, stream);
    let birth = arrival.plus_days(-((age_years * YEAR) as i32));
    let zone = stream.whole(0, clinic.time_zones.len() as i32 - 1) as usize;
    let number = stream.whole(0, clinic.clinics - 1) as u64;
    let width_score = stream.normal();
    let widths = widths(population, sex, width_score, stream);
    let mouth = teeth(population, sex, age_years, &widths, stream);
    let widths_known = stream.chance(population.widths_known_share);
    Person { arrival, birth, age_years, sex, zone, clinic: number, mouth, width_score, widths_known }
}

/// The day of the week, 0 for Monday.
pub fn day_of_week(day: Date) -> i32 {
    (day.0 + THURSDAY).rem_euclid(7)
}

/// The day itself, or the Monday after a weekend.
pub fn working_day(day: Date) -> Date {
    match day_of_week(day) {
        5 => day.plus_days(2),
        6 => day.plus_days(1),
        _ => day,
    }
}

fn age(values: &PopulationValues, stream: &mut RandomStream) -> f64 {
    let (least, most) = (values.age_least_years, values.age_most_years);
    for _ in 0..50 {
        let age = values.age_median_years * exp(values.age_sigma * stream.normal());
        if (least..=most).contains(&age) {
            return age;
        }
    }
    values.age_median_years.clamp(least, most)
}

/// Widths that go together within a person and nearly agree on the two sides.
fn widths(values: &PopulationValues, sex: Sex, score: f64, stream: &mut RandomStream) -> ForTeeth<f64> {
    let mut widths = [0.0; Tooth::COUNT];
    let of_sex = usize::from(sex == Sex::Female);
    let (shared, own) = (values.width_correlation.sqrt(), (1.0 - values.width_correlation).sqrt());
    for arch in Arch::ALL {
        for position in 1..=8 {
            let [right, left] = pair(arch, position);
            let norm = pair(arch, position.min(7))[0].and_then(crown_widths).map(|norms| norms[of_sex]);
            let (Some(right), Some(left), Some(norm)) = (right, left, norm) else { continue };
            let off = (shared * score + own * stream.normal()).clamp(-WIDTH_LIMIT_SDS, WIDTH_LIMIT_SDS);
            let width = (f64::from(norm.mean) + f64::from(norm.sd) * off) / 100.0;
            for tooth in [right, left] {
                widths[tooth.index()] = width + values.width_sides_sd_mm * stream.normal().clamp(-2.5, 2.5);
            }
        }
    }
    for primary in Tooth::all().filter(|tooth| tooth.is_primary()) {
        let successor = primary.successor().map_or(7.0, |tooth| widths[tooth.index()]);
        widths[primary.index()] = if primary.position() > 3 { successor + 2.0 } else { successor - 1.0 };
    }
    widths
}

fn teeth(
    values: &PopulationValues,
    sex: Sex,
    age: f64,
    widths: &ForTeeth<f64>,
    stream: &mut RandomStream,
) -> SimulatedMouth {
    let mut absent = agenesis(values, sex, stream);
    let mut primary = ToothSet::new();
    let grown = not_through(age, &mut absent, &mut primary, stream);
    for tooth in absent.iter().filter(|tooth| tooth.position() == 5 && grown) {
        if let Some(predecessor) = tooth.predecessor().filter(|_| stream.chance(values.retained_primary_share)) {
            primary.insert(predecessor);
        }
    }
    third_molars(values, age, &mut absent, stream);
    let (mut implants, mut pontics) = (ToothSet::new(), ToothSet::new());
    for _ in 0..stream.poisson(values.lost_per_decade * ((age - LOSS_FROM) / 10.0).max(0.0)).min(4) {
        lose(values, (&mut absent, &mut implants, &mut pontics), stream);
    }
    let natural = ToothSet::PERMANENT.difference(absent).difference(implants).difference(pontics);
    let standing = natural.union(implants).union(pontics).union(primary);
    SimulatedMouth { standing, natural, absent, primary, implants, pontics, widths: *widths }
}

/// Teeth that never formed, except third molars: the first by weight, the next ones often that of the other side.
fn agenesis(values: &PopulationValues, sex: Sex, stream: &mut RandomStream) -> ToothSet {
    let mut missing = ToothSet::new();
    let ratio = values.agenesis_female_ratio;
    let share = values.agenesis_share / (1.0 + (ratio - 1.0) * values.female_share);
    let affected = stream.chance(if sex == Sex::Female { share * ratio } else { share });
    let more = values.agenesis_more_teeth;
    let weights: [ByTooth; 2] = [values.agenesis_upper, values.agenesis_lower];
    let mut last: Option<Tooth> = None;
    while affected && missing.len() < 6 {
        let other_side = last.map(|tooth| pair(tooth.arch(), tooth.position())).into_iter().flatten().flatten();
        let next = other_side.into_iter().find(|tooth| !missing.contains(*tooth));
        let next = next.filter(|_| stream.chance(values.agenesis_bilateral_share));
        let Some(tooth) = next.or_else(|| by_weight(&weights, stream)) else { break };
        missing.insert(tooth);
        last = Some(tooth);
        if !stream.chance(more / (1.0 + more)) {
            break;
        }
    }
    missing
}

fn by_weight(weights: &[ByTooth; 2], stream: &mut RandomStream) -> Option<Tooth> {
    let all: Vec<f64> = weights.iter().flatten().copied().collect();
    let choice = stream.choice(&all);
    let arch = Arch::ALL[choice / 7];
    let side = usize::from(stream.chance(0.5));
    pair(arch, (choice % 7) as u8 + 1)[side]
}

/// Adds permanent teeth that have not erupted yet, and the primary teeth in their positions. Returns whether
/// all but the third molars are through.
fn not_through(age: f64, absent: &mut ToothSet, primary: &mut ToothSet, stream: &mut RandomStream) -> bool {
    let mut grown = true;
    for arch in Arch::ALL {
        for position in 1..=7 {
            let early = stream.normal() * 0.5;
            for tooth in pair(arch, position).into_iter().flatten() {
                let Some(ages) = eruption(tooth) else { continue };
                let middle = f64::from(ages.from + ages.to) / 2.0 + early;
                if age >= middle.min(f64::from(ages.to) + 0.5) {
                    continue;
                }
                grown = false;
                absent.insert(tooth);
                if let Some(predecessor) = tooth.predecessor() {
                    primary.insert(predecessor);
                }
            }
        }
    }
    grown
}

fn third_molars(values: &PopulationValues, age: f64, absent: &mut ToothSet, stream: &mut RandomStream) {
    let lacking = stream.chance(values.third_molar_agenesis_share);
    let out = stream.chance(values.third_molars_out_share);
    for tooth in ToothSet::PERMANENT.iter().filter(|tooth| tooth.position() == 8) {
        let never = lacking && stream.chance(0.5);
        let beneath = age < THIRD_MOLARS_FROM + 4.0 * stream.unit() || stream.chance(0.15);
        if never || beneath || out {
            absent.insert(tooth);
        }
    }
}

/// A molar or premolar that was lost; an implant or a pontic may replace it.
fn lose(
    values: &PopulationValues,
    (absent, implants, pontics): (&mut ToothSet, &mut ToothSet, &mut ToothSet),
    stream: &mut RandomStream,
) {
    let position = [6, 6, 7, 5, 4][stream.choice(&[3.0, 2.0, 1.5, 1.5, 1.0])];
    let arch = Arch::ALL[usize::from(stream.chance(0.55))];
    let side = usize::from(stream.chance(0.5));
    let replaced = stream.unit();
    let Some(tooth) = pair(arch, position)[side] else { return };
    if absent.contains(tooth) || implants.contains(tooth) || pontics.contains(tooth) {
        return;
    }
    if replaced < values.implant_share {
        implants.insert(tooth);
    } else if replaced < values.implant_share + values.pontic_share {
        pontics.insert(tooth);
    } else {
        absent.insert(tooth);
    }
}
