//! The limits of enamel against published thicknesses: no limit is above half of the enamel at the thinnest contact that it is for.
//!
//! Each value was read in the abstract that is named beside it. Half of the enamel of two surfaces is their mean.

use oar_schema::limits::Limits;

/// Mean thicknesses of the two surfaces of a contact, in micrometres, with where they were read.
struct Contact {
    limit: &'static str,
    what: &'static str,
    surfaces: [i64; 2],
}

const fn contact(limit: &'static str, what: &'static str, one: i64, other: i64) -> Contact {
    Contact { limit, what, surfaces: [one, other] }
}

/// Sarig 2015: Sarig et al., AJODO 147:435-44, 109 teeth. Vellini 2012: Vellini-Ferreira et al., Braz J Oral Sci 11(4), 302 teeth.
/// Han 2011: Han, Gang, Lim, Korean J Orthod 41:184-190, 40 teeth. Munhoz 2012: Munhoz et al., Braz J Oral Sci 11(1), 40 teeth.
/// Kato: Kato et al., lower first premolars, 40 teeth. Fernandes 2011: Fernandes et al., Braz Oral Res 25(4), 40 teeth.
const CONTACTS: [Contact; 9] = [
    contact("half_enamel_lower_incisors_mm", "incisors, Sarig 2015", 630, 630),
    contact("half_enamel_lower_incisors_mm", "lower centrals, mesial, Vellini 2012", 675, 675),
    contact("half_enamel_lower_incisors_mm", "lower incisors, Han 2011", 750, 750),
    contact("half_enamel_front_mm", "lower lateral, distal, and canine, mesial, Vellini 2012", 872, 734),
    contact(
        "half_enamel_back_mm",
        "lower first premolar, distal, Kato, and second, mesial, Fernandes 2011",
        1229,
        1350,
    ),
    contact("half_enamel_back_mm", "lower premolar, distal, Kato, twice: the thinnest surface", 1229, 1229),
    contact("half_enamel_back_mm", "upper first premolar, distal, Munhoz 2012, twice", 1280, 1280),
    contact("half_enamel_back_mm", "lower second premolar, mesial, Vellini 2012, twice", 1376, 1376),
    contact("half_enamel_back_mm", "first molars, Sarig 2015", 1480, 1480),
];

#[test]
fn no_limit_is_above_half_of_the_enamel_at_its_thinnest_contact() {
    let limits = Limits::default();
    for Contact { limit, what, surfaces: [one, other] } in CONTACTS {
        let half = i64::midpoint(one, other);
        let set = limits.get(limit).unwrap_or_else(|| panic!("{limit} is no limit"));
        assert!(10 * set <= half, "{limit} is {set} hundredths, half at a contact of {what} is {half} micrometres");
    }
}

#[test]
fn what_is_much_lies_below_half_of_the_enamel() {
    let limits = Limits::default();
    assert!(limits.contact_front_mm < limits.half_enamel_lower_incisors_mm);
    assert!(limits.half_enamel_lower_incisors_mm < limits.half_enamel_front_mm);
    assert!(limits.contact_back_mm < limits.half_enamel_back_mm);
}
