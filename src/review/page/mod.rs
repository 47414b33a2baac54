//! The review as a page.

use super::Review;
use super::clinic::Clinic;
use super::entry::Entry;

/// The page of a clinic.
pub fn clinic(_list: &[Entry], _shown: u64, _clinic: &Clinic) -> String {
    String::new()
}

/// The page of a patient.
pub fn patient(_review: &Review) -> String {
    String::new()
}
