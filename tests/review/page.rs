//! The pages of a review: what their tables say agrees with the values, and nothing of a record's free text gets in.

#![allow(clippy::cast_precision_loss, clippy::float_cmp, reason = "small whole numbers")]
#![allow(clippy::cognitive_complexity, reason = "one page is looked at from many sides")]

use std::collections::BTreeMap;
use std::fs;

use oar_testing::BASE;
use oar_testing::markup::as_xml;
use oar_testing::repository::files;
use open_aligner_record::Checker;
use open_aligner_record::finding::Finding;
use open_aligner_record::record::{Extensions, Record};
use open_aligner_record::review::clinic::Clinic;
use open_aligner_record::review::entry::{Entry, First};
use open_aligner_record::review::{Priority, Review, Reviewer, page};
use open_aligner_record::rule::Level;
use open_aligner_record::time::Date;
use roxmltree::{Document, Node};

fn reviewed(text: &str, day: Option<&str>) -> Review {
    let record = Checker::new().read(text.as_bytes()).unwrap();
    Reviewer::default().review(record, day.and_then(|day| Date::parse(day.as_bytes())))
}

/// The records of the demo, and what the checker finds in them.
fn demo() -> Vec<(Review, Vec<(Level, &'static str)>)> {
    let files = files("datasets/demo", ".oar.json");
    let one = |file| {
        let text = fs::read_to_string(file).unwrap();
        let level = |finding: &Finding| (finding.level, finding.rule.name);
        let found = Checker::new().check(text.as_bytes()).iter().map(level).collect();
        (reviewed(&text, None), found)
    };
    files.iter().map(one).collect()
}

struct Small {
    reviews: Vec<Review>,
    clinic: Clinic,
    list: Vec<Entry>,
    page: String,
}

/// The demo as a clinic, with the base record on a day on which a tooth lags, and two records that have errors.
fn small() -> Small {
    let mut found = demo();
    found.push((reviewed(BASE, Some("2031-03-07")), Vec::new()));
    let (mut clinic, mut first) = (Clinic::default(), First::new(100));
    for (review, findings) in &found {
        clinic.add(review, findings);
        first.add(Entry::of(review));
    }
    clinic.refuse(&[(Level::Error, "worn_backwards"), (Level::Error, "worn_backwards")]);
    clinic.refuse(&[(Level::Error, "worn_backwards"), (Level::Warning, "two_visits_same_day")]);
    let list = first.into_list();
    let page = page::clinic(&list, list.len() as u64, &clinic);
    Small { reviews: found.into_iter().map(|one| one.0).collect(), clinic, list, page }
}

fn text_of(node: Node<'_, '_>) -> String {
    node.descendants().filter(Node::is_text).filter_map(|one| one.text()).collect()
}

fn tags<'a>(node: Node<'a, 'a>, name: &'static str) -> Vec<Node<'a, 'a>> {
    node.descendants().filter(|one| one.has_tag_name(name)).collect()
}

/// The rows of the table whose caption begins so, without its head; each as its cells.
fn rows(page: &str, caption: &str) -> Vec<Vec<String>> {
    let page = as_xml(page);
    let document = Document::parse(&page).unwrap();
    let begins = |table: &&Node<'_, '_>| {
        table.children().any(|child| child.has_tag_name("caption") && text_of(child).starts_with(caption))
    };
    let tables = tags(document.root(), "table");
    let table = tables.iter().find(begins).unwrap_or_else(|| panic!("no table is called {caption}"));
    let cells = |row: Node<'_, '_>| row.children().filter(Node::is_element).map(text_of).collect();
    tags(*table, "tbody").iter().flat_map(|body| tags(*body, "tr")).map(cells).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

#[test]
fn the_worklist_has_every_record_that_raises_something_under_its_rank() {
    let small = small();
    for priority in Priority::ALL {
        let of: Vec<&Entry> = small.list.iter().filter(|entry| entry.priority() == Some(priority)).collect();
        let words = priority.words();
        let caption = format!("{}{}:", words[..1].to_uppercase(), &words[1..]);
        if of.is_empty() {
            assert!(!small.page.contains(&format!("<caption>{caption}")));
            continue;
        }
        let rows = rows(&small.page, &caption);
        assert_eq!(rows.len(), of.len());
        for (row, entry) in rows.iter().zip(of) {
            assert_eq!(row[0], entry.id);
            for raised in &entry.raised {
                assert!(row[2].contains(&raised.message()), "{}: {}", entry.id, raised.message());
                assert!(row[2].contains(raised.consider().unwrap().trim_end_matches('.')));
                assert!(raised.pointers().iter().all(|pointer| row[2].contains(pointer)));
            }
            if let Some([_, tray, trays]) = entry.tray {
                let each = entry.values.per_arch.filter(|[upper, lower]| upper.tray != lower.tray);
                let printed = each.map_or(format!("{tray}/{trays}"), |[upper, _]| {
                    upper.tray.map_or("upper none".to_owned(), |tray| format!("upper {tray}/{}", upper.trays))
                });
                assert!(row[1].starts_with(&printed), "{} {printed}", row[1]);
            }
        }
    }
}

#[test]
fn what_is_not_shown_is_counted() {
    let small = small();
    let page = page::clinic(&small.list[..2], 14, &small.clinic);
    assert!(page.contains("And 12 more"));
    assert!(!page.contains(&format!("<th scope=\"row\">{}</th>", small.list[2].id)));
}

#[test]
fn the_wear_tables_count_every_record_with_a_log() {
    let small = small();
    for (caption, step, of) in [
        ("Wear share", 2.0, (|review: &Review| review.values.wear_share) as fn(&Review) -> Option<f64>),
        ("Days logged", 5.0, |review| review.values.days_logged),
    ] {
        let shares: Vec<f64> =
            small.reviews.iter().filter_map(of).map(|share| (share * 10_000.0).round() / 100.0).collect();
        let rows = rows(&small.page, caption);
        assert_eq!(rows.iter().map(|row| number(&row[2])).sum::<f64>(), shares.len() as f64);
        for row in rows {
            let (from, to) = (number(&row[0]), number(&row[1]));
            assert!((to - from - step).abs() < 1e-9);
            let count = shares.iter().filter(|share| **share >= from && **share < to).count();
            assert_eq!(number(&row[2]), count as f64, "{caption} from {from}");
        }
    }
}

#[test]
fn the_tracking_table_agrees_with_the_latest_check_ins() {
    let small = small();
    let mut seen: BTreeMap<u8, (u64, u64, f64)> = BTreeMap::new();
    for review in &small.reviews {
        let Some(last) = review.record.check_ins.as_ref().and_then(|all| all.last()) else { continue };
        for gap in last.fit_gaps.iter().flatten() {
            let (n, lags, sum) = seen.entry(gap.tooth.fdi()).or_default();
            *n += 1;
            *lags += u64::from(gap.gap_mm.0 >= 50);
            *sum += gap.gap_mm.as_f64();
        }
    }
    assert!(seen.values().any(|(_, lags, _)| *lags > 0), "a tooth lags");
    let rows = rows(&small.page, "Teeth that lag");
    assert_eq!(rows.len(), seen.len());
    for (row, (tooth, (n, lags, sum))) in rows.iter().zip(seen) {
        assert_eq!((number(&row[0]), number(&row[2]), number(&row[3])), (f64::from(tooth), n as f64, lags as f64));
        assert!((number(&row[4]) - 100.0 * lags as f64 / n as f64).abs() <= 0.0501);
        assert!((number(&row[5]) - sum / n as f64).abs() <= 0.0051);
    }
}

#[test]
fn the_times_signals_and_states_agree_with_the_counts() {
    let small = small();
    let events = |caption: &str| rows(&small.page, caption).iter().map(|row| number(&row[2])).sum::<f64>();
    let finished = small.reviews.iter().filter(|review| review.record.status.state.as_str() == "finished").count();
    assert!(finished > 0);
    assert_eq!(events("Time to finish"), finished as f64);
    let refined = small.reviews.iter().filter(|review| review.record.series.iter().any(|one| one.number > 0)).count();
    assert_eq!(events("Time to the first refinement"), refined as f64);
    let curve = small.clinic.to_finish.curve();
    let steps = curve.steps.iter().filter(|step| step.events > 0);
    for (row, step) in rows(&small.page, "Time to finish").iter().zip(steps) {
        assert_eq!([&row[0], &row[1]], [&step.day.to_string(), &step.at_risk.to_string()]);
        assert!((number(&row[3]) - 100.0 * step.without).abs() <= 0.0501);
    }
    let printed: BTreeMap<String, String> = rows(&small.page, "Records that raise each signal")
        .into_iter()
        .map(|row| (row[0].clone(), row[1].clone()))
        .collect();
    let counted = small.clinic.signals.iter().map(|(name, count)| (name.replace('_', " "), count.to_string()));
    assert_eq!(printed, counted.collect());
    let states = rows(&small.page, "Records in each state");
    assert_eq!(states.iter().map(|row| number(&row[1])).sum::<f64>(), small.reviews.len() as f64);
}

#[test]
fn data_quality_counts_records_not_findings() {
    let small = small();
    let rows = rows(&small.page, "Records with findings of each rule");
    assert_eq!(rows[0], ["worn backwards", "error", "2"]);
    assert_eq!(rows.len(), small.clinic.findings.len());
    let all = small.reviews.len() + 2;
    assert!(small.page.contains(&format!("2 of the {all} records have errors and were skipped.")));
}

#[test]
fn the_tables_of_a_patient_agree_with_the_record() {
    let review = reviewed(BASE, None);
    let page = page::patient(&review);
    let worn = rows(&page, "Wear periods");
    assert_eq!(worn.len(), 11);
    assert_eq!(worn[2], ["0", "3", "both", "2031-02-17", "2031-02-27", "10", "3", "advanced"]);
    assert_eq!(worn[3][7], "stepped back");
    assert_eq!(worn[7][5..7], ["21", "14"]);
    assert_eq!(worn[10], ["1", "3", "both", "2031-05-05", "still in", "5", "0", ""]);
    let hours: Vec<Vec<String>> = rows(&page, "Hours of wear");
    let logged = hours.iter().flat_map(|week| &week[1..]).filter(|cell| cell.parse::<f64>().is_ok()).count();
    assert_eq!(logged, 14);
    let week = hours.iter().find(|week| week[0] == "2031-03-17").unwrap();
    // Sunday, 2031-03-23: 1256 minutes.
    assert_eq!(week[7], "20.9");
    assert_eq!(week[1], "–", "a tray was in, and nothing is known");
    let gaps = rows(&page, "Fit gaps of teeth that lagged");
    let of_22: Vec<&str> = gaps.iter().filter(|row| row[0] == "22").map(|row| row[2].as_str()).collect();
    assert_eq!(of_22, ["0.1", "0.6", "1.1", "0.2", "0.6", "0.2", "0.1"]);
    assert!(gaps.iter().all(|row| (row[3] == "yes") == (number(&row[2]) >= 0.5)));
    let teeth: Vec<&str> = gaps.iter().map(|row| row[0].as_str()).collect();
    assert!(teeth.contains(&"33") && !teeth.contains(&"13"), "13 never lagged");
    let life: Vec<[String; 2]> = rows(&page, "Attachments:")
        .into_iter()
        .filter(|row| row[0] == "A22")
        .map(|row| [row[3].clone(), row[4].clone()])
        .collect();
    let happened = [
        ["2031-02-03", "bonded"],
        ["2031-03-06", "debonded"],
        ["2031-03-06", "found debonded"],
        ["2031-03-10", "bonded"],
        ["2031-04-17", "removed"],
    ];
    assert_eq!(life, happened);
    let dates = rows(&page, "What is due");
    assert!(dates.iter().any(|row| row[0] == "check-in" && row[1].starts_with("2031-05-11")), "{dates:?}");
    assert!(dates.iter().any(|row| ["likely", "end of the series"].contains(&row[0].as_str())), "{dates:?}");
    let values = rows(&page, "Derived values");
    assert!(values.contains(&["treatment day", "96", "days"].map(str::to_owned).to_vec()));
    assert_eq!(values.len(), 18);
}

#[test]
fn every_page_is_whole_and_needs_nothing_else() {
    let mut pages = vec![small().page, page::clinic(&[], 0, &Clinic::default())];
    pages.extend(demo().iter().map(|(review, _)| page::patient(review)));
    for page in &pages {
        for word in ["http", "<script", "javascript", "url(", "@import", "src=", " on\u{6c}oad"] {
            assert!(!page.contains(word), "{word}");
        }
        assert!(page.contains("not a medical device") && page.contains("Licensed clinicians"));
        let page = as_xml(page);
        let document = Document::parse(&page).unwrap();
        let html = document.root_element();
        assert_eq!(html.attribute("lang"), Some("en"));
        assert_eq!(
            [tags(html, "main").len(), tags(html, "h1").len(), tags(html, "title").len() - tags(html, "svg").len()],
            [1; 3]
        );
        for figure in tags(html, "figure") {
            assert!(
                !tags(figure, "figcaption").is_empty()
                    && !tags(figure, "table").is_empty()
                    && !tags(figure, "svg").is_empty()
            );
        }
        for svg in tags(html, "svg") {
            assert_eq!(svg.attribute("role"), Some("img"));
            assert!(svg.first_element_child().unwrap().has_tag_name("title"));
        }
        for table in tags(html, "table") {
            assert!(table.first_element_child().unwrap().has_tag_name("caption"));
            assert!(tags(table, "th").iter().all(|head| head.has_attribute("scope")));
        }
        assert!(headings_are_in_order(html));
    }
}

/// No heading is more than one step deeper than the one before.
fn headings_are_in_order(html: Node<'_, '_>) -> bool {
    let level = |node: Node<'_, '_>| match node.tag_name().name().as_bytes() {
        [b'h', level @ b'1'..=b'6'] => Some(level - b'0'),
        _ => None,
    };
    let levels: Vec<u8> = html.descendants().filter_map(level).collect();
    levels[0] == 1 && levels.windows(2).all(|pair| pair[1] <= pair[0] + 1)
}

#[test]
fn no_free_text_gets_in_and_everything_is_escaped() {
    let mut record: Record = serde_json::from_str(BASE).unwrap();
    let note = "Zyxwv Quimby was here";
    record.check_ins.iter_mut().flatten().for_each(|one| one.note = Some(note.to_owned()));
    record.appointments.iter_mut().flatten().for_each(|one| one.note = Some(note.to_owned()));
    let extension = Extensions(serde_json::from_str(r#"{"org.example.quillmere": {"by": "Zyxwv"}}"#).unwrap());
    record.extensions = Some(extension);
    // No identifier of a checked record looks like this; a page is safe all the same.
    record.id.0 = "<b>\"&'".to_owned();
    record.patient.id.0 = "</p><i>".to_owned();
    record.series[1].attachments.as_mut().unwrap()[0].id.0 = "<u>".to_owned();
    for event in record.attachment_events.iter_mut().flatten().filter(|event| event.attachment.0 == "B13") {
        event.attachment.0 = "<u>".to_owned();
    }
    let review = Reviewer::default().review(record, None);
    let mut clinic = Clinic::default();
    clinic.add(&review, &[]);
    for page in [page::patient(&review), page::clinic(&[Entry::of(&review)], 1, &clinic)] {
        assert!(!page.contains("Zyxwv") && !page.contains("org.example"));
        assert!(page.contains("&lt;b&gt;&quot;&amp;"));
        let page = as_xml(&page);
        let document = Document::parse(&page).unwrap();
        assert!(tags(document.root(), "i").is_empty() && tags(document.root(), "u").is_empty());
    }
}
