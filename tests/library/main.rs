//! The library as an embedder uses it: readers of JSON, findings, repair, settings, outputs.

#![allow(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

mod api;
mod canonical;
mod cohort;
mod editions;
mod json_against_serde;
mod json_reader;
mod json_test_suite;
mod marks;
mod one_mistake;
mod other_notation;
mod outputs;
mod privacy;
mod repair;
mod repair_keeps_numbers;
mod shape;
mod shrink;
mod zones;
