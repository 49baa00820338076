//! The proof: the finished outlines measured afresh, by other ways than the solver's.
//!
//! It knows nothing of suppression, shares or tilts. From the edges alone it closes each dart by turning the cloth about
//! its tip, walks the seams, and measures curves by inscribed polygons.

mod crossing;
mod sewing;
mod tape;

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::draft::{Draft, Edge, Half, Role};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector, cross, norm};
use sewing::Sewn;

/// What a length may be off, in centimetres.
const TOLERANCE_CM: f64 = 1e-10;

/// What an angle may be off, in degrees.
const TOLERANCE_DEG: f64 = 1e-7;

type Name = &'static str;

/// One thing that was measured on the finished outlines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Check {
    /// What was measured.
    pub name: Cow<'static, str>,
    /// The panel it was measured on: `back`, `front`, or `both` together.
    pub panel: Cow<'static, str>,
    /// What the outline has.
    pub measured: f64,
    /// What it should have, or the least that it should have.
    pub expected: f64,
    /// By how much the two may differ.
    pub tolerance: f64,
    /// The unit of all three: `cm`, `in`, `deg`, or `count`.
    pub unit: Cow<'static, str>,
    /// Whether more than expected is as good.
    pub at_least: bool,
    /// Whether it holds.
    pub holds: bool,
}

/// All the checks of a draft.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Proof {
    /// Whether every check holds.
    pub holds: bool,
    /// The checks.
    pub checks: Vec<Check>,
}

/// What the outlines are measured against, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Girth of the sewn waist.
    pub waist: f64,
    /// Girth of the garment at the hip line.
    pub hip: f64,
    /// Waist at the side to the hip line, straight down.
    pub hip_depth: f64,
    /// Waist at the side to the hem, straight down.
    pub length: f64,
}

impl Draft {
    /// Measures the finished outlines afresh.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let proof = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.proof();
    /// assert!(proof.holds);
    /// assert_eq!(proof.checks[0].name, "sewn_waist");
    /// assert!((proof.checks[0].measured - 71.5).abs() < 1e-10);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn proof(&self) -> Proof {
        let (body, ease) = (self.body(), self.ease());
        let expected = Expected {
            waist: body.waist + ease.waist,
            hip: body.hip + ease.hip,
            hip_depth: body.hip_depth,
            length: body.length,
        };
        Proof::of(&self.back.edges, &self.front.edges, &expected)
    }
}

impl Proof {
    /// Measures two outlines, each in the order and direction of [`Panel::edges`](crate::Panel::edges).
    ///
    /// Outlines that are not those of a skirt fail checks; none of them panics.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Path, Proof, Rules};
    /// use kirtle::proof::Expected;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let mut draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
    /// let expected = Expected { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// if let Path::Line([mouth, _]) = &mut draft.front.edges[1].path {
    ///     mouth.y -= 0.1; // One leg of the front dart is now a millimetre longer.
    /// }
    /// let proof = Proof::of(&draft.back.edges, &draft.front.edges, &expected);
    /// assert!(proof.checks.iter().any(|check| check.name == "dart_legs_equal" && !check.holds));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn of(back: &[Edge], front: &[Edge], expected: &Expected) -> Self {
        let sewn = [back, front].map(sewing::sew);
        let mut checks = both([back, front], &sewn, expected);
        for (half, edges, sewn) in [(Half::Back, back, &sewn[0]), (Half::Front, front, &sewn[1])] {
            checks.extend(each(half.name(), edges, sewn, expected));
        }
        Self { holds: checks.iter().all(|check| check.holds), checks }
    }

    /// The proof with its lengths in `unit`.
    #[must_use]
    pub(crate) fn in_unit(mut self, unit: Unit) -> Self {
        for check in self.checks.iter_mut().filter(|check| check.unit == Unit::Cm.name()) {
            for value in [&mut check.measured, &mut check.expected, &mut check.tolerance] {
                *value /= unit.cm_per_unit();
            }
            check.unit = Cow::Borrowed(unit.name());
        }
        self
    }
}

impl Check {
    fn new(name: Name, panel: Name, unit: Name, measured: f64, expected: f64, tolerance: f64) -> Self {
        let holds = (measured - expected).abs() <= tolerance;
        let [name, panel, unit] = [name, panel, unit].map(Cow::Borrowed);
        Self { name, panel, measured, expected, tolerance, unit, at_least: false, holds }
    }

    fn length(name: Name, panel: Name, measured: f64, expected: f64) -> Self {
        Self::new(name, panel, "cm", measured, expected, TOLERANCE_CM)
    }

    fn at_least(name: Name, panel: Name, measured: f64, min: f64) -> Self {
        Self { at_least: true, holds: measured >= min, ..Self::new(name, panel, "cm", measured, min, 0.0) }
    }

    fn angle(name: Name, panel: Name, measured: f64, expected: f64) -> Self {
        Self::new(name, panel, "deg", measured, expected, TOLERANCE_DEG)
    }
}

/// What back and front have together.
fn both(panels: [&[Edge]; 2], sewn: &[Sewn; 2], expected: &Expected) -> Vec<Check> {
    let waist: f64 = sewn.iter().map(Sewn::waist_length).sum();
    let hip: f64 = panels.iter().map(|edges| tape::width(edges, expected.hip_depth)).sum();
    let [back_side, front_side] = panels.map(|edges| sewing::paths(edges, Role::Side));
    let walked = |side: &[Path]| side.iter().map(tape::length).sum::<f64>();
    vec![
        Check::length("sewn_waist", "both", 2.0 * waist, expected.waist),
        Check::length("hip_girth", "both", 2.0 * hip, expected.hip),
        Check::length("side_seams_congruent", "both", sewing::apart(&back_side, &front_side), 0.0),
        Check::length("side_seams_equal", "both", walked(&front_side), walked(&back_side)),
    ]
}

/// What one panel has.
fn each(panel: Name, edges: &[Edge], sewn: &Sewn, expected: &Expected) -> Vec<Check> {
    let (side, hem) = (sewing::paths(edges, Role::Side), sewing::paths(edges, Role::Hem));
    let drop = |paths: &[Path]| match (paths.first(), paths.last()) {
        (Some(first), Some(last)) => last.end().y - first.start().y,
        _ => f64::NAN,
    };
    let mut checks = vec![
        Check::angle("waist_square", panel, sewing::farthest_from(90.0, sewing::waist_corners(edges)), 90.0),
        Check::length("side_drop", panel, drop(&side), expected.length),
        Check::length("hem_level", panel, drop(&hem), 0.0),
        Check::angle("hem_square", panel, sewing::farthest_from(90.0, sewing::hem_corners(edges)), 90.0),
        Check::length("outline_closed", panel, sewing::largest_gap(edges), 0.0),
        Check::new("outline_crossings", panel, "count", crossing::count(edges), 0.0, 0.0),
    ];
    if !sewn.tips.is_empty() {
        let deepest = sewn.tips.iter().fold(f64::NEG_INFINITY, |deepest, tip| deepest.max(tip.y));
        let clearance = expected.hip_depth - deepest;
        checks.extend([
            Check::length("dart_legs_equal", panel, sewn.leg_difference, 0.0),
            Check::length("waist_joined", panel, sewn.largest_gap(), 0.0),
            Check::angle("waist_smooth", panel, sewn.largest_bend(), 0.0),
            Check::at_least("dart_tips_clear", panel, clearance, 0.0),
        ]);
    }
    checks
}

/// The angle from one direction to another in degrees, from −180 to 180.
fn turn_deg(from: Vector, to: Vector) -> f64 {
    libm::atan2(cross(from, to), from.dot(&to)).to_degrees()
}

/// The distance between two points.
fn distance(a: Point, b: Point) -> f64 {
    norm(b - a)
}
