//! Makes a kit.

use std::io::{self, Cursor};

use oar_schema::json_schema::record_schema;
use oar_schema::record::VERSION as RECORD_VERSION;

use super::manifest::{Case, Expected, FORMAT, Kind, Manifest, VERSION};
use super::source::{Clean, Source};
use super::{edge, faulty, schema, spelling, upgrade, values};
use crate::check::Checker;
use crate::report::run::check_reader;

/// The page for the developer of another program.
const README: &str = include_str!("README.md");
/// Records to accept, for each case of a fault.
const ACCEPTED: u64 = 12;
/// Records of active treatments with expected values, for each case of a fault.
const RUNNING: u64 = 16;
/// The same for other treatments.
const OTHER: u64 = 8;
/// Records that are tried for each one that is wanted.
const AMONG: u64 = 12;

/// Receives the files: the path within the folder of the kit, and the bytes.
pub(super) type Write<'w> = &'w mut dyn FnMut(&str, &[u8]) -> io::Result<()>;

/// The cases so far, and what is needed to make more.
pub(super) struct Making<'w> {
    pub(super) seed: u64,
    pub(super) each: u64,
    pub(super) checker: Checker,
    pub(super) cases: Vec<Case>,
    write: Write<'w>,
}

/// Makes a kit: the same version, seed and size give the same files.
///
/// `each` is the number of cases of each fault; the other kinds have proportionally more.
///
/// # Errors
/// When a file cannot be written.
pub fn make(seed: u64, each: u64, write: Write<'_>) -> io::Result<Manifest> {
    let checker = Checker::new().without_excerpts().with_facts();
    let mut making = Making { seed, each, checker, cases: Vec::new(), write };
    accept(&mut making)?;
    faulty::add(&mut making)?;
    derive(&mut making)?;
    edge::add(&mut making)?;
    spelling::add(&mut making)?;
    upgrade::add(&mut making)?;
    let mut cases = std::mem::take(&mut making.cases);
    cases.sort_by(|a, b| (a.kind, &a.case).cmp(&(b.kind, &b.case)));
    let manifest = Manifest {
        format: FORMAT.to_owned(),
        version: VERSION.to_owned(),
        record_version: RECORD_VERSION.to_string(),
        made_by: format!("oar {}", env!("CARGO_PKG_VERSION")),
        seed,
        each,
        values: values::told(),
        without: faulty::without(&cases),
        cases,
    };
    making.papers(&manifest)?;
    Ok(manifest)
}

impl Making<'_> {
    /// Writes a case.
    pub(super) fn write(&mut self, case: Case, bytes: &[u8]) -> io::Result<()> {
        (self.write)(&case.file, bytes)?;
        self.cases.push(case);
        Ok(())
    }

    /// Writes the files beside the cases.
    fn papers(&mut self, manifest: &Manifest) -> io::Result<()> {
        (self.write)("README.md", README.as_bytes())?;
        (self.write)("derived.md", values::PAGE.as_bytes())?;
        (self.write)("schema/record.schema.json", pretty(&record_schema())?.as_bytes())?;
        (self.write)("schema/kit_manifest.schema.json", pretty(&schema::manifest())?.as_bytes())?;
        (self.write)("schema/kit_answer.schema.json", pretty(&schema::answer())?.as_bytes())?;
        (self.write)("manifest.json", pretty(manifest)?.as_bytes())
    }

    /// All findings in the bytes of a file.
    pub(super) fn found(&mut self, bytes: &[u8], lines: bool) -> Vec<Expected> {
        let mut found = Vec::new();
        let read = check_reader(Cursor::new(bytes.to_vec()), lines, &mut self.checker, &mut |record, finding| {
            found.extend(faulty::expected(finding.rule.name, record.max(1), &finding.place.pointer));
        });
        if read.is_ok() { found } else { Vec::new() }
    }

    /// Writes a record to be accepted, if it has no findings.
    pub(super) fn accepted(&mut self, case: Case, bytes: &[u8]) -> io::Result<bool> {
        let clean = self.found(bytes, case.file.contains(".jsonl")).is_empty();
        if clean {
            self.write(case, bytes)?;
        }
        Ok(clean)
    }
}

/// A case with one record to be accepted.
pub(super) fn accept_case(kind: Kind, name: &str, what: &str) -> Case {
    let name = format!("{}/{name}", kind.as_str());
    Case {
        file: format!("{name}.oar.json"),
        case: name,
        kind,
        records: 1,
        what: what.to_owned(),
        accepted: true,
        finding: None,
        same_as: None,
        derived: None,
    }
}

/// JSON on several lines.
fn pretty(value: &impl serde::Serialize) -> io::Result<String> {
    Ok(format!("{}\n", serde_json::to_string_pretty(value)?))
}

/// A theme as one word.
pub(super) fn slug(theme: &str) -> String {
    theme.replace([' ', '-'], "_")
}

fn accept(making: &mut Making<'_>) -> io::Result<()> {
    let count = ACCEPTED * making.each;
    let taken = Source::all(making.seed).take(count, count * AMONG, &mut making.checker);
    for (number, clean) in (1..).zip(taken) {
        let state = words(&clean);
        making.write(accept_case(Kind::Accept, &format!("record-{number}"), &state), &clean.text)?;
    }
    Ok(())
}

fn derive(making: &mut Making<'_>) -> io::Result<()> {
    let (running, other) = (RUNNING * making.each, OTHER * making.each);
    let mut taken = Source::new(&["live"], making.seed).take(running, running * AMONG, &mut making.checker);
    let others = ["general", "teenagers", "low_wear", "complex_adults"];
    taken.extend(Source::new(&others, making.seed).take(other, other * AMONG, &mut making.checker));
    for (number, clean) in (1..).zip(taken) {
        let what = words(&clean);
        let derived = Some(clean.derived);
        let case = Case { derived, ..accept_case(Kind::Derive, &format!("record-{number}"), &what) };
        making.write(case, &clean.text)?;
    }
    Ok(())
}

/// The state of a treatment, in a few words.
fn words(clean: &Clean) -> String {
    let state = serde_json::to_value(clean.record.status.state).unwrap_or_default();
    let (series, stretches) = (clean.record.series.len(), clean.record.worn.len());
    format!("{}, series: {series}, wear periods: {stretches}", state.as_str().unwrap_or_default())
}
