//! Tracking by tooth: at how many of the latest check-ins each tooth lags, or its fit gap at the latest one.

use oar_schema::teeth::Tooth;

use super::odontogram::{Shown, odontogram};
use crate::html::{Markup, Table, explained};
use crate::review::Review;
use crate::review::clinic::Clinic;
use crate::statistics::numbers::short;

/// The share in which a tooth lags, of the latest check-ins that list it.
fn share(clinic: &Clinic, tooth: Tooth) -> Option<f64> {
    let seen = clinic.gaps.get(&tooth).map_or(0, crate::statistics::Tally::n);
    let lags = clinic.lagging.get(&tooth).copied().unwrap_or(0);
    (seen > 0).then(|| lags as f64 / seen as f64)
}

/// The share in percent for each tooth, all on one scale.
pub(super) fn clinic(clinic: &Clinic) -> Markup {
    if clinic.gaps.is_empty() {
        return Markup::default();
    }
    let most = Tooth::all().filter_map(|tooth| share(clinic, tooth)).fold(0.0, f64::max);
    let title = "Teeth that lag at the latest check-in, in percent of the records whose check-in lists the tooth";
    let drawn = odontogram(title, |tooth| {
        let share = share(clinic, tooth);
        let strength = if most > 0.0 { share.unwrap_or(0.0) / most } else { 0.0 };
        let label = share.map(|share| short((1000.0 * share).round() / 10.0));
        (tooth, Shown { absent: label.is_none(), label, strength, ..Shown::default() })
    });
    let mut table = Table::new(title, &["tooth", "name", "check-ins that list it", "lags in", "%", "mean fit gap, mm"]);
    for (tooth, gaps) in &clinic.gaps {
        table.row([
            tooth.to_string(),
            tooth.name().to_owned(),
            gaps.n().to_string(),
            clinic.lagging.get(tooth).copied().unwrap_or(0).to_string(),
            share(clinic, *tooth).map_or(String::new(), |share| format!("{:.1}", 100.0 * share)),
            gaps.mean().map_or(String::new(), |mean| format!("{mean:.2}")),
        ]);
    }
    let about = "FDI numbers, the patient's right on the left. A tooth that no latest check-in lists has a dashed outline; \
                 primary teeth are in the table only. A share of few check-ins is unreliable: the table has the counts.";
    explained(title, &drawn, about, &table.html("numbers named"))
}

/// The fit gaps of one patient at the latest check-in.
pub(super) fn patient(review: &Review) -> Markup {
    let record = &review.record;
    let Some(latest) = record.check_ins.iter().flatten().next_back() else { return Markup::default() };
    let least = review.lagging_gap_mm;
    let gap = |tooth: Tooth| latest.fit_gaps.iter().flatten().find(|gap| gap.tooth == tooth).map(|gap| gap.gap_mm);
    let gone = |tooth: &Tooth| {
        let taken = record.dentition.extracted.iter().flatten().any(|one| one.tooth == *tooth);
        taken || record.dentition.absent.contains(tooth)
    };
    let primary = |tooth: Tooth| {
        let milk = tooth.predecessor()?;
        record.dentition.primary.iter().flatten().any(|one| *one == milk && !gone(one)).then_some(milk)
    };
    let on = latest.at.written_date();
    let title = format!("Fit gaps between tray and tooth at the check-in of {on}, in mm");
    let drawn = odontogram(&title, |tooth| {
        let tooth = primary(tooth).unwrap_or(tooth);
        let gap = gap(tooth);
        let strength = gap.map_or(0.0, |gap| f64::from(gap.0) / f64::from((2 * least.0).max(1)));
        let marked = gap.is_some_and(|gap| gap >= least);
        (tooth, Shown { label: gap.map(|gap| gap.to_string()), strength, absent: gone(&tooth), marked })
    });
    let mut table = Table::new(&title, &["tooth", "name", "fit gap, mm", "lags"]);
    for gap in latest.fit_gaps.iter().flatten() {
        let lags = if gap.gap_mm >= least { "yes" } else { "no" };
        table.row([gap.tooth.to_string(), gap.tooth.name().to_owned(), gap.gap_mm.to_string(), lags.to_owned()]);
    }
    let about = format!(
        "FDI numbers, the patient's right on the left. A heavy outline and a bold number: the tooth lags, from {least} mm on. \
         A dashed outline: the tooth is missing. No number: the check-in does not list the tooth."
    );
    explained(&title, &drawn, &about, &table.html("numbers named"))
}
