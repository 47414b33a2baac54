//! Mistakes about attachments: where they are planned, and what happened to them.

mod events;
mod planned;
mod visits;

use super::makers;

use events::{
    bonded_twice, check_in_disagrees_with_events, event_after_removal, lost_before_bonded, never_bonded,
    unknown_attachment,
};
use planned::{
    attachment_backwards, attachment_id_repeated, attachment_outside_trays, attachment_without_purpose,
    movement_without_attachment, surface_not_on_tooth,
};
use visits::{bonding_without_visit, left_after_finish};

makers! { "attachments":
    Many attachment_id_repeated;
    Many attachment_outside_trays;
    Many attachment_backwards;
    Many surface_not_on_tooth;
    Many unknown_attachment;
    Many lost_before_bonded;
    Many bonded_twice;
    Many event_after_removal;
    Many attachment_without_purpose;
    Many movement_without_attachment;
    Many never_bonded;
    Many left_after_finish;
    Many check_in_disagrees_with_events;
    Many bonding_without_visit;
}
