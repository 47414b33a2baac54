//! What an Open Aligner Record is.
//!
//! - [`record`]: the objects of the format, each described once.
//! - [`teeth`], [`time`], [`number`], [`words`]: what their fields hold.
//! - [`rows`] and [`reader`]: the same objects as the checker's fast road reads and holds them.
//! - [`describe`]: the descriptions.

mod anything;
pub mod describe;
pub mod json_schema;
pub mod kinds;
pub mod limits;
pub mod number;
mod object;
pub mod reader;
pub mod record;
pub mod rows;
pub mod teeth;
pub mod time;
pub mod words;
