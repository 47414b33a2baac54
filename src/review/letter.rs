//! A letter to the patient.

use super::Review;

/// The text that comes with the program.
pub const TEXT: &str = "";

/// The letter for a record, after a text with places.
///
/// # Errors
/// What is wrong with the text.
pub fn letter(_review: &Review, text: &str) -> Result<String, String> {
    Ok(text.to_owned())
}
