//! Files that people read, beside what the code does: pages of rules and signals, lists, schemas, and laws of the repository.

#![allow(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

mod generated;
mod layers;
mod reference;
mod rules;
mod signals;
mod sources;
mod tidy;
