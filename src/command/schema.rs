//! `oar schema`: prints the published schema.

use clap::Args;

use super::{Failure, say};

/// Print the JSON Schema (2020-12) of a record
#[derive(Args)]
pub(crate) struct Schema {}

impl Schema {
    /// Prints the schema.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let Self {} = self;
        say(open_aligner_record::schema::RECORD)
    }
}
