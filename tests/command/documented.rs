//! `docs/command.md` names every option and shows what is really written. `UPDATE=1 cargo test --test command` puts the
//! output of each example in.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::running::Folder;

fn file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/command.md")
}

fn page() -> String {
    fs::read_to_string(file()).unwrap()
}

/// What a command writes, run in the folder of the repository: what failed, then what was found.
fn run(command: &str) -> (String, Option<i32>) {
    let arguments = command.strip_prefix("$ oar ").unwrap().split(' ');
    let mut oar = Command::new(env!("CARGO_BIN_EXE_oar"));
    let output = oar.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    let text = [output.stderr, output.stdout].concat();
    (String::from_utf8(text).unwrap().trim_end().to_owned(), output.status.code())
}

/// The page with each example run again: its command and the exit code before it stay.
fn run_again(page: &str) -> String {
    let mut parts = page.split("```console\n");
    let mut fresh = parts.next().unwrap().to_owned();
    for part in parts {
        let (example, after) = part.split_once("\n```").unwrap();
        let command = example.lines().next().unwrap();
        let (text, code) = run(command);
        let stated = fresh.trim_end().lines().last().unwrap();
        assert_eq!(stated, format!("<!-- exit code {} -->", code.unwrap()), "{command}");
        fresh.extend(["```console\n", command, "\n", &text, "\n```", after]);
    }
    fresh
}

#[test]
fn the_page_about_the_command_shows_what_is_written() {
    let page = page();
    let fresh = run_again(&page);
    if std::env::var_os("UPDATE").is_some() {
        fs::write(file(), fresh).unwrap();
    } else {
        assert!(page == fresh, "docs/command.md is stale: UPDATE=1 cargo test --test command");
    }
}

#[test]
fn every_command_and_option_of_the_help_is_on_the_page() {
    let page = page();
    let folder = Folder::with(&[]);
    let help = folder.oar(&["check", "--help"]).out;
    let (_, options) = help.split_once("\nOptions:\n").unwrap();
    let heads = options.lines().filter(|line| line.starts_with("  -") || line.starts_with("      --"));
    let words = heads.flat_map(|head| head.split(", ").map(|part| part.trim().split(' ').next().unwrap()));
    let named: Vec<&str> = words.collect();
    assert!(named.len() >= 9 && named.contains(&"-o") && named.contains(&"--threads"), "{named:?}");
    for option in named {
        assert!(
            page.contains(&format!("`{option}`")) || page.contains(&format!("`{option} ")),
            "{option} is not there"
        );
    }
    let help = folder.oar(&["-h"]).out;
    let (_, commands) = help.split_once("\nCommands:\n").unwrap();
    let sections = commands.lines().take_while(|line| !line.is_empty()).filter(|line| !line.starts_with("   "));
    for name in sections.map(|line| line.split_whitespace().next().unwrap()).filter(|name| *name != "help") {
        assert!(page.contains(&format!("\n## {name}\n")), "{name} has no section");
    }
}
