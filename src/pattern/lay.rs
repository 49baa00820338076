//! Lays: the pieces of a pattern on cloth, and the length of cloth to buy.

use super::arrangement::{
    Cloth, PieceOrientations, PlacedPiece, copies_with_permitted_orientations, shortest_length_and_placed_pieces,
};
use super::unfold::outline_with_mirror_image;
use super::{Pattern, PieceName, WaistPiece};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::Point;

pub(crate) const CLOTH_WIDTH_FIELD: Field =
    Field::new("width", "Width of the cloth between its selvedges, laid open.", FieldKind::Length, (40.0, 400.0));

pub(crate) const SELVEDGE_WIDTH_FIELD: Field = Field::new(
    "selvedge",
    "Width of the strip along each selvedge that no piece covers.",
    FieldKind::Length,
    (0.0, 5.0),
);

/// Step between the lengths of cloth that shops with metric measures sell, in centimetres (common practice).
const SOLD_LENGTH_STEP_CM: f64 = 10.0;

const CM_PER_YARD: f64 = 91.44;

/// A pattern laid on cloth, in centimetres: `x` runs across the cloth, from fold or selvedge, `y` along the cloth.
///
/// ```
/// use kirtle::pattern::Cloth;
/// use kirtle::{Body, Cutting, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// let lay = pattern.lay(&Cloth { width: 115.0, folded: false, one_way: false, selvedge: 1.0 })?;
/// assert_eq!(lay.placed.len(), 3); // Two backs and the whole front.
/// assert!(lay.length <= lay.to_buy_cm());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Lay {
    /// Cloth that the pieces lie on.
    pub cloth: Cloth,
    /// Name printed on the pieces, such as a size or a person; empty if none was given.
    pub name: String,
    /// Length of cloth that the pieces take, in centimetres.
    pub length: f64,
    /// Share of the area `cloth.width` times `length` that no piece covers, from 0 to 1.
    pub waste: f64,
    /// Pieces laid on the cloth, each with its outline in place.
    pub placed: Vec<PlacedPiece>,
    /// Pattern whose pieces are laid.
    pub pattern: Pattern,
}

impl Lay {
    /// Returns the length of cloth to buy, in centimetres, rounded up to a multiple of 10 cm.
    pub fn to_buy_cm(&self) -> f64 {
        whole_steps_to_cover_length(self.length, SOLD_LENGTH_STEP_CM) * SOLD_LENGTH_STEP_CM
    }

    /// Returns the length of cloth to buy, in yards, rounded up to a multiple of an eighth of a yard.
    pub fn to_buy_yd(&self) -> f64 {
        whole_steps_to_cover_length(self.length, CM_PER_YARD / 8.0) / 8.0
    }
}

/// Returns the smallest whole number of steps that cover a length, both in one unit. An excess of up to 1e-9 steps
/// counts as rounding.
fn whole_steps_to_cover_length(length: f64, step: f64) -> f64 {
    (length / step - 1e-9).ceil()
}

impl Pattern {
    /// Returns the shortest lay of all pieces that the search finds. On folded cloth the back is laid once, as the two
    /// layers give both copies; the front lies on the fold; a waistband is cut from one layer. On open cloth two backs
    /// and a whole front are laid. On folded cloth an unfolded piece is folded, too, at its centre line.
    ///
    /// # Errors
    /// Returns a problem if width or selvedge of the cloth is out of range, or the width, folded or open, is too small
    /// for the widest piece.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules};
    /// use kirtle::pattern::Cloth;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 })?;
    /// assert_eq!(lay.to_buy_cm(), 70.0);
    ///
    /// let problems = pattern.lay(&Cloth { width: 50.0, folded: true, one_way: false, selvedge: 1.0 }).unwrap_err();
    /// assert_eq!(problems.to_string(), "cloth.width: 50 cm is too narrow for the widest piece; the minimum is 59.5 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn lay(&self, cloth: &Cloth) -> Result<Lay, Problems> {
        let lengths = [(&CLOTH_WIDTH_FIELD, cloth.width), (&SELVEDGE_WIDTH_FIELD, cloth.selvedge)];
        let problem = |(field, length): (&Field, f64)| field.range_problem("cloth.", length, Unit::Cm);
        Problems::ok_if_empty(lengths.into_iter().filter_map(problem))?;
        if self.cutting().unfolded {
            return Ok(Lay { pattern: self.clone(), ..self.with_unfolded(false)?.lay(cloth)? });
        }
        let skirt = [&self.front, &self.back].map(|piece| (piece.name(), &*piece.cut, piece.grain));
        let waist = self.waist_pieces.iter().map(|piece| (piece.name, &*piece.cut, piece.grain));
        let copies = |piece| copies_with_permitted_orientations(piece, cloth);
        let pieces: Vec<PieceOrientations> = skirt.into_iter().chain(waist).flat_map(copies).collect();
        let layers = if cloth.folded { 2.0 } else { 1.0 };
        let needed = |piece: &PieceOrientations| piece[0].min_x + piece[0].width + cloth.selvedge;
        let widest = pieces.iter().map(needed).fold(0.0, f64::max) * layers;
        if widest > cloth.width {
            // Rounded up, so that the reported minimum is wide enough.
            let min = (widest * 10.0).ceil() / 10.0;
            return Err(Problem::of_length_beyond_limit(Code::ClothTooNarrow, "cloth.width", cloth.width, min).into());
        }
        let (mut length, mut placed) =
            shortest_length_and_placed_pieces(&pieces, cloth.width / layers - cloth.selvedge);
        // The lay on folded cloth, unfolded, is also a lay on open cloth.
        if let Some(unfolded) = self.unfolded_lay_length_and_pieces(cloth).filter(|(shorter, _)| *shorter < length) {
            (length, placed) = unfolded;
        }
        let cut_area =
            |piece: &WaistPiece| if piece.name == PieceName::Waistband { piece.area() } else { 2.0 * piece.area() };
        let waist_area: f64 = self.waist_pieces.iter().map(cut_area).sum();
        let area = 2.0 * (self.back.area() + self.front.area()) + waist_area;
        let (name, waste) = (self.cutting().name.clone(), 1.0 - area / (length * cloth.width));
        Ok(Lay { cloth: *cloth, name, length, waste, placed, pattern: self.clone() })
    }

    /// Folds open cloth lengthwise, lays the pieces, and unfolds it; returns the length and the pieces of the unfolded
    /// lay, in which a back or its facing lies twice and a front or its facing is whole. Returns `None` if the cloth is
    /// folded already or too narrow to fold.
    fn unfolded_lay_length_and_pieces(&self, cloth: &Cloth) -> Option<(f64, Vec<PlacedPiece>)> {
        let lay = if cloth.folded { None } else { self.lay(&Cloth { folded: true, ..*cloth }).ok() }?;
        let middle = cloth.width / 2.0;
        let mut placed = Vec::new();
        for piece in lay.placed {
            let [right, left] = [1.0, -1.0].map(|s| piece.map_outline_and_grain(|p| Point::new(middle + s * p.x, p.y)));
            if piece.on_fold {
                let outline = outline_with_mirror_image(right.outline, |p| Point::new(2.0 * middle - p.x, p.y));
                // A symmetric piece, reflected along the cloth, is the piece rotated by 180° and so is not mirrored.
                placed.push(PlacedPiece { outline, on_fold: false, mirrored: false, ..right });
            } else {
                if piece.name.copies() == 2 {
                    placed.push(PlacedPiece { mirrored: !left.mirrored, ..left });
                }
                placed.push(right);
            }
        }
        Some((lay.length, placed))
    }
}
