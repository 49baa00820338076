//! One panel: where everything stands on its waist, and its finished edges.
//!
//! Angles are held as **directions at half the angle**, of any length, so that all of it needs only `+ − × ÷ √`, and few of
//! the last two. A seam that leans by `b` from the upright meets the waist square where the waist tilts by `b` from the level.

use arrayvec::ArrayVec;

use super::apportion::{DartPlan, DartPlans};
use super::side::SideCurve;
use super::{Dart, Edge, Half, Panel, Role};
use crate::body::{DartPosition, MAX_DARTS};
use crate::geometry::{Cubic, Path, Point, Vector, cross, norm};
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
    pub(super) symmetric: bool,
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
pub(super) const MAX_W: f64 = 0.04;

/// The corners of a dart: where the leg next to the centre meets the waist, the tip, and where the other leg does.
pub(super) type Corners<T> = [Point<T>; 3];

/// A stretch of waist between two neighbours, square to both.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch<T> {
    pub(super) start: T,
    run: T,
    /// How far its start lies below its end.
    pub(super) rise: T,
    chord: T,
    /// The square of the tangent of a quarter of its turn.
    w: T,
    /// A handle for the lengths of both tilts.
    handle_scale: T,
    /// Whether it is its own mirror image.
    pub(super) symmetric: bool,
    tilts: [Tilt<T>; 2],
}

/// An angle of the waist from the level, positive where it rises towards the side: a direction at half the angle.
#[derive(Clone, Copy, Debug)]
struct Tilt<T> {
    along: T,
    up: T,
    length: T,
    /// The sides of the whole angle: next to it, and the longest.
    adjacent: T,
    hypotenuse: T,
}

impl<T: Number> Tilt<T> {
    #[inline(always)]
    fn level() -> Self {
        let (zero, one) = (T::constant(0.0), T::constant(1.0));
        Self { along: one, up: zero, length: one, adjacent: one, hypotenuse: one }
    }

    /// The angle whose tangent is `opposite / adjacent`, for a positive `adjacent`: half-way between the hypotenuse and the
    /// level lies the sum of the one and as much of the other.
    #[inline(always)]
    fn new(opposite: T, adjacent: T) -> Self {
        let hypotenuse = norm(Vector::new(opposite, adjacent));
        let along = adjacent + hypotenuse;
        let length = (T::constant(2.0) * hypotenuse * along).sqrt();
        Self { along, up: opposite, length, adjacent, hypotenuse }
    }

    /// The same angle the other way.
    #[inline(always)]
    fn mirrored(self) -> Self {
        Self { up: -self.up, ..self }
    }

    /// The direction of travel towards the side; upwards is −y.
    #[inline(always)]
    fn direction(self) -> Vector<T> {
        let share = T::constant(1.0).quotient(self.hypotenuse);
        Vector::new(self.adjacent * share, -self.up * share)
    }
}

/// The side seam at the waist, the same for back and front.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seam<T> {
    /// What it takes: half of what both take.
    pub(super) loss: T,
    lean: Tilt<T>,
}

impl<T: Number> Seam<T> {
    /// Where both seams of this curve take so much.
    #[inline(always)]
    pub(super) fn new(both: T, curve: &SideCurve<T>) -> Self {
        let loss = both * T::constant(0.5);
        let [opposite, adjacent] = curve.lean(loss);
        Self { loss, lean: Tilt::new(opposite, adjacent) }
    }
}

impl<T: Number> Stretch<T> {
    /// A stretch from `start` to `end` along the panel; its chord rises like that of a circular arc with these tilts,
    /// and by `slope` more, if there is one. Its handles are chord / (3 cos² of a quarter of the turn), which on a circular
    /// arc are the well-known ones.
    #[inline(always)]
    fn new(start: T, end: T, tilts: [Tilt<T>; 2], slope: Option<T>) -> Self {
        let run = end - start;
        let [a, b] = tilts;
        let (level, across, length) = (a.along * b.along, a.up * b.up, a.length * b.length);
        // One times the other, as complex numbers, points along the chord, at half the sum of the angles; one over the other is
        // at half the turn. They are of this length, and so much of it is level.
        let (product, quotient) = (level - across, level + across);
        // One division does for two, as it takes longer than all the rest.
        let sum = length + quotient;
        let inverse = T::constant(1.0).quotient(product * sum);
        let (share, twice) = (run * (sum * inverse), product * inverse);
        let (mut rise, mut chord) = (share * (a.along * b.up + a.up * b.along), share * length);
        if let Some(slope) = slope {
            rise += slope * run;
            chord = norm(Vector::new(run, rise));
        }
        let handle_scale = chord * twice * T::constant(2.0 / 3.0);
        Self {
            start,
            run,
            rise,
            chord,
            w: (length - quotient) * twice,
            handle_scale,
            symmetric: slope.is_none(),
            tilts,
        }
    }

    /// Where it ends along the panel.
    #[inline(always)]
    pub(super) fn end(&self) -> T {
        self.start + self.run
    }

    /// The curve with its far end at height `end_y`.
    #[inline(always)]
    pub(super) fn cubic(&self, end_y: T) -> Cubic<T> {
        let ([a, b], handle) = (self.tilts.map(Tilt::direction), self.handle());
        let start = Point::new(self.start, end_y + self.rise);
        let end = Point::new(self.end(), end_y);
        Cubic::new([start, start + a * handle, end - b * handle, end])
    }

    #[inline(always)]
    fn handle(&self) -> T {
        let [a, b] = self.tilts;
        a.length * b.length * self.handle_scale
    }

    /// The area between the curve and the level of the side, with its far end at height `end_y`: what is under the chord, and
    /// what is between chord and curve.
    #[inline(always)]
    pub(super) fn above(&self, end_y: T) -> T {
        self.run * (end_y + self.rise * T::constant(0.5)) - self.between()
    }

    /// The area between the curve and its chord: by the control points, exactly. Where a chord `c` and handles `h` are at half
    /// the turn `δ` on both ends, it comes to `3/10 h sin δ (2c − h cos δ)`.
    #[inline(always)]
    fn between(&self) -> T {
        let ([a, b], handle_scale, chord) = (self.tilts, self.handle_scale, self.chord);
        if self.symmetric {
            let (turn, quotient) = (a.up * b.along - a.along * b.up, a.along * b.along + a.up * b.up);
            return turn * handle_scale * (chord + chord - quotient * handle_scale) * T::constant(0.3);
        }
        let (a, b, handle) = (a.direction(), b.direction(), self.handle());
        let chord = Vector::new(self.run, -self.rise);
        (cross(a - b, chord) * T::constant(2.0) - cross(a, b) * handle) * handle * T::constant(0.15)
    }

    /// The length of a stretch that is its own mirror image, by the series of [`SERIES`], and the bow that must not be over
    /// [`MAX_BOW`] for it to hold.
    #[inline(always)]
    pub(super) fn symmetric_length(&self) -> (T, T) {
        let w = self.w;
        // In pairs, which wait for each other less than one after the other.
        let (square, c) = (w * w, |k: usize| T::constant(SERIES[k]));
        let fourth = square * square;
        let low = c(0) + c(1) * w + (c(2) + c(3) * w) * square;
        let middle = c(4) + c(5) * w + (c(6) + c(7) * w) * square;
        let high = c(8) + c(9) * w + c(10) * square;
        let ratio = low + (middle + high * fourth) * fourth;
        (self.chord * ratio, w)
    }
}

impl<T: Copy> PanelPlan<T> {
    /// The same plan over another scalar.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> PanelPlan<U> {
        PanelPlan {
            half: self.half,
            width: f(self.width),
            lower: f(self.lower),
            symmetric: self.symmetric,
            darts: self.darts.iter().map(|dart| dart.map(f)).collect(),
        }
    }
}

impl<T: Number> PanelPlan<T> {
    /// Visits the stretches of the waist, with their places from the centre, where the panel takes `amount` by shares.
    ///
    /// They come from the side, whose height is 0, to the centre, so that the height of each follows from those before.
    #[inline(always)]
    pub(super) fn stretches(&self, seam: &Seam<T>, amount: T, mut visit: impl FnMut(usize, Stretch<T>)) {
        let waist = self.width - seam.loss;
        let slope = if self.symmetric { None } else { Some(self.slope(waist, amount)) };
        let (mut end, mut lean) = (waist, seam.lean);
        for (k, dart) in self.darts.iter().enumerate().rev() {
            let (centre, mouth) = (dart.centre(waist), dart.intake(amount) * T::constant(0.5));
            let leg = Tilt::new(mouth, dart.length);
            visit(k + 1, Stretch::new(centre + mouth, end, [leg.mirrored(), lean], slope));
            (end, lean) = (centre - mouth, leg);
        }
        visit(0, Stretch::new(T::constant(0.0), end, [Tilt::level(), lean], slope));
    }

    /// By how much the chords of the waist rise for their run, to lower the centre.
    #[inline(always)]
    fn slope(&self, waist: T, amount: T) -> T {
        let mut cloth = waist;
        for dart in &self.darts {
            cloth -= dart.intake(amount);
        }
        self.lower.quotient(cloth)
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
    pub(super) fn panel(&self, seam: &Seam<T>, amount: T, curve: &SideCurve<T>, length: T) -> Panel<T> {
        let mut waist_lowering = T::constant(0.0);
        let mut waist = ArrayVec::<Cubic<T>, { MAX_DARTS + 1 }>::new();
        self.stretches(seam, amount, |_, stretch| {
            waist.push(stretch.cubic(waist_lowering));
            waist_lowering += stretch.rise;
        });
        waist.reverse();
        let dart = |k: usize| Dart::new(waist[k].points[3], waist[k + 1].points[0], self.darts[k].length);
        let darts: Vec<_> = (0..self.darts.len()).map(dart).collect();
        let (half, width, loss) = (self.half, self.width, seam.loss);
        let side = curve.cubic(width, loss);
        let mut edges = Vec::with_capacity(3 * darts.len() + 5);
        outline(width, darts.len(), |k| waist[k], |k| darts[k].corners(), side, length, |edge| edges.push(edge));
        Panel { half, width, waist_width: width - loss, waist_lowering, darts, edges }
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
            DartPosition::Share(share) => waist * share,
            DartPosition::Centre(distance) => distance,
        }
    }
}
