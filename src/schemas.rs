//! The published schemas, derived from the types that are read and written; `schema/` has them as files. The schema of a record
//! comes from the descriptions of the format, in `oar_schema`.

use oar_generators::key::Truth;
use oar_schema::published::{read, written};
use serde_json::Value;

use crate::card::Card;
use crate::kit::{Manifest, answers::Answer, score::Score};

/// The schemas with the names of their files in the folder `schema/v1`.
pub fn all() -> [(&'static str, Value); 5] {
    [
        ("answer_key", written::<Truth>("answer_key", "Answer key of a synthetic cohort, one line for each patient")),
        ("card", written::<Card>("card", "Dataset card of a synthetic cohort 1.0")),
        ("kit_manifest", written::<Manifest>("kit_manifest", "Manifest of a conformance kit 1.0")),
        ("kit_answer", read::<Answer>("kit_answer", "Answer to one case of a conformance kit 1.0")),
        ("kit_score", written::<Score>("kit_score", "Score of the answers to a conformance kit 1.0")),
    ]
}
