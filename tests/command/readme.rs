//! The README, the tutorial and the how-to pages show what the commands really print.
//!
//! `UPDATE=1 cargo test --test command readme::` runs the commands and writes what they print.

use std::fs;
use std::path::Path;
use std::process::Command;

use oar_testing::repository::{files, is_current, root};

/// What a shell prints for a command line in which `oar` is the built command.
fn printed(line: &str, folder: &Path) -> String {
    let built = Path::new(env!("CARGO_BIN_EXE_oar")).parent().unwrap();
    let path = format!("{}:{}", built.display(), std::env::var("PATH").unwrap());
    let output = Command::new("sh")
        .args(["-c", &format!("{{ {line}; }} 2>&1")])
        .current_dir(folder)
        .env("PATH", path)
        .env_remove("NO_COLOR")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// A page with what each of its commands prints in a folder, and the number of commands.
fn with_output(text: &str, folder: &Path) -> (String, usize) {
    let (mut out, mut commands, mut inside) = (String::new(), 0, false);
    for line in text.lines() {
        match line.strip_prefix("$ ") {
            Some(command) if inside => {
                commands += 1;
                out.extend([line, "\n", &printed(command, folder)]);
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

/// Checks a page, or writes it anew when that is asked for; returns how many commands it has.
fn shows_what_is_printed(file: &Path, folder: &Path) -> usize {
    let text = fs::read_to_string(file).unwrap();
    let (current, commands) = with_output(&text, folder);
    let name = file.strip_prefix(root()).unwrap().to_string_lossy();
    is_current(&name, current, "cargo test --test command readme::");
    commands
}

#[test]
fn the_tour_and_the_how_to_pages_show_what_the_command_prints() {
    fs::create_dir_all(root().join("target")).unwrap();
    let tour = shows_what_is_printed(&root().join("README.md"), root());
    assert!(tour >= 8, "{tour} commands in the tour");
    let how_to: usize = files("docs/how-to", "").iter().map(|page| shows_what_is_printed(page, root())).sum();
    assert!(how_to >= 4, "{how_to} commands in how-to pages");
}

/// Each page begins in an empty folder, as its reader does.
#[test]
fn the_tutorial_shows_what_the_command_prints() {
    for page in files("docs/tutorial", "") {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("tutorial").join(page.file_stem().unwrap());
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let commands = shows_what_is_printed(&page, &folder);
        assert!(commands >= 8, "{commands} commands in {}", page.display());
    }
}
