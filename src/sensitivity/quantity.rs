//! The numbers of a draft by name, over any scalar.

use std::fmt;

use crate::draft::{Draft, Half, NamedPoint, Panel, Role, Suppression};
use crate::field::Unit;
use crate::scalar::Scalar;

/// What a number of a draft measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A length.
    Length,
    /// An area, in the square of the unit of lengths.
    Area,
    /// An angle, in degrees whatever the unit of lengths.
    Angle,
}

impl Dimension {
    /// The unit's name behind a number of this kind.
    #[must_use]
    pub fn unit_name(self, unit: Unit) -> &'static str {
        match (self, unit) {
            (Self::Length, _) => unit.name(),
            (Self::Area, Unit::Cm) => "cm²",
            (Self::Area, Unit::In) => "in²",
            (Self::Angle, _) => "deg",
        }
    }

    /// The centimetres, or their square, in one unit; 1 for an angle.
    #[must_use]
    pub(super) fn cm_per_unit(self, unit: Unit) -> f64 {
        match self {
            Self::Length => unit.cm_per_unit(),
            Self::Area => unit.cm_per_unit() * unit.cm_per_unit(),
            Self::Angle => 1.0,
        }
    }
}

/// Whose number it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Owner {
    Garment,
    Nominal,
    Suppression,
    Panel(Half),
    Dart(Half, usize),
    Point(Half, NamedPoint),
}

/// A number of a draft: its [`Display`](fmt::Display) is its name, such as `suppression.total`, `back.waist_seam`,
/// `front.darts[0].intake` or `back.dart_1_tip.x`.
///
/// Points are in the panel's own frame: `x` from the centre line towards the side, `y` down from the waist at the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Quantity {
    owner: Owner,
    name: &'static str,
    /// What it measures.
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
            Owner::Point(half, spot) => write!(f, "{}.{spot}.", half.name())?,
        }
        f.write_str(self.name)
    }
}

impl Quantity {
    /// The panel and the point that it is a coordinate of, if it is one.
    pub(super) fn point(&self) -> Option<(Half, NamedPoint)> {
        if let Owner::Point(half, spot) = self.owner { Some((half, spot)) } else { None }
    }
}

/// Visits the numbers of a draft, always in the same order.
pub(super) fn visit<T: Scalar>(draft: &Draft<T>, mut number: impl FnMut(Quantity, T)) {
    let mut tell = |owner, name, dimension, value| number(Quantity { owner, name, dimension }, value);
    for (owner, Suppression { total, side, back, front }) in
        [(Owner::Nominal, draft.nominal), (Owner::Suppression, draft.suppression)]
    {
        for (name, value) in [("total", total), ("side", side), ("back", back), ("front", front)] {
            tell(owner, name, Dimension::Length, value);
        }
    }
    let seams = draft.panels().map(|panel| panel.length(Role::Waist));
    tell(Owner::Garment, "left_in_side", Dimension::Length, draft.left_in_side);
    tell(Owner::Garment, "sewn_waist", Dimension::Length, (seams[0] + seams[1]) * T::constant(2.0));
    tell(Owner::Garment, "side_seam", Dimension::Length, draft.back.length(Role::Side));
    tell(Owner::Garment, "side_angle", Dimension::Angle, degrees(draft.side_lean().atan()));
    for (panel, seam) in draft.panels().into_iter().zip(seams) {
        visit_panel(draft, panel, seam, &mut tell);
    }
}

fn visit_panel<T: Scalar>(
    draft: &Draft<T>,
    panel: &Panel<T>,
    waist_seam: T,
    tell: &mut impl FnMut(Owner, &'static str, Dimension, T),
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
        tell(Owner::Panel(half), name, Dimension::Length, value);
    }
    tell(Owner::Panel(half), "area", Dimension::Area, panel.area());
    for (k, dart) in panel.darts.iter().enumerate() {
        let lengths = [("intake", dart.intake), ("length", dart.length), ("leg", dart.leg), ("centre", dart.centre)];
        for (name, value) in lengths {
            tell(Owner::Dart(half, k), name, Dimension::Length, value);
        }
        tell(Owner::Dart(half, k), "angle", Dimension::Angle, degrees(dart.half_angle_rad * T::constant(2.0)));
    }
    for (spot, point) in panel.named_points(body.hip_depth, body.length) {
        tell(Owner::Point(half, spot), "x", Dimension::Length, point.x);
        tell(Owner::Point(half, spot), "y", Dimension::Length, point.y);
    }
}

fn degrees<T: Scalar>(radians: T) -> T {
    radians * T::constant(180.0 / std::f64::consts::PI)
}
