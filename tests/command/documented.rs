//! `docs/reference/command.md` names every option, and it and `docs/reference/configuration.md` show what is really written. `UPDATE=1 cargo test --test command` puts the
//! output of each example in.

use std::fs;
use std::process::Command;

use oar_testing::Folder;
use oar_testing::command::oar;
use oar_testing::repository::{is_current, root};

fn page(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

/// What a command writes, run in the folder of the repository: what failed, then what was found.
fn run(command: &str) -> (String, Option<i32>) {
    let arguments = command.strip_prefix("$ oar ").unwrap().split(' ');
    let mut oar = Command::new(oar());
    let output = oar.args(arguments).current_dir(root()).output().unwrap();
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

/// Whether a page shows what is written; it is written anew when that is asked for.
fn shows_what_is_written(name: &str) {
    is_current(name, run_again(&page(name)), "cargo test --test command documented::");
}

#[test]
fn the_page_about_the_command_shows_what_is_written() {
    shows_what_is_written("docs/reference/command.md");
}

#[test]
fn the_page_about_configuration_shows_what_is_written() {
    shows_what_is_written("docs/reference/configuration.md");
}

#[test]
fn the_page_about_configuration_shows_the_example_and_names_every_key() {
    let page = page("docs/reference/configuration.md");
    let shown = page.split("```toml\n").nth(1).unwrap().split("```").next().unwrap();
    assert_eq!(shown, self::page("examples/oar.toml"));
    let schema = open_aligner_record::config::schema();
    for key in schema["properties"].as_object().unwrap().keys() {
        let named = [format!("| `{key}` |"), format!("| `[{key}]` |"), format!("| `[{key}.")];
        assert!(named.iter().any(|row| page.contains(row)), "{key} is not there");
    }
}

/// The options in a help text, each as it is typed.
fn options(help: &str) -> Vec<String> {
    let (_, options) = help.split_once("\nOptions:\n").unwrap();
    let heads = options.lines().filter(|line| line.starts_with("  -") || line.starts_with("      --"));
    let word = |part: &str| part.trim().split(' ').next().unwrap().to_owned();
    heads.flat_map(|head| head.split(", ").map(word).collect::<Vec<_>>()).filter(|word| word.starts_with('-')).collect()
}

#[test]
fn every_command_and_option_of_the_help_is_on_the_page() {
    let page = page("docs/reference/command.md");
    let folder = Folder::with(&[]);
    let help = folder.oar(&["-h"]).out;
    let (_, commands) = help.split_once("\nCommands:\n").unwrap();
    let lines = commands.lines().take_while(|line| !line.is_empty()).filter(|line| !line.starts_with("   "));
    let names = lines.map(|line| line.split_whitespace().next().unwrap()).filter(|name| *name != "help");
    let mut count = 0;
    for name in names {
        assert!(page.contains(&format!("\n- [`{name}`](#{name}) ")), "{name} is not in the list of commands");
        let section = page.split(&format!("\n## {name}\n")).nth(1);
        assert!(section.is_some(), "{name} has no section");
        for option in options(&folder.oar(&[name, "--help"]).out) {
            count += 1;
            let shown = ["`", " "].iter().any(|end| page.contains(&format!("`{option}{end}")));
            assert!(shown, "{option} of {name} is not there");
        }
    }
    assert!(count > 100, "{count} options");
}
