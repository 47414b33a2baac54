//! Attachments: where they are planned and what happened to them.

use crate::rule::rules;

rules! { "attachments":
}
