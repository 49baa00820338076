//! Ease by level: how much wider the garment is than the body, from the waist down to the hem.
//!
//! [`Draft::ease_by_level`] compares the girth of the garment, darts closed, with the girth of a [`BodyProfile`], which
//! is interpolated between waist and hip.
//!
//! ```
//! use kirtle::{Body, Ease, Rules, Unit, ease_profile::BodyProfile};
//!
//! let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! let ease = draft.ease_by_level(&BodyProfile::NaturalSpline, None, Unit::Cm)?;
//! assert!((ease.levels[20].ease() - 5.0).abs() < 1e-9); // the hip line
//! # Ok::<(), kirtle::Problems>(())
//! ```

use crate::body::{Body, Figure};
use crate::draft::Draft;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// Definition of the field `high_hip`, the girth of the body at the high hip.
const HIGH_HIP_GIRTH_FIELD: Field = Figure::FIELDS[Figure::FIELDS.len() - 2];

/// Definition of the field `high_hip_depth`: vertical distance of the high hip below the waist at the side.
const HIGH_HIP_DEPTH_FIELD: Field = Figure::FIELDS[Figure::FIELDS.len() - 1];

const LEVEL_STEP_FIELD: Field =
    Field::new("step", "Vertical distance from one level to the next.", FieldKind::Length, (0.1, 10.0));

/// Number of intervals from waist to hip line at whose ends the smallest and the largest ease are sought.
const EASE_SEARCH_INTERVAL_COUNT: u16 = 400;

/// Method of interpolating the girth of the body between waist and hip line.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum BodyProfile {
    /// Curve through the high hip of the body's figure, as [`HighHip`](Self::HighHip). For a figure without it, natural
    /// cubic spline from waist to hip, vertical at the hip line, like the default side seam.
    #[default]
    NaturalSpline,
    /// Monotone cubic interpolation (Fritsch and Carlson, 1980) of waist, high hip and hip, vertical at the hip line.
    /// The girth stays between the two neighbouring measurements.
    HighHip {
        /// Girth of the body at the high hip, in the unit given to [`Draft::ease_by_level`].
        girth: f64,
        /// Vertical distance from the waist at the side down to the high hip, in the same unit as `girth`.
        depth: f64,
    },
}

/// Girths of garment and body at one level: one horizontal section. Lengths are in the unit of the [`EaseByLevel`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GirthsAtLevel {
    /// Vertical distance of the level below the waist at the side, in the unit of the [`EaseByLevel`].
    pub level: f64,
    /// Girth of the garment with the darts closed, in the unit of the [`EaseByLevel`].
    pub garment: f64,
    /// Girth of the body, in the unit of the [`EaseByLevel`]. Below the hip line the hip girth, because the cloth hangs
    /// from the hip.
    pub body: f64,
}

/// Ease of a garment at levels from the waist down to the hem.
#[derive(Clone, Debug, PartialEq)]
pub struct EaseByLevel {
    /// Unit of `hip_line` and of every level and girth.
    pub unit: Unit,
    /// Level of the hip line, in `unit`: vertical distance below the waist at the side.
    pub hip_line: f64,
    /// Girths of garment and body by level, from the waist down to the hem.
    pub levels: Vec<GirthsAtLevel>,
    /// Level between waist and hip line at which the ease is smallest, with the girths there.
    pub tightest: GirthsAtLevel,
    /// Level between waist and hip line at which the ease is largest, with the girths there.
    pub loosest: GirthsAtLevel,
}

impl GirthsAtLevel {
    /// Returns the ease at the level, in the unit of the girths: girth of the garment minus girth of the body.
    pub fn ease(&self) -> f64 {
        self.garment - self.body
    }

    /// Converts level and girths, which must be in centimetres, to `unit`.
    fn convert_lengths_from_cm(self, unit: Unit) -> Self {
        let [level, garment, body] = [self.level, self.garment, self.body].map(|cm| unit.length_from_cm(cm));
        Self { level, garment, body }
    }
}

impl Draft {
    /// Computes the ease at levels `step` apart from the waist down (default: 1 cm), at the hip line and at the hem.
    /// All lengths are in `unit`.
    ///
    /// # Errors
    /// All [`Problems`]: a high hip or a step out of range, a high hip that is not above the hip line.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::ease_profile::BodyProfile;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let high_hip = BodyProfile::HighHip { girth: 89.0, depth: 10.0 };
    /// let ease = draft.ease_by_level(&high_hip, Some(5.0), Unit::Cm)?;
    /// assert_eq!(ease.levels.len(), 13);
    /// assert!((ease.levels[4].ease() - 5.0).abs() < 1e-9);
    /// assert!(ease.tightest.level < 20.0);
    ///
    /// let below = BodyProfile::HighHip { girth: 89.0, depth: 25.0 };
    /// let problems = draft.ease_by_level(&below, None, Unit::Cm).unwrap_err();
    /// assert_eq!(problems.to_string(), "high_hip_depth: 25 cm is above the maximum of 20 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn ease_by_level(&self, profile: &BodyProfile, step: Option<f64>, unit: Unit) -> Result<EaseByLevel, Problems> {
        let body = self.body();
        let step = step.unwrap_or(1.0 / unit.cm_per_unit());
        let step_problem = LEVEL_STEP_FIELD.range_problem("", step, unit).into_iter();
        Problems::ok_if_empty(step_problem.chain(profile.high_hip_problems(body, unit)))?;
        let (profile, profile_unit) = match (profile, self.figure().high_hip.zip(self.figure().high_hip_depth)) {
            (BodyProfile::NaturalSpline, Some((girth, depth))) => (BodyProfile::HighHip { girth, depth }, Unit::Cm),
            _ => (*profile, unit),
        };
        let body_girth_at = body_girth_curve(body, &profile, profile_unit);
        let at = |level: f64| {
            let garment = self.girth_at(level)?;
            Ok::<_, Problems>(GirthsAtLevel { level, garment, body: body_girth_at(level) })
        };
        let multiples = (0_u16..).map(|k| f64::from(k) * (step * unit.cm_per_unit()));
        let multiples = multiples.take_while(|level| *level <= body.length);
        let mut levels: Vec<f64> = multiples.chain([body.hip_depth, body.length]).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|b, a| *b - *a < 1e-9);
        let levels: Vec<GirthsAtLevel> = levels.into_iter().map(at).collect::<Result<_, _>>()?;
        let regular = (0..=EASE_SEARCH_INTERVAL_COUNT)
            .map(|k| body.hip_depth * (f64::from(k) / f64::from(EASE_SEARCH_INTERVAL_COUNT)));
        let dart_ends =
            self.panels().into_iter().flat_map(|panel| &panel.darts).flat_map(|dart| [dart.inner.y, dart.tip.y]);
        let searched = regular.chain(dart_ends.filter(|level| (0.0..=body.hip_depth).contains(level)));
        let mut searched: Vec<GirthsAtLevel> = searched.map(at).collect::<Result<_, _>>()?;
        searched.extend(levels.iter().filter(|level| level.level <= body.hip_depth));
        let by_ease = |a: &&GirthsAtLevel, b: &&GirthsAtLevel| a.ease().total_cmp(&b.ease());
        let [tightest, loosest] = [searched.iter().min_by(by_ease), searched.iter().max_by(by_ease)]
            .map(|level| level.copied().unwrap_or(levels[0]).convert_lengths_from_cm(unit));
        Ok(EaseByLevel {
            unit,
            hip_line: unit.length_from_cm(body.hip_depth),
            levels: levels.into_iter().map(|level| level.convert_lengths_from_cm(unit)).collect(),
            tightest,
            loosest,
        })
    }
}

impl BodyProfile {
    /// Creates a profile through a high hip, with girth and depth in `unit`, or the natural spline if both are `None`.
    ///
    /// # Errors
    /// [`Code::Missing`] if only girth or only depth is given.
    ///
    /// ```
    /// use kirtle::Unit;
    /// use kirtle::ease_profile::BodyProfile;
    ///
    /// assert_eq!(BodyProfile::from_high_hip(None, None, Unit::Cm)?, BodyProfile::NaturalSpline);
    /// let problems = BodyProfile::from_high_hip(Some(89.0), None, Unit::Cm).unwrap_err();
    /// assert_eq!(problems.to_string(), "high_hip_depth: missing: give a number from 1 to 39 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_high_hip(high_hip: Option<f64>, high_hip_depth: Option<f64>, unit: Unit) -> Result<Self, Problems> {
        let missing = |field: &Field| {
            let problem = Problem::new(Code::Missing, field.name);
            Err(field.add_range_to_problem(problem, unit).into())
        };
        match (high_hip, high_hip_depth) {
            (None, None) => Ok(Self::NaturalSpline),
            (Some(girth), Some(depth)) => Ok(Self::HighHip { girth, depth }),
            (Some(_), None) => missing(&HIGH_HIP_DEPTH_FIELD),
            (None, Some(_)) => missing(&HIGH_HIP_GIRTH_FIELD),
        }
    }

    /// Returns the problems of the high hip, in `unit`: girth or depth out of range, or not above the hip line.
    fn high_hip_problems(&self, body: &Body, unit: Unit) -> Vec<Problem> {
        let Self::HighHip { girth, depth } = *self else { return Vec::new() };
        let checked =
            [HIGH_HIP_GIRTH_FIELD.range_problem("", girth, unit), HIGH_HIP_DEPTH_FIELD.range_problem("", depth, unit)];
        let hip_line = unit.length_from_cm(body.hip_depth);
        let not_above_hip_line = || {
            let problem = Problem::new(Code::AboveMaximum, HIGH_HIP_DEPTH_FIELD.name).with_value(depth);
            problem.with_limit(hip_line).with_unit(unit.name())
        };
        let not_above_hip_line = (checked[1].is_none() && depth >= hip_line).then(not_above_hip_line);
        checked.into_iter().flatten().chain(not_above_hip_line).collect()
    }
}

/// Returns a function from a level to the girth of the body there, both in centimetres; below the hip line, the hip
/// girth. The lengths of `profile` are in `unit`.
fn body_girth_curve(body: &Body, profile: &BodyProfile, unit: Unit) -> impl Fn(f64) -> f64 {
    let Body { waist, hip, hip_depth, .. } = *body;
    let knots = match *profile {
        BodyProfile::NaturalSpline => None,
        BodyProfile::HighHip { girth, depth } => {
            let [girth, depth] = [girth, depth].map(|length| length * unit.cm_per_unit());
            let secants = [(girth - waist) / depth, (hip - girth) / (hip_depth - depth)];
            // Slope at the high hip: weighted harmonic mean of the secant slopes, 0 at a local extremum.
            let weights = [2.0 * (hip_depth - depth) + depth, (hip_depth - depth) + 2.0 * depth];
            let is_extremum = secants[0] * secants[1] <= 0.0;
            let slope = (weights[0] + weights[1]) / (weights[0] / secants[0] + weights[1] / secants[1]);
            let middle = if is_extremum { 0.0 } else { slope };
            let first = (3.0 * secants[0] - middle) / 2.0;
            let first = if first * secants[0] <= 0.0 { 0.0 } else { first };
            // At waist, high hip and hip line: level, girth, and growth of the girth per centimetre of level.
            Some([[0.0, waist, first], [depth, girth, middle], [hip_depth, hip, 0.0]])
        }
    };
    move |level| {
        if level >= hip_depth {
            return hip;
        }
        let Some(knots) = knots else {
            let u = (hip_depth - level) / hip_depth;
            return hip - (hip - waist) * (1.5 - 0.5 * u) * u * u;
        };
        let interval = usize::from(level >= knots[1][0]);
        let ([from, a, slope_a], [to, b, slope_b]) = (knots[interval], knots[interval + 1]);
        let (run, t) = (to - from, (level - from) / (to - from));
        let s = 1.0 - t;
        // Cubic Hermite interpolation.
        s * s * (1.0 + 2.0 * t) * a + t * t * (1.0 + 2.0 * s) * b + s * t * run * (s * slope_a - t * slope_b)
    }
}
