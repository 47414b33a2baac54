//! Tooth numbers that are written in another notation than FDI, where the record leaves no doubt about it.

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use oar_schema::teeth::Tooth;

use super::edits::Edits;
use super::{Bench, Mend};
use crate::finding::{Arg, Finding};
use crate::json::{Kind, NodeId, Tree, decimal, decode};
use crate::notation::Written;

/// Fewer numbers that are no FDI numbers are mistyped ones, as in the rule about the whole record.
const LEAST_TEETH: usize = 3;
/// Third molars are known as such by all of a list being them.
const THIRD_MOLAR: u8 = 8;

const NOT_ALL: &str =
    "the teeth look like another notation, but not every tooth number of the record can be read in it";
const NEW_FINDINGS: &str = "the teeth look like another notation, but written in FDI they would not go with the record";
const FEW: &str = "the list may be in another notation, or a number in it may be mistyped";

/// Writes all teeth of the record, or a list of them, in FDI.
pub(super) fn mend(bench: &mut Bench<'_>) -> Option<Vec<u8>> {
    let (tree, bytes, findings) = (bench.tree, bench.bytes, bench.findings);
    for finding in findings {
        let (nodes, written) = match finding.rule.name {
            "other_notation" => (teeth(tree, bytes), written(finding)),
            "not_a_tooth" if finding.args.iter().any(|(name, _)| *name == "converted") => {
                (list_around(tree, bytes, &finding.place.pointer), Some(Written::Universal))
            }
            _ => continue,
        };
        let Some(written) = written else { continue };
        let tried = converted(tree, bytes, &nodes, written, finding)
            .and_then(|text| bench.judged(text, finding.rule.name, NEW_FINDINGS));
        let done = bench.noted(tried, Mend::Notation, nodes.len(), &finding.place.pointer);
        if done.is_some() {
            return done;
        }
    }
    None
}

/// The notation that a finding tells of.
fn written(finding: &Finding) -> Option<Written> {
    let said = finding.args.iter().find(|(name, _)| *name == "notation").map(|(_, notation)| notation);
    [Written::Universal, Written::Swapped].into_iter().find(|known| said == Some(&Arg::Word(known.name())))
}

fn converted(
    tree: &Tree,
    bytes: &[u8],
    nodes: &[NodeId],
    written: Written,
    finding: &Finding,
) -> Result<Vec<u8>, &'static str> {
    let meant: Option<Vec<Tooth>> = nodes.iter().map(|node| read(tree, bytes, *node, written)).collect();
    let meant = meant.ok_or(NOT_ALL)?;
    if finding.rule.name == "not_a_tooth" {
        let not_fdi = nodes.iter().filter(|node| fdi(tree, bytes, **node).is_none()).count();
        let third_molars = meant.len() > 1 && meant.iter().all(|tooth| tooth.position() == THIRD_MOLAR);
        if not_fdi < LEAST_TEETH && !third_molars {
            return Err(FEW);
        }
    }
    let mut edits = Edits::default();
    for (node, tooth) in nodes.iter().zip(&meant) {
        let node = tree.node(*node);
        edits.replace(node.start as usize, node.end as usize, tooth.to_string().as_bytes());
    }
    edits.applied(bytes).ok_or(NOT_ALL)
}

/// The tooth that a value names in that notation; texts only as Universal ones, as the checker reads them.
fn read(tree: &Tree, bytes: &[u8], node: NodeId, written: Written) -> Option<Tooth> {
    let token = tree.node(node).token(bytes);
    match (tree.node(node).kind, written) {
        (Kind::String, Written::Universal) => Tooth::from_universal(decode(token).trim_start_matches('#')),
        (Kind::Number, Written::Universal) => Tooth::from_universal(&decimal(token)?.as_integer()?.to_string()),
        (Kind::Number, Written::Swapped) => written.meant(fdi(tree, bytes, node)?),
        _ => None,
    }
}

fn fdi(tree: &Tree, bytes: &[u8], node: NodeId) -> Option<Tooth> {
    let number = decimal(tree.node(node).token(bytes))?.as_integer()?;
    Tooth::new(u8::try_from(number).ok()?)
}

/// The entries of the list that holds a value.
fn list_around(tree: &Tree, bytes: &[u8], pointer: &str) -> Vec<NodeId> {
    let parent = tree.find(bytes, pointer).and_then(|node| tree.node(node).parent);
    parent.map_or_else(Vec::new, |list| tree.children(list).collect())
}

/// Every value that stands where a tooth belongs.
fn teeth(tree: &Tree, bytes: &[u8]) -> Vec<NodeId> {
    let mut found = Vec::new();
    in_object(tree, bytes, tree.root(), Record::OBJECT, &mut found);
    found
}

fn in_object(tree: &Tree, bytes: &[u8], node: NodeId, object: &'static Object, found: &mut Vec<NodeId>) {
    for member in tree.children(node) {
        let (start, end) = tree.node(member).key.unwrap_or_default();
        if let Some(field) = object.field(&decode(&bytes[start as usize..end as usize])) {
            in_value(tree, bytes, member, &field.ty, found);
        }
    }
}

fn in_value(tree: &Tree, bytes: &[u8], node: NodeId, ty: &'static Type, found: &mut Vec<NodeId>) {
    match ty {
        Type::Tooth => found.push(node),
        Type::Object(object) => in_object(tree, bytes, node, object, found),
        Type::List(of, _) => tree.children(node).for_each(|entry| in_value(tree, bytes, entry, of, found)),
        _ => {}
    }
}
