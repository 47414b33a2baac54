//! What is written where: findings on standard output, failures on standard error, nothing else.

use oar_testing::{BASE, DEMO, Folder};

#[test]
fn no_progress_is_shown_in_a_pipe() {
    // Runs longer than the two seconds after which a terminal sees progress: the input is held back that long.
    use std::io::Write;
    let folder = Folder::with(&[]);
    let mut child =
        folder.command(&["check", "--no-cross-record", "-"]).stdin(std::process::Stdio::piped()).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for wait in [2100, 300] {
        // More than a block, so that a piece is told before the end.
        stdin.write_all(DEMO.repeat(12).as_bytes()).unwrap();
        stdin.flush().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait));
    }
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    assert_eq!(String::from_utf8(output.stdout).unwrap(), "288 records in 1 file: nothing to report\n");
}

#[test]
fn standard_input_is_called_by_its_sign() {
    let printed = Folder::with(&[]).piped(&["check", "-", "-o", "brief"], b"[]");
    assert_eq!(printed.code, Some(1));
    assert!(printed.out.starts_with("-:1:1: error another_format: "), "{}", printed.out);
    for (format, name) in
        [("text", "  standard input:1:1\n"), ("junit", "\"standard input\""), ("jsonl", "\"file\":\"-\"")]
    {
        let printed = Folder::with(&[]).piped(&["check", "-", "-o", format], b"[]");
        assert!(printed.out.contains(name), "{format}: {}", printed.out);
    }
}

#[test]
fn standard_input_and_files_can_be_checked_together() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let printed = folder.piped(&["check", "a.oar.json", "-"], DEMO.as_bytes());
    assert_eq!(printed.out, "13 records in 2 files: nothing to report\n");
}

#[cfg(unix)]
#[test]
fn a_name_that_is_no_unicode_is_read_and_shown() {
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::with(&[]);
    let name = std::ffi::OsStr::from_bytes(b"r\xe9sum\xe9.oar.json");
    std::fs::write(folder.path().join(name), "").unwrap();
    let printed = folder.oar(&["check", ".", "-o", "brief"]);
    assert!(printed.out.starts_with("r\\xe9sum\\xe9.oar.json:1:1: error nothing_inside"), "{}", printed.out);
}
