//! What is drawn: layers, lines and texts, decided here once.
//!
//! A writer knows its format and nothing of skirts; this knows skirts and no format. Lengths are millimetres on paper,
//! `x` to the right, `y` down.

mod panels;

pub use panels::draw;

use crate::geometry::{Path, Point};

/// A drawing at true scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it shows, in one line.
    pub title: String,
    /// Width and height of the paper, in millimetres.
    pub size_mm: [f64; 2],
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

/// The kinds of layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LayerKind {
    /// The cloth inside the outline, as a plain tint.
    Cloth,
    /// Lines that guide: hip line, grain, fold.
    Guide,
    /// The legs of the darts.
    Dart,
    /// The seam line all around.
    Seam,
    /// Names and lengths.
    Text,
}

impl LayerKind {
    /// The layer's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            LayerKind::Cloth => "cloth",
            LayerKind::Guide => "guide",
            LayerKind::Dart => "dart",
            LayerKind::Seam => "seam",
            LayerKind::Text => "text",
        }
    }
}

/// One thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Lines and curves, each starting where the last one ended.
    Line {
        /// The lines and curves.
        paths: Vec<Path>,
        /// How they are drawn.
        stroke: Stroke,
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

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stroke {
    /// No line: a closed outline is filled.
    Filled,
    /// A line throughout.
    Full,
    /// Dashes.
    Dashed,
    /// Dashes and dots, for a fold.
    DashDot,
}
