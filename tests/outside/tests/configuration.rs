//! The JSON Schema of `oar.toml` takes the files that the command takes, and refuses what it refuses.

use oar_outside_checks::root;
use open_aligner_record::config;
use serde_json::Value;

/// What a TOML text stands for, as JSON, by the reader of the crate `toml`.
fn json(text: &str) -> Value {
    serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap()
}

/// The starter with every setting put to use.
fn starter() -> String {
    let used = |line: &str| {
        let setting = line.strip_prefix("# ").filter(|rest| rest.starts_with('[') || rest.contains(" = "));
        setting.unwrap_or(line).to_owned()
    };
    config::STARTER.lines().map(used).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_schema_and_the_reader_agree() {
    let schema = config::schema();
    assert!(jsonschema::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let example = std::fs::read_to_string(root().join("examples/oar.toml")).unwrap();
    for text in ["", &example, config::STARTER, &starter()] {
        assert!(config::read(text, "oar.toml").is_ok());
        let printed: Vec<String> = validator.iter_errors(&json(text)).map(|error| error.to_string()).collect();
        assert_eq!(printed, [""; 0]);
    }
    for text in [
        "edition = 0",
        "fail_level = \"off\"",
        "exclude = [\"a/b\"]",
        "exclud = []",
        "levels.plan = \"of\"",
        "levels.plann = \"off\"",
        "levels.not_json = \"off\"",
        "levels.file = \"off\"",
        "limits.oldest_years = 150",
        "limits.oldest_years = 90.5",
        "limits.oldest_year = 90",
        "limits.tray_linear_mm = 0.01",
        "profile.\"a b\".levels.plan = \"off\"",
        "profile.a.level.plan = \"off\"",
    ] {
        assert!(config::read(text, "oar.toml").is_err(), "{text}");
        assert!(!validator.is_valid(&json(text)), "{text}");
    }
}
