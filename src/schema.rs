//! The published schemas, as they are checked in.

/// The JSON Schema (2020-12) of one record.
pub const RECORD: &str = include_str!("../schema/v1/record.schema.json");

/// The JSON Schema (2020-12) of the manifest of a conformance kit.
pub const KIT_MANIFEST: &str = include_str!("../schema/v1/kit_manifest.schema.json");

/// The JSON Schema (2020-12) of one line of answers to a conformance kit.
pub const KIT_ANSWER: &str = include_str!("../schema/v1/kit_answer.schema.json");
