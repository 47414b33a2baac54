//! Calendar arithmetic against Python's datetime and calendar modules: every day of the years that a record may name.
//!
//! `references/days.py` makes `references/days.csv` and says what its rows are.

use oar_schema::time::{Date, Instant};

const TABLE: &str = include_str!("references/days.csv");

fn rows(kind: &str) -> impl Iterator<Item = Vec<&'static str>> {
    TABLE.lines().map(|line| line.split(',').collect::<Vec<_>>()).filter(move |row| row[0] == kind)
}

/// Year, month, number of the first day, and how many days.
fn months() -> impl Iterator<Item = [i32; 4]> {
    rows("month").map(|row| [1, 2, 3, 4].map(|field| row[field].parse().expect("a number")))
}

#[test]
fn every_day_has_the_number_that_python_gives_and_leads_back_to_itself() {
    let mut count = 0;
    for [year, month, first, length] in months() {
        for day in 1..=length {
            let date = Date::new(year, month, day).unwrap();
            let text = format!("{year:04}-{month:02}-{day:02}");
            assert_eq!(date.0, first + day - 1, "{text}");
            assert_eq!(date.civil(), (year, month, day));
            assert_eq!(Date::parse(text.as_bytes()), Some(date));
            assert_eq!(date.to_string(), text);
            count += 1;
        }
    }
    // 300 years of the Gregorian calendar with 73 leap days (1900 and 2100 have none, 2000 has one).
    assert_eq!(count, 300 * 365 + 73);
}

#[test]
fn days_beyond_the_end_of_a_month_do_not_exist() {
    for [year, month, _, length] in months() {
        for day in [0, length + 1, 32, 99] {
            assert_eq!(Date::new(year, month, day), None);
            assert_eq!(Date::parse(format!("{year:04}-{month:02}-{day:02}").as_bytes()), None);
        }
    }
}

#[test]
fn instants_are_the_seconds_that_python_counts() {
    for row in rows("instant") {
        let at = Instant::parse(row[1].as_bytes()).unwrap_or_else(|| panic!("{} is an instant", row[1]));
        assert_eq!(at.seconds, row[2].parse::<i64>().unwrap(), "{}", row[1]);
        assert_eq!(at.nanoseconds, row[3].parse::<u32>().unwrap(), "{}", row[1]);
        assert_eq!(at.written_date().to_string(), row[1][..10], "{}", row[1]);
    }
}

#[test]
fn instants_lead_back_to_the_text_that_they_were_read_from() {
    for row in rows("instant") {
        let at = Instant::parse(row[1].as_bytes()).unwrap();
        assert_eq!(at.to_string(), row[1]);
    }
}

#[test]
fn a_day_is_written_with_two_digits_for_month_and_day_and_four_for_the_year() {
    let first = Date::new(1900, 1, 1).expect("a day");
    for day in (0..110_000).map(|days| first.plus_days(days)).chain([Date(-800_000), Date(3_000_000)]) {
        let (year, month, day_of_month) = day.civil();
        let text = format!("{year:04}-{month:02}-{day_of_month:02}");
        assert_eq!(day.to_string(), text);
        assert_eq!(serde_json::to_string(&day).unwrap(), format!("\"{text}\""));
    }
}
