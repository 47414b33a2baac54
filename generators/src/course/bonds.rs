//! Attachments on the teeth: bonded, lost, found debonded, bonded again, removed.

use oar_schema::record::{AttachmentChange, AttachmentEvent, Id};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use super::Treatment;
use crate::key::StoodTruth;
use crate::layers::plan::attachments::is_for;
use crate::mouth::AXES;

/// Days of a month.
const MONTH: f64 = 30.4;

/// One attachment of the present series.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bond {
    /// Whether it is on its tooth.
    on: bool,
    /// Whether its loss is on record.
    told: bool,
    /// The day on which it fails.
    fails: Date,
    /// The index of its entry in the key.
    stood: usize,
}

/// When a debonded attachment is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Urgency {
    Not,
    Later,
    Now,
}

impl Treatment<'_> {
    fn event(&mut self, at: usize, event: AttachmentChange) {
        let Some(attachment) = self.plan().map(|plan| plan.attachments[at].id.clone()) else { return };
        let event = AttachmentEvent { on: self.today, series: self.series as i32, attachment, event };
        self.record.attachment_events.get_or_insert_default().push(event);
    }

    fn fail_day(&mut self, tooth: Tooth) -> Date {
        let care = &self.recipe.values.care;
        let worse = if tooth.kind().is_anterior() { 1.0 } else { care.attachment_back_ratio };
        let days = if self.streams.losses.chance(care.attachment_early_loss * worse) {
            1.0 + MONTH * self.streams.losses.unit()
        } else {
            let monthly = (care.attachment_monthly_loss * worse).max(1e-6);
            MONTH + self.streams.losses.exponential(MONTH / monthly).min(20_000.0)
        };
        self.today.plus_days(days as i32)
    }

    /// Bonds all attachments of the present series.
    pub(super) fn bond_all(&mut self) {
        self.bonds.clear();
        let planned = self.plan().map_or(Vec::new(), |plan| plan.attachments.clone());
        for (at, attachment) in planned.into_iter().enumerate() {
            let fails = self.fail_day(attachment.tooth);
            let stood = self.stands(attachment.id);
            self.bonds.push(Bond { on: true, told: false, fails, stood });
            self.event(at, AttachmentChange::Bonded);
        }
    }

    /// Notes in the key that an attachment is on from today. Returns the index of the entry.
    fn stands(&mut self, attachment: Id) -> usize {
        let (series, from) = (self.series as i32, self.today);
        self.truth.attachments.push(StoodTruth { series, attachment, from, to: None });
        self.truth.attachments.len() - 1
    }

    /// Which attachments are on their teeth today.
    pub(super) fn standing(&mut self) -> Vec<bool> {
        let today = self.today;
        for bond in self.bonds.iter_mut().filter(|bond| bond.on && bond.fails <= today) {
            bond.on = false;
            self.truth.attachments[bond.stood].to = Some(bond.fails);
        }
        self.bonds.iter().map(|bond| bond.on).collect()
    }

    /// An examination: debonded attachments are found, and their loss is recorded.
    pub(super) fn find_off(&mut self) -> Vec<Id> {
        let standing = self.standing();
        for (at, on) in standing.iter().enumerate() {
            if !on && !self.bonds[at].told {
                self.bonds[at].told = true;
                self.event(at, AttachmentChange::Debonded);
            }
        }
        let Some(plan) = self.plan() else { return Vec::new() };
        let off = plan.attachments.iter().zip(&standing).filter(|(_, on)| !**on);
        off.map(|(attachment, _)| attachment.id.clone()).collect()
    }

    /// When the most urgently needed debonded attachment is needed.
    pub(super) fn need(&self) -> Urgency {
        let (Some(plan), Some(current)) = (self.plan(), self.current) else { return Urgency::Not };
        let off = plan.attachments.iter().zip(&self.bonds).filter(|(_, bond)| !bond.on);
        let needs = off.map(|(attachment, _)| {
            let moved = plan
                .segments
                .iter()
                .filter(|segment| segment.tooth == attachment.tooth && segment.to >= current.number);
            let supported = moved.filter(|segment| {
                (0..AXES).any(|axis| segment.moves[axis] != 0.0 && is_for(attachment, axis, segment.moves[axis]))
            });
            match supported.map(|segment| segment.from).min() {
                Some(from) if from <= current.number + 1 => Urgency::Now,
                Some(_) => Urgency::Later,
                None => Urgency::Not,
            }
        });
        needs.max().unwrap_or(Urgency::Not)
    }

    /// Bonds debonded attachments again. Returns whether there were any.
    pub(super) fn rebond(&mut self) -> bool {
        self.find_off();
        let off: Vec<usize> = (0..self.bonds.len()).filter(|at| !self.bonds[*at].on).collect();
        for at in &off {
            let Some(attachment) = self.plan().map(|plan| plan.attachments[*at].clone()) else { continue };
            let fails = self.fail_day(attachment.tooth);
            let stood = self.stands(attachment.id);
            self.bonds[*at] = Bond { on: true, told: false, fails, stood };
            self.event(*at, AttachmentChange::Bonded);
        }
        !off.is_empty()
    }

    /// Removes all attachments. Returns whether there were any.
    pub(super) fn remove_all(&mut self) -> bool {
        self.find_off();
        let on: Vec<usize> = (0..self.bonds.len()).filter(|at| self.bonds[*at].on).collect();
        for at in &on {
            self.truth.attachments[self.bonds[*at].stood].to = Some(self.today);
            self.event(*at, AttachmentChange::Removed);
        }
        self.bonds.clear();
        !on.is_empty()
    }
}
