//! Errors in recipes, with their messages.

use std::{fmt, io};

use oar_schema::nearest::did_you_mean;

use super::setting::{RecipeValueError, SettingDescription};

/// Why a recipe cannot be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum RecipeError {
    /// No recipe has that name; with the nearest one.
    NotThere(String, Option<String>),
    /// The file cannot be read.
    NotRead(String, io::ErrorKind),
    /// The file is not valid TOML: what is wrong, and at which byte.
    NotToml(String, String, Option<usize>),
    /// Recipes extend each other in a circle.
    Circle(String),
    /// No value has that key; with the nearest key.
    UnknownKey(String, Option<String>),
    /// A key has no value.
    Missing(String),
    /// A value has the wrong type.
    Kind(String, String),
    /// A value is outside its range.
    Range(&'static SettingDescription, f64),
    /// A value names a source that is not among the references; with the nearest one.
    NoReference(String, String, Option<String>),
    /// An assumption without a reason.
    NoReason(String),
    /// A setting is not written as `key=value`.
    NotASet(String),
    /// The IANA database has no such time zone.
    NotAZone(String),
}

impl RecipeError {
    pub(super) fn kind(key: &str, wanted: &str) -> Self {
        Self::Kind(key.to_owned(), wanted.to_owned())
    }

    pub(super) fn value(described: &'static SettingDescription, fault: Option<RecipeValueError>) -> Self {
        match fault {
            None => Self::Missing(described.key.to_owned()),
            Some(RecipeValueError::Kind(wanted)) => Self::Kind(described.key.to_owned(), wanted),
            Some(RecipeValueError::Range(value)) => Self::Range(described, value),
        }
    }
}

impl fmt::Display for RecipeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotThere(name, near) => {
                write!(
                    f,
                    "unknown recipe {name}{}\n  oar generate --list lists the recipes; the path of your own recipe ends in .toml",
                    did_you_mean(near.as_deref())
                )
            }
            Self::NotRead(name, io::ErrorKind::NotFound) => write!(f, "{name}: there is no such file"),
            Self::NotRead(name, io::ErrorKind::FileTooLarge) => {
                write!(f, "{name}: it has more than 16 MiB, the limit")
            }
            Self::NotRead(name, kind) => write!(f, "{name} cannot be read: {kind}"),
            Self::NotToml(name, what, Some(at)) => write!(f, "{name} is not valid TOML, at byte {at}: {what}"),
            Self::NotToml(name, what, None) => write!(f, "{name} is not valid TOML: {what}"),
            Self::Circle(name) => write!(f, "{name} extends itself, or the chain of extended recipes is too long"),
            Self::UnknownKey(key, near) => write!(f, "unknown recipe value {key}{}", did_you_mean(near.as_deref())),
            Self::Missing(key) => write!(f, "{key} is missing\n  help: give it, or extend a recipe that has it"),
            Self::Kind(key, wanted) => write!(f, "{key} takes {wanted}"),
            Self::Range(described, value) => {
                let SettingDescription { key, unit, least, most, .. } = described;
                write!(f, "{value} is outside {least} to {most} {unit}, the range of {key}")
            }
            Self::NoReference(key, source, near) => {
                write!(f, "the source of {key}, {source}, is not among the references{}", did_you_mean(near.as_deref()))
            }
            Self::NoReason(key) => {
                write!(f, "{key} is an assumption or from memory, but has no reason\n  help: give it as note")
            }
            Self::NotASet(set) => write!(f, "{set} sets nothing\n  help: write it as group.name=value"),
            Self::NotAZone(name) => write!(f, "{name} is not a time zone of the IANA database"),
        }
    }
}

impl std::error::Error for RecipeError {}
