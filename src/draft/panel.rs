//! One panel: where everything stands on its waist, and its finished edges.
//!
//! Angles are held as **half-angle tangents**, so that all of it needs only `+ − × ÷ √`. A seam that leans by `b` from
//! the upright meets the waist square where the waist tilts by `b` from the level.

use arrayvec::ArrayVec;

use super::apportion::{DartPlan, DartPlans};
use super::{Dart, Edge, Half, Panel, Role};
use crate::body::{MOST_DARTS, Place};
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::Scalar;

/// What is decided about a panel before its waist is closed.
#[derive(Clone, Debug)]
pub(super) struct PanelPlan<T> {
    pub(super) half: Half,
    /// Width at the hip line.
    pub(super) width: T,
    /// By how much the centre is lowered on purpose.
    pub(super) lower: T,
    pub(super) darts: DartPlans<T>,
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

impl<T: Scalar> Tilt<T> {
    fn level() -> Self {
        Self { half_tangent: T::constant(0.0), half_cosine_squared: T::constant(1.0) }
    }

    /// The angle whose tangent is `opposite / adjacent`, for a positive `adjacent`.
    fn new(opposite: T, adjacent: T) -> Self {
        let half_tangent = opposite.over(adjacent + norm(Vector::new(opposite, adjacent)));
        let half_cosine_squared = T::constant(1.0).over(T::constant(1.0) + half_tangent * half_tangent);
        Self { half_tangent, half_cosine_squared }
    }

    /// The same angle the other way.
    fn mirrored(self) -> Self {
        Self { half_tangent: -self.half_tangent, ..self }
    }

    /// The direction of travel towards the side; upwards is −y.
    fn direction(self) -> Vector<T> {
        let t = self.half_tangent;
        Vector::new(T::constant(1.0) - t * t, -(t + t)) * self.half_cosine_squared
    }
}

impl<T: Scalar> Stretch<T> {
    /// A stretch from `start` to `end` along the panel; its chord rises like that of a circular arc with these tilts,
    /// and by `slope` more.
    fn new(start: T, end: T, tilts: [Tilt<T>; 2], slope: T) -> Self {
        let run = end - start;
        let [a, b] = tilts.map(|tilt| tilt.half_tangent);
        Self { start, run, rise: (run * (a + b)).over(T::constant(1.0) - a * b) + slope * run, tilts }
    }

    /// The curve with its far end at height `end_y`: handles of chord / (3 cos² of a quarter of the turn), which on a
    /// circular arc are the well-known ones.
    #[inline]
    pub(super) fn cubic(&self, end_y: T) -> Cubic<T> {
        let one = T::constant(1.0);
        let [a, b] = self.tilts;
        // The cosine of half the turn, and by it 2 cos² of a quarter.
        let cosine = (one + a.half_tangent * b.half_tangent) * (a.half_cosine_squared * b.half_cosine_squared).sqrt();
        let chord = norm(Vector::new(self.run, self.rise));
        let handle = (chord * T::constant(2.0)).over(T::constant(3.0) * (one + cosine));
        let start = Point::new(self.start, end_y + self.rise);
        let end = Point::new(self.start + self.run, end_y);
        Cubic::new([start, start + a.direction() * handle, end - b.direction() * handle, end])
    }

    #[inline]
    pub(super) fn length(&self) -> T {
        self.cubic(T::constant(0.0)).length()
    }
}

impl<T: Scalar> PanelPlan<T> {
    /// The same plan over another scalar.
    pub(super) fn map<U: Scalar>(&self, f: &mut impl FnMut(T) -> U) -> PanelPlan<U> {
        PanelPlan {
            half: self.half,
            width: f(self.width),
            lower: f(self.lower),
            darts: self.darts.iter().map(|dart| dart.map(f)).collect(),
        }
    }

    /// The stretches of the waist, from the centre to the side, where the side seams together lose `side` and the panel
    /// takes `amount` by shares. Both side seams are one curve, so each loses half.
    #[inline]
    pub(super) fn stretches(&self, side: T, amount: T, hip_depth: T) -> impl Iterator<Item = Stretch<T>> {
        let loss = side * T::constant(0.5);
        let waist = self.width - loss;
        let cloth = self.darts.iter().fold(waist, |left, dart| left - dart.intake(amount));
        let slope = self.lower.over(cloth);
        let seam = Tilt::new(loss * T::constant(1.5), hip_depth);
        let (mut start, mut tilt) = (T::constant(0.0), Tilt::level());
        self.darts.iter().map(Some).chain([None]).map(move |dart| {
            let Some(dart) = dart else { return Stretch::new(start, waist, [tilt, seam], slope) };
            let half = dart.intake(amount) * T::constant(0.5);
            let (centre, lean) = (dart.centre(waist), Tilt::new(half, dart.length));
            let stretch = Stretch::new(start, centre - half, [tilt, lean], slope);
            (start, tilt) = (centre + half, lean.mirrored());
            stretch
        })
    }

    /// The finished panel.
    pub(super) fn panel(&self, side: T, amount: T, hip_depth: T, length: T) -> Panel<T> {
        let loss = side * T::constant(0.5);
        let stretches: ArrayVec<Stretch<T>, { MOST_DARTS + 1 }> = self.stretches(side, amount, hip_depth).collect();
        let mut y = T::constant(0.0);
        let mut waist: ArrayVec<Cubic<T>, { MOST_DARTS + 1 }> = ArrayVec::new();
        for stretch in stretches.iter().rev() {
            let cubic = stretch.cubic(y);
            y = cubic.points[0].y;
            waist.push(cubic);
        }
        waist.reverse();
        let darts: Vec<Dart<T>> = self.darts.iter().zip(waist.windows(2)).map(|(plan, pair)| plan.dart(pair)).collect();
        let edges = outline(self.width, &waist, &darts, loss, hip_depth, length);
        Panel { half: self.half, width: self.width, waist_width: self.width - loss, waist_lowering: y, darts, edges }
    }
}

/// The edges of a panel of width `w` in order, from the centre of the waist round by the side and the hem.
pub(crate) fn outline<T: Scalar>(
    w: T,
    waist: &[Cubic<T>],
    darts: &[Dart<T>],
    loss: T,
    hip_depth: T,
    length: T,
) -> Vec<Edge<T>> {
    let mut edges = Vec::with_capacity(3 * darts.len() + 5);
    let mut push = |role, path| edges.push(Edge { role, path });
    for (index, cubic) in waist.iter().enumerate() {
        push(Role::Waist, Path::Cubic(*cubic));
        if let Some(dart) = darts.get(index) {
            push(Role::Dart, Path::Line([dart.inner, dart.tip]));
            push(Role::Dart, Path::Line([dart.tip, dart.outer]));
        }
    }
    let zero = T::constant(0.0);
    let hip = Point::new(w, hip_depth);
    let (hem_side, hem_centre) = (Point::new(w, length), Point::new(zero, length));
    push(Role::Side, Path::Cubic(side_seam(w, loss, hip_depth)));
    push(Role::Side, Path::Line([hip, hem_side]));
    push(Role::Hem, Path::Line([hem_side, hem_centre]));
    push(Role::Centre, Path::Line([hem_centre, waist[0].points[0]]));
    edges
}

impl<T: Scalar> DartPlan<T> {
    fn centre(&self, waist: T) -> T {
        match self.place {
            Place::Place(share) => waist * share,
            Place::Centre(distance) => distance,
        }
    }

    /// The dart between two neighbouring curves of the waist.
    fn dart(&self, pair: &[Cubic<T>]) -> Dart<T> {
        Dart::new(pair[0].points[3], pair[1].points[0], self.length)
    }
}

/// The side seam from the waist down to the hip line: the natural spline clamped upright at the hip and free at the
/// waist, which is exactly this cubic.
fn side_seam<T: Scalar>(width: T, loss: T, hip_depth: T) -> Cubic<T> {
    let third = hip_depth.over(T::constant(3.0));
    Cubic::new([
        Point::new(width - loss, T::constant(0.0)),
        Point::new(width - loss * T::constant(0.5), third),
        Point::new(width, third + third),
        Point::new(width, hip_depth),
    ])
}
