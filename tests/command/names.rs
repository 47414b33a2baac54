//! Names of files may hold anything: nothing in them acts on a terminal or in a build log, on either stream of any command.
#![cfg(target_os = "linux")]

use std::ffi::{OsStr, OsString};
use std::fs;
use std::os::unix::ffi::{OsStrExt, OsStringExt};
use std::process::{Command, Output};

use oar_testing::{BACKWARDS, BASE, DEMO, Folder};

/// Beginnings of names. In the first are a line feed before a workflow command of GitHub Actions, an escape sequence, the same in one
/// character (ECMA-48), a carriage return and a change of direction (Unicode Bidirectional Algorithm); the second and third are commands
/// of GitHub Actions and of Azure Pipelines as they are; the last has bytes that are no UTF-8.
const NAMES: [&[u8]; 4] = [
    b"a\n::error ::x\x1b[31m\xc2\x9b31m\r\xe2\x80\xae\xd8\x9c\xef\xbb\xbfx",
    b"::error ::x",
    b"##[error]##vso[task.complete]x",
    b"a\xff\xfex",
];

fn named(start: &[u8], end: &str) -> OsString {
    OsString::from_vec([start, end.as_bytes()].concat())
}

fn run(folder: &Folder, arguments: &[&OsStr]) -> Output {
    folder.command(&[]).args(arguments).output().unwrap()
}

/// What would act in a text that a program may only show.
fn acts(text: &str, is_json: bool) -> Option<String> {
    let hidden = |letter: char| matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    let acts = |letter: &char| match letter {
        '\n' => false,
        // JSON (RFC 8259) escapes these; the others are for its reader.
        _ if is_json => *letter < ' ',
        _ => letter.is_control() || hidden(*letter),
    };
    // A table has the line ends of RFC 4180, and a tab ends the name in a diff.
    let text = text.replace("\r\n", "\n").replace("\t\n", "\n");
    let command = |line: &&str| {
        line.trim_start().starts_with("::error ::") || (!is_json && (line.contains("##[") || line.contains("##vso[")))
    };
    text.chars()
        .find(acts)
        .map(|letter| letter.escape_unicode().to_string())
        .or_else(|| text.lines().find(command).map(str::to_owned))
}

fn assert_shown(output: &Output, arguments: &[&OsStr]) {
    let is_json = arguments.iter().any(|one| {
        ["json", "sarif", "gitlab"].iter().any(|format| one.to_string_lossy().contains(format))
            && !one.to_string_lossy().contains('.')
    });
    for (stream, bytes) in [("output", &output.stdout), ("error", &output.stderr)] {
        let text =
            std::str::from_utf8(bytes).unwrap_or_else(|_| panic!("{arguments:?}: standard {stream} is no UTF-8"));
        // The format of sha256sum has no place for more escapes.
        let text = &if arguments.first() == Some(&OsStr::new("digest")) && stream == "output" {
            text.replace("##", "")
        } else {
            text.to_owned()
        };
        assert_eq!(acts(text, is_json && stream == "output"), None, "{arguments:?}: standard {stream}: {text:?}");
    }
    assert!(output.status.code().is_some(), "{arguments:?}: {output:?}");
}

/// Files of all kinds that a command may be given, of which nearly all are wrong in some way.
fn files(folder: &Folder, start: &[u8]) {
    let put = |end: &str, text: &[u8]| fs::write(folder.path().join(named(start, end)), text).unwrap();
    put(".oar.json", BACKWARDS.as_bytes());
    put("2.oar.json", BASE.replace("\"change_interval_days\": 7,", "\"change_interval_days\": 7.0,").as_bytes());
    put(".oar.jsonl", DEMO.as_bytes());
    put("3.oar.json", b"{");
    put(".toml", b"nothing = 1\n");
    put(".txt", b"{nothing}");
    fs::create_dir(folder.path().join(named(start, ".d"))).unwrap();
    put(".d/manifest.json", b"{}");
    put(".oar-.partial", b"");
}

/// Commands that are given a file, whatever it is, as their last argument.
const WITH_A_FILE: [&str; 27] = [
    "check",
    "check b.oar.json --baseline",
    "check b.oar.json --config",
    "check b.oar.json --waivers",
    "check b.oar.json --write-baseline",
    "compare b.oar.json",
    "config",
    "digest",
    "digest --bytes",
    "edition",
    "explain",
    "generate --patients 1 --recipe",
    "generate --patients 1 --output",
    "generate --patients 1 --output new.oar.jsonl --key",
    "generate --patients 1 --output x.oar.jsonl --card",
    "kit --score b.oar.json",
    "kit b.oar.json --score",
    "realism",
    "repair",
    "repair --layout",
    "repair b.oar.json --output",
    "review",
    "review -o letter",
    "review b.oar.json -o letter --letter-text",
    "schema",
    "shrink --rule worn_backwards",
    "shrink b.oar.json --rule worn_backwards --output",
];

const FORMATS: [(&str, &[&str]); 2] = [
    (
        "check",
        &["text", "brief", "jsonl", "sarif", "junit", "github", "gitlab", "overview", "overview-json", "overview-csv"],
    ),
    ("review", &["text", "jsonl", "csv", "json", "html"]),
];

/// All runs for files whose names begin so, each as arguments.
fn runs(start: &[u8]) -> Vec<Vec<OsString>> {
    let words = |text: &str| text.split(' ').map(OsString::from).collect::<Vec<_>>();
    let of = |end: &str| named(start, end);
    let none = of(".none.oar.json");
    let mut runs: Vec<(String, OsString)> = Vec::new();
    for (command, formats) in FORMATS {
        for format in formats {
            runs.push((format!("{command} . -o {format}"), none.clone()));
            runs.push((format!("{command} b.oar.json -o {format} --exclude"), of(".toml")));
        }
    }
    for name in [of(".oar.json"), of("2.oar.json"), of("3.oar.json"), of(".oar.jsonl"), of(".d"), none] {
        runs.extend(WITH_A_FILE.iter().map(|command| ((*command).to_owned(), name.clone())));
    }
    for (command, name) in [
        ("check b.oar.json --config", of(".toml")),
        ("check b.oar.json --waivers", of(".toml")),
        ("review b.oar.json -o letter --letter-text", of(".txt")),
        ("generate --output - --recipe", of(".toml")),
        ("kit", of(".d")),
        ("kit", of(".new")),
        ("repair --write", of("2.oar.json")),
    ] {
        runs.push((command.to_owned(), name));
    }
    let in_folder = [b"text=", start, b".d"].concat();
    runs.push(("check b.oar.json -o".to_owned(), named(&in_folder, "")));
    runs.push(("check b.oar.json -o text=x -o".to_owned(), named(&in_folder, "/x")));
    runs.into_iter().map(|(command, name)| [words(&command), vec![name]].concat()).collect()
}

#[test]
fn no_command_lets_a_name_act() {
    for start in NAMES {
        let folder = Folder::with(&[("b.oar.json", BASE.as_bytes())]);
        files(&folder, start);
        for arguments in runs(start) {
            let arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
            assert_shown(&run(&folder, &arguments), &arguments);
        }
        assert_shown(
            &run(&folder, &[OsStr::new("compare"), &named(start, "3.oar.json"), OsStr::new("b.oar.json")]),
            &[],
        );
    }
}

#[test]
fn an_argument_that_nobody_expects_is_shown_and_does_not_act() {
    let folder = Folder::with(&[]);
    for typed in ["--a\n::error ::x", "--a\x1b[31m", "-o\n::error ::x", "a\n::error ::x"] {
        for command in ["check", "explain", "config", "repair", "generate", "kit"] {
            let arguments = [OsStr::new(command), OsStr::new(typed)];
            assert_shown(&run(&folder, &arguments), &arguments);
        }
        assert_shown(&run(&folder, &[OsStr::new(typed)]), &[OsStr::new(typed)]);
    }
}

/// Checks of a name that `sha256sum` can have are its own: it reads the lines of `oar digest` over canonical bytes.
#[test]
fn sha256sum_takes_the_lines_of_a_digest() {
    for name in ["plain", "a\nb", "a\\b", "a\rb", "\\", " two words "] {
        let folder = Folder::with(&[("b.oar.json", BASE.as_bytes())]);
        let bytes = run(&folder, &["digest", "--bytes", "b.oar.json"].map(OsStr::new)).stdout;
        let path = format!("{name}.oar.json");
        fs::write(folder.path().join(&path), bytes).unwrap();
        let line = run(&folder, &["digest", &path].map(OsStr::new)).stdout;
        fs::write(folder.path().join("sums"), &line).unwrap();
        let check = Command::new("sha256sum").args(["--check", "--strict", "sums"]).current_dir(folder.path()).output();
        let check = check.unwrap();
        assert!(check.status.success(), "{name:?}: {} {check:?}", OsStr::from_bytes(&line).to_string_lossy());
        let own = Command::new("sha256sum").arg(&path).current_dir(folder.path()).output().unwrap();
        assert_eq!(own.stdout, line, "{name:?}");
    }
}

/// GNU patch takes the quoted name of a diff.
#[test]
fn patch_takes_a_diff_of_a_file_with_any_name() {
    let version = Command::new("patch").arg("--version").output();
    assert!(version.is_ok(), "this test needs GNU patch, and it cannot be run: {version:?}");
    for name in ["a\nb", "a\tb", "a\"b", "a\\b", "a\x1bb", "a\u{202e}b", "\u{e9}"] {
        let folder = Folder::with(&[]);
        files(&folder, name.as_bytes());
        let path = named(name.as_bytes(), "2.oar.json");
        let diff = run(&folder, &[OsStr::new("repair"), &path]).stdout;
        assert!(!diff.is_empty(), "nothing is repaired");
        fs::write(folder.path().join("diff"), &diff).unwrap();
        let patched = Command::new("patch").args(["-p0", "-i", "diff"]).current_dir(folder.path()).output().unwrap();
        assert!(patched.status.success(), "{name:?}: {patched:?} {}", String::from_utf8_lossy(&diff));
        let to = run(&folder, &[OsStr::new("repair"), OsStr::new("--output"), OsStr::new("-"), &path]);
        assert_eq!(to.stdout, fs::read(folder.path().join(&path)).unwrap());
    }
}
