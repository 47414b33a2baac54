//! Reads the tables of a configuration file.

mod files;

use std::ops::Range;
use std::sync::Arc;

use oar_schema::limits::LIMITS;
use toml::de::{DeTable, DeValue};

use super::{Config, Given, Mistake};
use crate::check::rules;
use crate::check::settings::{Layer, Origin, Profile, SettingError, Switch, perhaps};
use crate::report::summary::{FAIL_LEVELS, FailOn};
use crate::report::toml_file::{TomlFile, TomlKey, TomlValue};
use crate::review::{Priority, signals};

/// The keys at the top of a file.
const KEYS: &[&str] = &[
    "edition",
    "fail_level",
    "baseline",
    "waivers",
    "output",
    "rule_pages",
    "include",
    "exclude",
    "select",
    "ignore",
    "levels",
    "limits",
    "signals",
    "profile",
];
/// The keys in a profile.
const PROFILE_KEYS: &[&str] = &["levels", "limits"];

/// What a table of levels and limits is read into.
trait Sheet {
    fn level(&mut self, name: &str, switch: Switch, origin: Origin) -> Result<(), SettingError>;
    fn limit(&mut self, name: &str, text: &str, origin: Origin) -> Result<(), SettingError>;
}

impl Sheet for Layer {
    fn level(&mut self, name: &str, switch: Switch, origin: Origin) -> Result<(), SettingError> {
        self.set_level_from(name, switch, origin)
    }

    fn limit(&mut self, name: &str, text: &str, origin: Origin) -> Result<(), SettingError> {
        self.set_limit_from(name, text, origin)
    }
}

impl Sheet for Profile {
    fn level(&mut self, name: &str, switch: Switch, origin: Origin) -> Result<(), SettingError> {
        self.set_level_from(name, switch, origin)
    }

    fn limit(&mut self, name: &str, text: &str, origin: Origin) -> Result<(), SettingError> {
        self.set_limit_from(name, text, origin)
    }
}

/// The configuration in a text.
pub(super) fn config(text: &str, file: &str) -> Result<Config, Vec<Mistake>> {
    let mut reader = ConfigReader { file: TomlFile::new(file, text), config: Config::default() };
    if let Some(table) = reader.file.table() {
        reader.top(&table);
    }
    reader.file.finish(reader.config)
}

struct ConfigReader<'t> {
    file: TomlFile<'t>,
    config: Config,
}

impl ConfigReader<'_> {
    fn wrong(&mut self, at: &Range<usize>, text: impl Into<String>) {
        self.file.wrong(at, text);
    }

    fn origin(&self, key: &TomlKey<'_>) -> Origin {
        self.line_of(&key.span())
    }

    fn line_of(&self, at: &Range<usize>) -> Origin {
        Origin::Line(Arc::clone(&self.file.name), self.file.line(at))
    }

    fn top(&mut self, table: &DeTable<'_>) {
        // Whether a rule is there yet depends on the edition.
        let mut entries: Vec<(&TomlKey<'_>, &TomlValue<'_>)> = table.iter().collect();
        entries.sort_by_key(|(key, _)| (key.get_ref() != "edition", key.span().start));
        for (key, value) in entries {
            match key.get_ref().as_ref() {
                "edition" => self.edition(key, value),
                "fail_level" => self.fail_level(key, value),
                "baseline" => self.config.baseline = self.file_name(key, value, "oar-baseline.jsonl"),
                "waivers" => self.config.waivers = self.file_name(key, value, "oar-waivers.toml"),
                "output" => self.config.output = self.output(value),
                "rule_pages" => self.config.rule_pages = self.rule_pages(key, value),
                "include" => self.config.include = self.names(key, value),
                "exclude" => self.config.exclude = self.names(key, value),
                "select" | "ignore" => self.rules(key, value),
                "levels" | "limits" => {
                    let mut layer = std::mem::take(&mut self.config.settings.everywhere);
                    self.sheet(key, value, &mut layer);
                    self.config.settings.everywhere = layer;
                }
                "signals" => self.signals(key, value),
                "profile" => self.profiles(key, value),
                name => self.wrong(&key.span(), no_key(name, KEYS)),
            }
        }
    }

    fn edition(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) {
        let newest = self.config.settings.editions.newest;
        let given = match value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
            _ => return self.wrong(&value.span(), "edition takes a whole number, as in edition = 1"),
        };
        match given.parse().ok().filter(|edition| (1..=newest).contains(edition)) {
            Some(edition) => {
                self.config.edition = Some((edition, self.origin(key)));
                self.config.settings.edition = Some(edition);
            }
            None => self.wrong(&value.span(), SettingError::NoEdition(given.to_owned(), newest).to_string()),
        }
    }

    fn fail_level(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) {
        let Some(word) = self.text_of(key, value, "fail_level = \"warning\"") else { return };
        match word.parse::<FailOn>().ok() {
            Some(on) => self.config.fail_level = Some((on, self.origin(key))),
            None if word == "off" => {
                self.wrong(&value.span(), "fail_level cannot be off; it is note, warning or error".to_owned());
            }
            None => {
                let near = perhaps(word, FailOn::NAMES.into_iter());
                let text = format!("unknown level {word}{near}; give {FAIL_LEVELS}");
                self.wrong(&value.span(), text);
            }
        }
    }

    fn names(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) -> Vec<Given<String>> {
        let name = key.get_ref();
        let DeValue::Array(entries) = value.get_ref() else {
            self.wrong(&value.span(), format!("{name} takes a list of names, as in {name} = [\"old\", \"*.bak.*\"]"));
            return Vec::new();
        };
        let mut names = Vec::new();
        for entry in entries {
            match entry.get_ref() {
                DeValue::String(text) if text.contains('/') => {
                    let says =
                        |part: &&str| !part.is_empty() && part.chars().any(|letter| letter != '*' && letter != '.');
                    let part = text.split('/').rfind(says).unwrap_or("NAME");
                    let text = format!(
                        "{text} is a path, but {name} takes the names of files and folders in any place; write \"{part}\""
                    );
                    self.wrong(&entry.span(), text);
                }
                DeValue::String(text) if text.is_empty() => self.wrong(&entry.span(), "the name is empty"),
                DeValue::String(text) => {
                    names.push((text.to_string(), self.line_of(&entry.span())));
                }
                _ => self.wrong(&entry.span(), "a name is a string in quotes"),
            }
        }
        names
    }

    /// The rules that are selected, or those that are ignored.
    fn rules(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) {
        let is_select = key.get_ref() == "select";
        let DeValue::Array(entries) = value.get_ref() else {
            let name = key.get_ref();
            let text =
                format!("{name} takes a list of rules and themes, as in {name} = [\"wear_log\", \"moves_too_fast\"]");
            return self.wrong(&value.span(), text);
        };
        for entry in entries {
            let origin = self.line_of(&entry.span());
            let selection = &mut self.config.settings.selection;
            let done = match entry.get_ref().as_str() {
                Some(name) if is_select => selection.select(name, origin).map_err(|error| error.to_string()),
                Some(name) => selection.ignore(name, origin).map_err(|error| error.to_string()),
                None => Err("a rule is a string in quotes".to_owned()),
            };
            if let Err(text) = done {
                self.wrong(&entry.span(), text);
            }
        }
    }

    /// A table of signals with their priorities.
    fn signals(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) {
        let DeValue::Table(entries) = value.get_ref() else {
            let text = "signals is a table: write [signals] on a line and its entries below";
            return self.wrong(&key.span(), text);
        };
        for (key, value) in entries {
            let name = key.get_ref();
            let Some(word) = self.text_of(key, value, &format!("{name} = \"off\"")) else { continue };
            let priority = Priority::ALL.into_iter().find(|priority| priority.as_str() == word);
            match (signals::find(name), priority) {
                (None, _) => {
                    let near = perhaps(name, signals::all().map(|signal| signal.name));
                    self.wrong(&key.span(), format!("unknown signal {name}{near}"));
                }
                (Some(_), None) if word != "off" => {
                    let near = perhaps(word, Priority::ALL.iter().map(|priority| priority.as_str()).chain(["off"]));
                    let text =
                        format!("unknown priority {word}{near}; priorities are today, this_week, next_contact, off");
                    self.wrong(&value.span(), text);
                }
                (Some(signal), priority) => {
                    let origin = self.origin(key);
                    self.config.priorities.set(signal, priority, origin);
                }
            }
        }
    }

    fn profiles(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) {
        let DeValue::Table(profiles) = value.get_ref() else {
            let text = "give each profile its own table, as in [profile.\"quillmere-chart\".levels]";
            return self.wrong(&key.span(), text);
        };
        let mut profiles: Vec<(&TomlKey<'_>, &TomlValue<'_>)> = profiles.iter().collect();
        profiles.sort_by_key(|(key, _)| key.span().start);
        for (system, value) in profiles {
            match Profile::new(system.get_ref()) {
                Ok(profile) => self.profile(profile, system, value),
                Err(error) => self.wrong(&system.span(), error.to_string()),
            }
        }
    }

    fn profile(&mut self, mut profile: Profile, system: &TomlKey<'_>, value: &TomlValue<'_>) {
        let DeValue::Table(parts) = value.get_ref() else {
            let name = system.get_ref();
            let text = format!("a profile is a table, as in [profile.\"{name}\".levels]");
            return self.wrong(&value.span(), text);
        };
        for (key, value) in parts {
            match key.get_ref().as_ref() {
                "levels" | "limits" => self.sheet(key, value, &mut profile),
                name => self.wrong(&key.span(), no_key(name, PROFILE_KEYS)),
            }
        }
        self.config.settings.profiles.push(profile);
    }

    /// A table of levels or one of limits.
    fn sheet(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>, sheet: &mut impl Sheet) {
        let (name, levels) = (key.get_ref(), key.get_ref() == "levels");
        let DeValue::Table(entries) = value.get_ref() else {
            return self
                .wrong(&value.span(), format!("{name} is a table: write [{name}] on a line and its entries below"));
        };
        for (key, value) in entries {
            if levels { self.level(key, value, sheet) } else { self.limit(key, value, sheet) }
        }
    }

    fn level(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>, sheet: &mut impl Sheet) {
        let name = key.get_ref();
        let Some(word) = self.text_of(key, value, &format!("{name} = \"off\"")) else { return };
        let settings = &self.config.settings;
        let (since, edition) = (settings.editions.since(name), settings.edition());
        match Switch::named(word) {
            Err(error) => self.wrong(&value.span(), error.to_string()),
            Ok(_) if since > edition => {
                self.wrong(&key.span(), SettingError::Later(name.to_string(), since, edition).to_string());
            }
            Ok(switch) => {
                if let Err(error) = sheet.level(name, switch, self.origin(key)) {
                    self.wrong(&key.span(), error.to_string());
                }
            }
        }
    }

    fn limit(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>, sheet: &mut impl Sheet) {
        let name = key.get_ref();
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref(),
            DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
            DeValue::Float(number) => number.as_str(),
            _ => {
                return self.wrong(&value.span(), format!("{name} takes a number, or a number and its unit in quotes"));
            }
        };
        let Err(error) = sheet.limit(name, text, self.origin(key)) else { return };
        let of_name = matches!(
            error,
            SettingError::NoLimit(_) | SettingError::LimitInOtherUnit(..) | SettingError::NotInProfile(..)
        );
        self.wrong(&if of_name { key.span() } else { value.span() }, error.to_string());
    }

    /// The text that a value is.
    fn text_of<'v>(&mut self, key: &TomlKey<'_>, value: &'v TomlValue<'_>, example: &str) -> Option<&'v str> {
        self.file.string(value, format!("{} takes a string in quotes, as in {example}", key.get_ref()))
    }
}

/// An error about an unknown key. It says where the key belongs when it is known there.
fn no_key(name: &str, keys: &[&str]) -> String {
    if rules::all().any(|rule| rule.name == name || rule.theme == name) {
        return format!("{name} belongs under [levels]");
    }
    if LIMITS.iter().any(|limit| limit.name == name) {
        return format!("{name} belongs under [limits]");
    }
    if signals::find(name).is_some() {
        return format!("{name} belongs under [signals]");
    }
    let near = perhaps(name, keys.iter().copied());
    format!("unknown key {name}{near}; keys are {}", keys.join(", "))
}
