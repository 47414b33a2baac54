//! The plan: series and movements.

use crate::rule::rules;

rules! { "plan":
}
