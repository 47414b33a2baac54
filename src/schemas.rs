//! The published schemas, derived from the types that are read and written; `schema/` has them as files. The schema of a record
//! comes from the descriptions of the format, in `oar_schema`.

use oar_generators::key::Truth;
use oar_schema::published::{read, written};
use schemars::JsonSchema;
use serde_json::Value;

use crate::card::Card;
use crate::kit::{Manifest, answers::Answer, score::Score};
use crate::realism::json::RealismDocument;
use crate::report::baseline::{self, BaselineLine};
use crate::report::compare::{self, ComparisonLine};
use crate::report::output::{jsonl, overview::formats as overview};
use crate::review::line::Line;

/// The schemas with the paths of their files in the folder `schema`.
pub fn all() -> Vec<(String, Value)> {
    let in_v1 =
        |name, title, schema: fn(&str, &str) -> Value| (format!("v1/{name}"), schema(&format!("v1.0/{name}"), title));
    vec![
        in_v1("answer_key", "Answer key of a synthetic cohort, one line for each patient", written::<Truth>),
        in_v1("card", "Dataset card of a synthetic cohort 1.0", written::<Card>),
        in_v1("realism", "Realism report 1.0", written::<RealismDocument<'_>>),
        in_v1("kit_manifest", "Manifest of a conformance kit 1.0", written::<Manifest>),
        in_v1("kit_answer", "Answer to one case of a conformance kit 1.0", read::<Answer>),
        in_v1("kit_score", "Score of the answers to a conformance kit 1.0", written::<Score>),
        (
            "review/v1/review".to_owned(),
            written::<Line<'_>>("review/v1.0/review", "One line of oar review --output jsonl"),
        ),
        of_output::<BaselineLine>("baseline", baseline::VERSION),
        of_output::<ComparisonLine<'_>>("comparison", compare::VERSION),
        of_output::<jsonl::Line<'_>>("findings", jsonl::VERSION),
        of_output::<overview::Document<'_>>("overview", overview::VERSION),
    ]
}

/// The schema of an output with a version of its own.
fn of_output<T: JsonSchema>(name: &str, version: &str) -> (String, Value) {
    let title = format!("Open Aligner Record {name} {version}");
    (format!("{name}/v1/{name}"), written::<T>(&format!("{name}/v{version}/{name}"), &title))
}
