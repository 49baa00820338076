//! What is drawn: layers, lines and texts, decided here once.
//!
//! A writer knows its format and nothing of skirts; this knows skirts and no format. Lengths are millimetres on paper,
//! `x` to the right, `y` down.

mod head;
mod lay;
mod nest;
mod panels;
mod paper;
mod pieces;
mod print;
mod sheet;

pub use head::with_header;
pub use lay::draw_lay;
pub use nest::{draw_alteration, draw_nest};
pub use panels::draw;
pub use paper::Paper;
pub use pieces::draw_pattern;
pub use print::{Page, Print, Window, print};

use crate::geometry::{Path, Point};

/// A drawing at true scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it shows, in one line.
    pub title: String,
    /// What a reader should know before using it, a line each.
    pub notes: Vec<String>,
    /// Width and height, in millimetres.
    pub size_mm: [f64; 2],
    /// The parts, the lowest first.
    pub parts: Vec<Part>,
}

/// What belongs together: a piece, or what stands beside the pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name in files: letters, digits and hyphens.
    pub name: String,
    /// The size or body that it is of; empty where it is of none.
    pub set: String,
    /// How many are cut of it; none of what is no piece.
    pub copies: u32,
    /// The layers, the lowest first.
    pub layers: Vec<Layer>,
}

/// Marks of one kind, which a viewer can show or hide together.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Its kind.
    pub kind: LayerKind,
    /// What is drawn on it, in order.
    pub marks: Vec<Mark>,
}

/// The kinds of layer, the lowest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LayerKind {
    /// The cloth inside the outline, as a plain tint.
    Cloth,
    /// What belongs to the paper: frames, joining marks, test squares.
    Sheet,
    /// Lines that guide, such as the hip line.
    Guide,
    /// The grain line.
    Grain,
    /// The fold that a piece is cut on.
    Fold,
    /// The legs and tips of the darts.
    Dart,
    /// The seam line all around.
    Seam,
    /// The line to cut along.
    Cut,
    /// The notches.
    Notch,
    /// Names and lengths.
    Text,
}

impl LayerKind {
    /// All kinds.
    pub const ALL: [LayerKind; 10] = [
        LayerKind::Cloth,
        LayerKind::Sheet,
        LayerKind::Guide,
        LayerKind::Grain,
        LayerKind::Fold,
        LayerKind::Dart,
        LayerKind::Seam,
        LayerKind::Cut,
        LayerKind::Notch,
        LayerKind::Text,
    ];

    /// The layer's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            LayerKind::Cloth => "cloth",
            LayerKind::Sheet => "sheet",
            LayerKind::Guide => "guide",
            LayerKind::Grain => "grain",
            LayerKind::Fold => "fold",
            LayerKind::Dart => "dart",
            LayerKind::Seam => "seam",
            LayerKind::Cut => "cut",
            LayerKind::Notch => "notch",
            LayerKind::Text => "text",
        }
    }

    /// The colour of its lines, or of its tint or letters: red, green, blue. On grey paper the cut line is the darkest.
    #[must_use]
    pub fn ink(self) -> [u8; 3] {
        match self {
            LayerKind::Cloth => [0xf5, 0xf0, 0xe4],
            LayerKind::Sheet | LayerKind::Guide | LayerKind::Grain => [0x56, 0x69, 0x7a],
            LayerKind::Dart => [0x9c, 0x3d, 0x1c],
            LayerKind::Cut => [0x00, 0x00, 0x00],
            LayerKind::Fold | LayerKind::Seam | LayerKind::Notch | LayerKind::Text => [0x1c, 0x2b, 0x36],
        }
    }

    /// The width of its lines, in millimetres.
    #[must_use]
    pub fn line_mm(self) -> f64 {
        match self {
            LayerKind::Cloth | LayerKind::Text => 0.0,
            LayerKind::Sheet | LayerKind::Guide | LayerKind::Grain => 0.35,
            LayerKind::Dart => 0.5,
            LayerKind::Fold | LayerKind::Seam | LayerKind::Cut | LayerKind::Notch => 0.7,
        }
    }
}

/// One thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Lines and curves, each starting where the last one ended; closed where the last ends at the start.
    Line {
        /// The lines and curves.
        paths: Vec<Path>,
        /// How they are drawn.
        stroke: Stroke,
    },
    /// A point, drawn as a small ring.
    Point {
        /// Where it is.
        at: Point,
    },
    /// A text on one line.
    Text {
        /// The middle of its base line.
        middle: Point,
        /// The text.
        text: String,
        /// The height of the letters' body, in millimetres.
        size_mm: f64,
        /// Whether it runs upwards.
        upwards: bool,
    },
}

/// The radius of the ring of a [`Mark::Point`], in millimetres.
pub const RING_MM: f64 = 1.5;

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stroke {
    /// No line: a closed outline is filled.
    Filled,
    /// A line throughout.
    Full,
    /// Dashes.
    Dashed,
    /// Long dashes.
    Long,
    /// Dots, for where paper is trimmed or joined.
    Dotted,
    /// Dashes and dots, for a fold.
    DashDot,
}

impl Stroke {
    /// Dashes and gaps in turn, in millimetres; none of a line throughout.
    #[must_use]
    pub fn dashes_mm(self) -> &'static [f64] {
        match self {
            Stroke::Filled | Stroke::Full => &[],
            Stroke::Dashed => &[4.0, 2.0],
            Stroke::Long => &[12.0, 2.5],
            Stroke::Dotted => &[0.8, 1.6],
            Stroke::DashDot => &[9.0, 2.0, 1.0, 2.0],
        }
    }
}

impl Part {
    /// A part without layers yet.
    pub(crate) fn new(name: &str, set: &str, copies: u32) -> Self {
        Self { name: name.to_owned(), set: set.to_owned(), copies, layers: Vec::new() }
    }

    /// The marks of a kind, on a layer that is made in its place where it is not there yet.
    fn on(&mut self, kind: LayerKind) -> &mut Vec<Mark> {
        let place = self.layers.partition_point(|layer| layer.kind < kind);
        if self.layers.get(place).is_none_or(|layer| layer.kind != kind) {
            self.layers.insert(place, Layer { kind, marks: Vec::new() });
        }
        &mut self.layers[place].marks
    }

    /// The part with every point moved.
    pub(crate) fn moved(mut self, step: crate::geometry::Vector) -> Self {
        for mark in self.layers.iter_mut().flat_map(|layer| &mut layer.marks) {
            match mark {
                Mark::Line { paths, .. } => paths.iter_mut().for_each(|path| *path = path.map(|point| point + step)),
                Mark::Point { at } => *at += step,
                Mark::Text { middle, .. } => *middle += step,
            }
        }
        self
    }
}
