//! Every tooth in every notation against the HL7 code systems.
//!
//! The outside source is `datasets/references/hl7_tooth_codes.tsv`: codes and definitions of HL7
//! Terminology 7.0.1, word for word. Only its words are used to say what is right.

use std::fs;

use oar_schema::teeth::{Arch, Side, Surface, Tooth, ToothKind, ToothSet, are_neighbours};

const ADA: &str = "ADAUniversalToothDesignationSystem";
const ADA_SURFACES: &str = "ADAToothSurfaceCodes";
const V3: &str = "v3-Dentition";
const ISO_SITES: &str = "ex-tooth";

/// A code and its definition.
struct Row {
    code: String,
    definition: String,
}

impl Row {
    /// The ISO 3950 code the definition ends with, if it names one.
    fn iso(&self) -> Option<Tooth> {
        let (_, iso) = self.definition.split_once("ISO designation ")?;
        Some(tooth(iso.parse().expect("an ISO designation is a number")))
    }

    fn is_supernumerary(&self) -> bool {
        self.definition.starts_with("Supernumerary")
    }
}

/// The rows of one code system.
fn rows(system: &str) -> Vec<Row> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../datasets/references/hl7_tooth_codes.tsv");
    let table = fs::read_to_string(path).expect("the reference table is checked in");
    let mut rows = Vec::new();
    for line in table.lines() {
        let [name, _, code, definition] = line.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{line:?} has not four columns")
        };
        if name == system {
            rows.push(Row { code: code.to_owned(), definition: definition.to_owned() });
        }
    }
    assert!(!rows.is_empty(), "{system} has no rows");
    rows
}

fn tooth(fdi: u8) -> Tooth {
    Tooth::new(fdi).unwrap_or_else(|| panic!("{fdi} is a tooth in HL7 and none here"))
}

/// What a tooth's name says in words, whichever of the usual words it chose.
#[derive(Debug, PartialEq)]
struct Said {
    arch: Arch,
    side: Side,
    kind: ToothKind,
    primary: bool,
}

fn said(name: &str) -> Said {
    let name = name.to_lowercase();
    let words: Vec<&str> = name.split(|c: char| !c.is_ascii_alphanumeric()).collect();
    let either = |yes: [&str; 2], no: [&str; 2]| {
        let says = |options: [&str; 2]| options.iter().any(|option| words.contains(option));
        assert_ne!(says(yes), says(no), "{name}: neither or both of {yes:?} and {no:?}");
        says(yes)
    };
    let upper = either(["upper", "maxillary"], ["lower", "mandibular"]);
    let right = either(["right", "right"], ["left", "left"]);
    Said {
        arch: if upper { Arch::Upper } else { Arch::Lower },
        side: if right { Side::Right } else { Side::Left },
        kind: kind_said(&name, &words),
        primary: words.contains(&"deciduous") || words.contains(&"primary"),
    }
}

fn kind_said(name: &str, words: &[&str]) -> ToothKind {
    let kinds = [
        (&["central", "incisor"][..], ToothKind::CentralIncisor),
        (&["lateral", "incisor"], ToothKind::LateralIncisor),
        (&["canine"], ToothKind::Canine),
        (&["first", "premolar"], ToothKind::FirstPremolar),
        (&["second", "premolar"], ToothKind::SecondPremolar),
        (&["first", "molar"], ToothKind::FirstMolar),
        (&["second", "molar"], ToothKind::SecondMolar),
        (&["third", "molar"], ToothKind::ThirdMolar),
    ];
    let mut found = kinds.iter().filter(|(all, _)| all.iter().all(|word| words.contains(word)));
    let (_, kind) = found.next().unwrap_or_else(|| panic!("{name}: no kind of tooth"));
    assert!(found.next().is_none(), "{name}: two kinds of tooth");
    *kind
}

fn what_we_say(tooth: Tooth) -> Said {
    Said { arch: tooth.arch(), side: tooth.side(), kind: tooth.kind(), primary: tooth.is_primary() }
}

/// The Palmer text a name's words lead to: quadrant letters, then the place counted from the
/// midline in numbers (permanent) or letters (primary). The scheme is common practice; HL7 has no
/// Palmer notation.
fn palmer_of(said: &Said) -> String {
    let permanent = ["1", "2", "3", "4", "5", "6", "7", "8"];
    let primary = ["A", "B", "C", "", "", "D", "E", ""];
    let kind = ToothKind::ALL.iter().position(|kind| *kind == said.kind).expect("a kind");
    let arch = if said.arch == Arch::Upper { "U" } else { "L" };
    let side = if said.side == Side::Right { "R" } else { "L" };
    format!("{arch}{side}{}", if said.primary { primary[kind] } else { permanent[kind] })
}

#[test]
fn each_of_the_52_teeth_reads_in_universal_as_hl7_defines_it() {
    let natural: Vec<Row> = rows(ADA).into_iter().filter(|row| row.iso().is_some()).collect();
    for row in &natural {
        let tooth = row.iso().unwrap();
        let expected = said(&row.definition);
        assert_eq!(tooth.universal(), row.code, "{tooth}");
        assert_eq!(Tooth::from_universal(&row.code), Some(tooth), "{}", row.code);
        assert_eq!(what_we_say(tooth), expected, "{tooth}: {}", row.definition);
        assert_eq!(said(tooth.name()), expected, "{tooth}: {}", row.definition);
        assert_eq!(tooth.palmer(), palmer_of(&expected), "{tooth}: {}", row.definition);
        assert_eq!(Tooth::from_palmer(&palmer_of(&expected)), Some(tooth), "{tooth}");
    }
    assert_eq!(natural.len(), 52);
}

#[test]
fn the_fdi_codes_are_the_iso_designations_hl7_names_and_no_others() {
    let ours: ToothSet = Tooth::all().collect();
    let theirs: ToothSet = rows(ADA).iter().filter_map(Row::iso).collect();
    assert_eq!(ours, theirs);
    for number in 0..=u8::MAX {
        let is_theirs = theirs.iter().any(|tooth| tooth.fdi() == number);
        assert_eq!(Tooth::new(number).is_some(), is_theirs, "{number}");
    }
}

#[test]
fn the_older_hl7_dentition_agrees_on_the_52_universal_codes() {
    let natural: Vec<Row> = rows(V3).into_iter().filter(|row| !row.is_supernumerary()).collect();
    for row in &natural {
        let code = row.code.strip_prefix("TID").unwrap();
        let tooth = Tooth::from_universal(code).unwrap_or_else(|| panic!("{code} is unknown"));
        assert_eq!(what_we_say(tooth), said(&row.definition), "{code}");
    }
    assert_eq!(natural.len(), 52);
}

#[test]
fn positions_count_from_the_central_axis_as_hl7_site_codes_do() {
    let sites = rows(ISO_SITES);
    for site in &sites {
        let tooth = tooth(site.code.parse().unwrap());
        let (quadrant, rest) = site.definition.split_once(" Tooth ").unwrap();
        let (position, rest) = rest.split_once(' ').unwrap();
        assert_eq!(rest, "from the central axis, permanent dentition.");
        assert_eq!(tooth.position(), position.parse::<u8>().unwrap(), "{tooth}");
        let initials: String = quadrant.split(' ').map(|word| &word[..1]).collect();
        assert_eq!(tooth.palmer(), format!("{initials}{position}"), "{tooth}");
        assert!(!tooth.is_primary(), "{tooth}");
    }
    assert_eq!(sites.len(), 32);
}

/// The signs by their names in the Unicode Standard. They are written so that the horizontal line
/// is the biting plane and the vertical one the midline as the dentist sees it (common practice).
#[test]
fn palmer_signs_are_the_unicode_dentistry_symbols_of_their_quadrant() {
    const LIGHT_VERTICAL_AND_TOP_RIGHT: char = '\u{23BE}';
    const LIGHT_VERTICAL_AND_BOTTOM_RIGHT: char = '\u{23BF}';
    const LIGHT_VERTICAL_AND_TOP_LEFT: char = '\u{23CB}';
    const LIGHT_VERTICAL_AND_BOTTOM_LEFT: char = '\u{23CC}';
    for row in rows(ADA).iter().filter(|row| row.iso().is_some()) {
        let expected = said(&row.definition);
        let palmer = palmer_of(&expected);
        let place = &palmer[2..];
        let symbol = match (expected.arch, expected.side) {
            (Arch::Upper, Side::Right) => format!("{place}{LIGHT_VERTICAL_AND_BOTTOM_LEFT}"),
            (Arch::Upper, Side::Left) => format!("{LIGHT_VERTICAL_AND_BOTTOM_RIGHT}{place}"),
            (Arch::Lower, Side::Left) => format!("{LIGHT_VERTICAL_AND_TOP_RIGHT}{place}"),
            (Arch::Lower, Side::Right) => format!("{place}{LIGHT_VERTICAL_AND_TOP_LEFT}"),
        };
        assert_eq!(row.iso().unwrap().palmer_symbol(), symbol, "{}", row.definition);
        assert_eq!(Tooth::from_palmer(&symbol), row.iso(), "{}", row.definition);
    }
}

#[test]
fn supernumerary_codes_lie_beside_the_tooth_hl7_names() {
    let ada: Vec<Row> = rows(ADA).into_iter().filter(Row::is_supernumerary).collect();
    for row in &ada {
        let beside = Tooth::universal_supernumerary(&row.code);
        assert_eq!(beside.map(what_we_say), Some(said(&row.definition)), "{}", row.code);
        assert_eq!(Tooth::from_universal(&row.code), None, "{}", row.code);
    }
    assert_eq!(ada.len(), 41);
}

/// HL7's older list has all 52, written `1s` to `32s` and `As` to `Ts`; the Universal system adds
/// 50 to a number instead.
#[test]
fn the_older_hl7_dentition_agrees_on_all_52_supernumerary_codes() {
    let v3: Vec<Row> = rows(V3).into_iter().filter(Row::is_supernumerary).collect();
    for row in &v3 {
        let code = row.code.strip_prefix("TID").unwrap();
        let natural = code.strip_suffix('s').unwrap();
        let universal = match natural.parse::<u8>() {
            Ok(number) => (number + 50).to_string(),
            Err(_) => code.to_owned(),
        };
        let beside = Tooth::universal_supernumerary(&universal);
        assert_eq!(beside.map(what_we_say), Some(said(&row.definition)), "{universal}");
    }
    assert_eq!(v3.len(), 52);
}

#[test]
fn a_number_reads_in_universal_as_the_tooth_hl7_gives_it() {
    let universal = rows(ADA);
    for number in 0..=u8::MAX {
        let row = universal.iter().find(|row| row.code == number.to_string());
        let expected = row.map(|row| said(&row.definition));
        let read = Tooth::reading_in_universal(number);
        assert_eq!(read.map(what_we_say), expected, "{number}");
    }
}

/// HL7: teeth are numbered "following around the arch", so consecutive numbers of one arch are
/// neighbours and no others are.
#[test]
fn in_a_full_arch_the_neighbours_are_the_next_universal_numbers() {
    let numbered: Vec<(usize, Said, Tooth)> = rows(ADA)
        .iter()
        .filter_map(|row| Some((row, row.iso()?)))
        .enumerate()
        .map(|(order, (row, tooth))| (order, said(&row.definition), tooth))
        .collect();
    for primary in [false, true] {
        let arches = || numbered.iter().filter(|(_, said, _)| said.primary == primary);
        let present: ToothSet = arches().map(|(_, _, tooth)| *tooth).collect();
        for (at, said, a) in arches() {
            for (other_at, other_said, b) in arches() {
                let beside = at.abs_diff(*other_at) == 1 && said.arch == other_said.arch;
                assert_eq!(are_neighbours(*a, *b, &present), beside, "{a} and {b}");
            }
        }
    }
}

/// The ADA codes are the first letters of the surfaces, but for buccal, which is facial here.
#[test]
fn a_tooth_has_the_surfaces_hl7_gives_to_anterior_and_posterior_teeth() {
    for row in rows(ADA_SURFACES).iter().filter(|row| row.code != "B") {
        let letter = row.code.to_lowercase();
        let surface = Surface::ALL.iter().find(|known| known.as_str().starts_with(&letter));
        let surface = surface.unwrap_or_else(|| panic!("{} is unknown", row.definition));
        for tooth in rows(ADA).iter().filter_map(Row::iso) {
            let words = said(tooth.name());
            let anterior = tooth_is_anterior(words.kind);
            let exists = match row.definition.as_str() {
                text if text.contains("anterior teeth") => anterior,
                text if text.contains("posterior teeth") => !anterior,
                _ => true,
            };
            assert_eq!(tooth.surfaces().contains(surface), exists, "{surface:?} of {tooth}");
        }
    }
}

/// Anterior teeth are incisors and canines (common usage, from memory; HL7 does not define them).
fn tooth_is_anterior(kind: ToothKind) -> bool {
    use ToothKind::{Canine, CentralIncisor, LateralIncisor};
    [CentralIncisor, LateralIncisor, Canine].contains(&kind)
}
