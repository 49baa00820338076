//! Minimum and maximum ease at waist, hip and high hip of a size that serves a person. Lengths are centimetres.

use crate::body::Ease;
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit, min_and_max_length_problems};
use crate::scalar::Number;

const EASE_TOLERANCE_FIELD: Field = Field::new("tolerance", "", FieldKind::Length, (0.0, 100.0));

const BOUNDED_GIRTH_NAMES: [&str; 3] = ["waist", "hip", "high_hip"];

/// Minimum and maximum ease (garment minus body) of a size that serves a person, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EaseBounds {
    /// Minimum and maximum ease at the waist: each from −200 to 200 cm.
    pub waist: (f64, f64),
    /// Minimum and maximum ease at the hip: each from −200 to 200 cm.
    pub hip: (f64, f64),
    /// Minimum and maximum ease at the high hip, each from −200 to 200 cm; `None` if no high hips are judged.
    pub high_hip: Option<(f64, f64)>,
}

impl EaseBounds {
    /// Returns bounds from ease − tolerance to ease + tolerance at waist and hip, in centimetres; none at the high hip.
    ///
    /// ```
    /// use kirtle::Ease;
    /// use kirtle::survey::EaseBounds;
    ///
    /// let bounds = EaseBounds::from_ease_and_tolerance(&Ease { waist: 1.5, hip: 5.0 }, 1.0);
    /// assert_eq!((bounds.waist, bounds.hip, bounds.high_hip), ((0.5, 2.5), (4.0, 6.0), None));
    /// ```
    pub fn from_ease_and_tolerance(ease: &Ease, tolerance: f64) -> Self {
        let interval = |ease: f64| (ease - tolerance, ease + tolerance);
        Self { waist: interval(ease.waist), hip: interval(ease.hip), high_hip: None }
    }

    /// Builds bounds, in centimetres, from pairs: the name of a girth (`waist`, `hip` or `high_hip`), and the minimum
    /// and maximum ease there. A waist or hip without a pair gets ease ± `tolerance`; a high hip without a pair gets no
    /// bounds.
    ///
    /// # Errors
    /// All [`Problems`]: a tolerance outside 0 to 100 cm, an unknown girth, a waist or hip with neither bounds nor a
    /// tolerance, a bound out of range, or a maximum below its minimum.
    ///
    /// ```
    /// use kirtle::Ease;
    /// use kirtle::survey::EaseBounds;
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let bounds = EaseBounds::from_named_bounds(&ease, Some(2.0), &[("high_hip".to_owned(), (0.0, 9.0))])?;
    /// assert_eq!((bounds.hip, bounds.high_hip), ((3.0, 7.0), Some((0.0, 9.0))));
    ///
    /// let problems = EaseBounds::from_named_bounds(&ease, None, &[("knee".to_owned(), (0.0, 9.0))]).unwrap_err();
    /// assert_eq!(
    ///     problems.to_string(),
    ///     "bounds.knee: unknown field; known fields are waist, hip, high_hip\n\
    ///      bounds.waist: missing: give the minimum and maximum ease, or a tolerance\n\
    ///      bounds.hip: missing: give the minimum and maximum ease, or a tolerance"
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_named_bounds(
        ease: &Ease,
        tolerance: Option<f64>,
        pairs: &[(String, (f64, f64))],
    ) -> Result<Self, Problems> {
        let mut problems: Vec<Problem> =
            tolerance.and_then(|value| EASE_TOLERANCE_FIELD.range_problem("", value, Unit::Cm)).into_iter().collect();
        let field = |name: &str| format!("bounds.{name}");
        let unknown = pairs.iter().filter(|(name, _)| !BOUNDED_GIRTH_NAMES.contains(&name.as_str()));
        let unknown = unknown.map(|(name, _)| Problem::new(Code::UnknownField, field(name)));
        problems.extend(unknown.map(|problem| problem.with_choices(BOUNDED_GIRTH_NAMES)));
        let given = |girth: &str| pairs.iter().find(|(name, _)| name == girth).map(|(_, bounds)| *bounds);
        let mut bounds = Self::from_ease_and_tolerance(ease, tolerance.unwrap_or(0.0));
        for (girth, bounds) in [("waist", &mut bounds.waist), ("hip", &mut bounds.hip)] {
            *bounds = given(girth).unwrap_or(*bounds);
            if given(girth).is_none() && tolerance.is_none() {
                let limit = "the minimum and maximum ease, or a tolerance";
                problems.push(Problem::new(Code::Missing, field(girth)).with_limit(limit));
            }
        }
        bounds.high_hip = given("high_hip");
        if problems.is_empty() {
            problems = bounds.ease_bound_problems();
        }
        Problems::ok_if_empty(problems)?;
        Ok(bounds)
    }

    /// Returns a problem for each bound outside −200 to 200 cm and for each maximum below its minimum.
    pub(super) fn ease_bound_problems(&self) -> Vec<Problem> {
        let girths = [("waist", Some(self.waist)), ("hip", Some(self.hip)), ("high_hip", self.high_hip)];
        let problems = |(girth, bounds): (&str, Option<_>)| {
            bounds.map(|bounds| min_and_max_length_problems(&format!("bounds.{girth}."), bounds))
        };
        girths.into_iter().filter_map(problems).flatten().collect()
    }
}

/// Returns by how much an ease lies outside its bounds, in centimetres; zero if the ease is within its bounds.
#[inline(always)]
pub(super) fn bound_violation<T: Number>(ease: T, (min, max): (f64, f64)) -> T {
    let excess = (T::constant(min) - ease).max(ease - T::constant(max));
    T::select(excess.le(T::constant(EQUALITY_TOLERANCE_CM)), T::constant(0.0), excess)
}
