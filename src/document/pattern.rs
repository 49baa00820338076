//! Reports of a pattern and of a lay, lengths in the unit of the document.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::json::{FORMAT_VERSION, to_json_text};
use super::panel::{EdgeReport, point_in_unit, report_struct};
use crate::draft::Edge;
use crate::field::Unit;
use crate::findings::Finding;
use crate::geometry::Path;
use crate::pattern::{Allowances, Lay, Notch, NotchPlace, OPENING_FIELD, Pattern, Piece, PlacedPiece, Press};

/// Pattern of a skirt: pieces with allowances, notches and grain line, ready to cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle pattern")]
pub struct PatternReport {
    /// Version of the document format.
    #[schemars(extend("const" = FORMAT_VERSION))]
    pub format: u32,
    /// Unit of every length; areas are in the square of the unit.
    pub unit: Unit,
    /// Name of the size or wearer printed on the pieces; if empty, the pieces show waist and hip.
    pub name: String,
    /// Allowances as cut: if a seam line bends too sharply for a requested allowance, that allowance is reduced along
    /// the whole edge, on both panels.
    pub allowances: Allowances,
    /// Length of the centre back opening, from the waist down the seam.
    pub opening: f64,
    /// Direction in which the folded darts are pressed.
    pub press: Press,
    /// Back piece of the pattern.
    pub back: PieceReport,
    /// Front piece of the pattern.
    pub front: PieceReport,
    /// Cautions about cutting the pattern; cautions about the draft are in the `findings` of the result.
    pub findings: Vec<Finding>,
}

report_struct! {
    /// Pattern piece. Coordinates: x from the centre line to the side, y downwards from the waist at the side seam.
    PieceReport as "Piece" {
        /// Number of times that the piece is cut.
        copies: u32,
        /// Whether the centre line of the piece lies on the fold of the cloth.
        on_fold: bool,
        /// Area inside the cut line, in the square of the unit; for a piece on the fold, the area of one half.
        area: f64,
        /// Edges of the closed cut line; the roof over a dart has the role `dart`.
        cut: Vec<EdgeReport>,
        /// Edges of the closed seam line, including the legs of the darts.
        seam: Vec<EdgeReport>,
        /// Notches of the piece.
        notches: Vec<NotchReport>,
        /// Grain line of the piece: upper end and lower end, each as (x, y).
        grain: [[f64; 2]; 2],
        /// Number of folded edges cut straight because the waist next to the fold is too short or too curved to mirror.
        straight_folds: usize,
    }
}

report_struct! {
    /// Notch of a pattern piece, made of one or two cuts.
    NotchReport as "Notch" {
        /// Feature that the notch marks: `hip_line`, `lower_side`, `opening_end` or `dart_leg`.
        #[schemars(with = "NotchPlace")]
        place: Cow<'static, str>,
        /// Distance of the notch along the seam: from the waist down a side or centre seam, or from the centre along
        /// the waist with the darts closed. Notches that are sewn together have equal distances.
        along: f64,
        /// Point (x, y) at which the notch meets the seam line.
        seam: [f64; 2],
        /// Ends (x, y) of each cut: one on the cut line, one inside it, or outside if the allowance is too narrow.
        cuts: Vec<[[f64; 2]; 2]>,
    }
}

/// Pattern pieces laid on cloth. Coordinates: x across the cloth, from the fold or a selvedge, y along the cloth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle lay")]
pub struct LayReport {
    /// Version of the document format.
    #[schemars(extend("const" = FORMAT_VERSION))]
    pub format: u32,
    /// Unit of every length except `to_buy_cm` and `to_buy_yd`.
    pub unit: Unit,
    /// Width of the cloth between the selvedges, unfolded.
    pub width: f64,
    /// Whether the cloth is folded lengthwise.
    pub folded: bool,
    /// Whether all hems must point the same way along the cloth.
    pub one_way: bool,
    /// Length of cloth that the pieces take.
    pub length: f64,
    /// Length of cloth to buy, in centimetres, rounded up to a multiple of 10.
    pub to_buy_cm: f64,
    /// Length of cloth to buy, in yards, rounded up to a multiple of 1/8.
    pub to_buy_yd: f64,
    /// Share of the cloth that no piece covers, within the length that the pieces take, from 0 to 1.
    pub waste: f64,
    /// Pieces of the pattern at positions on the cloth; a piece on folded cloth is cut through both layers.
    pub placed: Vec<PlacedReport>,
}

report_struct! {
    /// Pattern piece at a position on the cloth.
    PlacedReport as "Placed" {
        /// Name of the piece: `back` or `front`.
        piece: Cow<'static, str>,
        /// Whether the piece lies mirrored, with the other side up.
        mirrored: bool,
        /// Whether the piece lies upside down: with the hem where an unturned piece has the waist.
        turned: bool,
        /// Whether the centre line of the piece lies on the fold of the cloth.
        on_fold: bool,
        /// Closed cut line of the piece on the cloth, as points (x, y): two per straight line, four control points per
        /// cubic Bézier curve. A front on unfolded cloth has both halves.
        outline: Vec<Vec<[f64; 2]>>,
        /// Grain line of the piece on the cloth: two ends, each as (x, y).
        grain: [[f64; 2]; 2],
    }
}

impl PatternReport {
    /// Returns the report of a pattern, with lengths in `unit`.
    #[must_use]
    pub fn new(pattern: &Pattern, unit: Unit) -> Self {
        let [back, front] = pattern.pieces().map(|piece| PieceReport::new(piece, unit));
        Self {
            format: FORMAT_VERSION,
            unit,
            name: pattern.cutting().name.clone(),
            allowances: pattern.cut_allowances.convert_lengths(Unit::Cm, unit),
            opening: OPENING_FIELD.kind.convert_unit(pattern.opening(), Unit::Cm, unit),
            press: pattern.cutting().press,
            back,
            front,
            findings: pattern.findings_in_unit(unit),
        }
    }

    /// Returns the report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        to_json_text(self)
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
            grain: piece.grain.map(|point| point_in_unit(point, unit)),
            straight_folds: piece.straight_folds,
        }
    }
}

impl NotchReport {
    fn new(notch: &Notch, unit: Unit) -> Self {
        Self {
            place: notch.place.name().into(),
            along: unit.length_from_cm(notch.along),
            seam: point_in_unit(notch.seam, unit),
            cuts: notch.cuts.iter().map(|cut| cut.map(|point| point_in_unit(point, unit))).collect(),
        }
    }
}

impl LayReport {
    /// Returns the report of a lay, with lengths in `unit`.
    #[must_use]
    pub fn new(lay: &Lay, unit: Unit) -> Self {
        Self {
            format: FORMAT_VERSION,
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

    /// Returns the report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        to_json_text(self)
    }
}

impl PlacedReport {
    pub(crate) fn new(placed: &PlacedPiece, unit: Unit) -> Self {
        let path = |path: &Path| path.points().iter().map(|point| point_in_unit(*point, unit)).collect();
        Self {
            piece: placed.half.name().into(),
            mirrored: placed.mirrored,
            turned: placed.turned,
            on_fold: placed.on_fold,
            outline: placed.outline.iter().map(path).collect(),
            grain: placed.grain.map(|point| point_in_unit(point, unit)),
        }
    }
}
