//! `oar edition`: the editions, and what a newer one would change.

use oar_testing::{BACKWARDS, BASE, Folder};

#[test]
fn without_a_path_the_editions_are_listed() {
    let printed = Folder::with(&[]).oar(&["edition"]);
    assert_eq!(
        printed.out,
        "edition 1, the newest\n  the first edition; oar explain all lists the rules and limits of the newest\n"
    );
}

#[test]
fn the_same_edition_changes_nothing() {
    let config = b"edition = 1\n[levels]\nworn_backwards = \"note\"\n";
    let folder =
        Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("b.oar.json", BASE.as_bytes()), ("oar.toml", config)]);
    let printed = folder.oar(&["edition", ".", "--no-cross-record"]);
    let shown = "edition 1 compared with itself\n0 new, 0 gone, 0 changed: 1 finding instead of 1 in 2 records\n";
    assert_eq!((printed.code, printed.out.as_str(), printed.errors.as_str()), (Some(0), shown, ""));
}

#[test]
fn what_cannot_be_read_or_compared_gives_2() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&["edition", "a.oar.json", "nowhere"]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(2), "error: nowhere: there is no such file or folder\n"));
    assert!(printed.out.ends_with("0 findings instead of 0 in 1 record\n"), "{}", printed.out);
    let printed = folder.oar(&["edition", "-"]);
    assert_eq!(printed.errors, "error: standard input cannot be read twice: write it to a file and give its name\n");
    let printed = folder.oar(&["edition", ".", "--compare-with", "4"]);
    assert_eq!(printed.errors, "error: --compare-with 4: there is no edition 4 of the rules; the only one is 1\n");
}
