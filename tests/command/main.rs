//! The command as a user meets it: exit codes, streams, outputs, help.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod baseline;
mod card;
mod compare;
mod config;
mod config_files;
mod config_mistakes;
mod documented;
mod edition;
mod exit_codes;
mod few_threads;
mod fixable;
mod full_disk;
mod generate;
mod help;
mod names;
mod options;
mod outputs;
mod overview;
mod overwriting;
mod reading;
mod readme;
mod repair;
mod review;
mod schemas;
mod selection;
mod shrink;
mod side_files;
mod streams;
mod waivers;
mod writer;
