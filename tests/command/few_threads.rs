//! A system that gives fewer threads than asked for, or none, changes nothing but time.
#![cfg(target_os = "linux")]

use std::process::Command;

use oar_testing::command::oar;
use oar_testing::{DEMO, Folder, wrong};

/// Runs the command with so little address space that not all stacks of threads can be mapped; `spare` kilobytes are left for them.
fn limited(folder: &Folder, arguments: &str, limit: &str) -> (Option<i32>, String, String) {
    let command = format!("{limit}; exec '{}' {arguments}", oar());
    let mut shell = Command::new("bash");
    // A stack takes more than there is altogether.
    let output = shell.args(["-c", &command]).current_dir(folder.path()).env("RUST_MIN_STACK", "400000000").output();
    let output = output.unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

#[test]
fn no_command_needs_the_threads_that_it_asks_for() {
    let records = format!("{DEMO}{}\n", wrong()).repeat(8);
    let folder = Folder::with(&[("a.oar.jsonl", records.as_bytes())]);
    for arguments in [
        "check a.oar.jsonl --threads 16",
        "check a.oar.jsonl --threads 16 -o jsonl=out",
        "review a.oar.jsonl --threads 16 -o jsonl",
        "review a.oar.jsonl --cohort a.oar.jsonl --threads 16",
        "realism a.oar.jsonl --threads 16 --min-count 1",
        "edition a.oar.jsonl --threads 16",
        "generate --patients 100 --threads 16 --output -",
    ] {
        let all = limited(&folder, arguments, "true");
        assert!(matches!(all.0, Some(0 | 1)), "{arguments}: {all:?}");
        // One thread, and none.
        for limit in ["ulimit -v 700000", "ulimit -v 390000"] {
            assert!(limited(&folder, arguments, limit) == all, "{arguments}, {limit}");
        }
    }
}
