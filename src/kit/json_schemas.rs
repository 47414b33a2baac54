//! The JSON Schemas (2020-12) of the manifest, of an answer and of a score.

use serde_json::{Value, json};

use super::derived_values::VALUES;
use super::manifest::{CaseKind, FORMAT, VERSION};
use crate::check::rule::Level;

/// The schema of `manifest.json`.
pub fn manifest() -> Value {
    let mut schema = head("kit_manifest", "Manifest of a conformance kit");
    let fields = json!({
        "format": {"const": FORMAT},
        "version": {"const": VERSION, "description": "The version of manifest, answers and score."},
        "record_version": {"type": "string", "description": "The version of the record format."},
        "made_by": {"type": "string", "description": "The program that wrote the kit, with its version."},
        "seed": {"type": "integer", "minimum": 0},
        "each": {"type": "integer", "minimum": 1, "description": "The number of cases of each fault."},
        "values": {"type": "array", "items": value(), "description": "The derived values with expected values."},
        "without": {
            "type": "array",
            "items": object(&json!({"rule": {"type": "string"}, "why": {"type": "string"}}), &[]),
            "description": "Rules of the checker without a case in the kit.",
        },
        "cases": {"type": "array", "items": case()},
    });
    join(&mut schema, object(&fields, &[]));
    schema["$defs"] = json!({"derived": derived()});
    schema
}

/// The schema of one line of the answers.
pub fn answer() -> Value {
    let mut schema = head("kit_answer", "Answer to one case of a conformance kit");
    let place = json!({
        "pointer": {"type": "string", "description": "JSON Pointer (RFC 6901) from the record."},
        "record": {"type": "integer", "minimum": 1, "default": 1, "description": "The number of the record in the file."},
    });
    let fields = json!({
        "case": {"type": "string", "description": "The name of the case in the manifest."},
        "accepted": {"type": "boolean", "description": "Whether the reader accepts the file as it is. Omitted when the reader does not say."},
        "places": {
            "type": "array",
            "items": object(&place, &["record"]),
            "description": "Where something is wrong or unusual. Omitted or empty when the reader does not say.",
        },
        "derived": {"$ref": "#/$defs/derived"},
    });
    join(&mut schema, object(&fields, &["accepted", "places", "derived"]));
    let mut derived = derived();
    derived["required"] = json!([]);
    derived["description"] =
        "Values that follow from the record. An omitted value is not claimed; null means that there is none.".into();
    schema["$defs"] = json!({"derived": derived});
    schema
}

/// The schema of a score.
pub fn score() -> Value {
    let mut schema = head("kit_score", "Score of the answers to a conformance kit");
    let names = json!({"type": "array", "items": {"type": "string"}});
    let wrong = json!({
        "case": {"type": "string"},
        "what": {"type": "string", "description": "accepted, places, or the name of a derived value."},
        "expected": true,
        "answered": true,
        "finding": finding(),
    });
    let fields = json!({
        "version": {"const": VERSION},
        "only": names,
        "cases": {"type": "integer", "description": "The number of scored cases."},
        "all_right": {"type": "boolean", "description": "Whether nothing is wrong, missing, doubled or unknown."},
        "accepted": {"type": "object", "propertyNames": {"enum": kinds()}, "additionalProperties": {"$ref": "#/$defs/tally"}},
        "places": {"$ref": "#/$defs/tally"},
        "derived": {"type": "object", "additionalProperties": {"$ref": "#/$defs/tally"}},
        "wrong": {"type": "array", "items": object(&wrong, &["finding"])},
        "missing": names,
        "doubled": names,
        "unknown": names,
    });
    join(&mut schema, object(&fields, &[]));
    let count = json!({"type": "integer", "minimum": 0});
    schema["$defs"] = json!({"tally": object(&json!({"right": count, "wrong": count, "not_claimed": count}), &[])});
    schema
}

fn head(name: &str, title: &str) -> Value {
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": format!("https://open-aligner-record.example.org/schema/v{VERSION}/{name}.schema.json"),
        "title": format!("{title} {VERSION}"),
        "$comment": "CC0-1.0. Generated from the code; do not edit.",
    })
}

fn join(schema: &mut Value, object: Value) {
    if let (Some(schema), Value::Object(object)) = (schema.as_object_mut(), object) {
        schema.extend(object);
    }
}

/// An object with these fields, all required except some.
fn object(fields: &Value, optional: &[&str]) -> Value {
    let names = fields.as_object().into_iter().flat_map(serde_json::Map::keys);
    let required: Vec<&String> = names.filter(|name| !optional.contains(&name.as_str())).collect();
    json!({"type": "object", "properties": fields, "required": required, "additionalProperties": false})
}

fn kinds() -> Vec<&'static str> {
    CaseKind::ALL.map(CaseKind::as_str).to_vec()
}

fn value() -> Value {
    let fields = json!({
        "name": {"type": "string"},
        "tolerance": {"type": "number", "minimum": 0, "description": "By how much a number may differ."},
        "definition": {"type": "string"},
    });
    object(&fields, &[])
}

fn finding() -> Value {
    let levels = Level::ALL.map(Level::as_str);
    let fields = json!({
        "rule": {"type": "string", "description": "The name of the fault."},
        "theme": {"type": "string"},
        "level": {"enum": levels},
        "record": {"type": "integer", "minimum": 1, "description": "The number of the record in the file."},
        "pointer": {"type": "string", "description": "JSON Pointer (RFC 6901) from the record; empty for the record as a whole."},
        "meaning": {"type": "string", "description": "What the rule checks, in one sentence."},
    });
    object(&fields, &[])
}

fn case() -> Value {
    let fields = json!({
        "case": {"type": "string", "description": "Its name: kind, /, and subject."},
        "kind": {"enum": kinds()},
        "file": {"type": "string", "description": "The path of the file within the folder of the kit."},
        "records": {"type": "integer", "minimum": 1, "description": "The number of records in the file."},
        "what": {"type": "string", "description": "What is special about it."},
        "accepted": {"type": "boolean", "description": "Whether a reader accepts it."},
        "finding": finding(),
        "same_as": {"type": "string", "description": "The case that holds the same values in another spelling."},
        "derived": {"$ref": "#/$defs/derived"},
    });
    object(&fields, &["finding", "same_as", "derived"])
}

/// The derived values, as in the answer key.
fn derived() -> Value {
    let mut schema = oar_generators::key::schema()["properties"]["derived"].take();
    schema["required"] = VALUES.iter().map(|value| value.name).collect();
    schema
}
