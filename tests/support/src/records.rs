//! Records that many tests begin with.

use serde_json::Value;

/// Twelve right records, one a line.
pub const DEMO: &str = include_str!("../../../datasets/demo/quillmere.oar.jsonl");
/// One right record over many lines.
pub const BASE: &str = include_str!("../../base.oar.json");
/// The base record with one error, which is `worn_backwards`.
pub const BACKWARDS: &str = include_str!("../../../datasets/broken/worn_backwards.oar.json");

/// A right record on one line, without a line end.
pub fn right() -> &'static str {
    DEMO.lines().next().unwrap()
}

/// A record with one error on one line, without a line end.
pub fn wrong() -> String {
    serde_json::from_str::<Value>(BACKWARDS).unwrap().to_string()
}
