//! The examples on the pages of signals: each edit of the base record, on its day, raises what the page shows.

use oar_testing::{BASE, page};
use open_aligner_record::review::{Reviewer, Signal, signals};
use open_aligner_record::time::Date;
use open_aligner_record::{Checker, ReadError, page as pages};

/// An edit, the day of the review, and the lines that it raises.
struct Example {
    edit: Vec<String>,
    day: Option<Date>,
    lines: Vec<String>,
}

fn examples(signal: &Signal, heading: &str) -> Vec<Example> {
    let section = pages::section(signal.page, heading).unwrap_or_default();
    let mut found: Vec<Example> = Vec::new();
    let mut block = "";
    for line in section.lines() {
        match (line, block) {
            ("```edit", "") => {
                block = "edit";
                found.push(Example { edit: Vec::new(), day: None, lines: Vec::new() });
            }
            ("```signals", "") => block = "signals",
            ("```", _) => block = "",
            (line, "edit") => match line.strip_prefix("as of ") {
                Some(day) => found.last_mut().unwrap().day = Some(Date::parse(day.as_bytes()).unwrap()),
                None => found.last_mut().unwrap().edit.push(line.to_owned()),
            },
            (line, "signals") => found.last_mut().unwrap().lines.push(line.to_owned()),
            _ => {}
        }
    }
    found
}

/// What the record of an example raises under the name of a signal, as its page shows it.
fn raised(signal: &Signal, example: &Example) -> Vec<String> {
    let text = page::edited(BASE, &example.edit);
    let record = match Checker::new().read(&text) {
        Ok(record) => record,
        Err(ReadError::Findings(findings)) => {
            return findings.iter().map(|finding| format!("{}: {}", finding.rule.name, finding.message())).collect();
        }
        Err(error) => panic!("{}: {error}", signal.name),
    };
    let review = Reviewer::default().review(record, example.day);
    let own = review.raised.iter().filter(|raised| raised.signal == signal);
    own.flat_map(|raised| {
        let first = format!("{}: {}", raised.priority.as_str(), raised.message());
        [first, format!("  {}", raised.pointers().join(" "))]
    })
    .collect()
}

#[test]
fn each_signal_is_raised_and_stays_quiet_as_its_page_shows() {
    let mut wrong = Vec::new();
    for signal in signals::all() {
        for (heading, raises) in [("Raised", true), ("Quiet", false)] {
            let examples = examples(signal, heading);
            assert!(!examples.is_empty(), "{} has no example under {heading}", signal.name);
            for example in examples {
                assert_eq!(!example.lines.is_empty(), raises, "{} {heading}", signal.name);
                let printed = raised(signal, &example);
                if printed != example.lines {
                    wrong.push(format!(
                        "{} {:?} {:?}\n  page {:#?}\n  told {printed:#?}",
                        signal.name, example.edit, example.day, example.lines
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_page_says_what_the_signal_is_why_and_where_it_comes_from() {
    for signal in signals::all() {
        let page = signal.page;
        assert!(
            page.starts_with(&format!("# {}\n\n**{}** · ", signal.name, signal.priority.words())),
            "{}",
            signal.name
        );
        assert!(!pages::summary(page).is_empty(), "{}", signal.name);
        assert!(pages::templates(page).any(|line| line.starts_with("consider:")), "{}", signal.name);
        for heading in ["Why", "Source"] {
            assert!(pages::section(page, heading).is_some_and(|text| !text.is_empty()), "{}: {heading}", signal.name);
        }
    }
}
