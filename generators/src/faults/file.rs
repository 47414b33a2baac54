//! Mistakes before it is a record: bytes, text, JSON.

use oar_schema::describe::Type;
use serde_json::{Value, json};

use super::field_locations::{FieldLocation, pick};
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "file":
    Many not_utf8;
    Many not_json;
    Many cut_short;
    Many repeated_name;
    Many number_too_large;
    Many noncharacter;
    Many nested_too_deep;
    Many byte_order_mark;
    Many nothing_inside;
    Asked record_too_large;
    Many another_format;
    Many newer_version;
}

/// The place of a note, and what it says; a visit that has none gets one.
fn note(draft: &Draft<'_>, stream: &mut RandomStream) -> Option<(String, String)> {
    let visits = draft.clean.appointments.iter().flatten().enumerate();
    let visits = visits.map(|(at, visit)| (format!("/appointments/{at}/note"), visit.note.clone()));
    let check_ins = draft.clean.check_ins.iter().flatten().enumerate();
    let check_ins = check_ins.map(|(at, check_in)| (format!("/check_ins/{at}/note"), check_in.note.clone()));
    let notes: Vec<_> = visits.chain(check_ins).collect();
    let written: Vec<_> = notes.iter().filter(|(_, note)| note.is_some()).cloned().collect();
    let (pointer, note) = stream.one_of(if written.is_empty() { &notes } else { &written })?.clone();
    Some((pointer, note.unwrap_or_else(|| "on track".to_owned())))
}

/// A text in the code page of an old system, or a whole file in UTF-16.
fn not_utf8(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if draft.has_own_file() && stream.chance(0.3) {
        draft.edit_text(|text| {
            let units = String::from_utf8_lossy(text).encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
            *text = [b"\xff\xfe".as_slice(), &units].concat();
        });
        return Some("".into());
    }
    let (pointer, note) = note(draft, stream)?;
    let (phrase, byte) =
        *stream.one_of(&[("fit trè", 0xe8), ("gum a bit sore, gê", 0xea), ("edge smoothed, Zä", 0xe4)])?;
    draft.set(&pointer, format!("{note}; {phrase}"))?;
    draft.edit_text(|text| {
        let letter = phrase.chars().last().map(String::from).unwrap_or_default();
        if let Some(at) = text.windows(letter.len()).position(|bytes| bytes == letter.as_bytes()) {
            text.splice(at..at + letter.len(), [byte]);
        }
    });
    Some("".into())
}

/// What programs that join texts write: words of another language, commas of another country, one comma too many.
fn not_json(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let kind = stream.whole(0, 4);
    let fits = |place: &FieldLocation<'_>| match kind {
        0 => matches!(place.ty, Type::Truth),
        1 => matches!(place.ty, Type::Hundredths(_) | Type::Whole(_)),
        2 => place.whole && place.value.to_string().contains('.') && place.value.is_f64(),
        3 => matches!(place.ty, Type::Word(_)),
        _ => matches!(place.ty, Type::Object(_)) && place.value.as_object().is_some_and(|members| !members.is_empty()),
    };
    let place = pick(&draft.tree, stream, fits)?;
    let (pointer, text) = (place.pointer, place.value.to_string());
    let text = match kind {
        0 if text == "true" => "True".to_owned(),
        0 => "False".to_owned(),
        1 => (*stream.one_of(&["NaN", "None", "#N/A"])?).to_owned(),
        2 => text.replace('.', ","),
        3 => text.replace('"', "'"),
        _ => format!("{},}}", text.strip_suffix('}')?),
    };
    draft.set_raw(&pointer, text)?;
    Some("".into())
}

/// A file of which a disk that was full, or a line that broke, left the first part.
fn cut_short(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if !draft.has_own_file() {
        return None;
    }
    draft.edit_text(|text| {
        let kept = stream.whole(20, 95) as usize;
        text.truncate(text.len() * kept / 100);
    });
    Some("".into())
}

/// A value that two sources of an export both wrote.
fn repeated_name(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let place = pick(&draft.tree, stream, |place| place.whole)?;
    let (value, name, pointer) = (place.value.to_string(), Value::from(place.field.name).to_string(), place.pointer);
    draft.set_raw(&pointer, format!("{value},{name}:{value}"))?;
    Some(pointer.into())
}

/// Minus one as a program without signs prints it, or a number of another system that is as long as one.
fn number_too_large(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if draft.clean.extensions.is_none() && stream.chance(0.5) {
        let number = format!("{}{:012}", stream.whole(100_000, 999_999), stream.whole(0, 999_999_999));
        draft.set("/extensions", json!({"org.example.quillmere": {"chart": null}}))?;
        draft.set_raw("/extensions/org.example.quillmere/chart", number)?;
        return Some("/extensions/org.example.quillmere/chart".into());
    }
    let pointer = pick(&draft.tree, stream, |place| matches!(place.ty, Type::Whole(_)))?.pointer;
    draft.set_raw(&pointer, "18446744073709551615")?;
    Some(pointer.into())
}

/// A note that was read in the wrong byte order, or from memory that was not cleared.
fn noncharacter(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (pointer, mut note) = note(draft, stream)?;
    let after = stream.whole(0, note.chars().count() as i32) as usize;
    let at = note.char_indices().nth(after).map_or(note.len(), |(at, _)| at);
    note.insert(at, *stream.one_of(&['\u{fffe}', '\u{ffff}', '\u{fdd0}', '\u{fdef}', '\u{1fffe}'])?);
    draft.set(&pointer, note)?;
    Some(pointer.into())
}

/// A list whose program holds each entry within the one before it.
fn nested_too_deep(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if draft.clean.extensions.is_some() {
        return None;
    }
    let entry = |within: Value, number: i32| json!({"step": number, "next": within});
    let chain = (0..stream.whole(63, 110)).fold(Value::Null, entry);
    draft.set("/extensions", json!({"org.example.quillmere": chain}))?;
    Some("".into())
}

/// The mark that some editors and spreadsheet programs put before UTF-8.
fn byte_order_mark(draft: &mut Draft<'_>, _: &mut RandomStream) -> Option<FaultLocation> {
    if !draft.has_own_file() {
        return None;
    }
    draft.edit_text(|text| drop(text.splice(0..0, *b"\xef\xbb\xbf")));
    Some("".into())
}

/// A file that was made and never written, or from which a filter took everything but line ends.
fn nothing_inside(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if !draft.has_own_file() {
        return None;
    }
    let rest = *stream.one_of(&["", "\n", "\r\n", "  \n\n"])?;
    draft.edit_text(|text| *text = rest.as_bytes().to_vec());
    Some("".into())
}

/// Photographs that were put into the record as text.
fn record_too_large(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    if draft.clean.extensions.is_some() {
        return None;
    }
    let photograph = "iVBORw0K".repeat(draft.limits.largest_record_kilobytes as usize * 1024 / 8);
    let name = *stream.one_of(&["photograph", "smile", "scan"])?;
    draft.set("/extensions", json!({"org.example.quillmere": {name: photograph}}))?;
    Some("".into())
}

/// Another file of the same clinic, or the record in the clothes of another format.
fn another_format(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let kinds = if draft.has_own_file() { &[0, 1, 2, 3, 4, 5, 6][..] } else { &[0, 1, 2, 3, 4][..] };
    let record = String::from_utf8_lossy(&draft.text()).into_owned();
    let system = &draft.clean.source.system.0;
    let text = match *stream.one_of(kinds)? {
        0 => format!("[{record}]"),
        1 => json!({"resourceType": "Procedure", "status": "completed", "subject": {"display": system}}).to_string(),
        2 => format!("<record><system>{system}</system></record>"),
        3 => json!({"exported": draft.clean.source.exported_at.to_string(), "rows": [record.len()]}).to_string(),
        4 => json!({"format": "tray-table", "system": system, "wear_periods": draft.tree["wear_periods"].clone()})
            .to_string(),
        5 => table(draft),
        _ => format!("%PDF-1.7\n%\u{e4}\u{fc}\n{}", record.len()),
    };
    draft.edit_text(|bytes| *bytes = text.into_bytes());
    Some("".into())
}

/// The trays that were worn as a table.
fn table(draft: &Draft<'_>) -> String {
    let day = |day: Option<oar_schema::time::Date>| day.map(|day| day.to_string()).unwrap_or_default();
    let rows =
        draft.clean.wear_periods.iter().map(|worn| {
            format!("{},{},{},{},{}\n", worn.series, worn.tray, worn.arches.as_str(), worn.from, day(worn.to))
        });
    std::iter::once("series,tray,arches,from,to\n".to_owned()).chain(rows).collect()
}

/// A version of the format that is still to come, as a system that was updated first writes it.
fn newer_version(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let version = if stream.chance(0.7) { format!("1.{}", stream.whole(1, 4)) } else { "2.0".to_owned() };
    draft.set("/version", version)?;
    Some("/version".into())
}
