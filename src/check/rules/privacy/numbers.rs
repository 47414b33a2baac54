//! Runs of digits in a text: tells telephone numbers, dates of birth, national numbers, record numbers and house
//! numbers from everything else, such as teeth, trays, days, amounts, times and lot numbers.

mod dates;
mod spans;
mod streets;

use super::kinds::{IdentityKind, Kinds, TextKind};
use super::words::{before, is_one};
use spans::DigitGroups;

/// Checks the run of digits that begins at `at`; returns what it looks like and where it ends.
pub(super) fn look(text: &[u8], at: usize, birth_year: i32, place: TextKind) -> (Kinds, usize) {
    let span = DigitGroups::at(text, at);
    if span.digits() < FEWEST {
        let code = span.is_fiscal_code().then_some(IdentityKind::NationalNumber);
        return (Kinds::NONE.with(code).with(streets::look(&span, place)), span.end());
    }
    let (word, start) = before(text, span.start());
    let (earlier, _) = before(text, start);
    let found = Look { span: &span, word, earlier, birth_year, place };
    let kind = found.birth_date().or_else(|| found.national()).or_else(|| found.record()).or_else(|| found.telephone());
    (Kinds::NONE.with(kind).with(streets::look(&span, place)), span.end())
}

/// Fewer digits are neither a number of a person nor a date.
const FEWEST: usize = 4;
/// A date with a year of four digits has more digits than this, and so has every national number.
const SHORT: usize = 5;

/// One run of digits with the two words before it.
struct Look<'s> {
    span: &'s DigitGroups<'s>,
    word: &'s [u8],
    earlier: &'s [u8],
    birth_year: i32,
    place: TextKind,
}

/// Words before a telephone number.
const TELEPHONE: [&str; 14] = [
    "tel",
    "telephone",
    "telefon",
    "phone",
    "mobile",
    "mobil",
    "cell",
    "mob",
    "handy",
    "fax",
    "whatsapp",
    "sms",
    "tlf",
    "ph",
];
/// Words between another word and its number.
const NUMBER: [&str; 7] = ["no", "nr", "number", "num", "nummer", "id", "is"];
/// Words for something that has a number in a system that knows the person.
const NUMBERED: [&str; 13] = [
    "patient",
    "chart",
    "record",
    "file",
    "insurance",
    "policy",
    "member",
    "passport",
    "medical",
    "hospital",
    "account",
    "security",
    "licence",
];
/// Words for numbers of a person.
const PERSONAL: [&str; 14] = [
    "mrn",
    "ssn",
    "nhs",
    "ahv",
    "svnr",
    "passport",
    "personnummer",
    "patientennummer",
    "versicherungsnummer",
    "versichertennummer",
    "sozialversicherungsnummer",
    "aktennummer",
    "pesel",
    "nino",
];
/// Words before the number of a thing.
const OF_THINGS: [&str; 16] = [
    "lot", "batch", "charge", "ref", "serial", "sn", "order", "no", "nr", "number", "id", "case", "scan", "udi",
    "gtin", "article",
];
/// Words before a date of birth.
const BIRTH: [&str; 8] = ["born", "dob", "birth", "birthday", "birthdate", "geb", "geboren", "geburtsdatum"];
/// Words between those and the date.
const ON: [&str; 4] = ["on", "am", "date", "is"];

impl Look<'_> {
    /// A full date in the year of birth, or any date that the text calls one of birth.
    fn birth_date(&self) -> Option<IdentityKind> {
        let said = || is_one(self.word, &BIRTH) || (is_one(self.word, &ON) && is_one(self.earlier, &BIRTH));
        let date = dates::in_year(self.span, self.birth_year)
            || dates::in_words(self.span, self.birth_year)
            || (dates::any(self.span) && said());
        date.then_some(IdentityKind::BirthDate)
    }

    /// Numbers that states issue, recognised by their grouping or by the date of birth in them.
    fn national(&self) -> Option<IdentityKind> {
        let span = self.span;
        if span.digits() <= SHORT {
            return None;
        }
        let us = span.has_groups(&[3, 2, 4])
            && span.separators(|by| by == b"-")
            && !span.begins_with(&[b"000", b"666", b"9"]);
        let swiss = span.begins_with(&[b"756"])
            && (span.has_groups(&[3, 4, 4, 2]) && span.separators(|by| by == b".") || span.has_groups(&[13]))
            && span.passes_ean();
        let found = us || swiss || dates::within_number(span, self.birth_year);
        found.then_some(IdentityKind::NationalNumber)
    }

    /// A number that the text calls the person's number in some system.
    fn record(&self) -> Option<IdentityKind> {
        let of_number = is_one(self.word, &NUMBER);
        let said = is_one(self.word, &PERSONAL) || (of_number && is_one(self.earlier, &PERSONAL));
        let of_person = of_number && self.place != TextKind::Id && is_one(self.earlier, &NUMBERED);
        let number = (said || of_person) && !dates::any(self.span) && !self.span.has_short_pair();
        number.then_some(IdentityKind::RecordNumber)
    }

    fn telephone(&self) -> Option<IdentityKind> {
        let span = self.span;
        if !(6..=15).contains(&span.digits()) || dates::any(span) || span.has_short_pair() || span.touches_a_letter() {
            return None;
        }
        let said = is_one(self.word, &TELEPHONE) || (is_one(self.word, &NUMBER) && is_one(self.earlier, &TELEPHONE));
        let whole = said && span.groups() <= 6;
        (whole || span.is_international() || self.is_national_call() || span.is_north_american())
            .then_some(IdentityKind::Telephone)
    }

    /// `0700 900 461`: nine or more digits that begin with one zero, in groups as people write them. Without groups,
    /// it may be the number of a thing, or in an id a counter.
    fn is_national_call(&self) -> bool {
        let span = self.span;
        let abroad = span.begins_with(&[b"00"]);
        let least = if self.place == TextKind::Note { 9 } else { 10 };
        let (most, least_group) = if abroad { (15, 1) } else { (12, 2) };
        let digits = (least..=most).contains(&span.digits()) && span.begins_with_one_zero();
        match span.groups() {
            1 => digits && self.place == TextKind::Note && !is_one(self.word, &OF_THINGS) && span.digits() >= 10,
            2..=4 => digits && span.shortest_group() >= least_group && !is_one(self.word, &OF_THINGS),
            5 => digits && span.has_groups(&[2, 2, 2, 2, 2]) && !span.counts_up(),
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::kinds::{IdentityKind, Kinds, TextKind};
    use super::super::scan::scan;

    fn of(text: &str) -> Kinds {
        scan(text.as_bytes(), 2004, TextKind::Note)
    }

    #[test]
    fn what_notes_are_for_looks_like_nobody() {
        let quiet = [
            "hold 7 d, 22 and 12",
            "hold 7d, tray 12 stays, 22 h wear",
            "came at 09:30, waited until 10:15",
            "03.02.2031 and 17.02.2031 missed, new date 2031-03-10",
            "01.02. - 03.02.2031 on holiday",
            "away 2031-02-03 - 2031-02-17",
            "away 02/03/2031 to 12/03/2031",
            "contacts 11-21, 31-41 opened by 0.2/0.3 mm",
            "0.2 0.25 0.3 0.15 0.2 mm at 11 12 13 21 22",
            "11 12 13 14 15 16 17 21 22 23 24 25",
            "01 02 03 04 05 delivered",
            "trays 01-12 delivered, lot 0012345678, ref 02031415926",
            "LOT 2031-0415-0012, exp 04/2033",
            "lot no 0700 900 461",
            "1320 1290 1310 1340 1300 minutes",
            "8.00-12.00 and 13.00-17.00",
            "08-12 13-17 18-20 out of the mouth",
            "wear 22 h @ night and day",
            "IPR 0.3 mm @ 11.21",
            "A13 bonded again, A22 still off",
            "patient no show, 2nd time",
            "patient: 1320 minutes agreed",
            "phone photo 12 13 14 sharp",
            "told by phone 12/03 14:30",
            "Mr in June again", // a form of address without a name is no name
            "born teeth none; tooth 75 lost in 2014",
            "12 upper teeth on the right side",
            "2 mm drive of 13, High street shoes",
            "since 2004 no visit",
            "13/12/11 and 23.12.11 lag",
            "overjet 3.5 -> 2.25, overbite 2.10 -> 1.80",
            "UDI (01)04012345678901(17)330400(10)0012",
            "tray 9/24, next 10/24 on 12 March 2031",
        ];
        for text in quiet {
            assert_eq!(of(text), Kinds::NONE, "{text}: {}", of(text).in_words());
        }
    }

    #[test]
    fn what_could_name_a_person_is_known_by_its_look() {
        let told = [
            ("write to quimby@example.org", IdentityKind::Email),
            ("mail: z.quimby@mail.example.org.", IdentityKind::Email),
            (r"write to quimby\u0040example.org", IdentityKind::Email),
            ("see https://example.org/p/7", IdentityKind::Web),
            (r"see https:\/\/example.org\/p\/7", IdentityKind::Web),
            ("www.example.org", IdentityKind::Web),
            ("call 0700 900 461 first", IdentityKind::Telephone),
            ("(0700) 900461", IdentityKind::Telephone),
            ("0700/900461", IdentityKind::Telephone),
            ("07 00 90 04 61", IdentityKind::Telephone),
            ("mother 07009004610", IdentityKind::Telephone),
            ("+44 1632 960 123", IdentityKind::Telephone),
            ("+441632960123.", IdentityKind::Telephone),
            ("0043 1 5550 1234", IdentityKind::Telephone),
            ("212-555-0199", IdentityKind::Telephone),
            ("(212) 555-0199", IdentityKind::Telephone),
            ("tel. 5550199", IdentityKind::Telephone),
            ("phone no: 555 01 99", IdentityKind::Telephone),
            ("2004-08-12", IdentityKind::BirthDate),
            ("12.08.2004", IdentityKind::BirthDate),
            ("8/12/2004", IdentityKind::BirthDate),
            ("12 August 2004", IdentityKind::BirthDate),
            ("August 12, 2004", IdentityKind::BirthDate),
            ("20040812", IdentityKind::BirthDate),
            ("geb. 12.8.04", IdentityKind::BirthDate),
            ("born on 12/08/1979", IdentityKind::BirthDate),
            ("040812-1234", IdentityKind::NationalNumber),
            ("1234 120804", IdentityKind::NationalNumber),
            ("123-45-6789", IdentityKind::NationalNumber),
            ("756.9217.0769.85", IdentityKind::NationalNumber),
            ("QMBZYX04M52H501T", IdentityKind::NationalNumber),
            ("MRN 0012345", IdentityKind::RecordNumber),
            ("chart no. 48213", IdentityKind::RecordNumber),
            ("insurance number: 48213", IdentityKind::RecordNumber),
            ("lives at 12 Mill Lane", IdentityKind::Address),
            ("Mühlgasse 12", IdentityKind::Address),
            ("Lindenstr. 4", IdentityKind::Address),
            ("12, rue du Moulin", IdentityKind::Address),
            ("P.O. Box 12", IdentityKind::Address),
            ("spoke with Mrs Quimby", IdentityKind::Name),
            ("Frau Quimby", IdentityKind::Name),
            ("Mr. Quimby", IdentityKind::Name),
        ];
        for (text, kind) in told {
            assert_eq!(of(text), Kinds::NONE.with(Some(kind)), "{text}: {}", of(text).in_words());
        }
    }

    #[test]
    fn pseudonyms_are_no_numbers_of_a_person() {
        let look = |text: &str| scan(text.as_bytes(), 2004, TextKind::Id);
        for text in [
            "QM-0007",
            "P-0007",
            "0000012345",
            "0012345678",
            "001-0007",
            "840-001-0012",
            "01-001-0007",
            "patient-no-1234",
            "3f2504e0-4f89-11d3-9a0c-0305e82c3301",
            "2031-000123",
            "A7.2031-04-12.0007",
            "urn:uuid:7",
            "S01:0042",
        ] {
            assert_eq!(look(text), Kinds::NONE, "{text}: {}", look(text).in_words());
        }
        for (text, kind) in [
            ("0700-900-461", IdentityKind::Telephone),
            ("212-555-0199", IdentityKind::Telephone),
            ("QZ-20040812", IdentityKind::BirthDate),
            ("QZ_12082004", IdentityKind::BirthDate),
            ("2004.08.12", IdentityKind::BirthDate),
            ("1234120804", IdentityKind::NationalNumber),
            ("MRN-0012345", IdentityKind::RecordNumber),
        ] {
            assert_eq!(look(text), Kinds::NONE.with(Some(kind)), "{text}: {}", look(text).in_words());
        }
    }
}
