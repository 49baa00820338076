//! The formulas of `src/method.md`, one after the other, with plain numbers, tangents and cosines.
//!
//! Nothing is shared with the library; curves are measured by kurbo. It drafts what that page drafts, a skirt with two darts in
//! each panel by the default rules, and knows no limits.

use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, ParamCurveDeriv, Point, Vec2};

/// How exactly curves are measured.
const FINE: f64 = 1e-13;

/// The shares of back and front, and their darts' lengths for the hip depth.
const SHARES: [f64; 2] = [0.3, 0.2];
const LENGTHS: [[f64; 2]; 2] = [[0.68, 0.62], [0.50, 0.45]];

/// What is measured and added, in centimetres.
#[derive(Clone, Copy)]
pub(crate) struct Skirt {
    pub(crate) waist: f64,
    pub(crate) hip: f64,
    pub(crate) depth: f64,
    pub(crate) ease: [f64; 2],
}

/// A dart by its centre, its intake and its length.
#[derive(Clone, Copy)]
pub(crate) struct Dart {
    pub(crate) centre: f64,
    pub(crate) intake: f64,
    pub(crate) length: f64,
}

/// A panel whose waist is drawn.
pub(crate) struct Panel {
    pub(crate) width: f64,
    /// What its side edge loses.
    pub(crate) loss: f64,
    /// From the centre to the side along the waist, straight across.
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

    /// What both side edges lose where the seam leans by so much at the waist.
    pub(crate) fn side_at_lean(self, degrees: f64) -> f64 {
        2.0 * degrees.to_radians().tan() * self.depth / 1.5
    }

    /// A panel, back 0 or front 1, where half the garment takes in so much.
    pub(crate) fn panel(self, which: usize, suppression: f64) -> Panel {
        let width = self.half_hip() / 2.0 + [-1.0, 1.0][which];
        let loss = 0.5 * suppression / 2.0;
        let waist = width - loss;
        let dart = |k: usize| Dart {
            centre: waist * [1.0 / 3.0, 2.0 / 3.0][k],
            intake: SHARES[which] * suppression / 2.0,
            length: LENGTHS[which][k] * self.depth,
        };
        let darts = [dart(0), dart(1)];
        let lean = (1.5 * loss / self.depth).atan();
        Panel { width, loss, waist, darts, stretches: stretches(waist, lean, darts) }
    }

    /// By how much the waist of half the garment is too long.
    pub(crate) fn gap(self, suppression: f64) -> f64 {
        self.panel(0, suppression).along() + self.panel(1, suppression).along() - self.half_waist()
    }

    /// The suppression and the gap of each step of closing, as long as there is one to speak of.
    pub(crate) fn closing(self) -> Vec<[f64; 2]> {
        let mut steps = vec![[self.nominal(), self.gap(self.nominal())]];
        while let [suppression, gap] = steps[steps.len() - 1]
            && gap.abs() > 1e-12
        {
            steps.push([suppression + gap, self.gap(suppression + gap)]);
        }
        steps
    }

    pub(crate) fn closed(self) -> f64 {
        self.closing().last().map_or(f64::NAN, |[suppression, _]| *suppression)
    }

    /// The side seam's distance inside of the hip at a level.
    pub(crate) fn inside(self, loss: f64, level: f64) -> f64 {
        let u = (self.depth - level) / self.depth;
        loss * (3.0 * u * u - u * u * u) / 2.0
    }

    /// Half the garment straight across the flat panels at a level, the open darts left out.
    pub(crate) fn across(self, level: f64) -> f64 {
        let panels = [0, 1].map(|which| self.panel(which, self.closed()));
        let width = |panel: &Panel| panel.width - self.inside(panel.loss, level);
        let open = |panel: &Panel| panel.darts.map(|dart| dart.open(level)).iter().sum::<f64>();
        panels.iter().map(|panel| width(panel) - open(panel)).sum()
    }

    /// The girth as a tape goes round at a level above the hip line.
    pub(crate) fn girth(self, level: f64) -> f64 {
        let bend = (self.depth - level) / self.depth;
        let along = |panel: &Panel| {
            let side = Point::new(panel.width - self.inside(panel.loss, level), level);
            let line = panel.stretches.iter().enumerate().map(|(k, curve)| {
                let place = |at: Point, dart: Option<&Dart>, out: f64| match dart {
                    Some(dart) => {
                        Point::new(dart.centre + out * dart.open(level * (1.0 - at.y / self.depth)) / 2.0, 0.0)
                    }
                    None => at,
                };
                let low = |at: Point| at.y * bend + level;
                let before = k.checked_sub(1).and_then(|k| panel.darts.get(k));
                let from = Point::new(place(curve.start(), before, 1.0).x, low(curve.start()));
                let dart = panel.darts.get(k);
                let to = dart.map_or(side, |_| Point::new(place(curve.end(), dart, -1.0).x, low(curve.end())));
                let longer = curve.arclen(FINE) / curve.start().distance(curve.end()) - 1.0;
                from.distance(to) * (1.0 + longer * bend * bend)
            });
            line.sum::<f64>()
        };
        2.0 * [0, 1].map(|which| along(&self.panel(which, self.closed()))).iter().sum::<f64>()
    }
}

impl Dart {
    /// The angle between a leg and the centre of the dart.
    pub(crate) fn half_angle(self) -> f64 {
        (self.intake / (2.0 * self.length)).atan()
    }

    pub(crate) fn leg(self) -> f64 {
        self.length.hypot(self.intake / 2.0)
    }

    /// How wide it is open so far below its mouth.
    pub(crate) fn open(self, below: f64) -> f64 {
        self.intake * (1.0 - below / self.length).max(0.0)
    }
}

/// The waist of a panel: a curve from each neighbour to the next, square to both, put together from the side.
fn stretches(waist: f64, lean: f64, [one, two]: [Dart; 2]) -> Vec<CubicBez> {
    let ends = |dart: Dart| [dart.centre - dart.intake / 2.0, dart.centre + dart.intake / 2.0];
    let runs = [
        (0.0, ends(one)[0], 0.0, one.half_angle()),
        (ends(one)[1], ends(two)[0], -one.half_angle(), two.half_angle()),
        (ends(two)[1], waist, -two.half_angle(), lean),
    ];
    let mut below = 0.0;
    let mut curves: Vec<CubicBez> = Vec::new();
    for (from, to, first, last) in runs.into_iter().rev() {
        let rise = (to - from) * f64::midpoint(first, last).tan();
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
    /// The waist along its curves.
    pub(crate) fn along(&self) -> f64 {
        self.stretches.iter().map(|curve| curve.arclen(FINE)).sum()
    }

    /// How far the centre lies below the side.
    pub(crate) fn lowering(&self) -> f64 {
        self.stretches[0].start().y
    }

    /// How far the roof over the first dart, pressed to the centre, peaks above its mouth: the cut line of the first stretch,
    /// mirrored in the leg, as far as the dart's centre.
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
