//! Paper formats: named sheets, custom sheets and rolls, with printer margin and tile overlap.
//!
//! Paper made by name has sides from 100 to 4000 mm; a roll is infinitely high.

use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// Standard sheets of paper (ISO 216 and ANSI/ASME Y14.1): name, and width and height in millimetres.
const STANDARD_SHEET_SIZES_MM: [(&str, [f64; 2]); 8] = [
    ("A4", [210.0, 297.0]),
    ("A3", [297.0, 420.0]),
    ("A2", [420.0, 594.0]),
    ("A1", [594.0, 841.0]),
    ("A0", [841.0, 1189.0]),
    ("Letter", [215.9, 279.4]),
    ("Legal", [215.9, 355.6]),
    ("Tabloid", [279.4, 431.8]),
];

const PAPER_SIDE_FIELD: Field = Field::new("side", "", FieldKind::Millimetres, (100.0, 4000.0));
const PRINTER_MARGIN_FIELD: Field = Field::new("margin", "", FieldKind::Millimetres, (0.0, 50.0));
const TILE_OVERLAP_FIELD: Field = Field::new("overlap", "", FieldKind::Millimetres, (0.0, 50.0));

/// Paper to print on: size of sheet or roll, printer margin and tile overlap, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Width and height of the paper, each from 100 to 4000, in millimetres; the height of a roll is infinite.
    pub size_mm: [f64; 2],
    /// Unprinted margin on every side of the paper, from 0 to 50, in millimetres.
    pub margin_mm: f64,
    /// Width of the strip that neighbouring tiles share, from 0 to 50, in millimetres.
    pub overlap_mm: f64,
}

impl Paper {
    /// Parses paper from its name (`A4` to `A0`, `Letter`, `Legal`, `Tabloid`), from a size such as `60 x 80 cm`,
    /// `600x800mm` or `24 x 36 in`, or from the width of a roll such as `roll 90 cm`. Margin and overlap become 10 mm.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for any other text, [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a side
    /// outside 100 to 4000 mm.
    ///
    /// ```
    /// use kirtle::drawing::Paper;
    ///
    /// assert_eq!(Paper::named("a4")?.size_mm, [210.0, 297.0]);
    /// assert_eq!(Paper::named("roll 36 in")?.size_mm[0], 914.4);
    /// assert_eq!(Paper::named("50x70cm")?.size_mm, [500.0, 700.0]);
    /// let problems = Paper::named("foolscap").unwrap_err();
    /// assert!(problems.to_string().starts_with("paper: \"foolscap\" is not A4, A3,"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(name: &str) -> Result<Self, Problems> {
        let unknown = || {
            let names = STANDARD_SHEET_SIZES_MM.map(|(name, _)| name).join(", ");
            let limit =
                format!("{names}, a size such as \"60 x 80 cm\" or \"24 x 36 in\", or a roll such as \"roll 90 cm\"");
            Problem::new(Code::UnknownChoice, "paper").with_value(format!("{name:?}")).with_limit(limit)
        };
        let standard = STANDARD_SHEET_SIZES_MM.iter().find(|(sheet, _)| sheet.eq_ignore_ascii_case(name.trim()));
        let size_mm = standard.map(|(_, size)| *size).or_else(|| parse_paper_size_to_mm(name)).ok_or_else(unknown)?;
        let paper = Self { size_mm, margin_mm: 10.0, overlap_mm: 10.0 };
        paper.check([0.0, 0.0]).map(|()| paper)
    }

    /// Returns the paper as given, and turned sideways.
    pub(super) fn orientations(&self) -> [Self; 2] {
        let [width, height] = self.size_mm;
        [*self, Self { size_mm: [height, width], ..*self }]
    }

    /// Returns the paper with an infinite side, that of a roll, replaced by a side of `size_mm`.
    pub(super) fn cut_off_roll(self, size_mm: [f64; 2]) -> Self {
        let side = |k: usize| if self.size_mm[k].is_finite() { self.size_mm[k] } else { size_mm[k] };
        Self { size_mm: [side(0), side(1)], ..self }
    }

    /// Returns width and height of a tile between the margins, overlap included, in millimetres; infinite on a roll.
    pub(super) fn window_mm(&self) -> [f64; 2] {
        self.size_mm.map(|side| side - 2.0 * self.margin_mm)
    }

    /// Returns the distances from a tile to the next tile, across and down, in millimetres; infinite on a roll.
    pub(super) fn tile_step_mm(&self) -> [f64; 2] {
        self.window_mm().map(|side| side - self.overlap_mm)
    }

    /// Checks the paper.
    ///
    /// # Errors
    /// A side, margin or overlap is out of range, or the printable area (paper less margins and overlap) has no room for
    /// `min_area`, a width and a height in millimetres, in portrait or landscape.
    pub(super) fn check(&self, min_area: [f64; 2]) -> Result<(), Problems> {
        let [width, height] = self.size_mm;
        let sides = [width, height].into_iter().filter(|side| *side != f64::INFINITY);
        let mut problems: Vec<Problem> =
            sides.filter_map(|side| PAPER_SIDE_FIELD.range_problem("paper.", side, Unit::Cm)).collect();
        problems.dedup(); // Both sides of a square.
        problems.extend(PRINTER_MARGIN_FIELD.range_problem("paper.", self.margin_mm, Unit::Cm));
        problems.extend(TILE_OVERLAP_FIELD.range_problem("paper.", self.overlap_mm, Unit::Cm));
        let area = self.tile_step_mm();
        let [short, long] = [area[0].min(area[1]), area[0].max(area[1])];
        if problems.is_empty() && (short < min_area[0] || long < min_area[1]) {
            let problem = Problem::new(Code::PaperTooSmall, "paper").with_value(format!("{short} x {long} mm"));
            problems.push(problem.with_limit(format!("{} x {} mm", min_area[0], min_area[1])));
        }
        Problems::ok_if_empty(problems)
    }
}

/// Parses a size such as `60 x 80 cm`, or `roll 36 in` of infinite height, to width and height in millimetres; returns
/// `None` for any other text.
fn parse_paper_size_to_mm(text: &str) -> Option<[f64; 2]> {
    let text = text.trim().to_ascii_lowercase();
    let units = [("mm", 1.0), ("cm", 10.0), ("in", 25.4)];
    let (numbers, in_mm) = units.into_iter().find_map(|(unit, in_mm)| Some((text.strip_suffix(unit)?, in_mm)))?;
    let number =
        |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite()).map(|number| number * in_mm);
    if let Some(width) = numbers.strip_prefix("roll") {
        return Some([number(width)?, f64::INFINITY]);
    }
    let (width, height) = numbers.split_once(['x', '×'])?;
    Some([number(width)?, number(height)?])
}
