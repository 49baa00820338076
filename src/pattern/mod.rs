//! Patterns: the panels of a draft as pieces ready to cut, with allowances, dart roofs, notches and grain lines.
//!
//! [`Draft::pattern`] makes a [`Pattern`] by the instructions of a [`Cutting`]; [`Pattern::lay`] arranges its pieces on
//! a [`Cloth`]. All numbers are `f64` in centimetres, never dual numbers or lanes.
//!
//! ```
//! use kirtle::{Body, Cutting, Ease, Rules};
//!
//! let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! let pattern = draft.pattern(&Cutting::default())?;
//! assert_eq!((pattern.back.notches.len(), pattern.opening()), (7, 20.0));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod arrangement;
mod centre_seam;
mod cutting;
mod lay;
mod notch;
mod outline;
mod unfold;
mod vent;
mod waist_pieces;

pub use arrangement::{Cloth, PlacedPiece};
pub(crate) use centre_seam::centre_point_and_upward_direction;
pub use cutting::{
    Allowances, Cutting, Opening, Preset, Press, Vent, WaistFinish, WaistFinishKind, WaistFinishLengths,
};
pub(crate) use cutting::{
    BACK_AND_FRONT_PIECE_NAMES, USUAL_OPENING, USUAL_VENT_WIDTH, ZIP_OPENING_FIELD, choose_length_by_unit,
    usual_waist_finish_lengths,
};
pub use lay::Lay;
pub(crate) use lay::{CLOTH_WIDTH_FIELD, SELVEDGE_WIDTH_FIELD};
pub use notch::{Notch, NotchPlace};
pub(crate) use unfold::centre_line_of_whole_piece;
pub use vent::VentLines;
pub use waist_pieces::{PieceName, WaistPiece};

use crate::body::Body;
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::error::Problems;
use crate::geometry::{Path, Point, bounding_box};
use crate::wording::Wording;

/// Distance of the grain line from the centre line or slanted centre seam, as a share of the width from there to the
/// side at the hip.
const GRAIN_LINE_X_SHARE_OF_PANEL_WIDTH: f64 = 0.25;

/// Maximum distance of the grain line below the lowest dart tip, and of its lower end above the hem, in centimetres; on
/// a short skirt both distances are smaller.
const MAX_GRAIN_LINE_END_CLEARANCE_CM: f64 = 2.0;

/// Minimum length of the grain line, as a share of the length of the centre from waist to hem.
const MIN_GRAIN_LINE_SHARE_OF_LENGTH: f64 = 0.3;

/// Pattern of a draft: back, front and the pieces that finish the waist, ready to cut, in centimetres.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// assert_eq!((pattern.back.copies(), pattern.front.on_fold()), (2, true));
/// assert_eq!(pattern.cut_allowances.side, 2.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    draft: Draft,
    cutting: Cutting,
    opening: f64,
    /// Allowances as cut, in centimetres: a requested allowance is reduced along its whole edge if the seam bends too
    /// sharply for it.
    pub cut_allowances: Allowances,
    /// Back piece, cut twice.
    pub back: Piece,
    /// Front piece, cut once: on the fold, or whole if the pattern is unfolded.
    pub front: Piece,
    /// Pieces that finish the waist: none, a waistband, or the facings of back and front.
    pub waist_pieces: Vec<WaistPiece>,
    /// Cloth for which the notes on buying name the length, in centimetres; `None` for the usual widths.
    pub cloth: Option<Cloth>,
}

/// Back or front of a pattern. The origin is on the centre line, level with the upper end of the side seam; `x` points
/// to the side, `y` down.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// let [min, max] = pattern.back.bounds();
/// assert!(max.x - min.x > pattern.back.panel.width && max.y - min.y > 62.0); // The allowances lie outside the panel.
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Panel of the draft from which the piece is made; its edges are the seam line, of one half if the piece is whole.
    pub panel: Panel,
    /// Closed cut line, in the direction of the seam line. The roof over a dart has the role of the dart; the end of an
    /// allowance has the role of the edge that it prolongs.
    pub cut: Vec<Edge>,
    /// Notches of the piece, at its cut line.
    pub notches: Vec<Notch>,
    /// Vent of the back, if it has one.
    pub vent: Option<VentLines>,
    /// Grain line, from its upper end to its lower end.
    pub grain: [Point; 2],
    /// Number of edges at folds that are cut straight, as the adjacent seam edge is too short or too curved to mirror.
    pub straight_folds: usize,
}

impl Draft {
    /// Returns the pattern of the draft: pieces with allowances, dart roofs, notches and grain lines.
    ///
    /// # Errors
    /// All [`Problems`] of the cutting: allowances or opening out of range, an invalid name, an opening longer than the
    /// centre back seam, a vent that reaches the opening, a facing too deep for the curve of the waist.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Preset, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let pattern = draft.pattern(&Cutting::preset(Preset::Garment, Unit::Cm))?;
    /// assert_eq!(pattern.back.copies(), 2);
    ///
    /// let mut absurd = Cutting::default();
    /// absurd.allowances.side = -1.0;
    /// let problems = draft.pattern(&absurd).unwrap_err();
    /// assert_eq!(problems.to_string(), "cutting.allowances.side: -1 cm is below the minimum of 0 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn pattern(&self, cutting: &Cutting) -> Result<Pattern, Problems> {
        let mut problems = cutting.cutting_problems();
        let seam = self.back.edge_length(Role::Centre);
        if problems.is_empty() {
            let upright = self.back.paths(Role::Centre).next().map_or(seam, Path::length);
            problems.extend(cutting.centre_back_problem([seam, upright]));
        }
        Problems::ok_if_empty(problems)?;
        let facing_depth = cutting.facing_depth();
        let facings =
            facing_depth.map(|depth| waist_pieces::back_and_front_facing_panels(self.panels(), depth)).transpose()?;
        let panels: Vec<&Panel> = self.panels().into_iter().chain(facings.iter().flatten()).collect();
        let cut_allowances = outline::clamp_allowances_to_feasible(&panels, cutting.allowances);
        let opening = cutting.opening_length(seam);
        let [back, mut front] = self.panels().map(|p| self.create_piece(p, &cut_allowances, cutting, opening));
        let skirt = [&back, &front].map(|piece| (&piece.panel, &*piece.notches));
        let mut waist_pieces = match (facings, cutting.finish) {
            (Some(facings), _) => facings.iter().map(|f| waist_pieces::facing_piece(f, &cut_allowances)).collect(),
            (None, Some(finish)) => vec![waist_pieces::waistband(skirt, &finish.lengths, cut_allowances.waist)],
            (None, None) => Vec::new(),
        };
        if cutting.unfolded {
            unfold::unfold(&mut front.cut, &mut front.notches, &mut front.straight_folds);
            for facing in waist_pieces.iter_mut().filter(|piece| piece.on_fold()) {
                unfold::unfold(&mut facing.cut, &mut facing.notches, &mut facing.straight_folds);
                facing.seam = unfold::whole_edges(&facing.seam);
            }
        }
        let (draft, cutting) = (self.clone(), cutting.clone());
        Ok(Pattern { draft, cutting, opening, cut_allowances, back, front, waist_pieces, cloth: None })
    }

    /// Creates the pattern piece of a panel: cut line, notches, vent and grain line.
    fn create_piece(&self, panel: &Panel, allowances: &Allowances, cutting: &Cutting, opening: f64) -> Piece {
        let vent = cutting.vent.filter(|_| panel.half == Half::Back);
        let vent = vent.map(|vent| VentLines::new(panel, vent, allowances.centre_back));
        let outline = outline::panel_cut_line(panel, allowances, cutting.press, vent);
        let mut notches = notch::panel_notches(panel, self.body().hip_depth, allowances, opening);
        notches.extend(vent.map(|vent| vent.top_notch(panel)));
        Piece {
            panel: panel.clone(),
            cut: outline.edges,
            notches,
            vent,
            grain: grain_line(panel, self.body()),
            straight_folds: outline.straight_folds,
        }
    }
}

/// Returns the upper and the lower end of the grain line of a panel, which runs from below the darts to above the hem.
/// On a short skirt the line reaches up between the darts to keep its minimum length.
pub(crate) fn grain_line(panel: &Panel, body: &Body) -> [Point; 2] {
    let waist = panel.waist_lowering.max(0.0);
    let height = body.length - waist;
    let clearance = MAX_GRAIN_LINE_END_CLEARANCE_CM.min(height * 0.1);
    let lower = body.length - clearance;
    let tips = panel.darts.iter().map(|dart| dart.tip.y);
    let upper = (tips.fold(waist, f64::max) + clearance).min(lower - height * MIN_GRAIN_LINE_SHARE_OF_LENGTH);
    let inset = panel.centre_waist_point().x;
    [upper, lower].map(|y| Point::new(inset + (panel.width - inset) * GRAIN_LINE_X_SHARE_OF_PANEL_WIDTH, y))
}

impl Pattern {
    /// Returns the draft of the pattern.
    pub fn draft(&self) -> &Draft {
        &self.draft
    }

    /// Returns the cutting instructions as requested. Their allowances may be larger than those of the cut line, which
    /// is reduced where a seam bends sharply.
    pub fn cutting(&self) -> &Cutting {
        &self.cutting
    }

    /// Returns the same pattern with its pieces on the fold whole, or with one half of each.
    ///
    /// # Errors
    /// None, as the cutting instructions have been accepted.
    pub(crate) fn with_unfolded(&self, unfolded: bool) -> Result<Self, Problems> {
        self.draft.pattern(&Cutting { unfolded, ..self.cutting.clone() })
    }

    /// Returns the length of the zip opening as cut, in centimetres, from the waist down the centre back seam.
    pub fn opening(&self) -> f64 {
        self.opening
    }

    /// Returns whether two patterns are cut alike: they are equal, or differ only in that one has the usual zip opening
    /// and the other a requested zip opening of the same length. Their cloth may differ.
    pub fn is_equal_as_cut(&self, other: &Self) -> bool {
        let cutting = Cutting { opening: self.cutting.opening, ..other.cutting.clone() };
        *self == Self { cutting, cloth: self.cloth, ..other.clone() }
    }

    /// Returns the text printed on the pieces: the requested name, or else waist and hip of the body as
    /// `wording` prints them.
    pub fn label<'t>(&self, wording: impl Into<Wording<'t>>) -> String {
        wording.into().name_or_girths(&self.cutting.name, self.draft.body())
    }

    /// Returns the back piece and the front piece.
    pub fn pieces(&self) -> [&Piece; 2] {
        [&self.back, &self.front]
    }

    /// Returns the girth of the garment at the lower end of the zip opening, in centimetres; if it is less than the hip
    /// of the body, the skirt cannot be put on.
    pub fn girth_at_opening_end(&self) -> f64 {
        let level = centre_point_and_upward_direction(&self.back.panel, self.opening).0.y;
        // The level exceeds the length of the garment by rounding only.
        let girth = self.draft.girth_at(level.clamp(0.0, self.draft.body().length));
        girth.unwrap_or(f64::NAN)
    }
}

impl Piece {
    /// Returns how many copies of the piece to cut: 2 of the back, 1 of the front.
    pub fn copies(&self) -> u32 {
        self.name().copies()
    }

    /// Returns whether the piece is cut with its centre line on the fold of the cloth: true for a front that is not
    /// whole.
    pub fn on_fold(&self) -> bool {
        self.name().is_half_on_fold(&self.cut)
    }

    /// Returns the closed seam line of the piece, including the legs of the darts.
    pub fn seam_line(&self) -> Vec<Edge> {
        let is_half = self.on_fold() || !self.name().on_fold();
        if is_half { self.panel.edges.clone() } else { unfold::whole_edges(&self.panel.edges) }
    }

    /// Returns the name of the piece: back or front.
    pub fn name(&self) -> PieceName {
        if self.panel.half == Half::Back { PieceName::Back } else { PieceName::Front }
    }

    /// Returns the area inside the cut line, in square centimetres; for a front on the fold, of one half.
    pub fn area(&self) -> f64 {
        self.cut.iter().map(|edge| edge.path.signed_area()).sum()
    }

    /// Returns two corners of the bounding box of the cut line's control points: minimum `x` and `y`, maximum `x` and
    /// `y`.
    pub fn bounds(&self) -> [Point; 2] {
        // The control points of a cut line are close to the curve, so the box is tight.
        bounding_box(self.cut.iter().flat_map(|edge| edge.path.points()))
    }
}
