//! The names of teeth in plain English.

use super::Tooth;

/// By [`Tooth::index`].
const NAMES: [&str; Tooth::COUNT] = [
    "upper right central incisor",
    "upper right lateral incisor",
    "upper right canine",
    "upper right first premolar",
    "upper right second premolar",
    "upper right first molar",
    "upper right second molar",
    "upper right third molar",
    "upper left central incisor",
    "upper left lateral incisor",
    "upper left canine",
    "upper left first premolar",
    "upper left second premolar",
    "upper left first molar",
    "upper left second molar",
    "upper left third molar",
    "lower left central incisor",
    "lower left lateral incisor",
    "lower left canine",
    "lower left first premolar",
    "lower left second premolar",
    "lower left first molar",
    "lower left second molar",
    "lower left third molar",
    "lower right central incisor",
    "lower right lateral incisor",
    "lower right canine",
    "lower right first premolar",
    "lower right second premolar",
    "lower right first molar",
    "lower right second molar",
    "lower right third molar",
    "upper right primary central incisor",
    "upper right primary lateral incisor",
    "upper right primary canine",
    "upper right primary first molar",
    "upper right primary second molar",
    "upper left primary central incisor",
    "upper left primary lateral incisor",
    "upper left primary canine",
    "upper left primary first molar",
    "upper left primary second molar",
    "lower left primary central incisor",
    "lower left primary lateral incisor",
    "lower left primary canine",
    "lower left primary first molar",
    "lower left primary second molar",
    "lower right primary central incisor",
    "lower right primary lateral incisor",
    "lower right primary canine",
    "lower right primary first molar",
    "lower right primary second molar",
];

impl Tooth {
    /// The name in plain English, such as "upper right first premolar" or "lower left primary
    /// canine". Right and left are the patient's.
    pub const fn name(self) -> &'static str {
        NAMES[self.index()]
    }
}
