//! `oar repair` and `oar digest`: what is shown, what is written, what is refused.

use std::fs;
use std::io::{Read, Write};

use oar_testing::{BACKWARDS, BASE, DEMO, Folder, right};

/// The base record with an integer written as a decimal and an optional field that is null.
fn fixable() -> String {
    BASE.replace(
        "\"change_interval_days\": 7,",
        "\"change_interval_days\": 7.0,\n    \"check_in_interval_days\": null,",
    )
    .replace("\n    \"check_in_interval_days\": 7,", "")
}

fn fixes() -> String {
    BASE.replace("\n    \"check_in_interval_days\": 7,", "")
}

#[test]
fn what_would_change_is_shown_and_nothing_is_written() {
    let folder = Folder::with(&[("a.oar.json", fixable().as_bytes())]);
    let printed = folder.oar(&["repair", "a.oar.json"]);
    let diff = "--- a.oar.json
+++ a.oar.json
@@ -47,8 +47,7 @@
   \"prescription\": {
     \"wear_goal_minutes\": 1320,
     \"wear_minimum_minutes\": 1200,
-    \"change_interval_days\": 7.0,
-    \"check_in_interval_days\": null,
+    \"change_interval_days\": 7,
     \"follow_up\": {\"remote\": true, \"reminders\": true, \"sensor\": true}
   },
   \"series\": [
";
    assert_eq!(printed.out, diff);
    assert_eq!(
        printed.errors,
        "a.oar.json: to fix: 1 field removed that was null, 1 number written plainly
nothing was written: oar repair --write repairs the files
after the repair: 1 record in 1 file: nothing to report
"
    );
    assert_eq!((printed.code, folder.read("a.oar.json")), (Some(0), fixable()));
}

#[test]
fn files_are_fixed_in_their_places_and_a_second_time_nothing_is_done() {
    let folder = Folder::with(&[("a.oar.json", fixable().as_bytes()), ("b/c.oar.json", BACKWARDS.as_bytes())]);
    let printed = folder.oar(&["repair", "--write", "."]);
    assert_eq!((printed.code, printed.out.as_str()), (Some(1), ""));
    let (finding, rest) = printed.errors.split_once("a.oar.json: fixed: ").map_or(("", ""), |parts| parts);
    assert!(finding.starts_with("b/c.oar.json:") && finding.lines().count() == 1, "{finding}");
    assert!(rest.starts_with("1 field removed that was null, 1 number written plainly\n"), "{rest}");
    assert!(rest.ends_with("after the repair: 1 error in 1 of 2 records, 2 files\n"), "{rest}");
    assert_eq!((folder.read("a.oar.json"), folder.read("b/c.oar.json").as_str()), (fixes(), BACKWARDS));
    let again = folder.oar(&["repair", "--write", "."]);
    assert!(again.errors.ends_with("\nnothing to fix: 1 error in 1 of 2 records, 2 files\n"), "{}", again.errors);
    let names: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names.len(), 2, "no temporary file is left: {names:?}");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let printed = Folder::with(&[]).piped(&["repair", "--output", "-", "-"], fixable().as_bytes());
    assert_eq!((printed.code, printed.out), (Some(0), fixes()));
    let printed = Folder::with(&[]).piped(&["repair", "-", "--write"], b"{}");
    assert_eq!(printed.errors, "error: standard input has no file to replace: use -o PATH instead of --write\n");
    assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""));
}

#[test]
fn a_byte_order_mark_is_taken_off() {
    let folder = Folder::with(&[("a.oar.json", ["\u{feff}", BASE].concat().as_bytes())]);
    let printed = folder.oar(&["repair", "--write", "a.oar.json"]);
    assert!(printed.errors.starts_with("a.oar.json: fixed: byte order mark removed\n"), "{}", printed.errors);
    assert_eq!((printed.code, folder.read("a.oar.json").as_str()), (Some(0), BASE));
}

#[test]
fn lines_are_fixed_one_by_one_and_a_broken_one_stays() {
    let wrong = right().replace("\"birth_year\":1998", "\"birth_year\":1998.0");
    assert_ne!(wrong, right());
    let lines = format!("{}\r\n\n{{\"broken\n{wrong}\n{}", right(), right());
    let folder = Folder::with(&[("a.oar.jsonl", lines.as_bytes())]);
    let printed = folder.oar(&["repair", "a.oar.jsonl"]);
    assert_eq!(printed.code, Some(1));
    let hunk =
        printed.out.lines().filter(|line| line.starts_with(['@', '-', '+'])).map(|line| &line[..line.len().min(30)]);
    let hunk: Vec<&str> = hunk.collect();
    assert_eq!(hunk[..3], ["--- a.oar.jsonl", "+++ a.oar.jsonl", "@@ -1,5 +1,5 @@"]);
    assert_eq!(hunk.len(), 5);
    assert!(printed.out.ends_with("\n\\ No newline at end of file\n"));
    assert!(printed.errors.contains("a.oar.jsonl:3:"), "the message names the broken line: {}", printed.errors);
    let printed = folder.oar(&["repair", "--write", "a.oar.jsonl"]);
    assert_eq!(printed.code, Some(1));
    assert_eq!(folder.read("a.oar.jsonl"), format!("{}\r\n\n{{\"broken\n{}\n{}", right(), right(), right()));
}

#[test]
fn a_diff_of_many_records_can_be_followed() {
    let before: String = (0..600)
        .map(|n| {
            let line = DEMO.lines().nth(n % 12).unwrap();
            if n % 50 == 7 {
                format!(
                    "{} \n",
                    line.replace(
                        "\"change_interval_days\":",
                        "\"change_interval_days\": 0.0e0,\"change_interval_days\":"
                    )
                )
            } else {
                format!("{line}\n")
            }
        })
        .collect();
    // Two values of one name are no matter of form; the space is.
    let folder = Folder::with(&[("a.oar.jsonl", before.as_bytes())]);
    let printed = folder.oar(&["repair", "--layout", "a.oar.jsonl"]);
    let after = followed(&before, &printed.out);
    let written = folder.oar(&["repair", "--layout", "--output", "-", "a.oar.jsonl"]);
    assert!(after == written.out && after != before);
}

/// A text after the changes of a unified diff, each of whose lines is held against it.
fn followed(text: &str, diff: &str) -> String {
    let old: Vec<&str> = text.split_inclusive('\n').collect();
    let (mut at, mut new) = (0, String::new());
    for line in diff.split_inclusive('\n').skip(2) {
        let rest = &line[1..];
        match line.as_bytes()[0] {
            b'@' => {
                let start: usize = line[4..].split([',', ' ']).next().unwrap().parse().unwrap();
                new.extend(old[at..start - 1].iter().copied());
                at = start - 1;
            }
            b'-' => {
                assert_eq!(old[at], rest);
                at += 1;
            }
            b'+' => new.push_str(rest),
            _ => {
                assert_eq!(old[at], rest);
                new.push_str(rest);
                at += 1;
            }
        }
    }
    new.extend(old[at..].iter().copied());
    new
}

#[test]
fn layout_puts_fields_in_order_and_white_space_by_one_rule() {
    let record = format!(
        "{}\r\n",
        right().replacen(
            "{\"format\":\"open-aligner-record\",\"version\":\"1.0\",",
            "{\"version\":\"1.0\", \"format\":\"open-aligner-record\",",
            1
        )
    );
    let printed = Folder::with(&[]).piped(
        &["repair", "--layout", "--output", "-", "-"],
        [record.as_bytes(), record.as_bytes()].concat().as_slice(),
    );
    assert_eq!((printed.code, printed.out), (Some(0), format!("{0}\n{0}\n", right())));
    assert!(printed.errors.starts_with("-: fixed: 2 records formatted\n"), "{}", printed.errors);
}

#[test]
fn what_may_be_a_mistyped_date_is_told_and_left() {
    let folder = Folder::with(&[("a.oar.json", include_bytes!("../../datasets/broken/visit_out_of_order.oar.json"))]);
    let printed = folder.oar(&["repair", "a.oar.json"]);
    assert_eq!((printed.code, printed.out.as_str()), (Some(1), ""));
    let first = printed.errors.lines().next().unwrap();
    assert_eq!(
        first,
        "a.oar.json: not changed: record 1 /appointments: one entry is out of place, and its date may be mistyped"
    );
}

#[test]
fn compressed_files_stay_compressed_in_the_same_way() {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    gzip.write_all(fixable().as_bytes()).unwrap();
    let zstd = zstd::encode_all(fixable().as_bytes(), 0).unwrap();
    let folder = Folder::with(&[("a.oar.json.gz", &gzip.finish().unwrap()), ("b.oar.json.zst", &zstd)]);
    assert_eq!(folder.oar(&["repair", "--write", "."]).code, Some(0));
    let read = |name: &str| fs::read(folder.path().join(name)).unwrap();
    let mut text = String::new();
    flate2::read::MultiGzDecoder::new(read("a.oar.json.gz").as_slice()).read_to_string(&mut text).unwrap();
    assert_eq!(text, fixes());
    assert_eq!(zstd::decode_all(read("b.oar.json.zst").as_slice()).unwrap(), fixes().as_bytes());
}

#[test]
fn a_compressed_file_that_was_cut_stays_as_it_is() {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    gzip.write_all(fixable().as_bytes()).unwrap();
    let whole = gzip.finish().unwrap();
    let folder = Folder::with(&[("a.oar.json.gz", &whole[..whole.len() - 20])]);
    let printed = folder.oar(&["repair", "--write", "a.oar.json.gz"]);
    assert_eq!(printed.code, Some(2));
    assert!(
        printed.errors.starts_with("error: a.oar.json.gz: its compressed data is cut short, so it is not repaired\n"),
        "{}",
        printed.errors
    );
    assert_eq!(fs::read(folder.path().join("a.oar.json.gz")).unwrap(), &whole[..whole.len() - 20]);
}

#[test]
fn utf_16_stays_as_it_is() {
    let wide: Vec<u8> = fixable().encode_utf16().flat_map(u16::to_le_bytes).collect();
    let printed = Folder::with(&[("a.oar.json", &wide)]).oar(&["repair", "--write", "a.oar.json"]);
    assert_eq!(printed.code, Some(2));
    let said = "error: a.oar.json: it is not UTF-8, so it is not repaired; convert it to UTF-8 first\n";
    assert!(printed.errors.starts_with(said), "{}", printed.errors);
}

#[cfg(unix)]
#[test]
fn links_and_files_that_may_not_be_written_are_refused_and_permissions_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let text = fixable();
    let folder = Folder::with(&[
        ("a.oar.json", text.as_bytes()),
        ("b.oar.json", text.as_bytes()),
        ("c.oar.json", text.as_bytes()),
    ]);
    let path = |name: &str| folder.path().join(name);
    symlink("a.oar.json", path("link.oar.json")).unwrap();
    fs::hard_link(path("b.oar.json"), path("second.oar.json")).unwrap();
    fs::set_permissions(path("c.oar.json"), fs::Permissions::from_mode(0o444)).unwrap();
    for (name, why) in [
        ("link.oar.json", "it is a link: give the file itself"),
        ("b.oar.json", "it has several names (hard links), and the others would keep the old content"),
        ("c.oar.json", "it is read-only"),
    ] {
        let printed = folder.oar(&["repair", "--write", name]);
        assert_eq!(printed.code, Some(2));
        let said = format!("error: {name}: it cannot be written: {why}\n");
        assert!(printed.errors.starts_with(&said), "{}", printed.errors);
        assert_eq!(folder.read(name), text);
    }
    fs::set_permissions(path("a.oar.json"), fs::Permissions::from_mode(0o640)).unwrap();
    assert_eq!(folder.oar(&["repair", "--write", "a.oar.json"]).code, Some(0));
    assert_eq!(fs::metadata(path("a.oar.json")).unwrap().permissions().mode() & 0o777, 0o640);
    assert_eq!(folder.read("a.oar.json"), fixes());
}

#[test]
fn a_file_goes_to_another_one_and_several_do_not() {
    let folder = Folder::with(&[("a.oar.json", fixable().as_bytes()), ("b.oar.json", BASE.as_bytes())]);
    assert_eq!(folder.oar(&["repair", "a.oar.json", "--output", "new.oar.json"]).code, Some(0));
    assert_eq!((folder.read("new.oar.json"), folder.read("a.oar.json")), (fixes(), fixable()));
    let printed = folder.oar(&["repair", "a.oar.json", "--output", "b.oar.json"]);
    let there = "error: b.oar.json already exists\n  help: give another name, or --overwrite\n";
    assert_eq!((printed.code, printed.errors.as_str(), folder.read("b.oar.json")), (Some(2), there, BASE.to_owned()));
    assert_eq!(folder.oar(&["repair", "a.oar.json", "--output", "b.oar.json", "--overwrite"]).code, Some(0));
    assert_eq!(folder.read("b.oar.json"), fixes());
    let printed = folder.oar(&["repair", ".", "--output", "new.oar.json"]);
    assert_eq!(
        (printed.code, printed.errors.as_str()),
        (Some(2), "error: --output takes a single file, but there are 3: use --write\n")
    );
    let printed = folder.oar(&["repair", "a.oar.json", "--output", "nowhere/new.oar.json"]);
    assert_eq!(printed.code, Some(2));
    assert!(
        printed.errors.starts_with("error: a.oar.json: it cannot be written: its folder does not exist\n"),
        "{}",
        printed.errors
    );
    let printed = folder.oar(&["repair", "missing.oar.json"]);
    assert!(
        printed.errors.starts_with("error: missing.oar.json: there is no such file or folder\n"),
        "{}",
        printed.errors
    );
    assert_eq!(printed.code, Some(2));
    let printed = folder.oar(&["repair"]);
    assert!(printed.code == Some(2) && printed.errors.starts_with("error: no input given: "), "{}", printed.errors);
}

#[test]
fn a_record_too_large_to_be_held_keeps_its_file_as_it_is() {
    // A line of more than 64 MiB, the largest that is held.
    let mut lines = right().as_bytes().to_vec();
    lines.push(b'\n');
    lines.extend(std::iter::repeat_n(b' ', 66 << 20));
    lines.extend_from_slice(b"{}\n");
    let folder = Folder::with(&[("a.oar.jsonl", &lines)]);
    let printed = folder.oar(&["repair", "--write", "a.oar.jsonl"]);
    assert_eq!(printed.code, Some(2));
    let said = "error: a.oar.jsonl: the record on line 2 is too large, so the file is not repaired\n";
    assert!(printed.errors.starts_with(said), "{}", printed.errors);
}

#[test]
fn digests_do_not_depend_on_the_layout() {
    let pretty = serde_json::to_string_pretty(&serde_json::from_str::<serde_json::Value>(right()).unwrap()).unwrap();
    let lines = format!("{0}\n{0}\n", right());
    let folder = Folder::with(&[
        ("a.oar.json", pretty.as_bytes()),
        ("b.oar.jsonl", lines.as_bytes()),
        ("c.oar.json", b"{\"a\": 1, \"a\": 2}"),
    ]);
    let printed = folder.oar(&["digest", "a.oar.json", "b.oar.jsonl"]);
    let digests: Vec<(&str, &str)> = printed.out.lines().map(|line| line.split_once("  ").unwrap()).collect();
    assert_eq!(
        digests.iter().map(|(_, name)| *name).collect::<Vec<_>>(),
        ["a.oar.json", "b.oar.jsonl:1", "b.oar.jsonl:2"]
    );
    assert!(digests.iter().all(|(digest, _)| *digest == digests[0].0 && digest.len() == 64));
    let bytes = folder.oar(&["digest", "--bytes", "a.oar.json"]).out;
    assert!(bytes.starts_with("{\"appointments\":[{") && !bytes.contains('\n'));
    let printed = folder.oar(&["digest", "c.oar.json", "nothing.oar.json"]);
    let said =
        "error: nothing.oar.json: there is no such file or folder\nerror: c.oar.json: an object uses one name twice\n";
    assert_eq!((printed.code, printed.out.as_str(), printed.errors.as_str()), (Some(2), "", said));
}

#[test]
fn what_was_fixed_stands_after_what_is_left_and_that_can_be_left_out() {
    let folder = Folder::with(&[("a.oar.json", fixable().as_bytes())]);
    let printed = folder.oar(&["repair", "a.oar.json", "--limit", "tray_linear_mm=0.05"]);
    let (at, fixes) = (printed.errors.find(": warning "), printed.errors.find("a.oar.json: to fix: "));
    assert!(at.is_some() && at < fixes, "{}", printed.errors);
    let printed = folder.oar(&["repair", "a.oar.json", "--limit", "tray_linear_mm=0.05", "--max-changes", "0"]);
    assert!(printed.errors.starts_with("a.oar.json: to fix: "), "{}", printed.errors);
    assert_eq!(printed.errors.matches("after the repair").count(), 1);
    assert_eq!(printed.errors.matches(" in 1 record,").count(), 1, "{}", printed.errors);
}

#[test]
fn what_is_no_json_has_no_digest_and_is_told_as_in_a_check() {
    let folder = Folder::with(&[
        ("a.oar.json", b"{\n  \"a\": NaN}"),
        ("b.oar.jsonl", b"{\"a\": 1}\n{\"a\": NaN}\n"),
        ("empty.oar.json", b""),
        ("blank.oar.jsonl", b"\n\n"),
    ]);
    let printed = folder.oar(&["digest", "a.oar.json", "b.oar.jsonl", "empty.oar.json", "blank.oar.jsonl"]);
    let said: Vec<&str> = printed.errors.lines().collect();
    assert_eq!((printed.code, printed.out.lines().count(), said.len()), (Some(2), 1, 4), "{printed:?}");
    assert!(said[0].starts_with("error: a.oar.json:2:8: ") && said[0].contains("NaN"), "{}", said[0]);
    assert!(said[1].starts_with("error: b.oar.jsonl:2:7: ") && said[1].contains("NaN"), "{}", said[1]);
    assert_eq!(said[2], "error: empty.oar.json: it has no record");
    assert_eq!(said[3], "error: blank.oar.jsonl: it has no record");
}
