//! Randomness that is the same everywhere: one stream for each patient and layer.
//!
//! A stream is `ChaCha` with 8 rounds, keyed by the seed of the run, the number of the patient and the layer that draws. So a
//! patient depends only on the seed and its own number, and a new draw in one layer does not change the others.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Ends the key, so that other uses of the same seed get other streams.
const PURPOSE: &[u8; 8] = b"oarcoh-1";

/// What draws. The number of a layer is part of the key: it stays as it is when layers are added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u64)]
pub enum RandomLayer {
    /// A clinic: its habits, shared by its patients.
    Clinic = 0,
    /// Sex, age, teeth, crown widths.
    Population = 1,
    /// The positions of the teeth at the start.
    Start = 2,
    /// Free choices of the plan.
    Plan = 3,
    /// True minutes of wear.
    Wear = 4,
    /// How teeth follow their trays.
    Response = 5,
    /// When check-ins are made, and how accurately fit gaps are measured.
    CheckIns = 6,
    /// Visits: when, attended or missed, and what was done.
    Visits = 7,
    /// Attachments and trays that are lost.
    Losses = 8,
    /// How the treatment continues and ends.
    Ends = 9,
    /// Minutes as they are logged.
    Logging = 10,
    /// Comfort, speech and notes.
    Reporting = 11,
    /// How the patient is followed, and what kind of patient it is.
    Habits = 12,
    /// Planted faults: whether, which and where.
    Faults = 13,
    /// The order in which faults take turns, shared by as many patients as there are faults to choose from.
    Turns = 14,
    /// How often the patient misses appointments.
    Attendance = 15,
    /// Observed plaque, gums and state of trays.
    Sights = 16,
    /// The molar relationship, and the wear of elastics.
    Bite = 17,
    /// Urgent visits.
    Urgent = 18,
    /// How long speech takes to return to normal.
    Speech = 19,
    /// Teeth that erupted rotated.
    Turned = 20,
}

/// An endless row of random numbers.
#[derive(Clone, Debug)]
pub struct RandomStream(ChaCha8Rng);

impl RandomStream {
    /// The stream of one layer of one patient, or of one clinic.
    pub fn new(seed: u64, index: u64, layer: RandomLayer) -> Self {
        let mut key = [0; 32];
        let parts = [seed.to_le_bytes(), index.to_le_bytes(), (layer as u64).to_le_bytes(), *PURPOSE];
        for (place, part) in key.chunks_exact_mut(8).zip(parts) {
            place.copy_from_slice(&part);
        }
        Self(ChaCha8Rng::from_seed(key))
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number between 0 and 1, neither of them: 53 random bits and a half.
    pub fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a double holds 53 bits exactly")]
        let bits = (self.bits() >> 11) as f64;
        (bits + 0.5) * (1.0 / 9_007_199_254_740_992.0)
    }
}
