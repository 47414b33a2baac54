//! Makes a kit: every case of every kind, the manifest, and what goes with them.

use std::io;

use oar_schema::record::VERSION as RECORD_VERSION;

use super::builder::{Builder, Write, accept_case};
use super::clean_records::{Clean, CleanRecords};
use super::manifest::{CaseKind, FORMAT, KitCase, Manifest, VERSION};
use super::{derived_values, edge, faulty, spelling, upgrade};
use crate::schema;

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

/// Makes a kit: the same version, seed and size give the same files.
///
/// `each` is the number of cases of each fault; the other kinds have proportionally more.
///
/// # Errors
/// When a file cannot be written.
pub fn make(seed: u64, each: u64, write: Write<'_>) -> io::Result<Manifest> {
    let mut builder = Builder::new(seed, each, write);
    accept(&mut builder)?;
    faulty::add(&mut builder)?;
    derive(&mut builder)?;
    edge::add(&mut builder)?;
    spelling::add(&mut builder)?;
    upgrade::add(&mut builder)?;
    let mut cases = std::mem::take(&mut builder.cases);
    cases.sort_by(|a, b| (a.kind, &a.case).cmp(&(b.kind, &b.case)));
    let manifest = Manifest {
        format: FORMAT.to_owned(),
        version: VERSION.to_owned(),
        record_version: RECORD_VERSION.to_string(),
        made_by: format!("oar {}", env!("CARGO_PKG_VERSION")),
        seed,
        each,
        values: derived_values::told(),
        without: faulty::without(&cases),
        cases,
    };
    write_papers(&mut builder, &manifest)?;
    Ok(manifest)
}

/// Writes what goes with the cases.
fn write_papers(builder: &mut Builder<'_>, manifest: &Manifest) -> io::Result<()> {
    builder.write_paper("README.md", README.as_bytes())?;
    builder.write_paper("derived.md", derived_values::PAGE.as_bytes())?;
    builder.write_paper("schema/record.schema.json", schema::RECORD.as_bytes())?;
    builder.write_paper("schema/kit_manifest.schema.json", schema::KIT_MANIFEST.as_bytes())?;
    builder.write_paper("schema/kit_answer.schema.json", schema::KIT_ANSWER.as_bytes())?;
    builder.write_paper("manifest.json", pretty(manifest)?.as_bytes())
}

/// JSON on several lines.
fn pretty(value: &impl serde::Serialize) -> io::Result<String> {
    Ok(format!("{}\n", serde_json::to_string_pretty(value)?))
}

fn accept(builder: &mut Builder<'_>) -> io::Result<()> {
    let count = ACCEPTED * builder.each;
    let taken = CleanRecords::all(builder.seed).take(count, count * AMONG, &mut builder.checker);
    for (number, clean) in (1..).zip(taken) {
        let state = words(&clean);
        builder.write(accept_case(CaseKind::Accept, &format!("record-{number}"), &state), &clean.text)?;
    }
    Ok(())
}

fn derive(builder: &mut Builder<'_>) -> io::Result<()> {
    let (running, other) = (RUNNING * builder.each, OTHER * builder.each);
    let mut taken = CleanRecords::new(&["live"], builder.seed).take(running, running * AMONG, &mut builder.checker);
    let others = ["general", "teenagers", "low_wear", "complex_adults"];
    taken.extend(CleanRecords::new(&others, builder.seed).take(other, other * AMONG, &mut builder.checker));
    for (number, clean) in (1..).zip(taken) {
        let what = words(&clean);
        let derived = Some(clean.derived);
        let case = KitCase { derived, ..accept_case(CaseKind::Derive, &format!("record-{number}"), &what) };
        builder.write(case, &clean.text)?;
    }
    Ok(())
}

/// The state of a treatment, in a few words.
fn words(clean: &Clean) -> String {
    let state = serde_json::to_value(clean.record.status.state).unwrap_or_default();
    let (series, stretches) = (clean.record.series.len(), clean.record.wear_periods.len());
    format!("{}, series: {series}, wear periods: {stretches}", state.as_str().unwrap_or_default())
}
