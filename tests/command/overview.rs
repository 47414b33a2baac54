//! The formats `overview`, `overview-json` and `overview-csv`.

use serde_json::{Value, json};

use oar_testing::{BACKWARDS, BASE, Folder};

/// A file with two records of one system, one of them wrong, and a file with one of another that is wrong twice.
fn folder() -> Folder {
    let line = |text: &str| serde_json::from_str::<Value>(text).unwrap().to_string();
    let lines = format!("{}\n{}\n", line(BASE), line(BACKWARDS));
    let mut other: Value = serde_json::from_str(BACKWARDS).unwrap();
    other["source"]["system"] = "brannock-export".into();
    other["wear_periods"][2]["to"] = "2031-01-05".into();
    let other = other.to_string();
    Folder::with(&[
        ("a.oar.jsonl", lines.as_bytes()),
        ("b.oar.json", other.as_bytes()),
        ("c.oar.json", BASE.as_bytes()),
    ])
}

#[test]
fn people_see_counts_and_shares_in_80_columns() {
    let printed = folder().oar(&["check", ".", "--no-cross-record", "-o", "overview"]);
    assert_eq!(printed.code, Some(1));
    let expected = "\
by rule                                          records    share  findings
error    worn_backwards                                2   50.0 %         3

by file                                          records    share  findings
b.oar.json                                             1  100.0 %         2
a.oar.jsonl                                            1   50.0 %         1

by system                                        records    share  findings
brannock-export                                        1  100.0 %         2
quillmere-chart                                        1   33.3 %         1

3 errors in 2 of 4 records, 3 files
";
    assert_eq!(printed.out, expected);
    assert!(printed.out.lines().all(|line| line.chars().count() <= 80));
}

#[test]
fn programs_get_the_same_counts() {
    let folder = folder();
    let printed: Value =
        serde_json::from_str(&folder.oar(&["check", ".", "--no-cross-record", "-o", "overview-json"]).out).unwrap();
    assert_eq!(
        [&printed["records"], &printed["records_with_findings"], &printed["files"]],
        [&json!(4), &json!(2), &json!(3)]
    );
    let rule = json!({"name": "worn_backwards", "level": "error", "records": 4, "records_with_findings": 2, "share": 0.5,
        "errors": 3, "warnings": 0, "notes": 0});
    assert_eq!(printed["by_rule"], json!([rule]));
    assert_eq!(printed["by_system"][1]["share"], 0.333);
    let csv = folder.oar(&["check", ".", "--no-cross-record", "-o", "overview-csv"]).out;
    let expected = "by,name,level,records,records_with_findings,share,errors,warnings,notes\r
rule,worn_backwards,error,4,2,0.5,3,0,0\r
file,b.oar.json,,1,1,1,2,0,0\r
file,a.oar.jsonl,,2,1,0.5,1,0,0\r
system,brannock-export,,1,1,1,2,0,0\r
system,quillmere-chart,,3,1,0.333,1,0,0\r
";
    assert_eq!(csv, expected);
}

#[test]
fn systems_without_findings_are_listed_and_names_like_free_text_are_masked() {
    let mut personal: Value = serde_json::from_str(BASE).unwrap();
    personal["source"]["system"] = "Zyxwv Quimby's computer".into();
    let lines = format!("{personal}\n[]\n{{\"broken\n");
    let folder = Folder::with(&[("a.oar.jsonl", lines.as_bytes()), ("b.oar.json", BASE.as_bytes())]);
    for format in ["overview", "overview-json", "overview-csv"] {
        let printed = folder.oar(&["check", ".", "-o", format]).out;
        assert!(
            !printed.contains("Quimby") && printed.contains("(masked)") && printed.contains("(not named)"),
            "{printed}"
        );
        assert!(printed.contains("quillmere-chart"), "{printed}");
    }
    let printed: Value =
        serde_json::from_str(&folder.oar(&["check", ".", "--no-cross-record", "-o", "overview-json"]).out).unwrap();
    let records = printed["by_system"].as_array().unwrap().iter().map(|row| row["records"].as_u64().unwrap());
    assert_eq!(records.sum::<u64>(), printed["records"].as_u64().unwrap());
}

#[test]
fn names_of_files_harm_neither_columns_nor_tables() {
    let deep = format!("{}/last.oar.json", "a-long-name".repeat(8));
    let folder = Folder::with(&[("=1+1,\"x\".oar.json", BACKWARDS.as_bytes()), (&deep, BACKWARDS.as_bytes())]);
    let text = folder.oar(&["check", ".", "--no-cross-record", "-o", "overview"]).out;
    assert!(text.contains("\n…") && text.contains("/last.oar.json  "), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let csv = folder.oar(&["check", ".", "--no-cross-record", "-o", "overview-csv"]).out;
    assert!(csv.contains("\r\nfile,\" =1+1,\"\"x\"\".oar.json\",,1,1,1,1,0,0\r\n"), "{csv}");
}

#[test]
fn many_files_are_cut_in_text_only() {
    let names: Vec<String> = (10..40).map(|number| format!("{number}.oar.json")).collect();
    let files: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), BACKWARDS.as_bytes())).collect();
    let folder = Folder::with(&files);
    assert!(folder.oar(&["check", ".", "--no-cross-record", "-o", "overview"]).out.contains("\n29.oar.json"));
    assert!(folder.oar(&["check", ".", "--no-cross-record", "-o", "overview"]).out.contains("\nand 10 more\n"));
    assert_eq!(
        folder.oar(&["check", ".", "--no-cross-record", "-o", "overview-csv"]).out.lines().count(),
        1 + 1 + 30 + 1
    );
}

#[test]
fn findings_across_records_count_for_a_rule_and_a_file_and_each_record_once() {
    let printed: Value = serde_json::from_str(&folder().oar(&["check", ".", "-o", "overview-json"]).out).unwrap();
    let sum = |by: &str, what: &str| {
        printed[by].as_array().unwrap().iter().map(|row| row[what].as_u64().unwrap()).sum::<u64>()
    };
    let rules: Vec<&str> =
        printed["by_rule"].as_array().unwrap().iter().map(|row| row["name"].as_str().unwrap()).collect();
    assert_eq!(rules, ["worn_backwards", "record_id_repeated"]);
    assert_eq!((sum("by_rule", "errors"), sum("by_file", "errors"), sum("by_system", "errors")), (4, 4, 3));
    assert_eq!(sum("by_file", "records_with_findings"), printed["records_with_findings"].as_u64().unwrap());
}

#[test]
fn a_file_with_a_finding_across_records_only_has_its_records_counted() {
    let contradicts = include_bytes!("../../datasets/broken/patient_contradicts.oar.jsonl");
    let printed = Folder::with(&[("p.oar.jsonl", contradicts)]).oar(&["check", ".", "-o", "overview-csv"]);
    assert!(printed.out.contains("\r\nfile,p.oar.jsonl,,2,1,0.5,1,0,0\r\n"), "{}", printed.out);
}
