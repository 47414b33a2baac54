//! Time and state: what can have happened when.

use crate::rule::rules;

rules! { "time_and_state":
}
