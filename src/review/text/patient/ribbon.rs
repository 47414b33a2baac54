//! A ribbon of days: the tray of each day, and marks under the days with events.

use std::collections::BTreeSet;

use oar_schema::time::Date;

use super::lines::WrappedLines;

/// The maximum rows of a ribbon; a longer time has more days in each column.
const ROWS: i32 = 40;
/// Columns before the days: two spaces and the first day of the row.
const BEFORE: usize = 13;

/// Days from `start` on, a column for each step of days.
pub(super) struct Ribbon {
    start: Date,
    step: i32,
    columns: usize,
    body: Vec<char>,
    marks: Vec<Vec<char>>,
}

impl Ribbon {
    /// A ribbon for the days from `start` to the day before `end`, in lines of `width` columns.
    pub(super) fn new(start: Date, end: Date, width: usize) -> Self {
        let columns = (width.saturating_sub(BEFORE) / 7 * 7).clamp(14, 91);
        let days = end.days_since(start).max(1);
        let step = (days - 1) / (ROWS * columns as i32) + 1;
        let length = ((days - 1) / step + 1) as usize;
        Self { start, step, columns, body: vec![NOTHING; length], marks: Vec::new() }
    }

    /// Days of one column, and columns of one row.
    pub(super) fn scale(&self) -> (i32, usize) {
        (self.step, self.columns)
    }

    fn column(&self, day: Date) -> usize {
        let column = day.days_since(self.start).max(0) / self.step;
        (column as usize).min(self.body.len() - 1)
    }

    /// Draws one tray: its number, and for each day the mark that `of` returns.
    pub(super) fn draw(&mut self, number: i32, from: Date, end: Date, of: impl Fn(Date) -> char) {
        let first = self.column(from);
        let last = self.column(end.plus_days(-1)).max(first);
        for column in first..=last {
            self.body[column] = of(self.start.plus_days(column as i32 * self.step).max(from));
        }
        self.number(&number.to_string(), first, last);
    }

    /// Writes the number of a tray where it goes in; at the start of the next row if this row ends there.
    fn number(&mut self, number: &str, first: usize, last: usize) {
        let left = self.columns - first % self.columns;
        let at = if number.len() <= left { first } else { first + left };
        if at > first || number.len() > last - first {
            self.body[first] = UNNUMBERED;
        }
        if at + number.len() <= last {
            self.body[at..].iter_mut().zip(number.chars()).for_each(|(cell, digit)| *cell = digit);
        }
    }

    /// Puts a mark under a day, below existing marks; the same mark appears there once.
    pub(super) fn mark(&mut self, day: Date, mark: char) {
        let column = self.column(day);
        if self.marks.iter().any(|row| row[column] == mark) {
            return;
        }
        if let Some(row) = self.marks.iter_mut().find(|row| row[column] == ' ') {
            row[column] = mark;
        } else {
            let mut row = vec![' '; self.body.len()];
            row[column] = mark;
            self.marks.push(row);
        }
    }

    /// Writes the rows, and adds the marks that they use.
    pub(super) fn write(&self, lines: &mut WrappedLines, used: &mut BTreeSet<char>) {
        used.extend(self.body.iter().chain(self.marks.iter().flatten()));
        for (place, days) in self.body.chunks(self.columns).enumerate() {
            let at = place * self.columns;
            let day = self.start.plus_days(at as i32 * self.step).to_string();
            lines.row(&format!("  {day} {}", days.iter().collect::<String>()));
            for row in &self.marks {
                let row: String = row[at..at + days.len()].iter().collect();
                if !row.trim().is_empty() {
                    lines.row(&format!("{:BEFORE$}{row}", ""));
                }
            }
        }
    }
}

/// No tray was in.
pub(super) const NOTHING: char = '·';
/// A tray whose number does not fit on its first day.
pub(super) const UNNUMBERED: char = '│';
