//! What comes out: one column for each number, one row for each body.

use super::part::Told;
use crate::draft::{Edge, Half, PanelSummary, Role, Summary, Suppression};
use crate::error::Problems;
use crate::field::Unit;
use crate::findings::{FindingCode, PLACES};
use crate::scalar::Number;

/// The name of a column of numbers, and what it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableColumn {
    /// Its name.
    pub name: String,
    /// What it is.
    pub what: String,
    /// Whether it is an area, in the square of the unit, and not a length.
    pub is_area: bool,
    /// The dart that must be there for it to hold a number: of which panel (0 back, 1 front), and which from the centre.
    pub(crate) dart: Option<(usize, usize)>,
}

const WHOLE: [(&str, &str); 6] = [
    ("suppression_total", "what half the garment loses from hip to waist"),
    ("suppression_side", "what its side seams take of it"),
    ("suppression_back", "what the darts of the back take"),
    ("suppression_front", "what the darts of the front take"),
    ("left_in_side", "what the side seams take beyond their limit"),
    ("side_seam", "length of the side seam from the waist to the hem"),
];

const PANEL: [(&str, &str); 5] = [
    ("width", "width at the hip line and below"),
    ("waist_seam", "length of the waist along its curve with the darts closed"),
    ("waist_lowering", "how far the centre of the waist lies below the waist at the side"),
    ("centre_seam", "length of the centre line from the waist to the hem"),
    ("area", "cloth inside the outline"),
];

const DART: [(&str, &str); 3] = [
    ("intake", "width of the mouth"),
    ("length", "from the mouth to the tip"),
    ("centre", "from the centre line to the dart's centre"),
];

/// The columns of numbers, where back and front have at the most so many darts.
pub(crate) fn table_columns(max_darts: [usize; 2]) -> Vec<TableColumn> {
    let column = |name: String, what: String, is_area, dart| TableColumn { name, what, is_area, dart };
    let mut columns: Vec<TableColumn> =
        WHOLE.iter().map(|(name, what)| column((*name).to_owned(), (*what).to_owned(), false, None)).collect();
    for (panel, half) in Half::BOTH.map(Half::name).into_iter().enumerate() {
        let of_panel = |(name, what): &(&str, &str)| {
            column(format!("{half}_{name}"), format!("{half}: {what}"), *name == "area", None)
        };
        columns.extend(PANEL.iter().map(of_panel));
        for k in 0..max_darts[panel] {
            columns.extend(DART.iter().map(|(name, what)| {
                let what = format!("{half}, dart {} from the centre: {what}", k + 1);
                column(format!("{half}_dart{}_{name}", k + 1), what, false, Some((panel, k)))
            }));
        }
    }
    columns
}

impl<T: Number> Summary<T> {
    /// Its numbers in the order of [`table_columns`]; not-a-number where there is no such dart.
    #[inline(always)]
    pub(super) fn each(&self, max_darts: [usize; 2], mut number: impl FnMut(&T)) {
        let Self { suppression, left_in_side, side_seam, panels, .. } = self;
        let Suppression { total, side, back, front } = suppression;
        for whole in [total, side, back, front, left_in_side, side_seam] {
            number(whole);
        }
        for (panel, max) in panels.iter().zip(max_darts) {
            let PanelSummary { width, waist_seam, waist_lowering, centre_seam, area, darts, .. } = panel;
            for of_panel in [width, waist_seam, waist_lowering, centre_seam, area] {
                number(of_panel);
            }
            for dart in darts {
                for of_dart in [&dart.intake, &dart.length, &dart.centre] {
                    number(of_dart);
                }
            }
            for _ in 0..DART.len() * max.saturating_sub(darts.len()) {
                number(&T::constant(f64::NAN));
            }
        }
    }
}

/// The outline of a panel of a row, in the unit of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The edges in the direction of the outline: what each is for and its points, two of a line and four of a cubic.
    pub edges: Vec<(Role, Vec<[f64; 2]>)>,
}

impl Outline {
    pub(super) fn new(edges: &[Edge], unit: Unit) -> Self {
        let edge = |edge: &Edge| {
            let points =
                edge.path.points().iter().map(|point| [unit.length_from_cm(point.x), unit.length_from_cm(point.y)]);
            (edge.role, points.collect())
        };
        Self { edges: edges.iter().map(edge).collect() }
    }
}

/// One row for each body, in the order in which they were given; lengths in the unit of the bodies.
///
/// What is asked of a row beyond the last panics, as an index does. By default it is empty, to be
/// [drafted into](crate::Bodies::draft_into).
#[derive(Clone, Debug, Default)]
pub struct Table {
    columns: Vec<TableColumn>,
    numbers: Vec<Vec<f64>>,
    pub(crate) darts: [Vec<u8>; 2],
    pub(crate) findings: Vec<u16>,
    /// The rows that were refused, from the first to the last.
    pub(crate) refused: Vec<(usize, Problems)>,
    pub(crate) outlines: Option<Vec<RowOutlines>>,
}

/// The outlines of back and front, where the body was drafted.
pub type RowOutlines = Option<[Outline; 2]>;

/// The rows of a table that one thread fills.
pub(super) struct Part<'a> {
    pub(super) numbers: Vec<&'a mut [f64]>,
    pub(super) darts: [&'a mut [u8]; 2],
    pub(super) findings: &'a mut [u16],
}

impl Table {
    /// Makes it one of so many rows, all of them yet to be written, in the memory that it has.
    pub(super) fn renew(&mut self, rows: usize, max_darts: [usize; 2], outlines: bool) {
        self.columns = table_columns(max_darts);
        self.numbers.resize_with(self.columns.len(), Vec::new);
        self.numbers.iter_mut().for_each(|column| fit(column, rows));
        self.darts.iter_mut().for_each(|counts| fit(counts, rows));
        fit(&mut self.findings, rows);
        self.refused.clear();
        self.outlines = outlines.then(|| Vec::with_capacity(rows));
    }

    /// The table in parts of so many rows.
    pub(super) fn parts(&mut self, rows: usize) -> Vec<Part<'_>> {
        let mut numbers: Vec<_> = self.numbers.iter_mut().map(|column| column.chunks_mut(rows)).collect();
        let [back, front] = &mut self.darts;
        let darts = back.chunks_mut(rows).zip(front.chunks_mut(rows));
        let both = darts.zip(self.findings.chunks_mut(rows));
        both.map(|((back, front), findings)| Part {
            numbers: numbers.iter_mut().filter_map(Iterator::next).collect(),
            darts: [back, front],
            findings,
        })
        .collect()
    }

    /// Takes what was told of the part that starts at a row; parts come in order.
    pub(super) fn take(&mut self, start: usize, told: Told) {
        self.refused.extend(told.refused.into_iter().map(|(row, problems)| (start + row, problems)));
        if let Some(outlines) = &mut self.outlines {
            outlines.extend(told.outlines);
        }
    }

    /// How many rows there are.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.findings.len()
    }

    /// The columns of numbers, in order.
    #[must_use]
    pub fn columns(&self) -> &[TableColumn] {
        &self.columns
    }

    /// The numbers of a column by its name: not-a-number in the rows that were refused, and where there is no such dart.
    #[must_use]
    pub fn number(&self, name: &str) -> Option<&[f64]> {
        let k = self.columns.iter().position(|column| column.name == name)?;
        Some(&self.numbers[k])
    }

    /// All numbers, a list for each column.
    #[cfg(feature = "arrow")]
    pub(crate) fn into_numbers(self) -> Vec<Vec<f64>> {
        self.numbers
    }

    /// How many darts back and front of a row have; none where it was refused.
    #[must_use]
    pub fn darts(&self, row: usize) -> Option<[u8; 2]> {
        let darts = self.darts.each_ref().map(|counts| counts[row]);
        self.problems(row).is_none().then_some(darts)
    }

    /// The codes of the findings of a row, the gravest first.
    pub fn findings(&self, row: usize) -> impl Iterator<Item = FindingCode> {
        let bits = self.findings[row];
        (0..PLACES.len()).filter(move |place| bits >> place & 1 == 1).map(|place| PLACES[place].0)
    }

    /// Why a row was refused, if it was.
    #[must_use]
    pub fn problems(&self, row: usize) -> Option<&Problems> {
        let found = self.refused.binary_search_by_key(&row, |(row, _)| *row).ok()?;
        Some(&self.refused[found].1)
    }

    /// The outlines of a row, where they were asked for and the row was not refused.
    #[must_use]
    pub fn outlines(&self, row: usize) -> Option<&[Outline; 2]> {
        self.outlines.as_ref()?[row].as_ref()
    }
}

/// Makes a column as long as there are rows; the system gives memory that is nothing faster than it is written.
fn fit<T: Clone + Default>(column: &mut Vec<T>, rows: usize) {
    if column.len() < rows {
        *column = vec![T::default(); rows];
    } else {
        column.truncate(rows);
    }
}

/// A number in centimetres or their square, in a unit.
#[inline(always)]
pub(super) fn in_unit(value: f64, is_area: bool, unit: Unit) -> f64 {
    match (unit, is_area) {
        (Unit::Cm, _) => value,
        (Unit::In, false) => unit.length_from_cm(value),
        (Unit::In, true) => value / (unit.cm_per_unit() * unit.cm_per_unit()),
    }
}
