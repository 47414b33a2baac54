//! The published JSON Schema (draft 2020-12), made from the descriptions.

use serde_json::{Map, Value, json};

use crate::describe::{Bounds, Described, Field, Object, Type};
use crate::number::Hundredths;
use crate::record::{self, Record, VERSION};
use crate::teeth::Tooth;
use crate::time;
use crate::words::Vocabulary;

/// The id of the published schema of this version. It is only a name; nothing is fetched from it.
pub const SCHEMA_ID: &str = "https://open-aligner-record.example.org/schema/v1.0/record.schema.json";

/// The schema of one record.
pub fn record_schema() -> Value {
    let objects = Record::OBJECT.with_parts();
    let mut defs = Map::new();
    for object in &objects[1..] {
        defs.insert(object.name.to_owned(), object_schema(object));
    }
    for vocabulary in vocabularies(&objects) {
        defs.insert(vocabulary.name.to_owned(), vocabulary_schema(vocabulary));
    }
    defs.insert("Tooth".to_owned(), tooth_schema());
    let mut schema = Map::new();
    schema.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("$id".to_owned(), json!(SCHEMA_ID));
    schema.insert("title".to_owned(), json!(format!("Open Aligner Record {VERSION}")));
    schema.insert("$comment".to_owned(), json!("CC0-1.0. Generated from the types; do not edit. Decimals have at most two decimal places. This schema does not state that, because validators disagree on it; the checker reads the digits."));
    let Value::Object(record) = object_schema(Record::OBJECT) else { return Value::Null };
    schema.extend(record.into_iter().filter(|(key, _)| key != "title"));
    schema.insert("$defs".to_owned(), Value::Object(defs));
    Value::Object(schema)
}

/// The vocabularies that the objects use, each once, in the order in which they first appear.
pub fn vocabularies(objects: &[&'static Object]) -> Vec<&'static Vocabulary> {
    let mut found: Vec<&'static Vocabulary> = Vec::new();
    for field in objects.iter().flat_map(|object| object.fields) {
        let mut ty = &field.ty;
        while let Type::List(of, _) = ty {
            ty = of;
        }
        if let Type::Word(vocabulary) = ty
            && !found.iter().any(|known| known.name == vocabulary.name)
        {
            found.push(vocabulary);
        }
    }
    found
}

fn object_schema(object: &Object) -> Value {
    let required: Vec<&str> = object.fields.iter().filter(|field| field.required).map(|field| field.name).collect();
    let mut properties = Map::new();
    for field in object.fields {
        properties.insert(field.name.to_owned(), field_schema(field));
    }
    let mut schema = json!({ "title": spaced(object.name), "description": sentence(object.doc), "type": "object" });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    schema["properties"] = Value::Object(properties);
    schema["additionalProperties"] = json!(false);
    schema
}

fn field_schema(field: &Field) -> Value {
    let mut schema = Map::new();
    schema.insert("title".to_owned(), json!(field.name.replace('_', " ")));
    schema.insert("description".to_owned(), json!(sentence(field.doc)));
    if let Value::Object(ty) = type_schema(&field.ty) {
        schema.extend(ty);
    }
    if let Some(example) = example(field) {
        schema.insert("examples".to_owned(), json!([example]));
    }
    Value::Object(schema)
}

/// An example value of the field: its own, or that of its type.
pub fn example(field: &Field) -> Option<Value> {
    if field.example.is_empty() { type_example(&field.ty) } else { serde_json::from_str(field.example).ok() }
}

fn type_example(ty: &Type) -> Option<Value> {
    Some(match ty {
        Type::Word(vocabulary) => json!(vocabulary.words.first()?.word),
        Type::Tooth => json!(11),
        Type::Truth => json!(true),
        Type::Date => json!("2031-02-03"),
        Type::Instant => json!("2031-02-03T08:30:00+01:00"),
        Type::TimeZone => json!("Europe/Vienna"),
        Type::Constant(text) => json!(text),
        Type::Version => json!(VERSION),
        Type::Extensions => json!({ "org.example.quillmere": { "chair": 2 } }),
        Type::List(of, _) => json!([type_example(of)?]),
        Type::Object(object) => object_example(object),
        Type::Whole(_) | Type::Hundredths(_) | Type::Id | Type::Text(_) => return None,
    })
}

/// An example object with its required fields, or with all fields when none is required.
fn object_example(object: &Object) -> Value {
    let all = object.fields.iter().all(|field| !field.required);
    let fields = object.fields.iter().filter(|field| all || field.required);
    Value::Object(fields.filter_map(|field| Some((field.name.to_owned(), example(field)?))).collect())
}

fn type_schema(ty: &Type) -> Value {
    match ty {
        Type::Object(object) => reference(object.name),
        Type::Word(vocabulary) => reference(vocabulary.name),
        Type::Tooth => reference("Tooth"),
        Type::List(of, bounds) => list_schema(of, *bounds),
        Type::Whole(bounds) => json!({ "type": "integer", "minimum": bounds.least, "maximum": bounds.most }),
        Type::Hundredths(bounds) => {
            json!({ "type": "number", "minimum": hundredths(bounds.least), "maximum": hundredths(bounds.most) })
        }
        Type::Truth => json!({ "type": "boolean" }),
        Type::Date => json!({ "type": "string", "format": "date", "pattern": time::DATE_PATTERN }),
        Type::Instant => json!({ "type": "string", "format": "date-time", "pattern": time::INSTANT_PATTERN }),
        Type::TimeZone => json!({ "type": "string", "pattern": record::TIME_ZONE_PATTERN }),
        Type::Id => json!({ "type": "string", "pattern": record::ID_PATTERN }),
        Type::Text(bounds) => text_schema(*bounds),
        Type::Constant(text) => json!({ "const": text }),
        Type::Version => json!({ "const": VERSION }),
        Type::Extensions => json!({ "type": "object", "propertyNames": { "pattern": record::EXTENSION_PATTERN } }),
    }
}

fn reference(name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}") })
}

fn list_schema(of: &Type, bounds: Bounds) -> Value {
    let mut schema = json!({ "type": "array", "items": type_schema(of) });
    if bounds.least > 0 {
        schema["minItems"] = json!(bounds.least);
    }
    schema["maxItems"] = json!(bounds.most);
    schema
}

fn text_schema(bounds: Bounds) -> Value {
    json!({ "type": "string", "minLength": bounds.least, "maxLength": bounds.most })
}

fn hundredths(value: i64) -> Value {
    json!(Hundredths(value as i32))
}

fn vocabulary_schema(vocabulary: &Vocabulary) -> Value {
    let words: Vec<&str> = vocabulary.words.iter().map(|word| word.word).collect();
    let meanings: Vec<String> =
        vocabulary.words.iter().map(|word| format!("{}: {}", word.word, word.doc.trim())).collect();
    json!({
        "title": spaced(vocabulary.name),
        "description": format!("{}\n{}", sentence(vocabulary.doc), meanings.join("\n")),
        "enum": words,
    })
}

fn tooth_schema() -> Value {
    let teeth: Vec<u8> = Tooth::all().map(Tooth::fdi).collect();
    json!({
        "title": "Tooth",
        "description": "A tooth by its FDI two-digit number (ISO 3950): quadrant, then position from the midline; 1 to 4 permanent, 5 to 8 primary.",
        "enum": teeth,
    })
}

/// `CheckIn` as "Check in".
fn spaced(name: &str) -> String {
    let mut text = String::new();
    for (index, letter) in name.chars().enumerate() {
        if letter.is_uppercase() && index > 0 {
            text.push(' ');
            text.extend(letter.to_lowercase());
        } else {
            text.push(letter);
        }
    }
    text
}

/// A doc comment as one paragraph.
pub fn sentence(doc: &str) -> String {
    doc.lines().map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
}
