//! Proof of a draft: measures the finished outlines by methods independent of the solver, and compares the results with
//! the requested measurements.
//!
//! The proof reads only the edges of the outlines: no suppression, shares or rules. It closes each dart by rotating the
//! cloth about the tip, lays the side seams on each other, and measures curves by inscribed polygons.
//!
//! ```
//! use kirtle::{Body, Ease, Rules};
//!
//! let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
//! let proof = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.proof();
//! assert!(proof.holds && proof.checks.iter().all(|check| check.holds));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod crossing;
mod lengths;
mod sewing;
mod tape;
mod waist_pieces;

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::draft::{Draft, Edge, Half, Role, Unknown};
use crate::field::Unit;
use crate::geometry::{Vector, cross, norm};
use sewing::SewnPanelWaist;

// Units of the checks, each with the maximum difference between measured and expected value for a check to hold.
const LENGTH: (&str, f64) = ("cm", 1e-10);
const ANGLE: (&str, f64) = ("deg", 1e-7);
const COUNT: (&str, f64) = ("count", 0.0);

/// One measurement of the finished outlines, compared with its expected value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Check {
    /// Name of the check, such as `sewn_waist`.
    pub name: Cow<'static, str>,
    /// Panel that was measured: `back`, `front`, or `both` together.
    pub panel: Cow<'static, str>,
    /// Measured value, in `unit`.
    pub measured: f64,
    /// Expected value, in `unit`; the minimum if `at_least` is true.
    pub expected: f64,
    /// Maximum difference between `measured` and `expected`, in `unit`.
    pub tolerance: f64,
    /// Unit of `measured`, `expected` and `tolerance`: `cm`, `in`, `deg`, or `count`.
    pub unit: Cow<'static, str>,
    /// Whether `expected` is a minimum, so that the check also holds for any greater value.
    pub at_least: bool,
    /// Whether the check holds: the measured value is as expected within the tolerance, or reaches the minimum.
    pub holds: bool,
}

/// All checks of the finished outlines of a draft.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Proof {
    /// Whether every check holds.
    pub holds: bool,
    /// Checks in order: whole garment, figure of the body, back panel, front panel.
    pub checks: Vec<Check>,
}

/// Expected girths and heights of the whole garment, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedLengths {
    /// Girth of the sewn waist, in centimetres.
    pub waist: f64,
    /// Girth of the garment at the hip line, in centimetres.
    pub hip: f64,
    /// Vertical distance from the waist at the side to the hip line, in centimetres.
    pub hip_depth: f64,
    /// Vertical distance from the waist at the side to the hem, in centimetres.
    pub length: f64,
}

/// Expected measurements, in centimetres, of a garment for a measured figure or with a slanted centre back seam. A
/// measurement that is `None` is not checked.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ExpectedFigure {
    /// Depth of the waist at the centre back below the waist at the side, in centimetres.
    pub back_lowering: Option<f64>,
    /// Depth of the waist at the centre front below the waist at the side, in centimetres.
    pub front_lowering: Option<f64>,
    /// Depth of the waist at the centre back below the waist at the centre front, in centimetres.
    pub back_below_front: Option<f64>,
    /// Distance, in centimetres, by which the centre back seam lies further in at the level of the waist at the side
    /// than at the hip line. The seam must be straight between these levels, and vertical below.
    pub centre_back_in: Option<f64>,
    /// Arc over the front of the garment at the hip line, from side seam to side seam, in centimetres.
    pub front_hip: Option<f64>,
    /// Arc over the front of the sewn waist, from side seam to side seam, in centimetres.
    pub front_waist: Option<f64>,
    /// Depth of the high hip below the waist at the side, and minimum girth of the garment there, in centimetres.
    pub high_hip: Option<[f64; 2]>,
}

impl ExpectedFigure {
    /// Creates the expected measurements from the figure and the rules of a draft. A front waist or high hip that the
    /// draft could not reach is `None` here, as a finding already reports it.
    fn from_draft(draft: &Draft) -> Self {
        let (body, ease) = (draft.body(), draft.ease());
        let (figure, rules) = (draft.figure(), &draft.rules().panel_rules);
        let below_side = |length: Option<f64>, by_rule: f64| Some(figure.side_length? - length? + by_rule);
        let by_rules = rules.centre_back_lower - rules.centre_front_lower;
        let below_front = figure.front_length.zip(figure.back_length).map(|(front, back)| front - back + by_rules);
        let front_waist = figure.front_waist.map(|arc| arc * (body.waist + ease.waist) / body.waist);
        let with_ease = |girth: f64| girth + ease.waist.min(ease.hip);
        let high_hip = figure.high_hip_depth.zip(figure.high_hip).map(|(depth, girth)| [depth, with_ease(girth)]);
        let is_unreached = matches!(draft.solution.room, [Unknown::Max, Unknown::ByRules | Unknown::Min]);
        Self {
            back_lowering: below_side(figure.back_length, rules.centre_back_lower),
            front_lowering: below_side(figure.front_length, rules.centre_front_lower),
            back_below_front: below_front.filter(|_| figure.side_length.is_none()),
            centre_back_in: Some(rules.centre_back_in).filter(|inset| *inset > 0.0),
            front_hip: figure.front_hip.map(|arc| arc * (body.hip + ease.hip) / body.hip),
            front_waist: front_waist.filter(|_| matches!(draft.solution.front_share, Unknown::Solved(_))),
            high_hip: high_hip.filter(|_| !is_unreached),
        }
    }

    /// Measures the outlines of back and front, and returns the checks against these expected measurements;
    /// `sewn_front` is the front waist with its darts closed.
    fn figure_checks(&self, panels: [&[Edge]; 2], sewn_front: &SewnPanelWaist, hip_depth: f64) -> Vec<Check> {
        let [back, front] = panels.map(|edges| sewing::drop_between(edges, Role::Side, Role::Centre));
        let [centre_back_in, bend] = sewing::centre_seam_inset_and_deviation(panels[0], hip_depth);
        let front_hip = 2.0 * lengths::outline_width_at_level(panels[1], hip_depth);
        let checks = [
            ("waist_height", "back", back, self.back_lowering),
            ("waist_height", "front", front, self.front_lowering),
            ("waist_heights", "both", back - front, self.back_below_front),
            ("centre_back_in", "back", centre_back_in, self.centre_back_in),
            ("centre_back_straight", "back", bend, self.centre_back_in.map(|_| 0.0)),
            ("front_hip", "front", front_hip, self.front_hip),
            ("front_waist", "front", 2.0 * lengths::total_length(&sewn_front.waist), self.front_waist),
        ];
        let check = |(name, panel, measured, expected)| Some(Check::new(LENGTH, [name, panel], measured, expected?));
        let high_hip = self.high_hip.map(|[depth, min]| {
            let half: f64 = panels.iter().map(|edges| tape::panel_width_along_tape(edges, depth, hip_depth)).sum();
            Check::new(LENGTH, ["high_hip", "both"], 2.0 * half, min).at_least_expected()
        });
        checks.into_iter().filter_map(check).chain(high_hip).collect()
    }
}

impl Draft {
    /// Measures the finished outlines independently of the solver, and returns the checks against the requested values.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let proof = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.proof();
    /// assert!(proof.holds);
    /// assert_eq!(proof.checks[0].name, "sewn_waist");
    /// assert!((proof.checks[0].measured - 71.5).abs() < 1e-10);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn proof(&self) -> Proof {
        let (body, ease) = (self.body(), self.ease());
        let expected = ExpectedLengths {
            waist: body.waist + ease.waist,
            hip: body.hip + ease.hip,
            hip_depth: body.hip_depth,
            length: body.length,
        };
        let figure = ExpectedFigure::from_draft(self);
        Proof::from_outlines_and_figure(&self.back.edges, &self.front.edges, &expected, &figure)
    }
}

impl Proof {
    /// Measures the outlines of back and front panel, each in the order and direction of
    /// [`Panel::edges`](crate::Panel::edges), and returns the checks against the expected lengths. Accepts any
    /// outlines; those that are not panels of a skirt fail checks.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Path, Proof, Rules};
    /// use kirtle::proof::ExpectedLengths;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let mut draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
    /// let expected = ExpectedLengths { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// if let Path::Line([mouth, _]) = &mut draft.front.edges[1].path {
    ///     mouth.y -= 0.1; // One leg of the front dart is now a millimetre longer.
    /// }
    /// let proof = Proof::from_outlines(&draft.back.edges, &draft.front.edges, &expected);
    /// assert!(proof.checks.iter().any(|check| check.name == "dart_legs_equal" && !check.holds));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_outlines(back: &[Edge], front: &[Edge], expected: &ExpectedLengths) -> Self {
        Self::from_outlines_and_figure(back, front, expected, &ExpectedFigure::default())
    }

    /// Measures outlines as [`from_outlines`](Self::from_outlines), and also checks the given measurements of `figure`.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Proof, Rules};
    /// use kirtle::proof::{ExpectedFigure, ExpectedLengths};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
    /// let expected = ExpectedLengths { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let swayed = ExpectedFigure { back_lowering: Some(2.0), ..ExpectedFigure::default() };
    /// let proof = Proof::from_outlines_and_figure(&draft.back.edges, &draft.front.edges, &expected, &swayed);
    /// assert!(proof.checks.iter().any(|check| check.name == "waist_height" && !check.holds));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_outlines_and_figure(
        back: &[Edge],
        front: &[Edge],
        expected: &ExpectedLengths,
        figure: &ExpectedFigure,
    ) -> Self {
        let sewn = [back, front].map(sewing::sewn_panel_waist);
        let mut checks = garment_checks([back, front], &sewn, expected);
        checks.extend(figure.figure_checks([back, front], &sewn[1], expected.hip_depth));
        for (half, edges, sewn) in [(Half::Back, back, &sewn[0]), (Half::Front, front, &sewn[1])] {
            checks.extend(panel_checks(half.name(), edges, sewn, expected));
        }
        Self { holds: checks.iter().all(|check| check.holds), checks }
    }

    /// Returns the proof with all lengths in its checks converted from centimetres to `unit`.
    pub(crate) fn convert_lengths_from_cm(mut self, unit: Unit) -> Self {
        for check in self.checks.iter_mut().filter(|check| check.unit == Unit::Cm.name()) {
            for value in [&mut check.measured, &mut check.expected, &mut check.tolerance] {
                *value /= unit.cm_per_unit();
            }
            check.unit = Cow::Borrowed(unit.name());
        }
        self
    }
}

impl Check {
    /// Creates a check, which holds if the measured and the expected value differ by at most the tolerance of the unit.
    fn new(unit: (&'static str, f64), [name, panel]: [&'static str; 2], measured: f64, expected: f64) -> Self {
        let (tolerance, holds) = (unit.1, (measured - expected).abs() <= unit.1);
        let [name, panel, unit] = [name, panel, unit.0].map(Cow::Borrowed);
        Self { name, panel, measured, expected, tolerance, unit, at_least: false, holds }
    }

    /// Makes the expected value a minimum: the check holds if the measured value is at least that, less the tolerance.
    fn at_least_expected(self) -> Self {
        Self { at_least: true, holds: self.measured >= self.expected - self.tolerance, ..self }
    }
}

/// Returns the checks of the whole garment: girths of waist and hip, and equal side seams of back and front.
fn garment_checks(panels: [&[Edge]; 2], sewn: &[SewnPanelWaist; 2], expected: &ExpectedLengths) -> Vec<Check> {
    let waist: f64 = sewn.iter().map(|sewn| lengths::total_length(&sewn.waist)).sum();
    let hip: f64 = panels.iter().map(|edges| lengths::outline_width_at_level(edges, expected.hip_depth)).sum();
    let [back_side, front_side] = panels.map(|edges| sewing::edge_paths_with_role(edges, Role::Side));
    let [back_length, front_length] = [&back_side, &front_side].map(|side| lengths::total_length(side));
    let distance = sewing::max_distance_between_seams(&back_side, &front_side);
    vec![
        Check::new(LENGTH, ["sewn_waist", "both"], 2.0 * waist, expected.waist),
        Check::new(LENGTH, ["hip_girth", "both"], 2.0 * hip, expected.hip),
        Check::new(LENGTH, ["side_seams_congruent", "both"], distance, 0.0),
        Check::new(LENGTH, ["side_seams_equal", "both"], front_length, back_length),
    ]
}

/// Returns the checks of one panel: corners, lengths, darts, and whether its outline is closed and free of crossings.
fn panel_checks(panel: &'static str, edges: &[Edge], sewn: &SewnPanelWaist, expected: &ExpectedLengths) -> Vec<Check> {
    let mut checks = vec![
        Check::new(ANGLE, ["waist_square", panel], sewing::worst_corner_angle(edges, Role::Waist), 90.0),
        Check::new(LENGTH, ["side_drop", panel], sewing::drop_between(edges, Role::Side, Role::Side), expected.length),
        Check::new(LENGTH, ["hem_level", panel], sewing::drop_between(edges, Role::Hem, Role::Hem), 0.0),
        Check::new(ANGLE, ["hem_square", panel], sewing::worst_corner_angle(edges, Role::Hem), 90.0),
        Check::new(LENGTH, ["outline_closed", panel], sewing::max_outline_gap(edges), 0.0),
        Check::new(COUNT, ["outline_crossings", panel], crossing::count_outline_crossings(edges), 0.0),
    ];
    if !sewn.tips.is_empty() {
        let clearance = expected.hip_depth - sewn.tips.iter().map(|tip| tip.y).fold(f64::NEG_INFINITY, f64::max);
        let joints = || sewn.waist.iter().zip(sewn.waist.iter().skip(1));
        let gaps = joints().map(|(a, b)| norm(b.start() - a.end()));
        let bends = joints().map(|(a, b)| signed_angle_degrees(a.end_tangent(), b.start_tangent()).abs());
        checks.extend([
            Check::new(LENGTH, ["dart_legs_equal", panel], sewn.max_leg_difference, 0.0),
            Check::new(LENGTH, ["waist_joined", panel], sewing::max_propagating_nan(gaps), 0.0),
            Check::new(ANGLE, ["waist_smooth", panel], sewing::max_propagating_nan(bends), 0.0),
            Check::new(("cm", 0.0), ["dart_tips_clear", panel], clearance, 0.0).at_least_expected(),
        ]);
    }
    checks
}

/// Returns the angle from one direction to another in degrees, from −180 to 180, positive clockwise (`y` down).
fn signed_angle_degrees(from: Vector, to: Vector) -> f64 {
    libm::atan2(cross(from, to), from.dot(&to)).to_degrees()
}
