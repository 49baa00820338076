//! Drawing of a lay plan, at a fifth of true size or smaller to fit on a page.
//!
//! The plan shows the full width of the cloth, or half the width if the cloth is folded. Its title states its scale.

use super::TextAlign::{Centred, CentredUpwards};
use super::header::MIN_PAGE_SIZE_MM;
use super::panel_layout::{LABEL_FONT_MM, NOTE_FONT_MM, SMALL_FONT_MM};
use super::print::single_sheet_page_if_fits;
use super::waist_pieces::part_name_of_piece;
use super::{Drawing, LayerKind, LineStyle, Mark, Paper, Part, PrintLayout};
use crate::error::Problems;
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector, bounding_box};
use crate::pattern::{Cloth, Lay, Pattern, PieceName, PlacedPiece};
use crate::ruler::Ruler;
use crate::wording::{Texts, Wording, printed};

/// Millimetres in the drawing of a lay that stand for one centimetre of cloth: a fifth of true size.
const DRAWN_MM_PER_CLOTH_CM: f64 = 2.0;

/// Denominator of the scale at which a lay is drawn, 1 : 5; a page may show the drawing smaller.
const LAY_SCALE_DENOMINATOR: u32 = 5;

// Margin around the cloth, height and minimum width of the two or three lines of text above the cloth, in millimetres.
const MARGIN_MM: f64 = 8.0;
const TITLE_AND_NOTES_HEIGHT_MM: f64 = 16.0;
const MIN_TEXT_WIDTH_MM: f64 = 200.0;

/// Draws a lay at a fifth of true size; `wording` prints lengths and texts.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::pattern::Cloth;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 })?;
/// let drawing = kirtle::drawing::draw_lay(&lay, Unit::Cm);
/// assert!(drawing.notes[0].contains("buy 70 cm"), "{}", drawing.notes[0]);
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draw_lay<'t>(lay: &Lay, wording: impl Into<Wording<'t>>) -> Drawing {
    draw_lay_titled_with_scale(lay, wording.into(), LAY_SCALE_DENOMINATOR)
}

/// Draws a lay on one page of paper, in portrait or landscape, at the largest scale 1 : n that fits, at most 1 : 5.
///
/// # Errors
/// A side or the margin of the paper is out of range, or margins leave too little of the paper, as for
/// [`paginate`](super::paginate).
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::{Paper, draw_lay_on_page};
/// use kirtle::pattern::Cloth;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let lay = pattern.lay(&Cloth { width: 150.0, folded: false, one_way: false, selvedge: 1.0 })?;
/// let print = draw_lay_on_page(&lay, Unit::Cm, &Paper::named("A4")?)?;
/// assert!(print.pages.len() == 1 && print.drawing.title.ends_with("scale 1 : 6"), "{}", print.drawing.title);
///
/// let narrow = Paper { margin_mm: 50.0, ..Paper::named("A4")? };
/// assert!(draw_lay_on_page(&lay, Unit::Cm, &narrow).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draw_lay_on_page<'t>(
    lay: &Lay,
    wording: impl Into<Wording<'t>>,
    paper: &Paper,
) -> Result<PrintLayout, Problems> {
    paper.check(MIN_PAGE_SIZE_MM)?;
    let wording = wording.into();
    // Reduces the scale until the drawing fits in an orientation; the loop ends, as any drawing fits if small enough.
    let mut n = LAY_SCALE_DENOMINATOR;
    loop {
        let drawing = draw_lay_titled_with_scale(lay, wording, n);
        let scale = f64::from(LAY_SCALE_DENOMINATOR) / f64::from(n);
        if let Some(page) = single_sheet_page_if_fits(&drawing, paper, scale) {
            return Ok(PrintLayout { drawing, pages: vec![page] });
        }
        n += 1;
    }
}

/// Draws a lay at a fifth of true size, with a title that states the scale 1 : `denominator` on its page.
pub(super) fn draw_lay_titled_with_scale(lay: &Lay, wording: Wording, denominator: u32) -> Drawing {
    let texts = wording.texts;
    let cloth_width = if lay.cloth.folded { lay.cloth.width / 2.0 } else { lay.cloth.width };
    let [width, length] = [cloth_width, lay.length].map(|side| side * DRAWN_MM_PER_CLOTH_CM);
    let corner = Point::new(MARGIN_MM, MARGIN_MM + TITLE_AND_NOTES_HEIGHT_MM);
    let mut cloth = Part::new("selvedge", "", 0);
    let mut draw_line = |kind, ends: [[f64; 2]; 2], stroke| {
        cloth.draw_polyline(kind, &ends.map(|end| corner + Vector::from(end)), stroke);
    };
    let (kind, stroke) =
        if lay.cloth.folded { (LayerKind::Fold, LineStyle::DashDot) } else { (LayerKind::Guide, LineStyle::Solid) };
    draw_line(kind, [[0.0, 0.0], [0.0, length]], stroke);
    draw_line(LayerKind::Guide, [[width, 0.0], [width, length]], LineStyle::Solid);
    for y in [0.0, length] {
        draw_line(LayerKind::Guide, [[0.0, y], [width, y]], LineStyle::Dashed);
    }
    let template = if lay.name.is_empty() { texts.lay_plan() } else { texts.named_lay_plan() };
    let plan = printed!(template, name = lay.name);
    let fold = cloth_laying_in_words(&lay.cloth, texts);
    let cloth_width = wording.length_with_unit(lay.cloth.width);
    let title = printed!(texts.lay_title(), plan, width = cloth_width, fold, scale = denominator);
    let notes: Vec<String> = lay_notes(lay, wording).collect();
    let left_edge = if lay.cloth.folded { texts.fold() } else { texts.selvedge() };
    for (x, label) in [(-2.0, left_edge), (width + 5.0, texts.selvedge())] {
        let middle = corner + Vector::new(x, length / 2.0);
        cloth.draw_fitted_text(middle, CentredUpwards, label, [SMALL_FONT_MM, length]);
    }
    let line_height = TITLE_AND_NOTES_HEIGHT_MM / (notes.len() + 1) as f64;
    for (line, words) in std::iter::once(&title).chain(&notes).enumerate() {
        let text_width = width.max(MIN_TEXT_WIDTH_MM);
        let middle = Point::new(MARGIN_MM + text_width / 2.0, MARGIN_MM + (line as f64 + 0.5) * line_height);
        cloth.draw_fitted_text(middle, Centred, words, [LABEL_FONT_MM.min(line_height * 0.65), text_width]);
    }
    let draw = |(k, placed)| draw_piece_of_lay(k, placed, lay, texts, corner);
    let mut parts: Vec<Part> = lay.placed.iter().enumerate().map(draw).collect();
    // The cloth's edges are drawn last, over the tint of a piece that lies on the fold.
    parts.push(cloth);
    let size_mm =
        [width.max(MIN_TEXT_WIDTH_MM) + 2.0 * MARGIN_MM, length + TITLE_AND_NOTES_HEIGHT_MM + 2.0 * MARGIN_MM];
    Drawing { title, notes, key: Vec::new(), size_mm, parts, texts: texts.clone() }
}

/// Returns a part with outline, grain line and labels of the piece at index `k` of a lay on folded or open cloth.
fn draw_piece_of_lay(k: usize, placed: &PlacedPiece, lay: &Lay, texts: &Texts, corner: Point) -> Part {
    let (folded, unfolded) = (lay.cloth.folded, lay.pattern.cutting().unfolded);
    let to_paper = |p: Point| corner + p.coords * DRAWN_MM_PER_CLOTH_CM;
    let mut part = Part::new(&format!("{}-{}", part_name_of_piece(placed.name), k + 1), "", 0);
    let outline: Vec<Path> = placed.outline.iter().map(|path| path.map(to_paper)).collect();
    // The last edge of a piece on the fold is the fold, which is not cut.
    let cut = outline[..outline.len() - usize::from(placed.on_fold)].to_vec();
    part.add_mark(LayerKind::Cut, Mark::Line { paths: cut, stroke: LineStyle::Solid });
    part.add_mark(LayerKind::Cloth, Mark::Line { paths: outline.clone(), stroke: LineStyle::Filled });
    let grain = placed.grain.map(to_paper);
    part.draw_polyline(LayerKind::Grain, &grain, LineStyle::Solid);
    if placed.name.on_fold() && !placed.on_fold {
        // The two halves of the outline lie one after the other.
        let [top, bottom] = [&outline[0], &outline[outline.len() / 2]].map(Path::start);
        part.draw_polyline(LayerKind::Fold, &[top, bottom], LineStyle::DashDot);
        let label = Point::new(top.x - NOTE_FONT_MM * 0.3, top.y + (bottom.y - top.y) * 0.75);
        let sizes = [NOTE_FONT_MM * 0.5, (bottom.y - top.y).abs() * 0.45];
        part.draw_fitted_text(label, CentredUpwards, texts.centre_front(), sizes);
    }
    let [left, right] = bounding_box(outline.iter().flat_map(Path::points)).map(|corner| corner.x);
    // The labels stand on the wider side of the grain line.
    let (grain_x, y) = (grain[0].x, f64::midpoint(grain[0].y, grain[1].y));
    let [from, to] = if grain_x - left > right - grain_x { [left, grain_x] } else { [grain_x, right] };
    let middle = Point::new(f64::midpoint(from, to), y);
    let name = texts.piece_name_in_capitals(placed.name.name());
    let instruction = match (placed.name, placed.mirrored) {
        (PieceName::Waistband, _) => folded.then_some(texts.cut_one_layer()),
        (name, _) if name.on_fold() && placed.on_fold => Some(texts.lay_on_fold()),
        (name, _) if name.on_fold() && unfolded => None,
        (PieceName::FrontFacing, _) => Some(texts.turn_over()),
        (name, _) if name.on_fold() => Some(texts.trace_and_turn_over()),
        _ if folded => Some(texts.cut_both_layers()),
        (_, true) => Some(texts.printed_side_down()),
        (_, false) => Some(texts.printed_side_up()),
    };
    let is_of_skirt = matches!(placed.name, PieceName::Back | PieceName::Front);
    let turned = placed.turned.then_some(if is_of_skirt { texts.turned_hem_above() } else { texts.upside_down() });
    let lines = std::iter::once(&*name).chain(turned.into_iter().chain(instruction).flat_map(|words| words.split('|')));
    let away = if grain_x > from { NOTE_FONT_MM * 0.45 } else { -NOTE_FONT_MM * 0.15 };
    let grain_text = Point::new(grain_x + away, f64::midpoint(y, grain[0].y));
    let grain_sizes = [NOTE_FONT_MM * 0.5, (grain[1].y - grain[0].y).abs() * 0.45];
    part.draw_fitted_text(grain_text, CentredUpwards, texts.grain_line(), grain_sizes);
    if is_of_skirt {
        for (words, line) in lines.zip([0.0, 1.3, 2.2, 3.1, 4.0]) {
            let size = if line > 0.0 { SMALL_FONT_MM } else { NOTE_FONT_MM };
            let base_line = middle + Vector::new(0.0, line * NOTE_FONT_MM);
            part.draw_fitted_text(base_line, Centred, words, [size, (to - from) * 0.9]);
        }
    } else {
        // A piece that finishes the waist is narrow: its text is one line, along a waistband, or near the centre of a
        // facing, where the facing is horizontal.
        let words = lines.take(2 + usize::from(placed.turned)).collect::<Vec<_>>().join(", ");
        let (align, share, length) = match placed.name {
            PieceName::Waistband => (CentredUpwards, 0.5, grain[1].y - grain[0].y),
            _ => (Centred, 0.4, to - from),
        };
        let x = if grain_x > from { to + (from - to) * share } else { from + (to - from) * share };
        part.draw_fitted_text(Point::new(x, y), align, &words, [SMALL_FONT_MM, length.abs() * 0.7]);
    }
    part
}

/// Returns the note on the length of a lay; on folded cloth also the length to buy of open cloth, if that is shorter.
fn lay_notes(lay: &Lay, wording: Wording) -> impl Iterator<Item = String> {
    let (length, to_buy) = (wording.length_with_unit(lay.length), cloth_length_to_buy_text(lay, wording));
    let note = printed!(wording.texts.lay_note(), length, to_buy, waste = format!("{:.0}", lay.waste * 100.0));
    let open = lay.pattern.lay(&Cloth { folded: false, ..lay.cloth }).ok().filter(|open| open.length < lay.length);
    let open = open.map(|open| cloth_length_to_buy_text(&open, wording)).filter(|length| *length != to_buy);
    std::iter::once(note).chain(open.map(|length| printed!(wording.texts.laid_open_is_enough(), length)))
}

/// Returns the length of cloth to buy for a lay, as shops sell it in the system of the ruler's unit: `70 cm`, `3/4 yd`.
fn cloth_length_to_buy_text(lay: &Lay, wording: Wording) -> String {
    match wording.ruler.unit() {
        Unit::Cm | Unit::Mm => format!("{} {}", lay.to_buy_cm(), wording.texts.unit_cm()),
        // A yard is divided as an inch is: to the eighth.
        Unit::In => format!("{} {}", Ruler::InEighths.format_length(lay.to_buy_yd() * 2.54), wording.texts.unit_yd()),
    }
}

/// Returns how the cloth of a lay is laid, in words.
fn cloth_laying_in_words<'t>(cloth: &Cloth, texts: &'t Texts) -> &'t str {
    let folds = [texts.cloth_open(), texts.cloth_open_one_way(), texts.cloth_folded(), texts.cloth_folded_one_way()];
    folds[2 * usize::from(cloth.folded) + usize::from(cloth.one_way)]
}

/// Returns the note on the cloth to buy: of the pattern's own cloth, or of cloth without nap or print at two usual
/// widths (common practice), folded lengthwise, or laid open where that needs less. Cloth too narrow for the pattern is
/// left out; returns `None` if all is too narrow.
pub(super) fn cloth_to_buy_note(pattern: &Pattern, wording: Wording) -> Option<String> {
    let (texts, unit) = (wording.texts, wording.ruler.unit());
    let length_at_width = |lay: Lay| {
        let (length, width) = (cloth_length_to_buy_text(&lay, wording), wording.input_length(lay.cloth.width));
        let fold = cloth_laying_in_words(&lay.cloth, texts);
        printed!(texts.cloth_at_width(), length, width = wording.with_unit(width), fold)
    };
    if let Some(cloth) = &pattern.cloth {
        return Some(printed!(texts.cloth_to_buy(), lengths = length_at_width(pattern.lay(cloth).ok()?)));
    }
    let widths = if unit == Unit::In { [45.0, 60.0] } else { [90.0, 140.0] };
    let lengths = widths.into_iter().filter_map(|width| {
        let lays = [true, false].into_iter().filter_map(|folded| {
            let cloth = Cloth { width, folded, one_way: false, selvedge: Cloth::usual_selvedge(unit) };
            pattern.lay(&cloth.convert_lengths(unit, Unit::Cm)).ok()
        });
        // Of two lays that need the same length to buy, the folded one comes first.
        let to_buy = |lay: &Lay| if unit == Unit::In { lay.to_buy_yd() } else { lay.to_buy_cm() };
        lays.min_by(|a, b| to_buy(a).total_cmp(&to_buy(b))).map(length_at_width)
    });
    let lengths = lengths.collect::<Vec<_>>().join("; ");
    (!lengths.is_empty()).then(|| printed!(texts.plain_cloth_to_buy(), lengths))
}
