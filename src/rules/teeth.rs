//! Teeth: which there are, and what can be said of them.

use crate::rule::rules;

rules! { "teeth":
}
