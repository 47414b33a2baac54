//! Check-ins and visits.

use crate::rule::rules;

rules! { "check_ins":
}
