//! DXF writer (release 12, 7-bit ASCII) for general CAD: a block for each part, a layer for each kind of line or size.
//!
//! Lengths are millimetres, with `y` up. Blocks follow the open standard for pattern pieces in DXF (ASTM D6673-10,
//! withdrawn 2019): one flat block for each piece, with name, size and quantity as texts. Layer numbers are those
//! in common use; conformity is not claimed. Release 12 has no curves, so a curve becomes chords.

use std::fmt::Write;

use super::decimal::Decimal;
use crate::drawing::LayerKind::{self, Cut, Dart, Fold, Grain, Guide, Notch, Seam, Text};
use crate::drawing::{CAPITAL_HEIGHT_PER_FONT_SIZE, Drawing, Layer, Mark, Part, TextAlign};
use crate::geometry::{Path, Point, flatten_to_polyline};

/// Maximum distance, in millimetres, between a curve and the chords that replace the curve in DXF.
const DXF_CHORD_TOLERANCE_MM: f64 = 0.005;

/// Number of the DXF layer for each layer kind; other kinds are left out of DXF files.
const DXF_LAYER_NUMBERS: [(LayerKind, &str); 8] =
    [(Cut, "1"), (Notch, "4"), (Fold, "6"), (Grain, "7"), (Guide, "8"), (Dart, "8"), (Seam, "14"), (Text, "15")];

/// Number of the DXF layer of cut lines, which are closed, and of the block and the labels of each piece.
const CUT_LINE_LAYER_NUMBER: &str = "1";

/// Maximum length of a text in DXF release 12, in bytes.
const MAX_DXF_TEXT_BYTES: usize = 250;

/// Number of the DXF layer of points to drill or mark, such as dart tips.
const DRILL_POINT_LAYER_NUMBER: &str = "13";

/// Pairs of layer number and colour number, one for each DXF layer; colour 7 is black on white paper.
const DXF_LAYER_AND_COLOUR_NUMBERS: [(&str, u8); 9] =
    [("0", 7), ("1", 7), ("4", 7), ("6", 5), ("7", 3), ("8", 1), ("13", 1), ("14", 5), ("15", 7)];

/// Returns a drawing as the text of a DXF file, without marks for the paper, such as test squares. If the drawing has
/// layers for sizes, all marks of a size are on that size's layer.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let dxf = kirtle::files::dxf(&kirtle::drawing::draw_pattern(&pattern, Unit::Cm));
/// assert!(dxf.is_ascii() && dxf.ends_with("EOF\n"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn dxf(drawing: &Drawing) -> String {
    let [width, height] = drawing.size_mm;
    let mut file = DxfTagWriter { text: String::new(), height };
    file.write_tags(&[(999, "Kirtle: lengths in millimetres"), (0, "SECTION"), (2, "HEADER")]);
    file.write_tags(&[(9, "$ACADVER"), (1, "AC1009"), (9, "$INSUNITS"), (70, "4"), (9, "$MEASUREMENT"), (70, "1")]);
    file.write_tags(&[(9, "$EXTMIN"), (10, "0.0"), (20, "-30.0"), (30, "0.0"), (9, "$EXTMAX")]);
    file.write_number_tag(10, width);
    file.write_number_tag(20, height);
    file.write_tags(&[(30, "0.0"), (0, "ENDSEC"), (0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LTYPE")]);
    file.write_tags(&[(70, "1"), (0, "LTYPE"), (2, "CONTINUOUS"), (70, "0"), (3, "Solid line")]);
    let mut sizes: Vec<&str> = drawing.parts.iter().map(|part| part.set.as_str()).collect();
    sizes.dedup();
    let layer_name = |part: &Part| {
        let number = sizes.iter().position(|size| *size == part.set).unwrap_or_default() + 1;
        drawing.size_layer_name(part).map(|name| dxf_size_layer_name(&name, number))
    };
    let parts: Vec<(String, Option<String>, &Part)> =
        drawing.parts.iter().enumerate().map(|(k, part)| (dxf_block_name(k, part), layer_name(part), part)).collect();
    let mut layers = DXF_LAYER_AND_COLOUR_NUMBERS.map(|(name, colour)| (name, colour.to_string())).to_vec();
    layers.extend(parts.iter().filter_map(|(_, layer, _)| Some((layer.as_deref()?, "7".to_owned()))));
    layers.dedup();
    let count = layers.len().to_string();
    file.write_tags(&[(72, "65"), (73, "0"), (40, "0.0"), (0, "ENDTAB"), (0, "TABLE"), (2, "LAYER"), (70, &count)]);
    for (name, colour) in &layers {
        file.write_tags(&[(0, "LAYER"), (2, name), (70, "0"), (62, colour), (6, "CONTINUOUS")]);
    }
    file.write_tags(&[(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "BLOCKS")]);
    for (name, layer, part) in &parts {
        file.write_part_block(name, layer.as_deref(), part);
    }
    file.write_tags(&[(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
    for (name, layer, _) in &parts {
        let layer = layer.as_deref().unwrap_or(CUT_LINE_LAYER_NUMBER);
        file.write_tags(&[(0, "INSERT"), (8, layer), (2, name), (10, "0.0"), (20, "0.0"), (30, "0.0")]);
    }
    for (y, line) in [(-10.0, "Units: METRIC"), (-20.0, "Style Name: Straight skirt")] {
        file.write_text_entity("1", Point::new(0.0, height - y), line, 5.0, TextAlign::Left);
    }
    file.write_tags(&[(0, "ENDSEC"), (0, "EOF")]);
    file.text
}

/// Returns the name of the DXF block of the part at index `k`: at most 31 capital letters, digits and underscores.
fn dxf_block_name(k: usize, part: &Part) -> String {
    let to_plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '_' };
    let name: String = format!("{}_{}_{}", k + 1, part.name, part.set).chars().map(to_plain).take(31).collect();
    name.trim_end_matches('_').to_owned()
}

/// Returns the DXF name of the layer `name` of a size: at most 31 ASCII letters, digits, blanks, hyphens and
/// underscores. A name that had to be changed ends with the `number` of the size, counted from 1.
fn dxf_size_layer_name(name: &str, number: usize) -> String {
    let to_plain = |c: char| if c.is_ascii_alphanumeric() || c == ' ' || c == '-' { c } else { '_' };
    let plain: String = name.chars().map(to_plain).take(26).collect();
    if plain == name { plain } else { format!("{plain}_{number}") }
}

/// Writer of the text of a DXF file, a list of tags: a group code on one line and a value on the next.
struct DxfTagWriter {
    text: String,
    /// Height of the drawing in millimetres: `y` in the file, upwards, is this height minus `y` in the drawing.
    height: f64,
}

impl DxfTagWriter {
    fn write_tags(&mut self, tags: &[(u16, &str)]) {
        for (code, value) in tags {
            _ = writeln!(self.text, "{code}\n{value}");
        }
    }

    fn write_number_tag(&mut self, code: u16, value: f64) {
        _ = writeln!(self.text, "{code}\n{}", Decimal(value));
    }

    /// Appends `x`, `y` upwards, and `z` = 0 of a point of the drawing; `code` is the group code of `x`.
    fn write_point_coordinates(&mut self, code: u16, point: Point) {
        self.write_number_tag(code, point.x);
        self.write_number_tag(code + 10, self.height - point.y);
        self.write_number_tag(code + 20, 0.0);
    }

    /// Appends the kind and the layer of a DXF entity, and the point at which it lies or starts.
    fn write_entity_at(&mut self, kind: &str, layer: &str, at: Point) {
        self.write_tags(&[(0, kind), (8, layer)]);
        self.write_point_coordinates(10, at);
    }

    /// Appends the DXF block of a part: its lines and texts, and for a pattern piece labels with name, size and
    /// quantity. All are on `size_layer`, if given, and otherwise each mark on the layer of its kind and the labels on
    /// layer 1.
    fn write_part_block(&mut self, name: &str, size_layer: Option<&str>, part: &Part) {
        let own_layer = size_layer.unwrap_or(CUT_LINE_LAYER_NUMBER);
        self.write_tags(&[(0, "BLOCK"), (8, own_layer), (2, name), (70, "0"), (10, "0.0"), (20, "0.0"), (30, "0.0")]);
        for layer in &part.layers {
            self.write_marks_of_layer(layer, size_layer);
        }
        let quantity = part.copies.to_string();
        let labels = [("Piece Name", part.name.as_str()), ("Size", &part.set), ("Quantity", &quantity)];
        for ((key, value), k) in labels.iter().zip(0_u8..).filter(|_| part.copies > 0) {
            let at = lower_left_corner_of_part(part) + crate::geometry::Vector::new(20.0, -40.0 - 6.0 * f64::from(k));
            self.write_text_entity(own_layer, at, &format!("{key}: {value}"), 4.0, TextAlign::Left);
        }
        self.write_tags(&[(0, "ENDBLK"), (8, own_layer)]);
    }

    fn write_marks_of_layer(&mut self, layer: &Layer, size_layer: Option<&str>) {
        let Some((_, number)) = DXF_LAYER_NUMBERS.iter().find(|(kind, _)| *kind == layer.kind) else { return };
        let number = size_layer.unwrap_or(number);
        for mark in &layer.marks {
            match mark {
                // Arrowheads are left out: CAD expects a single grain line.
                Mark::Line { paths, .. } if layer.kind == Grain && paths.len() > 1 => {}
                Mark::Line { paths, .. } => self.write_line_or_polyline(number, paths, layer.kind),
                Mark::Point { at } => {
                    self.write_entity_at("POINT", size_layer.unwrap_or(DRILL_POINT_LAYER_NUMBER), *at);
                }
                Mark::Text { at, text, size_mm, align } => self.write_text_entity(number, *at, text, *size_mm, *align),
            }
        }
    }

    /// Appends connected paths as one DXF line or polyline; adds a DXF point at the start of a notch.
    fn write_line_or_polyline(&mut self, layer: &str, paths: &[Path], kind: LayerKind) {
        let mut corners = flatten_to_polyline(paths, DXF_CHORD_TOLERANCE_MM);
        let ends_at_start = corners.len() > 2 && corners.first() == corners.last();
        if ends_at_start {
            corners.pop();
        }
        if let [from, to] = corners[..] {
            if kind == Notch {
                self.write_entity_at("POINT", layer, from);
            }
            self.write_entity_at("LINE", layer, from);
            return self.write_point_coordinates(11, to);
        }
        // The cut line of a piece is closed, even along the fold; on a size's layer a separate centre line closes it.
        let closed = if ends_at_start || layer == CUT_LINE_LAYER_NUMBER { "1" } else { "0" };
        self.write_tags(&[(0, "POLYLINE"), (8, layer), (66, "1"), (10, "0.0"), (20, "0.0"), (30, "0.0"), (70, closed)]);
        for corner in corners {
            self.write_entity_at("VERTEX", layer, corner);
        }
        self.write_tags(&[(0, "SEQEND"), (8, layer)]);
    }

    /// Appends a DXF text at the font size `size`, in millimetres; `at` is the left end or, if `align` centres the
    /// text, the middle of its base line.
    fn write_text_entity(&mut self, layer: &str, at: Point, text: &str, size: f64, align: TextAlign) {
        self.write_entity_at("TEXT", layer, at);
        self.write_number_tag(40, size * CAPITAL_HEIGHT_PER_FONT_SIZE);
        let turn = if align == TextAlign::CentredUpwards { "90.0" } else { "0.0" };
        self.write_tags(&[(1, &to_dxf_ascii(text)), (50, turn)]);
        if align != TextAlign::Left {
            self.write_tags(&[(72, "1")]);
            self.write_point_coordinates(11, at);
        }
    }
}

/// Returns the lower left corner of the bounding box of a part's lines, in coordinates of the drawing.
fn lower_left_corner_of_part(part: &Part) -> Point {
    let marks = part.layers.iter().flat_map(|layer| &layer.marks);
    let paths = marks.filter_map(|mark| if let Mark::Line { paths, .. } = mark { Some(paths) } else { None });
    let points = paths.flatten().flat_map(Path::points);
    points.fold(Point::new(f64::INFINITY, 0.0), |a, b| Point::new(a.x.min(b.x), a.y.max(b.y)))
}

/// Converts a text to 7-bit ASCII for DXF, cut to [`MAX_DXF_TEXT_BYTES`]. A letter outside ASCII becomes `\U+` and its
/// UTF-16 code, which programs for later DXF releases show as the letter.
fn to_dxf_ascii(text: &str) -> String {
    let code = |letter: char| match letter {
        // A double percent sign begins a control code in DXF.
        '%' => "%%%".to_owned(),
        '^' => "^ ".to_owned(),
        // A line break would end the value of the tag.
        _ if letter.is_control() => " ".to_owned(),
        _ if letter.is_ascii() => letter.to_string(),
        _ => letter.encode_utf16(&mut [0; 2]).iter().fold(String::new(), |all, unit| format!("{all}\\U+{unit:04X}")),
    };
    let mut bytes = 0;
    let fits = |code: &String| {
        bytes += code.len();
        bytes <= MAX_DXF_TEXT_BYTES
    };
    text.chars().map(code).take_while(fits).collect()
}
