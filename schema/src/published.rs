//! Published schemas of the files beside records, derived from the Rust types that serde reads and writes. Doc comments become
//! descriptions.

use std::borrow::Cow;

use schemars::generate::{Contract, SchemaSettings};
use schemars::transform::{RecursiveTransform, Transform};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Value, json};

use crate::number::Hundredths;
use crate::record::Id;
use crate::teeth::Tooth;
use crate::time::Date;

/// The JSON Schema (2020-12) of what is written from a type. The path, such as `v1.0/card`, becomes a part of the schema's id.
pub fn written<T: JsonSchema>(path: &str, title: &str) -> Value {
    schema::<T>(path, title, Contract::Serialize)
}

/// The JSON Schema (2020-12) of what is read into a type.
pub fn read<T: JsonSchema>(path: &str, title: &str) -> Value {
    schema::<T>(path, title, Contract::Deserialize)
}

fn schema<T: JsonSchema>(path: &str, title: &str, contract: Contract) -> Value {
    let mut settings = SchemaSettings::draft2020_12().with_transform(RecursiveTransform(Plain(contract.clone())));
    settings.contract = contract;
    settings.inline_subschemas = true;
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": format!("https://open-aligner-record.example.org/schema/{path}.schema.json"),
        "title": title,
        "$comment": "CC0-1.0. Generated from the types; do not edit.",
    });
    let root = settings.into_generator().into_root_schema_for::<T>();
    if let (Some(schema), Value::Object(root)) = (schema.as_object_mut(), root.to_value()) {
        schema.extend(root.into_iter().filter(|(name, _)| name != "$schema" && name != "title"));
    }
    schema
}

/// Omits the widths of Rust's numbers, the line breaks of doc comments and, in what is written, defaults. Descriptions come first.
#[derive(Clone, Debug)]
struct Plain(Contract);

impl Transform for Plain {
    fn transform(&mut self, schema: &mut Schema) {
        let is_width = |format: &str| format.starts_with("int") || format.starts_with("uint") || format == "double";
        if schema.get("format").and_then(Value::as_str).is_some_and(is_width) {
            schema.remove("format");
        }
        if self.0 == Contract::Serialize {
            schema.remove("default");
        }
        if let Some(Value::String(text)) = schema.remove("description")
            && let Some(object) = schema.as_object_mut()
        {
            let rest = std::mem::take(object);
            object.insert("description".to_owned(), text.replace('\n', " ").into());
            object.extend(rest);
        }
    }
}

macro_rules! plain_schemas {
    ($($ty:ty: $schema:tt;)*) => {
        $(impl JsonSchema for $ty {
            fn schema_name() -> Cow<'static, str> {
                stringify!($ty).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        })*
    };
}

plain_schemas! {
    Tooth: {"type": "integer", "description": "An FDI code (ISO 3950)."};
    Hundredths: {"type": "number"};
    Id: {"type": "string"};
    Date: {"type": "string", "format": "date"};
}
