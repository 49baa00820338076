//! The pattern and the lay as plain numbers, in the unit that was asked for.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::FORMAT;
use super::report::{EdgeReport, point, report};
use crate::draft::Edge;
use crate::field::Unit;
use crate::findings::Finding;
use crate::geometry::Path;
use crate::pattern::{Allowances, Lay, Notch, NotchPlace, OPENING, Pattern, Piece, Placed, Press};

/// The pieces of a draft, ready to cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle pattern")]
pub struct PatternReport {
    /// The version of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    /// The unit of every length; areas are in its square.
    pub unit: Unit,
    /// The size or body on the pieces; empty where they bear waist and hip.
    pub name: String,
    /// The allowances as cut.
    pub allowances: Allowances,
    /// From the waist down the centre back seam to the end of the opening.
    pub opening: f64,
    /// The side to which the darts are pressed.
    pub press: Press,
    /// The back.
    pub back: PieceReport,
    /// The front.
    pub front: PieceReport,
    /// Cautions about cutting, beside those about the draft.
    pub findings: Vec<Finding>,
}

report! {
    /// A piece, in its panel's frame: x from the centre line towards the side, y down from the waist at the side.
    PieceReport as "Piece" {
        /// How many are cut.
        copies: u32,
        /// Whether its centre lies on the fold.
        on_fold: bool,
        /// The cloth inside the cut line, in the square of the unit; of a piece on the fold, one half.
        area: f64,
        /// The cut line. The roof over a dart has the role of the dart.
        cut: Vec<EdgeReport>,
        /// The seam line, with the legs of the darts.
        seam: Vec<EdgeReport>,
        /// The notches.
        notches: Vec<NotchReport>,
        /// The grain line, from its upper to its lower end.
        grain: [[f64; 2]; 2],
        /// How many folded edges are cut straight, for want of an edge to mirror.
        straight_folds: usize,
    }
}

report! {
    /// A notch: one cut, or two.
    NotchReport as "Notch" {
        /// What it marks: `hip_line`, `lower_side`, `opening_end` or `dart_leg`.
        #[schemars(with = "NotchPlace")]
        place: Cow<'static, str>,
        /// How far along its seam it lies, the same for the two of a pair.
        along: f64,
        /// Where it meets the seam line.
        seam: [f64; 2],
        /// Each cut, from the cut line inwards.
        cuts: Vec<[[f64; 2]; 2]>,
    }
}

/// A pattern laid on cloth: x across it, from its fold if it has one, y along it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle lay")]
pub struct LayReport {
    /// The version of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    /// The unit of every length but those to buy.
    pub unit: Unit,
    /// The cloth's width between its selvedges, laid open.
    pub width: f64,
    /// Whether it is folded lengthwise.
    pub folded: bool,
    /// Whether all pieces lie the same way.
    pub one_way: bool,
    /// How much of its length the pieces take.
    pub length: f64,
    /// Length to buy in centimetres, rounded up to ten.
    pub to_buy_cm: f64,
    /// Length to buy in yards, rounded up to an eighth.
    pub to_buy_yd: f64,
    /// The share of the cloth that is left over.
    pub waste: f64,
    /// The pieces.
    pub placed: Vec<PlacedReport>,
}

report! {
    /// A piece on the cloth.
    PlacedReport as "Placed" {
        /// Which piece: `back` or `front`.
        piece: Cow<'static, str>,
        /// Whether it lies with its other side up.
        mirrored: bool,
        /// Whether its hem lies where the others' waist lies.
        turned: bool,
        /// Whether its centre lies on the fold of the cloth.
        on_fold: bool,
        /// Its closed cut line: two points of a straight line, the four control points of a cubic.
        outline: Vec<Vec<[f64; 2]>>,
        /// Its grain line.
        grain: [[f64; 2]; 2],
    }
}

impl PatternReport {
    /// Everything about a pattern, in `unit`.
    #[must_use]
    pub fn new(pattern: &Pattern, unit: Unit) -> Self {
        let [back, front] = pattern.pieces().map(|piece| PieceReport::new(piece, unit));
        Self {
            format: FORMAT,
            unit,
            name: pattern.cutting().name.clone(),
            allowances: pattern.granted.convert(Unit::Cm, unit),
            opening: OPENING.kind.convert(pattern.opening(), Unit::Cm, unit),
            press: pattern.cutting().press,
            back,
            front,
            findings: pattern.findings_in(unit),
        }
    }

    /// The report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        super::text(self)
    }
}

impl PieceReport {
    pub(crate) fn new(piece: &Piece, unit: Unit) -> Self {
        let edges = |edges: &[Edge]| edges.iter().map(|edge| EdgeReport::new(edge, unit)).collect();
        Self {
            copies: piece.copies(),
            on_fold: piece.on_fold(),
            area: piece.area() / (unit.cm_per_unit() * unit.cm_per_unit()),
            cut: edges(&piece.cut),
            seam: edges(&piece.panel.edges),
            notches: piece.notches.iter().map(|notch| NotchReport::new(notch, unit)).collect(),
            grain: piece.grain.map(|p| point(p, unit)),
            straight_folds: piece.straight_folds,
        }
    }
}

impl NotchReport {
    fn new(notch: &Notch, unit: Unit) -> Self {
        Self {
            place: notch.place.name().into(),
            along: unit.length_from_cm(notch.along),
            seam: point(notch.seam, unit),
            cuts: notch.cuts.iter().map(|cut| cut.map(|p| point(p, unit))).collect(),
        }
    }
}

impl LayReport {
    /// Everything about a lay, in `unit`.
    #[must_use]
    pub fn new(lay: &Lay, unit: Unit) -> Self {
        Self {
            format: FORMAT,
            unit,
            width: unit.length_from_cm(lay.cloth.width),
            folded: lay.cloth.folded,
            one_way: lay.cloth.one_way,
            length: unit.length_from_cm(lay.length),
            to_buy_cm: lay.to_buy_cm(),
            to_buy_yd: lay.to_buy_yd(),
            waste: lay.waste,
            placed: lay.placed.iter().map(|placed| PlacedReport::new(placed, unit)).collect(),
        }
    }

    /// The report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        super::text(self)
    }
}

impl PlacedReport {
    pub(crate) fn new(placed: &Placed, unit: Unit) -> Self {
        let path = |path: &Path| path.points().iter().map(|p| point(*p, unit)).collect();
        Self {
            piece: placed.half.name().into(),
            mirrored: placed.mirrored,
            turned: placed.turned,
            on_fold: placed.on_fold,
            outline: placed.outline.iter().map(path).collect(),
            grain: placed.grain.map(|p| point(p, unit)),
        }
    }
}
