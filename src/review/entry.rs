//! The worklist: an entry for each record, ordered by priority.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use oar_schema::record::State;
use oar_schema::time::Date;

use super::finish::Finish;
use super::{Priority, Raised, Review};
use oar_schema::derived::course;
use oar_schema::derived::values::Values;

/// The entry of one record in the worklist.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The file, as outputs name it.
    pub file: String,
    /// The number of the record in the file, from 1.
    pub record: u64,
    /// The record's id.
    pub id: String,
    /// The patient's id.
    pub patient: String,
    /// The day of the review.
    pub day: Date,
    /// The state of the treatment.
    pub state: State,
    /// The current series and tray, and the trays of the longer arch of that series; those of the leading arch when each arch
    /// wears its own tray.
    pub tray: Option<[i32; 3]>,
    /// The derived values.
    pub values: Values,
    /// The signals, the most urgent first.
    pub raised: Vec<Raised>,
    /// When series and treatment are likely to end.
    pub finish: Option<Finish>,
}

impl Entry {
    /// The entry of a review. The caller adds file and number.
    pub fn of(review: &Review) -> Self {
        let record = &review.record;
        let current = course::current(record).zip(review.values.trays_left);
        let tray = current.map(|(worn, left)| [worn.series, worn.tray, worn.tray + left]);
        Self {
            file: String::new(),
            record: 0,
            id: record.id.0.clone(),
            patient: record.patient.id.0.clone(),
            day: review.day,
            state: record.status.state,
            tray,
            values: review.values.clone(),
            raised: review.raised.clone(),
            finish: review.finish,
        }
    }

    /// The most urgent priority.
    pub fn priority(&self) -> Option<Priority> {
        self.raised.first().map(|raised| raised.priority)
    }

    /// How strong its signals of the most urgent priority are together.
    fn weight(&self) -> f64 {
        let priority = self.priority();
        self.raised.iter().filter(|raised| Some(raised.priority) == priority).map(|raised| raised.score).sum()
    }

    /// The order of the worklist: by priority, then by weight, then by id and place. The first one is the one to look at first.
    pub fn order(&self, other: &Self) -> Ordering {
        let priority = |entry: &Self| entry.priority().map_or(u8::MAX, |priority| priority as u8);
        let place = |entry: &Self| (entry.id.clone(), entry.file.clone(), entry.record);
        priority(self)
            .cmp(&priority(other))
            .then_with(|| other.weight().total_cmp(&self.weight()))
            .then_with(|| place(self).cmp(&place(other)))
    }
}

/// An entry in the order of the worklist, for the heap.
struct Ordered(Entry);

impl PartialEq for Ordered {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Ordered {}

impl PartialOrd for Ordered {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ordered {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.order(&other.0)
    }
}

/// The first entries of a worklist of any length; no more than these are held.
pub struct First {
    most: usize,
    held: BinaryHeap<Ordered>,
}

impl First {
    /// A worklist that keeps `most` entries.
    pub fn new(most: usize) -> Self {
        Self { most, held: BinaryHeap::new() }
    }

    /// Adds an entry.
    pub fn add(&mut self, entry: Entry) {
        self.held.push(Ordered(entry));
        if self.held.len() > self.most {
            self.held.pop();
        }
    }

    /// The entries, in order.
    pub fn into_list(self) -> Vec<Entry> {
        self.held.into_sorted_vec().into_iter().map(|ordered| ordered.0).collect()
    }
}
