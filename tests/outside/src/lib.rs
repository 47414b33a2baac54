//! What the checker says of a record's shape, and what validators that others wrote say of it.

use std::path::{Path, PathBuf};

use open_aligner_record::schema;
use serde_json::Value;

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
