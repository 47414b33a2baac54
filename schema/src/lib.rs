//! The Open Aligner Record format.
//!
//! - [`record`]: the objects of the format, each described once.
//! - [`teeth`], [`time`], [`number`], [`words`]: the types of their fields.
//! - [`rows`] and [`reader`]: the same objects as the checker's fast path reads and stores them.
//! - [`derived`]: values that follow from a record; [`norms`], [`limits`]: published values about teeth, and thresholds.
//! - [`zones`]: local time, from the IANA database.
//! - [`describe`]: the descriptions.
//! - [`pipeline`]: pieces of work on several threads, in order; nothing of the format.

mod anything;
pub mod derived;
pub mod describe;
pub mod json_schema;
pub mod kinds;
pub mod limits;
pub mod nearest;
pub mod norms;
pub mod number;
mod object;
mod patterns;
pub mod pipeline;
pub mod reader;
pub mod record;
pub mod rows;
mod spans;
pub mod teeth;
pub mod time;
pub mod value_bytes;
pub mod words;
pub mod zones;
