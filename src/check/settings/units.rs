//! Values of limits in text, with or without a unit.

use oar_schema::limits::{LIMITS, Limit, LimitError, LimitScale, Limits};

use super::error::SettingError;
use crate::json::decimal;
use crate::nearest::nearest;

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quantity {
    Length,
    Angle,
    Time,
    Size,
    Share,
    Spread,
}

/// A unit: its spellings, its kind, and its size in the first unit of that kind.
struct Unit {
    spellings: &'static [&'static str],
    kind: Quantity,
    size: f64,
}

const fn unit(kind: Quantity, size: f64, spellings: &'static [&'static str]) -> Unit {
    Unit { spellings, kind, size }
}

/// Units that limits are in, and others that may be written by mistake. Sizes: SI, the international inch, IEC 80000-13;
/// a year has 365.25 days.
const UNITS: &[Unit] = &[
    unit(Quantity::Length, 1.0, &["mm", "millimetres", "millimetre", "millimeters", "millimeter"]),
    unit(Quantity::Length, 0.001, &["um", "µm", "micrometres", "micrometers", "microns", "micron"]),
    unit(Quantity::Length, 10.0, &["cm", "centimetres", "centimeters"]),
    unit(Quantity::Length, 1000.0, &["m", "metres", "meters"]),
    unit(Quantity::Length, 25.4, &["in", "inch", "inches"]),
    unit(Quantity::Angle, 1.0, &["degrees", "degree", "deg", "°"]),
    unit(Quantity::Angle, 180.0 / std::f64::consts::PI, &["rad", "radians", "radian"]),
    unit(Quantity::Time, 1.0, &["minutes", "minute", "min"]),
    unit(Quantity::Time, 1.0 / 60.0, &["seconds", "second", "s"]),
    unit(Quantity::Time, 60.0, &["hours", "hour", "h"]),
    unit(Quantity::Time, 1440.0, &["days", "day", "d"]),
    unit(Quantity::Time, 10_080.0, &["weeks", "week"]),
    unit(Quantity::Time, 43_830.0, &["months", "month"]),
    unit(Quantity::Time, 525_960.0, &["years", "year", "y"]),
    unit(Quantity::Size, 1.0, &["KiB", "kilobytes", "kilobyte", "kibibytes"]),
    unit(Quantity::Size, 1.0 / 1024.0, &["B", "bytes", "byte"]),
    unit(Quantity::Size, 1000.0 / 1024.0, &["kB", "KB"]),
    unit(Quantity::Size, 1024.0, &["MiB", "megabytes", "mebibytes"]),
    unit(Quantity::Size, 1_000_000.0 / 1024.0, &["MB"]),
    unit(Quantity::Size, 1_048_576.0, &["GiB", "gigabytes"]),
    unit(Quantity::Share, 1.0, &["percent", "%"]),
    unit(Quantity::Share, 0.1, &["permille", "‰"]),
    unit(Quantity::Spread, 1.0, &["standard deviations", "standard deviation", "sds", "sd"]),
];

/// The unit of that spelling.
fn spelt(word: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|unit| unit.spellings.contains(&word))
}

/// Reads the value of the limit of that name, on its scale.
pub(super) fn read(name: &str, text: &str) -> Result<(&'static Limit, i64), SettingError> {
    let (number, written) = parted(text);
    let first = text.split_whitespace().next().unwrap_or_default();
    let (whole, decimal_comma) = (plain(text.trim()), first.replacen(',', ".", 1));
    let shorter = plain(number);
    let number = whole.as_deref().or(shorter.as_deref()).unwrap_or(number);
    let Some(limit) = LIMITS.iter().find(|limit| limit.name == name) else { return Err(unknown(name, number)) };
    if whole.is_none() && written.starts_with([',', 'e', 'E']) && (decimal_comma.parse::<f64>().is_ok()) {
        return Err(SettingError::NotANumber(text.trim().to_owned(), limit));
    }
    if whole.is_none() && !written.is_empty() && written != limit.unit {
        is_of(limit, text.trim(), number, written)?;
    }
    let mut limits = Limits::default();
    limits.set(name, number).map_err(|error| refused(limit, number, error))?;
    Ok((limit, limits.get(name).unwrap_or(limit.value)))
}

/// The number and the unit of a text; the unit is optional.
fn parted(text: &str) -> (&str, &str) {
    let text = text.trim();
    let numeric = |letter: char| letter.is_ascii_digit() || "+-.".contains(letter);
    let end = text.find(|letter| !numeric(letter)).unwrap_or(text.len());
    if end == 0 { (text, "") } else { (text[..end].trim(), text[end..].trim()) }
}

/// A number without exponent and trailing zeros: `1e0` is `1`, and `0.300` is `0.3`; none when it has neither.
fn plain(text: &str) -> Option<String> {
    let is_more = text.contains(['e', 'E']) || (text.contains('.') && text.ends_with('0'));
    let number = decimal(text.as_bytes()).filter(|_| is_more)?;
    number.as_hundredths().map(|hundredths| {
        let sign = if hundredths < 0 { "-" } else { "" };
        let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
        if rest == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest:02}") }
    })
}

/// Whether a unit is the limit's own.
fn is_of(limit: &'static Limit, text: &str, number: &str, written: &str) -> Result<(), SettingError> {
    let own = spelt(limit.unit);
    match (spelt(written), own) {
        (Some(unit), Some(own)) if std::ptr::eq(unit, own) => Ok(()),
        (Some(unit), _) => Err(SettingError::OtherUnit(text.to_owned(), limit, converted(number, unit, limit))),
        (None, own) => {
            let own = own.map_or(std::slice::from_ref(&limit.unit), |own| own.spellings);
            let all = UNITS.iter().flat_map(|unit| unit.spellings).copied();
            let near = nearest(written, own.iter().copied().chain(all));
            Err(SettingError::NoUnit(written.to_owned(), limit, near))
        }
    }
}

/// A value in the unit of a limit, if it can be converted and is in the range of the limit.
fn converted(number: &str, unit: &Unit, limit: &Limit) -> Option<String> {
    let own = spelt(limit.unit).filter(|own| own.kind == unit.kind)?;
    let scale = if limit.scale == LimitScale::Hundredths { 100.0 } else { 1.0 };
    let value = (number.parse::<f64>().ok()? * unit.size / own.size * scale).round() as i64;
    let (least, most) = limit.range;
    (least..=most).contains(&value).then(|| format!("{} {}", limit.written(value), limit.unit))
}

/// No limit has the name; it may be one in another unit: `tray_linear_um` for `tray_linear_mm`.
fn unknown(name: &str, number: &str) -> SettingError {
    let other = || {
        let (stem, unit) = name.rsplit_once('_')?;
        let unit = spelt(unit)?;
        let alike = |limit: &&Limit| limit.name.rsplit_once('_').is_some_and(|(other, _)| other == stem);
        let own =
            |limit: &&Limit| spelt(limit.unit).is_some_and(|own| own.kind == unit.kind && !std::ptr::eq(own, unit));
        Some((LIMITS.iter().filter(alike).find(own)?, unit))
    };
    match other() {
        Some((limit, unit)) => SettingError::LimitInOtherUnit(name.to_owned(), limit, converted(number, unit, limit)),
        None => SettingError::NoLimit(name.to_owned()),
    }
}

/// Why the number does not fit the limit.
fn refused(limit: &'static Limit, number: &str, error: LimitError) -> SettingError {
    let is_number = || number.parse::<f64>().is_ok_and(f64::is_finite);
    match error {
        LimitError::NotANumber(..) if number.contains('.') && is_number() => {
            let takes = if limit.scale == LimitScale::Whole { "whole numbers" } else { "two decimals" };
            SettingError::TooFine(number.to_owned(), limit, takes)
        }
        LimitError::NotANumber(name, _) if is_number() => {
            let (least, most) = limit.range;
            let range = format!("{} to {} {}", limit.written(least), limit.written(most), limit.unit);
            SettingError::Limit(LimitError::OutOfRange(name, number.to_owned(), range))
        }
        LimitError::NotANumber(..) => SettingError::NotANumber(number.to_owned(), limit),
        error => SettingError::Limit(error),
    }
}
