//! Reads waivers from TOML, and reports mistakes with their location.

use std::ops::Range;

use oar_schema::time::Date;
use toml::de::{DeTable, DeValue};

use super::Waiver;
use super::spot::PointerPattern;
use crate::check::rule::Rule;
use crate::check::rules;
use crate::nearest::{did_you_mean, nearest};
use crate::report::toml_file::{Mistake, TomlFile, TomlKey, TomlValue};

/// The fields of a waiver; the first four are required.
const FIELDS: &[&str] = &["record", "rule", "at", "reason", "file", "until"];
const REQUIRED: usize = 4;

type TableEntry<'a, 'i> = (&'a TomlKey<'i>, &'a TomlValue<'i>);

/// The waivers in a text.
pub(super) fn waivers(name: &str, text: &str) -> Result<Vec<Waiver>, Vec<Mistake>> {
    let mut reader = WaiverReader { file: TomlFile::new(name, text) };
    let waivers = reader.waivers();
    reader.file.finish(waivers)
}

struct WaiverReader<'t> {
    file: TomlFile<'t>,
}

impl<'t> WaiverReader<'t> {
    fn waivers(&mut self) -> Vec<Waiver> {
        let Some(table) = self.file.table() else { return Vec::new() };
        let mut waivers = Vec::new();
        for (key, value) in &table {
            match (key.get_ref().as_ref(), value.get_ref()) {
                ("waiver", DeValue::Array(entries)) => {
                    waivers.extend(entries.iter().filter_map(|entry| self.waiver(entry)));
                }
                ("waiver", _) => {
                    self.file.wrong(&key.span(), "put each waiver under [[waiver]], in double brackets");
                }
                (name, _) => {
                    let near = perhaps(name, &["waiver"]);
                    self.file.wrong(&key.span(), format!("unknown key {name}{near}; put each waiver under [[waiver]]"));
                }
            }
        }
        waivers.sort_by_key(|waiver| waiver.place.line);
        waivers
    }

    fn waiver(&mut self, entry: &TomlValue<'t>) -> Option<Waiver> {
        let at = self.header(&entry.span());
        let Some(table) = entry.get_ref().as_table() else {
            self.file.wrong(&at, "put each waiver under [[waiver]], in double brackets");
            return None;
        };
        let before = self.file.mistakes.len();
        self.names(table, &at);
        let record = self.filled(table, "record", "give the record's id, or * for any");
        let rule = self.filled(table, "rule", "give the name of a rule").and_then(|name| self.rule(table, &name));
        let spot = self.text_of(table, "at").map(|text| PointerPattern::parse(&text));
        let spot = spot.and_then(|spot| spot.map_err(|text| self.wrong_in(table, "at", text)).ok());
        let reason = self.filled(table, "reason", "say why the finding may stay");
        let file = self.filled(table, "file", "give a file, or leave it out");
        let until = self.until(table);
        let place = self.file.place(&at);
        if self.file.mistakes.len() > before {
            return None;
        }
        Some(Waiver { rule: rule?, reason: reason?, until, place, record: record?, at: spot?, file })
    }

    /// Checks the names of the fields: unknown ones, and missing ones.
    fn names(&mut self, table: &DeTable<'t>, at: &Range<usize>) {
        let mut meant = Vec::new();
        for (key, _) in table {
            let name = key.get_ref().as_ref();
            if !FIELDS.contains(&name) {
                let near = perhaps(name, FIELDS);
                meant.extend(nearest(name, FIELDS.iter().copied()));
                let all = FIELDS.join(", ");
                self.file.wrong(&key.span(), format!("unknown field {name}{near}; the fields of a waiver are {all}"));
            }
        }
        for name in &FIELDS[..REQUIRED] {
            // A mistyped one has already been reported.
            if member(table, name).is_none() && !meant.contains(name) {
                let what = match *name {
                    "record" => "the record's id, or \"*\" for any",
                    "rule" => "the name of the rule",
                    "at" => "a JSON Pointer, or \"/**\" for every place",
                    _ => "why the finding may stay",
                };
                self.file.wrong(at, format!("this waiver has no {name}: add {name} = …, {what}"));
            }
        }
    }

    /// The text of a field, if it is present and a text.
    fn text_of(&mut self, table: &DeTable<'t>, name: &str) -> Option<String> {
        let (_, value) = member(table, name)?;
        self.file.string(value, format!("{name} is not a string: write it in quotes")).map(str::to_owned)
    }

    /// The text of a field, which must not be empty.
    fn filled(&mut self, table: &DeTable<'t>, name: &str, help: &str) -> Option<String> {
        let text = self.text_of(table, name)?;
        if text.trim().is_empty() {
            self.wrong_in(table, name, format!("{name} is empty: {help}"));
            return None;
        }
        Some(text)
    }

    fn rule(&mut self, table: &DeTable<'t>, name: &str) -> Option<&'static Rule> {
        let rule = rules::all().find(|rule| rule.name == name);
        if rule.is_none() {
            let names: Vec<&str> = rules::all().map(|rule| rule.name).collect();
            let near = perhaps(name, &names);
            self.wrong_in(table, "rule", format!("unknown rule {name}{near}; oar explain all lists the rules"));
        }
        rule
    }

    fn until(&mut self, table: &DeTable<'t>) -> Option<Date> {
        let (_, value) = member(table, "until")?;
        let written = value.get_ref().as_datetime().filter(|written| written.time.is_none());
        let date = written.and_then(|written| written.date);
        let date = date.and_then(|date| Date::new(date.year.into(), date.month.into(), date.day.into()));
        if date.is_none() {
            self.file.wrong(&value.span(), "until is not a date: write it without quotes, as in 2031-12-31");
        }
        date
    }

    fn wrong_in(&mut self, table: &DeTable<'t>, name: &str, text: String) {
        let at = member(table, name).map_or(0..0, |(_, value)| value.span());
        self.file.wrong(&at, text);
    }

    /// The bytes of the header of an entry.
    fn header(&self, span: &Range<usize>) -> Range<usize> {
        let line = self.file.text[span.start..].lines().next().unwrap_or_default();
        span.start..span.start + line.trim_end().len().min(span.len().max(1))
    }
}

fn member<'a, 'i>(table: &'a DeTable<'i>, name: &str) -> Option<TableEntry<'a, 'i>> {
    table.iter().find(|(key, _)| key.get_ref().as_ref() == name)
}

fn perhaps(name: &str, names: &[&str]) -> String {
    did_you_mean(nearest(name, names.iter().copied()))
}
