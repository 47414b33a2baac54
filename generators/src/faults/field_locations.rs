//! Every value of a record with what belongs there, along the descriptions of the format.

use oar_schema::describe::{Described, Field, Object, Type};
use oar_schema::record::Record;
use serde_json::Value;

use crate::random::RandomStream;

/// A value in a record.
#[derive(Clone, Debug)]
pub(super) struct FieldLocation<'t> {
    /// The way to it.
    pub(super) pointer: String,
    /// The field in which, or in whose list, it stands.
    pub(super) field: &'static Field,
    /// The kind of object that has the field.
    pub(super) object: &'static Object,
    /// What belongs there.
    pub(super) ty: &'static Type,
    /// Whether it is the whole of its field rather than an entry of a list.
    pub(super) whole: bool,
    /// What is there.
    pub(super) value: &'t Value,
}

/// A place among those that fit: each kind of field is as likely as the others, however often it is there.
pub(super) fn pick<'t>(
    tree: &'t Value,
    stream: &mut RandomStream,
    mut fits: impl FnMut(&FieldLocation<'t>) -> bool,
) -> Option<FieldLocation<'t>> {
    let mut places = Vec::new();
    object("", tree, Record::OBJECT, &mut |place| {
        if fits(&place) {
            places.push(place);
        }
    });
    let kind = |place: &FieldLocation<'_>| (place.object.name, place.field.name);
    let mut kinds: Vec<_> = places.iter().map(kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let chosen = *stream.one_of(&kinds)?;
    places.retain(|place| kind(place) == chosen);
    stream.one_of(&places).cloned()
}

/// The way to every tooth of a record, in the order of the file, with its number.
pub(super) fn all_teeth(tree: &Value) -> Vec<(String, u64)> {
    let mut teeth = Vec::new();
    object("", tree, Record::OBJECT, &mut |place| {
        if matches!(place.ty, Type::Tooth) {
            teeth.extend(place.value.as_u64().map(|tooth| (place.pointer, tooth)));
        }
    });
    teeth
}

fn object<'t>(pointer: &str, tree: &'t Value, of: &'static Object, tell: &mut impl FnMut(FieldLocation<'t>)) {
    for (name, value) in tree.as_object().into_iter().flatten() {
        if let Some(field) = of.field(name) {
            let place = FieldLocation {
                pointer: format!("{pointer}/{name}"),
                field,
                object: of,
                ty: &field.ty,
                whole: true,
                value,
            };
            within(place, tell);
        }
    }
}

fn within<'t>(place: FieldLocation<'t>, tell: &mut impl FnMut(FieldLocation<'t>)) {
    let (pointer, value) = (place.pointer.clone(), place.value);
    match place.ty {
        Type::Object(of) => {
            tell(place);
            object(&pointer, value, of, tell);
        }
        Type::List(of, _) => {
            tell(place.clone());
            for (at, value) in value.as_array().into_iter().flatten().enumerate() {
                within(
                    FieldLocation { pointer: format!("{pointer}/{at}"), ty: of, whole: false, value, ..place.clone() },
                    tell,
                );
            }
        }
        _ => tell(place),
    }
}
