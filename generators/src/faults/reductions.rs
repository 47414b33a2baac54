//! Mistakes about enamel reductions and elastics.

mod amounts;
mod contacts;
mod elastics;
mod entries;

use super::makers;

use amounts::{reduction_more_than_planned, reduction_over_half_enamel, reduction_too_large, reduction_total_large};
pub(super) use contacts::relabel;
use contacts::{
    not_neighbours, reduction_in_primary_tooth, reduction_not_done, reduction_outside_trays, reduction_unplanned,
};
use elastics::{elastic_backwards, elastic_goal_over_wear_goal, elastic_outside_trays, elastic_teeth_mismatch};
pub(super) use entries::{counts, planned};

makers! { "reductions":
    Many not_neighbours;
    Many reduction_outside_trays;
    Many reduction_too_large;
    Many reduction_over_half_enamel;
    Few reduction_in_primary_tooth;
    Part reduction_total_large;
    Many reduction_unplanned;
    Part reduction_not_done;
    Many reduction_more_than_planned;
    Part elastic_teeth_mismatch;
    Part elastic_backwards;
    Part elastic_outside_trays;
    Part elastic_goal_over_wear_goal;
}
