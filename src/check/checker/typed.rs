//! Records as their types: checked, and read.

use oar_schema::record::Record;

use super::{Checker, ReadError};
use crate::check::finding::Finding;

impl Checker {
    /// Everything that is wrong in a typed record. Places are those in its compact JSON text.
    ///
    /// # Errors
    /// When the record cannot be written as JSON.
    pub fn check_record(&mut self, record: &Record) -> Result<Vec<Finding>, serde_json::Error> {
        Ok(self.check(&serde_json::to_vec(record)?).into_findings())
    }

    /// Reads a record into its types, if it has no error. This takes every spelling that JSON allows, as the checker
    /// does, while `serde_json` alone refuses `11.0` for an integer and takes a list for an object.
    ///
    /// # Errors
    /// The findings, when one of them is an error.
    pub fn read(&mut self, record: &[u8]) -> Result<Record, ReadError> {
        self.read_from(record, 1)
    }

    /// As [`Self::read`], for a record that begins on line `line` of its file.
    pub(crate) fn read_from(&mut self, record: &[u8], line: u64) -> Result<Record, ReadError> {
        let checked = self.check_from(record, line);
        if checked.has_error() {
            return Err(ReadError::Findings(checked.into_findings()));
        }
        checked.record().map_or_else(|| serde_json::from_str(&self.text).map_err(ReadError::Json), Ok)
    }
}
