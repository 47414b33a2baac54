//! Checked-in files that are written from the code: the JSON Schema, the reference of the format, the index of rules.
//!
//! `UPDATE=1 cargo test --test pages generated::` writes them anew.

use std::fs;

use oar_schema::json_schema::record_schema;
use oar_testing::repository::{self, root};
use open_aligner_record::settings::editions::Editions;
use open_aligner_record::{config, rules};

use super::reference;

/// Asks that a file holds this text; `UPDATE=1` writes it.
#[track_caller]
fn is_current(file: &str, text: &str) {
    repository::is_current(file, text, "cargo test --test pages generated::");
}

#[test]
fn the_json_schema_follows_from_the_types() {
    let schema = serde_json::to_string_pretty(&record_schema()).unwrap();
    is_current("schema/v1/record.schema.json", &format!("{schema}\n"));
}

#[test]
fn the_reference_has_a_page_for_each_object_and_vocabulary() {
    for (file, text) in reference::pages() {
        is_current(&format!("docs/reference/format/{file}"), &text);
    }
    let folder = root().join("docs/reference/format");
    let known: Vec<String> = reference::pages().into_iter().map(|(file, _)| file).collect();
    for entry in fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(known.contains(&name), "docs/reference/format/{name} describes nothing that is there");
    }
}

#[test]
fn the_example_of_a_record_is_one_that_the_checker_takes() {
    let pages = reference::pages();
    let (_, page) = pages.iter().find(|(file, _)| file == "Record.md").unwrap();
    let (_, after) = page.split_once("```json\n").unwrap();
    let (example, _) = after.split_once("```").unwrap();
    let found = open_aligner_record::Checker::new().check(example.as_bytes()).into_findings();
    let found: Vec<String> = found.iter().map(|found| format!("{}: {}", found.rule.name, found.message())).collect();
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn the_index_of_rules_lists_every_rule() {
    is_current("docs/reference/rules.md", &reference::rules(rules::every()));
}

#[test]
fn the_index_of_signals_lists_every_signal() {
    use open_aligner_record::{page, review::signals};
    let mut text = "# Signals\n\n<!-- Written from the code by `.ci/update`; do not edit. -->\n\nWhat `oar review` checks in valid records, and how soon somebody should look. `oar explain NAME` shows\na page. A signal names what to look at, never a treatment.\n\n| signal | priority | what it checks |\n|---|---|---|\n".to_owned();
    for signal in signals::all() {
        let summary = page::summary(signal.page).replace('\n', " ");
        let first = summary.split_inclusive(". ").next().unwrap().trim().to_owned();
        let name = signal.name;
        let priority = signal.priority.words();
        text.extend([
            "| [`",
            name,
            "`](",
            reference::SIGNAL_PAGES,
            "/",
            name,
            ".md) | ",
            priority,
            " | ",
            &first,
            " |\n",
        ]);
    }
    is_current("docs/reference/signals.md", &text);
}

#[test]
fn the_list_of_limits_has_every_limit() {
    is_current("docs/reference/limits.md", &reference::limits());
}

#[test]
fn the_list_of_measures_has_every_measure_and_group() {
    use open_aligner_record::realism::{GROUPS, measures};
    let mut text = "# What the realism report measures\n\nWritten from the code: the exact definition of every measure that is computed from records, and the groups of patients.\n[datasets/references/published.md](../../datasets/references/published.md) says how measures are used.\n".to_owned();
    for (theme, of_theme) in measures::THEMES {
        text.extend(["\n## ", theme, "\n\n| measure | unit | definition |\n|---|---|---|\n"]);
        for measure in *of_theme {
            text.extend(["| `", measure.name, "` | ", measure.unit, " | ", measure.definition, " |\n"]);
        }
    }
    text.push_str("\n## Groups\n\n| group | patients |\n|---|---|\n");
    for (group, who) in GROUPS {
        text.extend(["| `", group, "` | ", who, " |\n"]);
    }
    is_current("docs/reference/measures.md", &text);
}

#[test]
fn the_schema_of_the_configuration_follows_from_rules_and_limits() {
    is_current("schema/config/v1/config.schema.json", &format!("{:#}\n", config::schema()));
}

#[test]
fn the_other_schemas_follow_from_the_types() {
    for (name, schema) in open_aligner_record::schemas::all() {
        is_current(&format!("schema/{name}.schema.json"), &format!("{schema:#}\n"));
    }
}

/// A published edition is never written anew: when this fails for one, count up `Editions::OURS.newest` and add rows to its
/// `changes` that say what was there before.
#[test]
fn each_edition_has_the_rules_levels_and_defaults_of_its_list() {
    for edition in 1..=Editions::OURS.newest {
        let (file, list) = (format!("docs/reference/editions/{edition}.txt"), Editions::OURS.list(edition));
        if edition > Editions::PUBLISHED {
            is_current(&file, &list);
        } else {
            let there = fs::read_to_string(root().join(&file)).unwrap();
            assert!(there == list, "{file} is published, and the rules, levels or defaults are no longer those in it");
        }
    }
}
