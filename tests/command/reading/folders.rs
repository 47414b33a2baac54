//! Folders: which files in them are meant, and in which order.

use oar_testing::{BASE, Folder};

#[test]
fn record_files_below_a_folder_are_found_in_the_order_of_their_names() {
    let empty = b"".as_slice();
    let folder = Folder::with(&[
        ("in/b.oar.json", empty),
        ("in/a/z.oar.jsonl", empty),
        ("in/a/y.oar.json.gz", empty),
        ("in/c.oar.jsonl.zst", empty),
        ("in/a/deep/er/x.oar.json.zst", empty),
        ("in/.hidden/a.oar.json", empty),
        ("in/.a.oar.json", empty),
        ("in/other.json", empty),
        ("in/other.jsonl", empty),
        ("in/other.oar.json.bak", empty),
        ("in/other.oar.json.bz2", empty),
        ("in/oar.json", empty),
    ]);
    let printed = folder.oar(&["check", "--no-cross-record", "in", "-o", "jsonl"]);
    let files: Vec<String> =
        printed.lines("finding").iter().map(|one| one["file"].as_str().unwrap().to_owned()).collect();
    let wanted = [
        "in/a/deep/er/x.oar.json.zst",
        "in/a/y.oar.json.gz",
        "in/a/z.oar.jsonl",
        "in/b.oar.json",
        "in/c.oar.jsonl.zst",
    ];
    assert_eq!(files, wanted);
}

#[test]
fn what_is_named_itself_is_checked_whatever_it_is_called_and_in_the_order_given() {
    let folder = Folder::with(&[("z", b""), (".hidden/a", b""), ("in/b.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&["check", "--no-cross-record", "z", "in", ".hidden/a", "-o", "jsonl"]);
    let files: Vec<String> = printed.lines("finding").iter().map(|one| one["file"].to_string()).collect();
    assert_eq!(files, ["\"z\"", "\".hidden/a\""]);
    assert_eq!(printed.total("files"), 3);
}

#[test]
fn capitals_in_a_name_make_no_difference_and_other_json_files_are_counted() {
    let base = BASE.as_bytes();
    let folder = Folder::with(&[
        ("in/A.OAR.JSON", base),
        ("in/b.Oar.Json", base),
        ("in/c.json", b""),
        ("in/d/e.JSON", b""),
        ("in/f.txt", b""),
    ]);
    let printed = folder.oar(&["check", "--no-cross-record", "in"]);
    assert_eq!(printed.out, "2 records in 2 files: nothing to report\n2 other .json files skipped\n");
    let folder = Folder::with(&[("in/a.oar.json", base)]);
    assert!(!folder.oar(&["check", "--no-cross-record", "in"]).out.contains("skipped"));
}

#[test]
fn a_file_that_is_named_several_times_is_checked_once() {
    let folder = Folder::with(&[("in/a.oar.json", BASE.as_bytes()), ("in/b.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&[
        "check",
        "--no-cross-record",
        "in/b.oar.json",
        "in",
        "./in/../in/a.oar.json",
        "in",
        "-o",
        "jsonl",
    ]);
    assert_eq!((printed.code, printed.total("files"), printed.total("records")), (Some(0), 2, 2), "{printed:?}");
}

#[cfg(unix)]
#[test]
fn links_to_files_are_followed_those_to_folders_are_not_and_dead_ones_are_told() {
    use std::os::unix::fs::symlink;
    let folder = Folder::with(&[("in/a.oar.json", BASE.as_bytes()), ("elsewhere/b", BASE.as_bytes())]);
    let link = |to: &str, name: &str| symlink(to, folder.path().join("in").join(name)).unwrap();
    link("../elsewhere/b", "b.oar.json");
    link("..", "round");
    link("..", "round.oar.json");
    let printed = folder.oar(&["check", "--no-cross-record", "in", "-o", "jsonl"]);
    assert_eq!((printed.code, printed.total("files")), (Some(0), 2), "{printed:?}");
    link("nowhere", "dead.oar.json");
    let printed = folder.oar(&["check", "--no-cross-record", "in", "-o", "jsonl"]);
    assert_eq!((printed.code, printed.total("records")), (Some(2), 2), "{printed:?}");
    assert_eq!(printed.lines("unreadable")[0]["file"], "in/dead.oar.json");
}
