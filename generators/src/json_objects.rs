//! Objects of the answer key and of other files for programs: declared once, written with serde and described by a JSON Schema.

use oar_schema::number::Hundredths;
use oar_schema::record::Id;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use serde_json::{Value, json};

/// What a value of such an object looks like, as JSON Schema (2020-12).
pub trait HasSchema {
    /// Its schema.
    fn schema() -> Value;
}

macro_rules! shapes {
    ($($($ty:ty),+ => $schema:tt;)*) => {
        $($(impl HasSchema for $ty {
            fn schema() -> Value {
                json!($schema)
            }
        })+)*
    };
}

shapes! {
    i32, u64 => {"type": "integer"};
    f64, Hundredths => {"type": "number"};
    bool => {"type": "boolean"};
    &'static str, String, Id => {"type": "string"};
    Tooth => {"type": "integer", "description": "An FDI code (ISO 3950)."};
    Date => {"type": "string", "format": "date"};
}

impl<T: HasSchema> HasSchema for Vec<T> {
    fn schema() -> Value {
        json!({"type": "array", "items": T::schema()})
    }
}

impl<T: HasSchema, const N: usize> HasSchema for [T; N] {
    fn schema() -> Value {
        json!({"type": "array", "items": T::schema(), "minItems": N, "maxItems": N})
    }
}

impl<T: HasSchema> HasSchema for Option<T> {
    fn schema() -> Value {
        json!({"anyOf": [T::schema(), {"type": "null"}]})
    }
}

/// Declares an object of the key, or of another file for programs: the type, its serialisation, and its schema.
#[macro_export]
macro_rules! truths {
    ($($(#[doc = $doc:literal])* $name:ident { $($(#[doc = $field_doc:literal])* $field:ident: $ty:ty,)* })*) => {
        $(
            $(#[doc = $doc])*
            #[derive(Clone, Debug, serde::Serialize)]
            pub struct $name {
                $($(#[doc = $field_doc])* pub $field: $ty,)*
            }

            impl $crate::json_objects::HasSchema for $name {
                fn schema() -> serde_json::Value {
                    let mut properties = serde_json::Map::new();
                    $(
                        let mut schema = <$ty as $crate::json_objects::HasSchema>::schema();
                        schema["description"] = concat!($($field_doc),*).trim().into();
                        properties.insert(stringify!($field).to_owned(), schema);
                    )*
                    serde_json::json!({
                        "type": "object",
                        "description": concat!($($doc),*).trim(),
                        "properties": properties,
                        "required": [$(stringify!($field)),*],
                        "additionalProperties": false,
                    })
                }
            }
        )*
    };
}
pub(crate) use truths;
