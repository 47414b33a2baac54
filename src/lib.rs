//! Checks records of clear aligner treatment in the Open Aligner Record format.
//!
//! It is made for record-keeping and test data. It is not a medical device; findings are about records and are not advice on
//! treatment.
//!
//! # A tour
//!
//! **Build a record** with the types of [`record`], which read and write JSON through `serde`. `new` takes the required fields,
//! and each optional field has a method that sets it. Dates, teeth, ids and words are parsed from their text:
//!
//! ```
//! use open_aligner_record::Checker;
//! use open_aligner_record::number::Hundredths;
//! use open_aligner_record::record::{
//!     Arches, Dentition, Movement, Patient, Prescription, Record, Series, Sex, Source, State, Status, ArchCounts, WearPeriod,
//! };
//! use open_aligner_record::time::Date;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let begin: Date = "2031-01-20".parse()?;
//! let canine = Movement::new("13".parse()?, 1, 12).facial_mm(Hundredths(-120));
//! let record = Record::new(
//!     "QM-0001".parse()?,
//!     Source::new("quillmere-chart".parse()?, "2031-02-03T08:30:00+01:00".parse()?),
//!     Patient::new("P-0001".parse()?, 1994, "Europe/Vienna".parse()?).sex(Sex::Female),
//!     Dentition::new(Vec::new()),
//!     Prescription::new(1320, 1200, 10),
//!     vec![Series::new(0, ArchCounts::new(12, 10), vec![canine])],
//!     vec![WearPeriod::new(0, 1, Arches::Both, begin)],
//!     Status::new(State::Active, begin),
//! );
//! let findings = Checker::new().check_record(&record)?;
//! assert!(findings.iter().all(|finding| finding.rule.name != "missing_field"));
//! # Ok(())
//! # }
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
//! no contradictions. [`Records`] iterates over a file, plain or compressed:
//!
//! ```
//! use open_aligner_record::{Records, record::State, teeth::Tooth};
//!
//! let canine: Tooth = "13".parse()?;
//! let mut moved = 0;
//! for record in Records::open("datasets/demo/quillmere.oar.jsonl")? {
//!     let record = record?;
//!     let movements = record.series.iter().flat_map(|series| &series.movements);
//!     moved += movements.filter(|movement| movement.tooth == canine).count();
//!     assert!(State::ALL.contains(&record.status.state), "{} has one of the states", record.id);
//! }
//! assert!(moved > 0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! **Check a file of any size** with [`Findings`], another iterator, or many files on several threads with [`run::run`]. Both read
//! on only as long as they are asked. **Write findings** as SARIF, `JUnit` XML and more with [`output`].
//!
//! ```
//! use open_aligner_record::{Checker, Findings, rule::Level};
//!
//! let mut checker = Checker::new();
//! for found in Findings::open("datasets/demo/quillmere.oar.jsonl", &mut checker)?.take(10) {
//!     let (record, finding) = found?;
//!     assert!(finding.level < Level::Error, "record {record}: {}", finding.message());
//! }
//! # Ok::<(), std::io::Error>(())
//! ```
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
//! (`oar_schema::rows`) or the slow one ([`json`], then the walk along the descriptions of the format); [`rules`] look at a case
//! and state what they find; a [`cohort::Cohort`] compares the records of a run; a [`finding::Finding`] says what and where; [`page`] has the words; [`output`] writes them.
//!
//! # Features
//!
//! Each has the layers below it. Without features, the library checks records in memory and reads plain files.
//!
//! | feature | what it adds |
//! |---|---|
//! | `serde` | records to JSON and from it: [`Checker::read`], [`Checker::check_record`] |
//! | `gzip` | compressed files |
//! | `zstd` | files compressed with zstd, whose library is in C |
//! | `report` | runs over files, their outputs, waivers and baselines, repairs, [`mod@shrink`], fingerprints and digests |
//! | `review` | the review and its pages |
//! | `config` | `oar.toml` |
//! | `realism` | the realism report, which compares statistics of cohorts with published ones |
//! | `card` | dataset cards of synthetic cohorts |
//! | `kit` | the conformance kit, which is made from generated records |
//! | `command` | the `oar` command; the default |

#![cfg_attr(
    not(feature = "command"),
    allow(dead_code, unused_imports, reason = "layers that this build leaves out use it")
)]

#[cfg(feature = "card")]
pub mod card;
pub mod check;
#[cfg(feature = "config")]
pub mod config;
#[cfg(feature = "review")]
mod html;
pub mod json;
#[cfg(feature = "kit")]
pub mod kit;
pub mod read;
#[cfg(feature = "realism")]
pub mod realism;
#[cfg(feature = "report")]
pub mod repair;
#[cfg(feature = "report")]
pub mod report;
#[cfg(feature = "review")]
pub mod review;
pub mod schema;
#[cfg(feature = "schemas")]
pub mod schemas;
#[cfg(feature = "report")]
pub mod shrink;
#[cfg(feature = "review")]
pub mod statistics;
pub mod text;

#[cfg(feature = "serde")]
pub use check::Records;
#[cfg(feature = "report")]
pub use check::fingerprint;
pub use check::{Checked, Checker, Findings, ReadError};
pub use check::{args, cohort, finding, page, partial, parts, path, rule, rules, settings};
#[cfg(feature = "report")]
pub use json::canonical;
pub use json::layout;
pub use oar_schema::parse::ParseError;
pub use oar_schema::{limits, nearest, number, record, teeth, time, zones};
#[cfg(feature = "report")]
pub use report::{acceptance, baseline, compare, edition_changes, output, run, summary, waivers};
pub use text::counted;
