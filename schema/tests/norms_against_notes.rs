//! The published values in the code against a second reading of the notes that they were typed from, and against each
//! other.
//!
//! The tables in `second_reading` were filled by hand from the notes by a reader who had not seen the code. They find
//! slips of the hand and doubtful readings; they cannot find an error of the notes, whose crown widths are from memory.
//! The notes give no value for Bolton's ratios, so that `bolton.csv` has nothing to compare.

use oar_schema::derived::{bolton_anterior, bolton_overall};
use oar_schema::limits::Limits;
use oar_schema::norms::{BOLTON_ANTERIOR, BOLTON_OVERALL, Measured, crown_widths, eruption};
use oar_schema::number::Hundredths;
use oar_schema::record::CrownWidthRow;
use oar_schema::teeth::Tooth;

const CROWN_WIDTHS: &str = include_str!("second_reading/crown_widths.csv");
const ERUPTION: &str = include_str!("second_reading/eruption.csv");
const LIMITS: &str = include_str!("second_reading/limits.csv");

/// The columns of a table that are named, row by row. No field holds a comma.
fn rows<const N: usize>(table: &'static str, names: [&str; N]) -> impl Iterator<Item = [&'static str; N]> {
    let mut lines = table.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let header = lines.next().expect("a header");
    let columns = names.map(|name| header.iter().position(|known| *known == name).expect("a column of that name"));
    lines.map(move |row| {
        assert_eq!(row.len(), header.len(), "{row:?}");
        columns.map(|column| row[column])
    })
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
    let (whole, places) = text.split_once('.').unwrap_or((text, ""));
    assert!(places.len() <= 2, "{text}");
    format!("{whole}{places:0<2}").parse().expect("digits")
}

#[test]
fn crown_widths_are_those_of_the_second_reading() {
    let mut compared = 0;
    let table = rows(CROWN_WIDTHS, ["kind", "arch", "sex", "mean_mm", "sd_mm"]);
    for [kind, arch, sex, mean, sd] in table.filter(|row| row[2] != "either") {
        for tooth in teeth(kind, arch) {
            let norm = crown_widths(tooth).unwrap()[usize::from(sex == "female")];
            assert_eq!((norm.mean, norm.sd), (hundredths(mean), hundredths(sd)), "{tooth} {sex}");
            compared += 1;
        }
    }
    assert_eq!(compared, 7 * 2 * 2 * 2, "seven teeth on a side, two arches, two sexes");
    assert_eq!(Tooth::all().filter(|tooth| crown_widths(*tooth).is_some()).count(), 28);
}

#[test]
fn ages_of_eruption_are_those_of_the_second_reading() {
    let mut compared = 0;
    let mut differ = Vec::new();
    for [kind, arch, from, to] in rows(ERUPTION, ["kind", "arch", "from_years", "to_years"]) {
        for tooth in teeth(kind, arch) {
            let ages = eruption(tooth).unwrap();
            let (code, read) = (format!("{} to {}", ages.from, ages.to), format!("{from} to {to}"));
            if code != read {
                differ.push(format!("{tooth}: code {code}, second reading {read}"));
            }
            compared += 1;
        }
    }
    assert_eq!(compared, 32);
    assert!(differ.is_empty(), "{differ:#?}");
    assert!(Tooth::all().filter(|tooth| tooth.is_primary()).all(|tooth| eruption(tooth).is_none()));
}

/// The limit in the code for a row of the second reading, and by how much the row's unit is to be multiplied for it.
/// Left out are the rows for back contacts and the hard one for front contacts, whose limits `enamel_against_studies.rs`
/// holds to what studies measured, and the over-report of wear, which is of headgear and supports no limit.
const LIMIT_OF_ROW: [(&str, &str, i64); 9] = [
    ("linear step per tray soft", "tray_linear_mm", 100),
    ("linear step per tray hard", "tray_most_mm", 100),
    ("rotation per tray soft", "tray_rotation_deg", 100),
    ("rotation per tray soft for premolars", "tray_rotation_round_deg", 100),
    ("rotation per tray hard", "tray_most_rotation_deg", 100),
    ("torque per tray soft", "tray_torque_deg", 100),
    ("torque per tray hard", "tray_most_torque_deg", 100),
    ("reduction per contact anterior soft", "contact_front_mm", 100),
    ("enamel per surface incisor", "half_enamel_lower_incisors_mm", 100),
];

#[test]
fn limits_are_those_of_the_second_reading() {
    let limits = Limits::default();
    let mut differ = Vec::new();
    for (row, name, scale) in LIMIT_OF_ROW {
        let [_, value] = rows(LIMITS, ["name", "value"]).find(|fields| fields[0] == row).expect("a row of that name");
        let (code, read) = (limits.get(name).expect("a limit"), i64::from(hundredths(value)) * scale / 100);
        if code != read {
            differ.push(format!("{name}: code {code}, second reading {read}"));
        }
    }
    assert!(differ.is_empty(), "{differ:#?}");
}

/// The width of a tooth in Wheeler's carving dimensions.
fn wheeler_width(tooth: Tooth) -> i32 {
    let table = rows(CROWN_WIDTHS, ["kind", "arch", "sex", "mean_mm"]);
    let row = table.filter(|row| row[2] == "either").find(|row| teeth(row[0], row[1]).contains(&tooth));
    hundredths(row.expect("a row for every permanent tooth")[3])
}

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
    let wheeler = full_mouth(wheeler_width);
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
