//! Reductions and elastics.

use crate::rule::rules;

rules! { "reductions":
}
