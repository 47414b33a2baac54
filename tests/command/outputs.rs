//! Several outputs in one run, and colours.

use oar_testing::{BACKWARDS, BASE, Folder};

#[test]
fn several_outputs_of_one_run_are_those_of_several_runs() {
    let folder = Folder::with(&[("in/a.oar.json", BACKWARDS.as_bytes()), ("in/b.oar.json", BASE.as_bytes())]);
    let formats = ["text", "brief", "jsonl", "sarif", "junit", "github", "gitlab"];
    let files: Vec<String> = formats.iter().map(|format| format!("{format}=out.{format}")).collect();
    let mut arguments = vec!["check", "in"];
    for file in &files {
        arguments.extend(["--output", file]);
    }
    let all = folder.oar(&arguments);
    assert_eq!((all.code, all.out.as_str(), all.errors.as_str()), (Some(1), "", ""));
    for format in formats {
        let alone = folder.oar(&["check", "in", "-o", format]);
        assert!(!alone.out.is_empty() && alone.out == folder.read(&format!("out.{format}")), "{format}");
    }
}

#[test]
fn colours_are_left_out_of_a_pipe_and_of_files_and_can_be_asked_for() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    let coloured = |arguments: &[&str]| {
        let all = [&["check", "a.oar.json", "-o", "text"], arguments].concat();
        folder.oar(&all).out.contains('\x1b')
    };
    assert!(!coloured(&[]));
    assert!(!coloured(&["--colour", "never"]));
    assert!(coloured(&["--colour", "always"]));
    assert!(coloured(&["--color", "always", "-o", "text=b"]));
    assert!(!folder.read("b").contains('\x1b'));
}

#[test]
fn each_path_is_named_from_the_working_folder_on() {
    let folder = Folder::with(&[("in/a.oar.json", BACKWARDS.as_bytes())]);
    let full = folder.path().canonicalize().unwrap().join("in/a.oar.json");
    for path in ["in", "./in", "in/", "in/a.oar.json", full.to_str().unwrap()] {
        let printed = folder.oar(&["check", path, "-o", "jsonl"]);
        assert_eq!(printed.lines("finding")[0]["file"], "in/a.oar.json", "{path}");
    }
}
