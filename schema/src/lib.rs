//! The Open Aligner Record format.
//!
//! - [`record`]: the objects of the format, each described once.
//! - [`teeth`], [`time`], [`number`], [`words`]: the types of their fields; [`parse`]: their texts.
//! - `rows` and `reader`: the same objects as the checker's fast path reads and stores them; not for users.
//! - [`derived`]: values that follow from a record; [`norms`], [`limits`]: published values about teeth, and thresholds.
//! - [`zones`]: local time, from the IANA database.
//! - [`describe`]: the descriptions.
//! - `published`: schemas of what programs write beside records, with the feature `schemas`.
//! - [`pipeline`]: pieces of work on several threads, in order; nothing of the format.

mod anything;
pub mod derived;
pub mod describe;
pub mod json_schema;
#[doc(hidden)]
pub mod kinds;
pub mod limits;
pub mod nearest;
pub mod norms;
pub mod number;
mod object;
mod options;
pub mod parse;
mod patterns;
pub mod pipeline;
#[cfg(feature = "schemas")]
pub mod published;
#[doc(hidden)]
pub mod reader;
pub mod record;
#[doc(hidden)]
pub mod rows;
mod spans;
pub mod teeth;
pub mod time;
#[doc(hidden)]
pub mod value_bytes;
pub mod words;
pub mod zones;
