//! Teeth in two arches, seen from the front: the patient's right is on the left.

use oar_schema::teeth::{Arch, Side, Tooth};

use crate::html::{Drawing, Markup};

const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 452.0;
/// The distance of the teeth from the middle of their arch, to the side and to the front.
const REACH: (f64, f64) = (138.0, 158.0);
/// The middle of each arch.
const MIDDLES: [f64; 2] = [198.0, 254.0];
/// The space between teeth.
const ROOM: f64 = 2.0;

/// The appearance of one tooth.
#[derive(Clone, Debug, Default)]
pub(super) struct Shown {
    /// The number on the tooth; none when nothing is known.
    pub(super) label: Option<String>,
    /// The strength of the colour, from 0 to 1.
    pub(super) strength: f64,
    /// Whether the tooth is missing.
    pub(super) absent: bool,
    /// Whether the outline is highlighted.
    pub(super) marked: bool,
}

/// Draws the 32 positions. A callback returns the tooth at each position and its appearance.
pub(super) fn odontogram(title: &str, of: impl Fn(Tooth) -> (Tooth, Shown)) -> Markup {
    let mut drawing = Drawing::new((WIDTH, HEIGHT));
    for (arch, middle) in Arch::ALL.into_iter().zip(MIDDLES) {
        for (tooth, place) in places(arch) {
            let (tooth, shown) = of(tooth);
            draw(&mut drawing, tooth, &shown, &ToothPosition::of(arch, middle, place));
        }
    }
    for (arch, at) in Arch::ALL.into_iter().zip([180.0, HEIGHT - 174.0]) {
        drawing.text((WIDTH / 2.0, at), "middle", "tick", arch.as_str());
    }
    drawing.text((WIDTH / 2.0 - 54.0, HEIGHT / 2.0 + 4.0), "end", "tick", "right");
    drawing.text((WIDTH / 2.0 + 54.0, HEIGHT / 2.0 + 4.0), "start", "tick", "left");
    drawing.svg(title)
}

/// The drawn width of a tooth along its arch.
fn width(tooth: Tooth) -> f64 {
    match tooth.kind() {
        kind if kind.is_molar() => 31.0,
        kind if kind.is_premolar() => 25.0,
        kind if kind.is_canine() => 25.0,
        _ if tooth.arch() == Arch::Upper => 25.0,
        _ => 22.0,
    }
}

/// The teeth of an arch from the patient's right to the left, each with its distance from the middle along the arch and its
/// width.
fn places(arch: Arch) -> Vec<(Tooth, (f64, f64))> {
    let mut found = Vec::new();
    for side in Side::ALL {
        let sign = if side == Side::Right { -1.0 } else { 1.0 };
        let mut from = 0.0;
        for tooth in Tooth::all().filter(|one| !one.is_primary() && one.arch() == arch && one.side() == side) {
            let width = width(tooth);
            found.push((tooth, (sign * (from + width / 2.0), width)));
            from += width + ROOM;
        }
    }
    found
}

/// The position of a tooth: its middle, the direction along the arch, the direction outward, and its width.
struct ToothPosition {
    at: (f64, f64),
    along: (f64, f64),
    out: (f64, f64),
    width: f64,
}

impl ToothPosition {
    /// Follows a half ellipse from its front.
    fn of(arch: Arch, middle: f64, (along, width): (f64, f64)) -> Self {
        let upward = if arch == Arch::Upper { -1.0 } else { 1.0 };
        let (mut angle, mut left): (f64, f64) = (0.0, along.abs());
        let step = 0.002;
        while left > 0.0 {
            left -= step * libm::hypot(REACH.0 * libm::cos(angle), REACH.1 * libm::sin(angle));
            angle += step;
        }
        let (sine, cosine) = (libm::sin(angle) * along.signum(), libm::cos(angle));
        let at = (WIDTH / 2.0 + REACH.0 * sine, middle + upward * REACH.1 * cosine);
        let (x, y) = (REACH.1 * sine, upward * REACH.0 * cosine);
        let length = libm::hypot(x, y);
        let out = (x / length, y / length);
        Self { at, along: (-out.1, out.0), out, width }
    }

    /// The point at a distance along and outward.
    fn point(&self, along: f64, out: f64) -> (f64, f64) {
        let (x, y) = self.at;
        (x + along * self.along.0 + out * self.out.0, y + along * self.along.1 + out * self.out.1)
    }

    /// A rounded outline, a little narrower on the inner side.
    fn outline(&self) -> Vec<(f64, f64)> {
        let (half, deep) = (self.width / 2.0, 14.0);
        let corners = [
            (-half * 0.55, deep),
            (half * 0.55, deep),
            (half * 0.95, deep * 0.6),
            (half * 0.9, -deep * 0.6),
            (half * 0.5, -deep),
            (-half * 0.5, -deep),
            (-half * 0.9, -deep * 0.6),
            (-half * 0.95, deep * 0.6),
        ];
        corners.iter().map(|(along, out)| self.point(*along, *out)).collect()
    }
}

fn draw(drawing: &mut Drawing, tooth: Tooth, shown: &Shown, spot: &ToothPosition) {
    let outline = spot.outline();
    let centred = |(x, y): (f64, f64)| (x, y + 4.0);
    if shown.absent {
        drawing.area(&outline, "tooth-absent");
    } else {
        drawing.area(&outline, if shown.marked { "tooth tooth-marked" } else { "tooth" });
        drawing.shade(&outline, "tooth-shade", 0.6 * shown.strength.clamp(0.0, 1.0));
    }
    if let Some(label) = &shown.label {
        drawing.text(centred(spot.at), "middle", if shown.marked { "value value-marked" } else { "value" }, label);
    }
    let number = centred(spot.point(0.0, 24.0));
    drawing.text(number, "middle", "tick", &tooth.to_string());
}
