//! The aim of a treatment: every tooth in its position in an ideal arch, with the space that this needs.

use oar_schema::record::{AngleClass, ElasticPattern};
use oar_schema::teeth::{Arch, Tooth};

use super::PlanStyle;
use super::space::{self, Room};
use crate::layers::population::Person;
use crate::layers::start::InitialState;
use crate::mouth::{FACIAL, ForTeeth, MESIAL, Moves, OCCLUSAL, TORQUE, pair};
use crate::random::RandomStream;
use crate::recipe::PlanValues;

/// A bite deeper than this is opened, to the next value.
const DEEP_MM: f64 = 4.0;
const AIMED_OVERBITE_MM: f64 = 2.5;
/// A bite more open than this is closed.
const OPEN_MM: f64 = 0.5;
/// Most that front teeth are moved in height for the bite, in one arch.
const HEIGHT_MOST_MM: f64 = 2.0;
/// Degrees that a front tooth leans for each millimetre that it goes forward.
const LEAN_DEG_PER_MM: f64 = 2.0;
/// Share of the surplus space of an extraction that back teeth close from behind.
const ANCHORAGE_LOST: f64 = 0.3;
/// An arch that lacks this much space also gets extractions when the other one does.
const ALONG_FROM_MM: f64 = 3.0;

/// The aim of a treatment.
#[derive(Clone, Debug)]
pub struct Aim {
    /// Whether the upper and the lower arch are treated.
    pub treated: [bool; 2],
    /// How far each tooth is to move in all.
    pub moves: ForTeeth<Moves>,
    /// How room is found.
    pub rooms: [Room; 2],
    /// Upper back teeth go back one after the other.
    pub distalises: bool,
    /// Elastics, and on which sides.
    pub elastics: Option<(ElasticPattern, [bool; 2])>,
}

/// Draws the aim for a patient.
pub fn draw(
    values: &PlanValues,
    style: PlanStyle,
    person: &Person,
    start: &InitialState,
    stream: &mut RandomStream,
) -> Aim {
    let one_arch = stream.chance(values.one_arch_share);
    let upper_only = stream.chance(0.5);
    let treated = if one_arch { [upper_only, !upper_only] } else { [true, true] };
    let rooms = rooms(values, style, person, start, treated);
    let takes_out = rooms.iter().any(|room| !room.extracted.is_empty());
    let distalises = stream.chance(values.distalisation_share);
    let is_second = start.molars.contains(&AngleClass::ClassII);
    // Third molars come out before the teeth in front of them go back; where they stand, nobody plans that.
    let blocked = pair(Arch::Upper, 8).into_iter().flatten().any(|tooth| person.mouth.standing.contains(tooth));
    let distalises = distalises && is_second && treated[0] && !takes_out && !blocked && person.age_years > 12.5;
    let elastics = elastics(values, person, start, treated, stream);
    let mut aim = Aim { treated, moves: [[0.0; 6]; Tooth::COUNT], rooms, distalises, elastics };
    for arch in Arch::ALL.into_iter().filter(|arch| treated[*arch as usize]) {
        align(&mut aim, person, start, arch);
        make_room(&mut aim, person, start, arch);
        level(&mut aim, start, arch);
    }
    if distalises {
        move_back(values, &mut aim, start);
    }
    tidy(values, &mut aim, person);
    aim
}

fn rooms(
    values: &PlanValues,
    style: PlanStyle,
    person: &Person,
    start: &InitialState,
    treated: [bool; 2],
) -> [Room; 2] {
    let mouth = &person.mouth;
    let find = |arch: Arch| {
        if treated[arch as usize] {
            space::find(values, style, mouth, arch, &start.arches[arch as usize])
        } else {
            Room::default()
        }
    };
    let mut rooms = Arch::ALL.map(find);
    for (arch, other) in [(Arch::Upper, 1), (Arch::Lower, 0)] {
        let crowded = start.arches[arch as usize].crowding_mm > ALONG_FROM_MM || start.overjet_mm > 5.0;
        let alone = rooms[arch as usize].extracted.is_empty() && !rooms[other].extracted.is_empty();
        if alone && crowded && treated[arch as usize] {
            let own = space::with_extraction(values, mouth, arch, &start.arches[arch as usize]);
            rooms[arch as usize] = own.unwrap_or_else(|| std::mem::take(&mut rooms[arch as usize]));
        }
    }
    rooms
}

fn elastics(
    values: &PlanValues,
    person: &Person,
    start: &InitialState,
    treated: [bool; 2],
    stream: &mut RandomStream,
) -> Option<(ElasticPattern, [bool; 2])> {
    let wanted = stream.chance(values.elastics_share);
    let class = start.molars.into_iter().find(|class| *class != AngleClass::ClassI)?;
    let (pattern, upper, lower) = match class {
        AngleClass::ClassII => (ElasticPattern::ClassII, 3, 6),
        _ => (ElasticPattern::ClassIII, 6, 3),
    };
    let hang = |arch: Arch, position: u8| {
        pair(arch, position).map(|tooth| tooth.is_some_and(|tooth| person.mouth.natural.contains(tooth)))
    };
    let (above, below) = (hang(Arch::Upper, upper), hang(Arch::Lower, lower));
    let sides = [0, 1].map(|side| start.molars[side] == class && above[side] && below[side]);
    (wanted && treated == [true, true] && sides.contains(&true)).then_some((pattern, sides))
}

/// Every tooth goes to where an ideal arch has it.
fn align(aim: &mut Aim, person: &Person, start: &InitialState, arch: Arch) {
    for tooth in person.mouth.natural.iter().filter(|tooth| tooth.arch() == arch && tooth.position() <= 7) {
        let deviation = start.deviation[tooth.index()];
        aim.moves[tooth.index()] = deviation.map(|value| -value);
    }
}

/// Widening, moving the front, and shifts along the arch.
fn make_room(aim: &mut Aim, person: &Person, start: &InitialState, arch: Arch) {
    let room = aim.rooms[arch as usize].clone();
    for position in 1..=7u8 {
        let outward = match position {
            1..=3 => room.forward_mm,
            4 | 5 => room.expansion_mm,
            6 => 0.8 * room.expansion_mm,
            _ => 0.3 * room.expansion_mm,
        };
        for tooth in pair(arch, position).into_iter().flatten() {
            let moves = &mut aim.moves[tooth.index()];
            moves[FACIAL] += outward;
            if position <= 2 {
                moves[TORQUE] += LEAN_DEG_PER_MM * room.forward_mm;
            }
        }
    }
    let row = &start.arches[arch as usize].row;
    let middle = row.iter().position(|tooth| crate::mouth::place(*tooth) > 0).unwrap_or(row.len());
    let gained: f64 = room.extracted.iter().map(|tooth| person.mouth.widths[tooth.index()]).sum();
    let closing = ((gained - start.arches[arch as usize].crowding_mm) / 2.0).max(0.0);
    let sides: [Vec<usize>; 2] = [(middle..row.len()).collect(), (0..middle).rev().collect()];
    let excess = sides.each_ref().map(|side| excess(person, (row, &room), side, closing));
    for (own, side) in sides.iter().enumerate() {
        shift_side(aim, (row, &room), side, (excess[1 - own] - excess[own], closing));
    }
}

/// By how much the teeth in front of an extraction would be moved further back than it makes room on their side. The front teeth
/// go so much to the other side instead.
fn excess(person: &Person, (row, room): (&[Tooth], &Room), side: &[usize], closing: f64) -> f64 {
    let Some(gap) = side.iter().position(|at| room.extracted.contains(&row[*at])) else { return 0.0 };
    let apart: f64 = (0..gap).map(|place| apart(room, side, place)).sum();
    (apart + closing - person.mouth.widths[row[side[gap]].index()]).max(0.0)
}

/// How far the tooth at a place of a side comes away from the one before it; half of that of the middle falls on each side.
fn apart(room: &Room, side: &[usize], place: usize) -> f64 {
    let at = side[place];
    match place.checked_sub(1).map(|before| side[before]) {
        Some(last) => room.apart.get(at.min(last)).copied().unwrap_or(0.0),
        None => room.apart.get(at.max(1) - 1).copied().unwrap_or(0.0) / 2.0,
    }
}

/// Shifts the teeth of one side along the arch, from the midline back: crowded teeth move apart, spaces close. All of them go back by
/// `(all, _)` besides.
fn shift_side(aim: &mut Aim, (row, room): (&[Tooth], &Room), side: &[usize], (all, closing): (f64, f64)) {
    let mut back = all;
    let mut behind = false;
    for (place, at) in side.iter().enumerate() {
        back += apart(room, side, place);
        let tooth = row[*at];
        if room.extracted.contains(&tooth) {
            behind = true;
            continue;
        }
        let moves = &mut aim.moves[tooth.index()];
        moves[MESIAL] += match (room.extracted.is_empty(), behind) {
            (true, _) => -back,
            (false, false) => -back - (1.0 - ANCHORAGE_LOST) * closing,
            (false, true) => ANCHORAGE_LOST * closing,
        };
    }
}

/// Deep bites are opened and open ones closed with the front teeth.
fn level(aim: &mut Aim, start: &InitialState, arch: Arch) {
    let bite = start.overbite_mm;
    let needed = if bite > DEEP_MM {
        AIMED_OVERBITE_MM - bite
    } else if bite < OPEN_MM {
        1.0 - bite
    } else {
        return;
    };
    let share = match (arch, needed < 0.0) {
        (Arch::Upper, true) | (Arch::Lower, false) => 0.4,
        _ => 0.6,
    };
    let height = (needed * share).clamp(-HEIGHT_MOST_MM, HEIGHT_MOST_MM);
    for tooth in (1..=3).flat_map(|position| pair(arch, position)).flatten() {
        let canine = if tooth.position() == 3 { 0.5 } else { 1.0 };
        aim.moves[tooth.index()][OCCLUSAL] += height * canine;
    }
}

/// Upper teeth go back on the sides of class II, the front with them.
fn move_back(values: &PlanValues, aim: &mut Aim, start: &InitialState) {
    for side in 0..2 {
        if start.molars[side] != AngleClass::ClassII {
            continue;
        }
        for position in 1..=7u8 {
            let Some(tooth) = pair(Arch::Upper, position)[side] else { continue };
            let moves = &mut aim.moves[tooth.index()];
            if position >= 3 {
                moves[MESIAL] -= values.distalisation_mm;
            } else {
                moves[FACIAL] -= 0.6 * values.distalisation_mm;
            }
        }
    }
}

/// Only teeth on their own roots move; nothing is planned that would not be seen.
fn tidy(values: &PlanValues, aim: &mut Aim, person: &Person) {
    let extracted: Vec<Tooth> = aim.rooms.iter().flat_map(|room| room.extracted.clone()).collect();
    for tooth in Tooth::all() {
        let moves = &mut aim.moves[tooth.index()];
        let movable = person.mouth.natural.contains(tooth) && tooth.position() <= 7 && !extracted.contains(&tooth);
        for (axis, value) in moves.iter_mut().enumerate() {
            let least = if axis < 3 { values.least_mm } else { values.least_deg };
            if !movable || value.abs() < least {
                *value = 0.0;
            }
        }
    }
}
