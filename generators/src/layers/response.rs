//! How teeth follow their trays.
//!
//! A new tray asks for a step. Part of it is expressed: it is done by and by, by a dose of wear. The rest slips, since the tray
//! bends around the tooth; it hardly comes back by longer wear. A tooth that is too far behind is no longer gripped, and
//! what it lacks slips too. What a tooth lacks is seen as a gap, less where the tray bends around it. The cause of each part is kept.

use oar_schema::teeth::{Arch, Tooth};

use super::plan::attachments::is_for;
use super::plan::{Segment, SeriesPlan};
use crate::maths::{exp, logistic, logit};
use crate::mouth::{AXES, FACIAL, ForTeeth, MESIAL, Moves, OCCLUSAL, ROTATION, TIP, TORQUE};
use crate::random::RandomStream;
use crate::recipe::{ByTooth, ResponseValues};

/// Degrees of a turn that grip as much as a millimetre.
const DEGREES_PER_MM: f64 = 8.0;

/// A tray that would be further away from a tooth does not cover it at all.
const STANDS_OFF_MM: f64 = 2.5;

/// Why a tooth lacks what it lacks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Causes {
    /// Movement that trays do not express in this tooth.
    pub expression: f64,
    /// Debonded attachments.
    pub attachment: f64,
    /// Space that was not made.
    pub room: f64,
    /// Too little wear: what is still to be done and would not be with full wear, or was no longer gripped.
    pub wear: f64,
}

/// The causes, by their places in what a tooth lacks.
const EXPRESSION: usize = 0;
const ATTACHMENT: usize = 1;
const ROOM: usize = 2;
const WEAR: usize = 3;

/// What a tooth lacks along all axes, for each cause.
type ByCause = [Moves; 4];

impl Causes {
    fn of(amount: impl Fn(usize) -> f64) -> Self {
        let [expression, attachment, room, wear] = [EXPRESSION, ATTACHMENT, ROOM, WEAR].map(amount);
        Self { expression, attachment, room, wear }
    }
}

/// Which share of a step is expressed along one axis.
#[derive(Clone, Copy, Debug)]
struct Shares {
    /// With its attachment and room.
    could: f64,
    /// With the attachment as it is, and room.
    without: f64,
    /// As both are.
    share: f64,
}

/// One tooth on its way through a series.
#[derive(Clone, Debug)]
pub struct Mover {
    /// The tooth.
    pub tooth: Tooth,
    segments: Vec<Segment>,
    /// The place of its attachment in the plan.
    attachment: Option<usize>,
    supported: [bool; AXES],
    expression: Moves,
    /// How far the whole series is to move it.
    total: Moves,
    /// What is expressed of a step, as it was worked out last, and for which room and attachment.
    shares: Option<(f64, bool, [Shares; AXES])>,
    /// Share of the room at its contacts that was made.
    pub room: f64,
    /// Where the present tray has it.
    pub planned: Moves,
    /// What is still to be done.
    active: Moves,
    /// What of it would still be to be done if the present tray had been worn in full.
    ideal: Moves,
    /// What slipped, and why.
    slipped: ByCause,
}

impl Mover {
    /// What slipped along an axis, whatever the cause.
    fn lost(&self, axis: usize) -> f64 {
        self.slipped.iter().map(|moves| moves[axis]).sum()
    }

    /// How far it is behind its tray.
    pub fn lag(&self) -> Moves {
        std::array::from_fn(|axis| self.active[axis] + self.lost(axis))
    }

    /// How far it is behind its tray by each cause; of what trays did not express only the part that they do not bend around.
    fn lag_by_cause(&self, unbent: f64) -> ByCause {
        let [expression, attachment, room, wear] = self.slipped;
        let expression = std::array::from_fn(|axis| expression[axis] * unbent + self.ideal[axis]);
        let wear = std::array::from_fn(|axis| wear[axis] + self.active[axis] - self.ideal[axis]);
        [expression, attachment, room, wear]
    }

    /// How far it has moved in this series.
    pub fn moved(&self) -> Moves {
        let lag = self.lag();
        std::array::from_fn(|axis| self.planned[axis] - lag[axis])
    }

    /// Why it is behind, in millimetres and degrees alike, each axis by its size.
    pub fn causes(&self) -> Causes {
        let lag = self.lag_by_cause(1.0);
        Causes::of(|cause| (0..AXES).map(|axis| lag[cause][axis].abs() / unit(axis)).sum())
    }

    /// How far the whole series is to move it.
    pub fn total(&self) -> Moves {
        self.total
    }

    /// What is expressed of a step with the room that was made. Both change seldom, so what was worked out last is kept.
    fn shares(&mut self, values: &ResponseValues, attached: bool) -> [Shares; AXES] {
        match self.shares {
            Some((room, before, shares)) if room.to_bits() == self.room.to_bits() && before == attached => shares,
            _ => {
                let shares = std::array::from_fn(|axis| self.shares_of(values, axis, attached));
                self.shares = Some((self.room, attached, shares));
                shares
            }
        }
    }

    fn shares_of(&self, values: &ResponseValues, axis: usize, attached: bool) -> Shares {
        let plain = self.expression[axis];
        let off = if self.supported[axis] && !attached { values.attachment_effect } else { 0.0 };
        let tight = values.collision_effect * (1.0 - self.room);
        let could = logistic(plain);
        let without = if off == 0.0 { could } else { logistic(plain - off) };
        let share = if tight == 0.0 { without } else { logistic(plain - off - tight) };
        Shares { could, without, share }
    }

    /// Where a tray has it.
    fn asked(&self, tray: i32) -> Moves {
        let mut asked = [0.0; AXES];
        for segment in &self.segments {
            let trays = f64::from(segment.to - segment.from + 1);
            let share = (f64::from(tray.min(segment.to) - segment.from + 1) / trays).clamp(0.0, 1.0);
            if share == 0.0 {
                continue;
            }
            for (sum, value) in asked.iter_mut().zip(segment.moves) {
                *sum += value * share;
            }
        }
        asked
    }

    /// The visible fit gap at its edge.
    pub fn gap(&self, values: &ResponseValues, width: f64) -> f64 {
        let causes = self.gap_causes(values, width);
        let seen = causes.expression + causes.attachment + causes.room + causes.wear;
        (seen - values.seen_from_mm).clamp(0.0, STANDS_OFF_MM)
    }

    /// What each cause adds to the gap at its edge, before what trays take up.
    pub fn gap_causes(&self, values: &ResponseValues, width: f64) -> Causes {
        let by_cause = self.lag_by_cause(values.seen_slipped);
        let lag: Moves = std::array::from_fn(|axis| by_cause.iter().map(|moves| moves[axis]).sum());
        let aside = (lag[MESIAL] * lag[MESIAL] + lag[FACIAL] * lag[FACIAL]).sqrt().max(1e-9);
        let turn = values.seen_rotation * width / 2.0 * lag[ROTATION].signum();
        let high = if lag[OCCLUSAL] > 0.0 { values.seen_vertical } else { 0.0 };
        Causes::of(|cause| {
            let own = &by_cause[cause];
            let along = (lag[MESIAL] * own[MESIAL] + lag[FACIAL] * own[FACIAL]) / aside;
            values.seen_linear * along + high * own[OCCLUSAL] + turn * own[ROTATION].to_radians()
        })
    }
}

/// All moving teeth of a series.
#[derive(Clone, Debug, Default)]
pub struct Tracking {
    /// The teeth, by their numbers.
    pub movers: Vec<Mover>,
    /// Days of full wear since it was last worked out.
    dose: f64,
    /// Days since then.
    days: f64,
}

impl Tracking {
    /// Begins a series; `effect` is how much more or less than usual is expressed in this clinic and patient, in log-odds.
    pub fn begin(values: &ResponseValues, plan: &SeriesPlan, effect: f64, stream: &mut RandomStream) -> Self {
        let mut movers: Vec<Mover> = Vec::new();
        for segment in &plan.segments {
            match movers.last_mut().filter(|mover| mover.tooth == segment.tooth) {
                Some(mover) => mover.segments.push(*segment),
                None => movers.push(mover(values, plan, segment, effect, stream)),
            }
        }
        for mover in &mut movers {
            let total = mover.asked(i32::MAX);
            mover.total = total;
            for (axis, toward) in total.into_iter().enumerate() {
                mover.expression[axis] += usual(values, mover.tooth, axis, toward);
                let attached = mover.attachment.map(|at| &plan.attachments[at]);
                mover.supported[axis] = attached.is_some_and(|attachment| is_for(attachment, axis, toward));
            }
        }
        Self { movers, dose: 0.0, days: 0.0 }
    }

    /// A day of wear, in minutes out of 1440.
    pub fn wear(&mut self, values: &ResponseValues, minutes: i32) {
        let range = (values.full_minutes - values.idle_minutes).max(1.0);
        self.dose += ((f64::from(minutes) - values.idle_minutes) / range).clamp(0.0, 1.0);
        self.days += 1.0;
    }

    /// Works out what the wear since the last time has done.
    pub fn settle(&mut self, values: &ResponseValues) {
        if self.days == 0.0 {
            return;
        }
        let done = exp(-values.daily_rate * self.dose);
        let could = exp(-values.daily_rate * self.days);
        let back = exp(-values.recovery_rate * self.dose);
        for mover in &mut self.movers {
            mover.active.iter_mut().for_each(|amount| *amount *= done);
            mover.ideal.iter_mut().for_each(|amount| *amount *= could);
            mover.slipped.as_flattened_mut().iter_mut().for_each(|amount| *amount *= back);
        }
        (self.dose, self.days) = (0.0, 0.0);
    }

    /// Puts a tray in the arches that have it; `standing` says which attachments are on.
    pub fn change(&mut self, values: &ResponseValues, tray: i32, standing: &[bool]) {
        self.settle(values);
        for mover in &mut self.movers {
            let attached = mover.attachment.is_none_or(|at| standing[at]);
            let asked = mover.asked(tray);
            if asked.iter().zip(&mover.planned).all(|(asked, planned)| asked.total_cmp(planned).is_eq()) {
                continue;
            }
            let shares = mover.shares(values, attached);
            for (axis, asked) in asked.into_iter().enumerate() {
                let step = asked - mover.planned[axis];
                if step != 0.0 {
                    take_step(values, mover, axis, step, shares[axis]);
                }
            }
            mover.planned = asked;
        }
    }

    /// Teeth go back a little while no tray holds them.
    pub fn relapse(&mut self, values: &ResponseValues, days: i32) {
        self.settle(values);
        let share = 1.0 - exp(-RELAPSE_PER_DAY * f64::from(days));
        for mover in &mut self.movers {
            let moved = mover.moved();
            for (active, moved) in mover.active.iter_mut().zip(moved) {
                *active += share * moved;
            }
        }
    }
}

/// Share of what was gained that goes back in a day without trays.
const RELAPSE_PER_DAY: f64 = 0.002;

fn mover(
    values: &ResponseValues,
    plan: &SeriesPlan,
    segment: &Segment,
    effect: f64,
    stream: &mut RandomStream,
) -> Mover {
    let attachment = plan.attachments.iter().position(|attachment| attachment.tooth == segment.tooth);
    let mut expression = [effect; AXES];
    for own in &mut expression {
        *own += values.tooth_sd * stream.normal();
    }
    Mover {
        tooth: segment.tooth,
        segments: vec![*segment],
        attachment,
        supported: [false; AXES],
        expression,
        total: [0.0; AXES],
        shares: None,
        room: 1.0,
        planned: [0.0; AXES],
        active: [0.0; AXES],
        ideal: [0.0; AXES],
        slipped: [[0.0; AXES]; 4],
    }
}

fn unit(axis: usize) -> f64 {
    if axis < 3 { 1.0 } else { DEGREES_PER_MM }
}

/// One step along one axis: forward with a later tray, back with an earlier one.
fn take_step(values: &ResponseValues, mover: &mut Mover, axis: usize, step: f64, shares: Shares) {
    let Shares { could, without, share } = shares;
    if step * mover.total()[axis] < 0.0 {
        grip_again(mover, axis, step, share);
        return;
    }
    mover.active[axis] += share * step;
    mover.ideal[axis] += share * step;
    mover.slipped[EXPRESSION][axis] += (1.0 - could) * step;
    mover.slipped[ATTACHMENT][axis] += (could - without) * step;
    mover.slipped[ROOM][axis] += (without - share) * step;
    let lateral = mover.tooth.position() == 2 && mover.tooth.arch() == Arch::Upper;
    let grip = values.grip_steps * (share * step).abs() * if lateral { values.lateral_grip } else { 1.0 };
    let beyond = (mover.active[axis].abs() - grip).max(0.0) * mover.active[axis].signum();
    let anyway = (mover.ideal[axis].abs() - grip).max(0.0) * mover.ideal[axis].signum();
    mover.active[axis] -= beyond;
    mover.ideal[axis] -= anyway;
    mover.slipped[EXPRESSION][axis] += anyway;
    mover.slipped[WEAR][axis] += beyond - anyway;
}

/// An earlier tray grips the tooth again: part of what slipped is to be done once more.
fn grip_again(mover: &mut Mover, axis: usize, step: f64, share: f64) {
    let by_cause = mover.lag_by_cause(1.0);
    let lag = mover.lag()[axis];
    let left = if (lag + step) * lag > 0.0 { lag + step } else { 0.0 };
    let part = |cause: usize| if lag.abs() > 1e-12 { by_cause[cause][axis] / lag } else { 0.0 };
    mover.active[axis] = share * left;
    mover.ideal[axis] = share * left * (1.0 - part(WEAR));
    for cause in [EXPRESSION, ATTACHMENT, ROOM, WEAR] {
        mover.slipped[cause][axis] = (1.0 - share) * left * part(cause);
    }
}

/// What is usually expressed of a movement with full wear, in log-odds, before clinic, patient and tooth.
fn usual(values: &ResponseValues, tooth: Tooth, axis: usize, toward: f64) -> f64 {
    let inward = match axis {
        FACIAL | TORQUE if toward < 0.0 => values.inward_effect / 2.0,
        FACIAL | TORQUE => -values.inward_effect / 2.0,
        _ => 0.0,
    };
    logit(table(values, tooth, axis, toward)) + values.full_wear_effect + inward
}

/// What studies found expressed of a movement in their patients, with the attachments that it needs.
fn table(values: &ResponseValues, tooth: Tooth, axis: usize, toward: f64) -> f64 {
    let upper = tooth.arch() == Arch::Upper;
    let by_arch = |up: &ByTooth, low: &ByTooth| if upper { *up } else { *low };
    let row = match axis {
        MESIAL if upper && toward < 0.0 && tooth.position() >= 6 => return values.distal_upper_molar,
        MESIAL => by_arch(&values.mesial_upper, &values.mesial_lower),
        FACIAL => by_arch(&values.facial_upper, &values.facial_lower),
        OCCLUSAL if toward > 0.0 => values.extrusion,
        OCCLUSAL => values.intrusion,
        ROTATION => by_arch(&values.rotation_upper, &values.rotation_lower),
        TIP => by_arch(&values.tip_upper, &values.tip_lower),
        TORQUE => by_arch(&values.torque_upper, &values.torque_lower),
        _ => return 0.5,
    };
    row[usize::from(tooth.position().clamp(1, 7)) - 1]
}

/// Adds what the teeth have moved in a series to what they moved before.
pub fn add_moved(tracking: &Tracking, moved: &mut ForTeeth<Moves>) {
    for mover in &tracking.movers {
        for (sum, value) in moved[mover.tooth.index()].iter_mut().zip(mover.moved()) {
            *sum += value;
        }
    }
}
