//! What the checker says of a record's shape, and what validators that others wrote say of it.

use std::path::{Path, PathBuf};

use oar_schema::record::TimeZone;
use open_aligner_record::finding::{Arg, Finding};
use open_aligner_record::{Checker, schema};
use serde_json::Value;

/// Faults of the text that a JSON Schema validator never sees, or sees after its parser has dropped them.
const BEFORE_THE_SCHEMA: &[&str] = &[
    "not_utf8",
    "not_json",
    "cut_short",
    "repeated_name",
    "number_too_large",
    "noncharacter",
    "nested_too_deep",
    "nothing_inside",
];

/// Rules outside the theme `shape` that stand for departures from the schema.
const SHAPE_ELSEWHERE: &[&str] = &["another_format", "newer_version"];

/// The checker's verdict on the shape of one record: none when the text is at fault before any schema applies.
pub fn our_verdict(findings: &[Finding]) -> Option<bool> {
    if findings.iter().any(|finding| BEFORE_THE_SCHEMA.contains(&finding.rule.name)) {
        return None;
    }
    Some(!findings.iter().any(departs_from_schema))
}

/// Whether a finding is about something that the published schema refuses. It cannot refuse a third decimal
/// place, nor a time zone that has the right shape and does not exist.
fn departs_from_schema(finding: &Finding) -> bool {
    let zone_has_shape = |name: &&(&str, Arg)| name.0 == "value" && TimeZone::fits(name.1.to_string().as_bytes());
    match finding.rule.name {
        "too_many_decimals" => false,
        "not_a_time_zone" => !finding.args.iter().any(|arg| zone_has_shape(&arg)),
        "other_notation" => finding.args.iter().any(|(name, _)| *name == "count"),
        "unit_looks_wrong" => finding.args.iter().any(|(name, _)| *name == "count"),
        name => finding.rule.theme == "shape" || SHAPE_ELSEWHERE.contains(&name),
    }
}

/// Two validators in Rust.
pub struct Validators {
    jsonschema: jsonschema::Validator,
    schemas: boon::Schemas,
    index: boon::SchemaIndex,
}

impl Validators {
    /// Both, with the published schema and formats checked.
    pub fn new() -> Self {
        let schema: Value = serde_json::from_str(schema::RECORD).expect("the schema is JSON");
        let jsonschema =
            jsonschema::options().should_validate_formats(true).build(&schema).expect("jsonschema takes the schema");
        let mut schemas = boon::Schemas::new();
        let mut compiler = boon::Compiler::new();
        compiler.enable_format_assertions();
        compiler.add_resource("record.schema.json", schema).expect("boon takes the resource");
        let index = compiler.compile("record.schema.json", &mut schemas).expect("boon takes the schema");
        Self { jsonschema, schemas, index }
    }

    /// What each says.
    pub fn verdicts(&self, record: &Value) -> [bool; 2] {
        [self.jsonschema.is_valid(record), self.schemas.validate(record, self.index).is_ok()]
    }
}

impl Default for Validators {
    fn default() -> Self {
        Self::new()
    }
}

/// The project's top folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// All single-record files below `datasets/`, in order.
pub fn dataset_files() -> Vec<PathBuf> {
    let mut files = Vec::new();
    for folder in ["demo", "broken"] {
        let entries = std::fs::read_dir(root().join("datasets").join(folder)).expect("the folder is there");
        files.extend(entries.map(|entry| entry.expect("an entry").path()));
    }
    files.retain(|file| file.to_string_lossy().ends_with(".oar.json"));
    files.sort();
    files
}

/// The checker's verdict on one text.
pub fn our_verdict_on(text: &[u8], checker: &mut Checker) -> Option<bool> {
    our_verdict(&checker.check(text))
}
