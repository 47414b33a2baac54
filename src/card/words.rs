//! The texts of every card: cautions, uses, and known differences from real records.

use crate::realism::{Report, Verdict};

/// The cautions.
pub(super) const CAUTIONS: &[&str] = &[
    "Synthetic test data: no patient, clinic or treatment in it is real, and no real one is meant.",
    "Not a medical device and not clinical guidance: plans, decisions and advice in the records show what a record can hold, not what anyone should do.",
    "It resembles published studies where the table below says so, and is not evidence about patients.",
];

/// Intended uses of cohorts.
pub(super) const USES: &[&str] = &[
    "testing software that reads, writes, moves or shows records of aligner treatment",
    "load tests, demonstrations, teaching the structure of records",
    "trying out an analysis before real data may be used, with its results discarded",
];

/// Uses that must be avoided.
pub(super) const AVOID: &[&str] = &[
    "decisions about a patient, or advice on treatment",
    "evidence about treatments, trays, wear or clinics: the cohort only contains what was put into the recipe",
    "training or evaluating a model that is meant for patients",
    "rates, costs or workloads of a real clinic",
    "evidence for the approval of any product",
];

/// What the simulation omits or simplifies, whatever the recipe; `docs/reference/recipes.md` says the same.
const ALWAYS: &[&str] = &[
    "Primary teeth are not shed.",
    "Elastics correct the molar relationship and, in part, the overjet; they do not tip teeth.",
    "The spaces of teeth that never formed stay open, unless the plan of the arch has space to spare and closes it.",
    "Treatments with extractions take longer than in the only known study.",
    "Published accuracies conflict by a factor of two: the general recipe follows the lower family, and its clinics differ less than the studies do.",
    "Notes are phrases from a short list, and all clinics hold and step back at the same fit gaps.",
];

/// For recipes that no test compares with published statistics.
const UNFITTED: &str = "A test compares only the general recipe with published statistics; this recipe changes it on purpose, so values outside may be intended.";

/// Known differences from real records: for every cohort, and for this one.
pub(super) fn unrealism(recipe: &str, report: &Report<'_>) -> Vec<String> {
    let mut lines: Vec<String> = ALWAYS.iter().map(|line| (*line).to_owned()).collect();
    if recipe != "general" {
        lines.push(UNFITTED.to_owned());
    }
    let tuned = report.count(Verdict::Inside, |row| report.is_tuned(row));
    let all = report.count(Verdict::Inside, |_| true);
    lines.push(format!(
        "Of {all} published statistics for which the cohort is inside, the recipe was tuned on {tuned}; the others are the real evidence."
    ));
    for row in report.rows.iter().filter(|row| row.verdict == Verdict::Outside) {
        let tuned = if report.is_tuned(row) { ", though the recipe was tuned on it" } else { "" };
        lines.push(format!("Outside {}: {}{tuned}.", row.published.short(), row.published.what));
    }
    lines
}
