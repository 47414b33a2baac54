//! 0 nothing found, 1 something found, 2 not everything could be read or done: as `oar check --help` says.

use open_aligner_record::rule::Level;
use open_aligner_record::rules;

use oar_testing::{BACKWARDS, BASE, Folder, page, wrong};

#[test]
fn a_right_record_gives_0() {
    let printed = Folder::with(&[("a.oar.json", BASE.as_bytes())]).oar(&["check", "a.oar.json"]);
    assert_eq!(printed.code, Some(0), "{printed:?}");
    assert_eq!(printed.errors, "");
}

#[test]
fn an_error_gives_1() {
    let printed = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]).oar(&["check", "a.oar.json"]);
    assert_eq!(printed.code, Some(1), "{printed:?}");
    assert_eq!(printed.errors, "");
}

/// A record in which only rules of that level are broken, if there is such a rule: the first example of its page.
fn broken_at(level: Level) -> Option<Vec<u8>> {
    let only = |example: &page::Example| {
        let mut heads = example.findings.iter().filter(|line| !line.starts_with(' '));
        page::limits(&example.edit).is_empty() && heads.all(|line| line.starts_with(level.as_str()))
    };
    let of_level = rules::all().filter(|rule| rule.level == level);
    let example = of_level.flat_map(|rule| page::examples(rule.page, "Broken")).find(only)?;
    Some(page::edited(BASE, &example.edit))
}

#[test]
fn a_finding_gives_1_from_the_fail_level_on() {
    for level in Level::ALL {
        let Some(record) = broken_at(level) else { continue };
        let folder = Folder::with(&[("a.oar.json", &record)]);
        for fail in Level::ALL {
            let printed = folder.oar(&["check", "a.oar.json", "--fail-level", fail.as_str()]);
            assert_eq!(
                printed.code,
                Some(i32::from(level >= fail)),
                "{level:?} with --fail-level {fail:?}: {printed:?}"
            );
        }
    }
}

#[test]
fn a_path_that_is_not_there_gives_2_and_the_rest_is_checked() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("b.oar.json", BACKWARDS.as_bytes())]);
    let printed =
        folder.oar(&["check", "a.oar.json", "nowhere.oar.json", "b.oar.json", "-o", "jsonl", "--no-cross-record"]);
    assert_eq!(printed.code, Some(2), "{printed:?}");
    assert_eq!(printed.errors, "error: nowhere.oar.json: there is no such file or folder\n");
    assert_eq!(printed.lines("unreadable")[0]["file"], "nowhere.oar.json");
    assert_eq!((printed.total("records"), printed.total("errors"), printed.total("unreadable")), (2, 1, 1));
}

#[test]
fn nothing_but_a_path_that_is_not_there_gives_2_and_whole_outputs() {
    let folder = Folder::with(&[]);
    let printed = folder.oar(&["check", "nowhere", "-o", "text", "-o", "sarif=findings.sarif"]);
    assert_eq!(printed.code, Some(2), "{printed:?}");
    assert!(!printed.out.contains("nothing to report"), "{}", printed.out);
    let sarif: serde_json::Value = serde_json::from_str(&folder.read("findings.sarif")).unwrap();
    assert_eq!(sarif["runs"][0]["invocations"][0]["executionSuccessful"], false);
}

#[test]
fn a_folder_without_a_record_file_gives_2() {
    let printed = Folder::with(&[("in/notes.txt", b"")]).oar(&["check", "in"]);
    assert_eq!(printed.code, Some(2), "{printed:?}");
    assert!(printed.errors.contains("in: no file in this folder ends in .oar.json"), "{}", printed.errors);
}

#[test]
fn the_working_folder_keeps_a_name() {
    let folder = Folder::with(&[]);
    let full = folder.path().canonicalize().unwrap();
    for path in [".", "./", full.to_str().unwrap()] {
        let printed = folder.oar(&["check", path, "-o", "jsonl", "-o", "sarif=s", "-o", "github=g", "-o", "gitlab=l"]);
        assert_eq!(printed.code, Some(2), "{printed:?}");
        assert!(printed.errors.starts_with("error: ."), "{path}: {}", printed.errors);
        assert!(printed.lines("unreadable")[0]["file"].as_str().unwrap().starts_with('.'), "{path}");
        assert!(folder.read("g").starts_with("::error file=.,"), "{path}");
        assert!(folder.read("s").contains("{\"uri\":\".\"}"), "{path}");
        assert!(folder.read("l").contains("\"path\":\".\""), "{path}");
    }
}

#[test]
fn damaged_compression_gives_2_and_a_right_file_beside_it_is_checked() {
    let damaged = [b"\x1f\x8b\x08\0\0\0\0\0\0\x03".as_slice(), BASE.as_bytes()].concat();
    let folder = Folder::with(&[("a.oar.json.gz", &damaged), ("b.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&["check", ".", "-o", "jsonl"]);
    assert_eq!(printed.code, Some(2), "{printed:?}");
    assert_eq!(printed.total("records"), 1);
    assert_eq!(
        printed.errors,
        "error: a.oar.json.gz: its gzip data is damaged; whole lines before the damage were checked\n"
    );
}

/// Root reads everything, so the test says nothing when it runs as root.
#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_opened_gives_2_and_its_neighbours_are_checked() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::with(&[("in/closed/a.oar.json", b""), ("in/open/b.oar.json", BASE.as_bytes())]);
    let closed = folder.path().join("in/closed");
    let permit = |mode| std::fs::set_permissions(&closed, std::fs::Permissions::from_mode(mode)).unwrap();
    permit(0o000);
    let printed = std::fs::read_dir(&closed).is_err().then(|| folder.oar(&["check", "in", "-o", "jsonl"]));
    permit(0o755);
    if let Some(printed) = printed {
        assert_eq!((printed.code, printed.total("records")), (Some(2), 1), "{printed:?}");
    }
}

#[test]
fn a_pipe_that_is_closed_early_gives_2_and_no_noise() {
    use std::io::{BufRead, BufReader, Read};
    let many = [wrong(), "\n".to_owned()].concat().repeat(3000);
    let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes())]);
    for threads in ["1", "2"] {
        let mut child = folder.command(&["check", ".", "--no-fold", "--threads", threads]).spawn().unwrap();
        let mut first = String::new();
        BufReader::with_capacity(64, child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let mut errors = String::new();
        child.stderr.take().unwrap().read_to_string(&mut errors).unwrap();
        assert_eq!((child.wait().unwrap().code(), errors.as_str()), (Some(2), ""), "{threads} threads");
        assert!(first.contains("worn_backwards"), "{first}");
    }
}

#[test]
fn a_pipe_that_is_closed_early_leaves_the_other_outputs_whole() {
    let many = [wrong(), "\n".to_owned()].concat().repeat(1000);
    let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes())]);
    let arguments =
        ["check", "many.oar.jsonl", "--no-cross-record", "--max-findings", "all", "-o", "text", "-o", "brief=findings"];
    let mut child = folder.command(&arguments).spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(2), "what was on standard output is lost");
    assert_eq!(folder.read("findings").lines().count(), 1000);
}
