//! Mistakes about the plan: series, their trays and their movements.

mod amounts;
mod contacts;
mod numbers;
mod trays;

use super::makers;

use amounts::{empty_movement, moves_impossibly_fast, moves_too_fast, moves_very_far, opposite_refinement};
use contacts::{contact_squeezed, space_unclosed};
use numbers::{series_dates_out_of_order, series_number_skipped, series_out_of_order};
use trays::{
    idle_trays, movement_backwards, movement_in_untreated_arch, movement_outside_trays, movement_twice,
    series_without_trays,
};

makers! { "plan":
    Many series_out_of_order;
    Many series_number_skipped;
    Many series_without_trays;
    Many series_dates_out_of_order;
    Many movement_outside_trays;
    Many movement_backwards;
    Many movement_twice;
    Many movement_in_untreated_arch;
    Many empty_movement;
    Many moves_too_fast;
    Many moves_impossibly_fast;
    Part moves_very_far;
    Many idle_trays;
    Part contact_squeezed;
    Part space_unclosed;
    Many opposite_refinement;
}
