//! Mistakes about privacy: what tells who somebody is, and made-up records that do not say so.
//!
//! All names, numbers and addresses are invented.

use serde_json::{Value, json};

use super::record_queries::age_at_start;
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "privacy":
    Many note_may_identify;
    Many id_may_identify;
    Many extension_may_identify;
    Part age_over_89;
    Many synthetic_not_marked;
}

/// Names of nobody.
const NAMES: [&str; 6] = ["Quimby", "Zyxwv", "Plonk", "Wibble", "Grumbold", "Trundle"];

fn name(stream: &mut RandomStream) -> &'static str {
    NAMES[stream.whole(0, NAMES.len() as i32 - 1) as usize]
}

/// Digits as of a telephone, chart or insurance number.
fn digits(stream: &mut RandomStream, count: usize) -> String {
    (0..count).map(|_| char::from(b'0' + stream.whole(0, 9) as u8)).collect()
}

/// A day in the patient's year of birth.
fn birthday(draft: &Draft<'_>, stream: &mut RandomStream) -> [String; 3] {
    let (month, day) = (stream.whole(1, 12), stream.whole(1, 28));
    [draft.clean.patient.birth_year.to_string(), format!("{month:02}"), format!("{day:02}")]
}

/// Something that tells who somebody is, as people write it in notes.
fn telling(draft: &Draft<'_>, stream: &mut RandomStream) -> String {
    let name = name(stream);
    match stream.whole(0, 6) {
        0 => format!("call 0700 {} {}", digits(stream, 3), digits(stream, 3)),
        1 => format!("write to {}@example.org", name.to_lowercase()),
        2 => format!("spoke with Mrs {name}"),
        3 => {
            let [year, month, day] = birthday(draft, stream);
            format!("born {day}.{month}.{year}")
        }
        4 => format!("lives at {} Mill Lane", stream.whole(1, 98)),
        5 => format!("chart no. {}", digits(stream, 5)),
        _ => format!("pictures at https://example.org/{}", name.to_lowercase()),
    }
}

/// A note that names somebody, by itself or after what is there.
fn note_may_identify(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let check_ins = draft.clean.check_ins.iter().flatten().map(|it| it.note.as_deref()).enumerate();
    let visits = draft.clean.appointments.iter().flatten().map(|it| it.note.as_deref()).enumerate();
    let check_ins = check_ins.map(|(at, note)| ("check_ins", at, note));
    let all: Vec<_> = check_ins.chain(visits.map(|(at, note)| ("appointments", at, note))).collect();
    let (list, at, note) = *stream.one_of(&all)?;
    let telling = telling(draft, stream);
    let text = note.map_or(telling.clone(), |note| format!("{note}; {telling}"));
    let pointer = format!("/{list}/{at}/note");
    draft.set(&pointer, text)?;
    Some(pointer.into())
}

/// An id that is made from a name, a telephone number, a chart number or a date of birth, that of the patient or of the record.
fn id_may_identify(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let id = match stream.whole(0, 3) {
        0 => {
            let first = name(stream);
            let last =
                *stream.one_of(&NAMES.map(|name| name).into_iter().filter(|it| *it != first).collect::<Vec<_>>())?;
            format!("{first}-{last}{}", digits(stream, 4))
        }
        1 => format!("0700-9{}-{}", digits(stream, 2), digits(stream, 3)),
        2 => format!("MRN-00{}", digits(stream, 5)),
        _ => {
            let letters: String = (0..2).map(|_| char::from(b'A' + stream.whole(0, 25) as u8)).collect();
            format!("{letters}-{}", birthday(draft, stream).concat())
        }
    };
    let pointer = if stream.chance(0.7) { "/patient/id" } else { "/id" };
    draft.set(pointer, id)?;
    Some(pointer.into())
}

/// A field and its value that tell who somebody is.
fn telling_field(draft: &Draft<'_>, stream: &mut RandomStream) -> (&'static str, Value) {
    match stream.whole(0, 5) {
        0 => ("first_name", name(stream).into()),
        1 => ("guardian", name(stream).into()),
        2 => ("phone", format!("0700 {} {}", digits(stream, 3), digits(stream, 3)).into()),
        3 => ("date_of_birth", birthday(draft, stream).join("-").into()),
        4 => ("mrn", (10_000 + stream.whole(0, 89_999)).into()),
        _ => ("sent_to", format!("{}@example.org", name(stream).to_lowercase()).into()),
    }
}

/// What the exporting system keeps about the person, in extensions of the record, a series or a check-in.
fn extension_may_identify(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let series = record.series.iter().enumerate().filter(|(_, it)| it.extensions.is_none());
    let series = series.map(|(at, _)| format!("/series/{at}"));
    let check_ins = record.check_ins.iter().flatten().enumerate().filter(|(_, it)| it.extensions.is_none());
    let check_ins = check_ins.map(|(at, _)| format!("/check_ins/{at}"));
    let of_record: Vec<String> = record.extensions.is_none().then(String::new).into_iter().collect();
    let groups = [of_record, series.collect(), check_ins.collect()];
    let object = stream.one_of(&groups)?;
    let object = stream.one_of(object)?.clone();
    let (field, value) = telling_field(draft, stream);
    let mut members = json!({"bench": stream.whole(1, 6)});
    members[field] = value;
    draft.set(&format!("{object}/extensions"), json!({"org.example.quillmere": members}))?;
    Some(format!("{object}/extensions/org.example.quillmere/{field}").into())
}

/// The year of birth of somebody very old, in a record that does not say that it was made up.
fn age_over_89(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let (age, _) = age_at_start(record);
    let (told, oldest) = (draft.limits.oldest_told_years, draft.limits.oldest_years);
    let start = i64::from(record.patient.birth_year) + age + 1;
    let (least, most) = (start - 1 - oldest, i64::from(draft.today().civil().0) - told - 2);
    if age < 30 || least > most || record.source.synthetic.is_none() {
        return None;
    }
    let year = stream.whole(i32::try_from(least).ok()?, i32::try_from(most).ok()?);
    draft.remove("/source/synthetic")?;
    draft.set("/patient/birth_year", year)?;
    Some("/patient/birth_year".into())
}

/// A record of a trial run, which says so in an id or the name of the system alone.
fn synthetic_not_marked(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    record.source.synthetic.as_ref()?;
    let word = *stream.one_of(&["demo", "test", "dummy", "synthetic", "mock"])?;
    let number = |id: &str| id.rsplit('-').next().unwrap_or(id).to_owned();
    let (pointer, text) = match stream.whole(0, 2) {
        0 => ("/id", format!("{}-{}", word.to_uppercase(), number(&record.id.0))),
        1 => ("/source/system", format!("{}-{word}", record.source.system.0)),
        _ => ("/patient/id", format!("{word}.{}", number(&record.patient.id.0))),
    };
    draft.remove("/source/synthetic")?;
    draft.set(pointer, text)?;
    Some(pointer.into())
}
