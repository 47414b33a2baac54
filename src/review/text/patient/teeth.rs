//! The teeth, drawn: two arches seen from the front, with the fit gap under each tooth that has one.

use std::collections::BTreeMap;

use oar_schema::derived::bonds::{Standing, standing};
use oar_schema::number::Hundredths;
use oar_schema::record::{CheckIn, Dentition, Record};
use oar_schema::teeth::{Arch, Tooth, ToothKind};

use super::lines::WrappedLines;
use crate::review::Review;
use crate::text::counted;

/// Columns of a whole arch, and of the name before it.
const ARCH: usize = 76;
const NAME: usize = 9;

const MARKS: [(char, &str); 7] = [
    ('◆', "attachment bonded"),
    ('◇', "attachment debonded"),
    ('○', "attachment not bonded yet"),
    ('×', "tooth missing"),
    ('I', "implant"),
    ('P', "pontic"),
    ('*', "lags"),
];

/// The parts of a record that are drawn.
struct ToothChart<'r> {
    dentition: &'r Dentition,
    gaps: BTreeMap<Tooth, Hundredths>,
    lagging: Vec<Tooth>,
    attachments: BTreeMap<Tooth, char>,
}

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    let latest = review.record.check_ins.iter().flatten().next_back();
    let chart = ToothChart::new(review, latest);
    lines.title(&title(latest));
    let mut drawn = String::new();
    for (arch, quadrants) in [("upper", [1, 2]), ("lower", [4, 3])] {
        let sides =
            if lines.width >= ARCH { vec![quadrants.to_vec()] } else { quadrants.map(|one| vec![one]).to_vec() };
        for side in sides {
            let rows = chart.rows(arch, &side);
            rows.iter().filter(|row| !is_blank(row)).for_each(|row| lines.row(row));
            drawn.extend(rows);
        }
    }
    lines.legend(MARKS.into_iter().filter(|(mark, _)| drawn.contains(*mark)));
    lines.named("lagging", &lagging(review));
}

/// Whether a row has nothing but its name.
fn is_blank(row: &str) -> bool {
    row.strip_prefix("  gap mm").is_some_and(|rest| rest.chars().all(|letter| matches!(letter, ' ' | '┊')))
}

fn title(latest: Option<&CheckIn>) -> String {
    let view = "from the front, the patient's right on the left";
    match latest {
        None => format!("teeth, {view}; no check-in on record: fit gaps are unknown"),
        Some(latest) => {
            let of = format!("{} with tray {} of series {}", latest.at.written_date(), latest.tray, latest.series);
            let gaps = if latest.fit_gaps.is_some() { "fit gaps in mm" } else { "no fit gaps recorded" };
            format!("teeth, {view}; {gaps} at the check-in of {of}")
        }
    }
}

fn lagging(review: &Review) -> String {
    let Some(lagging) = &review.values.lagging_teeth else { return "unknown".to_owned() };
    let told: Vec<String> = lagging
        .iter()
        .map(|lag| format!("{} ({} in a row)", lag.tooth.fdi(), counted(lag.check_ins, "check-in")))
        .collect();
    if told.is_empty() { "no tooth at the latest check-in".to_owned() } else { told.join(", ") }
}

impl<'r> ToothChart<'r> {
    fn new(review: &'r Review, latest: Option<&CheckIn>) -> Self {
        let gaps = latest.iter().flat_map(|latest| latest.fit_gaps.iter().flatten());
        Self {
            dentition: &review.record.dentition,
            gaps: gaps.map(|gap| (gap.tooth, gap.gap_mm)).collect(),
            lagging: review.values.lagging_teeth.iter().flatten().map(|lag| lag.tooth).collect(),
            attachments: attachments(&review.record),
        }
    }

    /// The rows of one or two quadrants: crowns, numbers, gaps.
    fn rows(&self, arch: &str, quadrants: &[u8]) -> [String; 3] {
        let row = |name: &str, cell: &dyn Fn(Tooth) -> String| {
            let sides = quadrants.iter().map(|quadrant| {
                let teeth = order(*quadrant).into_iter().filter_map(|place| self.tooth(10 * quadrant + place));
                teeth.map(cell).collect::<String>()
            });
            format!("  {name:<width$}{}", sides.collect::<Vec<_>>().join("┊ "), width = NAME - 2)
        };
        [
            row(arch, &|tooth| format!("{} ", self.crown(tooth))),
            row("tooth", &|tooth| format!("{:^3} ", tooth.fdi())),
            row("gap mm", &|tooth| format!("{:<4}", self.gap(tooth))),
        ]
    }

    /// The tooth at a position: the primary one as long as it is present.
    fn tooth(&self, fdi: u8) -> Option<Tooth> {
        let tooth = Tooth::new(fdi)?;
        let is_primary =
            |one: &Tooth| self.dentition.primary.iter().flatten().any(|it| it == one) && !self.is_gone(*one);
        Some(tooth.predecessor().filter(is_primary).unwrap_or(tooth))
    }

    fn is_gone(&self, tooth: Tooth) -> bool {
        let extracted = self.dentition.extracted.iter().flatten().any(|extraction| extraction.tooth == tooth);
        extracted || self.dentition.absent.contains(&tooth)
    }

    /// Three columns of a crown; the middle one shows an attachment.
    fn crown(&self, tooth: Tooth) -> String {
        let holds = |list: &Option<Vec<Tooth>>| list.iter().flatten().any(|one| *one == tooth);
        if holds(&self.dentition.implants) {
            return " I ".to_owned();
        }
        if holds(&self.dentition.pontics) {
            return " P ".to_owned();
        }
        if self.is_gone(tooth) {
            return " × ".to_owned();
        }
        let [left, middle, right] = shape(tooth);
        [left, self.attachments.get(&tooth).copied().unwrap_or(middle), right].iter().collect()
    }

    /// The fit gap in three columns, and a mark when the tooth lags.
    fn gap(&self, tooth: Tooth) -> String {
        let Some(gap) = self.gaps.get(&tooth) else { return String::new() };
        let told = match gap.0 {
            1000.. => format!("{:>3}", (gap.0 + 50) / 100),
            100.. => format!("{:.1}", gap.as_f64()),
            0 => " 0 ".to_owned(),
            _ if gap.0 % 10 == 0 => gap.to_string(),
            _ => format!(".{:02}", gap.0),
        };
        if self.lagging.contains(&tooth) { format!("{told}*") } else { told }
    }
}

/// The positions of a quadrant from left to right, as seen from the front.
fn order(quadrant: u8) -> Vec<u8> {
    if matches!(quadrant, 1 | 4) { (1..=8).rev().collect() } else { (1..=8).collect() }
}

/// A crown by its kind; upper ones point down, lower ones up.
const fn shape(tooth: Tooth) -> [char; 3] {
    let kind = tooth.kind();
    match tooth.arch() {
        Arch::Upper if kind.is_molar() => ['▜', '█', '▛'],
        Arch::Upper if kind.is_premolar() => ['▝', '█', '▘'],
        Arch::Lower if kind.is_molar() => ['▟', '█', '▙'],
        Arch::Lower if kind.is_premolar() => ['▗', '█', '▖'],
        Arch::Upper if matches!(kind, ToothKind::Canine) => [' ', '▼', ' '],
        Arch::Lower if matches!(kind, ToothKind::Canine) => [' ', '▲', ' '],
        _ => [' ', '█', ' '],
    }
}

/// The attachments of the series that was worn last, or of the first one; for each tooth, a debonded one takes precedence.
fn attachments(record: &Record) -> BTreeMap<Tooth, char> {
    let mut marks = BTreeMap::new();
    let Some(series) = super::attachments::series(record) else { return marks };
    for attachment in series.attachments.iter().flatten() {
        let mark = match standing(record, series, attachment).0 {
            Standing::Off => '◇',
            Standing::Bonded => '◆',
            Standing::Planned => '○',
            Standing::Removed => continue,
        };
        let held = marks.entry(attachment.tooth).or_insert(mark);
        if mark == '◇' || *held == '○' {
            *held = mark;
        }
    }
    marks
}
