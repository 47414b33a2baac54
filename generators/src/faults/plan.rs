//! Which faults go into which records.
//!
//! The faults take turns: of as many patients as there are faults to choose from, each is due one of them, in an order that
//! is drawn anew for the next so many. Those that suit few records are tried first, then those that suit a part of them, in a
//! drawn order, where the fault that is due does not suit, and in a share of the other records. So common faults come up equally often, and rare ones too.

use oar_schema::describe::Described;
use oar_schema::limits::Limits;
use oar_schema::record::Record;
use serde_json::Value;

use super::{Draft, FaultLocation, Maker, Suits};
use crate::key::{PlantedFault, Truth};
use crate::random::{RandomLayer, RandomStream};

/// The share of records in which faults that suit few are tried before the one that is due.
const FEW_FIRST: f64 = 0.25;

/// A maker that was chosen, with what its rule reads.
#[derive(Clone, Copy, Debug)]
pub struct ChosenMaker {
    /// The maker.
    pub maker: &'static Maker,
    /// The sections of the record that its rule reads, as bits in the order of the record's fields: none for a rule of shape,
    /// all for one that looks at the whole file or at several records.
    pub reads: u32,
}

/// What is written of one patient.
#[derive(Clone, Debug)]
pub struct WrittenPatient {
    /// The bytes of the record, and of those that a fault added after it, without line breaks.
    pub texts: Vec<Vec<u8>>,
    /// The line of the key.
    pub truth: Truth,
}

/// Which faults are planted, and in how many records.
#[derive(Clone, Debug)]
pub struct FaultPlan {
    chosen: Vec<ChosenMaker>,
    share: f64,
    many: bool,
    own_files: bool,
    limits: Limits,
}

impl FaultPlan {
    /// Plants one of the chosen faults in that share of the records, from 0 to 1.
    pub fn new(chosen: Vec<ChosenMaker>, share: f64) -> Self {
        Self { chosen, share, many: false, own_files: false, limits: Limits::default() }
    }

    /// Plants as many faults in a record as leave each other alone.
    #[must_use]
    pub fn with_many(self) -> Self {
        Self { many: true, ..self }
    }

    /// Each record will stand in a file of its own, so that mistakes of whole files can be made.
    #[must_use]
    pub fn with_own_files(self) -> Self {
        Self { own_files: true, ..self }
    }

    /// Plants faults in the record of a patient, by seed and number. Gives what is written instead, if there is one.
    pub fn plant(
        &self,
        clean: &Record,
        (seed, index): (u64, u64),
        planted: &mut Vec<PlantedFault>,
    ) -> Option<Vec<Vec<u8>>> {
        let mut stream = RandomStream::new(seed, index, RandomLayer::Faults);
        if !stream.chance(self.share) {
            return None;
        }
        let mut planting = Planting {
            draft: Draft::new(clean, &self.limits, self.own_files),
            touched: 0,
            read: 0,
            planted: Vec::new(),
        };
        for chosen in self.order(seed, index, &mut stream) {
            planting.try_to_add(chosen, &mut stream);
            if !planting.planted.is_empty() && !self.many {
                break;
            }
        }
        planted.append(&mut planting.planted);
        (!planted.is_empty()).then(|| planting.draft.texts())
    }

    /// The chosen faults in the order in which they are tried on a patient.
    fn order(&self, seed: u64, index: u64, stream: &mut RandomStream) -> Vec<ChosenMaker> {
        let count = self.chosen.len() as u64;
        if count == 0 {
            return Vec::new();
        }
        let mut turns: Vec<usize> = (0..self.chosen.len()).collect();
        RandomStream::new(seed, index / count, RandomLayer::Turns).shuffle(&mut turns);
        let due = self.chosen[turns[(index % count) as usize]];
        let few_first = stream.chance(FEW_FIRST);
        let mut order = self.chosen.clone();
        stream.shuffle(&mut order);
        order.sort_by_key(|chosen| match chosen.maker.suits {
            _ if chosen.maker.rule == due.maker.rule => {
                if few_first {
                    2
                } else {
                    0
                }
            }
            Suits::Few => 1 - u8::from(few_first),
            Suits::Part => 2 - u8::from(few_first),
            _ => 3,
        });
        order
    }
}

/// A record while faults are planted in it.
struct Planting<'r> {
    draft: Draft<'r>,
    /// The sections that were changed.
    touched: u32,
    /// The sections that the rules of the planted faults read.
    read: u32,
    planted: Vec<PlantedFault>,
}

impl Planting<'_> {
    /// Plants one more fault, if it suits and leaves those that are there alone: it changes nothing that their rules read or
    /// they changed, and its rule reads nothing that they changed.
    fn try_to_add(&mut self, chosen: ChosenMaker, stream: &mut RandomStream) {
        if self.planted.is_empty() {
            let before = self.draft.tree.clone();
            if let Some(spot) = (chosen.maker.make)(&mut self.draft, stream) {
                self.add(chosen, spot, changed(&before, &self.draft.tree));
            }
            return;
        }
        if chosen.reads & self.touched != 0 || chosen.reads == u32::MAX || self.read == u32::MAX {
            return;
        }
        let mut draft = self.draft.clone();
        if let Some(spot) = (chosen.maker.make)(&mut draft, stream) {
            let touched = changed(&self.draft.tree, &draft.tree);
            if touched & (self.touched | self.read) == 0 {
                self.draft = draft;
                self.add(chosen, spot, touched);
            }
        }
    }

    fn add(&mut self, chosen: ChosenMaker, spot: FaultLocation, touched: u32) {
        self.touched |= touched;
        self.read |= chosen.reads;
        self.planted.push(spot.planted(chosen.maker.rule));
    }
}

/// The sections that differ between two trees, as bits.
fn changed(before: &Value, after: &Value) -> u32 {
    let fields = Record::OBJECT.fields.iter().enumerate();
    fields
        .filter(|(_, field)| before.get(field.name) != after.get(field.name))
        .fold(0, |all, (place, _)| all | 1 << place)
}
