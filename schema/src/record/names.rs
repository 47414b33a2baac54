//! Identifiers, versions and extensions.

use serde::{Serialize, Serializer};
use serde_json::{Map, Value};

use crate::anything;
use crate::describe::{Bounds, Type};
use crate::kinds::{FieldKind, Stored};
use crate::parse::{as_text, from_text};
use crate::patterns::{is_id, is_time_zone};
use crate::reader::{Fallback, RecordReader};
use crate::spans::Str;
use crate::value_bytes::{ValueBytes, unescaped};

pub use crate::patterns::{EXTENSION_PATTERN, ID_PATTERN, TIME_ZONE_PATTERN, is_reverse_domain};

/// The value of `format`.
pub const FORMAT: &str = "open-aligner-record";

/// The version of the format that this crate describes.
pub const VERSION: Version = Version { major: 1, minor: 0 };

const NO_BOUNDS: Bounds = Bounds::new(0, 0);

macro_rules! text_type {
    ($(#[doc = $doc:literal])* $name:ident, $ty:expr, $fits:ident, $wanted:literal) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(transparent))]
        pub struct $name(pub String);

        impl $name {
            /// Whether `text` has the shape that the published schema requires.
            pub fn fits(text: &[u8]) -> bool {
                $fits(text)
            }
        }

        /// Takes any text; the checker reports one without the shape, and [`str::parse`] rejects it.
        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        from_text!($name, $wanted, |text: &str| Self::fits(text.as_bytes()).then(|| text.into()));

        impl AsRef<str> for $name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&self.0)
            }
        }

        impl FieldKind for $name {
            type Row = Str;
            const TYPE: Type = $ty;
            const BOUNDS: Bounds = NO_BOUNDS;
            const BLANK: Str = Str::NONE;
        }

        impl<T> Stored<T> for $name {
            #[inline]
            fn read(reader: &mut RecordReader<'_>, _: &mut T, _: Bounds) -> Result<Str, Fallback> {
                let text = reader.plain()?;
                if Self::fits(text) { Ok(reader.place(text)) } else { Err(Fallback) }
            }

            fn write(row: &Str, _: &T, values: &mut ValueBytes<'_>) {
                values.text(*row);
            }

            fn own(row: &Str, _: &T, bytes: &[u8]) -> Self {
                Self(unescaped(*row, bytes))
            }
        }
    };
}

text_type!(
    /// A pseudonymous identifier: 1 to 64 letters, digits, `.`, `_`, `:` or `-`, the first a letter or digit.
    Id, Type::Id, is_id, "an id"
);
text_type!(
    /// The name of a time zone in the IANA database, such as `Europe/Vienna`.
    TimeZone, Type::TimeZone, is_time_zone, "the name of a time zone such as Europe/Vienna"
);

/// The fixed text in `format`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Format;

impl Serialize for Format {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(FORMAT)
    }
}

as_text!(Format, "an open-aligner-record", |text| (text == FORMAT).then_some(Self));

impl FieldKind for Format {
    type Row = ();
    const TYPE: Type = Type::Constant(FORMAT);
    const BOUNDS: Bounds = NO_BOUNDS;
    const BLANK: () = ();
}

impl<T> Stored<T> for Format {
    fn read(reader: &mut RecordReader<'_>, _: &mut T, _: Bounds) -> Result<(), Fallback> {
        if reader.plain()? == FORMAT.as_bytes() { Ok(()) } else { Err(Fallback) }
    }

    fn write((): &(), _: &T, _: &mut ValueBytes<'_>) {}

    fn own((): &(), _: &T, _: &[u8]) -> Self {
        Self
    }
}

/// The version of the format, `MAJOR.MINOR`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Version {
    /// Changes when older readers can no longer read the format.
    pub major: u16,
    /// Changes when optional fields or words are added.
    pub minor: u16,
}

impl Version {
    /// Reads `1.0`.
    pub fn parse(text: &str) -> Option<Self> {
        let (major, minor) = text.split_once('.')?;
        Some(Self { major: number(major)?, minor: number(minor)? })
    }
}

fn number(digits: &str) -> Option<u16> {
    let canonical = digits == "0" || !digits.starts_with(['0', '+']);
    canonical.then(|| digits.parse().ok()).flatten()
}

impl std::fmt::Display for Version {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.major, self.minor)
    }
}

impl Serialize for Version {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

as_text!(Version, "a version such as 1.0", Self::parse);

impl FieldKind for Version {
    type Row = Version;
    const TYPE: Type = Type::Version;
    const BOUNDS: Bounds = NO_BOUNDS;
    const BLANK: Version = VERSION;
}

impl<T> Stored<T> for Version {
    fn read(reader: &mut RecordReader<'_>, _: &mut T, _: Bounds) -> Result<Version, Fallback> {
        let text = std::str::from_utf8(reader.plain()?).map_err(|_| Fallback)?;
        Self::parse(text).filter(|version| *version == VERSION).ok_or(Fallback)
    }

    fn write(row: &Version, _: &T, values: &mut ValueBytes<'_>) {
        values.words(&[row.major, row.minor].map(|part| u32::from(part).to_le_bytes()));
    }

    fn own(row: &Version, _: &T, _: &[u8]) -> Self {
        *row
    }
}

/// Data that other systems add: any JSON, keyed by reverse domain name.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(transparent))]
pub struct Extensions(pub Map<String, Value>);

impl FieldKind for Extensions {
    type Row = Str;
    const TYPE: Type = Type::Extensions;
    const BOUNDS: Bounds = NO_BOUNDS;
    const BLANK: Str = Str::NONE;
}

impl<T> Stored<T> for Extensions {
    fn read(reader: &mut RecordReader<'_>, _: &mut T, _: Bounds) -> Result<Str, Fallback> {
        anything::extensions(reader)
    }

    fn write(row: &Str, _: &T, values: &mut ValueBytes<'_>) {
        values.anything(*row);
    }

    fn own(row: &Str, _: &T, bytes: &[u8]) -> Self {
        Self(serde_json::from_slice(row.of(bytes)).unwrap_or_default())
    }
}
