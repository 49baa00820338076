//! The paper that a drawing is printed on.

use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The sheets that have a name: those of ISO 216, and the North American ones of ANSI/ASME Y14.1, in millimetres.
const NAMED: [(&str, [f64; 2]); 7] = [
    ("A4", [210.0, 297.0]),
    ("A3", [297.0, 420.0]),
    ("A2", [420.0, 594.0]),
    ("A1", [594.0, 841.0]),
    ("A0", [841.0, 1189.0]),
    ("Letter", [215.9, 279.4]),
    ("Tabloid", [279.4, 431.8]),
];

/// Of a sheet or a roll: the least and greatest width and height, in millimetres.
const SIDE: Field = millimetres("side", (100.0, 4000.0));

/// The rows of margin and overlap, in millimetres.
const MARGIN: Field = millimetres("margin", (0.0, 50.0));
const OVERLAP: Field = millimetres("overlap", (0.0, 50.0));

const fn millimetres(name: &'static str, range: (f64, f64)) -> Field {
    Field::new(name, "", FieldKind::Millimetres, range, range)
}

/// A kind of paper, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Width and height; a roll is infinitely high.
    pub size_mm: [f64; 2],
    /// What the printer leaves white on every side, from 0 to 50.
    pub margin_mm: f64,
    /// By how much neighbouring tiles overlap, from 0 to 50.
    pub overlap_mm: f64,
}

impl Paper {
    /// Paper by its name, with margins and an overlap of 10 mm: `A4` to `A0`, `Letter`, `Tabloid`; `60 x 80 cm` or
    /// `600 x 800 mm` or `24 x 36 in` for any sheet, `roll 90 cm` or `roll 36 in` for a roll of that width.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for any other text; a side out of the range from 100 to 4000 mm.
    ///
    /// ```
    /// use kirtle::drawing::Paper;
    ///
    /// assert_eq!(Paper::named("a4")?.size_mm, [210.0, 297.0]);
    /// assert_eq!(Paper::named("roll 36 in")?.size_mm[0], 914.4);
    /// let problems = Paper::named("foolscap").unwrap_err();
    /// assert!(problems.to_string().starts_with("paper: \"foolscap\" is not A4, A3,"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(name: &str) -> Result<Self, Problems> {
        let known = NAMED.iter().find(|(known, _)| known.eq_ignore_ascii_case(name.trim())).map(|(_, size)| *size);
        let unknown = || {
            let names: Vec<&str> = NAMED.iter().map(|(name, _)| *name).collect();
            let limit =
                format!("{}, a size such as \"60 x 80 cm\", or a roll such as \"roll 90 cm\"", names.join(", "));
            Problem::new(Code::UnknownChoice, "paper").with_value(format!("{name:?}")).with_limit(limit)
        };
        let size_mm = known.or_else(|| measured(name)).ok_or_else(unknown)?;
        let paper = Self { size_mm, margin_mm: 10.0, overlap_mm: 10.0 };
        Problems::ok_if_empty(paper.check([0.0, 0.0]))?;
        Ok(paper)
    }

    /// What is wrong with the paper: a side, the margin or the overlap out of range, or margins and overlap that leave less
    /// than this of it.
    #[must_use]
    pub(super) fn check(&self, min: [f64; 2]) -> Vec<Problem> {
        let [width, height] = self.size_mm;
        let sides = [width, height].into_iter().filter(|side| *side != f64::INFINITY);
        let mut problems: Vec<Problem> = sides.filter_map(|side| SIDE.check("paper.", side, Unit::Cm)).collect();
        problems.extend(MARGIN.check("paper.", self.margin_mm, Unit::Cm));
        problems.extend(OVERLAP.check("paper.", self.overlap_mm, Unit::Cm));
        let left = self.size_mm.map(|side| side - 2.0 * self.margin_mm - self.overlap_mm);
        let [narrow, long] = [left[0].min(left[1]), left[0].max(left[1])];
        if problems.is_empty() && (narrow < min[0] || long < min[1]) {
            let problem = Problem::new(Code::PaperTooSmall, "paper").with_value(format!("{narrow} x {long} mm"));
            problems.push(problem.with_limit(format!("{} x {} mm", min[0], min[1])));
        }
        problems
    }
}

/// The size that a text such as `60 x 80 cm` or `roll 36 in` tells, in millimetres.
fn measured(text: &str) -> Option<[f64; 2]> {
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
