//! Reads one JSON document and keeps where everything stands.
//!
//! The grammar is RFC 8259, to the letter; a byte order mark is for the caller to take off.
//! The stricter promises of I-JSON (RFC 7493) are kept in two ways. A lone surrogate in an
//! escape stops the reading, since no Rust string can hold it. A repeated name, a number too
//! large and a noncharacter do not: the document still has one tree, so they are listed in
//! [`Tree::problems`] and the caller decides. Noncharacters are listed because RFC 7493,
//! section 2.1, says strings MUST NOT hold them.
//!
//! A [`Tree`] borrows nothing from the document and keeps its buffers from one document to the
//! next; whatever needs the text takes the bytes again. Nothing here recurses.

#[cfg(feature = "report")]
pub mod canonical;
mod decimal;
mod error;
pub mod layout;
pub(crate) mod lines;
mod names;
mod node;
mod place;
mod pointer;
mod read;
mod scan;
mod text;
mod tree;
mod wide;

pub use decimal::{Decimal, decimal};
pub use error::{SyntaxError, SyntaxErrorKind};
pub use node::{Kind, Node, NodeId};
pub use place::line_and_column;
pub use text::decode;
pub use tree::{Children, Problem, Tree};

/// How many lists and objects may be open at once.
///
/// A treatment record nests about a dozen deep; this leaves room and keeps every later walk
/// over the tree shallow.
pub const MAX_DEPTH: usize = 64;
