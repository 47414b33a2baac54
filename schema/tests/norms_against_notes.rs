//! The published values in the code against the notes that they were typed from, and against each other.
//!
//! `norms_crown_widths.csv` and `norms_eruption.csv` were written out from the notes by a program, not from the code. They
//! find slips of the hand; they cannot find an error of the notes, whose crown widths are from memory.

use oar_schema::derived::{bolton_anterior, bolton_overall};
use oar_schema::norms::{BOLTON_ANTERIOR, BOLTON_OVERALL, Measured, crown_widths, eruption};
use oar_schema::number::Hundredths;
use oar_schema::record::CrownWidthRow;
use oar_schema::teeth::{Arch, Tooth};

const CROWN_WIDTHS: &str = include_str!("norms_crown_widths.csv");
const ERUPTION: &str = include_str!("norms_eruption.csv");

fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    table.lines().skip(1).map(|line| line.split(',').collect())
}

/// The two teeth of a row, right and left.
fn teeth(name: &str, arch: &str) -> [Tooth; 2] {
    let position = ["I1", "I2", "C", "PM1", "PM2", "M1", "M2", "M3"]
        .iter()
        .position(|known| *known == name)
        .expect("a known tooth");
    let quadrants = if arch == "upper" { [1, 2] } else { [3, 4] };
    quadrants.map(|quadrant: u8| Tooth::new(quadrant * 10 + position as u8 + 1).expect("a tooth"))
}

fn hundredths(text: &str) -> i32 {
    let (whole, places) = text.split_once('.').expect("a decimal");
    assert_eq!(places.len(), 2, "{text}");
    format!("{whole}{places}").parse().expect("digits")
}

#[test]
fn crown_widths_are_those_of_the_notes() {
    let mut compared = 0;
    for row in rows(CROWN_WIDTHS) {
        for tooth in teeth(row[0], row[1]) {
            let norm = crown_widths(tooth).unwrap()[usize::from(row[2] == "female")];
            assert_eq!((norm.mean, norm.sd), (hundredths(row[3]), hundredths(row[4])), "{tooth} {}", row[2]);
            compared += 1;
        }
    }
    assert_eq!(compared, 7 * 2 * 2 * 2, "seven teeth on a side, two arches, two sexes");
    assert_eq!(Tooth::all().filter(|tooth| crown_widths(*tooth).is_some()).count(), 28);
}

#[test]
fn ages_of_eruption_are_those_of_the_notes() {
    let mut compared = 0;
    for row in rows(ERUPTION) {
        for tooth in teeth(row[0], row[1]) {
            let ages = eruption(tooth).unwrap();
            assert_eq!((ages.from.to_string(), ages.to.to_string()), (row[2].to_owned(), row[3].to_owned()), "{tooth}");
            compared += 1;
        }
    }
    assert_eq!(compared, 32);
    assert!(Tooth::all().filter(|tooth| tooth.is_primary()).all(|tooth| eruption(tooth).is_none()));
}

/// Widths of Wheeler's carving dimensions, from memory, upper then lower, from the central incisor to the first molar.
const WHEELER: [[i32; 6]; 2] = [[850, 650, 750, 700, 700, 1000], [500, 550, 700, 700, 700, 1100]];

fn full_mouth(width: impl Fn(Tooth) -> i32) -> Vec<CrownWidthRow> {
    let natural = Tooth::all().filter(|tooth| !tooth.is_primary() && tooth.position() <= 6);
    natural.map(|tooth| CrownWidthRow { tooth, width_mm: Hundredths(width(tooth)) }).collect()
}

fn sds_off(ratio: Option<Hundredths>, norm: &Measured) -> f64 {
    f64::from(ratio.expect("a ratio").0 - norm.mean) / f64::from(norm.sd)
}

/// Three publications meet: widths of Moorrees and of Wheeler give ratios near those of Bolton. Neither took part in the
/// other, so that a wrong row would show.
#[test]
fn published_widths_give_published_ratios() {
    let moorrees = |sex: usize| full_mouth(|tooth| crown_widths(tooth).unwrap()[sex].mean);
    let wheeler =
        full_mouth(|tooth| WHEELER[usize::from(tooth.arch() == Arch::Lower)][usize::from(tooth.position()) - 1]);
    for widths in [moorrees(0), moorrees(1), wheeler] {
        assert!(sds_off(bolton_anterior(&widths), &BOLTON_ANTERIOR).abs() < 1.0, "{:?}", bolton_anterior(&widths));
        assert!(sds_off(bolton_overall(&widths), &BOLTON_OVERALL).abs() < 1.0, "{:?}", bolton_overall(&widths));
    }
}

#[test]
fn every_mean_has_a_spread_smaller_than_itself_and_a_place_in_a_source() {
    let widths = Tooth::all().filter_map(crown_widths).flatten();
    for norm in widths.chain([&BOLTON_OVERALL, &BOLTON_ANTERIOR]) {
        assert!(0 < norm.sd && norm.sd * 5 < norm.mean, "{norm:?}");
        assert!(!norm.source.cite.is_empty() && !norm.at.is_empty() && !norm.unit.is_empty());
    }
}
