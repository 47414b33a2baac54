//! Debonded attachments, and whether the plan needs them.

use oar_schema::derived::bonds::{self, Need, Off};

use crate::check::args::args;
use crate::check::path::at;
use crate::review::signal::{Raising, signals};
use crate::review::view::View;
use crate::text::counted;

signals! {
    ThisWeek attachment_off_needed_now;
    NextContact attachment_off_can_wait;
}

fn attachment_off_needed_now(view: &View<'_>, raising: &mut Raising<'_>) {
    each(view, |off| off.need == Need::Now, raising);
}

fn attachment_off_can_wait(view: &View<'_>, raising: &mut Raising<'_>) {
    each(view, |off| off.need != Need::Now, raising);
}

fn each(view: &View<'_>, which: fn(&Off<'_>) -> bool, raising: &mut Raising<'_>) {
    if view.wearing().is_none() {
        return;
    }
    let off = bonds::off(view.record).unwrap_or_default();
    for off in off.iter().filter(|off| which(off)) {
        let [series, place] = off.places;
        let days = view.today.days_since(off.since);
        let fields = vec![at!["series", series, "attachments", place], at!["attachment_events"], at!["check_ins"]];
        let need = match off.need {
            Need::Now => "a movement that it supports runs now",
            Need::Later => "a movement that it supports runs with a later tray",
            Need::Not => "no movement that it supports is left",
        };
        let args = args![
            "tooth" = off.attachment.tooth,
            "attachment" = off.attachment.id.0.clone(),
            "since" = off.since,
            "days" = days,
            "for" = counted(days, "day"),
            "tray" = off.tray,
            "need" = need,
        ];
        raising.add(1.0 + f64::from(days), fields, args);
    }
}
