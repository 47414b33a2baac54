//! No identifier is told across records, in any form, though identifiers are what is compared.

use oar_testing::Folder;

use super::record;

#[test]
fn no_identifier_of_records_patients_or_systems_is_told() {
    let named: Vec<String> = ["/id", "/patient/id", "/source/system", "/source/system_version"]
        .iter()
        .map(|pointer| format!("{pointer} = \"Zyxwv.Vuqmby\""))
        .collect();
    let named: Vec<&str> = named.iter().map(String::as_str).collect();
    let with = |more: &'static str| record(&[&named[..], &[more]].concat());
    let records = [
        with("/wear_log/3/minutes = 1260"),
        with("/wear_log/3/minutes = 1261"),
        with("/id = \"Zyxwv.Vuqmby.2\""),
        with("/id = \"Zyxwv.Vuqmby.2\""),
        with("/patient/id = \"Zyxwv.Vuqmby.3\""),
        record(&[&named[..], &["/id = \"Zyxwv.Vuqmby.4\"", "/patient/birth_year = 1990"]].concat()),
        record(&[&named[..], &["/id = \"Zyxwv.Vuqmby.5\"", "/source/system_version = \"Zyxwv\""]].concat()),
    ];
    for form in ["text", "brief", "jsonl", "sarif", "junit", "github", "gitlab"] {
        let printed = Folder::with(&[]).piped(&["check", "-", "--no-fold", "-o", form], records.join("\n").as_bytes());
        assert!(
            printed.out.contains("record_id_repeated") && printed.out.contains("mixed_versions"),
            "{}",
            printed.out
        );
        let low = printed.out.to_lowercase();
        assert!(!low.contains("zyxwv") && !low.contains("vuqmby"), "{form}: {}", printed.out);
    }
}
