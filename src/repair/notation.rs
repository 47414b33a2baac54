//! Tooth numbers in the Universal notation, when the record makes this certain.
//!
//! An FDI number is valid as it is. It is changed only when other numbers, which are not FDI numbers, show that all are
//! written in the Universal notation: see [`Evidence`]. When every number is an FDI number, nothing is changed, however
//! poorly they match the rest of the record.

use oar_schema::teeth::Tooth;

use super::edits::Edits;
use super::{Bench, Fix, Refusal};
use crate::check::finding::Finding;
use crate::check::notation::{Evidence, fdi, in_universal, teeth};
use crate::check::parts::section;
use crate::json::{NodeId, Tree};

/// The sections that number teeth.
const WITH_TEETH: u32 = section("dentition") | section("series") | section("check_ins") | section("appointments");
const FEW: &str = "the teeth look like another notation, but they are valid FDI numbers, all or nearly all: convert them in the exporter";
const NOT_ALL: &str = "the teeth look like another notation, but not every tooth number of the record is valid in it";
const NEW_FINDINGS: &str =
    "the teeth look like another notation, but converted to FDI they would contradict the record";
const FITS: &str = "the list may be in another notation, or a number in it may be mistyped";

/// Writes all teeth of the record, or a list of them, in FDI.
pub(super) fn fix(bench: &mut Bench<'_>) -> Option<Vec<u8>> {
    let findings = bench.findings;
    for finding in findings {
        let (tried, count) = match finding.rule.name {
            "other_notation" => whole(bench),
            "not_a_tooth" if finding.args.iter().any(|(name, _)| *name == "converted") => list(bench, finding),
            _ => continue,
        };
        let done = bench.noted(tried, Fix::Notation, count, &finding.place.pointer);
        if done.is_some() {
            return done;
        }
    }
    None
}

/// The record with every tooth in FDI, and the number of teeth.
fn whole(bench: &mut Bench<'_>) -> (Result<Vec<u8>, Refusal>, usize) {
    let (tree, bytes) = (bench.tree, bench.bytes);
    let nodes = teeth(tree, bytes);
    let tried = match Evidence::of(tree, bytes, &nodes) {
        Some(evidence) if !evidence.is_enough() => Err(FEW),
        _ => converted(tree, bytes, &nodes).ok_or(NOT_ALL),
    };
    (tried.and_then(|text| bench.judged_without(WITH_TEETH, text, "other_notation", NEW_FINDINGS)), nodes.len())
}

/// The record with one list in FDI, and the number of its entries. In addition to the evidence of its numbers, those that are
/// FDI numbers must contradict the record as they are.
fn list(bench: &mut Bench<'_>, finding: &Finding) -> (Result<Vec<u8>, Refusal>, usize) {
    let (tree, bytes) = (bench.tree, bench.bytes);
    let nodes = list_around(tree, bytes, &finding.place.pointer);
    let enough = Evidence::of(tree, bytes, &nodes).is_some_and(|evidence| evidence.is_enough_for_a_list());
    let tried = converted(tree, bytes, &nodes).filter(|_| enough).ok_or(FITS);
    let tried = tried.and_then(|text| bench.judged_without(WITH_TEETH, text, "not_a_tooth", NEW_FINDINGS));
    let tried = tried.and_then(|text| match as_fdi(tree, bytes, &nodes) {
        Some(other) if !bench.has_more_findings(&other, &text) => Err(FITS),
        _ => Ok(text),
    });
    (tried, nodes.len())
}

/// The record with these teeth read in the Universal notation and written in FDI.
fn converted(tree: &Tree, bytes: &[u8], nodes: &[NodeId]) -> Option<Vec<u8>> {
    let mut edits = Edits::default();
    for id in nodes {
        let (node, tooth) = (tree.node(*id), in_universal(tree, bytes, *id)?);
        edits.replace(node.start as usize, node.end as usize, tooth.to_string().as_bytes());
    }
    edits.applied(bytes)
}

/// The record with a list reduced to its FDI numbers; none when it has none.
fn as_fdi(tree: &Tree, bytes: &[u8], nodes: &[NodeId]) -> Option<Vec<u8>> {
    let numbers: Vec<Tooth> = nodes.iter().filter_map(|node| fdi(tree, bytes, *node)).collect();
    let (first, last) = (tree.node(*nodes.first()?), tree.node(*nodes.last()?));
    let text: Vec<String> = numbers.iter().map(Tooth::to_string).collect();
    let mut edits = Edits::default();
    edits.replace(first.start as usize, last.end as usize, text.join(", ").as_bytes());
    edits.applied(bytes).filter(|_| !numbers.is_empty())
}

/// The entries of the list that holds a value.
fn list_around(tree: &Tree, bytes: &[u8], pointer: &str) -> Vec<NodeId> {
    let parent = tree.find(bytes, pointer).and_then(|node| tree.node(node).parent);
    parent.map_or_else(Vec::new, |list| tree.children(list).collect())
}
