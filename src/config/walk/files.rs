//! Files that a configuration names: the baseline, the waivers, where findings are written, and the addresses of rule pages.
//!
//! A configuration may come with records that somebody else made, and it is read without being asked for. So the files that it names
//! lie in its own folder or below, and what is written there looks like a report.

use toml::de::DeValue;

use super::{ConfigReader, Given, TomlKey, TomlValue};
use crate::check::settings::perhaps;
use crate::read::names;
use crate::report::output::OutputFormat;

/// The endings of names of files that findings may be written to.
const ENDINGS: [&str; 7] = [".txt", ".log", ".json", ".jsonl", ".sarif", ".xml", ".csv"];

impl ConfigReader<'_> {
    /// The name of a file that is read.
    pub(super) fn file_name(
        &mut self,
        key: &TomlKey<'_>,
        value: &TomlValue<'_>,
        example: &str,
    ) -> Option<Given<String>> {
        let name = self.text_of(key, value, &format!("{} = \"{example}\"", key.get_ref()))?;
        match within(name) {
            Ok(()) => Some((name.to_owned(), self.origin(key))),
            Err(text) => {
                self.wrong(&value.span(), text);
                None
            }
        }
    }

    /// A list of formats, some with the names of files.
    pub(super) fn output(&mut self, value: &TomlValue<'_>) -> Vec<Given<String>> {
        let DeValue::Array(entries) = value.get_ref() else {
            let text = "output takes a list of formats, as in output = [\"text\", \"sarif=findings.sarif\"]";
            self.wrong(&value.span(), text);
            return Vec::new();
        };
        let mut formats = Vec::new();
        for entry in entries {
            let read = entry.get_ref().as_str().ok_or_else(|| "a format is a string in quotes".to_owned());
            match read.and_then(|text| format_and_file(text).map(|()| text.to_owned())) {
                Ok(text) => formats.push((text, self.line_of(&entry.span()))),
                Err(text) => self.wrong(&entry.span(), text),
            }
        }
        formats
    }

    /// The address of the pages of rules.
    pub(super) fn rule_pages(&mut self, key: &TomlKey<'_>, value: &TomlValue<'_>) -> Option<Given<String>> {
        let address = self.text_of(key, value, "rule_pages = \"https://example.org/rules/{rule}\"")?;
        let fits = |letter: char| letter.is_ascii_graphic() && !"\"<>\\^`|".contains(letter);
        let is_web = address.starts_with("https://") || address.starts_with("http://");
        if is_web
            && address.contains("{rule}")
            && address.replace("{rule}", "").chars().all(|it| fits(it) && !"{}".contains(it))
        {
            return Some((address.to_owned(), self.origin(key)));
        }
        let text = "is not an address of rule pages: begin with https:// or http://, and write {rule} for the name of the rule";
        self.wrong(&value.span(), format!("{address} {text}"));
        None
    }
}

/// Whether a text is a format, or a format and the name of a file that findings may be written to.
fn format_and_file(text: &str) -> Result<(), String> {
    let (name, file) = text.split_once('=').map_or((text, None), |(name, file)| (name, Some(file)));
    if name.parse::<OutputFormat>().is_err() {
        let names: Vec<&str> = OutputFormat::ALL.iter().map(|(_, name, _)| *name).collect();
        let near = perhaps(name, names.iter().copied());
        return Err(format!("unknown format {name}{near}; formats are {}", names.join(", ")));
    }
    match file {
        None | Some("-") => Ok(()),
        Some("") => Err("no file after the =".to_owned()),
        Some(file) => within(file).and_then(|()| report(file)),
    }
}

/// Whether a name leads to a place in the folder of the configuration or below.
fn within(name: &str) -> Result<(), String> {
    if name.is_empty() {
        return Err("the name is empty".to_owned());
    }
    let drive = name.get(1..2) == Some(":") && name.starts_with(|letter: char| letter.is_ascii_alphabetic());
    if name.starts_with('/') || drive {
        return Err(format!("{name} is an absolute path: write it relative to the folder of this file"));
    }
    if name.contains('\\') {
        return Err(format!("{name} contains a \\: write / between folders"));
    }
    if name.split('/').any(|part| part == "..") {
        return Err(format!("{name} is outside the folder of this file: give a file there or below, without .."));
    }
    Ok(())
}

/// Whether a name is that of a report, not of a file that other programs run or read as theirs.
fn report(name: &str) -> Result<(), String> {
    if name.split('/').any(|part| part.starts_with('.')) {
        return Err(format!("{name} is hidden: use names that do not begin with a dot"));
    }
    if names::is_record(name) {
        return Err(format!("{name} is the name of a record file: give another name"));
    }
    if !ENDINGS.iter().any(|ending| name.ends_with(ending)) {
        let (last, others) = (ENDINGS[6], ENDINGS[..6].join(", "));
        return Err(format!("{name} does not end like a report; such names end in {others} or {last}"));
    }
    Ok(())
}
