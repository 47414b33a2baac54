//! The tour in the README is what the command really prints.
//!
//! `UPDATE=1 cargo test --test readme` runs the commands and writes what they print.

#![expect(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

use std::fs;
use std::path::Path;
use std::process::Command;

/// What a shell prints for a command line in which `oar` is the built command.
fn printed(line: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = Path::new(env!("CARGO_BIN_EXE_oar")).parent().unwrap();
    let path = format!("{}:{}", folder.display(), std::env::var("PATH").unwrap());
    fs::create_dir_all(root.join("target")).unwrap();
    let output = Command::new("sh")
        .args(["-c", &format!("{{ {line}; }} 2>&1")])
        .current_dir(root)
        .env("PATH", path)
        .env_remove("NO_COLOR")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// The document with what each of its commands prints.
fn with_output(text: &str) -> (String, usize) {
    let (mut out, mut commands, mut inside) = (String::new(), 0, false);
    for line in text.lines() {
        match line.strip_prefix("$ ") {
            Some(command) if inside => {
                commands += 1;
                out.extend([line, "\n", &printed(command)]);
                continue;
            }
            _ if line == "```console" => inside = true,
            _ if line == "```" => inside = false,
            _ if inside => continue,
            _ => {}
        }
        out.push_str(line);
        out.push('\n');
    }
    (out, commands)
}

#[test]
fn the_tour_shows_what_the_command_prints() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let text = fs::read_to_string(&file).unwrap();
    let (current, commands) = with_output(&text);
    assert!(commands >= 8, "{commands} commands");
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&file, &current).unwrap();
    } else {
        assert!(text == current, "the tour is stale: UPDATE=1 cargo test --test readme");
    }
}
