//! Exact values of number tokens.

use super::scan;

/// The exact value of a number token: ± coefficient × 10^exponent.
#[derive(Clone, Copy, Debug)]
pub struct Decimal {
    negative: bool,
    /// Without trailing zeros; `None` when 64 bits cannot hold it.
    coefficient: Option<u64>,
    exponent: i64,
}

/// Larger exponents are cut to this. A token is shorter than 2^32 bytes, so no run of digits can
/// bring such a number back to a size at which the cut would show.
const FAR: i64 = 1 << 48;

/// The exact value of a number token, `None` if the bytes are not one JSON number.
///
/// Takes time in proportion to the token, whatever its exponent, and allocates nothing.
pub fn decimal(token: &[u8]) -> Option<Decimal> {
    if scan::number(token, 0).ok()?.end != token.len() {
        return None;
    }
    let negative = token[0] == b'-';
    let (mantissa, power) = match token.iter().position(|b| b"eE".contains(b)) {
        Some(e) => (&token[..e], exponent(&token[e + 1..])),
        None => (token, 0),
    };
    let places = mantissa.iter().rev().position(|&b| b == b'.').unwrap_or(0) as i64;
    let mut sum = Sum { coefficient: Some(0), zeros: 0 };
    for digit in mantissa.iter().filter(|b| b.is_ascii_digit()) {
        sum.push(digit - b'0');
    }
    let exponent = match sum.coefficient {
        Some(0) => 0,
        _ => power - places + sum.zeros,
    };
    Some(Decimal { negative, coefficient: sum.coefficient, exponent })
}

/// The digits read so far, trailing zeros kept apart.
struct Sum {
    coefficient: Option<u64>,
    zeros: i64,
}

impl Sum {
    fn push(&mut self, digit: u8) {
        match (digit, self.coefficient) {
            (0, Some(0)) => {}
            (0, _) => self.zeros += 1,
            (_, old) => {
                self.coefficient =
                    old.and_then(|c| scale(c, self.zeros + 1)).and_then(|c| c.checked_add(u64::from(digit)));
                self.zeros = 0;
            }
        }
    }
}

/// `value` × 10^`power`, if 64 bits hold it and the power is not negative.
fn scale(value: u64, power: i64) -> Option<u64> {
    let factor = 10_u64.checked_pow(u32::try_from(power).ok()?)?;
    value.checked_mul(factor)
}

/// The exponent after the `e`, cut to ±[`FAR`].
fn exponent(text: &[u8]) -> i64 {
    let digits = text.iter().filter(|b| b.is_ascii_digit());
    let size = digits.fold(0, |n: i64, b| (n * 10 + i64::from(b - b'0')).min(FAR));
    if text[0] == b'-' { -size } else { size }
}

impl Decimal {
    /// The value, if it is whole and 64 bits hold it: 11, 11.0, 1.1e1 and 110e-1 are all 11.
    pub fn as_integer(&self) -> Option<i64> {
        self.shifted(0)
    }

    /// The value in hundredths, if it has no more than two decimal places: 0.25 is 25.
    pub fn as_hundredths(&self) -> Option<i64> {
        self.shifted(2)
    }

    /// Whether the value is whole, however large and however it is written.
    pub fn is_integer(&self) -> bool {
        self.exponent >= 0
    }

    /// The value × 10^`places`, if that is whole and 64 bits hold it.
    fn shifted(&self, places: i64) -> Option<i64> {
        let size = i128::from(scale(self.coefficient?, self.exponent + places)?);
        i64::try_from(if self.negative { -size } else { size }).ok()
    }
}
