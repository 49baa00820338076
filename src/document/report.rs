//! The result: everything about a draft as plain numbers, in the unit that was asked for.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::FORMAT;
use super::pattern::{LayReport, PatternReport};
use super::sizes::ChangeReport;
use crate::body::{Body, Ease, Inputs, Rules};
use crate::draft::{Dart, Draft, Edge, Panel, Role, Suppression};
use crate::field::Unit;
use crate::findings::Finding;
use crate::geometry::Point;
use crate::proof::Proof;

/// Declares a struct of the result, which Python shows as a frozen class of the same fields.
macro_rules! report {
    ($(#[$meta:meta])* $name:ident as $python:literal { $($(#[$field_meta:meta])* $field:ident: $ty:ty,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        #[cfg_attr(
            feature = "python",
            pyo3::pyclass(frozen, get_all, eq, name = $python, module = "kirtle")
        )]
        pub struct $name {
            $($(#[$field_meta])* pub $field: $ty,)*
        }
    };
}

pub(super) use report;

/// The result of a request.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle result")]
pub struct Report {
    /// The version of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    /// The unit of every length; areas are in its square.
    pub unit: Unit,
    /// The body that was drafted for.
    pub body: Body,
    /// The ease that it was given.
    pub ease: Ease,
    /// The rules that it was drafted by.
    pub rules: Rules,
    /// The suppression as drafted.
    pub suppression: SuppressionReport,
    /// The suppression as the measurements give it, before the waist is closed.
    pub nominal: SuppressionReport,
    /// What the side seams take beyond their limit, on half the garment.
    pub left_in_side: f64,
    /// The garment's girths.
    pub girths: Girths,
    /// The garment's finished lengths.
    pub lengths: Lengths,
    /// The back panel.
    pub back: PanelReport,
    /// The front panel.
    pub front: PanelReport,
    /// The finished outlines measured afresh.
    pub proof: Proof,
    /// Cautions; a trial garment decides.
    pub findings: Vec<Finding>,
    /// What the corrections changed, if there were any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<ChangeReport>,
    /// The pieces ready to cut, if they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pattern: Option<PatternReport>,
    /// The pieces laid on cloth, if cloth was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lay: Option<LayReport>,
}

report! {
    /// What half the garment loses from hip to waist, and where.
    SuppressionReport as "Suppression" {
        /// All of it.
        total: f64,
        /// By the side seams of back and front together; each loses half.
        side: f64,
        /// By the darts of the back.
        back: f64,
        /// By the darts of the front.
        front: f64,
    }
}

report! {
    /// The garment's girths.
    Girths as "Girths" {
        /// Along the sewn waist.
        waist: f64,
        /// At the hip line.
        hip: f64,
        /// At the hem.
        hem: f64,
    }
}

report! {
    /// The garment's finished lengths, from waist to hem.
    Lengths as "Lengths" {
        /// Down the centre of the back.
        centre_back: f64,
        /// Down the centre of the front.
        centre_front: f64,
        /// Along the side seam.
        side: f64,
    }
}

report! {
    /// Half of the back or the front: x from the centre line towards the side, y down from the waist at the side.
    PanelReport as "Panel" {
        /// Width at the hip line and below.
        width: f64,
        /// Width at the waist, straight across, with the darts open.
        waist_width: f64,
        /// How far the centre of the waist lies below the waist at the side.
        waist_lowering: f64,
        /// The cloth inside the outline, in the square of the unit.
        area: f64,
        /// The length of each seam.
        seams: Seams,
        /// The darts, from the centre to the side.
        darts: Vec<DartReport>,
        /// The outline, from the centre of the waist along waist and darts to the side, down, and back by the hem.
        edges: Vec<EdgeReport>,
    }
}

report! {
    /// The length of each seam of a panel.
    Seams as "Seams" {
        /// Along the waist, with the darts closed.
        waist: f64,
        /// Along the side, from waist to hem.
        side: f64,
        /// Along the hem.
        hem: f64,
        /// Along the centre, from waist to hem.
        centre: f64,
    }
}

report! {
    /// A dart.
    DartReport as "Dart" {
        /// From the centre line to the dart's centre.
        centre: f64,
        /// Width of the mouth.
        intake: f64,
        /// From the mouth to the tip, down the dart's centre.
        length: f64,
        /// The angle between a leg and the dart's centre, in degrees.
        half_angle_deg: f64,
        /// Length of each leg.
        leg: f64,
        /// Where the leg next to the centre meets the waist.
        inner: [f64; 2],
        /// Where the leg next to the side meets the waist.
        outer: [f64; 2],
        /// The tip.
        tip: [f64; 2],
    }
}

report! {
    /// One edge of an outline; it ends where the next one starts.
    EdgeReport as "Edge" {
        /// What the edge is for: `waist`, `dart`, `side`, `hem` or `centre`.
        #[schemars(with = "Role")]
        role: Cow<'static, str>,
        /// The points in the direction of the outline: two of a straight line, the four control points of a cubic.
        #[schemars(length(min = 2, max = 4), extend("not" = {"minItems": 3, "maxItems": 3}))]
        points: Vec<[f64; 2]>,
        /// The length along the edge.
        length: f64,
    }
}

pub(super) fn point(point: Point, unit: Unit) -> [f64; 2] {
    [unit.length_from_cm(point.x), unit.length_from_cm(point.y)]
}

impl Report {
    /// Everything about a draft, in `unit`.
    #[must_use]
    pub fn new(draft: &Draft, unit: Unit) -> Self {
        let Inputs { body, ease, rules } = draft.inputs.clone().convert(Unit::Cm, unit);
        let [back, front] = draft.panels().map(|panel| PanelReport::new(panel, unit));
        Self {
            format: FORMAT,
            unit,
            body,
            ease,
            rules,
            suppression: SuppressionReport::new(&draft.suppression, unit),
            nominal: SuppressionReport::new(&draft.nominal, unit),
            left_in_side: unit.length_from_cm(draft.left_in_side),
            girths: Girths::of([&back, &front]),
            lengths: Lengths::of([&back, &front]),
            back,
            front,
            proof: draft.proof().in_unit(unit),
            findings: draft.findings_in(unit),
            changes: Vec::new(),
            pattern: None,
            lay: None,
        }
    }

    /// The report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        super::text(self)
    }
}

impl SuppressionReport {
    pub(crate) fn new(suppression: &Suppression, unit: Unit) -> Self {
        let Suppression { total, side, back, front } = *suppression;
        Self {
            total: unit.length_from_cm(total),
            side: unit.length_from_cm(side),
            back: unit.length_from_cm(back),
            front: unit.length_from_cm(front),
        }
    }
}

impl Girths {
    pub(crate) fn of([back, front]: [&PanelReport; 2]) -> Self {
        let hip = 2.0 * (back.width + front.width);
        Self { waist: 2.0 * (back.seams.waist + front.seams.waist), hip, hem: hip }
    }
}

impl Lengths {
    pub(crate) fn of([back, front]: [&PanelReport; 2]) -> Self {
        Self { centre_back: back.seams.centre, centre_front: front.seams.centre, side: back.seams.side }
    }
}

impl PanelReport {
    pub(crate) fn new(panel: &Panel, unit: Unit) -> Self {
        let edges: Vec<EdgeReport> = panel.edges.iter().map(|edge| EdgeReport::new(edge, unit)).collect();
        let seam =
            |role: Role| -> f64 { edges.iter().filter(|edge| edge.role == role.name()).map(|edge| edge.length).sum() };
        Self {
            width: unit.length_from_cm(panel.width),
            waist_width: unit.length_from_cm(panel.waist_width),
            waist_lowering: unit.length_from_cm(panel.waist_lowering),
            area: panel.area() / (unit.cm_per_unit() * unit.cm_per_unit()),
            seams: Seams {
                waist: seam(Role::Waist),
                side: seam(Role::Side),
                hem: seam(Role::Hem),
                centre: seam(Role::Centre),
            },
            darts: panel.darts.iter().map(|dart| DartReport::new(dart, unit)).collect(),
            edges,
        }
    }
}

impl DartReport {
    pub(super) fn new(dart: &Dart, unit: Unit) -> Self {
        Self {
            centre: unit.length_from_cm(dart.centre),
            intake: unit.length_from_cm(dart.intake),
            length: unit.length_from_cm(dart.length),
            half_angle_deg: dart.half_angle_rad.to_degrees(),
            leg: unit.length_from_cm(dart.leg),
            inner: point(dart.inner, unit),
            outer: point(dart.outer, unit),
            tip: point(dart.tip, unit),
        }
    }
}

impl EdgeReport {
    pub(super) fn new(edge: &Edge, unit: Unit) -> Self {
        let points = edge.path.points().iter().map(|p| point(*p, unit)).collect();
        Self { role: edge.role.name().into(), points, length: unit.length_from_cm(edge.path.length()) }
    }
}
