//! The surfaces of a crown.

use super::Tooth;
use crate::words::words;

words! {
    /// A surface of a tooth's crown.
    Surface {
        /// toward the lip or cheek
        Facial = "facial",
        /// toward the tongue or palate
        Lingual = "lingual",
        /// toward the midline
        Mesial = "mesial",
        /// away from the midline
        Distal = "distal",
        /// the chewing surface of a premolar or molar
        Occlusal = "occlusal",
        /// the biting edge of an incisor or canine
        Incisal = "incisal",
    }
}

use Surface::{Distal, Facial, Incisal, Lingual, Mesial, Occlusal};

const ANTERIOR: [Surface; 5] = [Facial, Lingual, Mesial, Distal, Incisal];
const POSTERIOR: [Surface; 5] = [Facial, Lingual, Mesial, Distal, Occlusal];

impl Tooth {
    /// The surfaces this tooth has: an incisor or canine has an incisal edge and no occlusal
    /// surface, a premolar or molar the other way round.
    pub const fn surfaces(self) -> &'static [Surface] {
        if self.kind().is_anterior() { &ANTERIOR } else { &POSTERIOR }
    }
}
