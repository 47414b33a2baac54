//! Reading as a user meets it: forms of files, compression, folders, damage, sizes, threads.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../running/mod.rs"]
#[allow(dead_code, reason = "other tests use the rest")]
mod running;

mod compression;
mod damage;
mod folders;
mod forms;
mod sizes;
mod threads;
