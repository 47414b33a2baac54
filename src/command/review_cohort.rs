//! The cohort of a review: treatments that have ended, from which the finish of others is projected.

use std::path::PathBuf;
use std::sync::Arc;

use open_aligner_record::counted;
use open_aligner_record::finding::Finding;
use open_aligner_record::read::inputs::{FoundInputs, Input};
use open_aligner_record::review::Review;
use open_aligner_record::review::finish::{LEAST_TREATMENTS, PastTreatments};
use open_aligner_record::review::run::{Part, ReviewOptions, run};

use super::Failure;
use super::settings_options::RunSettings;

/// Finds the files of a cohort.
pub(super) fn find(paths: &[PathBuf], settings: &RunSettings) -> Result<FoundInputs, Failure> {
    if paths.iter().any(|path| path.as_os_str() == "-") {
        let text = "--cohort -: a cohort cannot be read from standard input: write it to a file and give its name";
        return Err(Failure::Message(text.to_owned()));
    }
    Ok(settings.selection().find(paths))
}

/// What the threads make of a piece of it: the cohort, and how many records have errors.
#[derive(Default)]
struct CohortPart(PastTreatments, u64);

impl Part for CohortPart {
    fn take(&mut self, _: u64, review: Review, _: &[Finding]) {
        self.0.add(&review.record);
    }

    fn refuse(&mut self, _: u64, _: &[Finding]) {
        self.1 += 1;
    }
}

/// Reads a cohort. `missed` gets each input that cannot be read.
pub(super) fn read(
    inputs: &[Input],
    options: &ReviewOptions,
    missed: &mut dyn FnMut(&Input, &std::io::Error),
) -> Result<Arc<PastTreatments>, Failure> {
    let (mut cohort, mut refused) = (PastTreatments::default(), 0);
    let options = options.clone().day(None);
    let take = &mut |_: open_aligner_record::review::run::RecordPlace<'_>, CohortPart(part, wrong): CohortPart| {
        cohort.merge(&part);
        refused += wrong;
        Ok(())
    };
    run(inputs, &options, take, missed).map_err(Failure::writing("the cohort"))?;
    if let Some(line) = too_little(&cohort, refused) {
        super::note(&line);
    }
    Ok(Arc::new(cohort))
}

/// A note for a cohort that is too small for some projections.
fn too_little(cohort: &PastTreatments, refused: u64) -> Option<String> {
    let ready = cohort.readiness();
    let known = ready.treatment;
    if known == ready.classes {
        return None;
    }
    let left_out = if refused > 0 { format!(", {refused} with errors left out") } else { String::new() };
    let before = format!(
        "--cohort: {} in {}{left_out}",
        counted(ready.over, "ended treatment"),
        counted(ready.records, "record")
    );
    let rest = if known == 0 {
        "too few to project a finish".to_owned()
    } else {
        format!("enough to project a finish at {known} of {} stages", ready.classes)
    };
    Some(format!("{before}: {rest}\n  help: each stage needs {LEAST_TREATMENTS} finished treatments"))
}
