//! Trays that are lost or break.

use oar_schema::record::WearEnd;

use super::visits::Purpose;
use super::{Phase, Treatment};
use crate::layers::population::YEAR;

/// Share of its days after which a lost tray is followed by the next one.
const NEARLY_DONE: f64 = 0.6;
/// Days until a new tray is there, least and most.
const NEW_TRAY_DAYS: (i32, i32) = (7, 14);

impl Treatment<'_> {
    /// Something hurts or scratches so that it cannot wait.
    pub(super) fn worry(&mut self) {
        let chance = self.recipe.values.care.urgent_per_year / YEAR;
        if self.streams.urgent.chance(chance) && !self.waits && !self.has_booked(Purpose::Urgent) {
            self.book(Purpose::Urgent, 1);
        }
    }

    /// The tray may be lost or break today.
    pub(super) fn accident(&mut self) {
        let Some(current) = self.current.filter(|current| current.from < self.today) else { return };
        if self.waits || self.replacing.is_some() || self.pending.back_to.is_some() || self.phase != Phase::Wearing {
            return;
        }
        let care = &self.recipe.values.care;
        let days = f64::from(self.habits.change_interval_days);
        let chance = self.streams.losses.unit() * days;
        let ended = if chance < care.tray_lost_share {
            WearEnd::Lost
        } else if chance < care.tray_lost_share + care.tray_broken_share {
            WearEnd::Broken
        } else {
            return;
        };
        let last = self.plan().map_or(0, crate::layers::plan::SeriesPlan::longest);
        self.close_worn(ended);
        let worn = f64::from(self.today.days_since(current.from));
        if worn >= NEARLY_DONE * days && current.number < last && current.number < self.handed {
            self.pending.furthest = self.pending.furthest.max(current.number + 1);
            self.put_in(current.number + 1);
            return;
        }
        self.replacing = Some(current.number);
        let days = self.streams.losses.whole(NEW_TRAY_DAYS.0, NEW_TRAY_DAYS.1);
        self.book(Purpose::Repair, days);
        if current.number > 1 {
            self.put_in(current.number - 1);
        } else {
            self.phase = Phase::Without;
        }
    }
}
