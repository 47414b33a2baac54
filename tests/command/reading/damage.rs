//! Files that are broken somewhere: what is whole is checked, and places stay right.

use oar_testing::{BASE, Folder, Told, right, wrong};

fn check(name: &str, content: impl AsRef<[u8]>) -> Told {
    Folder::with(&[(name, content.as_ref())]).oar(&["check", "--no-cross-record", name, "-o", "jsonl"])
}

#[test]
fn records_after_a_broken_line_are_checked_and_counted_on() {
    let printed = check("a.oar.jsonl", format!("\n{}\n{{\"form\n\n{}\n{}", right(), wrong(), right()));
    assert_eq!(printed.findings(), ["not_json 2:3", "worn_backwards 3:5"]);
    assert_eq!((printed.total("records"), printed.total("records_with_findings")), (4, 2));
}

#[test]
fn a_first_line_that_is_broken_hides_nothing_whatever_the_file_is_called() {
    for first in ["{\"format\": ", "garbage", "{\"format\": nothing}", "// records of Quillmere"] {
        let text = format!("{first}\n{}\n{}\n", wrong(), right());
        let folder = Folder::with(&[("a.oar.jsonl", text.as_bytes()), ("records", text.as_bytes())]);
        let named =
            ["a.oar.jsonl", "records"].map(|name| folder.oar(&["check", "--no-cross-record", name, "-o", "jsonl"]));
        let piped = folder.piped(&["check", "--no-cross-record", "-", "-o", "jsonl"], text.as_bytes());
        for printed in named.into_iter().chain([piped]) {
            assert_eq!(printed.findings(), ["not_json 1:1", "worn_backwards 2:2"], "{first}");
            assert_eq!(printed.total("records"), 3);
        }
    }
}

#[test]
fn a_line_that_was_cut_in_the_middle_of_the_file_is_no_end_of_the_file() {
    let printed = check("a.oar.jsonl", format!("{}\n{}\n{}\n", right(), &right()[..500], right()));
    assert_eq!(printed.findings(), ["not_json 2:2"]);
}

#[test]
fn a_file_that_was_cut_says_how_many_records_come_before() {
    let printed = check("a.oar.jsonl", format!("{}\n{}\n{}", right(), right(), &right()[..500]));
    assert_eq!(printed.findings(), ["cut_short 3:3"]);
    assert_eq!(printed.lines("finding")[0]["args"]["whole"], 2);
    assert_eq!(printed.lines("finding")[0]["message"], "the record ends in the middle; complete records before it: 2");
    let alone = check("a.oar.json", &BASE[..5000]);
    assert_eq!(alone.lines("finding")[0]["message"], "the record ends in the middle");
}

#[test]
fn a_file_that_was_cut_within_a_letter_was_cut() {
    let accented = BASE.replacen("strips only", "str\u{00ef}ps only", 1);
    let at = accented.find('\u{00ef}').unwrap();
    let printed = check("a.oar.json", &accented.as_bytes()[..=at]);
    assert_eq!(printed.findings().len(), 1);
    assert_eq!(printed.lines("finding")[0]["rule"], "cut_short");
    let elsewhere = [&accented.as_bytes()[..=at], &accented.as_bytes()[at + 2..]].concat();
    assert_eq!(check("a.oar.json", elsewhere).lines("finding")[0]["rule"], "not_utf8");
}

#[test]
fn a_long_line_of_garbage_is_one_finding_of_a_few_lines() {
    for garbage in ["x".repeat(1_500_000), "{\"".repeat(750_000), "[".repeat(1_500_000), "\0".repeat(1_500_000)] {
        let text = format!("{garbage}\n{}\n", wrong());
        let folder = Folder::with(&[("a.oar.jsonl", text.as_bytes())]);
        let printed = folder.oar(&["check", "--no-cross-record", "a.oar.jsonl", "-o", "jsonl", "-o", "text=text"]);
        assert_eq!(printed.findings().len(), 2, "{:?}", printed.findings());
        assert_eq!(printed.findings()[1], "worn_backwards 2:2");
        let shown = folder.read("text");
        assert!(shown.lines().all(|line| line.chars().count() < 200), "{shown}");
    }
}
