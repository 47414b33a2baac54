//! A cohort: patients by their numbers.

use oar_schema::record::Record;
use oar_schema::zones::Zone;

use crate::course::PatientSeed;
use crate::faults::{FaultPlan, WrittenPatient};
use crate::key::Truth;
use crate::random::RandomLayer;
use crate::recipe::Recipe;

/// All patients of a recipe and a seed. Patients are made one by one; nothing is kept.
#[derive(Clone, Debug)]
pub struct SyntheticCohort {
    recipe: Recipe,
    zones: Vec<Zone>,
    seed: u64,
    disturbed: Option<RandomLayer>,
    faults: Option<FaultPlan>,
}

impl SyntheticCohort {
    /// The cohort of a recipe and a seed.
    pub fn new(recipe: Recipe, seed: u64) -> Self {
        let clinic = &recipe.values.clinic;
        let zones = clinic.time_zones.iter().filter_map(|name| Zone::named(name)).collect();
        Self { recipe, zones, seed, disturbed: None, faults: None }
    }

    /// The same cohort with one more draw at the beginning of a layer. The draws of other layers stay the same, so only the
    /// effects of that layer change.
    #[must_use]
    pub fn disturbed(&self, layer: RandomLayer) -> Self {
        Self { disturbed: Some(layer), ..self.clone() }
    }

    /// The same cohort with faults planted in the [written](Self::written) records.
    #[must_use]
    pub fn with_faults(self, faults: FaultPlan) -> Self {
        Self { faults: Some(faults), ..self }
    }

    /// The recipe.
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// The seed.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The record of a patient, and the truth behind it.
    pub fn patient(&self, index: u64) -> (Record, Truth) {
        let patient_seed =
            PatientSeed { recipe: &self.recipe, zones: &self.zones, seed: self.seed, index, disturbed: self.disturbed };
        let clinic = &self.recipe.values.clinic;
        patient_seed.course().simulate(clinic.anchor.plus_days(clinic.cut_days))
    }

    /// The output for a patient: the record, with planted faults if any, and its line of the key.
    ///
    /// # Errors
    /// When the record cannot be written as JSON.
    pub fn written(&self, index: u64) -> serde_json::Result<WrittenPatient> {
        self.written_and_seen(index, |_, _| {})
    }

    /// The same, after `look` was called with the record without faults and the truth behind it, including the planted faults.
    ///
    /// # Errors
    /// When the record cannot be written as JSON.
    pub fn written_and_seen(
        &self,
        index: u64,
        look: impl FnOnce(&Record, &Truth),
    ) -> serde_json::Result<WrittenPatient> {
        let (record, mut truth) = self.patient(index);
        let planted = self.faults.as_ref().and_then(|plan| plan.plant(&record, (self.seed, index), &mut truth.faults));
        look(&record, &truth);
        let texts = match planted {
            Some(texts) => texts,
            None => vec![serde_json::to_vec(&record)?],
        };
        Ok(WrittenPatient { texts, truth })
    }
}
