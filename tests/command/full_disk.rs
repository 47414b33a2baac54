//! A disk that is full, and files that may not grow: a message, exit code 2, and nothing under the final name.
#![cfg(unix)]

use std::fs::OpenOptions;
use std::process::{Command, Stdio};

use oar_testing::Folder;
use oar_testing::command::oar;

fn names(folder: &Folder) -> Vec<String> {
    let entries = std::fs::read_dir(folder.path()).unwrap();
    entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

/// One of the files leads to a device that is always full.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_leaves_nothing_under_the_other_names() {
    for full in ["a.oar.jsonl", "a.oar.jsonl.zst", "k.jsonl", "a.card.json"] {
        let folder = Folder::with(&[]);
        std::os::unix::fs::symlink("/dev/full", folder.path().join(full)).unwrap();
        let to = if full.contains(".zst") { full } else { "a.oar.jsonl" };
        let printed = folder.oar(&["generate", "--patients", "40", "--output", to, "--key", "k.jsonl"]);
        assert_eq!(printed.code, Some(2), "{full}");
        assert_eq!(printed.errors, format!("error: {full} cannot be written: the disk is full\n"));
        assert_eq!(names(&folder), [full]);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_standard_output_is_told() {
    let full = || Stdio::from(OpenOptions::new().write(true).open("/dev/full").unwrap());
    let output =
        Folder::with(&[]).command(&["generate", "--patients", "40", "--output", "-"]).stdout(full()).output().unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(errors, "error: standard output cannot be written: the disk is full\n");
}

/// Help and version are asked for by programs too.
#[cfg(target_os = "linux")]
#[test]
fn no_text_is_lost_with_0() {
    let full = || Stdio::from(OpenOptions::new().write(true).open("/dev/full").unwrap());
    let folder = Folder::with(&[]);
    for arguments in ["--help", "--version", "check --help", "help check", "explain", "schema", "config", "edition"] {
        let arguments: Vec<&str> = arguments.split(' ').collect();
        let output = folder.command(&arguments).stdout(full()).output().unwrap();
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert_eq!(errors, "error: standard output cannot be written: the disk is full\n", "{arguments:?}");
        let (reader, closed) = std::io::pipe().unwrap();
        drop(reader);
        let output = folder.command(&arguments).stdout(closed).output().unwrap();
        assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(2), &b""[..]), "{arguments:?}");
    }
}

/// A file may not grow beyond what `ulimit` allows: the write fails in the middle.
#[test]
fn a_file_that_may_not_grow_further_is_told_and_taken_away() {
    let folder = Folder::with(&[]);
    let command = format!("trap '' XFSZ; ulimit -f 200; exec {} generate --patients 40 --output a.oar.jsonl", oar());
    let output = Command::new("sh").args(["-c", &command]).current_dir(folder.path()).output().unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{errors}");
    assert!(errors.starts_with("error: a.oar.jsonl cannot be written: "), "{errors}");
    assert_eq!(names(&folder), [""; 0]);
}

#[test]
fn a_folder_keeps_whole_records_and_a_run_after_says_that_one_was_interrupted() {
    let left = "c/.oar-0aB1cD2eF3gH.partial";
    let folder = Folder::with(&[("c/QM-0000000.oar.json", b"{}"), (left, b"{")]);
    let printed = folder.oar(&["generate", "--patients", "2", "--output", "c/"]);
    assert_eq!(printed.code, Some(2));
    assert!(
        printed.errors.contains("c/ is not empty: an interrupted run left files in it\n  help: "),
        "{}",
        printed.errors
    );
    let printed = folder.oar(&["generate", "--patients", "2", "--output", "c/", "--overwrite"]);
    assert_eq!(printed.code, Some(0));
    let said = "was left behind by an interrupted run and may hold patients' data\n  help: delete it\n";
    assert_eq!(printed.errors, format!("note: {left} {said}"));
    assert_eq!(folder.read(left), "{", "it is for a person to delete");
}
