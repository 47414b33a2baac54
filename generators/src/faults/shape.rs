//! Mistakes of shape: names, types, words and bounds that are not those of the published schema.

use oar_schema::describe::{Described, Type};
use oar_schema::number::Hundredths;
use oar_schema::record::{Appointment, CheckIn};
use serde_json::{Value, json};

use super::field_locations::{FieldLocation, pick};
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "shape":
    Many missing_field;
    Many unknown_field;
    Many wrong_type;
    Many unknown_word;
    Many out_of_range;
    Many too_many_decimals;
    Many not_a_date;
    Many not_an_instant;
    Many not_a_time_zone;
    Many not_a_tooth;
    Many not_a_reverse_domain;
    Many bad_id;
    Many too_long;
    Many wrong_count;
}

/// Without these the file is not taken for a record, or for one of another version.
const HEAD: [&str; 2] = ["format", "version"];

/// A column that the export left out.
fn missing_field(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let required = |place: &FieldLocation<'_>| place.whole && place.field.required && !HEAD.contains(&place.field.name);
    let pointer = pick(&draft.tree, stream, required)?.pointer;
    draft.remove(&pointer)?;
    let (object, _) = pointer.rsplit_once('/')?;
    Some(object.into())
}

/// A name as the exporting program's own code has it: `fromTray`.
fn unknown_field(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    // A name with digits could be anything: the checker's pointers do not tell it.
    let plain = |name: &str| name.contains('_') && !name.contains(|letter: char| letter.is_ascii_digit());
    let place = pick(&draft.tree, stream, |place| place.whole && plain(place.field.name))?;
    let (pointer, name) = (place.pointer, camel(place.field.name));
    draft.rename(&pointer, &name).map(FaultLocation::from)
}

/// A name with capitals for underscores.
fn camel(name: &str) -> String {
    let mut out = String::new();
    for (at, part) in name.split('_').enumerate() {
        let (first, rest) = part.split_at(part.len().min(1));
        if at == 0 {
            out.push_str(first);
        } else {
            out.push_str(&first.to_uppercase());
        }
        out.push_str(rest);
    }
    out
}

/// A number in quotes, a yes for true.
fn wrong_type(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let fits = |place: &FieldLocation<'_>| {
        matches!(place.ty, Type::Whole(_) | Type::Hundredths(_) | Type::Tooth | Type::Truth)
    };
    let place = pick(&draft.tree, stream, fits)?;
    let other = match place.value {
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        number => number.to_string(),
    };
    let pointer = place.pointer;
    draft.set(&pointer, other)?;
    Some(pointer.into())
}

/// A word in the spelling of another system: in capitals, or with hyphens.
fn unknown_word(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Word(_)))?;
    let word = place.value.as_str()?;
    let other = if word.contains('_') && stream.chance(0.5) { word.replace('_', "-") } else { word.to_uppercase() };
    let pointer = place.pointer;
    draft.set(&pointer, other)?;
    Some(pointer.into())
}

/// A number as many times too large as a slipped decimal point makes it, if that is out of its bounds.
fn slipped(place: &FieldLocation<'_>) -> Option<Value> {
    let (bounds, scale) = match place.ty {
        Type::Whole(bounds) => (bounds, 1),
        Type::Hundredths(bounds) => (bounds, 100),
        _ => return None,
    };
    let value = (place.value.as_f64()? * f64::from(scale)).round() as i64;
    let slips = [10, 100, 1000].into_iter().filter_map(|factor| value.checked_mul(factor));
    let out = slips.into_iter().find(|value| !bounds.hold(*value) && value.unsigned_abs() < 1 << 53)?;
    if scale == 1 { Some(json!(out)) } else { serde_json::to_value(Hundredths(i32::try_from(out).ok()?)).ok() }
}

/// A slipped decimal point.
fn out_of_range(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| slipped(place).is_some())?;
    let (value, pointer) = (slipped(&place)?, place.pointer);
    draft.set(&pointer, value)?;
    Some(pointer.into())
}

/// A measurement as the instrument gives it, not rounded.
fn too_many_decimals(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let inside = |place: &FieldLocation<'_>| match (place.ty, place.value.as_f64()) {
        (Type::Hundredths(bounds), Some(value)) => bounds.hold((value.abs() * 100.0) as i64 + 1),
        _ => false,
    };
    let place = pick(&draft.tree, stream, inside)?;
    let (value, pointer) = (place.value.as_f64()?, place.pointer);
    let sign = if value < 0.0 { "-" } else { "" };
    let digits = stream.whole(1, 4);
    draft.set_raw(&pointer, format!("{sign}{:.2}{digits}", value.abs()))?;
    Some(pointer.into())
}

/// A day in the notation of a country, of a spreadsheet, or one that no calendar has.
fn not_a_date(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Date))?;
    let [year, month, day] = place.value.as_str()?.split('-').collect::<Vec<_>>().try_into().ok()?;
    let other = match stream.whole(0, 3) {
        0 => format!("{day}.{month}.{year}"),
        1 => format!("{month}/{day}/{year}"),
        2 => format!("{year}-02-30"),
        _ => format!("{year}-{month}-{day}T00:00:00"),
    };
    let pointer = place.pointer;
    draft.set(&pointer, other)?;
    Some(pointer.into())
}

/// A moment without its offset from UTC, without the `T`, or only its day.
fn not_an_instant(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Instant))?;
    let (pointer, text) = (place.pointer, place.value.as_str()?.to_owned());
    let other = match stream.whole(0, 2) {
        0 => text.get(..19)?.to_owned(),
        1 => text.replace('T', " "),
        _ => text.get(..10)?.to_owned(),
    };
    draft.set(&pointer, other)?;
    Some(pointer.into())
}

/// An offset, or the name that another operating system has for a zone.
fn not_a_time_zone(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let other = *stream.one_of(&["UTC+01:00", "+01:00", "W. Europe Standard Time", "Mountain Standard Time"])?;
    draft.set("/patient/time_zone", other)?;
    Some("/patient/time_zone".into())
}

/// A quadrant that does not exist, or a zero too many.
fn not_a_tooth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Tooth))?;
    let (pointer, tooth) = (place.pointer, place.value.as_u64()?);
    draft.set(&pointer, if stream.chance(0.5) { 90 + tooth % 10 } else { tooth * 10 })?;
    Some(pointer.into())
}

/// What a system adds, under a plain name.
fn not_a_reverse_domain(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let name = *stream.one_of(&["bench", "chart", "quillmere"])?;
    if draft.clean.extensions.is_some() {
        return None;
    }
    draft.set("/extensions", json!({name: {"bench": stream.whole(1, 6)}}))?;
    Some(format!("/extensions/{name}").into())
}

/// An identifier as people write them: with a space or a number sign.
fn bad_id(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Id))?;
    let (pointer, id) = (place.pointer, place.value.as_str()?.to_owned());
    let spaced = id.replacen('-', " ", 1);
    draft.set(&pointer, if spaced == id || stream.chance(0.5) { format!("#{id}") } else { spaced })?;
    Some(pointer.into())
}

/// A note into which the whole chart was copied.
fn too_long(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (visits, check_ins) = (draft.clean.appointments.as_ref()?.len(), draft.clean.check_ins.as_ref()?.len());
    let (list, count, object) = if stream.chance(0.5) {
        ("appointments", visits, Appointment::OBJECT)
    } else {
        ("check_ins", check_ins, CheckIn::OBJECT)
    };
    let at = stream.whole(0, i32::try_from(count).ok()?.checked_sub(1)?);
    let Type::Text(bounds) = object.field("note")?.ty else { return None };
    let phrase = "fit checked, hygiene good, next trays given; ";
    let pointer = format!("/{list}/{at}/note");
    draft.set(&pointer, phrase.repeat(bounds.most as usize / phrase.len() + 1))?;
    Some(pointer.into())
}

/// A list of a fixed length that lacks its last entry.
fn wrong_count(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let fixed = |place: &FieldLocation<'_>| matches!(place.ty, Type::List(_, bounds) if bounds.least == bounds.most);
    let place = pick(&draft.tree, stream, fixed)?;
    let (pointer, count) = (place.pointer, place.value.as_array()?.len());
    draft.remove(&format!("{pointer}/{}", count.checked_sub(1)?))?;
    Some(pointer.into())
}
