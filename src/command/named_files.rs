//! Files that `oar.toml` names, as they can be opened: looked up from its folder, and never outside it.

use std::path::{Path, PathBuf};

use open_aligner_record::config::Said;
use open_aligner_record::output::RULE_PAGES;
use open_aligner_record::read::inputs::reason;

use super::Failure;
use super::chosen::{Settled, shown};
use super::listen::Target;

/// What a check writes when nothing else is asked for.
pub(crate) const OUTPUT: &str = "text";

impl Settled {
    /// The waivers that the file names.
    pub(crate) fn waivers(&self) -> Result<Option<PathBuf>, Failure> {
        self.named.waivers.as_ref().map(|said| self.to_read("waivers", said, |_| String::new())).transpose()
    }

    /// The baseline that the file names.
    pub(crate) fn baseline(&self) -> Result<Option<PathBuf>, Failure> {
        let help = |path: &Path| format!("\n  help: write it with --write-baseline {}", path.display());
        self.named.baseline.as_ref().map(|said| self.to_read("baseline", said, help)).transpose()
    }

    /// Where findings go: to what is given, or else where the file says.
    pub(crate) fn targets(&self, given: &[String]) -> Result<Vec<Target>, Failure> {
        if !given.is_empty() {
            return given.iter().map(|text| Target::parse(text)).collect();
        }
        if self.named.output.is_empty() {
            return Ok(vec![Target::parse(OUTPUT)?]);
        }
        self.named.output.iter().map(|said| self.target(said)).collect()
    }

    /// The address of the page of a rule. It is needed until the command ends.
    pub(crate) fn rule_pages(&self) -> &'static str {
        self.named.rule_pages.as_ref().map_or(RULE_PAGES, |(address, _)| address.clone().leak())
    }

    /// A form, and the file that it goes to.
    fn target(&self, said: &Said<String>) -> Result<Target, Failure> {
        let (text, origin) = said;
        let Some((name, file)) = text.split_once('=').filter(|(_, file)| *file != "-") else {
            return Target::parse(text);
        };
        let path = self.inside("output", &(file.to_owned(), origin.clone()))?;
        if path.is_symlink() {
            return Err(Failure::Asked(format!(
                "{origin}: output: {} is a link: name the file itself",
                path.display()
            )));
        }
        Ok(Target::parse(name)?.into_file(path))
    }

    /// A file that is there, in the folder of the configuration.
    fn to_read(&self, key: &str, said: &Said<String>, help: impl Fn(&Path) -> String) -> Result<PathBuf, Failure> {
        let path = self.inside(key, said)?;
        let missing = |error| {
            let text = format!("{}: {key}: {}: {}{}", said.1, path.display(), reason(&error), help(&path));
            Failure::Asked(text)
        };
        std::fs::metadata(&path).map_err(missing)?;
        Ok(path)
    }

    /// The path of a file that the configuration names. No link on the way leads out of its folder.
    fn inside(&self, key: &str, (name, origin): &Said<String>) -> Result<PathBuf, Failure> {
        let folder = self.path.as_deref().and_then(Path::parent).unwrap_or(Path::new(""));
        let path = folder.join(name);
        let real =
            |path: &Path| if path.as_os_str().is_empty() { Path::new(".").canonicalize() } else { path.canonicalize() };
        // A file that is not there yet is where its folder is; when there is none either, opening it says so.
        let place = real(&path).or_else(|_| real(path.parent().unwrap_or(Path::new(""))));
        match (real(folder), place) {
            (Ok(folder), Ok(place)) if !place.starts_with(&folder) => {
                let text = format!("{origin}: {key}: {} leads out of the folder of that file", shown(&path));
                Err(Failure::Asked(text))
            }
            _ => Ok(PathBuf::from(shown(&path))),
        }
    }
}
