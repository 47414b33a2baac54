//! Outputs for programs.

use std::collections::BTreeSet;
use std::io;

use open_aligner_record::output::{OutputFormat, Style};
use open_aligner_record::rules;
use open_aligner_record::run::Event;
use open_aligner_record::summary::Summary;
use serde_json::Value;

use super::{BASE, File, NASTY, backwards, count, edited, lines, some_files, written};

fn json(format: OutputFormat, files: &[File<'_>]) -> Value {
    serde_json::from_str(&written(format, Style::default(), files)).unwrap()
}

fn number(value: &Value) -> usize {
    usize::try_from(value.as_u64().unwrap()).unwrap()
}

/// The text between two columns of a line, both in code points from 1.
fn between(text: &[u8], line: &Value, from: &Value, to: &Value) -> String {
    let line = std::str::from_utf8(text).unwrap().lines().nth(number(line) - 1).unwrap();
    line.chars().take(number(to) - 1).skip(number(from) - 1).collect()
}

/// A text with `%XX` decoded (RFC 3986, section 2.1).
fn percent_decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let Some((first, tail)) = rest.split_first() {
        let is_escape = *first == b'%';
        let hex = is_escape.then(|| u8::from_str_radix(std::str::from_utf8(&tail[..2]).unwrap(), 16).unwrap());
        bytes.push(hex.unwrap_or(*first));
        rest = if is_escape { &tail[2..] } else { tail };
    }
    String::from_utf8(bytes).unwrap()
}

#[test]
fn every_form_has_a_name_that_leads_to_it() {
    for (format, name, _) in OutputFormat::ALL {
        assert_eq!(name.parse(), Ok(*format));
        assert_eq!(format.to_string(), *name);
    }
    assert!("no such form".parse::<OutputFormat>().is_err());
}

#[test]
fn every_machine_form_tells_every_finding_once() {
    let files = some_files();
    let all = count(&files);
    assert!(all >= 5, "the files have findings");
    assert_eq!(json(OutputFormat::Sarif, &files)["runs"][0]["results"].as_array().unwrap().len(), all);
    assert_eq!(json(OutputFormat::Gitlab, &files).as_array().unwrap().len(), all);
    assert_eq!(lines(&files).iter().filter(|line| line["type"] == "finding").count(), all);
    let github = written(OutputFormat::Github, Style::default(), &files);
    assert_eq!(github.lines().filter(|line| line.starts_with("::")).count(), all);
}

#[test]
fn forms_without_findings_can_be_read_too() {
    for files in [vec![], vec![("clean.oar.json", BASE.as_bytes().to_vec())]] {
        assert_eq!(json(OutputFormat::Sarif, &files)["runs"][0]["results"], serde_json::json!([]));
        assert_eq!(json(OutputFormat::Gitlab, &files), serde_json::json!([]));
        assert_eq!(lines(&files).len(), 2);
        let junit = written(OutputFormat::Junit, Style::default(), &files);
        assert_eq!(roxmltree::Document::parse(&junit).unwrap().root_element().tag_name().name(), "testsuites");
    }
}

#[test]
fn the_summary_line_adds_up_to_the_findings_before_it() {
    let lines = lines(&some_files());
    let (summary, findings) = (lines.last().unwrap(), &lines[1..lines.len() - 1]);
    for (level, total) in [("error", "errors"), ("warning", "warnings"), ("note", "notes")] {
        assert_eq!(number(&summary[total]), findings.iter().filter(|line| line["level"] == level).count(), "{level}");
    }
    for (rule, times) in summary["by_rule"].as_object().unwrap() {
        assert_eq!(number(times), findings.iter().filter(|line| line["rule"] == **rule).count(), "{rule}");
    }
    assert_eq!(lines[0]["type"], "run");
}

#[test]
fn columns_count_code_points_and_enclose_the_value() {
    // A tab, an accent, a letter of two UTF-16 units and wide letters before the value, on its line.
    let before = "\"to\": \"2031-02-17\"";
    let after = "\t\"nöte𝒙\": \"日本語\", \"to\": \"2031-01-05\"";
    let text = String::from_utf8(BASE.into()).unwrap().replacen(before, after, 1).into_bytes();
    let files = [("wide.oar.json", text.clone())];
    let unknown: Vec<Value> = lines(&files).into_iter().filter(|line| line["rule"] == "unknown_field").collect();
    assert_eq!(between(&text, &unknown[0]["line"], &unknown[0]["column"], &unknown[0]["end_column"]), "\"nöte𝒙\"");
    // The rule about `to` does not run beside a broken shape, so the name stands in a text that is allowed.
    let text = edited(&["/wear_periods/1/to = \"2031-01-05\"", "/wear_periods/1/ended = \"日本語𝒙\""]);
    let text =
        String::from_utf8(text).unwrap().replace("\"ended\": \"日本語𝒙\"}", "\"ended\":\t\"日本語𝒙\", \"é\": 1}");
    let sarif = json(OutputFormat::Sarif, &[("wide.oar.json", text.clone().into_bytes())]);
    let regions: Vec<String> = sarif["runs"][0]["results"]
        .as_array()
        .unwrap()
        .iter()
        .map(|result| &result["locations"][0]["physicalLocation"]["region"])
        .map(|at| between(text.as_bytes(), &at["startLine"], &at["startColumn"], &at["endColumn"]))
        .collect();
    assert!(regions.contains(&"\"日本語𝒙\"".to_owned()), "{regions:?}");
    assert!(regions.contains(&"\"é\"".to_owned()), "{regions:?}");
    assert_eq!(sarif["runs"][0]["columnKind"], "unicodeCodePoints");
}

#[test]
fn a_nasty_file_name_comes_back_from_every_form() {
    let files = [(NASTY, backwards())];
    let sarif = json(OutputFormat::Sarif, &files);
    let uri = &sarif["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    let uri = uri.as_str().unwrap();
    assert_eq!(percent_decoded(uri), NASTY);
    // RFC 3986, section 2: nothing but these, and no colon in the first segment of a relative reference.
    assert!(uri.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-._~/%".contains(&byte)), "{uri}");

    assert_eq!(json(OutputFormat::Gitlab, &files)[0]["location"]["path"], NASTY);
    assert_eq!(lines(&files)[1]["file"], NASTY);

    let junit = written(OutputFormat::Junit, Style::default(), &files);
    let xml = roxmltree::Document::parse(&junit).unwrap();
    let suite = xml.root_element().first_element_child().unwrap();
    assert_eq!(suite.attribute("name"), Some(NASTY));

    // GitHub's toolkit: `%`, `:` and `,` are escaped in properties, so they end at the next comma.
    let github = written(OutputFormat::Github, Style::default(), &files);
    let file = github.strip_prefix("::error file=").unwrap().split(',').next().unwrap();
    assert_eq!(percent_decoded(file), NASTY);
}

#[test]
fn paths_lose_what_stands_for_the_working_folder() {
    let files = [("./in/one.oar.json", backwards())];
    assert_eq!(json(OutputFormat::Gitlab, &files)[0]["location"]["path"], "in/one.oar.json");
    let github = written(OutputFormat::Github, Style::default(), &files);
    assert!(github.starts_with("::error file=in/one.oar.json,line="), "{github}");
    let sarif = json(OutputFormat::Sarif, &[("/data/one.oar.json", backwards())]);
    let uri = &sarif["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    // RFC 8089: an absolute path has an empty host before it.
    assert_eq!(uri, "file:///data/one.oar.json");
}

#[test]
fn control_characters_in_names_harm_no_form() {
    // XML 1.0, section 2.2: of those below a space only tab, line feed and carriage return.
    let files = [("a\u{1b}[31m\u{0}\u{8}\n\t\u{fffe}\u{202e}.oar.json", backwards())];
    for (format, name, _) in OutputFormat::ALL {
        let text = written(*format, Style::default(), &files);
        assert!(!text.contains(['\u{1b}', '\u{0}', '\u{8}']), "{name}: {text}");
    }
    for format in [OutputFormat::Text, OutputFormat::Brief] {
        let text = written(format, Style::default(), &files);
        assert!(!text.contains(['\u{202e}', '\t']), "{text}");
    }
    let junit = written(OutputFormat::Junit, Style::default(), &files);
    let xml = roxmltree::Document::parse(&junit).unwrap();
    let name = xml.root_element().first_element_child().unwrap().attribute("name").unwrap();
    assert_eq!(name, "a\\u{1b}[31m\\u{0}\\u{8}\n\t\\u{fffe}\u{202e}.oar.json");
}

#[test]
fn junit_counts_are_those_of_its_cases() {
    let junit = written(OutputFormat::Junit, Style::default(), &some_files());
    let xml = roxmltree::Document::parse(&junit).unwrap();
    let suites: Vec<_> = xml.root_element().children().filter(roxmltree::Node::is_element).collect();
    assert_eq!(suites.len(), some_files().len());
    for suite in suites {
        let tagged = |name: &str| suite.descendants().filter(|node| node.has_tag_name(name)).count().to_string();
        assert_eq!(suite.attribute("tests"), Some(tagged("testcase").as_str()));
        assert_eq!(suite.attribute("failures"), Some(tagged("failure").as_str()));
        assert_eq!(suite.attribute("errors"), Some(tagged("error").as_str()));
        let clean = suite.attribute("name") == Some("clean.oar.json");
        assert_eq!(tagged("failure") == "0" && tagged("error") == "0", clean);
    }
}

#[test]
fn a_file_that_could_not_be_read_is_no_clean_file() {
    let printed = |format: OutputFormat| {
        let (mut out, mut printer) = (Vec::new(), format.printer(Style::default()));
        printer.event(&mut out, &Event::Begin).unwrap();
        let error = io::Error::other("no {0} such & file");
        printer.event(&mut out, &Event::Unreadable { file: "a<.oar.json", error: &error }).unwrap();
        let mut summary = Summary::default();
        summary.unreadable = 1;
        printer.event(&mut out, &Event::End(&summary)).unwrap();
        String::from_utf8(out).unwrap()
    };
    let sarif: Value = serde_json::from_str(&printed(OutputFormat::Sarif)).unwrap();
    // SARIF 2.1.0, 3.20.14 and 3.20.21 (numbers from memory): a run that could not do its work says so.
    assert_eq!(sarif["runs"][0]["invocations"][0]["executionSuccessful"], false);
    assert_eq!(sarif["runs"][0]["invocations"][0]["toolExecutionNotifications"].as_array().unwrap().len(), 1);
    let junit = printed(OutputFormat::Junit);
    let xml = roxmltree::Document::parse(&junit).unwrap();
    let error = xml.descendants().find(|node| node.has_tag_name("error")).unwrap();
    assert_eq!(error.attribute("message"), Some("no {0} such & file"));
    let suite = error.parent().unwrap().parent().unwrap();
    assert_eq!([suite.attribute("tests"), suite.attribute("errors")], [Some("1"), Some("1")]);
    let line: Value = serde_json::from_str(printed(OutputFormat::Jsonl).lines().nth(1).unwrap()).unwrap();
    assert_eq!([&line["type"], &line["file"]], ["unreadable", "a<.oar.json"]);
    for format in [OutputFormat::Text, OutputFormat::Github] {
        assert!(printed(format).ends_with("; 1 path could not be read\n"), "{format:?}");
    }
    assert!(printed(OutputFormat::Github).starts_with("::error file=a<.oar.json,"));
    let summary: Value = serde_json::from_str(printed(OutputFormat::Jsonl).lines().last().unwrap()).unwrap();
    assert_eq!(summary["unreadable"], 1);
    // GitLab's documentation of Code Quality: these members are required; severity is one of five words.
    let gitlab: Value = serde_json::from_str(&printed(OutputFormat::Gitlab)).unwrap();
    assert_eq!((&gitlab[0]["severity"], &gitlab[0]["location"]["lines"]["begin"]), (&"critical".into(), &1.into()));
    assert_eq!(
        (&gitlab[0]["location"]["path"], gitlab[0]["fingerprint"].as_str().unwrap().len()),
        (&"a<.oar.json".into(), 32)
    );
    assert!(gitlab[0]["description"].as_str().unwrap().starts_with("could not be read"));
}

#[test]
fn sarif_lists_every_rule_once_and_results_name_theirs() {
    let sarif = json(OutputFormat::Sarif, &some_files());
    let listed = sarif["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    let names: Vec<&str> = listed.iter().map(|rule| rule["id"].as_str().unwrap()).collect();
    assert_eq!(names, rules::every().map(|rule| rule.name).collect::<Vec<_>>());
    for rule in listed {
        // GitHub Docs, "SARIF support for code scanning": what is needed, and 1,024 characters at most, 255 in a name.
        for part in ["shortDescription", "fullDescription"] {
            let text = rule[part]["text"].as_str().unwrap();
            assert!(text.contains(' ') && text.chars().count() <= 1024, "{part} of {}", rule["id"]);
            assert!(text.ends_with(['.', ')', '"']) && !text.contains(['`', '\n']), "{part} of {}: {text}", rule["id"]);
        }
        assert!(!rule["help"]["text"].as_str().unwrap().is_empty() && rule["help"]["markdown"].is_string());
        assert!(rule["name"].as_str().unwrap().chars().count() <= 255);
        // The SARIF 2.1.0 schema: a URI, so with a scheme.
        assert!(rule["helpUri"].as_str().unwrap().starts_with("https://"), "{}", rule["id"]);
        assert!(["error", "warning", "note"].contains(&rule["defaultConfiguration"]["level"].as_str().unwrap()));
        assert_eq!(rule["properties"]["tags"].as_array().unwrap().len(), 1);
    }
    // Titles and names tell rules apart.
    for part in ["/shortDescription/text", "/name"] {
        let printed: BTreeSet<&str> = listed.iter().map(|rule| rule.pointer(part).unwrap().as_str().unwrap()).collect();
        assert_eq!(printed.len(), listed.len(), "{part}");
    }
    for result in sarif["runs"][0]["results"].as_array().unwrap() {
        assert_eq!(listed[number(&result["ruleIndex"])]["id"], result["ruleId"]);
    }
}

#[test]
fn no_form_tells_who_the_patient_is() {
    // The identifiers of the base record; its notes begin with these words.
    for (format, name, _) in OutputFormat::ALL {
        let text = written(*format, Style::default(), &some_files());
        for identifier in ["P-0007", "QM-0007", "upper left lateral", "did not come"] {
            assert!(!text.contains(identifier), "{name} tells {identifier}");
        }
    }
}
