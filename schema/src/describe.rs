//! Descriptions of the format: the name, type and meaning of each field.
//!
//! Every object of the format is described once, by the `object!` macro. The descriptions here are what the JSON
//! Schema, the reference pages and the checker's slow path are made from; the types and the fast reader come from
//! the same lines.

use crate::words::Vocabulary;

/// The smallest and the greatest value, length or count of a field, inclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// The smallest.
    pub least: i64,
    /// The greatest.
    pub most: i64,
}

impl Bounds {
    /// Bounds from `least` to `most`, inclusive.
    pub const fn new(least: i64, most: i64) -> Self {
        Self { least, most }
    }

    /// Whether `value` is within the bounds.
    #[inline]
    pub const fn hold(self, value: i64) -> bool {
        self.least <= value && value <= self.most
    }
}

/// The type of a value.
#[derive(Clone, Copy, Debug)]
pub enum Type {
    /// An object of the format.
    Object(&'static Object),
    /// A list of values of one type; the bounds count its entries.
    List(&'static Type, Bounds),
    /// One word of a closed vocabulary.
    Word(&'static Vocabulary),
    /// An integer.
    Whole(Bounds),
    /// A decimal with at most two places; the bounds are in hundredths.
    Hundredths(Bounds),
    /// `true` or `false`.
    Truth,
    /// A tooth by its FDI number, a JSON integer.
    Tooth,
    /// A calendar day in the patient's time zone.
    Date,
    /// A moment, with its offset from UTC.
    Instant,
    /// The name of a time zone in the IANA database.
    TimeZone,
    /// A pseudonymous identifier.
    Id,
    /// Free text; the bounds count its characters.
    Text(Bounds),
    /// One fixed text.
    Constant(&'static str),
    /// The version of the format.
    Version,
    /// Data that other systems add, keyed by reverse domain name.
    Extensions,
}

impl Type {
    /// The same type with other bounds; types without bounds stay as they are.
    #[must_use]
    pub const fn within(self, bounds: Bounds) -> Self {
        match self {
            Self::List(of, _) => Self::List(of, bounds),
            Self::Whole(_) => Self::Whole(bounds),
            Self::Hundredths(_) => Self::Hundredths(bounds),
            Self::Text(_) => Self::Text(bounds),
            other => other,
        }
    }
}

/// One field of an object.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Its name, as written in a record.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// Whether it is required.
    pub required: bool,
    /// The type of its value.
    pub ty: Type,
    /// An example value, as JSON text; empty when the example of its type is used.
    pub example: &'static str,
}

impl Field {
    /// The unit of the field's value, taken from the last part of its name.
    pub fn unit(&self) -> Option<&'static str> {
        let units = [("_mm", "mm"), ("_deg", "degrees"), ("_minutes", "minutes"), ("_days", "days")];
        let by_name = units.iter().find(|(ending, _)| self.name.ends_with(ending));
        match (by_name, self.name) {
            (Some((_, unit)), _) => Some(unit),
            (None, "minutes") => Some("minutes"),
            (None, "days" | "change_interval_days") => Some("days"),
            _ => None,
        }
    }
}

/// One kind of object in the format.
#[derive(Clone, Copy, Debug)]
pub struct Object {
    /// Its name, in the types and in the JSON Schema.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Its fields in canonical order: the required ones, then the optional ones.
    pub fields: &'static [Field],
}

impl Object {
    /// The field of that name.
    pub fn field(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// This object and all objects within it, each once, in the order in which they first appear.
    pub fn with_parts(&'static self) -> Vec<&'static Self> {
        let mut found = Vec::new();
        self.collect(&mut found);
        found
    }

    fn collect(&'static self, found: &mut Vec<&'static Self>) {
        if found.iter().any(|known| known.name == self.name) {
            return;
        }
        found.push(self);
        for field in self.fields {
            let mut ty = &field.ty;
            while let Type::List(of, _) = ty {
                ty = of;
            }
            if let Type::Object(object) = ty {
                object.collect(found);
            }
        }
    }
}

/// A type that is an object of the format.
pub trait Described {
    /// Its description.
    const OBJECT: &'static Object;
}
