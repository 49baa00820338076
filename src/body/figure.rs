//! [`Figure`]: measurements that tell apart bodies of equal girths; each may be missing.

use std::ops::Range;

use super::{Body, Ease, PanelRules};
use crate::error::{Code, Problem};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, Unit, fields};
use crate::scalar::{Mask, Number};

fields! {
    @table ($) figure_table
    [@struct Option<T>, (default, skip_serializing_if = "Option::is_none"), |n, f| n.map(&mut *f);]
    /// Figure of a body: how the body stands and where it is full, in centimetres. Every measurement may be missing.
    ///
    /// The three lengths end at the floor, or at any level line. Only differences between lengths count: how much lower
    /// or higher one place of the waist lies than another. A single length is refused.
    Figure {
        /// Vertical distance from the waist at the centre front to the floor (straight down, not over the belly).
        front_length: Length (15.0, 150.0);
        /// Vertical distance from the waist at the side to the floor.
        side_length: Length (15.0, 150.0);
        /// Vertical distance from the waist at the centre back to the floor (straight down, not over the seat).
        back_length: Length (15.0, 150.0);
        /// Arc over the front at the hip line, from side seam to side seam; 0.35 to 0.65 of the hip. The arc replaces
        /// the rule `balance`: front and back get ease in proportion to their arcs.
        front_hip: Length (15.0, 150.0);
        /// Arc over the front at the waist, from side seam to side seam; 0.35 to 0.65 of the waist. The arc decides how
        /// back and front darts share the suppression that the side seams do not take; front and back get ease in
        /// proportion to their arcs.
        front_waist: Length (15.0, 130.0);
        /// Girth at the high hip, where the belly or the upper hip is fullest; needs `high_hip_depth`. At the high hip
        /// the skirt has at least the smaller of the eases at waist and hip: if need be by a fuller side seam, then by
        /// shorter darts.
        high_hip: Length (40.0, 220.0);
        /// Vertical distance from the waist at the side to the level of the high hip; at least 1 cm less than the hip
        /// depth.
        high_hip_depth: Length (1.0, 39.0);
    }
}

/// Minimum vertical distance between the high hip and the hip line, in centimetres.
const MIN_HIGH_HIP_ABOVE_HIP_CM: f64 = 1.0;

/// Minimum and maximum of an arc over the front, as shares of the whole girth at the same level.
const MIN_FRONT_ARC_SHARE: f64 = 0.35;
const MAX_FRONT_ARC_SHARE: f64 = 0.65;

/// Path of the figure in a request, up to and including the dot before the name of a measurement.
pub(crate) const FIGURE_PATH_PREFIX: &str = "body.figure.";

/// Indices in [`Figure::FIELDS`] of measurements that have an effect only together: two of the lengths; the high hip with
/// its depth.
pub(crate) const FIGURE_PARTS: [Range<usize>; 2] = [0..3, 5..7];

impl<T: Copy> Figure<T> {
    /// Returns whether no measurement is given.
    pub fn is_empty(&self) -> bool {
        self.into_array().iter().all(Option::is_none)
    }
}

impl<T> Default for Figure<T> {
    fn default() -> Self {
        Self::from_array(Figure::FIELDS.map(|_| None))
    }
}

impl<T: Number> Figure<T> {
    /// Returns the arc over the front of the garment at the hip line, from side seam to side seam: the arc of the body
    /// with ease in proportion; `None` if not measured on the body.
    #[inline(always)]
    pub(crate) fn front_hip_arc_with_ease(&self, body: &Body<T>, ease: &Ease<T>) -> Option<T> {
        Some((self.front_hip? * (body.hip + ease.hip)).quotient(body.hip))
    }

    /// Returns the arc over the front of the garment at the waist, from side seam to side seam: the arc of the body
    /// with ease in proportion; `None` if not measured on the body.
    #[inline(always)]
    pub(crate) fn front_waist_arc_with_ease(&self, body: &Body<T>, ease: &Ease<T>) -> Option<T> {
        Some((self.front_waist? * (body.waist + ease.waist)).quotient(body.waist))
    }

    /// Returns the depth of the high hip and the minimum girth of the garment there, in centimetres: girth of the body
    /// plus the smaller of the eases at waist and hip. `None` if no high hip is measured.
    #[inline(always)]
    pub(crate) fn high_hip_depth_and_min_girth(&self, ease: &Ease<T>) -> Option<[T; 2]> {
        Some([self.high_hip_depth?, self.high_hip? + ease.waist.min(ease.hip)])
    }

    /// Returns a mask of the lanes in which the figure contradicts neither body nor rules, and every given number has
    /// an effect. NaN stands for a missing number.
    #[inline(always)]
    pub(crate) fn fits_body_and_rules(&self, body: &Body<T>, rules: &PanelRules<T>) -> T::Mask {
        let Self { front_length, side_length, back_length, front_hip, high_hip, high_hip_depth, .. } = *self;
        let (front, side, back) = (is_given(front_length), is_given(side_length), is_given(back_length));
        let is_lone = (front | side | back) & !(front & side | side & back | front & back);
        let (girth, depth) = (is_given(high_hip), is_given(high_hip_depth));
        let mut fits = !is_lone & (girth & depth | !(girth | depth));
        for (number, [min, max]) in numbers_with_limits(self, body) {
            let Some(number) = number else { continue };
            fits = fits & (is_within(number, [min, max]) | !number.is_not_nan());
        }
        if front_hip.is_some() { fits & !(is_given(front_hip) & balance_differs_from_default(rules)) } else { fits }
    }
}

/// Returns a mask of the lanes in which `number`, an optional measurement of a figure, is given: not NaN.
#[inline(always)]
pub(crate) fn is_given<T: Number>(number: Option<T>) -> T::Mask {
    number.map_or(T::Mask::uniform(false), T::is_not_nan)
}

/// Returns `front_hip`, `front_waist` and `high_hip_depth` of a figure, each with the limits that the body sets.
#[inline(always)]
fn numbers_with_limits<T: Number>(figure: &Figure<T>, body: &Body<T>) -> [(Option<T>, [T; 2]); 3] {
    let [min, max] = [T::constant(MIN_FRONT_ARC_SHARE), T::constant(MAX_FRONT_ARC_SHARE)];
    let max_depth = body.hip_depth - T::constant(MIN_HIGH_HIP_ABOVE_HIP_CM);
    [
        (figure.front_hip, [body.hip * min, body.hip * max]),
        (figure.front_waist, [body.waist * min, body.waist * max]),
        (figure.high_hip_depth, [T::constant(f64::NEG_INFINITY), max_depth]),
    ]
}

/// Returns a mask of the lanes in which the rule `balance` differs from its default.
#[inline(always)]
fn balance_differs_from_default<T: Number>(rules: &PanelRules<T>) -> T::Mask {
    let default = T::constant(PanelRules::default().balance);
    T::constant(EQUALITY_TOLERANCE_CM).lt((rules.balance - default).abs())
}

/// Returns whether a number is between two limits, up to rounding.
#[inline(always)]
fn is_within<T: Number>(number: T, [min, max]: [T; 2]) -> T::Mask {
    let tolerance = T::constant(EQUALITY_TOLERANCE_CM);
    min.le(number + tolerance) & number.le(max + tolerance)
}

/// Returns the problems of a figure that contradicts its body or the rules; all arguments are in centimetres.
pub(super) fn figure_contradiction_problems(figure: &Figure, body: &Body, rules: &PanelRules) -> Vec<Problem> {
    let [.., front_hip, front_waist, _, high_hip_depth] = &Figure::FIELDS;
    let limits = [front_hip, front_waist, high_hip_depth].into_iter().zip(numbers_with_limits(figure, body));
    let problem = |(field, (number, [min, max])): (&Field, (Option<f64>, [f64; 2]))| {
        let number = number.filter(|number| !is_within(*number, [min, max]))?;
        let (path, limit) = (format!("{FIGURE_PATH_PREFIX}{}", field.name), if number < min { min } else { max });
        Some(Problem::of_length_beyond_limit(Code::DoesNotFitBody, path, number, limit))
    };
    let is_decided = balance_differs_from_default(rules) && figure.front_hip.is_some();
    let (code, limit) = (Code::DecidedByFigure, "body.figure.front_hip");
    let decided = is_decided.then(|| Problem::of_length(code, "rules.balance", rules.balance, limit));
    limits.filter_map(problem).chain(decided).collect()
}

/// Returns the problems of a figure in `unit`: numbers out of range, or without effect as another number is missing.
pub(crate) fn figure_problems(figure: &Figure, unit: Unit) -> Vec<Problem> {
    let mut problems = Vec::new();
    figure.map_fields(|field, number| problems.extend(field.range_problem(FIGURE_PATH_PREFIX, number, unit)));
    let lengths = (figure.front_length, figure.side_length, figure.back_length);
    let (field, others) = match (lengths, figure.high_hip, figure.high_hip_depth) {
        ((Some(_), None, None), ..) => ("front_length", &["side_length", "back_length"][..]),
        ((None, Some(_), None), ..) => ("side_length", &["front_length", "back_length"][..]),
        ((None, None, Some(_)), ..) => ("back_length", &["side_length", "front_length"][..]),
        (_, Some(_), None) => ("high_hip", &["high_hip_depth"][..]),
        (_, None, Some(_)) => ("high_hip_depth", &["high_hip"][..]),
        _ => return problems,
    };
    let others: Vec<String> = others.iter().map(|name| format!("{FIGURE_PATH_PREFIX}{name}")).collect();
    let problem = Problem::new(Code::NeedsAnother, format!("{FIGURE_PATH_PREFIX}{field}"));
    problems.push(problem.with_limit(others.join(" or ")));
    problems
}
