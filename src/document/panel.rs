//! Panels of a draft as reports: lengths in the unit of the document, points as (x, y) pairs.

use std::borrow::Cow;

use super::report::{convert_each, point, points, report};
use crate::draft::{Dart, Edge, Panel, Role, Suppression};
use crate::field::FieldKind;

report! {
    /// Suppression of half the garment: the width that side seam and darts remove between hip and waist.
    SuppressionReport as "Suppression" of (suppression: &Suppression) in unit {
        /// Total suppression of half the garment.
        total: f64 = unit.length_from_cm(suppression.total),
        /// Suppression by the side seam of half the garment; the side edges of back and front take half of it each.
        side: f64 = unit.length_from_cm(suppression.side),
        /// Suppression by the darts of the back panel.
        back: f64 = unit.length_from_cm(suppression.back),
        /// Suppression by the darts of the front panel.
        front: f64 = unit.length_from_cm(suppression.front),
    }
}

report! {
    /// Finished girths of the garment, all around.
    Girths as "Girths" of (back: &PanelReport, front: &PanelReport) in _unit
    let hip = 2.0 * (back.width + front.width);
    {
        /// Girth of the garment along the sewn waist.
        waist: f64 = 2.0 * (back.seams.waist + front.seams.waist),
        /// Girth of the garment at the hip line.
        hip: f64 = hip,
        /// Girth of the garment at the hem.
        hem: f64 = hip,
    }
}

report! {
    /// Finished lengths of the garment from waist to hem.
    Lengths as "Lengths" of (back: &PanelReport, front: &PanelReport) in _unit {
        /// Length of the centre back from waist to hem.
        centre_back: f64 = back.seams.centre,
        /// Length of the centre front from waist to hem.
        centre_front: f64 = front.seams.centre,
        /// Length of the side seam from waist to hem, along the curve.
        side: f64 = back.seams.side,
    }
}

report! {
    /// Panel: half of the back or of the front. Coordinates: x from the centre line towards the side seam, y downwards
    /// from the waist at the side seam.
    PanelReport as "Panel" of (panel: &Panel) in unit
    let edges = convert_each(&panel.edges, EdgeReport::new, unit);
    {
        /// Width of the panel at the hip line and below.
        width: f64 = unit.length_from_cm(panel.width),
        /// Straight width of the panel at the waist from centre line to side seam, with the darts open.
        waist_width: f64 = unit.length_from_cm(panel.waist_width),
        /// Vertical distance of the waist at the centre line below the waist at the side seam; negative if above.
        waist_lowering: f64 = unit.length_from_cm(panel.waist_lowering),
        /// Area inside the outline, without the open darts, in the square of the unit.
        area: f64 = FieldKind::Area.convert_from_cm(panel.area(), unit),
        /// Length of each seam of the panel.
        seams: Seams = Seams::new(&edges, unit),
        /// Darts of the panel, from the centre line to the side seam.
        darts: Vec<DartReport> = convert_each(&panel.darts, DartReport::new, unit),
        /// Edges of the closed outline in order: waist and darts from centre to side, side seam, hem, centre line.
        edges: Vec<EdgeReport> = edges,
    }
}

report! {
    /// Length of each seam of a panel.
    Seams as "Seams" of (edges: &[EdgeReport]) in _unit
    let seam = |role: Role| edges.iter().filter(|edge| edge.role == role.name()).map(|edge| edge.length).sum();
    {
        /// Length of the panel's waist, with the darts closed.
        waist: f64 = seam(Role::Waist),
        /// Length of the panel's side seam from waist to hem, along the curve.
        side: f64 = seam(Role::Side),
        /// Length of the panel's hem.
        hem: f64 = seam(Role::Hem),
        /// Length of the panel's centre line from waist to hem.
        centre: f64 = seam(Role::Centre),
    }
}

report! {
    /// Dart of a panel. Points are (x, y) in the coordinates of the panel.
    DartReport as "Dart" of (dart: &Dart) in unit {
        /// Distance from the centre line of the panel to the centre of the dart.
        centre: f64 = unit.length_from_cm(dart.centre),
        /// Intake of the dart: width of the mouth.
        intake: f64 = unit.length_from_cm(dart.intake),
        /// Length of the dart from mouth to tip, along the centre of the dart.
        length: f64 = unit.length_from_cm(dart.length),
        /// Angle between a leg and the centre line of the dart, in degrees.
        half_angle_deg: f64 = dart.half_angle_rad.to_degrees(),
        /// Length of each leg of the dart.
        leg: f64 = unit.length_from_cm(dart.leg),
        /// Point at which the dart leg nearer the centre line meets the waist.
        inner: [f64; 2] = point(&dart.inner, unit),
        /// Point at which the dart leg nearer the side seam meets the waist.
        outer: [f64; 2] = point(&dart.outer, unit),
        /// Point at the tip of the dart.
        tip: [f64; 2] = point(&dart.tip, unit),
    }
}

report! {
    /// Edge of a closed outline. Each edge ends at the first point of the next edge.
    EdgeReport as "Edge" of (edge: &Edge) in unit {
        /// Role of the edge: `waist`, `dart`, `side`, `hem` or `centre`.
        #[schemars(with = "Role")]
        role: Cow<'static, str> = edge.role.name().into(),
        /// Points (x, y) along the outline: two ends of a straight line, or four control points of a cubic Bézier
        /// curve.
        #[schemars(length(min = 2, max = 4), extend("not" = {"minItems": 3, "maxItems": 3}))]
        points: Vec<[f64; 2]> = points(&edge.path, unit),
        /// Length of the edge, along the curve.
        length: f64 = unit.length_from_cm(edge.path.length()),
    }
}
