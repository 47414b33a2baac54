//! gzip (RFC 1952) and zstd (RFC 8878), told by the content.

use std::io::Write;

use oar_testing::{BASE, DEMO, Folder, Told, right, wrong};

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zstd(bytes: &[u8]) -> Vec<u8> {
    zstd::encode_all(bytes, 3).unwrap()
}

fn check(name: &str, content: &[u8]) -> Told {
    Folder::with(&[(name, content)]).oar(&["check", "--no-cross-record", name, "-o", "jsonl"])
}

fn right_records(name: &str, content: &[u8]) -> u64 {
    check(name, content).records_without_findings()
}

#[test]
fn compressed_files_are_told_by_content_and_not_by_name() {
    for name in ["a.oar.json", "a.oar.jsonl", "a.oar.json.gz", "a.oar.json.zst", "records"] {
        for pack in [gzip, zstd] {
            assert_eq!(right_records(name, &pack(BASE.as_bytes())), 1, "{name}");
            assert_eq!(right_records(name, &pack(DEMO.as_bytes())), 12, "{name}");
        }
        assert_eq!(right_records(name, DEMO.as_bytes()), 12, "{name}");
    }
}

#[test]
fn compressed_standard_input_is_read() {
    for pack in [gzip, zstd] {
        let printed =
            Folder::with(&[]).piped(&["check", "--no-cross-record", "-", "-o", "jsonl"], &pack(DEMO.as_bytes()));
        assert_eq!((printed.code, printed.total("records")), (Some(0), 12));
    }
}

#[test]
fn several_members_or_frames_are_one_file() {
    let (first, second) = DEMO.as_bytes().split_at(100_000);
    for pack in [gzip, zstd] {
        let joined = [pack(first), pack(b""), pack(second), pack(DEMO.as_bytes())].concat();
        assert_eq!(right_records("a.oar.jsonl", &joined), 24);
    }
}

/// RFC 8878, section 3.1.2: the magic number 0x184D2A50 to 0x184D2A5F, then the size of what is skipped, both with the
/// low byte first.
#[test]
fn skippable_frames_are_skipped_first_and_later() {
    for low in [0x50, 0x5f] {
        let skipped = [&[low, 0x2a, 0x4d, 0x18, 5, 0, 0, 0], b"notes".as_slice()].concat();
        let file = [skipped.clone(), zstd(DEMO.as_bytes()), skipped, zstd(DEMO.as_bytes())].concat();
        assert_eq!(right_records("a.oar.jsonl.zst", &file), 24);
    }
}

/// RFC 1952: ten bytes of header; RFC 1951, section 3.2.4: a stored block with its length and the complement of it.
#[test]
fn a_member_written_by_hand_is_read() {
    let text = b"[]";
    // From Python's zlib.crc32(b"[]").
    let checksum: u32 = 0x0d4c_bb29;
    let file = [
        b"\x1f\x8b\x08\0\0\0\0\0\0\xff\x01\x02\0\xfd\xff".as_slice(),
        text,
        &checksum.to_le_bytes(),
        &2_u32.to_le_bytes(),
    ]
    .concat();
    assert_eq!(check("a", &file).findings(), ["another_format 1:1"]);
}

#[test]
fn a_compressed_file_that_was_cut_says_how_many_records_come_before() {
    let text = format!("{}\n{}\n{}\n", right(), wrong(), right());
    let whole = gzip(text.as_bytes());
    // Within the eight bytes at the end, all records are there.
    for missing in [1, 4, 8] {
        let printed = check("a.oar.jsonl.gz", &whole[..whole.len() - missing]);
        assert_eq!(printed.findings(), ["worn_backwards 2:2", "cut_short 0:4"]);
        assert_eq!(printed.lines("finding")[1]["args"]["whole"], 3);
        let message = "the compressed file ends in the middle; complete records before that: 3";
        assert_eq!((printed.code, &printed.lines("finding")[1]["message"]), (Some(1), &message.into()));
    }
    let printed = check("a.oar.jsonl.gz", &whole[..whole.len() - 60]);
    assert_eq!(printed.findings(), ["worn_backwards 2:2", "cut_short 3:3"]);
    assert_eq!(printed.lines("finding")[1]["args"]["whole"], 2);
    let start = check("a.oar.jsonl.gz", &whole[..6]);
    assert_eq!(start.lines("finding")[0]["message"], "the compressed file ends in the middle");
    let document = gzip(BASE.as_bytes());
    let last = BASE.lines().count() + 1;
    assert_eq!(check("a", &document[..document.len() - 4]).findings(), [format!("cut_short 0:{last}")]);
}

#[test]
fn whole_lines_before_damage_are_checked_and_the_exit_code_is_2() {
    let text = format!("{}\n{}\n{}\n", right(), wrong(), right());
    let mut checksum = gzip(text.as_bytes());
    let at = checksum.len() - 8;
    checksum[at] ^= 1;
    let after = [gzip(text.as_bytes()), b"no gzip at all".to_vec()].concat();
    let zstd_after = [zstd(text.as_bytes()), b"no zstd at all".to_vec()].concat();
    for (file, form) in [(checksum, "gzip"), (after, "gzip"), (zstd_after, "zstd")] {
        let printed = check("a.oar.jsonl", &file);
        assert_eq!((printed.code, printed.findings()), (Some(2), vec!["worn_backwards 2:2".to_owned()]), "{printed:?}");
        assert_eq!(printed.total("records"), 3);
        let error =
            format!("error: a.oar.jsonl: its {form} data is damaged; whole lines before the damage were checked\n");
        assert_eq!(printed.errors, error);
    }
}

#[test]
fn damage_far_behind_the_first_block_leaves_what_is_before_it() {
    let lines = format!("{}\n{}\n", right(), wrong());
    let many = lines.repeat(80);
    let damaged = [gzip(many.as_bytes()), b"damage here".to_vec()].concat();
    for threads in ["1", "2"] {
        let folder = Folder::with(&[("a.oar.jsonl.gz", &damaged)]);
        let printed = folder.oar(&["check", "--no-cross-record", ".", "-o", "jsonl", "--threads", threads]);
        assert_eq!(
            (printed.code, printed.total("records"), printed.total("errors")),
            (Some(2), 160, 80),
            "{threads} threads"
        );
    }
}
