//! The number of threads changes nothing but time.

use oar_testing::{BACKWARDS, BASE, DEMO, Folder, right, wrong};

/// Files of all kinds, one of them with many more pieces than there are threads.
fn mixture() -> Folder {
    let lines = [right(), "{\"form", &wrong(), "", "[]"].join("\n");
    // 60 times 27 kilobytes, 30 times 190 kilobytes: more than one and more than five blocks of one mebibyte.
    let many = format!("{lines}\n").repeat(60);
    let pieces = format!("{DEMO}{}\n", wrong()).repeat(30);
    let damaged = [b"\x1f\x8b\x08\0\0\0\0\0\0\x03".as_slice(), BASE.as_bytes()].concat();
    let mut files: Vec<(String, &[u8])> = vec![
        ("in/a.oar.json".to_owned(), BACKWARDS.as_bytes()),
        ("in/b.oar.jsonl".to_owned(), many.as_bytes()),
        ("in/c.oar.json".to_owned(), b""),
        ("in/d.oar.jsonl.gz".to_owned(), &damaged),
        ("in/e.oar.jsonl".to_owned(), pieces.as_bytes()),
        ("in/f.oar.jsonl".to_owned(), &many.as_bytes()[..many.len() - 3000]),
    ];
    files.extend(
        (0..40).map(|n| (format!("in/g/{n:02}.oar.json"), if n % 3 == 0 { BACKWARDS } else { BASE }.as_bytes())),
    );
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), *bytes)).collect();
    Folder::with(&files)
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let folder = mixture();
    for form in ["text", "jsonl"] {
        let printed = |threads| {
            folder.oar(&["check", "in", "nowhere", "--max-findings", "all", "-o", form, "--threads", threads])
        };
        let one = printed("1");
        assert_eq!(one.code, Some(2));
        for threads in ["2", "5", "64"] {
            assert!(printed(threads) == one, "{form} differs with {threads} threads");
        }
    }
}

#[test]
fn the_totals_of_a_mixture_are_those_of_its_parts() {
    let printed = mixture().oar(&["check", "in", "-o", "jsonl", "--threads", "2"]);
    // a: 1; b: 4 records 60 times; c: none; d: damaged; e: 13 records 30 times; f: as b, without the last list and with
    // the record before it cut; g: 40.
    assert_eq!(printed.total("records"), 1 + 240 + 390 + 239 + 40);
    let backwards = 1 + 60 + 30 + 59 + 14;
    let by_rule = &printed.lines("summary")[0]["by_rule"];
    assert_eq!(by_rule["worn_backwards"], backwards);
    assert_eq!((&by_rule["cut_short"], &by_rule["nothing_inside"]), (&1.into(), &1.into()));
}
