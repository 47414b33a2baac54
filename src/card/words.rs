//! What every card says: cautions, uses, and what is known not to be real.

use crate::realism::{Report, Verdict};

/// Said first.
pub(super) const CAUTIONS: &[&str] = &[
    "Synthetic test data: no patient, clinic or treatment in it is real, and none is meant.",
    "Not a medical device and not clinical guidance: plans, decisions and advice in the records show what a record can hold, not what anyone is to do.",
    "It looks like published studies where the table below says so, and is no evidence about patients.",
];

/// What cohorts are made for.
pub(super) const USES: &[&str] = &[
    "testing software that reads, writes, moves or shows records of aligner treatment",
    "load tests, demonstrations, teaching how records are made up",
    "trying out an analysis before real data may be used, with its results thrown away",
];

/// What they are not for.
pub(super) const AVOID: &[&str] = &[
    "decisions about a patient, or advice on treatment",
    "evidence about treatments, trays, wear or clinics: what is in the cohort was put into the recipe",
    "training or judging a model that is meant for patients",
    "rates, costs or workloads of a real clinic",
    "evidence for an approval of any product",
];

/// What the simulation leaves out or makes simpler than it is, whatever the recipe; `docs/reference/recipes.md` says the same.
const ALWAYS: &[&str] = &[
    "Primary teeth stand and do not fall out.",
    "Elastics correct how the molars meet and, in part, overjet; they do not tip teeth.",
    "Teeth that never formed keep their gaps unless the arch closes them as spare room.",
    "Treatments with extractions last longer than in the one study that is known.",
    "Published accuracies conflict by a factor of two: the general recipe follows the lower family, and its clinics differ less than the studies do.",
    "Notes are phrases from a short list, and all clinics hold and step back at the same gaps.",
];

/// Said of recipes that no test holds against published statistics.
const UNFITTED: &str = "Only the general recipe is held against published statistics by a test; this one changes it on purpose, so what lies outside may be meant.";

/// What is known not to be like real records: of every cohort, and of this one.
pub(super) fn unrealism(recipe: &str, report: &Report<'_>) -> Vec<String> {
    let mut lines: Vec<String> = ALWAYS.iter().map(|line| (*line).to_owned()).collect();
    if recipe != "general" {
        lines.push(UNFITTED.to_owned());
    }
    let tuned = report.count(Verdict::Inside, |row| report.is_tuned(row));
    let all = report.count(Verdict::Inside, |_| true);
    lines.push(format!(
        "Of {all} published statistics that the cohort lies inside of, the recipe was tuned on {tuned}: what counts are the others."
    ));
    for row in report.rows.iter().filter(|row| row.verdict == Verdict::Outside) {
        let tuned = if report.is_tuned(row) { ", though the recipe was tuned on it" } else { "" };
        lines.push(format!("Outside of {}: {}{tuned}.", row.published.short(), row.published.what));
    }
    lines
}
