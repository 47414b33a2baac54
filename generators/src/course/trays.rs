//! Trays: put in, changed, worn, and series that begin and end.

use oar_schema::number::Hundredths;
use oar_schema::record::{ArchCounts, Arches, Extraction, Movement, PlannedReduction, Series, WearEnd, WearPeriod};
use oar_schema::teeth::{Side, Tooth};

use super::visits::Purpose;
use super::{Current, Treatment};
use crate::key::{SeriesTruth, ToothMoved};
use crate::layers::plan::{SeriesPlan, StagedReduction};
use crate::layers::response::{Tracking, add_moved};
use crate::maths::hundredths;
use crate::mouth::AXES;

/// Minutes of a day without a clock change.
pub(super) const USUAL_DAY: i32 = 1440;
/// Share of the last tray's days after which the rescan is made.
const RESCAN_AFTER: f64 = 0.7;

impl Treatment<'_> {
    /// A plan whose day of ordering has come is on record.
    pub(super) fn place_order(&mut self) {
        if let Some(day) = self.pending.extraction.filter(|day| *day <= self.today) {
            self.pending.extraction = None;
            let rows = self.extracted().into_iter().map(|tooth| Extraction { tooth, on: day });
            self.record.dentition.extracted.get_or_insert_default().extend(rows);
        }
        if self.ordered.as_ref().is_none_or(|(day, _)| *day > self.today) {
            return;
        }
        let Some((day, plan)) = self.ordered.take() else { return };
        let mut series = series_of(self.plans.len() as i32, &plan);
        series.scanned_on = self.pending.scanned;
        series.ordered_on = Some(day);
        self.record.series.push(series);
        self.plans.push(plan);
    }

    /// The teeth that the aim extracts.
    pub(super) fn extracted(&self) -> Vec<Tooth> {
        self.aim.rooms.iter().flat_map(|room| room.extracted.clone()).collect()
    }

    /// Teeth follow the new series from now on.
    pub(super) fn begin_series(&mut self) {
        self.series = self.plans.len().saturating_sub(1);
        self.bond_all();
        let (Some(plan), values) = (self.plans.get(self.series), &self.recipe.values.response) else { return };
        self.tracking = Tracking::begin(values, plan, self.effect, &mut self.streams.response);
        self.pending.reduced.clear();
        self.current = None;
        (self.handed, self.waits, self.holds, self.stepped_back) = (0, false, 0, false);
        (self.broken_off, self.replacing) = (false, None);
    }

    /// The old series is over: what it moved is kept.
    pub(super) fn end_series(&mut self) {
        self.close_worn(WearEnd::ReplacedBySeries);
        self.settle_series();
    }

    /// What the present series moved is added to what was moved before.
    pub(super) fn settle_series(&mut self) {
        self.tracking.settle(&self.recipe.values.response);
        add_moved(&self.tracking, &mut self.moved);
        let number = self.current.map_or(0, |current| current.series as i32);
        let round = |moves: [f64; AXES]| moves.map(hundredths);
        let moved = self.tracking.movers.iter().map(|mover| ToothMoved {
            tooth: mover.tooth,
            planned: round(mover.total()),
            moved: round(mover.moved()),
        });
        self.truth.series.push(SeriesTruth { number, moved: moved.collect() });
        self.tracking.movers.clear();
    }

    /// Closes the open wear periods today.
    pub(super) fn close_worn(&mut self, ended: WearEnd) {
        for worn in self.record.wear_periods.iter_mut().rev().take(1).filter(|worn| worn.to.is_none()) {
            worn.to = Some(self.today);
            worn.ended = Some(ended);
        }
    }

    /// Puts a tray in, in the arches that have it.
    pub(super) fn put_in(&mut self, number: i32) {
        let series = self.series;
        let Some(plan) = self.plan() else { return };
        let had = self.current.filter(|current| current.series == series).map_or([true; 2], |current| current.arches);
        let going_on = self.current.is_none_or(|current| number > current.number);
        // An arch that has finished its trays stays without them, even when the other one steps back.
        let has = |arch: usize| number <= plan.trays[arch] && had[arch];
        let (arches, last) = ([has(0), has(1)], plan.longest());
        let word = match arches {
            [true, true] => Arches::Both,
            [true, false] => Arches::Upper,
            _ => Arches::Lower,
        };
        self.record.wear_periods.push(WearPeriod::new(series as i32, number, word, self.today));
        let due = self.today.plus_days(self.habits.change_interval_days);
        let watched = number == 1 || !going_on;
        self.current = Some(Current { series, number, arches, from: self.today, due, frozen: false, watched });
        let standing = self.standing();
        self.tracking.change(&self.recipe.values.response, number, &standing);
        self.wearer.new_tray(&self.recipe.values.wear);
        (self.holds, self.logged) = (0, (0, 0));
        self.pending.late = self.streams.ends.poisson(self.habits.lateness);
        if number == last && !self.has_booked(Purpose::Rescan) {
            self.cancel(Purpose::Review);
            self.book(Purpose::Rescan, (f64::from(self.habits.change_interval_days) * RESCAN_AFTER) as i32);
        }
    }

    /// The next tray, if it is due and available and nothing speaks against it; an earlier one, if that was decided.
    pub(super) fn change_tray(&mut self) {
        let Some(current) = self.current else { return };
        if let Some(back) = self.pending.back_to.take() {
            self.close_worn(WearEnd::SteppedBack);
            self.stepped_back = true;
            self.put_in(back);
            return;
        }
        let next = current.number + 1;
        let late = self.pending.late;
        let waits = self.waits || current.frozen || current.due.plus_days(late) > self.today;
        if waits || next > self.handed || self.replacing == Some(next) {
            return;
        }
        self.close_worn(WearEnd::Advanced);
        if next > self.pending.furthest {
            self.stepped_back = false;
        }
        self.pending.furthest = next;
        self.put_in(next);
    }

    /// Elastics pull while trays are in.
    fn pull(&mut self, minutes: i32) {
        let Some(current) = self.current else { return };
        for elastic in self.plans.get(current.series).iter().flat_map(|plan| &plan.elastics) {
            if (elastic.from_tray..=elastic.to_tray).contains(&current.number) {
                let side = usize::from(elastic.upper_tooth.side() == Side::Left);
                self.bite.pull(&self.recipe.values.bite, side, elastic.pattern, (minutes, elastic.wear_goal_minutes));
            }
        }
    }

    /// A day of wear, and what is logged of it.
    pub(super) fn wear_today(&mut self) {
        let day = self.zone.minutes(self.today);
        let out = self.wearer.minutes_out(&self.recipe.values.wear, self.today);
        self.tracking.wear(&self.recipe.values.response, USUAL_DAY - out);
        self.truth.true_minutes.push((day - out).max(0));
        self.pull(USUAL_DAY - out);
        self.log(out, day);
    }
}

/// A plan in the form of the record.
fn series_of(number: i32, plan: &SeriesPlan) -> Series {
    let movements = plan.segments.iter().map(|segment| {
        let axis = |axis: usize| {
            Some((segment.moves[axis] * 100.0).round() as i32).filter(|value| *value != 0).map(Hundredths)
        };
        Movement {
            tooth: segment.tooth,
            from_tray: segment.from,
            to_tray: segment.to,
            mesial_mm: axis(0),
            facial_mm: axis(1),
            occlusal_mm: axis(2),
            rotation_deg: axis(3),
            tip_deg: axis(4),
            torque_deg: axis(5),
        }
    });
    let reduction = |planned: &StagedReduction| {
        PlannedReduction::new(planned.between, Hundredths(planned.amount), planned.before_tray)
    };
    Series::new(number, ArchCounts::new(plan.trays[0], plan.trays[1]), movements.collect())
        .attachments(plan.attachments.clone())
        .interproximal_reductions(plan.reductions.iter().map(reduction).collect())
        .elastics(plan.elastics.clone())
}
