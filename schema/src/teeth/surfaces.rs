//! The surfaces of a crown.

use super::Tooth;

/// A surface of a tooth's crown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Surface {
    /// Toward the lip or cheek; labial and buccal are both facial.
    Facial,
    /// Toward the tongue or palate.
    Lingual,
    /// Toward the midline along the arch.
    Mesial,
    /// Away from the midline along the arch.
    Distal,
    /// The chewing surface of a premolar or molar.
    Occlusal,
    /// The biting edge of an incisor or canine.
    Incisal,
}

use Surface::{Distal, Facial, Incisal, Lingual, Mesial, Occlusal};

const ANTERIOR: [Surface; 5] = [Facial, Lingual, Mesial, Distal, Incisal];
const POSTERIOR: [Surface; 5] = [Facial, Lingual, Mesial, Distal, Occlusal];

impl Surface {
    /// Every surface.
    pub const ALL: [Self; 6] = [Facial, Lingual, Mesial, Distal, Occlusal, Incisal];

    /// The word used in records and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Facial => "facial",
            Lingual => "lingual",
            Mesial => "mesial",
            Distal => "distal",
            Occlusal => "occlusal",
            Incisal => "incisal",
        }
    }
}

impl Tooth {
    /// The surfaces this tooth has: an incisor or canine has an incisal edge and no occlusal
    /// surface, a premolar or molar the other way round.
    pub const fn surfaces(self) -> &'static [Surface] {
        if self.kind().is_anterior() {
            &ANTERIOR
        } else {
            &POSTERIOR
        }
    }
}
