//! Dates in runs of digits.

use super::super::words::{before, begins};
use super::spans::DigitGroups;

/// A day, a month and a year as written; a year of two digits is below 100.
struct WrittenDate {
    day: u32,
    month: u32,
    year: u32,
}

impl WrittenDate {
    fn holds(&self) -> bool {
        (1..=31).contains(&self.day) && (1..=12).contains(&self.month)
    }

    /// Whether it can be a date in that year, written with four digits.
    fn is_of(&self, year: i32) -> bool {
        self.holds() && i64::from(self.year) == i64::from(year)
    }
}

fn value(digits: &[u8]) -> u32 {
    digits.iter().fold(0, |sum, digit| sum.saturating_mul(10).saturating_add(u32::from(digit.wrapping_sub(b'0'))))
}

/// The dates that three groups, or one group of eight digits, can mean.
fn readings(span: &DigitGroups<'_>) -> impl Iterator<Item = WrittenDate> {
    let threes = (0..span.groups()).filter_map(|at| three(span, at)).flatten();
    threes.chain(span.each().filter(|group| group.len() == 8).flat_map(eight))
}

fn three(span: &DigitGroups<'_>, at: usize) -> Option<[WrittenDate; 2]> {
    let by = span.between(at);
    if by != span.between(at + 1) || !matches!(by, b"-" | b"." | b"/") {
        return None;
    }
    let [one, two, last] = [span.group(at), span.group(at + 1), span.group(at + 2)];
    let [a, b, c] = [value(one), value(two), value(last)];
    match (one.len(), two.len(), last.len()) {
        (4, 1..=2, 1..=2) => {
            Some([WrittenDate { day: c, month: b, year: a }, WrittenDate { day: b, month: c, year: a }])
        }
        (1..=2, 1..=2, 2 | 4) => {
            Some([WrittenDate { day: a, month: b, year: c }, WrittenDate { day: b, month: a, year: c }])
        }
        _ => None,
    }
}

fn eight(group: &[u8]) -> [WrittenDate; 3] {
    let part = |from: usize, to: usize| value(&group[from..to]);
    [
        WrittenDate { day: part(6, 8), month: part(4, 6), year: part(0, 4) },
        WrittenDate { day: part(0, 2), month: part(2, 4), year: part(4, 8) },
        WrittenDate { day: part(2, 4), month: part(0, 2), year: part(4, 8) },
    ]
}

/// Whether the run contains a full date in that year.
pub(super) fn in_year(span: &DigitGroups<'_>, year: i32) -> bool {
    readings(span).any(|date| date.is_of(year))
}

/// Whether the run contains any date.
pub(super) fn any(span: &DigitGroups<'_>) -> bool {
    readings(span).any(|date| date.holds() && (date.year < 100 || (1900..2200).contains(&date.year)))
}

/// The beginnings of month names.
const MONTHS: [&str; 17] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec", "mai", "okt", "dez",
    "m\u{e4}r", "mrz",
];

/// Whether the run begins with that year and the words before it make it a date: `12 August 2004`, `August 12, 2004`.
pub(super) fn in_words(span: &DigitGroups<'_>, year: i32) -> bool {
    let is_year = |word: &[u8]| {
        word.len() == 4 && word.iter().all(u8::is_ascii_digit) && i64::from(value(word)) == i64::from(year)
    };
    let is_day = |word: &[u8]| {
        let digits = word.iter().take_while(|byte| byte.is_ascii_digit()).count();
        (1..=2).contains(&digits) && (1..=31).contains(&value(&word[..digits]))
    };
    if !is_year(span.group(0)) {
        return false;
    }
    let (word, start) = before(span.text, span.start());
    let (earlier, _) = before(span.text, start);
    let day_first = begins(word, &MONTHS) && is_day(earlier);
    let month_first = is_day(word) && begins(earlier, &MONTHS);
    day_first || month_first
}

/// Whether a number of ten to twelve digits, in one or two groups, has a date of birth at one of its ends, as
/// national numbers do.
pub(super) fn within_number(span: &DigitGroups<'_>, year: i32) -> bool {
    if span.touches_a_letter() {
        return false;
    }
    let short = (year % 100).unsigned_abs();
    let six = |digits: &[u8]| {
        let part = |from: usize, to: usize| value(&digits[from..to]);
        let read = |day: u32, month: u32, year: u32| year == short && WrittenDate { day, month, year }.holds();
        digits.len() == 6 && (read(part(4, 6), part(2, 4), part(0, 2)) || read(part(0, 2), part(2, 4), part(4, 6)))
    };
    match (span.groups(), span.group(0), span.group(1)) {
        (1, whole, _) if matches!(whole.len(), 10 | 11) => six(&whole[..6]) || six(&whole[whole.len() - 6..]),
        (1, whole, _) if whole.len() == 12 => eight(&whole[..8])[0].is_of(year),
        (2, one, two) => match (one.len(), two.len()) {
            (6, 4 | 5) => six(one),
            (4, 6) => six(two),
            _ => false,
        },
        _ => false,
    }
}
