//! One panel of the draft: the stretches of its waist between the darts, and its finished outline.
//!
//! A seam that leans by an angle from the vertical meets the waist square where the waist tilts by the same angle from
//! the horizontal. Angles are held as directions at half the angle, so that the geometry needs only `+ − × ÷ √`.

use arrayvec::ArrayVec;

use super::apportion::PlannedPanelDarts;
use super::centre::SlantedCentre;
use super::side::SideSeamShape;
use super::tilt::WaistTilt;
use super::{Dart, Edge, Half, Panel, Role};
use crate::body::{DartPosition, MAX_DARTS_PER_PANEL};
use crate::geometry::{Cubic, Path, Point, Vector, cross, norm};
use crate::scalar::{Mask, Number, Scalar, inlined};

/// Plan of one panel: everything that is decided about the panel before the waist is closed.
pub(super) struct PlannedPanel<T> {
    pub(super) half: Half,
    /// Width of the panel at the hip line, in centimetres.
    pub(super) width: T,
    /// Distance in centimetres by which a rule lowers the waist at the centre, below square corners or as measured.
    pub(super) extra_lowering: T,
    /// Whether each stretch of the waist is mirror-symmetric: true where neither rule nor figure moves the centre.
    pub(super) is_symmetric: bool,
    /// Centre seam that slants above the hip line; `None` for a vertical centre.
    pub(super) slanted_centre: Option<SlantedCentre<T>>,
    pub(super) darts: PlannedPanelDarts<T>,
}

/// Coefficients of a power series in `w`: arc length of a symmetric stretch of waist, divided by its chord.
///
/// `w` is the squared tangent of a quarter of the turn. On a chord of 1, with `u` from −1 to 1, the curve has velocity
/// `(1 + w/2 − 3/2 w u², 2 √w u) / 2`. The relative length is the integral over `u` from 0 to 1 of
/// `√(1 + w (1 + u²) + w² (1/4 − 3/2 u² + 9/4 u⁴))`, whose binomial series is integrated term by term.
const WAIST_ARC_SERIES: [f64; 11] = [
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

/// Maximum `w` for [`WAIST_ARC_SERIES`], the squared tangent of a quarter of a turn of about 45°.
///
/// At the maximum the first omitted term, `0.192 w¹¹`, is a relative 8e-17.
const MAX_WAIST_ARC_SERIES_W: f64 = 0.04;

/// Stretch of the waist between two neighbours (centre line, dart leg, side seam), at right angles to both.
#[derive(Clone, Copy, Debug)]
pub(super) struct WaistStretch<T> {
    /// Distance from the centre line to the start of the stretch, its end nearer the centre, in centimetres.
    pub(super) start: T,
    run: T,
    /// Height in centimetres of the end of the stretch, nearer the side, above its start; negative if lower.
    pub(super) rise: T,
    pub(super) chord: T,
    /// Squared tangent of a quarter of the angle by which the stretch turns.
    w: T,
    /// Length of the cubic's handles in centimetres, divided by the product of [`WaistTilt::length`] at both ends.
    handle_scale: T,
    /// Whether the stretch is mirror-symmetric about the middle of its chord.
    pub(super) is_symmetric: bool,
    tilts: [WaistTilt<T>; 2],
}

/// Side seam at the waist of back and front: its loss (distance inside the hip width) and its lean from the vertical.
pub(super) struct SideSeamAtWaist<T> {
    /// Distance in centimetres by which the side edge lies inside the panel's hip width.
    pub(super) loss: T,
    lean: WaistTilt<T>,
}

/// Shape of a panel's waist, as a tuple: the side seam at the waist; the total intake that the shares assign to the
/// panel's darts; the depth of the centre below its height with square corners, or `None` if every stretch is
/// symmetric.
pub(super) type WaistShape<'a, T> = (&'a SideSeamAtWaist<T>, T, Option<T>);

impl<T: Number> SideSeamAtWaist<T> {
    /// Derives loss and lean of the side seam at the waist from `total_loss`, the loss of back and front edge together
    /// in centimetres.
    #[inline(always)]
    pub(super) fn from_loss_of_both_edges(total_loss: T, curve: &SideSeamShape<T>) -> Self {
        let loss = total_loss * T::constant(0.5);
        Self { loss, lean: WaistTilt::new(loss * curve.fullness, curve.depth) }
    }
}

impl<T: Number> WaistStretch<T> {
    /// Creates the stretch between two distances from the centre line, in centimetres, with the tilts at its two ends.
    ///
    /// The chord rises like the chord of a circular arc with the same tilts, plus `extra_slope` times the run. The
    /// handle is `chord / (3 cos²(turn / 4))`, the usual handle of a circular arc.
    #[inline(always)]
    pub(super) fn new(start: T, end: T, tilts: [WaistTilt<T>; 2], extra_slope: Option<T>) -> Self {
        let run = end - start;
        let [a, b] = tilts;
        let (level, across, length) = (a.along * b.along, a.up * b.up, a.length * b.length);
        // Read as complex numbers, the product of the tilts `a` and `b` points along the chord, and `a` times the
        // conjugate of `b` at half the turn. Each product has the modulus `length`; `chord_part` and `turn_part` are
        // the real parts.
        let (chord_part, turn_part) = (level - across, level + across);
        // One division yields two inverses, as a division is slow.
        let sum = length + turn_part;
        let inverse = T::constant(1.0).quotient(chord_part * sum);
        let (run_scale, inverse_sum) = (run * (sum * inverse), chord_part * inverse);
        let (mut rise, mut chord) = (run_scale * (a.along * b.up + a.up * b.along), run_scale * length);
        if let Some(extra_slope) = extra_slope {
            rise += extra_slope * run;
            chord = norm(Vector::new(run, rise));
        }
        let handle_scale = chord * inverse_sum * T::constant(2.0 / 3.0);
        let w = (length - turn_part) * inverse_sum;
        Self { start, run, rise, chord, w, handle_scale, is_symmetric: extra_slope.is_none(), tilts }
    }

    /// Returns the distance in centimetres from the centre line to the end of the stretch nearer the side.
    #[inline(always)]
    pub(super) fn end_distance_from_centre(&self) -> T {
        self.start + self.run
    }

    /// Returns start and end of the stretch; `end_y` is the `y` of its end, nearer the side.
    #[inline(always)]
    pub(super) fn ends_with_end_y(&self, end_y: T) -> [Point<T>; 2] {
        [Point::new(self.start, end_y + self.rise), Point::new(self.end_distance_from_centre(), end_y)]
    }

    /// Returns the stretch as a cubic curve; `end_y` is the `y` of its end nearer the side.
    #[inline(always)]
    pub(super) fn cubic_with_end_y(&self, end_y: T) -> Cubic<T> {
        let ([start, end], [a, b], handle) = (self.ends_with_end_y(end_y), self.tilts, self.handle_length());
        let (a, b) = (a.unit_vector_along_waist(), b.unit_vector_along_waist());
        Cubic::new([start, start + a * handle, end - b * handle, end])
    }

    /// Returns the length in centimetres of each of the two equal handles of the stretch's cubic curve.
    #[inline(always)]
    fn handle_length(&self) -> T {
        let [a, b] = self.tilts;
        a.length * b.length * self.handle_scale
    }

    /// Returns the signed area between the stretch and the level of the waist at the side, in square centimetres:
    /// positive where the stretch lies lower. `end_y` is the `y` of the end nearer the side.
    ///
    /// Between curve and chord of a symmetric stretch with chord `c`, handle `h` and half the turn `δ`, the area is
    /// `3/10 h sin δ (2c − h cos δ)`.
    #[inline(always)]
    pub(super) fn area_up_to_side_waist_level(&self, end_y: T) -> T {
        let up_to_chord = self.run * (end_y + self.rise * T::constant(0.5));
        let ([a, b], handle_scale, chord) = (self.tilts, self.handle_scale, self.chord);
        if self.is_symmetric {
            let (sine, cosine) = (a.up * b.along - a.along * b.up, a.along * b.along + a.up * b.up);
            return up_to_chord - sine * handle_scale * (chord + chord - cosine * handle_scale) * T::constant(0.3);
        }
        let (a, b, handle) = (a.unit_vector_along_waist(), b.unit_vector_along_waist(), self.handle_length());
        let chord = Vector::new(self.run, -self.rise);
        up_to_chord - (cross(a - b, chord) * T::constant(2.0) - cross(a, b) * handle) * handle * T::constant(0.15)
    }

    /// Returns the arc length of the stretch, and a mask of the lanes in which the length is exact. A lane whose
    /// stretch bends too much for the series, or for the quadrature, is inexact: its exact length would
    /// slow all lanes.
    #[inline(always)]
    pub(super) fn length_where_exact(&self) -> (T, T::Mask) {
        if T::HAS_LANES && !self.is_symmetric {
            let steps = self.cubic_with_end_y(T::constant(0.0)).control_point_differences();
            return T::out_of_line(inlined!(|| steps.arc_length_where_exact()));
        }
        // Estrin's scheme evaluates the terms of the series for a symmetric stretch in parallel.
        let (w, c) = (self.w, |k: usize| T::constant(WAIST_ARC_SERIES[k]));
        let square = w * w;
        let fourth = square * square;
        let low = c(0) + c(1) * w + (c(2) + c(3) * w) * square;
        let middle = c(4) + c(5) * w + (c(6) + c(7) * w) * square;
        let high = c(8) + c(9) * w + c(10) * square;
        let length = self.chord * (low + (middle + high * fourth) * fourth);
        let converges = w.le(T::constant(MAX_WAIST_ARC_SERIES_W));
        let is_exact = converges & T::Mask::uniform(self.is_symmetric);
        if T::HAS_LANES || is_exact.all() {
            return (length, is_exact);
        }
        (self.length_by_quadrature(), T::Mask::uniform(true))
    }

    /// Returns the arc length by quadrature. Takes `self` by value: a reference would keep all stretches in memory.
    #[cold]
    #[inline(never)]
    fn length_by_quadrature(self) -> T {
        self.cubic_with_end_y(T::constant(0.0)).length()
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Calls `visit` with index and value of each stretch of the panel's waist, from the side to the centre, where the
    /// index is 0.
    ///
    /// The waist starts at height 0 at the side; each stretch starts at the height where the previous one ends.
    #[inline(always)]
    pub(super) fn visit_waist_stretches_from_side(
        &self,
        shape: WaistShape<T>,
        visit: impl FnMut(usize, WaistStretch<T>),
    ) {
        let (seam, intake, extra_lowering) = shape;
        // Two calls, so that the compiler folds the constants of a vertical centre.
        match &self.slanted_centre {
            None => {
                let extra_slope = extra_lowering
                    .map(inlined!(|lowering: T| lowering.quotient(self.cloth_width_at_waist(seam, intake))));
                let start = (T::constant(0.0), WaistTilt::zero_tilt(), extra_slope);
                self.visit_waist_stretches_with_start(seam, intake, start, visit);
            }
            Some(centre) => {
                let start = self.waist_start_at_slanted_centre(centre, shape);
                self.visit_waist_stretches_with_start(seam, intake, start, visit);
            }
        }
    }

    /// Calls `visit` with index and value of each stretch of the panel's waist, from the side to the centre, where the
    /// index is 0. At the centre, the waist has the given distance from the vertical centre line and the given tilt;
    /// all stretches have the extra slope, if there is one.
    #[inline(always)]
    fn visit_waist_stretches_with_start(
        &self,
        seam: &SideSeamAtWaist<T>,
        intake: T,
        (start, tilt, extra_slope): (T, WaistTilt<T>, Option<T>),
        mut visit: impl FnMut(usize, WaistStretch<T>),
    ) {
        let (end, end_tilt) = self.visit_waist_stretches_except_centre(seam, intake, extra_slope, &mut visit);
        visit(0, WaistStretch::new(start, end, [tilt, end_tilt], extra_slope));
    }

    /// Calls `visit` with index and value of each stretch of the panel's waist, from the side, except the stretch at
    /// the centre. Returns the distance in centimetres from the centre line to the outer end of that stretch, and the
    /// tilt there.
    #[inline(always)]
    pub(super) fn visit_waist_stretches_except_centre(
        &self,
        seam: &SideSeamAtWaist<T>,
        intake: T,
        extra_slope: Option<T>,
        visit: &mut impl FnMut(usize, WaistStretch<T>),
    ) -> (T, WaistTilt<T>) {
        let (waist, mut end_tilt) = (self.width - seam.loss, seam.lean);
        let mut end = waist;
        for (k, dart) in self.darts.iter().enumerate().rev() {
            // Shares of the width count from the inset of a slanted centre.
            let centre = match (dart.position, &self.slanted_centre) {
                (DartPosition::Share(share), None) => waist * share,
                (DartPosition::Share(share), Some(centre)) => (waist - centre.inset) * share + centre.inset,
                (DartPosition::Centre(distance), _) => distance,
            };
            let half_intake = dart.intake_from_panel_intake(intake) * T::constant(0.5);
            let leg = WaistTilt::new(half_intake, dart.length);
            // The call is through `*visit`: called through the reference, the closure would not be inlined.
            (*visit)(
                k + 1,
                WaistStretch::new(centre + half_intake, end, [WaistTilt { up: -leg.up, ..leg }, end_tilt], extra_slope),
            );
            (end, end_tilt) = (centre - half_intake, leg);
        }
        (end, end_tilt)
    }

    /// Returns the width of cloth at the waist in centimetres: straight across from the centre line to the side, less
    /// the intakes of the darts.
    #[inline(always)]
    pub(super) fn cloth_width_at_waist(&self, seam: &SideSeamAtWaist<T>, intake: T) -> T {
        let mut cloth = self.width - seam.loss;
        for dart in &self.darts {
            cloth -= dart.intake_from_panel_intake(intake);
        }
        cloth
    }
}

/// Returns the tip of a vertical dart; the ends of its mouth, `inner` and `outer`, lie at one height.
#[inline(always)]
pub(super) fn vertical_dart_tip<T: Number>(inner: Point<T>, outer: Point<T>, length: T) -> Point<T> {
    Point::new(inner.x + (outer.x - inner.x) * T::constant(0.5), inner.y + length)
}

impl<T: Scalar> PlannedPanel<T> {
    /// Builds the finished panel with darts and outline; `hem` is the depth of the hem below the waist at the side. A
    /// table has the same numbers from `measure_waist_and_darts` (`summary.rs`).
    pub(super) fn build_panel(&self, shape: WaistShape<T>, curve: &SideSeamShape<T>, hem: T) -> Panel<T> {
        let mut waist_lowering = T::constant(0.0);
        let mut waist = ArrayVec::<Cubic<T>, { MAX_DARTS_PER_PANEL + 1 }>::new();
        self.visit_waist_stretches_from_side(shape, |_, stretch| {
            waist.push(stretch.cubic_with_end_y(waist_lowering));
            waist_lowering += stretch.rise;
        });
        waist.reverse();
        let dart = |k: usize| Dart::from_mouth(waist[k].points[3], waist[k + 1].points[0], self.darts[k].length);
        let darts = (0..self.darts.len()).map(dart).collect();
        let (half, width, loss) = (self.half, self.width, shape.0.loss);
        let (side, slant) = (curve.side_seam_cubic(width, loss), self.slanted_centre.map(|centre| centre.depth));
        Panel::from_curves_and_darts(half, [width, width - loss], &waist, darts, side, (hem, slant))
    }
}

impl<T: Scalar> Panel<T> {
    /// Creates a panel from its widths at hip line and waist, the stretches of its waist from the centre, one more than
    /// darts, and the part of its side seam above the hip line.
    ///
    /// `hem` is the depth of the hem below the waist at the side. `slant` is the depth above which a slanted centre
    /// runs to the waist; `None` for a vertical centre.
    pub(crate) fn from_curves_and_darts(
        half: Half,
        [width, waist_width]: [T; 2],
        waist: &[Cubic<T>],
        darts: Vec<Dart<T>>,
        side: Cubic<T>,
        (hem, slant): (T, Option<T>),
    ) -> Self {
        let (zero, waist_centre) = (T::constant(0.0), waist[0].points[0]);
        let (hem_side, hem_centre) = (Point::new(width, hem), Point::new(zero, hem));
        let mut edges = Vec::with_capacity(3 * darts.len() + 6);
        let mut push = |role, path| edges.push(Edge { role, path });
        for (k, cubic) in waist.iter().enumerate() {
            push(Role::Waist, Path::Cubic(*cubic));
            if let Some(Dart { inner, tip, outer, .. }) = darts.get(k) {
                push(Role::Dart, Path::Line([*inner, *tip]));
                push(Role::Dart, Path::Line([*tip, *outer]));
            }
        }
        push(Role::Side, Path::Cubic(side));
        push(Role::Side, Path::Line([side.points[3], hem_side]));
        push(Role::Hem, Path::Line([hem_side, hem_centre]));
        let slant = slant.map(|depth| Point::new(zero, depth));
        if let Some(hip_centre) = slant {
            push(Role::Centre, Path::Line([hem_centre, hip_centre]));
        }
        push(Role::Centre, Path::Line([slant.unwrap_or(hem_centre), waist_centre]));
        Self { half, width, waist_width, waist_lowering: waist_centre.y, darts, edges }
    }
}
