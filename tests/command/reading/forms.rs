//! How records lie in a file: the content decides, not the name.

use oar_testing::{BASE, DEMO, Folder, Told, right, wrong};

/// Checks a file of that name and content.
fn check(name: &str, content: impl AsRef<[u8]>) -> Told {
    Folder::with(&[(name, content.as_ref())]).oar(&["check", name, "-o", "jsonl"])
}

/// How many records are in it, when nothing is found.
fn right_records(name: &str, content: impl AsRef<[u8]>) -> u64 {
    check(name, content).records_without_findings()
}

#[test]
fn a_document_is_one_record_over_many_lines_or_one() {
    assert_eq!(right_records("a.oar.json", BASE), 1);
    assert_eq!(right_records("a.oar.json", BASE.replace('\n', "\r\n")), 1);
    assert_eq!(right_records("a.oar.json", format!("\n\n \n{BASE}\n\n")), 1);
    assert_eq!(right_records("a.oar.json", right()), 1);
    assert_eq!(right_records("a.oar.json", format!("{}\n", right())), 1);
}

#[test]
fn lines_are_told_with_and_without_a_last_line_end_and_with_blank_ones() {
    assert_eq!(right_records("a.oar.jsonl", DEMO), 12);
    assert_eq!(right_records("a.oar.jsonl", DEMO.trim_end()), 12);
    assert_eq!(right_records("a.oar.jsonl", DEMO.replace('\n', "\r\n")), 12);
    assert_eq!(right_records("a.oar.jsonl", DEMO.replace('\n', "\n\n \t\n")), 12);
    assert_eq!(right_records("a.oar.jsonl", format!("\n\r\n  \n{DEMO}")), 12);
    assert_eq!(right_records("a.oar.jsonl", right()), 1);
}

#[test]
fn the_name_does_not_decide() {
    for name in ["a.oar.json", "a.oar.jsonl", "a.ndjson", "a.gz", "records"] {
        assert_eq!(right_records(name, DEMO), 12, "{name}");
        assert_eq!(right_records(name, BASE), 1, "{name}");
    }
    let printed = Folder::with(&[]).piped(&["check", "-", "-o", "jsonl"], DEMO.as_bytes());
    assert_eq!((printed.code, printed.total("records")), (Some(0), 12));
}

#[test]
fn a_document_whose_lists_begin_a_line_each_entry_is_one_record() {
    let (before, after) = right().split_once("\"series\":[{").unwrap();
    let entries = format!("{before}\"series\":[\n{{{}", after.replace("},{", "},\n{"));
    assert_eq!(right_records("a.oar.json", &entries), 1);
    assert_eq!(right_records("a.oar.json", entries.replacen("{\"", "{\n\"", 1)), 1);
}

#[test]
fn a_byte_order_mark_is_noted_once_and_the_records_are_read() {
    let printed = check("a.oar.json", format!("\u{feff}{BASE}"));
    assert_eq!((printed.findings(), printed.total("records")), (vec!["byte_order_mark 0:1".to_owned()], 1));
    let printed = check("a.oar.jsonl", format!("\u{feff}{}\n{}", right(), wrong()));
    assert_eq!(printed.findings(), ["byte_order_mark 0:1", "worn_backwards 2:2"]);
    assert_eq!((printed.total("records"), printed.total("records_with_findings")), (2, 1));
}

#[test]
fn wide_encodings_are_one_finding_that_names_them() {
    let wide = |text: &str, mark: bool, bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        let mark = mark.then_some(0xfeff);
        mark.into_iter().chain(text.encode_utf16()).flat_map(bytes).collect()
    };
    for (name, text) in [("a.oar.json", BASE), ("a.oar.jsonl", DEMO)] {
        for mark in [true, false] {
            for bytes in [u16::to_le_bytes, u16::to_be_bytes] {
                let printed = check(name, wide(text, mark, bytes));
                assert_eq!(printed.findings(), ["not_utf8 1:1"], "{name}, mark {mark}");
                assert_eq!(printed.lines("finding")[0]["args"]["encoding"], "UTF-16");
            }
        }
    }
    let wider: Vec<u8> = BASE.chars().flat_map(|letter| u32::from(letter).to_le_bytes()).collect();
    assert_eq!(check("a.oar.json", wider).lines("finding")[0]["args"]["encoding"], "UTF-32");
}

#[test]
fn a_file_with_nothing_inside_says_so() {
    for content in ["", " ", "\n\n\r\n\t ", "\u{feff}"] {
        for name in ["a.oar.json", "a.oar.jsonl"] {
            let printed = check(name, content);
            assert_eq!(printed.findings().last().unwrap(), "nothing_inside 0:1", "{content:?}");
            assert_eq!((printed.code, printed.total("records")), (Some(1), 0));
        }
    }
}

#[test]
fn a_list_of_records_is_no_record_and_is_told_once() {
    let compact = format!("[{}]", DEMO.trim_end().replace('\n', ","));
    let lines = format!("[\n{}\n]\n", DEMO.trim_end().replace('\n', ",\n"));
    for (name, list) in
        [("a.oar.json", &compact), ("a.oar.json", &lines), ("a.oar.jsonl", &compact), ("a.oar.jsonl", &lines)]
    {
        let printed = check(name, list);
        assert_eq!(printed.findings(), ["another_format 1:1"], "{name}");
        assert_eq!(printed.lines("finding")[0]["args"]["looks_like"], "a list");
    }
}

#[test]
fn records_on_one_line_are_told_where_the_second_begins() {
    for between in [" ", "\r"] {
        let printed = check("a.oar.json", [right(), right()].join(between));
        assert_eq!(printed.findings(), ["not_json 1:1"]);
        let column = right().chars().count() + between.len() + 1;
        assert_eq!(printed.lines("finding")[0]["column"], column);
        assert!(printed.out.contains("put each further record on its own line"), "{}", printed.out);
    }
}
