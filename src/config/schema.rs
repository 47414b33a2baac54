//! The JSON Schema of the file, for editors.

use oar_schema::limits::{LIMITS, Limit, LimitScale};
use serde_json::{Map, Value, json};

use crate::check::settings::editions::Editions;
use crate::check::settings::{ALL, NEVER_OFF, Switch};
use crate::check::{page, rules};
use crate::report::output::OutputFormat;
use crate::report::summary::FailOn;
use crate::review::{Priority, Signal, signals};

/// The JSON Schema (2020-12) of `oar.toml`, read as JSON. It does not cover what a profile cannot set, and units of limits that
/// are written out; the command checks those.
pub fn schema() -> Value {
    let names =
        |doc: &str| json!({"description": doc, "type": "array", "items": {"type": "string", "pattern": "^[^/]+$"}});
    let sheets = || [("levels".to_owned(), levels()), ("limits".to_owned(), limits())];
    let mut top = Map::from_iter([
        (
            "edition".to_owned(),
            json!({"description": "The edition of the rules.", "type": "integer", "minimum": 1, "maximum": Editions::OURS.newest}),
        ),
        (
            "fail_level".to_owned(),
            json!({"description": "Findings of this level or above make the exit code 1; with `,partial`, a record that could be checked only in part does so too.", "enum": FailOn::NAMES}),
        ),
        ("baseline".to_owned(), file("The baseline of oar check, in the folder of this file or below.")),
        ("waivers".to_owned(), file("The waivers of oar check, in the folder of this file or below.")),
        ("output".to_owned(), output()),
        (
            "rule_pages".to_owned(),
            json!({"description": "The address of the page of a rule in SARIF; {rule} is replaced by its name.", "type": "string", "pattern": "^https?://.*\\{rule\\}"}),
        ),
        ("include".to_owned(), names("Names of files that are checked in folders too; * matches any text.")),
        ("exclude".to_owned(), names("Names of files and folders that are skipped in folders; * matches any text.")),
    ]);
    top.insert("select".to_owned(), rule_names("Only these rules and themes run; all is every rule.", true));
    top.insert("ignore".to_owned(), rule_names("These rules and themes do not run.", false));
    top.extend(sheets());
    top.insert("signals".to_owned(), signals());
    top.insert(
        "profile".to_owned(),
        json!({
            "description": "Levels and limits for the records of one system, by its name; * matches any text.",
            "type": "object",
            "propertyNames": {"pattern": "^[A-Za-z0-9._:*-]+$"},
            "additionalProperties": object(&Map::from_iter(sheets())),
        }),
    );
    let mut schema = object(&top);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["$id"] = json!("https://open-aligner-record.example.org/schema/config/v1.0/config.schema.json");
    schema["title"] = json!("oar.toml");
    schema["$comment"] = json!("CC0-1.0. Written from the rules and limits; do not edit.");
    schema
}

fn object(properties: &Map<String, Value>) -> Value {
    json!({"type": "object", "properties": properties, "additionalProperties": false})
}

/// A file in the folder of the configuration or below.
fn file(doc: &str) -> Value {
    json!({"description": doc, "type": "string", "pattern": "^[^/\\\\]", "not": {"pattern": "(^|/)\\.\\.(/|$)|\\\\|^[A-Za-z]:"}})
}

/// Formats of `oar check`, some with a file.
fn output() -> Value {
    let names: Vec<&str> = OutputFormat::ALL.iter().map(|(_, name, _)| *name).collect();
    let doc = "Where oar check writes findings: FORMAT for standard output, or FORMAT=FILE, with FILE in the folder of this file or below.";
    let pattern = format!("^({})(=.+)?$", names.join("|"));
    json!({"description": doc, "type": "array", "items": {"type": "string", "pattern": pattern}})
}

/// The priorities of signals in a review.
fn signals() -> Value {
    let one = |signal: &Signal| {
        let priorities: Vec<&str> = Priority::ALL.iter().map(|priority| priority.as_str()).chain(["off"]).collect();
        json!({"description": page::summary(signal.page).replace('\n', " "), "enum": priorities, "default": signal.priority})
    };
    object(&signals::all().map(|signal| (signal.name.to_owned(), one(signal))).collect())
}

/// A list of rules and themes. Rules that always run can be selected, but not ignored.
fn rule_names(doc: &str, selects: bool) -> Value {
    let always =
        |name: &str| rules::all().any(|rule| NEVER_OFF.contains(&rule.name) && [rule.name, rule.theme].contains(&name));
    let mut names: Vec<&str> = Vec::new();
    for name in rules::all().flat_map(|rule| [rule.theme, rule.name]) {
        if (selects || !always(name)) && !names.contains(&name) {
            names.push(name);
        }
    }
    names.extend(selects.then_some(ALL));
    json!({"description": doc, "type": "array", "items": {"enum": names}})
}

/// The levels of rules and of themes.
fn levels() -> Value {
    let mut properties = Map::new();
    for rule in rules::all() {
        let theme = format!("All rules of the theme {}.", rule.theme.replace('_', " "));
        let whole =
            rules::all().filter(|other| other.theme == rule.theme).all(|other| !NEVER_OFF.contains(&other.name));
        properties.entry(rule.theme).or_insert_with(|| level(&theme, whole));
    }
    for rule in rules::all() {
        properties.insert(rule.name.to_owned(), level(&page::title(rule.page), !NEVER_OFF.contains(&rule.name)));
    }
    object(&properties)
}

fn level(doc: &str, can_be_off: bool) -> Value {
    let switches = Switch::WORDS.iter().filter(|(_, switch)| can_be_off || *switch != Switch::Off);
    let words: Vec<&str> = switches.map(|(word, _)| *word).collect();
    json!({"description": doc, "enum": words})
}

fn limits() -> Value {
    object(&LIMITS.iter().map(|limit| (limit.name.to_owned(), limit_value(limit))).collect())
}

/// A number in its range, or text, which may have the unit after the number.
fn limit_value(limit: &Limit) -> Value {
    let number = |value: i64| match limit.scale {
        LimitScale::Whole => json!(value),
        LimitScale::Hundredths => json!(limit.written(value).parse::<f64>().unwrap_or_default()),
    };
    let kind = if limit.scale == LimitScale::Whole { "integer" } else { "number" };
    json!({
        "description": format!("{} In {}.", limit.doc.trim(), limit.unit),
        "default": number(limit.value),
        "type": [kind, "string"],
        "minimum": number(limit.range.0),
        "maximum": number(limit.range.1),
    })
}
