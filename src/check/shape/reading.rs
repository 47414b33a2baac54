//! How a record is read anyway: the values that are meant, and what has to be left out.
//!
//! As little as possible is lost. A value whose meaning is certain is read (`"7"` for `7`). For other values, the smallest
//! part that the format allows is left out: an optional field, an entry of a list, or one field of a section without entries.

use oar_schema::describe::{Described, Field, Type};
use oar_schema::record::Record;
use oar_schema::time::Date;

use super::Walk;
use crate::check::parts::{Damage, Parts};
use crate::json::{NodeId, Tree};

/// One step from the record towards the value that is looked at.
#[derive(Clone, Copy, Debug)]
pub(super) enum PathStep {
    /// Into a member, which is not there when a field is missing.
    Member(Option<NodeId>, &'static Field),
    /// Into an entry of a list; `fixed` when the list has one length only.
    Entry { node: NodeId, fixed: bool },
}

/// Something that could not be read.
#[derive(Clone, Copy, Debug)]
struct Loss {
    /// The value at fault.
    cause: NodeId,
    /// What is left out for it.
    left_out: Option<NodeId>,
    damage: Damage,
}

/// How a record is read.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reading {
    losses: Vec<Loss>,
    /// Values that are left out, in order.
    left_out: Vec<NodeId>,
    /// Entries that are left out: their lists and their places in these, in order.
    entries: Vec<(NodeId, u32)>,
    /// Values that are read otherwise than they are written, as JSON text, in order.
    texts: Vec<(NodeId, String)>,
    /// Members that are read as the field of another name: the object, the field and the member, in order.
    names: Vec<(NodeId, &'static str, NodeId)>,
    /// Parts in which something is missing although every value is read.
    holes: Parts,
    /// The first and the last day that were read.
    pub(crate) days: Option<(Date, Date)>,
}

impl Reading {
    /// Puts everything in order, to be looked up.
    fn settle(&mut self, tree: &Tree) {
        self.left_out.extend(self.losses.iter().filter_map(|loss| loss.left_out));
        self.left_out.sort_unstable();
        self.left_out.dedup();
        let entries = self.left_out.iter().map(|id| tree.node(*id)).filter(|node| node.key.is_none());
        self.entries = entries.filter_map(|node| Some((node.parent?, node.index))).collect();
        self.entries.sort_unstable();
        // The later of two readings of one value counts.
        self.texts.reverse();
        self.texts.sort_by_key(|(node, _)| *node);
        self.texts.dedup_by_key(|(node, _)| *node);
        self.names.sort_unstable();
    }

    /// What could not be read.
    pub(crate) fn damage(&self) -> Damage {
        let mut damage = Damage { gone: 0, holes: self.holes };
        self.losses.iter().for_each(|loss| damage.add(&loss.damage));
        damage
    }

    /// Whether a value is left out.
    pub(crate) fn leaves_out(&self, node: NodeId) -> bool {
        self.left_out.binary_search(&node).is_ok()
    }

    /// The place of an entry in its list, from its place among those that are not left out.
    pub(crate) fn place(&self, list: NodeId, index: usize) -> usize {
        let start = self.entries.partition_point(|(of, _)| *of < list);
        let end = self.entries.partition_point(|(of, _)| *of <= list);
        let left_out = &self.entries[start..end];
        // The entry comes after as many of them as have fewer than `index` others before them, or as many.
        let (mut few, mut many) = (0, left_out.len());
        while few < many {
            let middle = usize::midpoint(few, many);
            if left_out[middle].1 as usize <= index + middle { few = middle + 1 } else { many = middle }
        }
        index + few
    }

    /// The JSON text that a value is read as, when that is not what is written.
    pub(crate) fn text(&self, node: NodeId) -> Option<&str> {
        let at = self.texts.binary_search_by_key(&node, |(node, _)| *node).ok()?;
        Some(&self.texts[at].1)
    }

    /// The member of an object that is read as the field of that name, when it has another name.
    pub(crate) fn member(&self, object: NodeId, name: &str) -> Option<NodeId> {
        let at = self.names.binary_search_by_key(&(object, name), |(object, name, _)| (*object, *name)).ok()?;
        Some(self.names[at].2)
    }

    /// The name of the field that a member of an object is read as, when it has another name.
    pub(crate) fn name(&self, object: NodeId, member: NodeId) -> Option<&'static str> {
        let start = self.names.partition_point(|(known, ..)| *known < object);
        let of_object = self.names[start..].iter().take_while(|(known, ..)| *known == object);
        of_object.clone().find(|(.., known)| *known == member).map(|(_, name, _)| *name)
    }
}

/// Whether a field holds a list that is read as an empty one where it cannot be read.
pub(crate) fn can_be_empty(field: &Field) -> bool {
    matches!(field.ty, Type::List(_, bounds) if bounds.least == 0)
}

/// The place of a field in the objects of a section.
fn place(section: &Field, field: &Field) -> Option<usize> {
    let (Type::Object(object) | Type::List(Type::Object(object), _)) = &section.ty else { return None };
    object.fields.iter().position(|known| known.name == field.name)
}

fn section_place(section: &Field) -> Option<usize> {
    Record::OBJECT.fields.iter().position(|known| known.name == section.name)
}

impl Walk<'_> {
    /// Settles how the record is read.
    pub(super) fn settled(&mut self) -> Reading {
        let mut reading = std::mem::take(&mut self.reading);
        reading.settle(self.tree);
        reading
    }

    /// The value that is looked at cannot be read.
    pub(super) fn lose(&mut self, cause: NodeId) {
        let (left_out, damage) = self.smallest();
        self.reading.losses.push(Loss { cause, left_out, damage });
    }

    /// A field of the object that is looked at is missing, though it was meant to be there.
    pub(super) fn lose_missing(&mut self, object: NodeId, field: &'static Field) {
        self.held.push(PathStep::Member(None, field));
        self.lose(object);
        self.held.pop();
    }

    /// The value is read as that JSON text.
    pub(super) fn read_as(&mut self, node: NodeId, text: impl Into<String>) {
        self.reading.texts.push((node, text.into()));
    }

    /// A member is read as the field of another name.
    pub(super) fn read_as_field(&mut self, object: NodeId, member: NodeId, field: &'static Field) {
        self.reading.names.push((object, field.name, member));
    }

    /// The value is left out as if it were not there, and nothing is missing for it.
    pub(super) fn leave_out(&mut self, node: NodeId) {
        self.reading.left_out.push(node);
    }

    /// Something is missing in the part that is looked at, although a value could be read.
    pub(super) fn note_hole(&mut self) {
        self.reading.holes = self.reading.holes.union(self.part());
    }

    /// Takes back that these values could not be read.
    pub(super) fn regain(&mut self, nodes: &[NodeId]) {
        let mut known = nodes.to_vec();
        known.sort_unstable();
        self.reading.losses.retain(|loss| known.binary_search(&loss.cause).is_err());
    }

    /// Notes a day that could be read.
    pub(super) fn note_day(&mut self, day: Date) {
        let (first, last) = self.reading.days.unwrap_or((day, day));
        self.reading.days = Some((first.min(day), last.max(day)));
    }

    /// The smallest thing around the value that can be left out, and what is missing then.
    fn smallest(&self) -> (Option<NodeId>, Damage) {
        let mut damage = Damage::default();
        for (depth, held) in self.held.iter().enumerate().rev() {
            match *held {
                PathStep::Entry { node, fixed: false } => {
                    damage.lose(self.part_at(depth));
                    return (Some(node), damage);
                }
                PathStep::Member(node, field) if depth == 0 => {
                    if let Some(place) = section_place(field) {
                        damage.lose_section(place);
                    }
                    return (node, damage);
                }
                PathStep::Member(node, field) if !field.required || depth == 1 || can_be_empty(field) => {
                    damage.lose(self.part_at(depth));
                    return (node, damage);
                }
                PathStep::Member(..) | PathStep::Entry { fixed: true, .. } => {}
            }
        }
        (0..Record::OBJECT.fields.len()).for_each(|place| damage.lose_section(place));
        (None, damage)
    }

    fn part(&self) -> Parts {
        self.part_at(self.held.len().saturating_sub(1))
    }

    /// The part that holds the value at a depth.
    fn part_at(&self, depth: usize) -> Parts {
        let members = self.held[..=depth].iter().filter_map(|held| match held {
            PathStep::Member(_, field) => Some(*field),
            PathStep::Entry { .. } => None,
        });
        let mut members = members.take(2);
        let section = members.next().and_then(|section| Some((section, section_place(section)?)));
        section
            .map_or(Parts::NONE, |(section, at)| Parts::at(at, members.next().and_then(|field| place(section, field))))
    }
}
