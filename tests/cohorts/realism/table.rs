//! `datasets/references/published.csv`: rows are whole, and their intervals follow from what they say.

use std::collections::BTreeSet;

use oar_schema::norms::crown_widths;
use open_aligner_record::realism::published::{self, Comparable, Published, Tag};
use open_aligner_record::realism::{GROUPS, measures};
use open_aligner_record::statistics::{Share, normal_quantile};
use open_aligner_record::teeth::Tooth;

fn rows() -> Vec<Published> {
    published::read(published::TABLE).unwrap()
}

#[test]
fn there_are_many_and_each_has_an_id_of_its_own() {
    let rows = rows();
    let ids: BTreeSet<&str> = rows.iter().map(|row| row.id.as_str()).collect();
    assert_eq!(ids.len(), rows.len());
    assert!(rows.iter().filter(|row| row.comparable != Comparable::No).count() >= 60);
    for row in &rows {
        assert!(row.id.chars().all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '_'));
    }
}

#[test]
fn every_row_says_what_it_is_and_where_it_is_from() {
    for row in rows() {
        let Published { id, what, theme, unit, authors, interval_from, .. } = &row;
        for text in [what, theme, unit, authors, interval_from] {
            assert!(!text.is_empty() && text.trim() == text, "{id}: {text:?}");
        }
        assert!(row.doi.is_empty() || row.doi.starts_with("10."), "{id}: {}", row.doi);
        assert!(row.year.is_empty() || row.year.parse::<u32>().is_ok_and(|year| (1900..2100).contains(&year)), "{id}");
        let read = matches!(row.tag, Tag::Verified | Tag::Secondary | Tag::Derived);
        assert!(!read || !row.place.is_empty(), "{id}: where in the source");
        assert!(row.comparable == Comparable::Yes || !row.note.is_empty(), "{id}: a note is missing");
        let assumed = interval_from.starts_with("margin") || interval_from == "third_of_sd";
        assert!(
            !assumed
                || row.note.contains("margin")
                || row.note.contains("how many")
                || row.comparable == Comparable::No,
            "{id}: an assumed interval without its reason"
        );
    }
}

#[test]
fn every_statistic_is_of_a_measure_and_a_group_that_are_there() {
    let mut used = BTreeSet::new();
    for row in rows() {
        if row.statistic.is_empty() {
            assert_eq!(row.comparable, Comparable::No, "{}", row.id);
            continue;
        }
        let statistic = row.statistic().unwrap_or_else(|| panic!("{}: {}", row.id, row.statistic));
        for asked in &statistic.of {
            assert!(measures::find(&asked.name[0]).is_some(), "{}: {}", row.id, asked.name[0]);
            assert!(GROUPS.iter().any(|(group, _)| *group == asked.group), "{}: {}", row.id, asked.group);
            used.insert(asked.name[0].clone());
        }
    }
    assert!(used.len() >= 35, "{} measures are used", used.len());
}

/// From memory: nobody read it for this table.
fn is_memory(row: &Published) -> bool {
    matches!(row.tag, Tag::MemoryHigh | Tag::MemoryMedium | Tag::MemoryLow)
}

#[test]
fn no_test_rests_on_a_number_that_nobody_read() {
    for row in rows().iter().filter(|row| is_memory(row)) {
        assert!(row.matters.is_empty(), "{}: a number from memory holds a test", row.id);
        assert!(row.place.is_empty(), "{}: a place in a text that nobody read", row.id);
    }
}

#[test]
fn every_publication_can_be_looked_up() {
    for row in rows().iter().filter(|row| row.authors != "common practice" && row.authors != "clinical reports") {
        assert!(!row.journal.is_empty(), "{}: no journal", row.id);
        assert_ne!(row.tag, Tag::Practice, "{}: common practice does not come from a study", row.id);
    }
}

/// Rows in which the study measured enamel on models, while a record has what the clinician wrote down; those of reviews that have
/// the studies of other rows among theirs; those of other treatments.
#[test]
fn what_measures_something_else_is_compared_with_caution() {
    let other =
        ["de_felice_2020_", "kalemaj_2021_", "weir_2021_", "lam_2023_", "timm_2022_", "rossini_2015_", "dai_2019_"];
    let of_models =
        |row: &Published| row.statistic.contains("reduction_done") || row.statistic.contains("reduction_short");
    let mut seen = 0;
    for row in rows().iter().filter(|row| of_models(row) || other.iter().any(|begin| row.id.starts_with(begin))) {
        assert_eq!(row.comparable, Comparable::Caution, "{}", row.id);
        seen += 1;
    }
    assert!(seen >= 17, "{seen} rows");
}

/// Simon 2014: 30 patients in three groups, one movement each.
#[test]
fn a_group_has_its_own_size() {
    for row in rows().iter().filter(|row| row.id.starts_with("simon_2014_") && row.id != "simon_2014_all") {
        assert_eq!(row.n, Some(10), "{}", row.id);
    }
    let n = |id: &str| rows().iter().find(|row| row.id == id).unwrap_or_else(|| panic!("{id}")).n;
    assert_eq!(
        (n("otago_2013_no_show"), n("otago_2019_no_show"), n("otago_2019_bonding")),
        (Some(2761), Some(3049), Some(209))
    );
    assert_eq!((n("de_felice_2020_upper"), n("de_felice_2020_lower")), (Some(29), Some(32)), "arches, not patients");
}

/// The interval that a row's `interval_from` makes of its value, spread and n; none where it is as printed.
fn made(row: &Published) -> Option<(f64, f64)> {
    let z = normal_quantile(0.975);
    let value = row.value?;
    let around = |half: f64| Some((value - half, value + half));
    let n = row.n.map(|n| n as f64);
    let from = row.interval_from.as_str();
    match from {
        "exact" => around(0.0),
        "mean_sd_n" => around(z * row.spread.parse::<f64>().unwrap() / n?.sqrt()),
        "third_of_sd" => around(row.spread.parse::<f64>().unwrap() / 3.0),
        "median_iqr_n" => around(z * 0.929 * quartile_width(row) / n?.sqrt()),
        "wilson" => {
            let yes = value / 100.0 * n?;
            Some(wilson(yes, n?))
        }
        _ if from.starts_with("margin:") => {
            let margin = from.strip_prefix("margin:")?;
            match margin.strip_suffix('%') {
                Some(percent) => around(value.abs() * percent.parse::<f64>().unwrap() / 100.0),
                None => around(margin.parse().unwrap()),
            }
        }
        _ if from.starts_with("katz:") => {
            let cells: Vec<u64> = from[5..].split([':', '/']).map(|cell| cell.parse().unwrap()).collect();
            let share = |at: usize| Share { yes: cells[at], of: cells[at + 1] };
            share(0).ratio(share(2)).unwrap().interval
        }
        _ => None,
    }
}

fn quartile_width(row: &Published) -> f64 {
    if row.spread_kind == "iqr_width" {
        return row.spread.parse().unwrap();
    }
    let (low, high) = row.spread.split_once('-').unwrap();
    high.parse::<f64>().unwrap() - low.parse::<f64>().unwrap()
}

/// Wilson's interval of a share that was published rounded, in percent.
fn wilson(yes: f64, n: f64) -> (f64, f64) {
    let (z, p) = (normal_quantile(0.975), yes / n);
    let (middle, whole) = (p + z * z / (2.0 * n), 1.0 + z * z / n);
    let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    (100.0 * (middle - half) / whole, 100.0 * (middle + half) / whole)
}

#[test]
fn intervals_follow_from_value_spread_and_n() {
    let mut computed = 0;
    for row in rows() {
        if let (Some(value), Some(low), Some(high)) = (row.value, row.low, row.high) {
            assert!(low <= value && value <= high, "{}: {low} {value} {high}", row.id);
        }
        if let Some((low, high)) = made(&row) {
            computed += 1;
            let within = |one: f64, other: f64| (one - other).abs() <= 2e-3 * one.abs().max(0.05);
            assert!(within(low, row.low.unwrap()) && within(high, row.high.unwrap()), "{}: {low} to {high}", row.id);
            continue;
        }
        let known = ["published_ci", "published_range", "across_studies", "direction"];
        assert!(known.contains(&row.interval_from.as_str()), "{}: {}", row.id, row.interval_from);
        assert_eq!(row.low.is_some() && row.high.is_some(), row.interval_from != "direction", "{}", row.id);
    }
    assert!(computed > 150, "{computed} intervals were computed again");
}

#[test]
fn what_is_printed_in_a_row_is_what_is_compared() {
    for row in rows()
        .iter()
        .filter(|row| ["published_ci", "published_range", "across_studies"].contains(&row.interval_from.as_str()))
    {
        if row.spread.is_empty() {
            continue;
        }
        let printed = format!("{}-{}", row.low.unwrap(), row.high.unwrap());
        let plain: String = row
            .spread
            .split('-')
            .map(|part| part.parse::<f64>().map_or(part.to_owned(), |n| n.to_string()))
            .collect::<Vec<_>>()
            .join("-");
        assert_eq!(printed, plain, "{}", row.id);
    }
}

/// The norms of the checker were typed from the same publication by another hand.
#[test]
fn crown_widths_are_those_that_the_checker_has() {
    let mut known = 0;
    for row in rows().iter().filter(|row| row.id.starts_with("moorrees_1957_")) {
        let statistic = row.statistic().unwrap();
        let [_, kind, _] = &statistic.of[0].name;
        let (arch, kind) = kind.split_once('_').unwrap();
        let kinds =
            ["central", "lateral", "canine", "first_premolar", "second_premolar", "first_molar", "second_molar"];
        let place = 1 + kinds.iter().position(|name| *name == kind).unwrap() as u8;
        let tooth = Tooth::new(if arch == "upper" { 10 } else { 40 } + place).unwrap();
        let [male, female] = crown_widths(tooth).unwrap();
        let norm = if statistic.of[0].group == "male" { male } else { female };
        assert_eq!((100.0 * row.value.unwrap()).round() as i32, norm.mean, "{}", row.id);
        assert_eq!((100.0 * row.spread.parse::<f64>().unwrap()).round() as i32, norm.sd, "{}", row.id);
        known += 1;
    }
    assert_eq!(known, 28);
}
