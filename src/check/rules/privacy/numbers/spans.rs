//! A run of digits in groups, as telephone numbers, dates and lists of numbers are written.

use super::super::words::is_letter;

/// The most groups that are kept; a longer run is a list.
const MOST: usize = 8;

/// Groups of digits with spaces, points, hyphens, slashes or brackets between them.
pub(super) struct DigitGroups<'t> {
    pub(super) text: &'t [u8],
    /// Where each group begins and ends.
    places: [(usize, usize); MOST],
    count: usize,
    end: usize,
}

impl<'t> DigitGroups<'t> {
    /// The run whose first digit is at `at`.
    pub(super) fn at(text: &'t [u8], at: usize) -> Self {
        let mut span = Self { text, places: [(at, at); MOST], count: 0, end: at };
        let mut start = at;
        loop {
            let length = text[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
            if let Some(place) = span.places.get_mut(span.count) {
                *place = (start, start + length);
            }
            span.count += 1;
            span.end = start + length;
            let Some(gap) = separator(&text[span.end..]) else { return span };
            start = span.end + gap;
        }
    }

    pub(super) fn start(&self) -> usize {
        self.places[0].0
    }

    pub(super) fn end(&self) -> usize {
        self.end
    }

    /// How many groups there are.
    pub(super) fn groups(&self) -> usize {
        self.count
    }

    fn places(&self) -> &[(usize, usize)] {
        &self.places[..self.count.min(MOST)]
    }

    pub(super) fn group(&self, at: usize) -> &'t [u8] {
        self.places().get(at).map_or(&[], |(start, end)| &self.text[*start..*end])
    }

    pub(super) fn each(&self) -> impl Iterator<Item = &'t [u8]> + '_ {
        self.places().iter().map(|(start, end)| &self.text[*start..*end])
    }

    /// The bytes between a group and the next.
    pub(super) fn between(&self, at: usize) -> &'t [u8] {
        match (self.places().get(at), self.places().get(at + 1)) {
            (Some(here), Some(next)) => &self.text[here.1..next.0],
            _ => &[],
        }
    }

    /// The number of digits; a group that is not kept counts as one.
    pub(super) fn digits(&self) -> usize {
        self.each().map(<[u8]>::len).sum::<usize>() + self.count.saturating_sub(MOST)
    }

    pub(super) fn has_groups(&self, lengths: &[usize]) -> bool {
        self.count == lengths.len() && self.each().map(<[u8]>::len).eq(lengths.iter().copied())
    }

    pub(super) fn separators(&self, fits: impl Fn(&[u8]) -> bool) -> bool {
        (0..self.count.saturating_sub(1)).all(|at| fits(self.between(at)))
    }

    pub(super) fn begins_with(&self, heads: &[&[u8]]) -> bool {
        heads.iter().any(|head| self.group(0).starts_with(head))
    }

    pub(super) fn shortest_group(&self) -> usize {
        self.each().map(<[u8]>::len).min().unwrap_or(0)
    }

    /// Whether a letter is directly before or after, as in the name of a part or before a unit.
    pub(super) fn touches_a_letter(&self) -> bool {
        let before = self.start().checked_sub(1).is_some_and(|at| is_letter(self.text[at]));
        before || self.text.get(self.end).is_some_and(|byte| is_letter(*byte))
    }

    fn byte_before(&self) -> u8 {
        self.start().checked_sub(1).map_or(b' ', |at| self.text[at])
    }

    /// Whether two short groups are joined without a space: a decimal, two teeth, a day and a month.
    pub(super) fn has_short_pair(&self) -> bool {
        let joined =
            |at: usize| !self.between(at).is_empty() && !self.between(at).iter().any(|byte| b" ()".contains(byte));
        let short = |at: usize| {
            let (one, next) = (self.group(at).len(), self.group(at + 1).len());
            one <= 2 && next <= 2 || one == 1 && self.between(at) == b"."
        };
        let alone = |at: usize| (at == 0 || !joined(at - 1)) && joined(at) && !joined(at + 1);
        (0..self.count.min(MOST)).any(|at| alone(at) && short(at))
    }

    /// `+44 1632 960 123`.
    pub(super) fn is_international(&self) -> bool {
        let plus =
            self.byte_before() == b'+' && (self.start() < 2 || !self.text[self.start() - 2].is_ascii_alphanumeric());
        let code = !self.group(0).starts_with(b"0") && (self.count == 1 || self.group(0).len() <= 4);
        plus && code && (8..=15).contains(&self.digits()) && self.count <= 7
    }

    /// Whether it begins with one zero (a national call) or with two (an international call).
    pub(super) fn begins_with_one_zero(&self) -> bool {
        let free = !self.byte_before().is_ascii_alphanumeric() && !b".,:+".contains(&self.byte_before());
        free && matches!(self.group(0), [b'0', b'1'..=b'9', ..] | [b'0', b'0', b'1'..=b'9', ..]) && self.count_fits()
    }

    fn count_fits(&self) -> bool {
        !self.group(0).starts_with(b"00") || self.count > 1 && self.digits() >= 10 && self.group(0).len() <= 5
    }

    /// `212-555-0199`: area and exchange begin with 2 to 9.
    pub(super) fn is_north_american(&self) -> bool {
        let first = match () {
            () if self.has_groups(&[3, 3, 4]) => 0,
            () if self.has_groups(&[1, 3, 3, 4]) && self.group(0) == b"1" => 1,
            () => return false,
        };
        let digit = |at: usize| matches!(self.group(at), [b'2'..=b'9', ..]);
        let written = self.between(first + 1) == b"-" || self.between(first + 1) == b".";
        digit(first) && digit(first + 1) && written
    }

    /// Whether each group is one more than the group before it.
    pub(super) fn counts_up(&self) -> bool {
        let value = |at: usize| self.group(at).iter().fold(0, |sum, digit| sum * 10 + u32::from(digit - b'0'));
        (1..self.count.min(MOST)).all(|at| value(at) == value(at - 1) + 1)
    }

    /// The check digit of a Swiss number, as in EAN-13 (from memory).
    pub(super) fn passes_ean(&self) -> bool {
        let digits = self.each().flatten().map(|digit| u32::from(digit - b'0'));
        digits.zip([1, 3].into_iter().cycle()).map(|(digit, weight)| digit * weight).sum::<u32>() % 10 == 0
    }

    /// Six letters, then digits and letters in the order of an Italian fiscal code: `LLLLLL00L00L000L` (from memory).
    pub(super) fn is_fiscal_code(&self) -> bool {
        let Some(start) = self.start().checked_sub(6) else { return false };
        let pattern = b"LLLLLL00L00L000L";
        let Some(code) = self.text.get(start..start + pattern.len()) else { return false };
        let fits = |(byte, kind): (&u8, &u8)| match kind {
            b'L' => byte.is_ascii_uppercase(),
            _ => byte.is_ascii_digit(),
        };
        let alone = |byte: Option<&u8>| byte.is_none_or(|byte| !byte.is_ascii_alphanumeric());
        let ends = alone(self.text.get(start + pattern.len())) && (start == 0 || alone(self.text.get(start - 1)));
        ends && code.iter().zip(pattern).all(fits)
    }
}

/// The number of bytes between two groups, if these bytes join them.
fn separator(rest: &[u8]) -> Option<usize> {
    let joins = |gap: &[u8]| match gap {
        [one] => b" -./".contains(one),
        [one, two] => matches!((one, two), (b')', b' ' | b'-' | b'/') | (b' ', b'(')) || (*one == b' ' && *two == b'/'),
        [b' ', one, b' '] => b"-/".contains(one),
        _ => false,
    };
    let gap = rest.iter().take(4).take_while(|byte| !byte.is_ascii_digit()).count();
    let digit = rest.get(gap).is_some_and(u8::is_ascii_digit);
    (digit && (joins(&rest[..gap]) || &rest[..gap] == b")")).then_some(gap)
}
