//! The cohort of a review: treatments that are over, from which the finish of others is projected.

use std::path::PathBuf;
use std::sync::Arc;

use open_aligner_record::counted;
use open_aligner_record::finding::Finding;
use open_aligner_record::read::inputs::{Found, Input};
use open_aligner_record::review::Review;
use open_aligner_record::review::finish::{Cohort, LEAST_TREATMENTS};
use open_aligner_record::review::run::{Options, Part, run};

use super::Failure;
use super::chosen::Settled;

/// Finds the files of a cohort.
pub(super) fn find(paths: &[PathBuf], chosen: &Settled) -> Result<Found, Failure> {
    if paths.iter().any(|path| path.as_os_str() == "-") {
        let text = "--cohort -: a cohort is not read from standard input: write it to a file and name that";
        return Err(Failure::Asked(text.to_owned()));
    }
    Ok(chosen.selection().find(paths))
}

/// What the threads make of a piece of it.
#[derive(Default)]
struct Looked(Cohort, u64);

impl Part for Looked {
    fn take(&mut self, _: u64, review: Review, _: &[Finding]) {
        self.0.add(&review.record);
    }

    fn refuse(&mut self, _: u64, _: &[Finding]) {
        self.1 += 1;
    }
}

/// Reads a cohort. `missed` is told each input that cannot be read.
pub(super) fn read(
    inputs: &[Input],
    options: &Options,
    missed: &mut dyn FnMut(&Input, &std::io::Error),
) -> Result<Arc<Cohort>, Failure> {
    let (mut cohort, mut refused) = (Cohort::default(), 0);
    let options = Options { day: None, ..options.clone() };
    let take = &mut |_: open_aligner_record::review::run::Place<'_>, Looked(part, wrong): Looked| {
        cohort.merge(&part);
        refused += wrong;
        Ok(())
    };
    run(inputs, &options, take, missed).map_err(Failure::writing("the cohort"))?;
    if let Some(line) = too_little(&cohort, refused) {
        super::remark(&line);
    }
    Ok(Arc::new(cohort))
}

/// What is said when a cohort cannot say everything.
fn too_little(cohort: &Cohort, refused: u64) -> Option<String> {
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
        "too few to project a finish from".to_owned()
    } else {
        format!("enough to project a finish at {known} of {} stages", ready.classes)
    };
    Some(format!("{before}: {rest}\n  help: each stage takes {LEAST_TREATMENTS} treatments that were finished"))
}
