//! Mistakes about teeth: numbers that were mistyped, lists that do not fit, widths and measurements that cannot be.

mod gone;
mod lists;
mod measures;
mod notation;

use super::makers;

use gone::{
    absent_tooth_measured, absent_tooth_moved, absent_tooth_seen, absent_tooth_with_attachment,
    elastic_on_absent_tooth, extracted_tooth_moved,
};
use lists::{
    early_tooth, implant_moved, permanent_tooth_in_primary, pontic_moved, primary_beside_successor,
    primary_tooth_in_adult, tooth_listed_twice,
};
use measures::{assessment_disagrees, bolton_ratio_extreme, crown_width_implausible, crown_widths_uneven};
use notation::other_notation;

makers! { "teeth":
    Many other_notation;
    Many tooth_listed_twice;
    Many permanent_tooth_in_primary;
    Many absent_tooth_moved;
    Many absent_tooth_with_attachment;
    Part elastic_on_absent_tooth;
    Many absent_tooth_measured;
    Many implant_moved;
    Many pontic_moved;
    Few extracted_tooth_moved;
    Many absent_tooth_seen;
    Many primary_beside_successor;
    Few primary_tooth_in_adult;
    Part early_tooth;
    Many crown_width_implausible;
    Many crown_widths_uneven;
    Many bolton_ratio_extreme;
    Part assessment_disagrees;
}
