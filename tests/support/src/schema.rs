//! Whether a value fits a published schema, by the keywords about types, fields and fixed values. Bounds and patterns are for the
//! independent validators.

use serde_json::Value;

/// A published schema, by the name of its file.
pub fn published(name: &str) -> Value {
    let file = super::repository::root().join(format!("schema/v1/{name}.schema.json"));
    serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap()
}

/// Where a value does not fit a schema, as a JSON Pointer.
pub fn stray(value: &Value, schema: &Value) -> Option<String> {
    let fits_one = |either: &Value| either.as_array().unwrap().iter().any(|one| stray(value, one).is_none());
    let is_one = |words: &Value| words.as_array().unwrap().contains(value);
    let fits = schema.get("anyOf").is_none_or(fits_one)
        && schema.get("enum").is_none_or(is_one)
        && schema.get("const").is_none_or(|fixed| fixed == value)
        && schema.get("type").is_none_or(|kind| is_of_type(value, kind));
    if !fits {
        return Some(String::new());
    }
    let below = |name: &str, value, schema| stray(value, schema).map(|path| format!("/{name}{path}"));
    if let (Value::Array(list), Some(items)) = (value, schema.get("items")) {
        return list.iter().enumerate().find_map(|(at, one)| below(&at.to_string(), one, items));
    }
    let object = value.as_object()?;
    let required = schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str);
    let missing = required.into_iter().find(|name| !object.contains_key(*name));
    missing.map(|name| format!("/{name}")).or_else(|| {
        object.iter().find_map(|(name, value)| {
            match schema["properties"].get(name).or(schema.get("additionalProperties")) {
                Some(Value::Bool(false)) => Some(format!("/{name}")),
                Some(schema) => below(name, value, schema),
                None => None,
            }
        })
    })
}

fn is_of_type(value: &Value, kind: &Value) -> bool {
    match kind.as_str() {
        Some("integer") => value.is_i64() || value.is_u64(),
        Some("number") => value.is_number(),
        Some("boolean") => value.is_boolean(),
        Some("string") => value.is_string(),
        Some("null") => value.is_null(),
        Some("array") => value.is_array(),
        Some("object") => value.is_object(),
        _ => kind.as_array().unwrap().iter().any(|kind| is_of_type(value, kind)),
    }
}
