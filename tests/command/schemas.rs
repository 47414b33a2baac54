//! What is written for programs has the fields of its published schema and no others. That it fits the schemas in everything
//! else is for a validator that others wrote, in `.ci/check_outputs.py`.

use serde_json::Value;

use oar_testing::{BACKWARDS, BASE, Folder};

fn schema(name: &str) -> Value {
    let file = format!("{}/schema/{name}/v1/{name}.schema.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap()
}

fn names(object: &Value) -> Vec<String> {
    let mut names: Vec<String> = object.as_object().unwrap().keys().cloned().collect();
    names.sort();
    names
}

/// Whether an object has the fields that a schema of objects describes, those that may be left out too.
#[track_caller]
fn has_all_fields(printed: &Value, described: &Value) {
    assert_eq!(names(printed), names(&described["properties"]));
    let required = described["required"].as_array().unwrap();
    assert!(required.iter().all(|name| printed.get(name.as_str().unwrap()).is_some()), "{printed}");
}

/// Whether a schema is for the version that is written.
#[track_caller]
fn is_of_version(schema: &Value, printed: &Value) {
    let version = printed["version"].as_str().unwrap();
    assert!(schema["title"].as_str().unwrap().ends_with(&format!(" {version}")), "{version}");
    assert!(schema["$id"].as_str().unwrap().contains(&format!("/v{version}/")), "{version}");
}

#[test]
fn an_overview_has_the_fields_of_its_schema() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("b.oar.json", b"{}")]);
    let printed: Value = serde_json::from_str(&folder.oar(&["check", ".", "-o", "overview-json"]).out).unwrap();
    let schema = schema("overview");
    is_of_version(&schema, &printed);
    has_all_fields(&printed, &schema);
    has_all_fields(&printed["by_rule"][0], &schema["properties"]["by_rule"]["items"]);
    for by in ["by_file", "by_system"] {
        has_all_fields(&printed[by][0], &schema["properties"][by]["items"]);
    }
}

#[test]
fn a_comparison_has_the_fields_of_its_schema() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    folder.oar(&["check", "a.oar.json", "-o", "jsonl=old"]);
    std::fs::write(folder.path().join("a.oar.json"), BACKWARDS).unwrap();
    folder.oar(&["check", "a.oar.json", "-o", "jsonl=new"]);
    let schema = schema("comparison");
    for (reports, kind) in [(["old", "new"], "new"), (["new", "old"], "gone")] {
        let printed = folder.oar(&["compare", reports[0], reports[1], "-o", "jsonl"]);
        let lines: Vec<Value> = printed.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        assert_eq!((lines.len(), &lines[1]["type"]), (3, &Value::from(kind)));
        is_of_version(&schema, &lines[0]);
        let described = |line: &Value| {
            let kinds = schema["oneOf"].as_array().unwrap();
            kinds.iter().find(|one| one["properties"]["type"]["const"] == line["type"]).unwrap()
        };
        for line in &lines {
            has_all_fields(line, described(line));
        }
        let by_rule = &described(&lines[2])["properties"]["by_rule"];
        has_all_fields(&lines[2]["by_rule"]["worn_backwards"], &by_rule["additionalProperties"]);
    }
}

/// The schema of a line of a type.
fn line_of<'a>(schema: &'a Value, kind: &str) -> &'a Value {
    let mut lines = schema["oneOf"].as_array().unwrap().iter();
    lines.find(|line| line["properties"]["type"]["const"] == kind).unwrap()
}

#[test]
fn findings_have_the_fields_of_their_schema() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    let printed = folder.oar(&["check", ".", "-o", "jsonl"]);
    let schema = schema("findings");
    is_of_version(&schema, &printed.lines("run")[0]);
    for kind in ["run", "finding", "summary"] {
        has_all_fields(&printed.lines(kind)[0], line_of(&schema, kind));
    }
}
