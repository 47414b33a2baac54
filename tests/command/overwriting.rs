//! What a run reads is never written over: inputs, settings, waivers, the baseline.

use oar_testing::{BACKWARDS, Folder};

const WAIVERS: &str = "[[waiver]]\nrecord = \"QM-9\"\nrule = \"worn_backwards\"\nat = \"/**\"\nreason = \"seen\"\n";

#[test]
fn no_command_writes_over_what_it_reads() {
    let files: [(&str, &str); 4] = [
        ("a.oar.json", BACKWARDS),
        ("oar.toml", "fail_level = \"note\"\n"),
        ("oar-waivers.toml", WAIVERS),
        ("in/other.txt", ""),
    ];
    let folder = Folder::with(&files.map(|(name, text)| (name, text.as_bytes())));
    folder.oar(&["check", "a.oar.json", "--write-baseline", "known"]);
    let known = folder.read("known");
    let shrink: &[&str] = &["shrink", "a.oar.json", "--rule", "worn_backwards", "--output"];
    for (arguments, file, said) in [
        (shrink, "a.oar.json", "is to be shrunk: write records to another file"),
        (shrink, "in/../oar.toml", "holds the settings: write records to another file"),
        (
            &["repair", "a.oar.json", "--output"],
            "./a.oar.json",
            "is to be repaired (--write would replace it): write records to another file",
        ),
        (
            &["check", "a.oar.json", "--write-baseline"],
            "oar.toml",
            "holds the settings: write the baseline to another file",
        ),
        (
            &["check", "a.oar.json", "--write-baseline"],
            "oar-waivers.toml",
            "holds the waivers: write the baseline to another file",
        ),
        (&["check", "a.oar.json", "-o"], "oar-waivers.toml", "holds the waivers: write findings to another file"),
        (
            &["check", "a.oar.json", "--baseline", "known", "-o"],
            "known",
            "holds the baseline: write findings to another file",
        ),
        (
            &["check", "a.oar.json", "--write-baseline", "fresh", "-o"],
            "in/../fresh",
            "is the new baseline: write findings to another file",
        ),
    ] {
        let given = if arguments.last() == Some(&"-o") { format!("text={file}") } else { file.to_owned() };
        let printed = folder.oar(&[arguments, &[given.as_str()]].concat());
        assert_eq!((printed.code, printed.errors), (Some(2), format!("error: {file} {said}\n")), "{arguments:?}");
    }
    for (name, text) in files {
        assert_eq!(folder.read(name), text, "{name}");
    }
    assert_eq!(folder.read("known"), known);
    assert!(!folder.path().join("fresh").exists());
    let again = folder.oar(&["check", "a.oar.json", "--baseline", "known", "--write-baseline", "known"]);
    assert_eq!(again.code, Some(0), "a baseline may take the place of the one before it: {again:?}");
}

#[test]
fn two_outputs_to_one_file_are_refused_however_it_is_named() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    let printed = folder.oar(&["check", "a.oar.json", "-o", "text=out", "-o", "brief=./out"]);
    assert!(printed.code == Some(2) && printed.errors.contains("two outputs would go to ./out"), "{printed:?}");
}
