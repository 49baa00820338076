//! Table of drafts: one column per measured number, one row per body, in the order of the bodies.

use crate::draft::{DartSummary, Edge, Half, PanelSummary, Role, Summary};
use crate::error::Problems;
use crate::field::{FieldKind, Unit};
use crate::findings::{DRAFT_FINDINGS, FindingCode};
use crate::scalar::Number;

/// Name and description of one numeric column of a table of drafts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableColumn {
    /// Name of the column, such as `back_dart1_intake`.
    pub name: String,
    /// Description of the number in the column, such as "back panel: width at the hip line and below".
    pub description: String,
    /// Kind of the numbers in the column: lengths, in the unit of the table, or areas.
    pub kind: FieldKind,
    /// Dart that the column measures: panel (0 back, 1 front) and index from 0 at the centre; `None` if no dart.
    pub(crate) dart: Option<(usize, usize)>,
}

/// Declares the numbers of a table row once: name, description and kind of each column, and the function that visits the
/// numbers, in the order of the columns.
macro_rules! table_numbers {
    ($(
        $(#[doc = $doc:literal])+
        $columns:ident, $visit_all:ident($summary:ident: $summary_type:ident) { $($name:literal, $description:literal, $kind:ident = $number:expr;)+ }
    )+) => {$(
        $(#[doc = $doc])+
        const $columns: &[(&str, &str, FieldKind)] = &[$(($name, $description, FieldKind::$kind)),+];

        #[inline(always)]
        fn $visit_all<T: Number>($summary: &$summary_type<T>, visit: &mut impl FnMut(&T)) {
            $(visit(&$number);)+
        }
    )+};
}

table_numbers! {
    /// Names and descriptions of the table's columns that measure back and front together.
    GARMENT_COLUMNS, visit_garment_numbers(summary: Summary) {
        "suppression_total", "suppression of half the garment from hip to waist", Length = summary.suppression.total;
        "suppression_side", "suppression taken by the side seams of back and front together", Length = summary.suppression.side;
        "suppression_back", "suppression taken by the darts of half the back", Length = summary.suppression.back;
        "suppression_front", "suppression taken by the darts of half the front", Length = summary.suppression.front;
        "left_in_side", "suppression that the side seams of back and front take beyond the rule `steepest_side`", Length = summary.left_in_side;
        "side_seam", "length of the side seam from the waist to the hem", Length = summary.side_seam;
    }

    /// Name endings and descriptions of the table's columns that measure one panel, such as `width` of `back_width`.
    PANEL_COLUMNS, visit_panel_numbers(panel: PanelSummary) {
        "width", "width at the hip line and below", Length = panel.width;
        "waist_seam", "length of the waist curve with the darts closed", Length = panel.waist_seam;
        "waist_lowering", "depth of the waist at the centre line below the waist at the side", Length = panel.waist_lowering;
        "centre_seam", "length of the centre line from the waist to the hem", Length = panel.centre_seam;
        "area", "area of cloth inside the outline", Area = panel.area;
    }

    /// Name endings and descriptions of the table's columns that measure one dart, such as `length` of
    /// `back_dart1_length`.
    DART_COLUMNS, visit_dart_numbers(dart: DartSummary) {
        "intake", "intake, the width of the mouth", Length = dart.intake;
        "length", "length from the mouth to the tip", Length = dart.length;
        "centre", "distance from the centre line of the panel to the centre line of the dart", Length = dart.centre;
    }
}

/// Lists the numeric columns of a table in order; `max_darts` is the maximum number of darts that the rules allow in
/// back and in front.
fn numeric_column_descriptors(max_darts: [usize; 2]) -> Vec<TableColumn> {
    let mut columns = Vec::new();
    let mut push = |prefix: &str, about: &str, dart, names: &[(&str, &str, FieldKind)]| {
        columns.extend(names.iter().map(|(name, description, kind)| TableColumn {
            name: format!("{prefix}{name}"),
            description: format!("{about}{description}"),
            kind: *kind,
            dart,
        }));
    };
    push("", "", None, GARMENT_COLUMNS);
    for (panel, half) in Half::ALL.map(Half::name).into_iter().enumerate() {
        push(&format!("{half}_"), &format!("{half} panel: "), None, PANEL_COLUMNS);
        for k in 0..max_darts[panel] {
            let about = format!("{half} dart {}, counted from the centre: ", k + 1);
            push(&format!("{half}_dart{}_", k + 1), &about, Some((panel, k)), DART_COLUMNS);
        }
    }
    columns
}

impl<T: Number> Summary<T> {
    /// Calls `visit` with every number of a draft's table row, in column order; with NaN for each missing dart.
    #[inline(always)]
    pub(super) fn for_each_table_number(&self, max_darts: [usize; 2], mut visit: impl FnMut(&T)) {
        visit_garment_numbers(self, &mut visit);
        for (panel, max) in self.panels.iter().zip(max_darts) {
            visit_panel_numbers(panel, &mut visit);
            for dart in &panel.darts {
                visit_dart_numbers(dart, &mut visit);
            }
            for _ in 0..DART_COLUMNS.len() * max.saturating_sub(panel.darts.len()) {
                visit(&T::constant(f64::NAN));
            }
        }
    }
}

/// Outline of one panel in a table row, in the unit of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Edges in the order of the outline: role, and 2 points of a line or 4 control points of a cubic.
    pub edges: Vec<(Role, Vec<[f64; 2]>)>,
}

impl Outline {
    /// Converts the edges of a panel, in centimetres, to an outline in `unit`.
    pub(super) fn from_panel_edges(edges: &[Edge], unit: Unit) -> Self {
        let edge = |edge: &Edge| {
            let points =
                edge.path.points().iter().map(|point| [unit.length_from_cm(point.x), unit.length_from_cm(point.y)]);
            (edge.role, points.collect())
        };
        Self { edges: edges.iter().map(edge).collect() }
    }
}

/// Drafts of many bodies: one row per body, in the order of the bodies; lengths in the unit of the bodies.
///
/// A method that takes a row index panics beyond the last row. The default table is empty and can be
/// [drafted into](crate::batch::Bodies::draft_into).
#[derive(Clone, Debug, Default)]
pub struct Table {
    columns: Vec<TableColumn>,
    /// Numbers of the rows, one list per numeric column.
    pub(crate) numbers: Vec<Vec<f64>>,
    pub(crate) darts: [Vec<u8>; 2],
    /// Findings of each row as bits: bit k is set where the row has the finding `DRAFT_FINDINGS[k]`.
    pub(crate) findings: Vec<u32>,
    /// Index and problems of each refused row, in ascending order.
    pub(crate) refused: Vec<(usize, Problems)>,
    pub(crate) outlines: Option<Vec<RowOutlines>>,
}

/// Outlines of back and front of one row; `None` where the row was refused.
pub type RowOutlines = Option<[Outline; 2]>;

/// Consecutive rows of a table, written by one thread.
pub(super) struct TableBlock<'a> {
    pub(super) columns: &'a [TableColumn],
    pub(super) numbers: Vec<&'a mut [f64]>,
    pub(super) darts: [&'a mut [u8]; 2],
    pub(super) findings: &'a mut [u32],
}

impl Table {
    /// Resizes the table in place to `rows` rows of arbitrary values, still to be written; reuses the memory.
    pub(super) fn resize_to_row_count(&mut self, rows: usize, max_darts: [usize; 2], outlines: bool) {
        self.columns = numeric_column_descriptors(max_darts);
        self.numbers.resize_with(self.columns.len(), Vec::new);
        self.numbers.iter_mut().for_each(|column| resize_column_with_arbitrary_values(column, rows));
        self.darts.iter_mut().for_each(|counts| resize_column_with_arbitrary_values(counts, rows));
        resize_column_with_arbitrary_values(&mut self.findings, rows);
        self.refused.clear();
        self.outlines = outlines.then(|| Vec::with_capacity(rows));
    }

    /// Borrows the table as mutable blocks of `rows` consecutive rows; the last block may be smaller.
    pub(super) fn blocks_of_rows_mut(&mut self, rows: usize) -> Vec<TableBlock<'_>> {
        let mut numbers: Vec<_> = self.numbers.iter_mut().map(|column| column.chunks_mut(rows)).collect();
        let [back, front] = &mut self.darts;
        let darts = back.chunks_mut(rows).zip(front.chunks_mut(rows));
        let block = |((back, front), findings)| TableBlock {
            columns: &self.columns,
            numbers: numbers.iter_mut().filter_map(Iterator::next).collect(),
            darts: [back, front],
            findings,
        };
        darts.zip(self.findings.chunks_mut(rows)).map(block).collect()
    }

    /// Returns the number of rows.
    pub fn rows(&self) -> usize {
        self.findings.len()
    }

    /// Returns the names and descriptions of the numeric columns, in order.
    pub fn columns(&self) -> &[TableColumn] {
        &self.columns
    }

    /// Returns the numbers of the column with this name, NaN in refused rows and for darts that a row lacks; `None` if
    /// no column has this name.
    pub fn numbers_of_column(&self, name: &str) -> Option<&[f64]> {
        let k = self.columns.iter().position(|column| column.name == name)?;
        Some(&self.numbers[k])
    }

    /// Returns the numbers of back darts and of front darts of a row; `None` if the row was refused.
    pub fn darts(&self, row: usize) -> Option<[u8; 2]> {
        let darts = self.darts.each_ref().map(|counts| counts[row]);
        self.problems(row).is_none().then_some(darts)
    }

    /// Returns the codes of a row's findings, the gravest first.
    pub fn findings(&self, row: usize) -> impl Iterator<Item = FindingCode> {
        self.findings_with_panels(row).map(|(code, _)| code)
    }

    /// Returns the codes of a row's findings, the gravest first, each with the panel concerned: `back`, `front`, `both`.
    pub fn findings_with_panels(&self, row: usize) -> impl Iterator<Item = (FindingCode, &'static str)> {
        let without_lowest = |bits: &u32| Some(bits & bits.wrapping_sub(1));
        let bits = std::iter::successors(Some(self.findings[row]), without_lowest).take_while(|bits| *bits != 0);
        bits.map(|bits| DRAFT_FINDINGS[bits.trailing_zeros() as usize])
    }

    /// Returns the problems of a refused row; `None` where the row was drafted.
    pub fn problems(&self, row: usize) -> Option<&Problems> {
        let index = self.refused.binary_search_by_key(&row, |(row, _)| *row).ok()?;
        Some(&self.refused[index].1)
    }

    /// Returns the outlines of a row; `None` for a refused row, and in a table drafted without outlines.
    pub fn outlines(&self, row: usize) -> Option<&[Outline; 2]> {
        self.outlines.as_ref()?[row].as_ref()
    }
}

/// Resizes a column to `rows` arbitrary values; to grow, allocates a zeroed list, which is faster than writing zeros.
fn resize_column_with_arbitrary_values<T: Clone + Default>(column: &mut Vec<T>, rows: usize) {
    if column.len() < rows {
        *column = vec![T::default(); rows];
    } else {
        column.truncate(rows);
    }
}
