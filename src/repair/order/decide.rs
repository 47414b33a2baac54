//! Whether a list is only in the wrong order, or contains dates that may be mistyped.

use oar_schema::time::{Date, days_in_month};

/// A day or an instant, in seconds and nanoseconds.
pub(super) type Moment = (i64, u32);

/// The order-relevant part of a list entry.
#[derive(Clone, Debug)]
pub(super) struct ListEntry {
    pub(super) moment: Moment,
    /// Its day, as it is written.
    pub(super) day: Date,
    /// The day on which a wear period ended.
    pub(super) to: Option<Date>,
    /// Whether the list has an entry for each day.
    pub(super) daily: bool,
    /// The values that make the order of two entries of one moment matter when they share them.
    pub(super) of_one: Vec<Vec<u8>>,
}

/// Fewer entries out of order are probably mistyped: one mistake, or one that affects a pair, makes two. Common practice, no
/// source.
const LEAST_MOVED: usize = 3;
/// A list with this many entries in reverse order was written that way. Common practice, no source.
const LEAST_REVERSED: usize = 3;

const ONE: &str = "one entry is out of place, and its date may be mistyped";
const FEW: &str = "two entries are out of place, and their dates may be mistyped";
const SLIP: &str = "the entries that are out of place would fit with another year or month, which may be mistyped";
const SAME_MOMENT: &str = "entries of one day are out of place, and the list does not show which of them comes first";

/// For each place the entry that belongs there.
pub(super) fn in_order(entries: &[ListEntry]) -> Result<Vec<usize>, &'static str> {
    let mut order: Vec<usize> = (0..entries.len()).collect();
    order.sort_by_key(|at| (entries[*at].moment, *at));
    let moved = out_of_place(entries);
    let sorted = Sorted::new(entries, &order, &moved);
    let reversed = entries.len() >= LEAST_REVERSED && entries.windows(2).all(|pair| pair[0].moment > pair[1].moment);
    if !reversed && !moved.iter().all(|at| sorted.is_borne_out(*at)) {
        match moved.len() {
            0 | 1 => return Err(ONE),
            count if count < LEAST_MOVED => return Err(FEW),
            _ if is_slip(entries, &moved) => return Err(SLIP),
            _ => {}
        }
    }
    if order.windows(2).any(|pair| is_open(entries, pair[0], pair[1])) { Err(SAME_MOMENT) } else { Ok(order) }
}

/// The entries outside the longest ordered part of the list.
fn out_of_place(entries: &[ListEntry]) -> Vec<usize> {
    // The last entry of the best part of each length, and the predecessor of each entry in its best part.
    let mut last: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = Vec::with_capacity(entries.len());
    for (at, entry) in entries.iter().enumerate() {
        let length = last.partition_point(|end| entries[*end].moment <= entry.moment);
        before.push(length.checked_sub(1).map(|shorter| last[shorter]));
        if length == last.len() {
            last.push(at);
        } else {
            last[length] = at;
        }
    }
    let mut kept = vec![false; entries.len()];
    let mut next = last.last().copied();
    while let Some(at) = next {
        kept[at] = true;
        next = before[at];
    }
    (0..entries.len()).filter(|at| !kept[*at]).collect()
}

/// A list with its sorted order.
struct Sorted<'a> {
    entries: &'a [ListEntry],
    /// For each place the entry that belongs there.
    order: &'a [usize],
    /// For each entry, the position where it belongs.
    place: Vec<usize>,
    /// For each entry, whether it is out of order.
    moved: Vec<bool>,
}

impl<'a> Sorted<'a> {
    fn new(entries: &'a [ListEntry], order: &'a [usize], out_of_place: &[usize]) -> Self {
        let (mut place, mut moved) = (vec![0; entries.len()], vec![false; entries.len()]);
        for (at, entry) in order.iter().enumerate() {
            place[*entry] = at;
        }
        for at in out_of_place {
            moved[*at] = true;
        }
        Self { entries, order, place, moved }
    }

    /// Whether other entries confirm the date of one that is out of order: it fills a gap where it belongs, and leaves none
    /// where it is.
    fn is_borne_out(&self, at: usize) -> bool {
        let here = &self.entries[at];
        if here.daily {
            return self.fills_a_day(at);
        }
        let before = self.place[at].checked_sub(1).map(|place| &self.entries[self.order[place]]);
        let after = self.order.get(self.place[at] + 1).map(|entry| &self.entries[*entry]);
        let follows = |one: &ListEntry, other: &ListEntry| one.to == Some(other.day);
        match (before, after) {
            (Some(before), Some(after)) => follows(before, here) && follows(here, after),
            (None, Some(after)) => follows(here, after),
            (Some(before), None) => follows(before, here),
            (None, None) => false,
        }
    }

    /// Whether, among the entries of its source, the day of an entry is the only one missing where it belongs, and none is
    /// missing where it is.
    fn fills_a_day(&self, at: usize) -> bool {
        let entries = self.entries;
        let alike = |n: &usize| entries[*n].of_one == entries[at].of_one;
        let stays = |n: &usize| alike(n) && !self.moved[*n];
        let days = |one: Option<usize>, other: Option<usize>| Some(entries[other?].day.days_since(entries[one?].day));
        let (place, order) = (self.place[at], self.order);
        let before = order[..place].iter().copied().rev().find(alike);
        let after = order[place + 1..].iter().copied().find(alike);
        let (left, right) = ((0..at).rev().find(stays), (at + 1..entries.len()).find(stays));
        let fills = days(before, Some(at)) == Some(1) && days(Some(at), after) == Some(1);
        fills && days(left, right).is_some_and(|days| days <= 1)
    }
}

/// Whether the entries that are out of order would be in order with their years or months one higher or lower.
fn is_slip(entries: &[ListEntry], moved: &[usize]) -> bool {
    [12, -12, 1, -1].into_iter().any(|months| {
        let days = entries
            .iter()
            .enumerate()
            .map(|(at, entry)| if moved.contains(&at) { later(entry.day, months) } else { entry.day });
        days.is_sorted()
    })
}

/// The same day of a month that many months later, or the last day of it.
fn later(day: Date, months: i32) -> Date {
    let (year, month, of_month) = day.civil();
    let count = year * 12 + month - 1 + months;
    let (year, month) = (count.div_euclid(12), count.rem_euclid(12) + 1);
    Date::new(year, month, of_month.min(days_in_month(year, month))).unwrap_or(day)
}

/// Whether two entries that are adjacent once sorted have the same moment, and nothing shows which of them is first: they were
/// apart, or in a list that was written in reverse order.
fn is_open(entries: &[ListEntry], first: usize, then: usize) -> bool {
    let (one, other) = (&entries[first], &entries[then]);
    if one.moment != other.moment || (!one.of_one.is_empty() && one.of_one != other.of_one) {
        return false;
    }
    let start = (0..first).rev().find(|at| entries[*at].moment > entries[*at + 1].moment).map_or(0, |at| at + 1);
    let together = entries[first..=then].is_sorted_by_key(|entry| entry.moment);
    let end =
        (then..entries.len() - 1).find(|at| entries[*at].moment > entries[*at + 1].moment).unwrap_or(entries.len() - 1);
    let rises = entries[start].moment < entries[end].moment;
    !(together && rises)
}
