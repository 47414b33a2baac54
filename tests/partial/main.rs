//! Records of which something cannot be read: a shape fault hides nothing but what cannot be known, and that is counted.
//!
//! The laws are the project's own, without an outside source.

#![expect(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

mod damages;
mod matrix;
mod needs;
mod worse;
