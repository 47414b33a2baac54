//! Generated cohorts: they are clean, faults planted in them are found, and the reports and kits that are made of them are true.

#![allow(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

mod clean;
mod demo;
mod faults;
mod kit;
mod realism;
