//! DXF of release 12 in 7-bit ASCII, which general CAD reads: a block for each piece, each kind of line on a layer of its
//! own, in millimetres, `y` up.
//!
//! After the open standard for pattern pieces in this format (ASTM D6673-10, withdrawn 2019): one flat block a piece, with
//! its name, size and quantity as texts. The numbers of the layers are those in common use; conformity is not claimed. Release 12 has no curves: they are chords within a
//! two-hundredth of a millimetre.

use super::decimal;
use crate::drawing::{Drawing, Layer, LayerKind, Mark, Part};
use crate::geometry::{Path, Point, flatten};

/// How far a chord may lie from its curve, in millimetres.
const TOLERANCE: f64 = 0.005;

/// The height of the letters of a text, as a share of the size that holds them with their line.
const CAPITAL: f64 = 0.7;

/// The number of each kind's layer; kinds without one do not go into this format.
fn number(kind: LayerKind) -> Option<&'static str> {
    match kind {
        LayerKind::Cut => Some("1"),
        LayerKind::Notch => Some(NOTCHES),
        LayerKind::Fold => Some("6"),
        LayerKind::Grain => Some("7"),
        LayerKind::Guide | LayerKind::Dart => Some("8"),
        LayerKind::Seam => Some("14"),
        LayerKind::Text => Some("15"),
        LayerKind::Cloth | LayerKind::Sheet => None,
    }
}

/// The layer of notches: each is a point on the outline, too.
const NOTCHES: &str = "4";

/// The longest text that the release takes, in bytes.
const LONGEST: usize = 250;

/// The layer of points that are drilled or marked, such as the tip of a dart.
const POINTS: &str = "13";

/// Every layer, and its colour by number: 7 is black on white paper.
const LAYERS: [(&str, u8); 9] =
    [("0", 7), ("1", 7), ("4", 7), ("6", 5), ("7", 3), ("8", 1), ("13", 1), ("14", 5), ("15", 7)];

/// Writes the pieces of a drawing as DXF; what stands beside the pieces is left out.
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
#[must_use]
pub fn dxf(drawing: &Drawing) -> String {
    let [width, height] = drawing.size_mm;
    let mut file = Tags { text: String::new(), height };
    file.put(&[(999, "Kirtle: lengths in millimetres"), (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009")]);
    file.put(&[(9, "$INSUNITS"), (70, "4"), (9, "$MEASUREMENT"), (70, "1")]);
    file.put(&[(9, "$EXTMIN"), (10, "0.0"), (20, "-30.0"), (30, "0.0"), (9, "$EXTMAX")]);
    file.number(10, width);
    file.number(20, height);
    file.put(&[(30, "0.0"), (0, "ENDSEC"), (0, "SECTION"), (2, "TABLES")]);
    file.put(&[(0, "TABLE"), (2, "LTYPE"), (70, "1"), (0, "LTYPE"), (2, "CONTINUOUS"), (70, "0"), (3, "Solid line")]);
    file.put(&[(72, "65"), (73, "0"), (40, "0.0"), (0, "ENDTAB"), (0, "TABLE"), (2, "LAYER"), (70, "9")]);
    for (name, colour) in LAYERS {
        let colour = colour.to_string();
        file.put(&[(0, "LAYER"), (2, name), (70, "0"), (62, &colour), (6, "CONTINUOUS")]);
    }
    file.put(&[(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "BLOCKS")]);
    let pieces: Vec<(String, &Part)> = drawing
        .parts
        .iter()
        .filter(|part| part.copies > 0)
        .enumerate()
        .map(|(k, part)| (block(k, part), part))
        .collect();
    for (name, part) in &pieces {
        file.block(name, part);
    }
    file.put(&[(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
    for (name, _) in &pieces {
        file.put(&[(0, "INSERT"), (8, "1"), (2, name), (10, "0.0"), (20, "0.0"), (30, "0.0")]);
    }
    for (k, line) in ["Units: METRIC", "Style Name: Straight skirt"].into_iter().enumerate() {
        let down = if k == 0 { -10.0 } else { -20.0 };
        file.text("1", Point::new(0.0, height - down), line, 5.0, false, false);
    }
    file.put(&[(0, "ENDSEC"), (0, "EOF")]);
    file.text
}

/// The name of a piece's block: capital letters, digits and underlines only, as release 12 asks, at most 31.
fn block(k: usize, part: &Part) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '_' };
    let name: String = format!("{}_{}_{}", k + 1, part.name, part.set).chars().map(plain).take(31).collect();
    name.trim_end_matches('_').to_owned()
}

/// The tags of the format: a group code on one line, its value on the next.
struct Tags {
    text: String,
    /// The height of the drawing, as `y` turns over.
    height: f64,
}

impl Tags {
    fn put(&mut self, tags: &[(u16, &str)]) {
        for (code, value) in tags {
            self.code(*code);
            self.text.push_str(value);
            self.text.push('\n');
        }
    }

    fn code(&mut self, code: u16) {
        decimal::put(&mut self.text, f64::from(code));
        self.text.push('\n');
    }

    fn number(&mut self, code: u16, value: f64) {
        self.code(code);
        decimal::put(&mut self.text, value);
        self.text.push('\n');
    }

    fn point(&mut self, code: u16, point: Point) {
        self.number(code, point.x);
        self.number(code + 10, self.height - point.y);
        self.number(code + 20, 0.0);
    }

    fn block(&mut self, name: &str, part: &Part) {
        self.put(&[(0, "BLOCK"), (8, "1"), (2, name), (70, "0"), (10, "0.0"), (20, "0.0"), (30, "0.0")]);
        for layer in &part.layers {
            self.layer(layer);
        }
        let quantity = part.copies.to_string();
        let facts = [("Piece Name", part.name.as_str()), ("Size", &part.set), ("Quantity", &quantity)];
        for ((key, value), k) in facts.iter().zip(0_u8..) {
            let at = corner(part) + crate::geometry::Vector::new(20.0, -40.0 - 6.0 * f64::from(k));
            self.text("1", at, &format!("{key}: {value}"), 4.0, false, false);
        }
        self.put(&[(0, "ENDBLK"), (8, "1")]);
    }

    fn layer(&mut self, layer: &Layer) {
        let Some(number) = number(layer.kind) else { return };
        for mark in &layer.marks {
            match mark {
                // A reader expects one grain line, without barbs.
                Mark::Line { paths, .. } if layer.kind == LayerKind::Grain && paths.len() > 1 => {}
                // The outline of a piece is closed, along its fold too.
                Mark::Line { paths, .. } => self.line(number, paths, layer.kind == LayerKind::Cut),
                Mark::Point { at } => {
                    self.put(&[(0, "POINT"), (8, POINTS)]);
                    self.point(10, *at);
                }
                Mark::Text { middle, text, size_mm, upwards } => {
                    self.text(number, *middle, text, *size_mm, true, *upwards);
                }
            }
        }
    }

    fn line(&mut self, layer: &str, paths: &[Path], close: bool) {
        let mut corners = flatten(paths, TOLERANCE);
        let joined = corners.len() > 2 && corners.first() == corners.last();
        if joined {
            corners.pop();
        }
        if let [from, to] = corners[..] {
            if layer == NOTCHES {
                self.put(&[(0, "POINT"), (8, layer)]);
                self.point(10, from);
            }
            self.put(&[(0, "LINE"), (8, layer)]);
            self.point(10, from);
            return self.point(11, to);
        }
        let closed = if joined || close { "1" } else { "0" };
        self.put(&[(0, "POLYLINE"), (8, layer), (66, "1"), (10, "0.0"), (20, "0.0"), (30, "0.0"), (70, closed)]);
        for corner in corners {
            self.put(&[(0, "VERTEX"), (8, layer)]);
            self.point(10, corner);
        }
        self.put(&[(0, "SEQEND"), (8, layer)]);
    }

    fn text(&mut self, layer: &str, at: Point, text: &str, size: f64, middle: bool, upwards: bool) {
        self.put(&[(0, "TEXT"), (8, layer)]);
        self.point(10, at);
        self.number(40, size * CAPITAL);
        self.put(&[(1, &ascii(text)), (50, if upwards { "90.0" } else { "0.0" })]);
        if middle {
            self.put(&[(72, "1")]);
            self.point(11, at);
        }
    }
}

/// The lower left corner of a part's box.
fn corner(part: &Part) -> Point {
    let lines = part.layers.iter().flat_map(|layer| &layer.marks);
    let paths = lines.filter_map(|mark| if let Mark::Line { paths, .. } = mark { Some(paths) } else { None });
    paths
        .flatten()
        .flat_map(Path::points)
        .fold(Point::new(f64::INFINITY, 0.0), |corner, point| Point::new(corner.x.min(point.x), corner.y.max(point.y)))
}

/// A text in 7-bit ASCII: other letters by their number in Unicode, as readers of later releases understand.
fn ascii(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        let code = match letter {
            // Two of them would begin a code.
            '%' => "%%%".to_owned(),
            '^' => "^ ".to_owned(),
            // A line that ends within a text would end its value.
            _ if letter.is_control() => " ".to_owned(),
            _ if letter.is_ascii() => letter.to_string(),
            _ => letter
                .encode_utf16(&mut [0; 2])
                .iter()
                .fold(String::new(), |code, unit| format!("{code}\\U+{unit:04X}")),
        };
        if out.len() + code.len() > LONGEST {
            break;
        }
        out.push_str(&code);
    }
    out
}
