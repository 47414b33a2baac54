//! The published schemas, as they are checked in.

/// The JSON Schema (2020-12) of one record.
pub const RECORD: &str = include_str!("../schema/v1/record.schema.json");
