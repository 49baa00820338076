//! The lay, small enough for a page.

use super::sheet::{SMALL, capitals, fitted, straight, text};
use super::{Drawing, LayerKind, Mark, Part, Stroke};
use crate::draft::Half;
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};
use crate::pattern::{Lay, Placed};

/// One centimetre of cloth, in millimetres of the drawing: a fifth of true size.
const SCALE: f64 = 2.0;

/// Around the cloth, and the words above it, in millimetres.
const MARGIN: f64 = 8.0;
const WORDS: f64 = 16.0;

/// The least width for those words, in millimetres.
const MIN_WORDS: f64 = 200.0;

/// Draws a lay at a fifth of its true size, with lengths in `unit`.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::pattern::Cloth;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false })?;
/// let drawing = kirtle::drawing::draw_lay(&lay, Unit::Cm);
/// assert!(drawing.notes[0].contains("buy 70 cm"), "{}", drawing.notes[0]);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_lay(lay: &Lay, unit: Unit) -> Drawing {
    let across = if lay.cloth.folded { lay.cloth.width / 2.0 } else { lay.cloth.width };
    let [width, length] = [across, lay.length].map(|side| side * SCALE);
    let corner = Point::new(MARGIN, MARGIN + WORDS);
    let at = |p: Point| corner + p.coords * SCALE;
    let mut cloth = Part::new("selvedge", "", 0);
    let line = |from: (f64, f64), to: (f64, f64), stroke| {
        let [from, to] = [from, to].map(|(x, y)| corner + Vector::new(x, y));
        straight(from, to, stroke)
    };
    let (kind, stroke) =
        if lay.cloth.folded { (LayerKind::Fold, Stroke::DashDot) } else { (LayerKind::Guide, Stroke::Full) };
    cloth.on(kind).push(line((0.0, 0.0), (0.0, length), stroke));
    cloth.on(LayerKind::Guide).extend([
        line((width, 0.0), (width, length), Stroke::Full),
        line((0.0, 0.0), (width, 0.0), Stroke::Dashed),
        line((0.0, length), (width, length), Stroke::Dashed),
    ]);
    let (title, note) = (title(lay, unit), note(lay, unit));
    let edge = if lay.cloth.folded { "fold" } else { "selvedge" };
    for (x, words) in [(-2.0, edge), (width + 5.0, "selvedge")] {
        cloth.on(LayerKind::Text).push(text(corner + Vector::new(x, length / 2.0), words, SMALL * 0.7, true));
    }
    for (line, words) in [(0.5, &title), (1.5, &note)] {
        let room = width.max(MIN_WORDS);
        let middle = Point::new(MARGIN + room / 2.0, MARGIN + line * WORDS / 2.0);
        cloth.on(LayerKind::Text).push(text(middle, words, fitted(words, SMALL * 0.8, room), false));
    }
    let mut parts: Vec<Part> =
        lay.placed.iter().enumerate().map(|(k, placed)| piece(k, placed, lay.cloth.folded, &at)).collect();
    // Above the pieces, as one of them lies on the fold.
    parts.push(cloth);
    let size_mm = [width.max(MIN_WORDS) + 2.0 * MARGIN, length + WORDS + 2.0 * MARGIN];
    Drawing { title, notes: vec![note], size_mm, parts }
}

fn piece(k: usize, placed: &Placed, folded: bool, at: &impl Fn(Point) -> Point) -> Part {
    let mut part = Part::new(&format!("{}-{}", placed.half.name(), k + 1), "", 0);
    let outline: Vec<Path> = placed.outline.iter().map(|path| path.map(at)).collect();
    // The last edge of a piece on the fold is the fold, and is not cut.
    let cut = outline[..outline.len() - usize::from(placed.on_fold)].to_vec();
    part.on(LayerKind::Cut).push(Mark::Line { paths: cut, stroke: Stroke::Full });
    part.on(LayerKind::Cloth).push(Mark::Line { paths: outline.clone(), stroke: Stroke::Filled });
    let grain = placed.grain.map(at);
    part.on(LayerKind::Grain).push(straight(grain[0], grain[1], Stroke::Full));
    let corners = || outline.iter().flat_map(Path::points);
    let [left, right] = [f64::min, f64::max].map(|pick| corners().map(|p| p.x).reduce(pick).unwrap_or_default());
    // The words stand on the wider side of the grain line, and within it.
    let (grain_x, y) = (grain[0].x, f64::midpoint(grain[0].y, grain[1].y));
    let [from, to] = if grain_x - left > right - grain_x { [left, grain_x] } else { [grain_x, right] };
    let middle = Point::new(f64::midpoint(from, to), y);
    let name = capitals(placed.half);
    let how = match (placed.half, placed.mirrored) {
        (Half::Front, _) if placed.on_fold => "on the fold",
        (Half::Front, _) => "opened out",
        (Half::Back, _) if folded => "two layers",
        (Half::Back, true) => "other side up",
        (Half::Back, false) => "as drawn",
    };
    for (line, words, size) in [(0.0, name, SMALL), (1.3, how, SMALL * 0.7)] {
        let size = fitted(words, size, (to - from) * 0.9);
        part.on(LayerKind::Text).push(text(middle + Vector::new(0.0, line * SMALL), words, size, false));
    }
    part
}

fn title(lay: &Lay, unit: Unit) -> String {
    let how = if lay.cloth.folded { "folded lengthwise, right sides together" } else { "laid open" };
    let way = if lay.cloth.one_way { ", all pieces one way" } else { "" };
    let name = if lay.name.is_empty() { String::new() } else { format!("{}: ", lay.name) };
    format!("{name}lay on cloth {} {} wide, {how}{way}; 1 : 5", unit.format_rounded(lay.cloth.width), unit.name())
}

fn note(lay: &Lay, unit: Unit) -> String {
    format!(
        "Takes {} {}: buy {} cm or {} yd. {:.0} % of the cloth is left over. Shrink the cloth first.",
        unit.format_rounded(lay.length),
        unit.name(),
        lay.to_buy_cm(),
        eighths(lay.to_buy_yd()),
        lay.waste * 100.0
    )
}

/// Yards in whole ones and eighths, as a shop writes them.
fn eighths(yards: f64) -> String {
    // Cloth is at most a few yards, rounded to eighths.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let eighths = (yards * 8.0).round() as usize;
    let (whole, fraction) = (eighths / 8, ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][eighths % 8]);
    if whole == 0 { fraction.to_owned() } else { format!("{whole}{fraction}") }
}
