//! Laws of the repository.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use oar_schema::describe::{Bounds, Described, Type};
use oar_schema::limits::{LIMITS, Limits};
use oar_schema::norms::{BOLTON_ANTERIOR, BOLTON_OVERALL};
use oar_schema::number::Hundredths;
use oar_schema::record::{Record, VERSION};
use oar_testing::repository::root;
use open_aligner_record::rules;

/// All files below a folder with that ending; build products and fetched tools are passed over.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let passed = [
        "target",
        "node_modules",
        "node",
        "python",
        "cargo",
        "book",
        "out",
        "work",
        ".git",
        "corpus",
        "artifacts",
        "json_test_suite",
    ];
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().into_string().unwrap();
        if entry.file_type().unwrap().is_dir() && !passed.contains(&name.as_str()) {
            found.extend(files(&entry.path(), ending));
        } else if name.ends_with(ending) {
            found.push(entry.path());
        }
    }
    found.sort();
    found
}

#[test]
fn source_files_say_what_they_are_and_stay_short() {
    let sources = files(root(), ".rs");
    assert!(sources.len() > 60, "{} source files", sources.len());
    for file in sources {
        let text = fs::read_to_string(&file).unwrap();
        assert!(text.starts_with("//!"), "{} does not begin with what it is", file.display());
        assert!(text.lines().count() <= 500, "{} is longer than 500 lines", file.display());
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        assert!(!["utils", "helpers", "common", "misc"].contains(&name.as_str()), "{} has no name", file.display());
    }
}

/// A file that no `mod` names is not compiled, and its tests pass by not running.
#[test]
fn every_file_of_the_tests_is_a_module_of_one() {
    let mut modules = 0;
    for file in files(&root().join("tests"), ".rs") {
        let folder = file.parent().unwrap();
        let (folder, name) = match file.file_stem().unwrap().to_str().unwrap() {
            "main" | "lib" => continue,
            "mod" => (folder.parent().unwrap(), folder.file_name().unwrap().to_string_lossy()),
            name => (folder, name.into()),
        };
        // Each file in `tests/outside/tests` and `src/bin` is a target of its own.
        if folder.ends_with("outside/tests") || folder.ends_with("src/bin") {
            continue;
        }
        let around =
            [folder.join("main.rs"), folder.join("mod.rs"), folder.join("lib.rs"), folder.with_extension("rs")];
        let texts = around.iter().filter_map(|around| fs::read_to_string(around).ok()).collect::<String>();
        assert!(texts.lines().any(|line| line.ends_with(&format!("mod {name};"))), "no module has {}", file.display());
        modules += 1;
    }
    assert!(modules > 70, "{modules} modules");
}

#[test]
fn every_page_belongs_to_a_rule_and_every_broken_file_to_a_page() {
    let known: BTreeSet<&str> = rules::all().map(|rule| rule.name).collect();
    let paged: BTreeSet<&str> = rules::every().map(|rule| rule.name).collect();
    let stem = |file: &Path| file.file_name().unwrap().to_string_lossy().split('.').next().unwrap().to_owned();
    for file in files(&root().join("src/check/rules"), ".md") {
        assert!(paged.contains(stem(&file).as_str()), "{} has no rule", file.display());
    }
    let folder = root().join("datasets/broken");
    let broken = [files(&folder, ".oar.json"), files(&folder, ".oar.jsonl")].concat();
    for file in &broken {
        assert!(known.contains(stem(file).as_str()), "{} has no rule", file.display());
    }
    assert_eq!(broken.len(), known.len(), "one broken file for each rule");
}

#[test]
fn no_two_rules_have_one_name() {
    let names: Vec<&str> = rules::all().map(|rule| rule.name).collect();
    let different: BTreeSet<&str> = names.iter().copied().collect();
    assert_eq!(names.len(), different.len());
}

#[test]
fn pages_have_their_parts_and_say_their_level_and_theme() {
    for rule in rules::all() {
        let page = rule.page;
        assert!(page.starts_with(&format!("# {}\n", rule.name)), "{}: the title", rule.name);
        let line = format!("\n**{}** · {}\n", rule.level.as_str(), rule.theme.replace('_', " "));
        assert!(page.contains(&line), "{}: the line of level and theme", rule.name);
        for heading in ["Why", "Source", "Limits", "Broken", "Kept"] {
            let section = open_aligner_record::page::section(page, heading).unwrap_or_default();
            assert!(!section.is_empty(), "{}: nothing under {heading}", rule.name);
        }
    }
}

/// The message lines of a page, helps with their prefix.
fn messages(page: &str) -> impl Iterator<Item = &str> {
    let head = page.split("\n## ").next().unwrap();
    head.lines().filter_map(|line| line.strip_prefix("> "))
}

#[test]
fn messages_keep_the_grammar() {
    for rule in rules::all() {
        let lines: Vec<&str> = messages(rule.page).collect();
        assert!(lines.iter().any(|line| line.starts_with("help: ")), "{} has no help", rule.name);
        assert!(lines.iter().any(|line| !line.starts_with("help: ")), "{} has no message", rule.name);
        for line in lines {
            let text = line.strip_prefix("help: ").unwrap_or(line);
            assert!(!text.ends_with('.'), "{}: a full stop ends {line}", rule.name);
            for word in text.to_lowercase().split(|letter: char| !letter.is_alphanumeric()) {
                assert!(!["invalid", "must", "should", "please"].contains(&word), "{}: {word} in {line}", rule.name);
            }
            let first = text.chars().next().unwrap();
            let name = text.split(' ').next().unwrap().chars().skip(1).any(char::is_uppercase);
            assert!(!first.is_uppercase() || name, "{}: a capital begins {line}", rule.name);
        }
    }
}

/// What each page says of limits, with the name of its rule or signal.
fn sections_of_limits() -> Vec<(&'static str, &'static str)> {
    let rules = rules::all().map(|rule| (rule.name, rule.page));
    let signals = open_aligner_record::review::signals::all().map(|signal| (signal.name, signal.page));
    let section = |page| open_aligner_record::page::section(page, "Limits").unwrap_or_default();
    rules.chain(signals).map(|(name, page)| (name, section(page))).collect()
}

#[test]
fn every_limit_is_told_by_a_page_and_every_told_limit_is_there() {
    let mut printed = BTreeSet::new();
    for (owner, section) in sections_of_limits() {
        for name in section.split('`').skip(1).step_by(2).filter(|name| name.contains('_') && !name.contains(' ')) {
            if LIMITS.iter().any(|limit| limit.name == name) {
                printed.insert(name.to_owned());
            }
        }
        for line in section.lines().filter_map(|line| line.strip_prefix("- `")) {
            let name = line.split('`').next().unwrap();
            assert!(LIMITS.iter().any(|limit| limit.name == name), "{owner} tells of {name}");
        }
    }
    for limit in LIMITS {
        assert!(printed.contains(limit.name), "no page names the limit {}", limit.name);
        assert!(limit.range.0 <= limit.value && limit.value <= limit.range.1, "{} is outside its range", limit.name);
    }
}

#[test]
fn pages_tell_limits_by_the_values_that_they_have() {
    let mut printed = 0;
    for (owner, section) in sections_of_limits() {
        for line in section.lines().filter_map(|line| line.strip_prefix("- `")) {
            let (name, text) = line.split_once("`: ").unwrap();
            let limit = LIMITS.iter().find(|limit| limit.name == name).unwrap();
            let value = limit.written(limit.value);
            let unit = if value == "1" { limit.unit.trim_end_matches('s') } else { limit.unit };
            let words = format!("{value} {unit}");
            assert!(text.starts_with(&words), "{owner}: `{name}` is {words}, not {text}");
            printed += 1;
        }
    }
    assert!(printed >= LIMITS.len(), "{printed} told");
}

/// What a page says in front of its examples.
fn before_examples(rule: &str) -> &'static str {
    rules::find(rule).unwrap().page.split("\n## Broken").next().unwrap()
}

#[test]
fn pages_name_what_the_format_sets() {
    let version = format!("version {VERSION}");
    assert!(before_examples("newer_version").contains(&version), "newer_version does not name {version}");
    let mut printed = 0;
    for (object, field) in
        Record::OBJECT.with_parts().into_iter().flat_map(|it| it.fields.iter().map(move |field| (it, field)))
    {
        let (rule, words) = match field.ty {
            Type::List(_, Bounds { least, most }) if least == most => {
                ("wrong_count", format!("{most} entries in `{}`", field.name))
            }
            Type::Text(bounds) => ("too_long", format!("{} characters", bounds.most)),
            _ => continue,
        };
        assert!(before_examples(rule).contains(&words), "{rule} does not say {words} of {}", object.name);
        printed += 1;
    }
    assert!(printed > 4, "{printed} told");
}

/// Principle 6 of docs/reference/format.md: what is left out is unknown, and an empty list means none.
#[test]
fn fields_are_left_out_for_what_the_source_does_not_know() {
    let mut printed = 0;
    for object in Record::OBJECT.with_parts() {
        for field in object.fields.iter().filter(|field| matches!(field.ty, Type::List(..))) {
            let Some((_, when)) = field.doc.split_once("Omitted when ") else { continue };
            let knows = when.starts_with("the source ") || when.starts_with("the plan ");
            assert!(knows, "{}.{}: omitted when {when}", object.name, field.name);
            printed += 1;
        }
    }
    assert!(printed > 1, "{printed} told");
}

#[test]
fn the_page_of_bolton_ratios_gives_the_ends_of_what_is_let_pass() {
    for norm in [BOLTON_ANTERIOR, BOLTON_OVERALL] {
        let allowed = norm.sd * Limits::default().bolton_sds as i32 / 100;
        let [least, most] = [norm.mean - allowed, norm.mean + allowed].map(Hundredths);
        let words = format!("below {least} or above {most} %");
        assert!(before_examples("bolton_ratio_extreme").contains(&words), "{words} is not told");
    }
}

#[test]
fn links_in_documents_lead_somewhere() {
    let mut followed = 0;
    for file in files(root(), ".md") {
        let text = fs::read_to_string(&file).unwrap();
        for link in text.split("](").skip(1).map(|rest| rest.split(')').next().unwrap()) {
            let target = link.split('#').next().unwrap();
            if target.is_empty() || target.contains("://") {
                continue;
            }
            assert!(file.parent().unwrap().join(target).exists(), "{}: {link} leads nowhere", file.display());
            followed += 1;
        }
    }
    assert!(followed > 50, "{followed} links");
}

/// Messages, comments and scripts name pages by their place; a page that moves takes them along.
#[test]
fn pages_of_the_book_that_are_named_are_there() {
    let mut named = 0;
    let endings = [".rs", ".md", ".toml", ".py", ".sh", ".yml", ".yaml", ".json"];
    for file in endings.iter().flat_map(|ending| files(root(), ending)) {
        let text = fs::read(&file).unwrap();
        for rest in String::from_utf8_lossy(&text).split("docs/").skip(1) {
            let is_path = |letter: char| letter.is_ascii_alphanumeric() || "/_-.".contains(letter);
            let path: String = rest.chars().take_while(|letter| is_path(*letter)).collect();
            let path = path.trim_end_matches('.');
            assert!(root().join("docs").join(path).exists(), "{}: docs/{path} is not there", file.display());
            named += 1;
        }
    }
    assert!(named > 50, "{named} named");
}
