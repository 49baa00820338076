//! Drafts front and back of the straight skirt from a body, its ease and the drafter's rules.
//!
//! A [`Draft`] always keeps three rules that a cutter checks by hand. Every seam meets the waist square. The two legs
//! of a dart are equal, and the side seams of back and front are one curve. The sewn waist, measured along its curve
//! with the darts closed, is the waist of the body plus its ease.
//!
//! ```
//! use kirtle::{Body, Ease, Rules};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! assert_eq!(draft.panels().map(|panel| panel.darts.len()), [2, 2]);
//! assert!((draft.sewn_waist() - 75.5).abs() < 1e-9);
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod apportion;
mod closure;
mod girth;
mod kind;
#[cfg(feature = "sensitivity")]
mod lift;
mod limits;
mod panel;
mod points;
mod side;
mod summary;

use crate::body::{Apportionment, Body, Ease, Inputs, Rules};
use crate::error::Problems;
use crate::field::{Unit, choices};
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::{Mask, Number, Scalar};
pub(crate) use apportion::tangent_of_degrees;
use apportion::{PlannedPanelDarts, SplitSuppressionAmounts, SuppressionSplitRule, plan_darts_and_split};
pub(crate) use kind::DraftKind;
pub(crate) use panel::visit_panel_outline_edges;
use panel::{DartCorners, PlannedPanel, SideSeamAtWaist, upright_dart_corners};
pub use points::PointName;
pub(crate) use side::SideShape;
pub use summary::{DartSummary, PanelSummary, Summary};

/// Drafts the front and back of a straight skirt.
///
/// # Errors
/// All [`Problems`] at once: a number out of range (see [`Body::FIELDS`] and [`Ease::FIELDS`]) or a hem above the hip
/// line. Valid inputs are refused if their draft cannot be sewn: too little cloth between two darts, a dart that takes in
/// next to nothing or reaches the hip line, a side seam that is too flat, or a waist that no suppression closes.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
/// assert_eq!(draft.nominal.total, 13.0);
/// assert_eq!(draft.back.width, 23.0);
/// assert!((draft.girth_at(18.0)? - 96.0).abs() < 1e-9);
///
/// let short = Body { length: 15.0, ..body };
/// let problems = kirtle::draft(&short, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default()).unwrap_err();
/// let message = "15 cm is too short: the hem must be at least 1 cm below the hip line; the minimum is 19 cm";
/// assert_eq!(problems.to_string(), format!("body.length: {message}"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft(body: &Body, ease: &Ease, rules: &Rules) -> Result<Draft, Problems> {
    draft_checked_inputs(Inputs::check_in_unit(body, ease, rules, Unit::Cm)?)
}

/// Drafts back and front from inputs already found in range.
///
/// # Errors
/// The [`Problems`] of a draft that cannot be sewn.
pub(crate) fn draft_checked_inputs(inputs: Inputs) -> Result<Draft, Problems> {
    Ok(draft_with_summary(inputs)?.0)
}

/// Drafts back and front from inputs already found in range; returns the draft and its summary.
///
/// # Errors
/// The [`Problems`] of a draft that cannot be sewn.
pub(crate) fn draft_with_summary(inputs: Inputs) -> Result<(Draft, Summary), Problems> {
    let plan = DraftPlan::from_checked_inputs(&inputs);
    let (suppression, residual) = closure::solve_closure_by_secant(&plan);
    let mut summary = Summary::zeros_without_darts();
    plan.measure_into_summary(suppression, inputs.body.length, &mut summary);
    Problems::ok_if_empty(limits::problems_of_broken_limits(&inputs, &summary, residual))?;
    Ok((plan.build_draft_at_suppression(inputs, suppression), summary))
}

/// Drafts the bodies of all lanes, then calls `visit` with their summary and a mask of the drafts that can be sewn.
///
/// All drafts are of one kind. `max_tangent` is the tangent of the steepest lean of the side seam. Every lane equals
/// the [`draft`] of its body to the last bit.
#[inline(always)]
pub(crate) fn visit_summary<T: Number>(
    inputs: &Inputs<T>,
    kind: DraftKind,
    max_tangent: T,
    visit: impl FnOnce(&Summary<T>, T::Mask),
) {
    let plan = DraftPlan::new(inputs, kind, max_tangent);
    let (suppression, residual) = closure::solve_closure_by_secant(&plan);
    let mut summary = Summary::zeros_without_darts();
    let is_exact = plan.measure_into_summary(suppression, inputs.body.length, &mut summary);
    visit(&summary, is_exact & limits::keeps_limits(&summary, residual, inputs.body.hip_depth));
}

/// Finished draft of half the skirt: a back and a front panel, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft<T: Scalar = f64> {
    /// Body, ease and rules of the draft.
    pub(crate) inputs: Inputs<T>,
    /// Nominal suppression: half hip minus half waist, each with its ease, before the waist is closed.
    pub nominal: Suppression<T>,
    /// Suppression as drafted: usually a little more than nominal, as the waist curve is longer than its chords.
    pub suppression: Suppression<T>,
    /// Part of the suppression that the side seam of half the garment takes above its limit, for which no dart has room.
    pub left_in_side: T,
    /// The back panel.
    pub back: Panel<T>,
    /// The front panel.
    pub front: Panel<T>,
}

/// Suppression of half the garment, in centimetres: the width that side seams and darts take in from hip to waist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suppression<T = f64> {
    /// Sum of the suppression by side seams and darts.
    pub total: T,
    /// Suppression by the side edges of back and front together; each edge takes half.
    pub side: T,
    /// Suppression by the darts of the back panel.
    pub back: T,
    /// Suppression by the darts of the front panel.
    pub front: T,
}

/// Half of the skirt: the back or the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Half {
    /// The back panel.
    Back,
    /// The front panel.
    Front,
}

impl Half {
    /// Back and front, in the order of [`Draft::panels`].
    pub(crate) const BACK_AND_FRONT: [Half; 2] = [Half::Back, Half::Front];

    /// Returns the name of the panel in JSON: `back` or `front`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Half::Back => "back",
            Half::Front => "front",
        }
    }
}

/// Panel of the draft: half of the back or half of the front, in centimetres.
///
/// Coordinates are `x` from the centre line towards the side seam, and `y` down from the waist at the side seam.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel<T: Scalar = f64> {
    /// Whether the panel is the back or the front.
    pub half: Half,
    /// Width of the panel at the hip line and below.
    pub width: T,
    /// Width of the panel at the waist, from the centre line straight across to the side seam, with the darts open.
    pub waist_width: T,
    /// Depth of the centre of the waist below the waist at the side seam.
    pub waist_lowering: T,
    /// Darts of the panel, from the centre to the side.
    pub darts: Vec<Dart<T>>,
    /// Closed outline: waist and darts from the centre to the side, then side seam, hem and centre line.
    pub edges: Vec<Edge<T>>,
}

/// Dart on the straight grain, in centimetres; its equal legs meet the waist at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dart<T: Scalar = f64> {
    /// Distance from the panel's centre line to the dart's centre.
    pub centre: T,
    /// Width of the dart's mouth.
    pub intake: T,
    /// Length of the dart from mouth to tip, along the dart's centre.
    pub length: T,
    /// Angle between a dart leg and the dart's centre, in radians.
    pub half_angle_rad: T,
    /// Length of each dart leg.
    pub leg: T,
    /// Point where the inner leg, next to the centre line, meets the waist.
    pub inner: Point<T>,
    /// Point where the outer leg, next to the side seam, meets the waist.
    pub outer: Point<T>,
    /// Tip of the dart.
    pub tip: Point<T>,
}

choices! {
    /// Role of an edge in the outline of a panel.
    Role {
        /// Stretch of the waist curve.
        Waist = "waist";
        /// Leg of a dart.
        Dart = "dart";
        /// Side seam: a curve above the hip line, a straight line below.
        Side = "side";
        /// Hem line.
        Hem = "hem";
        /// Centre line: a fold in front, a seam at the back.
        Centre = "centre";
    }
}

/// Edge of a panel's outline; each edge ends at the start of the next edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge<T: Number = f64> {
    /// Role of the edge in the outline.
    pub role: Role,
    /// Line or curve of the edge, in the direction of the outline.
    pub path: Path<T>,
}

/// Plan of a draft of half the garment: everything that is decided before the waist is closed.
#[derive(Clone, Debug)]
struct DraftPlan<T> {
    side: SideShape<T>,
    /// Wanted length of the sewn waist of half the garment, in centimetres.
    target: T,
    /// Nominal suppression of half the garment, in centimetres.
    nominal: T,
    split: SuppressionSplitRule<T>,
    panels: [PlannedPanel<T>; 2],
}

/// Returns half of the hip plus its ease, and half of the waist plus its ease, in centimetres.
#[inline(always)]
fn half_hip_and_half_waist_with_ease<T: Number>(body: &Body<T>, ease: &Ease<T>) -> [T; 2] {
    let half = T::constant(0.5);
    [(body.hip + ease.hip) * half, (body.waist + ease.waist) * half]
}

impl<T: Number> DraftPlan<T> {
    /// Creates the complete plan of a draft of a kind; `max_tangent` is the tangent of the steepest lean of the side.
    #[inline(always)]
    fn new(inputs: &Inputs<T>, kind: DraftKind, max_tangent: T) -> Self {
        let Inputs { body, ease, rules } = inputs;
        let panel_rules = &rules.panel_rules;
        let [hip, target] = half_hip_and_half_waist_with_ease(body, ease);
        let (quarter, balance, nominal) = (hip * T::constant(0.5), panel_rules.balance, hip - target);
        let side =
            SideShape { depth: body.hip_depth, fullness: panel_rules.side_fullness, natural: kind.has_natural_side };
        let panel = |half, width, extra_lowering, symmetric| {
            let darts = PlannedPanelDarts::new();
            PlannedPanel { half, width, extra_lowering, symmetric, darts }
        };
        let [back, front] = kind.has_symmetric_waist;
        let panels = [
            panel(Half::Back, quarter - balance, panel_rules.centre_back_lower, back),
            panel(Half::Front, quarter + balance, panel_rules.centre_front_lower, front),
        ];
        let mut plan = Self { side, target, nominal, split: SuppressionSplitRule::all_to_side_seams(), panels };
        let [back, front] = &mut plan.panels;
        let darts = [&mut back.darts, &mut front.darts];
        plan.split = plan_darts_and_split(&plan.side, &rules.apportionment, kind.counts, max_tangent, darts);
        plan
    }

    /// Returns the suppression `total` with its parts by side seams, back darts and front darts, taken from the split `amounts`.
    #[inline(always)]
    fn suppression_from_amounts(&self, total: T, amounts: &SplitSuppressionAmounts<T>) -> Suppression<T> {
        let mut dart_sums = [T::constant(0.0); 2];
        for ((sum, panel), intake) in dart_sums.iter_mut().zip(&self.panels).zip(amounts.panels) {
            for dart in &panel.darts {
                *sum += dart.intake_by_total(intake);
            }
        }
        let [back, front] = dart_sums;
        Suppression { total, side: amounts.side, back, front }
    }
}

impl<T: Copy> DraftPlan<T> {
    /// Converts every number of the plan to another scalar type by `f`.
    fn map_numbers<U>(&self, f: &mut impl FnMut(T) -> U) -> DraftPlan<U> {
        DraftPlan {
            side: self.side.map_numbers(f),
            target: f(self.target),
            nominal: f(self.nominal),
            split: self.split.map_numbers(f),
            panels: self.panels.each_ref().map(|panel| panel.map_numbers(f)),
        }
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Creates the plan of a draft from inputs already found in range.
    fn from_checked_inputs(inputs: &Inputs<T>) -> Self {
        let max_tangent = kind::steepest_side_rule_tangent(&inputs.rules);
        let kind = DraftKind::from_flags(DraftKind::flags(inputs, max_tangent).map(Mask::all));
        Self::new(inputs, kind, max_tangent)
    }

    /// Builds the finished draft from the plan; `total` is the suppression that closes the waist.
    fn build_draft_at_suppression(&self, inputs: Inputs<T>, total: T) -> Draft<T> {
        let amounts = self.split.split_suppression(total);
        let seam = SideSeamAtWaist::from_back_and_front_loss(amounts.side, &self.side);
        let panel = |k: usize| self.panels[k].build_panel(&seam, amounts.panels[k], &self.side, inputs.body.length);
        Draft {
            back: panel(0),
            front: panel(1),
            nominal: self.suppression_from_amounts(self.nominal, &self.split.split_suppression(self.nominal)),
            suppression: self.suppression_from_amounts(total, &amounts),
            left_in_side: amounts.left_in_side,
            inputs,
        }
    }
}

impl<T: Scalar> Draft<T> {
    /// Returns the body of the draft.
    pub fn body(&self) -> &Body<T> {
        &self.inputs.body
    }

    /// Returns the ease of the draft.
    pub fn ease(&self) -> &Ease<T> {
        &self.inputs.ease
    }

    /// Returns the rules of the draft.
    pub fn rules(&self) -> &Rules<T> {
        &self.inputs.rules
    }

    /// Returns the rule `steepest_side`, the largest lean of the side seam in degrees; `None` if the rules give darts.
    pub(crate) fn steepest_side_rule_in_degrees(&self) -> Option<T> {
        match &self.inputs.rules.apportionment {
            Apportionment::Shares(shares) => Some(shares.steepest_side),
            Apportionment::Darts(_) => None,
        }
    }

    /// Returns the back panel, then the front panel.
    pub fn panels(&self) -> [&Panel<T>; 2] {
        [&self.back, &self.front]
    }

    /// Measures the sewn waist of the whole garment, along its curve with the darts closed, in centimetres.
    pub fn sewn_waist(&self) -> T {
        let half = self.panels().iter().fold(T::constant(0.0), |sum, panel| sum + panel.edge_length(Role::Waist));
        half * T::constant(2.0)
    }

    /// Returns the tangent of the angle between side seam and upright at the waist; positive if the seam leans inwards.
    pub fn side_lean_tangent(&self) -> T {
        self.side_seam_shape().lean_tangent_at_waist(self.suppression.side)
    }

    /// Returns the side seam from waist to hip line as a cubic; `loss` is how far its waist end lies inside `width`.
    pub(crate) fn side_seam_above_hip(&self, width: T, loss: T, hip_depth: T) -> Cubic<T> {
        SideShape { depth: hip_depth, ..self.side_seam_shape() }.side_seam_cubic(width, loss)
    }

    /// Returns hip depth and fullness of the side seam, which determine its shape.
    fn side_seam_shape(&self) -> SideShape<T> {
        let Inputs { body, rules, .. } = &self.inputs;
        SideShape { depth: body.hip_depth, fullness: rules.panel_rules.side_fullness, natural: false }
    }
}

impl<T: Scalar> Dart<T> {
    /// Creates a dart from its length and the ends of its mouth, `inner` and `outer`, which must lie at one height.
    pub(crate) fn from_mouth(inner: Point<T>, outer: Point<T>, length: T) -> Self {
        let [_, tip, _] = upright_dart_corners(inner, outer, length);
        let half = (outer.x - inner.x) * T::constant(0.5);
        Self {
            centre: tip.x,
            intake: outer.x - inner.x,
            length,
            half_angle_rad: half.quotient(length).atan(),
            leg: norm(Vector::new(half, length)),
            inner,
            outer,
            tip,
        }
    }

    /// Returns the dart's three corners: inner end of the mouth, tip, outer end of the mouth.
    pub(crate) fn inner_tip_and_outer_corners(&self) -> DartCorners<T> {
        [self.inner, self.tip, self.outer]
    }
}

impl<T: Scalar> Panel<T> {
    /// Iterates over the paths of the edges with the role `role`, in the order of the outline.
    pub fn paths(&self, role: Role) -> impl Iterator<Item = &Path<T>> {
        self.edges.iter().filter(move |edge| edge.role == role).map(|edge| &edge.path)
    }

    /// Measures the total length of the edges with the role `role`, in centimetres.
    pub fn edge_length(&self, role: Role) -> T {
        self.paths(role).fold(T::constant(0.0), |sum, path| sum + path.length())
    }

    /// Measures the area of cloth inside the outline, in square centimetres.
    pub fn area(&self) -> T {
        self.edges.iter().fold(T::constant(0.0), |sum, edge| sum + edge.path.signed_area())
    }
}

impl Draft {
    /// Returns the numbers of darts of back and front.
    pub(crate) fn dart_counts(&self) -> [usize; 2] {
        self.panels().map(|panel| panel.darts.len())
    }

    /// Returns the inputs of the draft, with its present numbers of darts as chosen numbers in the rules.
    pub(crate) fn inputs_with_dart_counts_of_draft(&self) -> Inputs {
        let rules = self.inputs.rules.clone().with_chosen_dart_counts(self.dart_counts().map(Some));
        Inputs { rules, ..self.inputs }
    }
}
