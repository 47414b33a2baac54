//! Recipes: descriptions of a clinic and its patients, each value with its source.
//!
//! A recipe is a TOML file. Its values are in groups, each as `name = { value = …, source = "…", note = "…" }`. The source is
//! a key of the table `references`, or `"common practice"`, `"from memory"` or `"assumption"`. An assumption or a value from
//! memory needs a note with the reason. A recipe may `extend` another one and override single values.

mod error;
mod parameters;
mod setting;

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use oar_schema::nearest::nearest;
use oar_schema::record::Id;
use oar_schema::zones::Zone;
use toml::{Table, Value};

pub use error::RecipeError;
pub use parameters::{
    BiteValues, ByTooth, CareValues, ClinicValues, DESCRIBED, Parameters, PlanValues, PopulationValues, ReportValues,
    ResponseValues, StartValues, WearValues,
};
pub use setting::{RecipeValueError, SettingDescription};

/// The recipes that come with the generator, by name.
pub const BUILT_IN: &[(&str, &str)] = &[
    ("general", include_str!("../../recipes/general.toml")),
    ("teenagers", include_str!("../../recipes/teenagers.toml")),
    ("complex-adults", include_str!("../../recipes/complex_adults.toml")),
    ("low-wear", include_str!("../../recipes/low_wear.toml")),
    ("live", include_str!("../../recipes/live.toml")),
    ("edge", include_str!("../../recipes/edge.toml")),
];

/// Sources that need no reference. A value has one of these or a reference.
pub const UNPUBLISHED: [&str; 3] = [PRACTICE, MEMORY, ASSUMPTION];
const PRACTICE: &str = "common practice";
const MEMORY: &str = "from memory";
const ASSUMPTION: &str = "assumption";
/// The maximum length of a chain of recipes that extend each other.
const DEEPEST: usize = 8;
/// The maximum size of a recipe in bytes.
const MOST_BYTES: u64 = 16 << 20;
/// Fields other than the groups of values.
const HEAD: [&str; 5] = ["name", "version", "summary", "extend", "references"];
/// Fields of a value.
const FIELDS: [&str; 3] = ["value", "source", "note"];

/// A value with its source.
#[derive(Clone, Debug)]
pub struct RecipeEntry {
    value: Value,
    /// The key of a reference, or one of the words for values without one.
    pub source: String,
    /// The reason for this value.
    pub note: Option<String>,
}

impl RecipeEntry {
    /// The value as written in a recipe.
    pub fn shown(&self) -> String {
        match &self.value {
            Value::String(text) => text.clone(),
            Value::Array(list) => {
                let shown: Vec<String> = list.iter().map(shown).collect();
                format!("[{}]", shown.join(", "))
            }
            value => shown(value),
        }
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Integer(number) => number.to_string(),
        Value::Float(number) => number.to_string(),
        Value::Boolean(flag) => flag.to_string(),
        _ => String::new(),
    }
}

/// A recipe that has been read and checked.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Its name.
    pub name: Id,
    /// Its version.
    pub version: Id,
    /// Its summary in one sentence.
    pub summary: String,
    /// The publications to which its sources refer.
    pub references: BTreeMap<String, String>,
    /// Its values as written in the files, by key.
    pub entries: BTreeMap<String, RecipeEntry>,
    /// Its values.
    pub values: Parameters,
}

/// A recipe that is being read: the content of the files so far.
#[derive(Default)]
struct ParsedFiles {
    head: BTreeMap<String, String>,
    references: BTreeMap<String, String>,
    entries: BTreeMap<String, RecipeEntry>,
}

impl Recipe {
    /// The recipe with that name, or in the file with that path, with single values overridden (`wear.day_sigma=0.3`).
    ///
    /// # Errors
    /// When it does not exist, or lacks something that a recipe needs.
    pub fn load(name: &str, sets: &[String]) -> Result<Self, RecipeError> {
        let mut draft = ParsedFiles::default();
        draft.read(name, 0)?;
        for set in sets {
            draft.set(set)?;
        }
        draft.finish()
    }

    /// Everything that determines the records, one line each: name, version, and every value by its key. Recipes with the same
    /// text make the same records from the same seed.
    pub fn text(&self) -> String {
        let mut text = format!("name = {}\nversion = {}\n", self.name.0, self.version.0);
        for (key, entry) in &self.entries {
            text.extend([key, " = ", &entry.shown(), "\n"]);
        }
        text
    }
}

/// The text of a recipe, by name or path.
fn text_of(name: &str) -> Result<String, RecipeError> {
    if let Some((_, text)) = BUILT_IN.iter().find(|(known, _)| *known == name) {
        return Ok((*text).to_owned());
    }
    let path = Path::new(name);
    if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("toml")) {
        let near = nearest(name, BUILT_IN.iter().map(|(known, _)| *known)).map(str::to_owned);
        return Err(RecipeError::NotThere(name.to_owned(), near));
    }
    read(path).map_err(|error| RecipeError::NotRead(name.to_owned(), error.kind()))
}

/// Reads the text of a recipe. People write recipes, so a file that never ends is an error.
fn read(path: &Path) -> io::Result<String> {
    let mut text = String::new();
    File::open(path)?.take(MOST_BYTES + 1).read_to_string(&mut text)?;
    if text.len() as u64 > MOST_BYTES { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(text) }
}

impl ParsedFiles {
    /// Reads a recipe, after the one that it extends.
    fn read(&mut self, name: &str, depth: usize) -> Result<(), RecipeError> {
        if depth > DEEPEST {
            return Err(RecipeError::Circle(name.to_owned()));
        }
        let table: Table = text_of(name)?.parse().map_err(|error: toml::de::Error| {
            RecipeError::NotToml(name.to_owned(), error.message().to_owned(), error.span().map(|span| span.start))
        })?;
        if let Some(base) = table.get("extend") {
            let base = base.as_str().ok_or_else(|| RecipeError::kind("extend", "the name of a recipe"))?;
            let beside = Path::new(name).parent().map(|folder| folder.join(base)).filter(|path| path.is_file());
            self.read(&beside.map_or(base.to_owned(), |path| path.to_string_lossy().into_owned()), depth + 1)?;
        }
        for (key, value) in &table {
            self.take(key, value)?;
        }
        Ok(())
    }

    fn take(&mut self, key: &str, value: &Value) -> Result<(), RecipeError> {
        match (key, value) {
            ("extend", _) => Ok(()),
            ("references", Value::Table(references)) => {
                for (key, text) in references {
                    let text = text.as_str().ok_or_else(|| RecipeError::kind(key, "the text of a reference"))?;
                    self.references.insert(key.clone(), text.to_owned());
                }
                Ok(())
            }
            ("name" | "version" | "summary", Value::String(text)) => {
                self.head.insert(key.to_owned(), text.clone());
                Ok(())
            }
            (group, Value::Table(values)) => values.iter().try_for_each(|(name, value)| self.enter(group, name, value)),
            (key, _) if HEAD.contains(&key) => Err(RecipeError::kind(key, "a text")),
            (key, _) => Err(unknown(key)),
        }
    }

    fn enter(&mut self, group: &str, name: &str, value: &Value) -> Result<(), RecipeError> {
        let key = format!("{group}.{name}");
        if !DESCRIBED.iter().any(|described| described.key == key) {
            return Err(unknown(&key));
        }
        let table = value.as_table().ok_or_else(|| RecipeError::kind(&key, "{ value = …, source = \"…\" }"))?;
        if let Some(field) = table.keys().find(|field| !FIELDS.contains(&field.as_str())) {
            let near = nearest(field, FIELDS.into_iter()).map(str::to_owned);
            return Err(RecipeError::UnknownKey(format!("{key}.{field}"), near));
        }
        let text = |field: &str| table.get(field).and_then(Value::as_str).map(str::to_owned);
        let value = table.get("value").ok_or_else(|| RecipeError::Missing(format!("{key}.value")))?.clone();
        let source = text("source").ok_or_else(|| RecipeError::Missing(format!("{key}.source")))?;
        let note = text("note");
        if [MEMORY, ASSUMPTION].contains(&source.as_str()) && note.as_ref().is_none_or(|note| note.trim().is_empty()) {
            return Err(RecipeError::NoReason(key));
        }
        self.entries.insert(key, RecipeEntry { value, source, note });
        Ok(())
    }

    /// Sets one value from `key=value`.
    fn set(&mut self, set: &str) -> Result<(), RecipeError> {
        let (key, text) = set.split_once('=').ok_or_else(|| RecipeError::NotASet(set.to_owned()))?;
        let (key, text) = (key.trim(), text.trim());
        if !DESCRIBED.iter().any(|described| described.key == key) {
            return Err(unknown(key));
        }
        let read = |text: &str| format!("value = {text}").parse::<Table>().ok();
        let value = read(text).and_then(|mut table| table.remove("value"));
        let value = value.unwrap_or_else(|| Value::String(text.to_owned()));
        let note = Some("set for this run".to_owned());
        self.entries.insert(key.to_owned(), RecipeEntry { value, source: ASSUMPTION.to_owned(), note });
        Ok(())
    }

    fn finish(mut self) -> Result<Recipe, RecipeError> {
        for (key, entry) in &self.entries {
            if !UNPUBLISHED.contains(&entry.source.as_str()) && !self.references.contains_key(&entry.source) {
                let known = self.references.keys().map(String::as_str).chain(UNPUBLISHED);
                let near = nearest(&entry.source, known).map(str::to_owned);
                return Err(RecipeError::NoReference(key.clone(), entry.source.clone(), near));
            }
        }
        let find = |key: &str| self.entries.get(key).map(|entry| &entry.value);
        let values = Parameters::take(find, RecipeError::value)?;
        check_zones(&values)?;
        let mut text = |key: &str| self.head.remove(key).ok_or_else(|| RecipeError::Missing(key.to_owned()));
        let (name, version, summary) = (text("name")?, text("version")?, text("summary")?);
        for (key, id) in [("name", &name), ("version", &version), ("clinic.system", &values.clinic.system)] {
            if !Id::fits(id.as_bytes()) {
                return Err(RecipeError::kind(key, "up to 64 letters, digits, dots and hyphens"));
            }
        }
        let Self { mut references, entries, .. } = self;
        references.retain(|key, _| entries.values().any(|entry| entry.source == *key));
        Ok(Recipe { name: Id(name), version: Id(version), summary, references, entries, values })
    }
}

fn check_zones(values: &Parameters) -> Result<(), RecipeError> {
    match values.clinic.time_zones.iter().find(|name| Zone::named(name).is_none()) {
        Some(name) => Err(RecipeError::NotAZone(name.clone())),
        None => Ok(()),
    }
}

/// No value has that key; names the nearest existing one.
fn unknown(key: &str) -> RecipeError {
    let keys = || DESCRIBED.iter().map(|described| described.key);
    let name = key.rsplit('.').next().unwrap_or(key);
    let by_name = || keys().find(|known| known.rsplit('.').next() == Some(name));
    let near = by_name().or_else(|| nearest(key, keys().chain(HEAD)));
    RecipeError::UnknownKey(key.to_owned(), near.map(str::to_owned))
}
