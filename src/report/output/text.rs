//! For people: each finding with its source line, and the totals at the end.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use super::line::{in_list_of_records, shown_name, why};
use super::paint::Paint;
use super::repeats::{Fate, Repeats};
use super::{Printer, Style, totals};
use crate::check::finding::{Excerpt, Item, Place};
use crate::check::partial::Partial;
use crate::check::rule::Level;
use crate::report::acceptance::Accepted;
use crate::report::event::Event;
use crate::report::summary::Summary;
use crate::text::visible::{same_length, shown, visible};
use crate::text::{counted, wrapped};

/// The maximum number of rules in the table at the end.
const ROWS: usize = 12;
/// The maximum number of partly checked records that are listed; the totals count all.
const PARTIALS: u64 = 5;

/// The printer.
pub(super) struct TextPrinter {
    paint: Paint,
    width: usize,
    accepted: bool,
    totals: bool,
    repeats: Repeats,
    /// The number of findings of each rule, by its name.
    by_rule: BTreeMap<&'static str, (Level, u64)>,
    /// The number of records listed as checked in part, and its maximum.
    partials: u64,
    most_partials: u64,
}

impl TextPrinter {
    pub(super) fn new(style: Style) -> Self {
        Self {
            paint: Paint(style.colour),
            width: style.width,
            accepted: style.accepted,
            totals: style.totals,
            repeats: Repeats::new(style.most, style.folds),
            by_rule: BTreeMap::new(),
            partials: 0,
            most_partials: PARTIALS.min(style.most),
        }
    }

    fn head(&self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let level = item.finding.level;
        let title = format!("{} {}", shape(level), level.as_str());
        let title = if level == Level::Note { self.paint.bold(&title) } else { self.paint.accent(&title) };
        writeln!(out, "{title} {}", self.paint.bold(item.finding.rule.name))?;
        let place = self.place(item.file, &item.finding.place);
        let record = if in_list_of_records(item) { format!("  record {}", item.record) } else { String::new() };
        writeln!(out, "  {place}{record}")
    }

    fn place(&self, file: &str, place: &Place) -> String {
        let pointer = visible(&place.pointer);
        let pointer = if pointer.is_empty() { pointer } else { format!("  {}", self.paint.faint(&pointer)) };
        format!("{}:{}:{}{pointer}", shown(shown_name(file)), place.line, place.column)
    }

    /// The source line after a gutter with its number, and carets under the value.
    fn excerpt(&self, out: &mut dyn Write, line: u64, excerpt: &Excerpt) -> io::Result<()> {
        let (before, carets) = columns(excerpt);
        let number = line.to_string();
        let (gutter, bar) = (" ".repeat(number.len()), self.paint.faint("│"));
        writeln!(out, "  {gutter} {bar}")?;
        writeln!(out, "  {} {bar} {}", self.paint.faint(&number), same_length(&excerpt.text))?;
        writeln!(out, "  {gutter} {bar} {}{}", " ".repeat(before), self.paint.accent(&"^".repeat(carets)))
    }

    /// The finding as shown, with the reason if it does not count.
    fn shown(&self, out: &mut dyn Write, item: &Item<'_>, accepted: Option<&Accepted<'_>>) -> io::Result<()> {
        self.head(out, item)?;
        if let Some(excerpt) = &item.finding.excerpt {
            self.excerpt(out, item.finding.place.line, excerpt)?;
        }
        if let Some(accepted) = accepted {
            writeln!(out, "  {}", wrapped(&why(accepted), 2, 2, self.width))?;
        }
        self.words(out, item)
    }

    fn words(&self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        writeln!(out, "  {}", wrapped(&visible(&item.finding.message()), 2, 2, self.width))?;
        if let Some(help) = item.finding.help() {
            let help = wrapped(&visible(&help), "  help: ".len(), "  help: ".len(), self.width);
            writeln!(out, "  {} {help}", self.paint.bold("help:"))?;
        }
        for place in &item.finding.related {
            writeln!(out, "  see also {}", self.place(item.file, place))?;
        }
        for other in &item.finding.elsewhere {
            writeln!(out, "  see also {}  record {}", self.place(&other.file, &other.place), other.record)?;
        }
        writeln!(out)
    }
}

impl TextPrinter {
    /// The number of findings of each rule, the most frequent first; nothing when there is only one rule.
    fn table(&self, out: &mut dyn Write) -> io::Result<()> {
        if self.by_rule.len() < 2 {
            return Ok(());
        }
        let mut rows: Vec<_> = self.by_rule.iter().map(|(name, (level, count))| (*count, *level, *name)).collect();
        rows.sort_by_key(|(count, level, name)| (Reverse(*count), Reverse(*level), *name));
        let width = rows[0].0.to_string().len();
        for (count, level, name) in rows.iter().take(ROWS) {
            writeln!(out, "{count:>width$}  {} {:<7}  {name}", shape(*level), level.as_str())?;
        }
        match rows.len().saturating_sub(ROWS) {
            0 => writeln!(out),
            more => writeln!(out, "and {more} more {}\n", if more == 1 { "rule" } else { "rules" }),
        }
    }
}

impl Printer for TextPrinter {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Finding(item) => self.finding(out, item),
            Event::Accepted(item, accepted) => self.accepted(out, item, accepted),
            Event::Partial { file, record, partial } => self.partial(out, file, *record, partial),
            Event::FileEnd { .. } => self.file_end(out),
            Event::Across => {
                self.repeats.across();
                Ok(())
            }
            Event::End(summary) => self.end(out, summary),
            _ => Ok(()),
        }
    }
}

impl TextPrinter {
    fn finding(&mut self, out: &mut dyn Write, item: &Item<'_>) -> io::Result<()> {
        let level = item.finding.level;
        let (highest, count) = self.by_rule.entry(item.finding.rule.name).or_insert((level, 0));
        (*highest, *count) = (level.max(*highest), *count + 1);
        if self.repeats.next(item) != Fate::Shown {
            return Ok(());
        }
        self.shown(out, item, None)
    }

    fn accepted(&mut self, out: &mut dyn Write, item: &Item<'_>, accepted: &Accepted<'_>) -> io::Result<()> {
        if !self.accepted || self.repeats.next(item) != Fate::Shown {
            return Ok(());
        }
        self.shown(out, item, Some(accepted))
    }

    fn partial(&mut self, out: &mut dyn Write, file: &str, record: u64, partial: &Partial) -> io::Result<()> {
        // A finding already says that nothing of the record could be read.
        let is_known = partial.reported && partial.unread.is_empty();
        if partial.rules.is_empty() || is_known || self.partials >= self.most_partials {
            return Ok(());
        }
        self.partials += 1;
        writeln!(out, "{} record {record}: {}\n", shown(shown_name(file)), partial.line())
    }

    fn file_end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let folded = self.repeats.end_of_file();
        folded.iter().try_for_each(|more| writeln!(out, "{}\n", visible(more)))
    }

    fn end(&mut self, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
        self.file_end(out)?;
        match self.repeats.counts() {
            (_, 0) => {}
            (0, _) if !self.totals => {}
            (shown, hidden) => writeln!(out, "{}\n", totals::not_shown(hidden, shown))?,
        }
        if !self.totals {
            return Ok(());
        }
        self.table(out)?;
        writeln!(out, "{}", self.paint.bold(&totals::line(summary)))?;
        if summary.passed_over > 0 {
            writeln!(out, "{} skipped", counted(summary.passed_over, "other .json file"))?;
        }
        let rule = match self.by_rule.len() {
            0 => return Ok(()),
            1 => self.by_rule.keys().next().copied().unwrap_or_default(),
            _ => "RULE",
        };
        writeln!(out, "{}", self.paint.faint(&format!("why, and examples: oar explain {rule}")))
    }
}

/// The shape that shows a level beside its word.
fn shape(level: Level) -> char {
    match level {
        Level::Error => '■',
        Level::Warning => '▲',
        Level::Note => '○',
    }
}

/// How many columns of a terminal are before the value, and how many the value takes.
fn columns(excerpt: &Excerpt) -> (usize, usize) {
    let text: Vec<char> = same_length(&excerpt.text).chars().collect();
    let start = excerpt.start.min(text.len());
    let end = (start + excerpt.len).min(text.len());
    let width = |letters: &[char]| letters.iter().collect::<String>().width();
    (width(&text[..start]) + (excerpt.start - start), width(&text[start..end]).max(1))
}
