//! The command `oar realism`.

use serde_json::Value;

use oar_testing::{BASE, DEMO, Folder, wrong};

fn cohort() -> Folder {
    let broken = format!("{DEMO}{}\n", wrong());
    Folder::with(&[("cohort.oar.jsonl", broken.as_bytes()), ("more/base.oar.json", BASE.as_bytes())])
}

#[test]
fn text_counts_records_and_says_that_it_is_test_data() {
    let printed = cohort().oar(&["realism", "."]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    assert!(printed.out.starts_with("13 records compared with "), "{}", printed.out);
    assert!(printed.out.contains("1 more skipped"), "{}", printed.out);
    assert!(printed.out.contains("not a medical device"));
    assert!(printed.out.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn records_that_do_not_say_that_they_were_made_up_are_told() {
    let mut real: Value = serde_json::from_str(BASE).unwrap();
    real["source"].as_object_mut().unwrap().remove("synthetic");
    let folder = Folder::with(&[("a.oar.json", real.to_string().as_bytes()), ("b.oar.json", BASE.as_bytes())]);
    assert!(folder.oar(&["realism", "."]).out.contains("\n1 record is not marked as synthetic."));
    assert!(folder.oar(&["realism", "b.oar.json"]).out.contains("\nSynthetic test data."));
}

#[test]
fn json_has_every_row_and_the_same_bytes_for_any_number_of_threads() {
    let folder = cohort();
    let json = folder.oar(&["realism", "--output", "json", "--threads", "1", "."]).out;
    for threads in ["2", "7"] {
        assert_eq!(json, folder.oar(&["realism", "--output", "json", "--threads", threads, "."]).out);
    }
    let report: Value = serde_json::from_str(&json).unwrap();
    let rows = report["statistics"].as_array().unwrap();
    assert!(rows.len() >= 60);
    let counts: u64 = report["verdicts"].as_object().unwrap().values().map(|count| count.as_u64().unwrap()).sum();
    assert_eq!(counts, rows.len() as u64);
    assert_eq!(report["cohort"]["recipes"]["quillmere-by-hand"], 13);
}

#[test]
fn the_page_is_whole_and_needs_nothing_else() {
    let folder = cohort();
    let printed = folder.oar(&["realism", "--min-count", "2", "-o", "html=report.html", "-o", "text", "."]);
    assert_eq!(printed.code, Some(0));
    let page = folder.read("report.html");
    let xml = oar_testing::markup::as_xml(&page);
    let document = roxmltree::Document::parse(&xml).unwrap();
    let tags = |name: &str| document.descendants().filter(|node| node.has_tag_name(name)).count();
    assert_eq!(tags("script") + tags("link") + tags("img"), 0);
    assert!(tags("svg") > 20 && tags("figure") > 8, "{} plots", tags("svg"));
    for figure in document.descendants().filter(|node| node.has_tag_name("figure")) {
        assert!(figure.children().any(|child| child.has_tag_name("figcaption")));
    }
    assert!(!page.contains("http"), "nothing is fetched");
    assert!(page.contains("prefers-color-scheme: dark") && page.contains("not a medical device"));
    assert!(!folder.path().join("report.html.part").exists());
    assert!(!folder.path().join("report.html.partial").exists());
}

#[test]
fn what_lies_outside_fails_when_asked_to() {
    let folder = cohort();
    assert_eq!(folder.oar(&["realism", "--min-count", "2", "--fail-outside", "."]).code, Some(1));
    assert_eq!(folder.oar(&["realism", "--min-count", "1000", "--fail-outside", "."]).code, Some(0));
}

#[test]
fn what_cannot_be_done_is_said_and_gives_2() {
    let folder = cohort();
    for (arguments, said) in [
        (vec!["realism", "nowhere"], "nowhere: there is no such file or folder"),
        (
            vec!["realism", "-o", "htlm", "."],
            "--output htlm: unknown format (did you mean html?)\n  help: formats are text, json, html",
        ),
        (vec!["realism", "-o", "json=", "."], "give a file after the ="),
        (vec!["realism", "-o", "json=more/base.oar.json", "."], "write the report to another file"),
        (vec!["realism", "-o", "json=gone/report.json", "."], "its folder does not exist"),
        (vec!["realism", "--threads", "0", "."], "give a number from 1 to 1024"),
        (vec!["realism"], "no input given"),
    ] {
        let printed = folder.oar(&arguments);
        assert_eq!(printed.code, Some(2), "{arguments:?}");
        assert!(printed.errors.contains(said), "{arguments:?}: {}", printed.errors);
    }
    assert_eq!(folder.read("more/base.oar.json"), BASE);
}

#[test]
fn a_file_that_breaks_off_gives_2_and_the_rest_is_counted() {
    let cut = {
        let mut packed = Vec::new();
        let mut encoder = flate2::write::GzEncoder::new(&mut packed, flate2::Compression::default());
        std::io::Write::write_all(&mut encoder, DEMO.as_bytes()).unwrap();
        encoder.finish().unwrap();
        packed[4] ^= 0xff;
        let middle = packed.len() / 2;
        packed[middle..].fill(0);
        packed
    };
    let folder = cohort();
    std::fs::write(folder.path().join("damaged.oar.jsonl.gz"), &cut).unwrap();
    let printed = folder.oar(&["realism", "."]);
    assert_eq!(printed.code, Some(2));
    assert!(printed.errors.contains("damaged.oar.jsonl.gz: it breaks off"), "{}", printed.errors);
    assert!(printed.out.contains("records compared with"), "{}", printed.out);
}

#[test]
fn a_cohort_without_a_record_is_an_error_and_no_report() {
    let folder = Folder::with(&[("empty.oar.jsonl", b""), ("wrong.oar.jsonl", wrong().as_bytes())]);
    for (cohort, said) in [
        ("empty.oar.jsonl", "error: no record could be read\n"),
        ("wrong.oar.jsonl", "error: no record is valid; oar check reports the errors\n"),
        ("nope", "error: nope: there is no such file or folder\nerror: no record could be read\n"),
    ] {
        let printed = folder.oar(&["realism", "--fail-outside", cohort]);
        assert_eq!((printed.code, printed.out.as_str(), printed.errors.as_str()), (Some(2), "", said));
    }
}

#[test]
fn two_reports_in_one_place_are_refused() {
    for second in ["html", "html=-"] {
        let printed = cohort().oar(&["realism", ".", "-o", "text", "-o", second]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""));
        assert!(printed.errors.contains("two outputs would go to standard output"), "{}", printed.errors);
    }
}
