//! Searches `extensions` as written: every text, and texts and numbers in fields that identify a person.

use super::kinds::{IdentityKind, Kinds, TextKind};
use super::scan::scan;

/// Calls `visit` for each value that may identify a person, with the path to it: the indices of members and entries
/// within their parents.
pub(super) fn each_telling(json: &[u8], birth_year: i32, mut visit: impl FnMut(Kinds, Vec<usize>)) {
    let mut field: &[u8] = &[];
    let mut at = 0;
    while let Some(next) = json[at..].iter().position(|byte| OPENS_SOMETHING[*byte as usize]) {
        at += next;
        match json[at] {
            b'"' => {
                let text = text_at(json, at);
                let end = at + text.len() + 2;
                if is_name(json, end) {
                    field = text;
                } else {
                    let kinds = scan(text, birth_year, TextKind::Extension).with(told_by_field(field, text));
                    tell(json, at, kinds, &mut visit);
                }
                at = end;
            }
            b'0'..=b'9' | b'-' => {
                let length = json[at..].iter().take_while(|byte| !b",]} \t\r\n".contains(byte)).count();
                tell(json, at, Kinds::NONE.with(told_by_field(field, &json[at..at + length])), &mut visit);
                at += length;
            }
            byte => {
                if byte != b'[' {
                    field = &[];
                }
                at += 1;
            }
        }
    }
}

/// Bytes at which a text, a number, a list or an object begins or ends, and those between members.
const OPENS_SOMETHING: [bool; 256] = {
    let mut table = [false; 256];
    let bytes = b"\"{[]},0123456789-";
    let mut at = 0;
    while at < bytes.len() {
        table[bytes[at] as usize] = true;
        at += 1;
    }
    table
};

fn tell(json: &[u8], at: usize, kinds: Kinds, visit: &mut impl FnMut(Kinds, Vec<usize>)) {
    if !kinds.is_empty() {
        visit(kinds, way(json, at));
    }
}

/// The text whose opening quote is at `at`, with its escapes as written.
fn text_at(json: &[u8], at: usize) -> &[u8] {
    let mut end = at + 1;
    while end < json.len() && json[end] != b'"' {
        end += if json[end] == b'\\' { 2 } else { 1 };
    }
    &json[at + 1..end.min(json.len())]
}

/// Whether a colon follows, so that the text before it is the name of a member.
fn is_name(json: &[u8], end: usize) -> bool {
    let rest = json.get(end..).unwrap_or_default();
    rest.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b':')
}

/// The path to the value at `target`, as indices within its parents.
fn way(json: &[u8], target: usize) -> Vec<usize> {
    let mut way: Vec<usize> = Vec::new();
    let mut at = 0;
    while at < target {
        match json[at] {
            b'"' => at += text_at(json, at).len() + 1,
            b'{' | b'[' => way.push(0),
            b'}' | b']' => drop(way.pop()),
            b',' => way.iter_mut().rev().take(1).for_each(|place| *place += 1),
            _ => {}
        }
        at += 1;
    }
    way
}

/// The longest field name that is compared; no listed name is longer.
const LONGEST: usize = 32;

/// What the name of a field says about its value, if the value can be of that kind: a telephone number has digits.
fn told_by_field(field: &[u8], value: &[u8]) -> Option<IdentityKind> {
    let mut plain = [0u8; LONGEST];
    let mut length = 0;
    for byte in field.iter().filter(|byte| !b"_-".contains(byte)) {
        *plain.get_mut(length)? = byte.to_ascii_lowercase();
        length += 1;
    }
    let kind = FIELDS.iter().find(|(name, _)| name.as_bytes() == &plain[..length]).map(|(_, kind)| *kind)?;
    let digits = value.iter().filter(|byte| byte.is_ascii_digit()).count();
    let letters = value.iter().filter(|byte| byte.is_ascii_alphabetic() || **byte >= 0x80).count();
    let fits = match kind {
        IdentityKind::Telephone | IdentityKind::BirthDate => digits >= 6,
        IdentityKind::RecordNumber | IdentityKind::NationalNumber => digits >= 4,
        IdentityKind::Address => digits + letters >= 4,
        _ => letters >= 2,
    };
    fits.then_some(kind)
}

/// Names of fields that identify a person, without underscores and hyphens. `name` and `address` alone are not
/// listed, since many things have a name or an address.
const FIELDS: [(&str, IdentityKind); 46] = [
    ("patientname", IdentityKind::Name),
    ("fullname", IdentityKind::Name),
    ("firstname", IdentityKind::Name),
    ("lastname", IdentityKind::Name),
    ("middlename", IdentityKind::Name),
    ("givenname", IdentityKind::Name),
    ("familyname", IdentityKind::Name),
    ("maidenname", IdentityKind::Name),
    ("surname", IdentityKind::Name),
    ("forename", IdentityKind::Name),
    ("guardian", IdentityKind::Name),
    ("guardianname", IdentityKind::Name),
    ("parentname", IdentityKind::Name),
    ("mothername", IdentityKind::Name),
    ("fathername", IdentityKind::Name),
    ("birthdate", IdentityKind::BirthDate),
    ("birthday", IdentityKind::BirthDate),
    ("dateofbirth", IdentityKind::BirthDate),
    ("dob", IdentityKind::BirthDate),
    ("patientdob", IdentityKind::BirthDate),
    ("phone", IdentityKind::Telephone),
    ("phonenumber", IdentityKind::Telephone),
    ("telephone", IdentityKind::Telephone),
    ("telephonenumber", IdentityKind::Telephone),
    ("mobile", IdentityKind::Telephone),
    ("mobilenumber", IdentityKind::Telephone),
    ("mobilephone", IdentityKind::Telephone),
    ("cellphone", IdentityKind::Telephone),
    ("homephone", IdentityKind::Telephone),
    ("patientphone", IdentityKind::Telephone),
    ("street", IdentityKind::Address),
    ("streetaddress", IdentityKind::Address),
    ("homeaddress", IdentityKind::Address),
    ("postaladdress", IdentityKind::Address),
    ("patientaddress", IdentityKind::Address),
    ("postcode", IdentityKind::Address),
    ("postalcode", IdentityKind::Address),
    ("zipcode", IdentityKind::Address),
    ("ssn", IdentityKind::NationalNumber),
    ("socialsecuritynumber", IdentityKind::NationalNumber),
    ("nationalid", IdentityKind::NationalNumber),
    ("passport", IdentityKind::NationalNumber),
    ("passportnumber", IdentityKind::NationalNumber),
    ("mrn", IdentityKind::RecordNumber),
    ("medicalrecordnumber", IdentityKind::RecordNumber),
    ("insurancenumber", IdentityKind::RecordNumber),
];

#[cfg(test)]
mod tests {
    use super::FIELDS;

    #[test]
    fn the_page_lists_the_fields_that_say_who_a_person_is() {
        let page = include_str!("extension_may_identify.md");
        let limits = crate::check::page::section(page, "Limits").unwrap_or_default();
        let entries = limits.lines().filter(|line| line.starts_with("- "));
        let told: Vec<&str> = entries.flat_map(|line| line.split('`').skip(1).step_by(2)).collect();
        assert_eq!(told, FIELDS.map(|(name, _)| name));
    }
}
