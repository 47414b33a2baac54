//! What an unknown name was probably meant to be: by its letters, its unit, its prefix, or as another word for the same.

use oar_schema::describe::Object;

use crate::nearest::nearest;

/// Endings that tell the unit of a field.
const UNITS: [&str; 5] = ["mm", "deg", "minutes", "days", "010"];

/// What exporters put before the name of a field, besides the name of its object.
const PREFIXES: [&str; 7] = ["record", "format", "patient", "treatment", "wear", "schema", "file"];

/// Names and words of the format, each with others that mean the same, all without case and underscores. Trade words are
/// from common practice, no source.
const SAME: [(&str, &[&str]); 62] = [
    ("from", &["start", "begin", "startdate", "startday", "begindate", "fromdate", "datefrom", "startedon", "since"]),
    ("to", &["end", "until", "enddate", "endday", "todate", "dateto", "till", "finish", "endedon", "stop"]),
    ("until", &["to", "end", "enddate", "till", "todate"]),
    ("since", &["from", "start", "startdate", "begin", "date", "on", "sincedate"]),
    ("on", &["date", "day", "when", "performedon", "visitdate", "eventdate", "logdate", "weardate"]),
    ("at", &["time", "timestamp", "datetime", "date", "on", "when", "createdat", "submittedat", "takenat"]),
    ("exportedat", &["exported", "exportdate", "exporttime", "timestamp", "exportedon", "createdat", "generatedat"]),
    ("birthyear", &["yob", "yearofbirth", "bornin", "born"]),
    ("timezone", &["tz", "zone", "timezoneid", "ianatimezone", "tzid"]),
    ("sex", &["gender"]),
    ("id", &["identifier", "key", "uid", "uuid", "guid", "pid", "code"]),
    ("system", &["software", "application", "exporter", "vendor"]),
    ("systemversion", &["softwareversion", "appversion", "exporterversion"]),
    ("absent", &["missing", "missingteeth", "absentteeth", "notpresent"]),
    ("extracted", &["extractions", "extractedteeth"]),
    ("primary", &["deciduous", "primaryteeth", "deciduousteeth", "milkteeth", "babyteeth"]),
    ("implants", &["implantteeth", "implant"]),
    ("crownwidths", &["toothwidths", "widths", "toothsizes", "crowns"]),
    ("interproximalreductions", &["reductions", "ipr", "stripping", "iprs", "enamelreductions"]),
    ("attachments", &["buttons", "composites"]),
    ("elastics", &["rubberbands", "elasticbands"]),
    ("movements", &["moves", "toothmovements", "plannedmovements"]),
    ("wearperiods", &["worn", "wear", "trayswear", "trayhistory", "wearhistory", "periods", "changes", "traychanges"]),
    ("wearlog", &["log", "dailywear", "weardays", "wearminutes", "wearrecords", "wear"]),
    ("checkins", &["checks", "remotechecks", "scans", "reviews", "monitoring"]),
    ("appointments", &["visits", "encounters"]),
    ("deliveries", &["handouts", "dispensed"]),
    ("comfort", &["painlog", "pain", "symptoms"]),
    ("assessments", &["exams", "examinations", "measurements", "evaluations"]),
    ("dentition", &["teeth", "mouth"]),
    ("prescription", &["plan", "instructions", "rx"]),
    ("retention", &["retainer", "retainers"]),
    ("wearlog", &["compliance"]),
    ("fromtray", &["from", "firsttray", "starttray", "start", "first", "trayfrom", "stagefrom", "startstage"]),
    ("totray", &["to", "lasttray", "endtray", "end", "last", "trayto", "stageto", "endstage"]),
    ("beforetray", &["tray", "stage", "beforestage"]),
    ("tray", &["stage", "step", "traynumber", "trayno", "aligner", "alignernumber"]),
    ("number", &["index", "no", "series", "id"]),
    ("series", &["seriesnumber", "phase", "seriesno"]),
    ("arches", &["arch", "jaw", "jaws"]),
    ("ended", &["endreason", "outcome", "reason"]),
    ("tooth", &["toothnumber", "toothno", "fdi", "teeth"]),
    ("between", &["teeth", "contact", "toothpair"]),
    ("surface", &["side", "face"]),
    ("shape", &["type", "form", "kind"]),
    ("kind", &["type", "action", "decision"]),
    ("event", &["type", "change", "kind", "action"]),
    ("source", &["origin", "method", "measuredby"]),
    ("removals", &["takenout", "removalcount"]),
    ("minutes", &["duration", "weartime", "mins", "min"]),
    ("mode", &["channel", "type"]),
    ("note", &["notes", "comment", "comments", "remark", "remarks"]),
    ("wearminimumminutes", &["wearfloorminutes", "wearfloor", "floor", "floorminutes", "minimumminutes", "minminutes"]),
    ("weargoalminutes", &["weargoal", "goal", "goalminutes", "targetminutes", "target", "wearminutes"]),
    (
        "changeintervaldays",
        &["dayspertray", "trayinterval", "changeinterval", "interval", "wearinterval", "changeeverydays"],
    ),
    ("facial", &["buccal", "labial", "vestibular"]),
    ("lingual", &["palatal", "oral"]),
    ("advanced", &["completed", "complete", "done", "finished", "next"]),
    ("active", &["ongoing", "inprogress", "current", "intreatment"]),
    ("finished", &["completed", "complete", "done", "ended"]),
    ("discontinued", &["stopped", "aborted", "cancelled", "canceled", "abandoned", "dropout"]),
    ("paused", &["onhold", "suspended", "interrupted"]),
];

/// Further words for words, kept apart from the table above for its length.
const WORDS: [(&str, &[&str]); 16] = [
    ("patient", &["self", "selfreported", "selfreport", "diary", "reported", "manual", "user"]),
    ("sensor", &["device", "chip", "measured", "indicator"]),
    ("timer", &["app", "stopwatch", "clock"]),
    ("both", &["upperlower", "upperandlower", "dual", "all"]),
    ("upper", &["maxillary", "maxilla", "top", "u"]),
    ("lower", &["mandibular", "mandible", "bottom", "l"]),
    ("female", &["f", "w", "woman", "girl"]),
    ("male", &["m", "man", "boy"]),
    ("classi", &["i", "1", "class1", "normal"]),
    ("classii", &["ii", "2", "class2"]),
    ("classiii", &["iii", "3", "class3"]),
    ("wedge", &["bevelled", "beveled"]),
    ("chairside", &["inperson", "inoffice", "office", "clinic"]),
    ("remote", &["virtual", "online", "photo"]),
    ("removed", &["takenoff"]),
    ("debonded", &["detached", "off", "lost", "missing"]),
];

/// A name without case, underscores, hyphens and spaces.
pub(super) fn plain(name: &str) -> String {
    letters(name).collect()
}

fn letters(name: &str) -> impl Iterator<Item = char> {
    name.chars().filter(|letter| !"_- ".contains(*letter)).flat_map(char::to_lowercase)
}

/// The candidate that is the same name but for case, underscores and hyphens.
pub(super) fn same<'c>(name: &str, mut candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    candidates.find(|candidate| letters(candidate).eq(letters(name)))
}

/// The field of an object, among `candidates`, that an unknown name was probably meant to be.
pub(super) fn field(name: &str, object: &Object, candidates: &[&'static str]) -> Option<&'static str> {
    let all = || candidates.iter().copied();
    let whole = plain(name);
    let by_unit = || only(all().filter(|candidate| differ_by_unit(&whole, &plain(candidate))));
    let by_prefix = || {
        let prefixes = PREFIXES.into_iter().map(str::to_owned).chain([plain(object.name)]);
        let mut rests = prefixes.filter_map(|prefix| whole.strip_prefix(&prefix).map(str::to_owned));
        rests.find_map(|rest| same(&rest, all()))
    };
    same(name, all()).or_else(by_unit).or_else(by_prefix).or_else(|| word(name, candidates))
}

/// The word, among `candidates`, that an unknown word was probably meant to be.
pub(super) fn word(text: &str, candidates: &[&'static str]) -> Option<&'static str> {
    let all = || candidates.iter().copied();
    let text = &text.chars().take(64).collect::<String>();
    same(text, all()).or_else(|| by_meaning(text, candidates)).or_else(|| nearest(text, all()))
}

/// The candidate that means the same.
fn by_meaning(text: &str, candidates: &[&'static str]) -> Option<&'static str> {
    let text = plain(text);
    let table = || SAME.iter().chain(&WORDS);
    let means = |candidate: &str| table().any(|(one, others)| *one == candidate && others.contains(&text.as_str()));
    candidates.iter().copied().find(|candidate| means(&plain(candidate)))
}

/// Whether a name and a field differ by the unit only, are the unit only, or are the unit and a word beside.
fn differ_by_unit(name: &str, field: &str) -> bool {
    let Some(unit) = UNITS.into_iter().find(|unit| field.ends_with(unit)) else { return name_and_unit(name, field) };
    let stem = &field[..field.len() - unit.len()];
    if stem.is_empty() {
        return name
            .strip_suffix(unit)
            .or_else(|| name.strip_prefix(unit))
            .is_some_and(|rest| rest == "worn" || rest == "wear");
    }
    name == stem || name == unit
}

/// Whether a name is that of a field without unit and a unit.
fn name_and_unit(name: &str, field: &str) -> bool {
    name.strip_prefix(field).is_some_and(|rest| UNITS.contains(&rest))
}

/// The one entry, when there is one only.
fn only<T>(mut entries: impl Iterator<Item = T>) -> Option<T> {
    let first = entries.next()?;
    entries.next().is_none().then_some(first)
}

/// Whether a name reads like a field for who the patient is.
pub(super) fn tells_who(name: &str) -> bool {
    let parts = parts(name);
    let has = |words: &[&str]| parts.iter().any(|part| words.contains(&part.as_str()));
    let whole = plain(name);
    let alone = ["name", "firstname", "lastname", "fullname", "surname", "givenname", "familyname", "middlename"];
    let of_name = ["first", "last", "full", "given", "family", "middle", "patient", "legal", "maiden", "display"];
    alone.contains(&whole.as_str())
        || is_birth(name)
        || (has(&["name", "names", "initials"]) && has(&of_name))
        || has(&["mail", "email", "phone", "mobile", "tel", "telephone", "address", "street", "ssn", "insurance"])
        || has(&["birthplace", "postcode", "zipcode", "passport", "surname", "firstname", "lastname", "fullname"])
        || ["phonenumber", "emailaddress", "socialsecuritynumber", "insurancenumber"].contains(&whole.as_str())
}

/// Whether a name reads like a field for the day of birth.
pub(super) fn is_birth(name: &str) -> bool {
    let days = ["birth", "dob", "birthdate", "birthday", "dateofbirth", "dayofbirth", "borndate", "patientdob"];
    days.contains(&plain(name).as_str())
        || parts(name).iter().any(|part| days.contains(&part.as_str()) && part != "birth")
}

/// The words that a name is put together from: `firstName`, `first_name`.
fn parts(name: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    let mut after_lower = false;
    for letter in name.chars().take(64) {
        if "_- .".contains(letter) || (letter.is_uppercase() && after_lower) {
            parts.push(String::new());
        }
        after_lower = letter.is_lowercase();
        if letter.is_alphanumeric()
            && let Some(last) = parts.last_mut()
        {
            last.extend(letter.to_lowercase());
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use oar_schema::describe::Described;
    use oar_schema::record::{Record, WearDay, WearPeriod};

    use super::{field, is_birth, tells_who, word};

    #[test]
    fn a_field_is_meant_by_its_unit_its_prefix_or_another_word() {
        assert_eq!(field("width", WearDay::OBJECT, &["tooth", "width_mm"]), Some("width_mm"));
        assert_eq!(field("mm", WearDay::OBJECT, &["tooth", "gap_mm"]), Some("gap_mm"));
        assert_eq!(field("rotation", WearDay::OBJECT, &["rotation_deg", "tip_deg"]), Some("rotation_deg"));
        assert_eq!(field("deg", WearDay::OBJECT, &["rotation_deg", "tip_deg"]), None);
        assert_eq!(field("minutes_worn", WearDay::OBJECT, &["minutes"]), Some("minutes"));
        assert_eq!(field("recordId", Record::OBJECT, &["id", "version"]), Some("id"));
        assert_eq!(field("formatVersion", Record::OBJECT, &["id", "version"]), Some("version"));
        assert_eq!(field("endDate", WearPeriod::OBJECT, &["from", "to"]), Some("to"));
        assert_eq!(word("palatal", &["facial", "lingual"]), Some("lingual"));
        assert_eq!(word("palatal", &["upper", "lower"]), None);
    }

    #[test]
    fn names_that_tell_who_the_patient_is_are_known() {
        let who =
            ["name", "firstName", "last_name", "birthDate", "dob", "e_mail", "patientPhone", "home_address", "SSN"];
        assert!(who.iter().all(|name| tells_who(name)), "{:?}", who.map(tells_who));
        assert!(
            !["tray_name", "names", "telescope", "to_tray", "system", "birth_year"].iter().any(|name| tells_who(name))
        );
        assert!(is_birth("dateOfBirth") && !is_birth("birth_year"));
    }
}
