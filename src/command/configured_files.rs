//! Files that `oar.toml` names, as they can be opened: relative to its folder, and never outside it.

use std::path::{Path, PathBuf};

use open_aligner_record::config::Given;
use open_aligner_record::output::{OutputFormat, RULE_PAGES};
use open_aligner_record::read::inputs::reason;

use super::Failure;
use super::outputs::Target;
use super::settings_options::{RunSettings, shown};

/// The default output of a check.
pub(crate) const OUTPUT: &str = "text";

impl RunSettings {
    /// The waiver file of the configuration.
    pub(crate) fn waivers(&self) -> Result<Option<PathBuf>, Failure> {
        self.files.waivers.as_ref().map(|said| self.to_read("waivers", said, |_| String::new())).transpose()
    }

    /// The baseline of the configuration.
    pub(crate) fn baseline(&self) -> Result<Option<PathBuf>, Failure> {
        let help = |path: &Path| format!("\n  help: oar check --write-baseline {} writes it", path.display());
        self.files.baseline.as_ref().map(|said| self.to_read("baseline", said, help)).transpose()
    }

    /// Where findings go: to the given outputs, or else to those of the configuration.
    pub(crate) fn targets(&self, given: &[String]) -> Result<Vec<Target<OutputFormat>>, Failure> {
        if !given.is_empty() {
            return Target::parse_all(given);
        }
        if self.files.output.is_empty() {
            return Ok(vec![Target::parse(OUTPUT)?]);
        }
        self.files.output.iter().map(|said| self.target(said)).collect()
    }

    /// The address of rule pages. It is needed until the command ends.
    pub(crate) fn rule_pages(&self) -> &'static str {
        self.files.rule_pages.as_ref().map_or(RULE_PAGES, |(address, _)| address.clone().leak())
    }

    /// A format, and the file that it goes to.
    fn target(&self, said: &Given<String>) -> Result<Target<OutputFormat>, Failure> {
        let (text, origin) = said;
        let Some((name, file)) = text.split_once('=').filter(|(_, file)| *file != "-") else {
            return Target::parse(text);
        };
        let path = self.inside("output", &(file.to_owned(), origin.clone()))?;
        if path.is_symlink() {
            return Err(Failure::Message(format!(
                "{origin}: output: {} is a link: give the file itself",
                path.display()
            )));
        }
        Ok(Target { file: Some(path), ..Target::parse(name)? })
    }

    /// A file that is there, in the folder of the configuration.
    fn to_read(&self, key: &str, said: &Given<String>, help: impl Fn(&Path) -> String) -> Result<PathBuf, Failure> {
        let path = self.inside(key, said)?;
        let missing = |error| {
            let text = format!("{}: {key}: {}: {}{}", said.1, path.display(), reason(&error), help(&path));
            Failure::Message(text)
        };
        std::fs::metadata(&path).map_err(missing)?;
        Ok(path)
    }

    /// The path of a file that the configuration names. No link on the way leads out of its folder.
    fn inside(&self, key: &str, (name, origin): &Given<String>) -> Result<PathBuf, Failure> {
        let folder = self.path.as_deref().and_then(Path::parent).unwrap_or(Path::new(""));
        let path = folder.join(name);
        let real =
            |path: &Path| if path.as_os_str().is_empty() { Path::new(".").canonicalize() } else { path.canonicalize() };
        // A new file is where its folder is. When that does not exist either, opening the file fails and says so.
        let place = real(&path).or_else(|_| real(path.parent().unwrap_or(Path::new(""))));
        match (real(folder), place) {
            (Ok(folder), Ok(place)) if !place.starts_with(&folder) => {
                let text = format!("{origin}: {key}: {} leads out of the folder of the settings file", shown(&path));
                Err(Failure::Message(text))
            }
            _ => Ok(PathBuf::from(shown(&path))),
        }
    }
}
