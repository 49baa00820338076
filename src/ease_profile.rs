//! Ease by level: what the garment is wider than the body, from the waist down to the hem.

use crate::body::Body;
use crate::draft::{Draft, SideCurve};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The row of a girth between waist and hip.
const HIGH_HIP: Field =
    Field::new("high_hip", "Girth of the body between waist and hip.", FieldKind::Length, (40.0, 220.0), (16.0, 86.0));

/// The row of how far below the waist it is taken.
const HIGH_HIP_DEPTH: Field = Field::new(
    "high_hip_depth",
    "From the waist at the side down to where the high hip is taken.",
    FieldKind::Length,
    (1.0, 39.0),
    (0.5, 15.0),
);

/// The row of the distance between two levels.
const STEP: Field =
    Field::new("step", "From one level to the next.", FieldKind::Length, (0.1, 10.0), (0.05, 4.0)).or(1.0);

/// Levels between waist and hip line at which the least and the most ease are looked for.
const FINE: u16 = 400;

/// How wide the body is between waist and hip.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum BodyProfile {
    /// No girth between them is known: it widens as the side seam does by default, by the natural spline that is upright at the
    /// hip line and free at the waist.
    #[default]
    NaturalSpline,
    /// Through a high hip, by the monotone cubic of Fritsch and Carlson (1980), upright at the hip line: nowhere wider or
    /// narrower than the two girths beside.
    HighHip {
        /// Its girth.
        girth: f64,
        /// How far below the waist at the side it is taken.
        depth: f64,
    },
}

/// The garment and the body at one level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Down from the waist at the side.
    pub level: f64,
    /// The girth of the garment, darts closed.
    pub garment: f64,
    /// The girth of the body; below the hip line that of the hip, from which the cloth hangs.
    pub body: f64,
}

/// The ease of a garment from the waist down to the hem.
#[derive(Clone, Debug, PartialEq)]
pub struct EaseByLevel {
    /// The unit of all lengths.
    pub unit: Unit,
    /// The level of the hip line.
    pub hip_line: f64,
    /// From the waist to the hem.
    pub levels: Vec<Level>,
    /// Where it is tightest from the waist to the hip line.
    pub tightest: Level,
    /// Where it is loosest from the waist to the hip line.
    pub loosest: Level,
}

impl Level {
    /// What the garment is wider than the body.
    #[must_use]
    pub fn ease(&self) -> f64 {
        self.garment - self.body
    }

    fn in_unit(self, unit: Unit) -> Self {
        let Self { level, garment, body } = self;
        Self {
            level: unit.length_from_cm(level),
            garment: unit.length_from_cm(garment),
            body: unit.length_from_cm(body),
        }
    }
}

impl Draft {
    /// What the garment is wider than the body at levels a `step` apart, by default 1 cm, and at waist, hip line and hem. All
    /// numbers are in `unit`.
    ///
    /// # Errors
    /// All the [`Problems`]: a high hip or a step out of range, a high hip that is not above the hip line.
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
        let mut problems: Vec<Problem> = STEP.check("", step, unit).into_iter().collect();
        problems.extend(profile.problems(body, unit));
        Problems::ok_if_empty(problems)?;
        let shape = Shape::new(body, profile, unit);
        let at = |level: f64| {
            let garment = self.girth_at(level)?;
            Ok::<_, Problems>(Level { level, garment, body: shape.girth(level) })
        };
        let mut levels: Vec<f64> =
            steps(step * unit.cm_per_unit(), body.length).chain([body.hip_depth, body.length]).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|b, a| *b - *a < 1e-9);
        let levels: Vec<Level> = levels.into_iter().map(at).collect::<Result<_, _>>()?;
        let fine = (0..=FINE).map(|k| body.hip_depth * (f64::from(k) / f64::from(FINE)));
        let ends = self.panels().into_iter().flat_map(|panel| &panel.darts).flat_map(|dart| [dart.inner.y, dart.tip.y]);
        let fine = fine.chain(ends.filter(|level| (0.0..=body.hip_depth).contains(level)));
        let fine: Vec<Level> = fine.map(at).collect::<Result<_, _>>()?;
        let by_ease = |a: &&Level, b: &&Level| a.ease().total_cmp(&b.ease());
        let [tightest, loosest] = [fine.iter().min_by(by_ease), fine.iter().max_by(by_ease)]
            .map(|level| level.copied().unwrap_or(levels[0]).in_unit(unit));
        Ok(EaseByLevel {
            unit,
            hip_line: unit.length_from_cm(body.hip_depth),
            levels: levels.into_iter().map(|level| level.in_unit(unit)).collect(),
            tightest,
            loosest,
        })
    }
}

/// From the waist down, as long as a whole step remains.
fn steps(step: f64, length: f64) -> impl Iterator<Item = f64> {
    (0_u16..).map(move |k| f64::from(k) * step).take_while(move |level| *level <= length)
}

impl BodyProfile {
    /// Through a high hip, if both its girth and its depth, in `unit`, are given; else the natural spline.
    ///
    /// # Errors
    /// [`Code::Missing`] where only one of the two is given.
    ///
    /// ```
    /// use kirtle::Unit;
    /// use kirtle::ease_profile::BodyProfile;
    ///
    /// assert_eq!(BodyProfile::of(None, None, Unit::Cm)?, BodyProfile::NaturalSpline);
    /// let problems = BodyProfile::of(Some(89.0), None, Unit::Cm).unwrap_err();
    /// assert_eq!(problems.to_string(), "high_hip_depth: missing; give a number from 1 to 39 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn of(high_hip: Option<f64>, high_hip_depth: Option<f64>, unit: Unit) -> Result<Self, Problems> {
        let missing = |field: &Field| {
            let problem = Problem::new(Code::Missing, field.name);
            Err(problem.with_limit(field.range_text(unit)).with_unit(unit.name()).into())
        };
        match (high_hip, high_hip_depth) {
            (None, None) => Ok(Self::NaturalSpline),
            (Some(girth), Some(depth)) => Ok(Self::HighHip { girth, depth }),
            (Some(_), None) => missing(&HIGH_HIP_DEPTH),
            (None, Some(_)) => missing(&HIGH_HIP),
        }
    }

    fn problems(&self, body: &Body, unit: Unit) -> Vec<Problem> {
        let Self::HighHip { girth, depth } = *self else { return Vec::new() };
        let checked = [HIGH_HIP.check("", girth, unit), HIGH_HIP_DEPTH.check("", depth, unit)];
        let hip_line = unit.length_from_cm(body.hip_depth);
        let below = || {
            let problem = Problem::new(Code::AboveMaximum, HIGH_HIP_DEPTH.name).with_value(depth).with_limit(hip_line);
            problem.with_unit(unit.name())
        };
        let below = (checked[1].is_none() && depth >= hip_line).then(below);
        checked.into_iter().flatten().chain(below).collect()
    }
}

/// The body's girth from the waist to the hip line and below, in centimetres.
struct Shape {
    body: Body,
    /// Level, girth, and slope, of each girth that is known, where a high hip is.
    knots: Option<[[f64; 3]; 3]>,
}

impl Shape {
    fn new(body: &Body, profile: &BodyProfile, unit: Unit) -> Self {
        let BodyProfile::HighHip { girth, depth } = *profile else { return Self { body: *body, knots: None } };
        let (girth, depth) = (girth * unit.cm_per_unit(), depth * unit.cm_per_unit());
        let secants = [(girth - body.waist) / depth, (body.hip - girth) / (body.hip_depth - depth)];
        // Fritsch and Carlson: a slope between two is their weighted harmonic mean, and none where they turn; three times its
        // neighbour is the most that keeps a piece monotone.
        let weights = [2.0 * (body.hip_depth - depth) + depth, (body.hip_depth - depth) + 2.0 * depth];
        let turns = secants[0] * secants[1] <= 0.0;
        let slope = (weights[0] + weights[1]) / (weights[0] / secants[0] + weights[1] / secants[1]);
        let middle = if turns { 0.0 } else { slope };
        let first = (3.0 * secants[0] - middle) / 2.0;
        let first = if first * secants[0] <= 0.0 { 0.0 } else { first };
        let knots = [[0.0, body.waist, first], [depth, girth, middle], [body.hip_depth, body.hip, 0.0]];
        Self { body: *body, knots: Some(knots) }
    }

    fn girth(&self, level: f64) -> f64 {
        let Body { waist, hip, hip_depth, .. } = self.body;
        if level >= hip_depth {
            return hip;
        }
        let Some(knots) = self.knots else {
            return hip - SideCurve::natural(hip_depth).inside(hip - waist, level);
        };
        let place = usize::from(level >= knots[1][0]);
        let ([from, a, slope_a], [to, b, slope_b]) = (knots[place], knots[place + 1]);
        let (run, t) = (to - from, (level - from) / (to - from));
        let s = 1.0 - t;
        // The cubic by its ends and slopes.
        s * s * (1.0 + 2.0 * t) * a + t * t * (1.0 + 2.0 * s) * b + s * t * run * (s * slope_a - t * slope_b)
    }
}
