//! The examples in `docs/reference/outputs.md` are what is written. `UPDATE=1 cargo test --test library outputs::documented` puts them in.

use std::fs;

use oar_testing::repository::{is_current, root};
use open_aligner_record::output::{OutputFormat, Style};

use super::{BASE, backwards, written};

/// What the page shows of a format: all of it, but for the list of rules in SARIF and the place of a rule in it, which
/// change with every new rule.
fn example(format: OutputFormat) -> String {
    let files = [("quillmere/0007.oar.json", backwards()), ("quillmere/0008.oar.json", BASE.as_bytes().to_vec())];
    let text = written(format, Style::default(), &files);
    if format != OutputFormat::Sarif {
        return text;
    }
    let (before, rest) = text.split_once("\"rules\":[\n").unwrap();
    let (_, after) = rest.split_once("\n]}}").unwrap();
    let (head, tail) = after.split_once("\"ruleIndex\":").unwrap();
    let tail = tail.trim_start_matches(|letter: char| letter.is_ascii_digit());
    format!("{before}\"rules\":[\n…\n]}}}}{head}\"ruleIndex\":…{tail}")
}

/// The page with the example of a format put in.
fn with_example(page: &str, name: &str, example: &str) -> String {
    let mark = format!("<!-- example {name} -->\n");
    let (before, rest) = page.split_once(&mark).unwrap_or_else(|| panic!("the page has no example of {name}"));
    let (fence, rest) = rest.split_once('\n').unwrap();
    let (_, after) = rest.split_once("\n```\n").unwrap();
    format!("{before}{mark}{fence}\n{}\n```\n{after}", example.trim_end())
}

#[test]
fn the_page_about_outputs_shows_what_is_written() {
    let page = fs::read_to_string(root().join("docs/reference/outputs.md")).unwrap();
    let put_in = |page: String, format: &(OutputFormat, &str, &str)| with_example(&page, format.1, &example(format.0));
    let fresh = OutputFormat::ALL.iter().fold(page, put_in);
    is_current("docs/reference/outputs.md", fresh, "cargo test --test library outputs::documented");
}
