//! Drawing of a lay at true size, for a cutter or a plotter: the pieces of the pattern drawing, placed on the cloth.

use super::TextAlign::CentredUpwards;
use super::lay::draw_lay_titled_with_scale;
use super::panel_layout::MM_PER_CM;
use super::pieces::draw_pattern;
use super::waist_pieces::part_name_of_piece;
use super::{CAPITAL_HEIGHT_PER_FONT_SIZE, Drawing, LayerKind, LineStyle, Mark, Part};
use crate::error::{Code, Problem, Problems};
use crate::geometry::{Point, Vector};
use crate::pattern::{Lay, PlacedPiece};
use crate::wording::Wording;

/// Draws a lay at true size, for a cutter: the drawing has the width and the length of the cloth, and each piece lies
/// there with all lines and texts of the drawing of its pattern. Front and front facing are whole.
///
/// # Errors
/// [`Code::Conflict`] if the cloth is folded, as the drawing has one layer of cloth.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::draw_lay_at_true_size;
/// use kirtle::pattern::Cloth;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let cloth = Cloth { width: 150.0, folded: false, one_way: false, selvedge: 1.0 };
/// assert_eq!(draw_lay_at_true_size(&pattern.lay(&cloth)?, Unit::Cm)?.size_mm[0], 1500.0);
///
/// let problems = draw_lay_at_true_size(&pattern.lay(&Cloth { folded: true, ..cloth })?, Unit::Cm).unwrap_err();
/// assert!(problems.to_string().starts_with("cloth.folded: cannot be given together with a drawing at true size"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draw_lay_at_true_size<'t>(lay: &Lay, wording: impl Into<Wording<'t>>) -> Result<Drawing, Problems> {
    if lay.cloth.folded {
        let limit = "a drawing at true size, which has one layer: lay the cloth open";
        return Err(Problem::new(Code::Conflict, "cloth.folded").with_limit(limit).into());
    }
    let wording = wording.into();
    let pieces = draw_pattern(&lay.pattern.with_unfolded(true)?, wording).parts;
    let part = |placed: &PlacedPiece| {
        let name = part_name_of_piece(placed.name);
        pieces.iter().find(|part| part.name == name).map(|part| part_at_place_on_cloth(part.clone(), placed))
    };
    let size_mm = [lay.cloth.width, lay.length].map(|side| side * MM_PER_CM);
    let mut cloth = Part::new("selvedge", "", 0);
    cloth.draw_rectangle(LayerKind::Guide, Point::origin(), size_mm, LineStyle::Dashed);
    let parts = lay.placed.iter().filter_map(part).chain([cloth]).collect();
    Ok(Drawing { size_mm, parts, ..draw_lay_titled_with_scale(lay, wording, 1) })
}

/// Moves the part of a piece from the drawing of its pattern to its place on the cloth, turned or mirrored as the piece.
fn part_at_place_on_cloth(part: Part, placed: &PlacedPiece) -> Part {
    let y = if placed.turned { -1.0 } else { 1.0 };
    let x = if placed.mirrored { -y } else { y };
    // On paper and on cloth the cut line starts at the same point of the piece.
    let mut cut = part.layers.iter().filter(|layer| layer.kind == LayerKind::Cut).flat_map(|layer| &layer.marks);
    let start = |mark: &Mark| if let Mark::Line { paths, .. } = mark { Some(paths[0].start()) } else { None };
    let from = cut.find_map(start).unwrap_or_default();
    let to = placed.outline[0].start() * MM_PER_CM;
    let mut part = part.map_part(|p| to + Vector::new((p.x - from.x) * x, (p.y - from.y) * y));
    for mark in part.layers.iter_mut().flat_map(|layer| &mut layer.marks) {
        // Texts stay upright and readable: they move to the other side of their base line, where they cross no line.
        if let Mark::Text { at, size_mm, align, .. } = mark {
            let axis = usize::from(*align != CentredUpwards);
            at[axis] += if [x, y][axis] < 0.0 { *size_mm * CAPITAL_HEIGHT_PER_FONT_SIZE } else { 0.0 };
        }
    }
    Part { copies: 1, ..part }
}
