//! What the command writes is whole under its name or not there; links, devices and pipes stay what they are.
#![cfg(unix)]

use std::fs::{self, File, Permissions};
use std::io::{Read, Write};
use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt, symlink};
use std::os::unix::process::ExitStatusExt;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use oar_testing::command::oar;
use oar_testing::{BACKWARDS, BASE, DEMO, Folder};

/// Every way to write a file: the arguments before the file, and what is between them and it.
fn ways() -> Vec<(Vec<&'static str>, &'static str)> {
    let mut ways = vec![
        (vec!["check", "a.oar.json", "--write-baseline"], ""),
        (vec!["repair", "a.oar.json", "--overwrite", "--output"], ""),
        (vec!["shrink", "a.oar.json", "--rule", "worn_backwards", "--overwrite", "--output"], ""),
        (vec!["generate", "--patients", "3", "--overwrite", "--no-card", "--output", "cohort.oar.jsonl", "--key"], ""),
        (vec!["review", "b.oar.json", "-o"], "letter="),
    ];
    for format in ["text", "jsonl", "sarif", "junit", "gitlab", "overview-json"] {
        ways.push((vec!["check", "a.oar.json", "-o"], format.to_owned().leak()));
    }
    for format in ["text", "jsonl", "csv", "json", "html"] {
        ways.push((vec!["review", "b.oar.json", "-o"], format.to_owned().leak()));
    }
    for format in ["text", "json", "html"] {
        ways.push((vec!["realism", "demo.oar.jsonl", "-o"], format.to_owned().leak()));
    }
    ways
}

fn folder() -> Folder {
    Folder::with(&[
        ("a.oar.json", BACKWARDS.as_bytes()),
        ("b.oar.json", BASE.as_bytes()),
        ("demo.oar.jsonl", DEMO.as_bytes()),
    ])
}

/// The last argument of a way to a file.
fn last(between: &str, file: &str) -> String {
    match between {
        "" => file.to_owned(),
        _ if between.ends_with('=') => format!("{between}{file}"),
        _ => format!("{between}={file}"),
    }
}

/// Runs a way to a file; it may end with 0 or 1.
fn write(folder: &Folder, (arguments, between): &(Vec<&str>, &str), file: &str) {
    let last = last(between, file);
    let printed = folder.oar(&[arguments.as_slice(), &[last.as_str()]].concat());
    assert!(matches!(printed.code, Some(0 | 1)), "{arguments:?} {last}: {printed:?}");
}

/// The names in the folder that a run should not have left.
fn temporary(folder: &Folder) -> Vec<String> {
    let names = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    names.filter(|name| [".oar-", "partial", "new"].iter().any(|part| name.contains(part))).collect()
}

#[test]
fn a_link_stays_and_its_target_takes_the_text_whether_it_is_there_or_not() {
    for way in ways() {
        let folder = folder();
        fs::create_dir(folder.path().join("in")).unwrap();
        fs::write(folder.path().join("in/there"), "old").unwrap();
        for (link, target) in [("to-there", "in/there"), ("to-none", "in/none")] {
            symlink(target, folder.path().join(link)).unwrap();
            write(&folder, &way, link);
            assert_eq!(fs::read_link(folder.path().join(link)).unwrap().to_str(), Some(target), "{way:?}");
            let text = fs::read(folder.path().join(target)).unwrap();
            assert!(!text.is_empty() && text != b"old", "{way:?} {link}");
        }
        assert_eq!(temporary(&folder), [""; 0], "{way:?}");
    }
}

#[test]
fn a_pipe_is_written_into_and_stays_a_pipe() {
    for way in ways() {
        let folder = folder();
        let pipe = folder.path().join("pipe");
        assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let reader = pipe.clone();
        let reader = std::thread::spawn(move || {
            let mut text = Vec::new();
            File::open(reader).unwrap().read_to_end(&mut text).map(|_| text).unwrap()
        });
        write(&folder, &way, "pipe");
        let kind = fs::symlink_metadata(&pipe).unwrap().file_type();
        // A reader that nobody wrote to waits for ever.
        if !kind.is_fifo() || !reader.is_finished() {
            std::thread::sleep(Duration::from_millis(200));
        }
        assert!(kind.is_fifo() && reader.is_finished(), "{way:?}");
        assert!(!reader.join().unwrap().is_empty(), "{way:?}");
    }
}

#[test]
fn a_device_is_written_into() {
    for (arguments, between) in ways() {
        let folder = folder();
        let last = last(between, "/dev/full");
        let printed = folder.oar(&[arguments.as_slice(), &[last.as_str()]].concat());
        assert_eq!(printed.code, Some(2), "{arguments:?} {last}: {printed:?}");
        assert!(printed.errors.contains("the disk is full"), "{arguments:?}: {printed:?}");
        assert!(fs::symlink_metadata("/dev/full").unwrap().file_type().is_char_device());
    }
}

#[test]
fn a_folder_is_refused() {
    for (arguments, between) in ways() {
        let folder = folder();
        fs::create_dir(folder.path().join("in")).unwrap();
        for name in ["in", "none/"] {
            let last = last(between, name);
            let printed = folder.oar(&[arguments.as_slice(), &[last.as_str()]].concat());
            assert_eq!(printed.code, Some(2), "{arguments:?} {last}: {printed:?}");
        }
        assert_eq!(fs::read_dir(folder.path().join("in")).unwrap().count(), 0, "{arguments:?}");
        assert!(!folder.path().join("none").exists(), "{arguments:?}");
        assert_eq!(temporary(&folder), [""; 0], "{arguments:?}");
    }
}

/// Standard output that the shell appends to a file with is not truncated or replaced.
#[cfg(target_os = "linux")]
#[test]
fn standard_output_by_its_path_is_written_into() {
    let folder = folder();
    let log = folder.path().join("log");
    fs::write(&log, "before\n").unwrap();
    let number = fs::metadata(&log).unwrap().ino();
    let out = fs::OpenOptions::new().append(true).open(&log).unwrap();
    let status = folder.command(&["check", "a.oar.json", "-o", "brief=/dev/stdout"]).stdout(out).status().unwrap();
    assert_eq!(status.code(), Some(1));
    let text = folder.read("log");
    assert!(text.starts_with("before\na.oar.json:") && fs::metadata(&log).unwrap().ino() == number, "{text}");
}

/// Names that earlier versions gave to their temporary files, as links that somebody else planted.
#[test]
fn no_name_that_can_be_guessed_is_written_to() {
    for way in ways() {
        let folder = folder();
        fs::write(folder.path().join("victim"), "mine").unwrap();
        for name in ["out.partial", "out.new", ".out.new", ".oar-.partial"] {
            symlink("victim", folder.path().join(name)).unwrap();
        }
        write(&folder, &way, "out");
        assert_eq!(folder.read("victim"), "mine", "{way:?}");
    }
}

#[test]
fn a_file_that_is_replaced_keeps_its_permissions_and_a_new_one_has_those_of_any_new_file() {
    for way in ways() {
        let folder = folder();
        for (name, mode) in [("private", 0o600), ("shared", 0o664)] {
            let path = folder.path().join(name);
            fs::write(&path, "old").unwrap();
            fs::set_permissions(&path, Permissions::from_mode(mode)).unwrap();
            write(&folder, &way, name);
            let now = fs::metadata(&path).unwrap();
            assert_eq!(now.mode() & 0o7777, mode, "{way:?} {name}");
            assert_ne!(folder.read(name), "old");
        }
        write(&folder, &way, "new");
        File::create(folder.path().join("any")).unwrap();
        let mode = |name: &str| fs::metadata(folder.path().join(name)).unwrap().mode();
        assert_eq!(mode("new"), mode("any"), "{way:?}");
    }
}

/// A file may not grow beyond what `ulimit` allows, so that the write fails in the middle.
#[test]
fn a_write_that_fails_leaves_the_old_file_and_no_other() {
    let many = [BACKWARDS.lines().collect::<String>(), "\n".to_owned()].concat().repeat(400);
    for (arguments, file) in [
        ("check many.oar.jsonl --no-fold --max-findings all -o text=old", "old"),
        ("check many.oar.jsonl -o sarif=old", "old"),
        ("repair many.oar.jsonl --overwrite --output old", "old"),
        ("repair many.oar.jsonl --layout --write", "many.oar.jsonl"),
        ("review many.oar.jsonl --fail-level error --level worn_backwards=off -o jsonl=old", "old"),
        ("generate --patients 40 --overwrite --output - --key old --faults 1 --many-faults", "old"),
    ] {
        let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes()), ("old", b"old")]);
        let before = folder.read(file);
        let command = format!("trap '' XFSZ; ulimit -f 8; exec '{}' {arguments}", oar());
        let output = Command::new("bash").args(["-c", &command]).current_dir(folder.path()).output().unwrap();
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments}: {errors}");
        assert!(errors.contains("cannot be written"), "{arguments}: {errors}");
        assert!(folder.read(file) == before, "{arguments}: {}", folder.read(file).len());
        assert_eq!(temporary(&folder), [""; 0], "{arguments}");
    }
}

/// Starts a run that waits for standard input after it has begun its file. Signals that whoever runs the tests ignores, as a shell
/// does for what it runs in the background, have their usual effect on it (`env` of GNU coreutils).
fn waiting(folder: &Folder, arguments: &[&str]) -> Child {
    let mut command = if cfg!(target_os = "linux") {
        let mut env = Command::new("env");
        env.args(["--default-signal=INT,TERM,HUP", &oar()]).args(arguments);
        env.current_dir(folder.path());
        env
    } else {
        folder.command(arguments)
    };
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
    child.stdin.as_mut().unwrap().write_all(&DEMO.as_bytes()[..100_000]).unwrap();
    wait_for_a_file(folder);
    child
}

fn wait_for_a_file(folder: &Folder) {
    let patience = Instant::now() + Duration::from_secs(30);
    while temporary(folder).is_empty() && !folder.path().join("out").exists() && Instant::now() < patience {
        std::thread::sleep(Duration::from_millis(5));
    }
}

const WAITING: [&[&str]; 4] = [
    &["check", "-", "-o", "sarif=out"],
    &["check", "-", "--write-baseline", "known", "-o", "jsonl=out"],
    &["repair", "-", "--output", "out"],
    &["review", "-", "-o", "csv=out"],
];

#[test]
fn a_signal_removes_what_is_half_written_and_ends_the_run_with_its_number() {
    for arguments in WAITING {
        for (name, number) in [("INT", 2), ("TERM", 15), ("HUP", 1)] {
            let folder = Folder::with(&[]);
            let mut child = waiting(&folder, arguments);
            assert_eq!(temporary(&folder).len(), 1, "{arguments:?}");
            // Standard input stays open: its end would let the run finish before it hears of the signal.
            let input = child.stdin.take();
            let kill = Command::new("kill").args([&format!("-{name}"), &child.id().to_string()]).status().unwrap();
            assert!(kill.success());
            assert_eq!(child.wait().unwrap().signal(), Some(number), "{arguments:?} {name}");
            drop(input);
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0, "{arguments:?} {name}");
        }
    }
}

/// As `nohup` asks for.
#[cfg(target_os = "linux")]
#[test]
fn a_signal_that_was_ignored_from_the_start_stays_ignored() {
    let folder = Folder::with(&[]);
    let command = format!("trap '' HUP; exec '{}' check - -o sarif=out", oar());
    let mut shell = Command::new("sh");
    shell.args(["-c", &command]).current_dir(folder.path()).stdin(Stdio::piped());
    let mut child = shell.spawn().unwrap();
    child.stdin.as_mut().unwrap().write_all(&DEMO.as_bytes()[..100_000]).unwrap();
    wait_for_a_file(&folder);
    assert!(Command::new("kill").args(["-HUP", &child.id().to_string()]).status().unwrap().success());
    std::thread::sleep(Duration::from_millis(50));
    child.stdin.as_mut().unwrap().write_all(&DEMO.as_bytes()[100_000..]).unwrap();
    drop(child.stdin.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(folder.read("out").ends_with("}\n"));
}

#[test]
fn a_run_that_was_killed_leaves_no_half_report_and_the_next_one_names_the_copy() {
    for arguments in WAITING {
        let folder = Folder::with(&[]);
        let mut child = waiting(&folder, arguments);
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(!folder.path().join("out").exists(), "{arguments:?}");
        let left = temporary(&folder);
        assert!(left.len() == 1 && left[0].starts_with(".oar-") && left[0].ends_with(".partial"), "{left:?}");
        fs::write(folder.path().join("a.oar.json"), BASE).unwrap();
        let said = format!(
            "note: {} was left behind by an interrupted run and may hold patients' data\n  help: delete it\n",
            left[0]
        );
        for next in [
            &["repair", "a.oar.json"][..],
            &["repair", "."],
            &["check", "."],
            &["check", ".", "--include", "*"],
            &["check", "a.oar.json", "-o", "text=out"],
            &["review", "."],
            &["digest", "."],
            &["edition", "."],
            &["realism", "."],
        ] {
            let printed = folder.oar(next);
            assert_eq!(printed.errors.matches(&said).count(), 1, "{next:?}: {printed:?}");
            assert!(!printed.out.contains("2 files"), "{next:?}: {printed:?}");
        }
        assert!(folder.path().join(&left[0]).exists());
    }
}

#[test]
fn what_another_run_is_writing_is_not_called_left_behind() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let mut child = waiting(&folder, WAITING[0]);
    let printed = folder.oar(&["repair", "."]);
    assert!(!printed.errors.contains("left behind"), "{printed:?}");
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(folder.oar(&["repair", "."]).errors.contains("left behind"));
}

#[test]
fn a_kill_at_any_moment_leaves_the_old_report_or_the_whole_new_one() {
    let many = [BACKWARDS.lines().collect::<String>(), "\n".to_owned()].concat().repeat(60);
    let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes()), ("out", b"old")]);
    let run = ["check", "many.oar.jsonl", "--no-cross-record", "-o", "sarif=out"];
    let begun = Instant::now();
    assert_eq!(folder.oar(&run).code, Some(1));
    let (whole, time) = (folder.read("out"), begun.elapsed());
    let mut killed = 0;
    for step in 1..=20 {
        fs::write(folder.path().join("out"), "old").unwrap();
        let mut child = folder.command(&run).spawn().unwrap();
        std::thread::sleep(time * step / 20);
        child.kill().unwrap();
        killed += usize::from(child.wait().unwrap().code().is_none());
        let now = folder.read("out");
        assert!(now == "old" || now == whole, "half a report of {} bytes", now.len());
    }
    assert!(killed > 0);
}
