//! Quantities of a finished draft, such as dart intakes and seam lengths: identifiers, names, kinds and values of
//! any scalar type.

use std::fmt;

use crate::draft::{Dart, Draft, Half, PointName, Role, Suppression};
use crate::field::FieldKind;
use crate::scalar::Scalar;

/// Object to which a quantity belongs. Except for the garment, the name of the object is the prefix of the quantity's
/// name, as in `back.width`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum QuantityOwner {
    /// A suppression, or with an empty text the garment: the prefix of its quantities.
    Part(&'static str),
    Panel(Half),
    Dart(Half, usize),
    Point(Half, PointName),
}

/// Identifier, without a value, of a quantity of a draft, such as a dart intake or a coordinate of a point.
///
/// [`Display`](fmt::Display) writes the quantity's name, such as `suppression.total`, `back.waist_seam`,
/// `front.darts[0].intake` or `back.dart_1_tip.x`. In coordinates, `x` is the distance from the centre line towards the
/// side, and `y` the distance below the waist at the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct QuantityId {
    owner: QuantityOwner,
    name: &'static str,
    /// Kind of the quantity: length, area, angle or ratio.
    pub kind: FieldKind,
}

impl fmt::Display for QuantityId {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.owner {
            QuantityOwner::Part(part) => f.write_str(part)?,
            QuantityOwner::Panel(half) => write!(f, "{}.", half.name())?,
            QuantityOwner::Dart(half, dart) => write!(f, "{}.darts[{dart}].", half.name())?,
            QuantityOwner::Point(half, point) => write!(f, "{}.{point}.", half.name())?,
        }
        f.write_str(self.name)
    }
}

impl QuantityId {
    /// Returns the panel and the point of a quantity that is a coordinate of a point; `None` for any other quantity.
    pub(super) fn panel_and_point_of_coordinate(&self) -> Option<(Half, PointName)> {
        if let QuantityOwner::Point(half, point) = self.owner { Some((half, point)) } else { None }
    }
}

/// Attributes of a draft in Python, and fields of a result in JSON, each with the quantity that has the same number
/// under another name.
const QUANTITIES_OF_ATTRIBUTES: [(&str, &str); 12] = [
    ("girths.waist", "sewn_waist"),
    ("girths.hip", "hip_girth"),
    ("girths.hem", "hem_girth"),
    ("lengths.centre_back", "back.centre_seam"),
    ("lengths.centre_front", "front.centre_seam"),
    ("lengths.side", "side_seam"),
    ("back.seams.waist", "back.waist_seam"),
    ("front.seams.waist", "front.waist_seam"),
    ("back.seams.centre", "back.centre_seam"),
    ("front.seams.centre", "front.centre_seam"),
    ("back.seams.side", "side_seam"),
    ("front.seams.side", "side_seam"),
];

/// Returns whether `name` is the name of a quantity, that of its column in a table of drafts, or that of an attribute
/// with the same number.
pub(super) fn is_name_of_quantity(name: &str, quantity: QuantityId) -> bool {
    let own = QUANTITIES_OF_ATTRIBUTES.iter().find(|(attribute, _)| *attribute == name).map_or(name, |(_, own)| own);
    let known = quantity.to_string();
    known == own || name_of_column(&known) == own
}

/// Returns the name of a quantity's column in a table of drafts, such as `back_dart1_intake` of `back.darts[0].intake`.
pub(super) fn name_of_column(quantity: &str) -> String {
    let number_dart = |name: String, k| name.replace(&format!(".darts[{k}]"), &format!("_dart{}", k + 1));
    (0..3).fold(quantity.to_owned(), number_dart).replace('.', "_")
}

/// Calls `visitor` with every quantity of a draft and its value, in a fixed order; in cm, cm² and degrees.
pub(super) fn visit_quantities_with_values<T: Scalar>(draft: &Draft<T>, mut visitor: impl FnMut(QuantityId, T)) {
    use FieldKind::{Angle, Area, Length, Ratio};
    let mut emit = |owner, kind, values: &[(&'static str, T)]| {
        for (name, value) in values {
            visitor(QuantityId { owner, name, kind }, *value);
        }
    };
    let suppressions = [("nominal.", draft.nominal), ("suppression.", draft.suppression)];
    for (part, Suppression { total, side, back, front }) in suppressions {
        emit(QuantityOwner::Part(part), Length, &[("total", total), ("side", side), ("back", back), ("front", front)]);
    }
    let seams = draft.panels().map(|panel| panel.edge_length(Role::Waist));
    let sewn_waist = (seams[0] + seams[1]) * T::constant(2.0);
    emit(QuantityOwner::Part(""), Length, &[("left_in_side", draft.left_in_side), ("sewn_waist", sewn_waist)]);
    // The panels are straight below the hip line.
    let hip_girth = (draft.back.width + draft.front.width) * T::constant(2.0);
    emit(QuantityOwner::Part(""), Length, &[("hip_girth", hip_girth), ("hem_girth", hip_girth)]);
    emit(QuantityOwner::Part(""), Length, &[("side_seam", draft.back.edge_length(Role::Side))]);
    emit(QuantityOwner::Part(""), Angle, &[("side_angle", to_degrees(draft.side_lean_tangent().atan()))]);
    let by_high_hip = [("side_fullness", draft.side_fullness), ("dart_length_factor", draft.dart_length_factor)];
    emit(QuantityOwner::Part(""), Ratio, &by_high_hip);
    for (panel, waist_seam) in draft.panels().into_iter().zip(seams) {
        let (half, body) = (panel.half, draft.body());
        // A vertical centre has no root to differentiate.
        let is_slanted = panel.paths(Role::Centre).count() > 1;
        let centre = if is_slanted { panel.edge_length(Role::Centre) } else { body.length - panel.waist_lowering };
        let lengths = [
            ("width", panel.width),
            ("waist_width", panel.waist_width),
            ("waist_seam", waist_seam),
            ("waist_lowering", panel.waist_lowering),
            ("centre_seam", centre),
        ];
        emit(QuantityOwner::Panel(half), Length, &lengths);
        emit(QuantityOwner::Panel(half), Area, &[("area", panel.area())]);
        for (k, dart) in panel.darts.iter().enumerate() {
            let Dart { intake, length, leg, centre, .. } = *dart;
            let lengths = [("intake", intake), ("length", length), ("leg", leg), ("centre", centre)];
            emit(QuantityOwner::Dart(half, k), Length, &lengths);
            let angle = to_degrees(dart.half_angle_rad * T::constant(2.0));
            emit(QuantityOwner::Dart(half, k), Angle, &[("angle", angle)]);
        }
        for (name, point) in panel.named_points(body.hip_depth, body.length) {
            emit(QuantityOwner::Point(half, name), Length, &[("x", point.x), ("y", point.y)]);
        }
    }
}

fn to_degrees<T: Scalar>(radians: T) -> T {
    radians * T::constant(180.0 / std::f64::consts::PI)
}
