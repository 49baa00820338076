//! The pieces of a pattern side by side, ready to cut.

use super::head::BEFORE_CUTTING;
use super::sheet::{MM_IN_CM, SMALL, Sheet, capitals, length, title, width};
use super::{Drawing, LayerKind, Mark, Part, Stroke};
use crate::draft::Role;
use crate::field::Unit;
use crate::geometry::{Path, Point};
use crate::pattern::{NotchPlace, Pattern, Piece};

/// Around the pieces, and between them.
const MARGIN: f64 = 5.0;
const GAP: f64 = 10.0;

/// Draws the pieces of a pattern at true scale, with lengths in `unit`. What a sheet of paper needs beside them is added by
/// [`with_header`](super::with_header) or [`print`](super::print).
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// assert_eq!(drawing.parts[0].name, "back");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_pattern(pattern: &Pattern, unit: Unit) -> Drawing {
    let [back, front] = pattern.pieces().map(Piece::bounds);
    let top = MARGIN - back[0].y.min(front[0].y) * MM_IN_CM;
    let left = MARGIN - back[0].x * MM_IN_CM;
    let right = left + (back[1].x + front[1].x) * MM_IN_CM + GAP;
    let bottom = top + back[1].y.max(front[1].y) * MM_IN_CM;
    let name = pattern.label(unit);
    let part = |piece: &Piece, x| {
        let sheet = Sheet::new(pattern.draft(), &piece.panel, Point::new(x, top));
        let mut part = Part::new(piece.panel.half.name(), &name, piece.copies());
        lines(&sheet, piece, &mut part);
        texts(&sheet, piece, pattern, unit, &name, &mut part);
        part
    };
    let parts = vec![part(&pattern.back, left), part(&pattern.front, right)];
    let [waist, side, hem, centre_back] = pattern.granted.into_array().map(|allowance| unit.format_exact(allowance));
    let notes = vec![
        format!(
            "{name}. Allowances included: waist {waist}, side {side}, hem {hem}, centre back {centre_back} {}; none at \
             the fold.",
            unit.name()
        ),
        format!(
            "Full line: cut. Dashes within it: sew. Dash-dot lines: folds. Hip line and grain bear their names. \
             {BEFORE_CUTTING}"
        ),
    ];
    Drawing { title: title(pattern.draft(), unit), notes, size_mm: [right + MARGIN, bottom + MARGIN], parts }
}

fn lines(sheet: &Sheet, piece: &Piece, part: &mut Part) {
    // A piece on the fold is not cut there.
    let folded = |role: Role| role == Role::Centre && piece.on_fold();
    let cut: Vec<Path> = piece.cut.iter().map(|edge| edge.path).collect();
    part.on(LayerKind::Cloth).push(sheet.outline(&cut, Stroke::Filled));
    if piece.on_fold() {
        let fold = piece.cut.iter().filter(|edge| folded(edge.role)).map(|edge| &edge.path);
        part.on(LayerKind::Fold).push(sheet.outline(fold, Stroke::DashDot));
    }
    let cut = piece.cut.iter().filter(|edge| !folded(edge.role)).map(|edge| &edge.path);
    part.on(LayerKind::Cut).push(sheet.outline(cut, Stroke::Full));
    let seam = |role: Role| (role == Role::Dart, folded(role));
    for alike in piece.panel.edges.chunk_by(|a, b| seam(a.role) == seam(b.role)).filter(|edges| !folded(edges[0].role))
    {
        let kind = if alike[0].role == Role::Dart { LayerKind::Dart } else { LayerKind::Seam };
        part.on(kind).push(sheet.outline(alike.iter().map(|edge| &edge.path), Stroke::Dashed));
    }
    for dart in &piece.panel.darts {
        part.on(LayerKind::Dart).push(sheet.line(&[Point::new(dart.centre, dart.inner.y), dart.tip], Stroke::DashDot));
        part.on(LayerKind::Dart).push(Mark::Point { at: sheet.at(dart.tip) });
    }
    for cut in piece.notches.iter().flat_map(|notch| &notch.cuts) {
        part.on(LayerKind::Notch).push(sheet.line(cut, Stroke::Full));
    }
    sheet.guides(part, piece.grain);
}

fn texts(sheet: &Sheet, piece: &Piece, pattern: &Pattern, unit: Unit, name: &str, part: &mut Part) {
    let panel = &piece.panel;
    let cut = if piece.on_fold() { "cut 1 on the fold" } else { "cut 2, a pair" };
    let mut block = vec![name.to_owned(), cut.to_owned()];
    if !panel.darts.is_empty() {
        block.push(format!("press darts towards the {}", pattern.cutting().press.name()));
    }
    sheet.block(part, capitals(panel.half), &block);
    sheet.write(part, panel.width * 0.62, sheet.hip_depth - 0.2, "hip line", SMALL * 0.8);
    sheet.write_upwards(part, panel.width * 0.25 - 0.15 * sheet.towards_side, "grain", SMALL * 0.8);
    let centre = if piece.on_fold() { "centre front: place on the fold" } else { "centre back: seam" };
    sheet.write_upwards(part, if piece.on_fold() { 0.6 } else { 1.1 }, centre, SMALL * 0.8);
    for notch in piece.notches.iter().filter(|notch| notch.place == NotchPlace::OpeningEnd) {
        let words = length(unit, "opening to here,", notch.along);
        let (size, y) = (SMALL * 0.7, notch.seam.y);
        // Beside the seam, above the level unless the hip line runs there.
        let above = !(y - 0.7..y + 0.1).contains(&sheet.hip_depth);
        let x = 0.6 + width(&words) * size / MM_IN_CM / 2.0;
        sheet.write(part, x, if above { y - 0.15 } else { y + 0.55 }, &words, size);
        let bar = [Point::new(0.0, y), Point::new(1.0, y)];
        part.on(LayerKind::Guide).push(sheet.line(&bar, Stroke::Full));
    }
}
