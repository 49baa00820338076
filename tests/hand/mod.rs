//! The formulas of `src/method.md` in the order of the page, written without code of the library.
//!
//! They draft the skirt of the page: two darts in each panel, by the default rules, without limits. kurbo measures the
//! curves.

use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, ParamCurveDeriv, Point, Vec2};

/// Accuracy of the lengths of curves, in centimetres.
const LENGTH_ACCURACY: f64 = 1e-13;

/// Shares of the suppression in back and front by the default rules.
const SHARES: [f64; 2] = [0.3, 0.2];

/// Lengths of the darts of back and front, as shares of the hip depth.
const LENGTHS: [[f64; 2]; 2] = [[0.68, 0.62], [0.50, 0.45]];

/// Measurements, and ease at waist and hip, in centimetres.
#[derive(Clone, Copy)]
pub(crate) struct Skirt {
    pub(crate) waist: f64,
    pub(crate) hip: f64,
    pub(crate) depth: f64,
    pub(crate) ease: [f64; 2],
    /// Measured depths of the waist at the centre of back and front below the side.
    pub(crate) depths: [Option<f64>; 2],
    /// Distance of the centre back seam from the centre line at the level of the waist at the side.
    pub(crate) centre_back_in: f64,
    /// What the front is wider than a quarter of the hip.
    pub(crate) balance: f64,
    /// Shares of the suppression in back and front.
    pub(crate) shares: [f64; 2],
    /// Fullness of the side seam.
    pub(crate) fullness: f64,
}

/// The skirt of the page.
pub(crate) const SKIRT: Skirt = Skirt {
    waist: 74.0,
    hip: 101.0,
    depth: 20.5,
    ease: [1.5, 5.0],
    depths: [None; 2],
    centre_back_in: 0.0,
    balance: 1.0,
    shares: SHARES,
    fullness: 1.5,
};

/// A dart; all lengths are in centimetres.
#[derive(Clone, Copy)]
pub(crate) struct Dart {
    pub(crate) centre: f64,
    pub(crate) intake: f64,
    pub(crate) length: f64,
}

/// A panel with its waist line.
pub(crate) struct Panel {
    pub(crate) width: f64,
    /// Suppression at the side edge of this panel.
    pub(crate) loss: f64,
    /// Straight distance from the centre to the side at the waist.
    pub(crate) waist: f64,
    pub(crate) darts: [Dart; 2],
    pub(crate) stretches: Vec<CubicBez>,
}

impl Skirt {
    pub(crate) fn half_hip(self) -> f64 {
        f64::midpoint(self.hip, self.ease[1])
    }

    pub(crate) fn half_waist(self) -> f64 {
        f64::midpoint(self.waist, self.ease[0])
    }

    pub(crate) fn nominal(self) -> f64 {
        self.half_hip() - self.half_waist()
    }

    /// Returns the suppression of both side edges if the side seam leans by an angle at the waist.
    pub(crate) fn side_at_lean(self, degrees: f64) -> f64 {
        2.0 * degrees.to_radians().tan() * self.depth / 1.5
    }

    /// Drafts the back (`which` is 0) or the front (1) for a suppression of half the garment.
    pub(crate) fn panel(self, which: usize, suppression: f64) -> Panel {
        let width = self.half_hip() / 2.0 + [-self.balance, self.balance][which];
        let (inset, shared) = (self.inset(which), suppression - self.centre_back_in);
        let loss = 0.5 * shared / 2.0;
        let waist = width - loss;
        let dart = |k: usize| Dart {
            centre: inset + (waist - inset) * [1.0 / 3.0, 2.0 / 3.0][k],
            intake: self.shares[which] * shared / 2.0,
            length: LENGTHS[which][k] * self.depth,
        };
        let darts = [dart(0), dart(1)];
        let lean = (self.fullness * loss / self.depth).atan();
        // The waist meets the slanted seam where it comes out; each repetition finds that place more exactly.
        let (slant, mut start) = ((inset / self.depth).atan(), inset);
        for _ in 0..20 {
            let curves = waist_curves([start, slant], [waist, lean], darts, self.depths[which]);
            start = inset * (1.0 - curves[0].start().y / self.depth);
        }
        let stretches = waist_curves([start, slant], [waist, lean], darts, self.depths[which]);
        Panel { width, loss, waist, darts, stretches }
    }

    /// Returns the distance of the centre seam of a panel from the centre line at the level of the waist at the side.
    fn inset(self, which: usize) -> f64 {
        [self.centre_back_in, 0.0][which]
    }

    /// Returns the residual of closing: length of the waist line of half the garment, less half the sewn waist.
    pub(crate) fn residual(self, suppression: f64) -> f64 {
        self.panel(0, suppression).waist_length() + self.panel(1, suppression).waist_length() - self.half_waist()
    }

    /// Returns suppression and residual of each iteration of closing, until the residual is at most 1e-12.
    pub(crate) fn closing_iterations(self) -> Vec<[f64; 2]> {
        let mut iterations = vec![[self.nominal(), self.residual(self.nominal())]];
        while let [suppression, residual] = iterations[iterations.len() - 1]
            && residual.abs() > 1e-12
        {
            iterations.push([suppression + residual, self.residual(suppression + residual)]);
        }
        iterations
    }

    /// Returns the skirt whose front darts take the share at which half the sewn front waist has a length.
    pub(crate) fn with_half_front_waist(self, length: f64) -> Self {
        let darts = self.shares[0] + self.shares[1];
        let with_share = |share: f64| Self { shares: [darts - share, share], ..self };
        let (mut low, mut high) = (0.0, darts);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let skirt = with_share(middle);
            let is_long = skirt.panel(1, skirt.closed_suppression()).waist_length() > length;
            if is_long { low = middle } else { high = middle }
        }
        with_share(low)
    }

    pub(crate) fn closed_suppression(self) -> f64 {
        self.closing_iterations().last().map_or(f64::NAN, |[suppression, _]| *suppression)
    }

    /// Returns the distance of the side seam at a level from its position at the hip line.
    pub(crate) fn side_inset(self, loss: f64, level: f64) -> f64 {
        let u = (self.depth - level) / self.depth;
        loss * u * u * ((3.0 - self.fullness) + (self.fullness - 2.0) * u)
    }

    /// Returns the straight width of back and front at a level, without the open darts.
    pub(crate) fn flat_half_width(self, level: f64) -> f64 {
        let panels = [0, 1].map(|which| self.panel(which, self.closed_suppression()));
        let width = |panel: &Panel| panel.width - self.side_inset(panel.loss, level);
        let open = |panel: &Panel| panel.darts.map(|dart| dart.open_width(level)).iter().sum::<f64>();
        panels.iter().map(|panel| width(panel) - open(panel)).sum()
    }

    /// Returns the girth along a tape at a level above the hip line.
    pub(crate) fn girth(self, level: f64) -> f64 {
        let bend = (self.depth - level) / self.depth;
        let tape_length = |panel: &Panel| {
            let side = Point::new(panel.width - self.side_inset(panel.loss, level), level);
            let stretches = panel.stretches.iter().enumerate().map(|(k, curve)| {
                let end_point = |at: Point, dart: Option<&Dart>, out: f64| match dart {
                    Some(dart) => {
                        Point::new(dart.centre + out * dart.open_width(level * (1.0 - at.y / self.depth)) / 2.0, 0.0)
                    }
                    // At the centre, a slanted seam approaches the centre line in proportion to the bend.
                    None => Point::new(at.x * bend, 0.0),
                };
                let height = |at: Point| at.y * bend + level;
                let before = k.checked_sub(1).and_then(|k| panel.darts.get(k));
                let from = Point::new(end_point(curve.start(), before, 1.0).x, height(curve.start()));
                let dart = panel.darts.get(k);
                let to = dart.map_or(side, |_| Point::new(end_point(curve.end(), dart, -1.0).x, height(curve.end())));
                let excess = curve.arclen(LENGTH_ACCURACY) / curve.start().distance(curve.end()) - 1.0;
                from.distance(to) * (1.0 + excess * bend * bend)
            });
            stretches.sum::<f64>()
        };
        2.0 * [0, 1].map(|which| tape_length(&self.panel(which, self.closed_suppression()))).iter().sum::<f64>()
    }
}

impl Dart {
    /// Returns the angle between a leg and the centre line of the dart, in radians.
    pub(crate) fn half_angle(self) -> f64 {
        (self.intake / (2.0 * self.length)).atan()
    }

    pub(crate) fn leg(self) -> f64 {
        self.length.hypot(self.intake / 2.0)
    }

    /// Returns the width of the open dart at a distance below its mouth.
    pub(crate) fn open_width(self, below: f64) -> f64 {
        self.intake * (1.0 - below / self.length).max(0.0)
    }
}

/// Returns the curves of the waist line of a panel, each square to the dart legs, the centre or the side seam at its
/// ends. `start` and `slant` are place and slant of the centre seam, `waist` and `lean` those of the side seam. A measured
/// depth of the centre tilts every chord by the same slope.
fn waist_curves(
    [start, slant]: [f64; 2],
    [waist, lean]: [f64; 2],
    [one, two]: [Dart; 2],
    depth: Option<f64>,
) -> Vec<CubicBez> {
    let ends = |dart: Dart| [dart.centre - dart.intake / 2.0, dart.centre + dart.intake / 2.0];
    let runs = [
        (start, ends(one)[0], -slant, one.half_angle()),
        (ends(one)[1], ends(two)[0], -one.half_angle(), two.half_angle()),
        (ends(two)[1], waist, -two.half_angle(), lean),
    ];
    let natural_rise = |(from, to, first, last): (f64, f64, f64, f64)| (to - from) * f64::midpoint(first, last).tan();
    let cloth: f64 = runs.iter().map(|(from, to, ..)| to - from).sum();
    let slope = depth.map_or(0.0, |depth| (depth - runs.into_iter().map(natural_rise).sum::<f64>()) / cloth);
    let mut below = 0.0;
    let mut curves: Vec<CubicBez> = Vec::new();
    for (from, to, first, last) in runs.into_iter().rev() {
        let rise = natural_rise((from, to, first, last)) + slope * (to - from);
        let handle = (to - from).hypot(rise) / (3.0 * ((last - first) / 4.0).cos().powi(2));
        let (start, end) = (Point::new(from, below + rise), Point::new(to, below));
        let along = |tilt: f64| Vec2::new(tilt.cos(), -tilt.sin()) * handle;
        curves.push(CubicBez::new(start, start + along(first), end - along(last), end));
        below += rise;
    }
    curves.reverse();
    curves
}

impl Panel {
    /// Returns the length of the waist line along its curves.
    pub(crate) fn waist_length(&self) -> f64 {
        self.stretches.iter().map(|curve| curve.arclen(LENGTH_ACCURACY)).sum()
    }

    /// Returns the height of the side above the centre at the waist.
    pub(crate) fn lowering(&self) -> f64 {
        self.stretches[0].start().y
    }

    /// Returns the height of the roof over the first dart, pressed to the centre, above the mouth of the dart.
    ///
    /// The roof is the cut line of the first stretch, mirrored at the leg, up to the centre line of the dart.
    pub(crate) fn roof(&self, allowance: f64) -> f64 {
        let (curve, dart) = (self.stretches[0], self.darts[0]);
        let mouth = curve.end();
        let leg = Vec2::new(dart.intake / 2.0, dart.length).normalize();
        let image = |t: f64| {
            let along = curve.deriv().eval(t).to_vec2().normalize();
            let cut = curve.eval(t) + Vec2::new(along.y, -along.x) * allowance - mouth;
            leg * (2.0 * cut.dot(leg)) - cut
        };
        let (mut low, mut high) = (0.5, 1.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if image(middle).x < dart.intake / 2.0 { high = middle } else { low = middle }
        }
        -image(low).y
    }
}
