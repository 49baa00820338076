//! One panel: where everything stands on its waist, and its finished edges.
//!
//! Angles are held as **half-angle tangents**, so that all of it needs only `+ − × ÷ √`. A seam that leans by `b` from
//! the upright meets the waist square where the waist tilts by `b` from the level.

use arrayvec::ArrayVec;

use super::apportion::{DartPlan, DartPlans};
use super::side::SideCurve;
use super::{Dart, Edge, Half, Panel, Role};
use crate::body::{MOST_DARTS, Place};
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::{Number, Scalar};

/// What is decided about a panel before its waist is closed.
#[derive(Clone, Debug)]
pub(super) struct PanelPlan<T> {
    pub(super) half: Half,
    /// Width at the hip line.
    pub(super) width: T,
    /// By how much the centre is lowered on purpose.
    pub(super) lower: T,
    /// Whether it is not lowered: then every stretch of the waist is its own mirror image.
    pub(super) even: bool,
    pub(super) darts: DartPlans<T>,
}

/// The length of an even stretch for its chord, by the powers of its bow `w`, the square of the tangent of a quarter of its
/// turn.
///
/// On a chord of 1 the curve has, `u` from −1 to 1, the velocity `(1 + w/2 − 3/2 w u², 2 √w u) / 2`. So its length is the
/// integral over `u` from 0 to 1 of the root of `1 + w (1 + u²) + w² (1/4 − 3/2 u² + 9/4 u⁴)`, and the binomial series of
/// that root, integrated term by term, has these coefficients.
const SERIES: [f64; 11] = [
    1.0,
    2.0 / 3.0,
    -2.0 / 15.0,
    2.0 / 21.0,
    -26.0 / 315.0,
    278.0 / 3_465.0,
    -758.0 / 9_009.0,
    466.0 / 5_005.0,
    -46.0 / 429.0,
    88_226.0 / 692_835.0,
    -39_554.0 / 255_255.0,
];

/// The most bow, a turn of 45°, that the series measures: the next term, 0.192 w¹¹, is a relative 8e-17 there.
pub(super) const MOST_BOW: f64 = 0.04;

/// The corners of a dart: where the leg next to the centre meets the waist, the tip, and where the other leg does.
pub(super) type Corners<T> = [Point<T>; 3];

/// The waist of a panel in place, the side at the height 0.
#[derive(Clone, Debug)]
pub(super) struct Waist<T> {
    /// From the centre to the side.
    stretches: ArrayVec<Stretch<T>, { MOST_DARTS + 1 }>,
    /// How far the far end of each lies below the side.
    ends: [T; MOST_DARTS + 1],
    /// How far its centre lies below its side.
    pub(super) lowering: T,
}

/// A stretch of waist between two neighbours, square to both.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch<T> {
    start: T,
    run: T,
    rise: T,
    tilts: [Tilt<T>; 2],
}

/// An angle of the waist from the level, positive where it rises towards the side.
#[derive(Clone, Copy, Debug)]
struct Tilt<T> {
    half_tangent: T,
    /// Cosine squared of half the angle.
    half_cosine_squared: T,
}

impl<T: Number> Tilt<T> {
    #[inline(always)]
    fn level() -> Self {
        Self { half_tangent: T::constant(0.0), half_cosine_squared: T::constant(1.0) }
    }

    /// The angle whose tangent is `opposite / adjacent`, for a positive `adjacent`.
    #[inline(always)]
    fn new(opposite: T, adjacent: T) -> Self {
        let half_tangent = opposite.over(adjacent + norm(Vector::new(opposite, adjacent)));
        let half_cosine_squared = T::constant(1.0).over(T::constant(1.0) + half_tangent * half_tangent);
        Self { half_tangent, half_cosine_squared }
    }

    /// The same angle the other way.
    #[inline(always)]
    fn mirrored(self) -> Self {
        Self { half_tangent: -self.half_tangent, ..self }
    }

    /// The direction of travel towards the side; upwards is −y.
    #[inline(always)]
    fn direction(self) -> Vector<T> {
        let t = self.half_tangent;
        Vector::new(T::constant(1.0) - t * t, -(t + t)) * self.half_cosine_squared
    }
}

impl<T: Number> Stretch<T> {
    /// A stretch from `start` to `end` along the panel; its chord rises like that of a circular arc with these tilts,
    /// and by `slope` more, if there is one.
    #[inline(always)]
    fn new(start: T, end: T, tilts: [Tilt<T>; 2], slope: Option<T>) -> Self {
        let run = end - start;
        let [a, b] = [tilts[0].half_tangent, tilts[1].half_tangent];
        let mut rise = (run * (a + b)).over(T::constant(1.0) - a * b);
        if let Some(slope) = slope {
            rise += slope * run;
        }
        Self { start, run, rise, tilts }
    }

    /// The curve with its far end at height `end_y`: handles of chord / (3 cos² of a quarter of the turn), which on a
    /// circular arc are the well-known ones.
    #[inline(always)]
    pub(super) fn cubic(&self, end_y: T) -> Cubic<T> {
        let (one, [a, b]) = (T::constant(1.0), self.tilts);
        let (chord, cosine) = self.chord_and_cosine();
        let handle = (chord * T::constant(2.0)).over(T::constant(3.0) * (one + cosine));
        let start = Point::new(self.start, end_y + self.rise);
        let end = Point::new(self.start + self.run, end_y);
        Cubic::new([start, start + a.direction() * handle, end - b.direction() * handle, end])
    }

    /// The chord, and the cosine of half the turn.
    #[inline(always)]
    fn chord_and_cosine(&self) -> (T, T) {
        let [a, b] = self.tilts;
        let product = T::constant(1.0) + a.half_tangent * b.half_tangent;
        let cosine = product * (a.half_cosine_squared * b.half_cosine_squared).sqrt();
        (norm(Vector::new(self.run, self.rise)), cosine)
    }

    /// The length of a stretch that is its own mirror image, by the series of [`SERIES`], and the bow that must not be over
    /// [`MOST_BOW`] for it to hold.
    #[inline(always)]
    pub(super) fn even_length(&self) -> (T, T) {
        let one = T::constant(1.0);
        let (chord, cosine) = self.chord_and_cosine();
        let bow = (one - cosine).over(one + cosine);
        // In pairs, which wait for each other less than one after the other.
        let c = SERIES.map(T::constant);
        let (square, pair) = (bow * bow, |k: usize| c[k] + c[k + 1] * bow);
        let fourth = square * square;
        let (low, middle, high) = (pair(0) + pair(2) * square, pair(4) + pair(6) * square, pair(8) + c[10] * square);
        let ratio = low + (middle + high * fourth) * fourth;
        (chord * ratio, bow)
    }
}

impl<T: Copy> PanelPlan<T> {
    /// The same plan over another scalar.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> PanelPlan<U> {
        PanelPlan {
            half: self.half,
            width: f(self.width),
            lower: f(self.lower),
            even: self.even,
            darts: self.darts.iter().map(|dart| dart.map(f)).collect(),
        }
    }
}

impl<T: Number> PanelPlan<T> {
    /// Visits the stretches of the waist, from the centre to the side, where the side seams together lose `side` and the
    /// panel takes `amount` by shares. Both side seams are one curve, so each loses half.
    #[inline(always)]
    pub(super) fn stretches(&self, side: T, amount: T, curve: &SideCurve<T>, mut visit: impl FnMut(Stretch<T>)) {
        let loss = side * T::constant(0.5);
        let waist = self.width - loss;
        let slope = if self.even { None } else { Some(self.slope(waist, amount)) };
        let (mut start, mut tilt) = (T::constant(0.0), Tilt::level());
        for k in 0..=self.darts.len() {
            // Up to the next dart, or else to the side seam.
            let dart = self.darts.get(k);
            let half = dart.map_or(T::constant(0.0), |dart| dart.intake(amount) * T::constant(0.5));
            let centre = dart.map_or(waist, |dart| dart.centre(waist));
            let [opposite, adjacent] = match dart {
                Some(dart) => [half, dart.length],
                None => curve.lean(loss),
            };
            let lean = Tilt::new(opposite, adjacent);
            let end = if dart.is_some() { centre - half } else { centre };
            visit(Stretch::new(start, end, [tilt, lean], slope));
            (start, tilt) = (centre + half, lean.mirrored());
        }
    }

    /// By how much the chords of the waist rise for their run, to lower the centre.
    #[inline(always)]
    fn slope(&self, waist: T, amount: T) -> T {
        let mut cloth = waist;
        for dart in &self.darts {
            cloth -= dart.intake(amount);
        }
        self.lower.over(cloth)
    }

    /// The waist in place; each stretch is shown to `measure` first.
    #[inline(always)]
    pub(super) fn waist(
        &self,
        side: T,
        amount: T,
        curve: &SideCurve<T>,
        mut measure: impl FnMut(&Stretch<T>),
    ) -> Waist<T> {
        let zero = T::constant(0.0);
        let mut waist = Waist { stretches: ArrayVec::new(), ends: [zero; MOST_DARTS + 1], lowering: zero };
        self.stretches(
            side,
            amount,
            curve,
            #[inline(always)]
            |stretch| {
                measure(&stretch);
                waist.stretches.push(stretch);
            },
        );
        for (stretch, end) in waist.stretches.iter().zip(&mut waist.ends).rev() {
            *end = waist.lowering;
            waist.lowering += stretch.rise;
        }
        waist
    }
}

impl<T: Number> Waist<T> {
    /// One of its curves, counted from the centre.
    #[inline(always)]
    pub(super) fn curve(&self, k: usize) -> Cubic<T> {
        self.stretches[k].cubic(self.ends[k])
    }

    /// One of the darts as corners: the ends of the curves to its sides and the tip between, which stands on the grain.
    #[inline(always)]
    pub(super) fn corners(&self, k: usize, length: T) -> Corners<T> {
        let ([before, after], y) = ([k, k + 1].map(|k| &self.stretches[k]), self.ends[k]);
        corners(Point::new(before.start + before.run, y), Point::new(after.start, y), length)
    }

    /// The least cloth between two neighbours, straight across between the ends as they are drawn.
    #[inline(always)]
    pub(super) fn narrowest(&self) -> T {
        let mut narrowest = T::constant(f64::INFINITY);
        for stretch in &self.stretches {
            narrowest = narrowest.smaller(stretch.start + stretch.run - stretch.start);
        }
        narrowest
    }
}

/// The corners of a dart between two points of the waist at one height: inner, tip, outer.
#[inline(always)]
pub(super) fn corners<T: Number>(inner: Point<T>, outer: Point<T>, length: T) -> Corners<T> {
    let half = (outer.x - inner.x) * T::constant(0.5);
    [inner, Point::new(inner.x + half, inner.y + length), outer]
}

impl<T: Scalar> PanelPlan<T> {
    /// The finished panel.
    pub(super) fn panel(&self, side: T, amount: T, curve: &SideCurve<T>, length: T) -> Panel<T> {
        let loss = side * T::constant(0.5);
        let waist = self.waist(side, amount, curve, |_| {});
        let corners = |k: usize| waist.corners(k, self.darts[k].length);
        let dart = |(k, plan): (usize, &DartPlan<T>)| {
            let [inner, _, outer] = corners(k);
            Dart::new(inner, outer, plan.length)
        };
        let darts: Vec<_> = self.darts.iter().enumerate().map(dart).collect();
        let mut edges = Vec::with_capacity(3 * darts.len() + 5);
        let side = curve.cubic(self.width, loss);
        outline(self.width, darts.len(), |k| waist.curve(k), corners, side, length, |edge| edges.push(edge));
        let (half, width) = (self.half, self.width);
        Panel { half, width, waist_width: width - loss, waist_lowering: waist.lowering, darts, edges }
    }
}

/// Visits the edges of a panel of width `w` in order, from the centre of the waist round by the side and the hem: so many
/// darts, each between two curves of the waist.
#[inline(always)]
pub(crate) fn outline<T: Number>(
    w: T,
    darts: usize,
    waist: impl Fn(usize) -> Cubic<T>,
    corners: impl Fn(usize) -> Corners<T>,
    side: Cubic<T>,
    length: T,
    mut visit: impl FnMut(Edge<T>),
) {
    let zero = T::constant(0.0);
    let (hem_side, hem_centre) = (Point::new(w, length), Point::new(zero, length));
    let mut centre = hem_centre;
    for k in 0..=darts {
        let cubic = waist(k);
        if k == 0 {
            centre = cubic.points[0];
        }
        visit(Edge { role: Role::Waist, path: Path::Cubic(cubic) });
        if k < darts {
            let [inner, tip, outer] = corners(k);
            visit(Edge { role: Role::Dart, path: Path::Line([inner, tip]) });
            visit(Edge { role: Role::Dart, path: Path::Line([tip, outer]) });
        }
    }
    visit(Edge { role: Role::Side, path: Path::Cubic(side) });
    visit(Edge { role: Role::Side, path: Path::Line([side.points[3], hem_side]) });
    visit(Edge { role: Role::Hem, path: Path::Line([hem_side, hem_centre]) });
    visit(Edge { role: Role::Centre, path: Path::Line([hem_centre, centre]) });
}

impl<T: Number> DartPlan<T> {
    #[inline(always)]
    fn centre(&self, waist: T) -> T {
        match self.place {
            Place::Place(share) => waist * share,
            Place::Centre(distance) => distance,
        }
    }
}
