//! Reports of a pattern and of a lay, lengths in the unit of the document.

use std::borrow::Cow;

use super::panel::EdgeReport;
use super::report::{convert_each, point, points, report, segment};
use crate::field::{FieldKind, Unit};
use crate::findings::Finding;
use crate::pattern::{
    Allowances, Lay, Notch, NotchPlace, Pattern, Piece, PieceName, PlacedPiece, Press, VentLines, WaistPiece,
    ZIP_OPENING_FIELD,
};
use crate::proof::Proof;

report! {
    /// Pattern of a skirt: pieces with allowances, notches and grain line, ready to cut.
    #[schemars(title = "Kirtle pattern")]
    PatternReport with format of (pattern: &Pattern) in unit {
        /// Unit of every length; areas are in the square of the unit.
        unit: Unit = unit,
        /// Name of the size or wearer printed on the pieces; if empty, the pieces show waist and hip.
        name: String = pattern.cutting().name.clone(),
        /// Allowances as cut: if a seam line bends too sharply for a requested allowance, that allowance is reduced
        /// along the whole edge, on both panels.
        allowances: Allowances = pattern.cut_allowances.convert_lengths(Unit::Cm, unit),
        /// Length of the zip opening, from the waist down the centre back seam.
        opening: f64 = ZIP_OPENING_FIELD.kind.convert_unit(pattern.opening(), Unit::Cm, unit),
        /// Direction in which the folded darts are pressed.
        press: Press = pattern.cutting().press,
        /// Back piece of the pattern.
        back: PieceReport = PieceReport::new(&pattern.back, unit),
        /// Front piece of the pattern.
        front: PieceReport = PieceReport::new(&pattern.front, unit),
        /// Pieces that finish the waist: a waistband, or the facings of back and front; absent unless requested.
        waist_pieces: Vec<WaistPieceReport> [default] = convert_each(&pattern.waist_pieces, WaistPieceReport::new, unit),
        /// Checks that the pieces that finish the waist have the lengths of the sewn waist; absent without such pieces.
        proof: Option<Proof> [default] = pattern.waist_proof().map(|proof| proof.convert_lengths_from_cm(unit)),
        /// Cautions about cutting the pattern; cautions about the draft are in the `findings` of the result.
        findings: Vec<Finding> = pattern.findings_in_unit(unit),
    }
}

report! {
    /// Pattern piece. Coordinates: x from the centre line to the side, y downwards from the waist at the side seam.
    PieceReport as "Piece" of (piece: &Piece) in unit {
        /// Number of times that the piece is cut.
        copies: u32 = piece.copies(),
        /// Whether the centre line of the piece lies on the fold of the cloth.
        on_fold: bool = piece.on_fold(),
        /// Area inside the cut line, in the square of the unit; for a piece on the fold, the area of one half.
        area: f64 = FieldKind::Area.convert_from_cm(piece.area(), unit),
        /// Edges of the closed cut line; the roof over a dart has the role `dart`.
        cut: Vec<EdgeReport> = convert_each(&piece.cut, EdgeReport::new, unit),
        /// Edges of the closed seam line, including the legs of the darts.
        seam: Vec<EdgeReport> = convert_each(&piece.seam_line(), EdgeReport::new, unit),
        /// Notches of the piece.
        notches: Vec<NotchReport> = convert_each(&piece.notches, NotchReport::new, unit),
        /// Vent of the back piece; absent for the front, and for a back without vent.
        vent: Option<VentReport> [default] = piece.vent.as_ref().map(|vent| VentReport::new(vent, unit)),
        /// Grain line of the piece: upper end and lower end, each as (x, y).
        grain: [[f64; 2]; 2] = segment(&piece.grain, unit),
        /// Number of folds, of allowances and darts, at which the cut edge is straight because the waist next to the
        /// fold is too short or too curved to mirror.
        straight_folds: usize = piece.straight_folds,
    }
}

report! {
    /// Vent at the lower end of the centre back, as lines on the back piece.
    VentReport as "Vent" of (vent: &VentLines) in unit {
        /// Ends (x, y) of the line of stitches across the top, from the centre back to the edge of the extension.
        stitching: [[f64; 2]; 2] = segment(&vent.stitching, unit),
        /// Ends (x, y) of the fold at the centre back, from the top of the vent to the hem.
        fold: [[f64; 2]; 2] = segment(&vent.fold, unit),
    }
}

report! {
    /// Pattern piece that finishes the waist. Coordinates of a facing are those of its panel with the darts closed. In
    /// a waistband y runs along its length from one end at the centre back, x from the edge that is sewn to the waist.
    WaistPieceReport as "WaistPiece" of (piece: &WaistPiece) in unit {
        /// Name of the piece: `waistband`, `back_facing` or `front_facing`.
        #[schemars(with = "PieceName")]
        name: Cow<'static, str> = piece.name.name().into(),
        /// Number of times that the piece is cut.
        copies: u32 = piece.name.copies(),
        /// Whether the centre line of the piece lies on the fold of the cloth.
        on_fold: bool = piece.on_fold(),
        /// Area inside the cut line, in the square of the unit; for a piece on the fold, the area of one half.
        area: f64 = FieldKind::Area.convert_from_cm(piece.area(), unit),
        /// Edges of the closed cut line.
        cut: Vec<EdgeReport> = convert_each(&piece.cut, EdgeReport::new, unit),
        /// Edges of the closed seam line: those sewn to the waist have the role `waist`, a facing's lower edge `hem`.
        seam: Vec<EdgeReport> = convert_each(&piece.seam, EdgeReport::new, unit),
        /// Notches of the piece.
        notches: Vec<NotchReport> = convert_each(&piece.notches, NotchReport::new, unit),
        /// Line along which the waistband is folded, as two points (x, y); null for a facing.
        fold: Option<[[f64; 2]; 2]> = piece.fold.map(|fold| segment(&fold, unit)),
        /// Grain line of the piece: upper end and lower end, each as (x, y).
        grain: [[f64; 2]; 2] = segment(&piece.grain, unit),
        /// Number of folds, of allowances and darts, at which the cut edge is straight because the waist next to the
        /// fold is too short or too curved to mirror.
        straight_folds: usize = piece.straight_folds,
    }
}

report! {
    /// Notch of a pattern piece, made of one or two cuts.
    NotchReport as "Notch" of (notch: &Notch) in unit {
        /// Feature that the notch marks: `hip_line`, `lower_side`, `opening_end`, `vent_top`, `dart_leg`; on a
        /// waistband also `centre_back`, `centre_front` and `side_seam`.
        #[schemars(with = "NotchPlace")]
        place: Cow<'static, str> = notch.place.name().into(),
        /// Distance of the notch along the seam: from the waist down a side or centre seam, or from the centre along
        /// the waist with the darts closed. Notches that are sewn together have equal distances.
        along: f64 = unit.length_from_cm(notch.along),
        /// Point (x, y) at which the notch meets the seam line.
        seam: [f64; 2] = point(&notch.seam, unit),
        /// Ends (x, y) of each cut: one on the cut line, the other inside, or outside if the allowance is too narrow.
        cuts: Vec<[[f64; 2]; 2]> = convert_each(&notch.cuts, segment, unit),
    }
}

report! {
    /// Pattern pieces laid on cloth. Coordinates: x across the cloth, from the fold or a selvedge, y along the cloth.
    #[schemars(title = "Kirtle lay")]
    LayReport with format of (lay: &Lay) in unit {
        /// Unit of every length except `to_buy_cm` and `to_buy_yd`.
        unit: Unit = unit,
        /// Width of the cloth between the selvedges, unfolded.
        width: f64 = unit.length_from_cm(lay.cloth.width),
        /// Whether the cloth is folded lengthwise.
        folded: bool = lay.cloth.folded,
        /// Whether all hems must point the same way along the cloth.
        one_way: bool = lay.cloth.one_way,
        /// Width of the strip along each selvedge that no piece covers.
        selvedge: f64 = unit.length_from_cm(lay.cloth.selvedge),
        /// Length of cloth that the pieces take, not rounded.
        length: f64 = unit.length_from_cm(lay.length),
        /// Length of cloth to buy, in centimetres, rounded up to a multiple of 10.
        to_buy_cm: f64 = lay.to_buy_cm(),
        /// Length of cloth to buy, in yards, rounded up to a multiple of 1/8.
        to_buy_yd: f64 = lay.to_buy_yd(),
        /// Share of the cloth that no piece covers, within the length that the pieces take, from 0 to 1.
        waste: f64 = lay.waste,
        /// Pieces of the pattern at positions on the cloth; a piece on folded cloth is cut through both layers.
        placed: Vec<PlacedReport> = convert_each(&lay.placed, PlacedReport::new, unit),
    }
}

report! {
    /// Pattern piece at a position on the cloth.
    PlacedReport as "Placed" of (placed: &PlacedPiece) in unit {
        /// Name of the piece: `back`, `front`, `waistband`, `back_facing` or `front_facing`.
        piece: Cow<'static, str> = placed.name.name().into(),
        /// Whether the paper piece lies face down on the cloth, its printed side below.
        mirrored: bool = placed.mirrored,
        /// Whether the piece lies upside down: with the hem where an unturned piece has the waist.
        turned: bool = placed.turned,
        /// Whether the centre line of the piece lies on the fold of the cloth.
        on_fold: bool = placed.on_fold,
        /// Closed cut line of the piece on the cloth, as points (x, y): two per straight line, four control points per
        /// cubic Bézier curve. A front on unfolded cloth has both halves.
        outline: Vec<Vec<[f64; 2]>> = convert_each(&placed.outline, points, unit),
        /// Grain line of the piece on the cloth: two ends, each as (x, y).
        grain: [[f64; 2]; 2] = segment(&placed.grain, unit),
    }
}
