//! Checks records of clear aligner treatment in the Open Aligner Record format.
//!
//! It is made for record-keeping and test data. It is not a medical device; findings are about records and are not advice on
//! treatment.
//!
//! # A tour
//!
//! **Build a record** with the types of [`record`], which read and write JSON through `serde`:
//!
//! ```
//! use open_aligner_record::record::Record;
//! use open_aligner_record::Checker;
//!
//! let mut record = Record::default();
//! record.id = "QM-0001".into();
//! record.patient.id = "P-0001".into();
//! record.patient.birth_year = 1994;
//! record.patient.time_zone = "Europe/Vienna".into();
//! # record.source.system = "quillmere-chart".into();
//! # record.source.exported_at = serde_json::from_str("\"2031-02-03T08:30:00+01:00\"")?;
//! # record.status.since = serde_json::from_str("\"2031-01-20\"")?;
//! # record.prescription.days_per_tray = 10;
//! // … source, prescription, series …
//! let findings = Checker::new().check_record(&record)?;
//! assert!(findings.iter().all(|finding| finding.rule.name != "missing_field"));
//! # Ok::<(), serde_json::Error>(())
//! ```
//!
//! **Check the bytes of one record** with a [`Checker`], which can be reused:
//!
//! ```
//! use open_aligner_record::Checker;
//!
//! let text = br#"{"format": "open-aligner-record", "version": "1.0", "id": "QM-0001", "wear": []}"#;
//! let mut checker = Checker::new();
//! assert!(!checker.is_clean(text));
//! for finding in checker.check(text) {
//!     let place = &finding.place;
//!     println!("{}:{} {} {}", place.line, place.column, finding.rule.name, finding.message());
//! }
//! ```
//!
//! **Read a record into the types** with [`Checker::read`], which accepts every spelling that JSON allows and returns the
//! findings when there is an error. `serde_json` alone rejects `11.0` for an integer, accepts a list for an object and detects
//! no contradictions.
//!
//! **Check a file of any size** with [`run::check_reader`], or many files on several threads with [`run::run`]. **Write findings**
//! as SARIF, `JUnit` XML and more with [`output`].
//!
//! **Fix** errors when the fix is certain with [`repair`], write a record in one [`layout`] or as its [`canonical`] bytes, and
//! make the smallest record that still gives a finding, without its patient, with [`mod@shrink`].
//!
//! **Accept findings** that cannot be fixed today: [`waivers`] and a [`baseline`] are combined in [`acceptance`]; [`compare`]
//! reports what changed between two reports.
//!
//! **Review** valid records: [`review`] gives derived values on any day, and signals for what somebody should look at.
//!
//! # Map
//!
//! In the order in which a record passes through them: [`read`] cuts files into frames; [`Checker`] takes a record down the fast path
//! (`oar_schema::rows`) or the slow one ([`json`], then the walk along the descriptions of the format); [`rules`] look at a [`case::Case`]
//! and state what they find; a [`cohort::Cohort`] compares the records of a run; a [`finding::Finding`] says what and where; [`page`] has the words; [`output`] writes them.
//!
//! # Features
//!
//! - `realism`: the realism report, which compares statistics of cohorts with published ones.
//! - `card`: dataset cards of synthetic cohorts.
//! - `kit`: the conformance kit, which is made from generated records.
//! - `command` (default): the `oar` command. Library users can turn default features off to avoid the argument parser.

#[cfg(feature = "card")]
pub mod card;
pub mod check;
pub mod config;
#[cfg(feature = "realism")]
mod html;
pub mod json;
#[cfg(feature = "kit")]
pub mod kit;
pub mod read;
#[cfg(feature = "realism")]
pub mod realism;
pub mod repair;
pub mod report;
pub mod review;
pub mod schema;
pub mod shrink;
#[cfg(feature = "realism")]
pub mod statistics;
pub mod text;

pub use check::{Checked, Checker, Findings, ReadError, Records};
pub use check::{args, case, cohort, finding, fingerprint, page, partial, parts, path, rule, rules, settings};
pub use json::{canonical, layout};
pub use oar_schema::{limits, nearest, number, record, teeth, time, zones};
pub use report::{acceptance, baseline, compare, edition_changes, output, run, summary, waivers};
pub use text::counted;
