//! Other versions. There is only one version of the format so far, so the kit can test how a reader handles a newer one and
//! extensions of this one. It cannot test how an older one is read, since there is none.

use std::io;

use serde_json::{Value, json};

use super::builder::{Builder, accept_case, expected};
use super::edits::BASE;
use super::manifest::{CaseKind, KitCase};

type VersionEdit = fn(&mut Value);

/// Cases to be refused: name, description, edit, and location.
const REFUSED: &[(&str, &str, VersionEdit, &str)] = &[
    (
        "newer_minor",
        "version 1.1 without anything new: a reader of 1.0 says that it does not know 1.1",
        |record| record["version"] = "1.1".into(),
        "/version",
    ),
    (
        "newer_minor_with_new_things",
        "version 1.1 with a new field and a new word: the finding is the version, not the new parts",
        |record| {
            record["version"] = "1.1".into();
            record["scanner"] = json!({"resolution_mm": 0.02});
            record["status"]["state"] = "waiting".into();
        },
        "/version",
    ),
    (
        "newer_minor_of_two_digits",
        "version 1.10 comes after 1.9: it is neither 1.1 nor 1.0",
        |record| record["version"] = "1.10".into(),
        "/version",
    ),
    (
        "newer_major",
        "version 2.0 with other types: the finding is the version, and nothing else is read",
        |record| {
            record["version"] = "2.0".into();
            record["patient"] = json!([]);
            record["wear_periods"] = json!({"upper": [], "lower": []});
        },
        "/version",
    ),
    ("never_was", "version 0.9, which never existed", |record| record["version"] = "0.9".into(), "/version"),
    ("version_as_number", "the version as a number", |record| record["version"] = json!(1.0), "/version"),
    (
        "new_field_in_this_version",
        "a field that version 1.0 does not have",
        |record| record["scanner"] = json!({"resolution_mm": 0.02}),
        "/scanner",
    ),
    (
        "new_word_in_this_version",
        "a word that version 1.0 does not have",
        |record| record["status"]["state"] = "waiting".into(),
        "/status/state",
    ),
];

/// Adds the cases to be refused, and an extension that a reader should skip.
pub(super) fn add(builder: &mut Builder<'_>) -> io::Result<()> {
    for (name, what, edit, pointer) in REFUSED {
        let Some(text) = edited(*edit) else { continue };
        let found = builder.found(text.as_bytes(), false);
        let [one] = found.as_slice() else { continue };
        if one.pointer == *pointer {
            let finding = expected(&one.rule, 1, pointer);
            let case = accept_case(CaseKind::Upgrade, name, what);
            builder.write(KitCase { accepted: false, finding, ..case }, text.as_bytes())?;
        }
    }
    let what = "unknown extensions are skipped";
    if let Some(text) = edited(|record| record["extensions"] = json!({"org.example.later": {"scanner": [0.02]}})) {
        builder.accepted(accept_case(CaseKind::Upgrade, "unknown_extension", what), text.as_bytes())?;
    }
    Ok(())
}

fn edited(edit: VersionEdit) -> Option<String> {
    let mut record = serde_json::from_str::<Value>(BASE).ok()?;
    edit(&mut record);
    Some(record.to_string())
}
