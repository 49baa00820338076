//! Drawings of drafts, patterns, size nests and lays: layers of lines and texts, independent of any file format.
//!
//! This module decides what is drawn and where each of the [`Texts`] is printed; [`files`](crate::files) writes a
//! drawing as SVG, PDF or DXF. Lengths are millimetres on paper, `x` to the right, `y` down.
//!
//! ```
//! use kirtle::drawing::{Paper, draw_pattern, paginate};
//! use kirtle::{Body, Cutting, Ease, Rules, Unit};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! let drawing = draw_pattern(&draft.pattern(&Cutting::default())?, Unit::Cm);
//! assert_eq!(paginate(&drawing, &Paper::named("roll 90 cm")?)?.pages.len(), 1);
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod alteration;
mod body_figure;
mod cutter_lay;
mod header;
mod lay;
mod lesson;
mod nest_waist_pieces;
mod panel_layout;
mod panels;
mod paper;
mod pieces;
mod print;
mod size_names;
mod size_nest;
mod tile_arrangement;
mod waist_pieces;

pub use alteration::draw_alteration;
pub use cutter_lay::draw_lay_at_true_size;
pub use header::with_header;
pub use lay::{draw_lay, draw_lay_on_page};
pub use lesson::draw_lesson;
pub use panels::draw_draft;
pub use paper::Paper;
pub use pieces::{draw_pattern, with_notes_on_buying};
pub use print::{PageWindow, PrintLayout, PrintPage, paginate};
pub use size_nest::draw_nest;

use crate::geometry::{Path, Point};
use crate::wording::{Texts, printed};

/// Drawing for any file format: title, notes, key, size and parts. All drawings but those of lays are at true scale.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// let names: Vec<&str> = drawing.parts.iter().map(|part| part.name.as_str()).collect();
/// assert_eq!(names, ["back", "front"]);
/// assert!(kirtle::files::svg(&drawing, kirtle::files::SvgScale::True).starts_with("<svg "));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Title of the drawing, in one line.
    pub title: String,
    /// Notes to read before cutting, one line each.
    pub notes: Vec<String>,
    /// Key of the sizes, printed below the notes: a row of column heads, then a row for each size; empty for a drawing
    /// of one size. Written files of a drawing with a key have a layer for each size, such as `Size 38`.
    pub key: Vec<SizeKeyRow>,
    /// Width and height of the drawing, in millimetres.
    pub size_mm: [f64; 2],
    /// Parts of the drawing in drawing order: a later part covers an earlier one.
    pub parts: Vec<Part>,
    /// Texts of header and tiles, which [`with_header`] and [`paginate`] add.
    pub texts: Texts,
}

/// Row of a key of sizes: a sample of the line of a size, and the size's name and numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeKeyRow {
    /// Style of the lines of the size; `None` for the heads of the columns.
    pub stroke: Option<LineStyle>,
    /// Texts of the row, one for each column.
    pub cells: Vec<String>,
}

impl Drawing {
    /// Returns the name of a part's layer in written files, such as `Size 38`; `None` if the drawing has no key of
    /// sizes or the part belongs to no size.
    pub(crate) fn size_layer_name(&self, part: &Part) -> Option<String> {
        (!self.key.is_empty() && !part.set.is_empty()).then(|| size_layer_name(&part.set, &self.texts))
    }
}

/// Returns the name of a size's layer in written files: the text `one_size`, with a capital first letter.
fn size_layer_name(size: &str, texts: &Texts) -> String {
    let mut name = printed!(texts.one_size(), name = size);
    if let Some(first) = name.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    name
}

/// Layers of marks that belong together: a pattern piece, a panel of one size, a header, or the marks around pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name of the part in written files, of letters, digits and hyphens.
    pub name: String,
    /// Name of the size or body that the part belongs to; empty if the part belongs to no size or body.
    pub set: String,
    /// Number of copies of a pattern piece to cut from cloth; 0 for a part that is not a pattern piece.
    pub copies: u32,
    /// Layers of the part in drawing order: a later layer covers an earlier one.
    pub layers: Vec<Layer>,
}

/// Marks of one kind in a [`Part`], which a viewer can show or hide together.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Kind of the marks on the layer.
    pub kind: LayerKind,
    /// Marks of the layer, in drawing order.
    pub marks: Vec<Mark>,
}

/// Kinds of layer in drawing order: a later kind covers an earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LayerKind {
    /// Plain tint of the cloth inside an outline.
    Cloth,
    /// Marks for the paper: frames, joining crosses, test squares.
    Sheet,
    /// Guide lines, such as the hip line.
    Guide,
    /// Grain line with arrowheads.
    Grain,
    /// Folds: the edge of a piece that is placed on folded cloth, the fold of a vent or of a waistband.
    Fold,
    /// Darts: legs, centre line of the dart, and tip.
    Dart,
    /// Seam line, where the cloth is stitched.
    Seam,
    /// Cut line, at the outer edge of the allowances.
    Cut,
    /// Notches: short cuts into the allowance.
    Notch,
    /// Texts: names, lengths and instructions.
    Text,
}

impl LayerKind {
    /// All kinds of layer, in drawing order.
    pub const ALL: [LayerKind; 10] = {
        use LayerKind::{Cloth, Cut, Dart, Fold, Grain, Guide, Notch, Seam, Sheet, Text};
        [Cloth, Sheet, Guide, Grain, Fold, Dart, Seam, Cut, Notch, Text]
    };

    /// Returns the name of a layer kind in written files, such as "seam".
    pub fn name_in_files(self) -> &'static str {
        self.name_colour_and_line_width().0
    }

    /// Returns the colour of the marks of a layer kind as red, green and blue, 0 to 255; the cut line is the darkest.
    pub fn ink_rgb(self) -> [u8; 3] {
        self.name_colour_and_line_width().1
    }

    /// Returns the width at which the lines of a layer kind are drawn, in millimetres; 0 for tint and texts.
    pub fn line_width_mm(self) -> f64 {
        self.name_colour_and_line_width().2
    }

    /// Returns the name, the colour (red, green, blue) and the line width (in millimetres) of a layer kind.
    fn name_colour_and_line_width(self) -> (&'static str, [u8; 3], f64) {
        const GREY: [u8; 3] = [0x56, 0x69, 0x7a];
        const INK: [u8; 3] = [0x1c, 0x2b, 0x36];
        match self {
            LayerKind::Cloth => ("cloth", [0xf5, 0xf0, 0xe4], 0.0),
            LayerKind::Sheet => ("sheet", GREY, 0.35),
            LayerKind::Guide => ("guide", GREY, 0.35),
            LayerKind::Grain => ("grain", GREY, 0.35),
            LayerKind::Fold => ("fold", INK, 0.7),
            LayerKind::Dart => ("dart", [0x9c, 0x3d, 0x1c], 0.5),
            LayerKind::Seam => ("seam", INK, 0.7),
            LayerKind::Cut => ("cut", [0x00, 0x00, 0x00], 0.7),
            LayerKind::Notch => ("notch", INK, 0.7),
            LayerKind::Text => ("text", INK, 0.0),
        }
    }
}

/// Smallest element of a drawing: a line, a point or a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Line of consecutive straight pieces and curves; closed if the last one ends where the first one starts.
    Line {
        /// Straight lines and curves from the start of the line to its end.
        paths: Vec<Path>,
        /// Line style, such as solid or dashed.
        stroke: LineStyle,
    },
    /// Point drawn as a small ring, such as the tip of a dart.
    Point {
        /// Position of the point, in millimetres.
        at: Point,
    },
    /// Text on one line.
    Text {
        /// Point of the text's base line, in millimetres: its left end or its middle, as `align` says.
        at: Point,
        /// The text, on one line.
        text: String,
        /// Font size, in millimetres.
        size_mm: f64,
        /// Alignment and direction of the text at its point.
        align: TextAlign,
    },
}

/// Ratio of the height of a capital letter to the font size of a [`Mark::Text`].
pub(crate) const CAPITAL_HEIGHT_PER_FONT_SIZE: f64 = 0.7;

/// Alignment and direction of a [`Mark::Text`] at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TextAlign {
    /// Horizontal text, with the middle of its base line at the point.
    Centred,
    /// Horizontal text, with the left end of its base line at the point.
    Left,
    /// Text that runs upwards on the paper, with the middle of its base line at the point.
    CentredUpwards,
}

/// Radius of the ring that shows a [`Mark::Point`], in millimetres.
pub const POINT_RING_RADIUS_MM: f64 = 1.5;

/// Style in which a line is drawn: solid, dashed, dotted or a mix of these; or a closed outline is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineStyle {
    /// No line: the closed outline is filled.
    Filled,
    /// Solid line.
    Solid,
    /// Line of 4 mm dashes.
    Dashed,
    /// Line of 12 mm dashes.
    LongDashed,
    /// Dotted line, used where paper is trimmed or joined.
    Dotted,
    /// Line of alternating dashes and dots, used for folds.
    DashDot,
    /// Line of dashes, each followed by two dots.
    DashDotDot,
    /// Line of alternating long and short dashes.
    LongShortDashed,
    /// Line of dots far apart.
    WideDotted,
}

impl LineStyle {
    /// Returns the alternating lengths of dashes and gaps of a line style, in millimetres; empty if solid or filled.
    pub fn dash_pattern_mm(self) -> &'static [f64] {
        match self {
            LineStyle::Filled | LineStyle::Solid => &[],
            LineStyle::Dashed => &[4.0, 2.0],
            LineStyle::LongDashed => &[12.0, 2.5],
            LineStyle::Dotted => &[0.8, 1.6],
            LineStyle::DashDot => &[9.0, 2.0, 1.0, 2.0],
            LineStyle::DashDotDot => &[9.0, 1.5, 1.0, 1.5, 1.0, 1.5],
            LineStyle::LongShortDashed => &[12.0, 2.0, 3.0, 2.0],
            LineStyle::WideDotted => &[1.2, 2.8],
        }
    }
}

impl Part {
    /// Creates a part that has no layers yet, given its name, the name of its size or body (empty if none), and the
    /// number of copies to cut.
    pub(crate) fn new(name: &str, set: &str, copies: u32) -> Self {
        Self { name: name.to_owned(), set: set.to_owned(), copies, layers: Vec::new() }
    }

    /// Appends one mark to this part's layer of a kind; if the layer is missing, inserts it in drawing order first.
    fn add_mark(&mut self, kind: LayerKind, mark: Mark) {
        let index = self.layers.partition_point(|layer| layer.kind < kind);
        if self.layers.get(index).is_none_or(|layer| layer.kind != kind) {
            self.layers.insert(index, Layer { kind, marks: Vec::new() });
        }
        self.layers[index].marks.push(mark);
    }

    /// Returns the part with the function `f` applied to every point of its marks, in millimetres.
    pub(crate) fn map_part(mut self, f: impl Fn(Point) -> Point) -> Self {
        for mark in self.layers.iter_mut().flat_map(|layer| &mut layer.marks) {
            match mark {
                Mark::Line { paths, .. } => paths.iter_mut().for_each(|path| *path = path.map(&f)),
                Mark::Point { at } | Mark::Text { at, .. } => *at = f(*at),
            }
        }
        self
    }
}
