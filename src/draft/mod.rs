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
mod broyden;
mod centre;
mod closure;
mod figure;
mod front_waist;
mod girth;
mod high_hip;
mod kind;
#[cfg(feature = "sensitivity")]
mod lift;
mod limits;
mod panel;
mod plan;
mod points;
mod side;
mod solution;
mod summary;
mod tilt;

use crate::body::{Body, Ease, Figure, Inputs, Rules};
use crate::error::Problems;
use crate::field::{Unit, choices};
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::{Number, Scalar, inlined};
pub(crate) use apportion::tangent_of_degrees;
pub(crate) use kind::DraftKind;
use panel::vertical_dart_tip;
use plan::DraftPlan;
pub use points::PointName;
use side::SideSeamShape;
use solution::Solution;
pub(crate) use solution::Unknown;
pub use summary::{DartSummary, PanelSummary, Summary};

/// Drafts the front and back of a straight skirt.
///
/// # Errors
/// All [`Problems`]: a number out of range (see [`Body::FIELDS`] and [`Ease::FIELDS`]), or a hem less than 1 cm below
/// the hip line. Valid inputs are refused if their draft cannot be sewn:
/// - less than 0.5 cm of cloth between neighbours on the waist (centre line, dart legs, side seam);
/// - a dart that takes in less than 0.1 cm, or that reaches the hip line;
/// - a side seam that leans more than 75° from the vertical;
/// - a waist that reaches the hip line at the centre, or that no suppression closes.
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
/// let message = "15 cm is too short: the hem must lie below the hip line; the minimum is 19 cm";
/// assert_eq!(problems.to_string(), format!("body.length: {message}"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft(body: &Body, ease: &Ease, rules: &Rules) -> Result<Draft, Problems> {
    draft_figure(body, &Figure::default(), ease, rules)
}

/// Drafts the front and back of a straight skirt for a body whose figure is measured, too.
///
/// A figure without measurements changes nothing: the draft is that of [`draft`].
///
/// # Errors
/// As for [`draft`], and for a figure with a number out of range (see [`Figure::FIELDS`]), with only one of its three
/// lengths to the floor, or with lengths that tilt the waist by more than 15°.
///
/// ```
/// use kirtle::{Body, Ease, Figure, Rules};
///
/// let body = Body { waist: 72.0, hip: 102.0, hip_depth: 20.0, length: 68.0 };
/// let (ease, rules) = (Ease { waist: 1.5, hip: 5.0 }, Rules::default());
/// let lengths = |front| Figure { front_length: Some(front), side_length: Some(101.0), ..Figure::default() };
/// let draft = kirtle::draft_figure(&body, &lengths(100.5), &ease, &rules)?;
/// // The centre front lies lower by the difference of the lengths; the centre back lies where square corners put it.
/// assert!((draft.front.waist_lowering - 0.5).abs() < 1e-12);
///
/// let problems = kirtle::draft_figure(&body, &lengths(90.0), &ease, &rules).unwrap_err();
/// assert!(problems.to_string().starts_with("body.figure.front_length: the waist would tilt by 2"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft_figure(body: &Body, figure: &Figure, ease: &Ease, rules: &Rules) -> Result<Draft, Problems> {
    check_and_draft_inputs(Inputs { body: *body, figure: *figure, ease: *ease, rules: rules.clone() })
}

/// Drafts back and front from inputs in centimetres, not yet checked.
///
/// # Errors
/// As for [`draft_figure`].
pub(crate) fn check_and_draft_inputs(inputs: Inputs) -> Result<Draft, Problems> {
    Ok(draft_with_summary(inputs.check_and_convert_to_cm(Unit::Cm)?)?.0)
}

/// Drafts back and front from inputs already found in range; returns the draft and its summary.
///
/// # Errors
/// The [`Problems`] of a draft that cannot be sewn.
pub(crate) fn draft_with_summary(inputs: Inputs) -> Result<(Draft, Summary), Problems> {
    let mut plan = DraftPlan::from_checked_inputs(&inputs);
    let (solution, residual) = plan.solve_all_unknowns_with_residual();
    let mut summary = Summary::default();
    plan.measure_into_summary(solution.suppression, inputs.body.length, &mut summary);
    Problems::ok_if_empty(limits::problems_of_broken_limits(&inputs, &summary, residual))?;
    Ok((plan.build_draft(inputs, solution), summary))
}

/// Drafts the bodies of all lanes. Fills `summary`, which must be [`Summary::default`], in place, and returns a mask of
/// the lanes whose draft is exact and can be sewn. The bodies of all other lanes must be drafted singly.
///
/// All drafts are of one kind. `max_lean_tangent` is the tangent of the steepest lean of the side seam. In the lanes of
/// the mask the summary equals that of [`draft_figure`] to the last bit. NaN in the figure stands for a missing
/// measurement.
#[inline(always)]
pub(crate) fn draft_lanes_into_summary<T: Number>(
    inputs: &Inputs<T>,
    kind: DraftKind,
    max_lean_tangent: T,
    summary: &mut Summary<T>,
) -> T::Mask {
    let mut plan = T::stage(inlined!(|| DraftPlan::new(inputs, kind, max_lean_tangent)));
    let (Solution { suppression, .. }, residual, is_solved) = T::stage(inlined!(|| plan.solve_in_lanes()));
    let is_exact = T::stage(inlined!(|| plan.measure_into_summary(suppression, inputs.body.length, summary)));
    is_solved & is_exact & limits::keeps_all_limits(inputs, summary, residual)
}

/// Finished draft of half the garment: a back and a front panel, in centimetres.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// assert!(draft.proof().holds);
/// assert!((draft.sewn_waist() - 75.5).abs() < 1e-9);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Draft<T: Scalar = f64> {
    /// Body, figure, ease and rules of the draft.
    pub(crate) inputs: Inputs<T>,
    /// Suppression that closes the waist, and the numbers solved for a measured front waist and high hip.
    pub(crate) solution: Solution<T>,
    /// Fullness of the side seam, by the rules or as solved for a measured high hip; a ratio, see the rule
    /// `side_fullness`.
    pub(crate) side_fullness: T,
    /// Factor by which a measured high hip shortens all darts; 1 if it does not.
    pub(crate) dart_length_factor: T,
    /// Nominal suppression: half hip minus half waist, each with its ease, before the waist is closed; in centimetres.
    pub nominal: Suppression<T>,
    /// Suppression as drafted, in centimetres: usually a little more than nominal, as waist curves exceed their chords.
    pub suppression: Suppression<T>,
    /// Suppression of half the garment, in centimetres, that the side seams take beyond the limit of the rule
    /// `steepest_side`, as no dart has room for it.
    pub left_in_side: T,
    /// The back panel.
    pub back: Panel<T>,
    /// The front panel.
    pub front: Panel<T>,
}

/// Suppression of half the garment, in centimetres: the width that side seams and darts take in from hip to waist.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let suppression = draft.suppression;
/// assert!((suppression.side + suppression.back + suppression.front - suppression.total).abs() < 1e-9);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Suppression<T = f64> {
    /// Sum, in centimetres, of `side`, `back`, `front`, and the amount by which a slanted centre back seam lies further
    /// in at the waist.
    pub total: T,
    /// Suppression by the side edges of back and front together, in centimetres; each edge takes half.
    pub side: T,
    /// Suppression by the darts of the back panel, in centimetres.
    pub back: T,
    /// Suppression by the darts of the front panel, in centimetres.
    pub front: T,
}

choices! {
    /// Half of the skirt: the back or the front.
    Half {
        /// The back panel.
        Back = "back";
        /// The front panel.
        Front = "front";
    }
}

/// Panel of the draft: half of the back or half of the front, in centimetres.
///
/// Coordinates are `x` from the centre line towards the side seam, and `y` down from the waist at the side seam.
///
/// ```
/// use kirtle::{Body, Ease, Role, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let panel = &draft.back;
/// assert_eq!((panel.width, panel.darts.len()), (25.5, 2));
/// assert!((panel.edge_length(Role::Side) - draft.front.edge_length(Role::Side)).abs() < 1e-9);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Panel<T: Scalar = f64> {
    /// Whether the panel is the back or the front.
    pub half: Half,
    /// Width of the panel at the hip line and below, in centimetres.
    pub width: T,
    /// Width of the panel at the waist in centimetres, from the vertical centre line straight across to the side seam,
    /// with the darts open.
    pub waist_width: T,
    /// Depth of the centre of the waist below the waist at the side seam, in centimetres; negative if the centre lies
    /// higher.
    pub waist_lowering: T,
    /// Darts of the panel, from the centre to the side.
    pub darts: Vec<Dart<T>>,
    /// Closed outline: waist and darts from the centre to the side, then side seam, hem and centre line. A centre that
    /// slants above the hip line has two lines.
    pub edges: Vec<Edge<T>>,
}

/// Dart on the straight grain, in centimetres; its equal legs meet the waist at one height.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let dart = &draft.back.darts[0];
/// assert!(((dart.outer - dart.inner).norm() - dart.intake).abs() < 1e-9);
/// assert!(((dart.tip - dart.inner).norm() - (dart.tip - dart.outer).norm()).abs() < 1e-9); // Both legs are equal.
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dart<T: Scalar = f64> {
    /// Distance from the panel's centre line to the dart's centre, in centimetres.
    pub centre: T,
    /// Width of the dart's mouth, in centimetres.
    pub intake: T,
    /// Length of the dart from mouth to tip, along the dart's centre, in centimetres.
    pub length: T,
    /// Angle between a dart leg and the dart's centre, in radians.
    pub half_angle_rad: T,
    /// Length of each dart leg, in centimetres.
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
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let edges = &draft.back.edges;
/// for (edge, next) in edges.iter().zip(edges.iter().cycle().skip(1)) {
///     assert_eq!(edge.path.end(), next.path.start());
/// }
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge<T: Number = f64> {
    /// Role of the edge in the outline.
    pub role: Role,
    /// Line or curve of the edge, in the direction of the outline.
    pub path: Path<T>,
}

impl<T: Scalar> Draft<T> {
    /// Returns the body of the draft.
    pub fn body(&self) -> &Body<T> {
        &self.inputs.body
    }

    /// Returns the figure of the body; each measurement that was not taken is `None`.
    pub fn figure(&self) -> &Figure<T> {
        &self.inputs.figure
    }

    /// Returns the ease of the draft.
    pub fn ease(&self) -> &Ease<T> {
        &self.inputs.ease
    }

    /// Returns the rules of the draft.
    pub fn rules(&self) -> &Rules<T> {
        &self.inputs.rules
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

    /// Returns the tangent of the side seam's lean from the vertical at the waist; positive if inwards.
    pub fn side_lean_tangent(&self) -> T {
        self.side_seam_shape().lean_tangent_at_waist(self.suppression.side)
    }

    /// Returns the side seam from waist to hip line as a cubic, with this draft's fullness but for any hip depth. Its
    /// `x` is `width − loss` at the waist and `width` at the hip line; all lengths are in centimetres.
    pub(crate) fn side_seam_for_hip_depth(&self, width: T, loss: T, hip_depth: T) -> Cubic<T> {
        SideSeamShape { depth: hip_depth, ..self.side_seam_shape() }.side_seam_cubic(width, loss)
    }

    /// Returns hip depth and fullness of the side seam.
    fn side_seam_shape(&self) -> SideSeamShape<T> {
        SideSeamShape { depth: self.inputs.body.hip_depth, fullness: self.side_fullness }
    }
}

impl<T: Scalar> Dart<T> {
    /// Creates a dart from its length and the ends of its mouth, `inner` and `outer`, which must lie at one height.
    pub(crate) fn from_mouth(inner: Point<T>, outer: Point<T>, length: T) -> Self {
        let tip = vertical_dart_tip(inner, outer, length);
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
    /// Returns the numbers of darts of the back and of the front panel.
    pub(crate) fn dart_counts(&self) -> [usize; 2] {
        self.panels().map(|panel| panel.darts.len())
    }

    /// Returns the inputs of the draft, with the draft's numbers of darts as chosen numbers in the rules.
    pub(crate) fn inputs_with_drafted_dart_counts(&self) -> Inputs {
        let rules = self.inputs.rules.clone().with_unchosen_dart_counts_set(self.dart_counts().map(Some));
        Inputs { rules, ..self.inputs }
    }
}
