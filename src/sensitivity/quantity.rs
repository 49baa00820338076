//! Names of the numbers that a finished draft gives, such as dart intakes and seam lengths, for any scalar type.

use std::fmt;

use crate::draft::{Draft, Half, NamedPoint, Panel, Role, Suppression};
use crate::field::Unit;
use crate::scalar::Scalar;

/// Physical dimension of a quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Length, in centimetres or inches.
    Length,
    /// Area, in square centimetres or square inches.
    Area,
    /// Angle, in degrees for every unit of length.
    Angle,
}

impl Dimension {
    /// Returns the unit symbol of this dimension, such as `cm²`, for a unit of length.
    #[must_use]
    pub fn unit_name(self, unit: Unit) -> &'static str {
        match (self, unit) {
            (Self::Length, _) => unit.name(),
            (Self::Area, Unit::Cm) => "cm²",
            (Self::Area, Unit::In) => "in²",
            (Self::Angle, _) => "deg",
        }
    }

    /// Returns the factor that converts a quantity from `unit` to centimetres or square centimetres; 1 for an angle.
    #[must_use]
    pub(super) fn factor_to_cm(self, unit: Unit) -> f64 {
        match self {
            Self::Length => unit.cm_per_unit(),
            Self::Area => unit.cm_per_unit() * unit.cm_per_unit(),
            Self::Angle => 1.0,
        }
    }
}

/// Part of the draft that a quantity belongs to, such as a panel or a dart; the quantity's name starts with the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Owner {
    Garment,
    Nominal,
    Suppression,
    Panel(Half),
    Dart(Half, usize),
    Point(Half, NamedPoint),
}

/// Identifier of a number that a draft gives, such as a dart intake or a coordinate.
///
/// [`Display`](fmt::Display) writes the name, such as `suppression.total`, `back.waist_seam`, `front.darts[0].intake`
/// or `back.dart_1_tip.x`. In coordinates, `x` is the distance from the centre line towards the side, and `y` the
/// distance below the waist at the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Quantity {
    owner: Owner,
    name: &'static str,
    /// Physical dimension of the quantity.
    pub dimension: Dimension,
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.owner {
            Owner::Garment => {}
            Owner::Nominal => f.write_str("nominal.")?,
            Owner::Suppression => f.write_str("suppression.")?,
            Owner::Panel(half) => write!(f, "{}.", half.name())?,
            Owner::Dart(half, dart) => write!(f, "{}.darts[{dart}].", half.name())?,
            Owner::Point(half, point) => write!(f, "{}.{point}.", half.name())?,
        }
        f.write_str(self.name)
    }
}

impl Quantity {
    /// Returns the panel and the named point of a quantity that is a coordinate, else `None`.
    pub(super) fn coordinate_point(&self) -> Option<(Half, NamedPoint)> {
        if let Owner::Point(half, point) = self.owner { Some((half, point)) } else { None }
    }
}

/// Calls `visitor` with every quantity of a draft and its value, in a fixed order.
pub(super) fn visit_quantities<T: Scalar>(draft: &Draft<T>, mut visitor: impl FnMut(Quantity, T)) {
    let mut emit = |owner, name, dimension, value| visitor(Quantity { owner, name, dimension }, value);
    for (owner, Suppression { total, side, back, front }) in
        [(Owner::Nominal, draft.nominal), (Owner::Suppression, draft.suppression)]
    {
        for (name, value) in [("total", total), ("side", side), ("back", back), ("front", front)] {
            emit(owner, name, Dimension::Length, value);
        }
    }
    let seams = draft.panels().map(|panel| panel.edge_length(Role::Waist));
    emit(Owner::Garment, "left_in_side", Dimension::Length, draft.left_in_side);
    emit(Owner::Garment, "sewn_waist", Dimension::Length, (seams[0] + seams[1]) * T::constant(2.0));
    emit(Owner::Garment, "side_seam", Dimension::Length, draft.back.edge_length(Role::Side));
    emit(Owner::Garment, "side_angle", Dimension::Angle, degrees(draft.side_lean().atan()));
    for (panel, seam) in draft.panels().into_iter().zip(seams) {
        visit_panel(draft, panel, seam, &mut emit);
    }
}

fn visit_panel<T: Scalar>(
    draft: &Draft<T>,
    panel: &Panel<T>,
    waist_seam: T,
    emit: &mut impl FnMut(Owner, &'static str, Dimension, T),
) {
    let (half, body) = (panel.half, draft.body());
    let lengths = [
        ("width", panel.width),
        ("waist_width", panel.waist_width),
        ("waist_seam", waist_seam),
        ("waist_lowering", panel.waist_lowering),
        ("centre_seam", body.length - panel.waist_lowering),
    ];
    for (name, value) in lengths {
        emit(Owner::Panel(half), name, Dimension::Length, value);
    }
    emit(Owner::Panel(half), "area", Dimension::Area, panel.area());
    for (k, dart) in panel.darts.iter().enumerate() {
        let lengths = [("intake", dart.intake), ("length", dart.length), ("leg", dart.leg), ("centre", dart.centre)];
        for (name, value) in lengths {
            emit(Owner::Dart(half, k), name, Dimension::Length, value);
        }
        emit(Owner::Dart(half, k), "angle", Dimension::Angle, degrees(dart.half_angle_rad * T::constant(2.0)));
    }
    for (name, point) in panel.named_points(body.hip_depth, body.length) {
        emit(Owner::Point(half, name), "x", Dimension::Length, point.x);
        emit(Owner::Point(half, name), "y", Dimension::Length, point.y);
    }
}

fn degrees<T: Scalar>(radians: T) -> T {
    radians * T::constant(180.0 / std::f64::consts::PI)
}
