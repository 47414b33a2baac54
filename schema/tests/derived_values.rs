//! Derived values against arithmetic done by hand, stated beside each.

use oar_schema::derived::{bolton_anterior, bolton_overall, irregularity_index};
use oar_schema::number::Hundredths;
use oar_schema::record::CrownWidthRow;
use oar_schema::teeth::Tooth;

/// One side of an upper and a lower arch, from the central incisor to the first molar, in hundredths of a millimetre:
/// Wheeler's carving dimensions, from memory.
const UPPER: [i32; 6] = [850, 650, 750, 700, 700, 1000];
const LOWER: [i32; 6] = [500, 550, 700, 700, 700, 1100];

fn widths(to_position: usize) -> Vec<CrownWidthRow> {
    let mut rows = Vec::new();
    for (quadrant, side) in [(1, UPPER), (2, UPPER), (3, LOWER), (4, LOWER)] {
        for (position, width) in (1..=to_position as u8).zip(side) {
            let tooth = Tooth::new(quadrant * 10 + position).expect("a tooth");
            rows.push(CrownWidthRow { tooth, width_mm: Hundredths(width) });
        }
    }
    rows
}

/// By hand: 2 x (5 + 5.5 + 7 + 7 + 7 + 11) = 85 below, 2 x (8.5 + 6.5 + 7.5 + 7 + 7 + 10) = 93 above; 85 / 93 = 0.913978.
#[test]
fn the_overall_ratio_is_twelve_lower_over_twelve_upper_widths() {
    assert_eq!(bolton_overall(&widths(6)), Some(Hundredths(9140)));
}

/// By hand: 2 x (5 + 5.5 + 7) = 35 below, 2 x (8.5 + 6.5 + 7.5) = 45 above; 35 / 45 = 0.777...
#[test]
fn the_anterior_ratio_is_six_lower_over_six_upper_widths() {
    assert_eq!(bolton_anterior(&widths(6)), Some(Hundredths(7778)));
    assert_eq!(bolton_anterior(&widths(3)), Some(Hundredths(7778)));
}

#[test]
fn a_ratio_needs_all_of_its_teeth_and_no_others() {
    assert_eq!(bolton_overall(&widths(5)), None);
    for missing in 0..12 {
        let mut rows = widths(3);
        rows.remove(missing);
        assert_eq!(bolton_anterior(&rows), None);
    }
    let mut more = widths(6);
    more.push(CrownWidthRow { tooth: Tooth::new(17).unwrap(), width_mm: Hundredths(900) });
    more.push(CrownWidthRow { tooth: Tooth::new(75).unwrap(), width_mm: Hundredths(990) });
    assert_eq!(bolton_overall(&more), Some(Hundredths(9140)));
    assert_eq!(bolton_overall(&[]), None);
}

/// The order of the entries does not matter.
#[test]
fn a_ratio_does_not_depend_on_the_order_of_the_widths() {
    let mut rows = widths(6);
    rows.reverse();
    assert_eq!(bolton_overall(&rows), Some(Hundredths(9140)));
}

/// By hand: 0.5 + 1.25 + 0 + 0.75 + 2 = 4.5. Little 1975: five displacements added up, a distance each, so without signs;
/// perfect alignment scores 0.
#[test]
fn the_irregularity_index_adds_five_distances() {
    assert_eq!(irregularity_index(&[50, 125, 0, 75, 200].map(Hundredths)), Some(Hundredths(450)));
    assert_eq!(irregularity_index(&[-50, 125, 0, -75, 200].map(Hundredths)), Some(Hundredths(450)));
    assert_eq!(irregularity_index(&[Hundredths(0); 5]), Some(Hundredths(0)));
    assert_eq!(irregularity_index(&[Hundredths(0); 4]), None);
    assert_eq!(irregularity_index(&[]), None);
}
