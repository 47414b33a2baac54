//! Records without a slip: as the generator wrote them, and with one arch only.

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::{BUILT_IN, Recipe};
use open_aligner_record::Checker;
use open_aligner_record::rule::Level;
use serde_json::{Value, json};

use super::tree::{Node, TEETH};

/// The greatest number that both FDI and the Universal notation have.
const SHARED: u64 = 32;

/// Larger records are left out, so that many can be repaired in little time.
const MOST_BYTES: usize = 15_000;

/// Records that slips are made in.
pub struct Bases(Vec<Node>);

impl Bases {
    /// Records of `patients` patients of each recipe. Of each there are two: without the long daily logs, and with only those
    /// teeth whose numbers are numbers of the Universal notation as well, where slips are taken for that notation most easily.
    pub fn new(patients: u64) -> Self {
        let mut bases = Vec::new();
        for (recipe, _) in BUILT_IN {
            let cohort = SyntheticCohort::new(Recipe::load(recipe, &[]).expect("a recipe that is built in"), 5);
            for index in 0..patients {
                let (record, _) = cohort.patient(index);
                let mut record = serde_json::to_value(record).expect("a record is JSON");
                without(&mut record, &["comfort"]);
                shorten(&mut record, "wear_log");
                bases.push(Node::from(&record));
                narrow(&mut record);
                bases.push(Node::from(&record));
            }
        }
        bases.retain(|base| base.text().len() <= MOST_BYTES && is_right(base));
        assert!(bases.len() as u64 > patients, "{} of the records are small and without errors", bases.len());
        Self(bases)
    }

    /// The record that the slips of that number are made in.
    pub(super) fn of(&self, number: u64) -> &Node {
        &self.0[number as usize % self.0.len()]
    }
}

fn is_right(base: &Node) -> bool {
    let found = Checker::new().without_excerpts().check(base.text().as_bytes()).into_findings();
    found.iter().all(|finding| finding.level != Level::Error)
}

fn without(record: &mut Value, names: &[&str]) {
    let members = record.as_object_mut().expect("an object");
    members.retain(|name, _| !names.contains(&name.as_str()));
}

/// Leaves the first entries of a list only.
fn shorten(record: &mut Value, list: &str) {
    if let Some(entries) = record.get_mut(list).and_then(Value::as_array_mut) {
        entries.truncate(20);
    }
}

fn narrow(record: &mut Value) {
    without(record, &["check_ins", "attachment_events", "assessments"]);
    for series in record["series"].as_array_mut().expect("a list") {
        without(series, &["achieved"]);
        for list in ["attachments", "elastics"] {
            if series.get(list).is_some() {
                series[list] = json!([]);
            }
        }
    }
    filter(record, "");
}

/// Takes entries out of lists that number a tooth beyond the shared numbers; whether the value itself stays.
fn filter(value: &mut Value, name: &str) -> bool {
    match value {
        Value::Number(number) if TEETH.contains(&name) => number.as_u64().is_some_and(|tooth| tooth <= SHARED),
        Value::Array(entries) if name == "between" => entries.iter_mut().all(|entry| filter(entry, name)),
        Value::Array(entries) => {
            entries.retain_mut(|entry| filter(entry, name));
            true
        }
        Value::Object(members) => members.iter_mut().all(|(name, member)| filter(member, name)),
        _ => true,
    }
}
