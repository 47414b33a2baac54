//! The outputs: each is read back with another program's reader and compared with the files that were checked.

mod documented;
mod fingerprints;
mod machines;
mod people;

pub(crate) use oar_testing::BASE;
use oar_testing::page;
use open_aligner_record::Checker;
use open_aligner_record::finding::Item;
use open_aligner_record::output::{OutputFormat, Style};
use open_aligner_record::run::Event;
use open_aligner_record::summary::Summary;

/// A file with its name.
type File<'a> = (&'a str, Vec<u8>);

/// What is written about some files in one form.
fn written(format: OutputFormat, style: Style, files: &[File<'_>]) -> String {
    let (mut out, mut summary) = (Vec::new(), Summary::default());
    summary.fixable = Some(0);
    let mut printer = format.printer(style);
    printer.event(&mut out, &Event::Begin).unwrap();
    for (file, text) in files {
        printer.event(&mut out, &Event::File(file)).unwrap();
        let found = Checker::new().check(text).into_findings();
        for finding in &found {
            summary.count(finding);
            printer.event(&mut out, &Event::Finding(Item { file, record: 1, finding })).unwrap();
        }
        summary.files += 1;
        summary.records += 1;
        summary.records_with_findings += u64::from(!found.is_empty());
        summary.bytes += text.len() as u64;
        printer.event(&mut out, &Event::FileEnd { file, records: 1 }).unwrap();
        printer.event(&mut out, &Event::Records { system: "quillmere-chart", records: 1 }).unwrap();
    }
    printer.event(&mut out, &Event::End(&summary)).unwrap();
    String::from_utf8(out).unwrap()
}

/// The base record after an edit; see `tests/support/src/page.rs` for how one is written.
fn edited(edit: &[&str]) -> Vec<u8> {
    let edit: Vec<String> = edit.iter().map(|line| (*line).to_owned()).collect();
    page::edited(BASE, &edit)
}

/// A record with one broken rule, one value of which the text is known.
fn backwards() -> Vec<u8> {
    edited(&["/wear_periods/1/to = \"2031-01-05\""])
}

/// A file name with everything that some form has to escape.
const NASTY: &str = "a b/ü#%:,<>&\".oar.json";

/// Files of several kinds: two alike, a clean one, one that is no JSON, one with several findings.
fn some_files() -> Vec<File<'static>> {
    vec![
        ("one.oar.json", backwards()),
        ("two.oar.json", backwards()),
        ("clean.oar.json", BASE.as_bytes().to_vec()),
        ("cut.oar.json", BASE.as_bytes()[..500].to_vec()),
        (NASTY, edited(&["/patient/sex = 7", "/dentition/absent = [1, 99]", "/status/stat = 1"])),
    ]
}

/// How many findings the checker has about those files.
fn count(files: &[File<'_>]) -> usize {
    files.iter().map(|(_, text)| Checker::new().check(text).len()).sum()
}

/// The lines of `jsonl` as values.
fn lines(files: &[File<'_>]) -> Vec<serde_json::Value> {
    let text = written(OutputFormat::Jsonl, Style::default(), files);
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}
