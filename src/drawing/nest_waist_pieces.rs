//! Facings and waistbands of a nest: all sizes of a piece at true scale on each other, aligned at one reference point.
//!
//! Facings share the waist at the centre and lie below their panels. Waistbands lie beside the front and share the
//! centre front and the edge sewn to the waist, so that a larger size is longer at both ends.

use super::panel_layout::PlacedPanel;
use super::size_names::edge_end_nearest_side_or_centre;
use super::size_nest::{
    MARGIN_MM, NestLayout, SIZE_NAME_SPACE_MM, largest_extents_from_reference_mm, line_style_of_size,
};
use super::waist_pieces::{draw_waist_piece_texts, part_name_of_piece, placed_waist_piece};
use super::{LayerKind, LineStyle, Part};
use crate::draft::{Edge, Role};
use crate::geometry::{Point, Vector};
use crate::pattern::{NotchPlace, PieceName, WaistPiece};

/// Distance between a piece and the names of the sizes beside it, in millimetres.
const NAME_DISTANCE_FROM_PIECE_MM: f64 = 6.0;

impl NestLayout<'_> {
    /// Draws the pieces that finish the waist in all sizes. Appends for each piece a part for each size to `drawn`, and a
    /// part with what all sizes share to `shared`. Returns width and height of the whole drawing, in millimetres.
    pub(super) fn draw_waist_pieces(&self, drawn: &mut Vec<Vec<Part>>, shared: &mut Vec<Part>) -> [f64; 2] {
        let [width, height] = self.size_mm;
        let mut size_mm = self.size_mm;
        for (index, first) in self.sizes[0].1.waist_pieces.iter().enumerate() {
            let pieces = self.sizes.iter().map(|(_, pattern)| (pattern, &pattern.waist_pieces[index]));
            let corners = pieces.clone().map(|(_, piece)| (point_common_to_sizes(piece), piece.bounds()));
            let [left, up, right, down] = largest_extents_from_reference_mm(corners);
            let is_band = first.name == PieceName::Waistband;
            let at = if is_band {
                Point::new(width + SIZE_NAME_SPACE_MM + left, MARGIN_MM + up)
            } else {
                Point::new(self.centres[index], height + SIZE_NAME_SPACE_MM + up)
            };
            let pieces = pieces.map(|(pattern, piece)| {
                let mut placed = placed_waist_piece(pattern, piece, at);
                let reference = placed.to_paper_mm(point_common_to_sizes(piece));
                placed.origin += at - reference;
                (piece, placed)
            });
            let pieces: Vec<_> = pieces.collect();
            // The names of the sizes stand at notches and ends of a waistband, at the darts and the side seam end of
            // the lower edge of a facing.
            let (mut sizes, mut notches, mut ends) = (Vec::new(), Vec::new(), Vec::new());
            for (k, (piece, placed)) in pieces.iter().enumerate() {
                let outline = if self.draws_seam_lines { &piece.seam } else { &piece.cut };
                sizes.push(self.draw_waist_piece_of_size(k, piece, placed, outline));
                let on_paper = |point: Point| (k, placed.to_paper_mm(point));
                let own = piece.notches.iter().filter(|notch| notch.place != NotchPlace::CentreFront);
                notches.extend(own.map(|notch| on_paper(self.start_of_notch(notch))));
                let (role, count) = if is_band { (Role::Centre, 1) } else { (Role::Hem, outline.len()) };
                let corners =
                    outline.chunks(count).filter_map(|edges| edge_end_nearest_side_or_centre(edges, role, 1.0));
                ends.extend(corners.map(on_paper));
            }
            let (axis, [before, after]) =
                if is_band { (1, [at.x - left, at.x + right]) } else { (0, [at.y - up, at.y + down]) };
            self.draw_leaders(&mut sizes, notches, axis, before - NAME_DISTANCE_FROM_PIECE_MM);
            self.draw_leaders(&mut sizes, ends, axis, after + NAME_DISTANCE_FROM_PIECE_MM);
            drawn.push(sizes);
            shared.push(self.draw_marks_shared_on_piece(index, &pieces));
            size_mm[0] = size_mm[0].max(if is_band { at.x + right + SIZE_NAME_SPACE_MM + MARGIN_MM } else { 0.0 });
            size_mm[1] = size_mm[1].max(at.y + down + MARGIN_MM + if is_band { 0.0 } else { SIZE_NAME_SPACE_MM });
        }
        size_mm
    }

    /// Draws all lines of a piece in the size at index `k`, and returns them as a part: outline, notches, and across a
    /// waistband a line where each seam of the skirt meets it.
    fn draw_waist_piece_of_size(&self, k: usize, piece: &WaistPiece, placed: &PlacedPanel, outline: &[Edge]) -> Part {
        let mut part = self.part_with_outline(k, placed, piece.name, outline);
        for notch in &piece.notches {
            placed.draw_notch(&mut part, notch);
            if let Some([fold, _]) = piece.fold.filter(|_| notch.place != NotchPlace::DartLeg) {
                let across = [notch.seam, notch.seam + Vector::new(2.0 * fold.x, 0.0)];
                placed.draw_polyline(&mut part, LayerKind::Guide, &across, line_style_of_size(k));
            }
        }
        part
    }

    /// Draws what all sizes of the piece at `index` share: the texts and the grain line of the smallest size, the fold
    /// of the largest. `pieces` are those of all sizes, placed on the paper.
    fn draw_marks_shared_on_piece(&self, index: usize, pieces: &[(&WaistPiece, PlacedPanel)]) -> Part {
        let ((piece, placed), (largest, placed_largest)) = (&pieces[0], &pieces[pieces.len() - 1]);
        let mut part = Part::new(&format!("{}-marks", part_name_of_piece(piece.name)), "", 0);
        placed.draw_grain_line(&mut part, piece.grain);
        placed.draw_centre_line_if_whole(&mut part, &piece.cut);
        let lines = self.nest_name_and_size_range();
        draw_waist_piece_texts(placed, (&self.sizes[0].1, index), self.wording.texts, lines, &mut part);
        if let Some(fold) = largest.fold {
            placed_largest.draw_polyline(&mut part, LayerKind::Fold, &fold, LineStyle::DashDot);
        }
        part
    }
}

/// Returns the point of a piece at which all sizes of a nest coincide: of a waistband the centre front, on the edge
/// sewn to the waist; of a facing the end of the waist on the centre line.
fn point_common_to_sizes(piece: &WaistPiece) -> Point {
    let centre_front = piece.notches.iter().find(|notch| notch.place == NotchPlace::CentreFront);
    centre_front.map_or_else(|| piece.seam[0].path.start(), |notch| notch.seam)
}
