//! Waivers that hold nothing, or no longer. They are about a file of waivers, and found when a run is over.

use super::table::reading_rules;

reading_rules! { "waivers":
    Warning waiver_expired;
    Warning waiver_without_finding;
}
