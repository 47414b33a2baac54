//! Divides movements into trays: no step larger than the limits, in sequence, with as many trays as needed.

use oar_schema::limits::Limits;
use oar_schema::record::{Elastic, ElasticPattern};
use oar_schema::teeth::{Arch, Tooth};

use super::{PlanStyle, Segment, SeriesPlan, StagedReduction, Task, attachments};
use crate::mouth::{AXES, FACIAL, MESIAL, Moves, TORQUE, pair};
use crate::random::RandomStream;
use crate::recipe::PlanValues;

/// The most trays that a plan has; more are left to the next series.
const TRAYS_MOST: i32 = 99;
/// Teeth go back in sequence: each begins when the one behind it has gone this share of its way.
const SEQUENCE: f64 = 0.5;
/// Turns of the crown across the arch begin when this share of the other movements is done.
const TORQUE_AFTER: f64 = 0.5;

/// What one tray asks of a tooth at most, along each axis, in hundredths: what the checker calls usual.
pub fn usual_step(limits: &Limits, tooth: Tooth) -> [i64; AXES] {
    let round = tooth.kind().is_canine() || tooth.kind().is_premolar();
    let rotation = if round { limits.tray_rotation_round_deg } else { limits.tray_rotation_deg };
    let linear = limits.tray_linear_mm;
    [linear, linear, limits.tray_vertical_mm, rotation, limits.tray_tip_deg, limits.tray_torque_deg]
}

/// Plans a series.
pub fn plan(values: &PlanValues, style: PlanStyle, task: &Task<'_>, stream: &mut RandomStream) -> SeriesPlan {
    let mut plan = SeriesPlan::default();
    let first = task.number == 0;
    let least = if first { values.first_least_trays } else { values.refinement_least_trays };
    for arch in Arch::ALL.into_iter().filter(|arch| task.aim.treated[*arch as usize]) {
        let mut segments = arch_segments(values, style, task, arch);
        let needed = segments.iter().map(|segment| segment.to).max().unwrap_or(0);
        let trays = needed.max(least).min(TRAYS_MOST);
        spread(style, &mut segments, trays);
        plan.trays[arch as usize] = trays;
        plan.segments.extend(segments);
    }
    plan.segments.sort_by_key(|segment| (segment.tooth, segment.from));
    plan.reductions = reductions(task, &plan);
    plan.attachments = attachments::choose(values, task, &plan, stream);
    plan.elastics = elastics(values, task, &plan);
    plan
}

/// Trays that a tooth needs for a movement along some axes.
fn steps(style: PlanStyle, tooth: Tooth, moves: &Moves, axes: impl Fn(usize) -> bool) -> i32 {
    let usual = usual_step(&Limits::default(), tooth);
    let needed = (0..AXES).filter(|axis| axes(*axis)).map(|axis| {
        let step = (usual[axis] as i32 as f64 / 100.0) * style.step_share;
        (moves[axis].abs() / step).ceil() as i32
    });
    needed.max().unwrap_or(0)
}

fn arch_segments(values: &PlanValues, style: PlanStyle, task: &Task<'_>, arch: Arch) -> Vec<Segment> {
    let room = &task.aim.rooms[arch as usize];
    let widening = (room.expansion_mm / (0.25 * style.step_share)).ceil();
    let crowded = task.number == 0 && room.extracted.is_empty() && room.expansion_mm > 0.3;
    let wait = if crowded { (widening * values.front_waits_share) as i32 } else { 0 };
    let sequential = task.number == 0 && arch == Arch::Upper && task.aim.distalises;
    let mut segments = Vec::new();
    for side in 0..2 {
        let mut begin = 0;
        for position in (1..=7u8).rev() {
            let Some(tooth) = pair(arch, position)[side] else { continue };
            let moves = rounded(&task.moves[tooth.index()]);
            if stands_still(&moves) {
                continue;
            }
            let main = steps(style, tooth, &moves, |axis| axis != TORQUE);
            let start = if sequential {
                begin
            } else if position <= 3 {
                wait
            } else {
                0
            };
            begin += if sequential { (f64::from(main) * SEQUENCE) as i32 } else { 0 };
            add_tooth(style, tooth, moves, start.min(TRAYS_MOST / 2), &mut segments);
        }
    }
    segments
}

/// One segment for all axes but torque, and one for torque that begins later; what would pass the last tray is left to
/// the next series.
fn add_tooth(style: PlanStyle, tooth: Tooth, moves: Moves, start: i32, segments: &mut Vec<Segment>) {
    let mut main = moves;
    main[TORQUE] = 0.0;
    let trays = steps(style, tooth, &main, |_| true);
    if trays > 0 {
        push(Segment { tooth, moves: main, from: start + 1, to: start + trays }, segments);
    }
    if moves[TORQUE] != 0.0 {
        let mut torque = [0.0; AXES];
        torque[TORQUE] = moves[TORQUE];
        let after = start + (f64::from(trays) * TORQUE_AFTER) as i32;
        let trays = steps(style, tooth, &torque, |_| true);
        push(Segment { tooth, moves: torque, from: after + 1, to: after + trays }, segments);
    }
}

fn push(mut segment: Segment, segments: &mut Vec<Segment>) {
    if segment.from > TRAYS_MOST {
        return;
    }
    if segment.to > TRAYS_MOST {
        let share = f64::from(TRAYS_MOST - segment.from + 1) / f64::from(segment.to - segment.from + 1);
        segment.moves = rounded(&segment.moves.map(|value| value * share * 0.999));
        segment.to = TRAYS_MOST;
    }
    if !stands_still(&segment.moves) {
        segments.push(segment);
    }
}

fn stands_still(moves: &Moves) -> bool {
    moves.iter().all(|value| *value == 0.0)
}

/// Whole hundredths of a millimetre, tenths of a degree.
fn rounded(moves: &Moves) -> Moves {
    let mut rounded = *moves;
    for (axis, value) in rounded.iter_mut().enumerate() {
        let parts = if axis < 3 { 100.0 } else { 10.0 };
        *value = (*value * parts).round() / parts;
    }
    rounded
}

/// Teeth that are soon there go slower, by the style of the plan; the last ones take all trays.
fn spread(style: PlanStyle, segments: &mut [Segment], trays: i32) {
    let last = segments.iter().map(|segment| segment.to).max().unwrap_or(0);
    for segment in segments {
        let free = f64::from(trays - segment.to);
        segment.to = if segment.to == last { trays } else { segment.to + (free * style.spread) as i32 };
    }
}

/// Reductions come before the trays that need the room; where no tooth moves, none is made.
fn reductions(task: &Task<'_>, plan: &SeriesPlan) -> Vec<StagedReduction> {
    let planned = task.reductions.iter().filter_map(|(between, amount)| {
        let begins = |tooth: &Tooth| {
            let own = plan.segments.iter().filter(|segment| segment.tooth == *tooth);
            own.filter(|segment| segment.moves[FACIAL] != 0.0 || segment.moves[MESIAL] != 0.0)
                .map(|segment| segment.from)
                .min()
        };
        let tray = between.iter().filter_map(begins).min()?;
        let trays = plan.trays[between[0].arch() as usize];
        Some(StagedReduction { between: *between, amount: *amount, before_tray: (tray + 1).min(trays) })
    });
    planned.collect()
}

fn elastics(values: &PlanValues, task: &Task<'_>, plan: &SeriesPlan) -> Vec<Elastic> {
    let Some((pattern, sides)) = task.aim.elastics.filter(|_| plan.trays[0] > 0 && plan.trays[1] > 0) else {
        return Vec::new();
    };
    let positions = if pattern == ElasticPattern::ClassII { [3, 6] } else { [6, 3] };
    let from = if task.number == 0 { (plan.longest() / 4).max(1) } else { 1 };
    let hung = (0..2).filter(|side| sides[*side]).filter_map(|side| {
        Some(Elastic {
            pattern,
            upper_tooth: pair(Arch::Upper, positions[0])[side]?,
            lower_tooth: pair(Arch::Lower, positions[1])[side]?,
            from_tray: from,
            to_tray: plan.longest(),
            wear_goal_minutes: values.elastics_goal_minutes,
        })
    });
    hung.collect()
}
