//! The wear log: days, minutes and where they come from.

use crate::rule::rules;

rules! { "wear_log":
}
