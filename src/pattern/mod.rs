//! The pattern: the panels of a draft made ready to cut, with allowances, dart roofs and notches.
//!
//! Here genericity ends: what is cut is plain numbers.

mod cutting;
mod lay;
mod notch;
mod outline;

pub use cutting::{Allowances, Cutting, Opening, Preset, Press};
pub(crate) use cutting::{OPENING, is_blank, is_printed, name_problem, not_on_a_line, usual_opening};
pub(crate) use lay::WIDTH;
pub use lay::{Cloth, Lay, Placed};
pub use notch::{Notch, NotchPlace};

use crate::body::Body;
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::geometry::Point;

/// The grain line stands at this share of the panel's width, and keeps so far, in centimetres, off darts and hem.
const GRAIN_AT: f64 = 0.25;
const GRAIN_OFF: f64 = 2.0;

/// The least share of the skirt's length that it takes.
const GRAIN_LEAST: f64 = 0.3;

/// The finished pieces of a draft, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    draft: Draft,
    cutting: Cutting,
    opening: f64,
    /// The allowances as cut: those wished for, or as much of them as the bends of the seam lines leave room for.
    pub granted: Allowances,
    /// The back, cut twice.
    pub back: Piece,
    /// The front, cut once on the fold.
    pub front: Piece,
}

/// One piece, in its panel's frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The panel, whose edges are the seam line.
    pub panel: Panel,
    /// The closed cut line in the direction of the seam line. The roof over a dart has the role of the dart, what is turned
    /// up that of the edge it continues.
    pub cut: Vec<Edge>,
    /// The notches.
    pub notches: Vec<Notch>,
    /// The grain line, from its upper to its lower end.
    pub grain: [Point; 2],
    /// How many edges of what is folded are cut straight, as the waist beside them is too short or too curved to mirror.
    pub straight_folds: usize,
}

impl Draft {
    /// Makes the pieces ready to cut.
    ///
    /// # Errors
    /// All the [`Problems`] at once: an allowance or the opening out of range, a name of more than [`Cutting::MAX_NAME_LETTERS`] letters
    /// or lines, an opening longer than the centre back seam.
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
        let mut problems = cutting.problems();
        let seam = self.back.length(Role::Centre);
        if problems.is_empty() {
            problems.extend(cutting.opening.given().and_then(|given| opening_too_long(given, seam)));
        }
        Problems::ok_if_empty(problems)?;
        let granted = outline::granted(self.panels(), cutting.allowances);
        let opening = cutting.opening.on(seam);
        let [back, front] = self.panels().map(|panel| self.piece(panel, &granted, cutting.press, opening));
        Ok(Pattern { draft: self.clone(), cutting: cutting.clone(), opening, granted, back, front })
    }

    fn piece(&self, panel: &Panel, granted: &Allowances, press: Press, opening: f64) -> Piece {
        let outline = outline::outline(panel, granted, press);
        Piece {
            panel: panel.clone(),
            cut: outline.edges,
            notches: notch::notches(panel, self.body().hip_depth, granted, opening),
            grain: grain(panel, self.body()),
            straight_folds: outline.straight,
        }
    }
}

/// What a length may be off by conversion from one unit to another, in centimetres.
const ROUNDING: f64 = 1e-9;

/// The problem of an opening that is longer than its seam.
fn opening_too_long(opening: f64, seam: f64) -> Option<Problem> {
    let problem = || Problem::new(Code::OpeningTooLong, "cutting.opening").with_value(opening).with_limit(seam);
    (opening > seam + ROUNDING).then(|| problem().with_unit("cm"))
}

/// The grain line of a panel, from its upper to its lower end: from below the darts to above the hem, so that even a short
/// skirt can be laid straight by it.
pub(crate) fn grain(panel: &Panel, body: &Body) -> [Point; 2] {
    let waist = panel.waist_lowering.max(0.0);
    let room = body.length - waist;
    let off = GRAIN_OFF.min(room * 0.1);
    let to = body.length - off;
    // Beside the darts, where below them there is little room.
    let darts = panel.darts.iter().map(|dart| dart.tip.y);
    let from = (darts.fold(waist, f64::max) + off).min(to - room * GRAIN_LEAST);
    [from, to].map(|y| Point::new(panel.width * GRAIN_AT, y))
}

impl Pattern {
    /// The draft that it was made from.
    #[must_use]
    pub fn draft(&self) -> &Draft {
        &self.draft
    }

    /// How it was to be cut.
    #[must_use]
    pub fn cutting(&self) -> &Cutting {
        &self.cutting
    }

    /// From the waist down the centre back to the end of the opening.
    #[must_use]
    pub fn opening(&self) -> f64 {
        self.opening
    }

    /// Whether another pattern is the same when it is cut, however its opening was told.
    #[must_use]
    pub fn is_cut_as(&self, other: &Self) -> bool {
        let told = Cutting { opening: self.cutting.opening, ..other.cutting.clone() };
        *self == Self { cutting: told, ..other.clone() }
    }

    /// What stands on the pieces: the name that was given, or waist and hip in `unit`.
    #[must_use]
    pub fn label(&self, unit: Unit) -> String {
        let (given, body) = (&self.cutting.name, self.draft.body());
        let measures = || {
            format!("waist {}, hip {} {}", unit.format_rounded(body.waist), unit.format_rounded(body.hip), unit.name())
        };
        if is_blank(given) { measures() } else { given.clone() }
    }

    /// Back and front.
    #[must_use]
    pub fn pieces(&self) -> [&Piece; 2] {
        [&self.back, &self.front]
    }

    /// The girth of the garment where its opening ends, which the hip must pass.
    #[must_use]
    pub fn girth_at_opening_end(&self) -> f64 {
        let level = self.back.panel.waist_lowering + self.opening;
        // The opening ends within the seam; beyond the hem by rounding only.
        let girth = self.draft.girth_at(level.clamp(0.0, self.draft.body().length));
        girth.unwrap_or(f64::NAN)
    }
}

impl Piece {
    /// How many are cut: the back twice, the front once on the fold.
    #[must_use]
    pub fn copies(&self) -> u32 {
        if self.on_fold() { 1 } else { 2 }
    }

    /// Whether its centre lies on the fold.
    #[must_use]
    pub fn on_fold(&self) -> bool {
        self.panel.half == Half::Front
    }

    /// The cloth inside the cut line, in square centimetres; of a piece on the fold, one half.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.cut.iter().map(|edge| edge.path.signed_area()).sum()
    }

    /// The least and the greatest x and y of the cut line.
    #[must_use]
    pub fn bounds(&self) -> [Point; 2] {
        // A curve lies within the box of its control points; those of a cut line hug it.
        let points = self.cut.iter().flat_map(|edge| edge.path.points());
        let empty = [Point::new(f64::INFINITY, f64::INFINITY), Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY)];
        points.fold(empty, |[min, max], p| {
            [Point::new(min.x.min(p.x), min.y.min(p.y)), Point::new(max.x.max(p.x), max.y.max(p.y))]
        })
    }
}
