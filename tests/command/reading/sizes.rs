//! Records larger than a block and larger than the limit.

use oar_testing::{Folder, Told, right, wrong};

/// Spaces that make a record larger, where JSON takes them.
fn padded(record: &str, bytes: usize) -> String {
    format!("{{{}{}", " ".repeat(bytes), &record[1..])
}

fn check(content: &str, arguments: &[&str]) -> Told {
    let folder = Folder::with(&[("a.oar.jsonl", content.as_bytes())]);
    folder.oar(&[&["check", "--no-cross-record", "a.oar.jsonl", "-o", "jsonl"], arguments].concat())
}

#[test]
fn a_record_larger_than_a_block_is_read() {
    for padding in [1 << 20, (1 << 20) - right().len(), 3 << 20] {
        let lines = [right().to_owned(), padded(&wrong(), padding), padded(right(), padding), wrong()].join("\n");
        for threads in ["1", "2"] {
            let printed = check(&lines, &["--threads", threads]);
            assert_eq!(printed.findings(), ["worn_backwards 2:2", "worn_backwards 4:4"]);
            assert_eq!(printed.total("records"), 4);
        }
        let alone = Folder::with(&[])
            .piped(&["check", "--no-cross-record", "-", "-o", "jsonl"], padded(&wrong(), padding).as_bytes());
        assert_eq!(alone.findings(), ["worn_backwards 1:1"]);
    }
}

#[test]
fn a_record_over_the_limit_is_left_out_and_the_rest_goes_on() {
    let limit = ["--limit", "largest_record_kilobytes=50"];
    // In the middle of a block, over several blocks, first, last.
    for padding in [50_000, 3_000_000] {
        let large = padded(&wrong(), padding);
        let printed = check(&[right(), &large, &wrong()].join("\n"), &limit);
        assert_eq!(printed.findings(), ["record_too_large 2:2", "worn_backwards 3:3"], "{padding}");
        assert_eq!((printed.code, printed.total("records")), (Some(1), 3));
        let printed = check(&[&large, "", &wrong()].join("\n"), &limit);
        assert_eq!(printed.findings(), ["record_too_large 1:1", "worn_backwards 2:3"], "{padding}");
        let printed = check(&[&wrong(), large.as_str()].join("\n"), &limit);
        assert_eq!(printed.findings(), ["worn_backwards 1:1", "record_too_large 2:2"], "{padding}");
    }
}

#[test]
fn short_lines_by_the_thousand_are_counted_right() {
    // Many more than a frame takes, one line in three blank.
    let lines = format!("{}{}\n[]", "[]\n\n[]\n".repeat(2_000), wrong());
    for threads in ["1", "2"] {
        let printed = check(&lines, &["--threads", threads, "--limit", "largest_record_kilobytes=100"]);
        let found = printed.findings();
        assert_eq!(found.len(), 4_002);
        assert_eq!(found[..3], ["another_format 1:1", "another_format 2:3", "another_format 3:4"]);
        assert_eq!(found[4_000..], ["worn_backwards 4001:6001", "another_format 4002:6002"]);
    }
}

#[test]
fn a_document_over_the_limit_is_left_out() {
    let large = padded(right(), 2_000_000);
    let folder = Folder::with(&[("a.oar.json", large.as_bytes()), ("b.oar.json", wrong().as_bytes())]);
    let printed =
        folder.oar(&["check", "--no-cross-record", ".", "-o", "jsonl", "--limit", "largest_record_kilobytes=1000"]);
    assert_eq!(printed.findings(), ["record_too_large 1:1", "worn_backwards 1:1"]);
    assert_eq!(printed.lines("finding")[0]["args"]["most"], 1000);
}

#[test]
fn the_limit_is_kept_to_the_byte() {
    for (over, found) in [(0, 0), (1, 1)] {
        let record = padded(right(), 50 * 1024 - right().len() + over);
        assert_eq!(record.len(), 50 * 1024 + over);
        let lines = [right(), &record, right()].join("\n");
        let printed = check(&lines, &["--limit", "largest_record_kilobytes=50"]);
        assert_eq!(printed.findings().len(), found, "{over}");
    }
}
