//! Random tables of requests in columns, and the expected row of each request drafted alone.

use std::ops::Range;
use std::rc::Rc;
use std::{array, fmt};

use kirtle::batch::{Bodies, Column, Table};
use kirtle::document::Request;
use kirtle::draft::Summary;
use kirtle::{
    Apportionment, Body, DartPosition, Darts, Draft, Ease, Figure, FindingCode, GivenDart, PanelRules, Problems, Role,
    Rules, Shares, Unit,
};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::bodies::{MEASUREMENT_COUNT, requests_by_shares, requests_with_like_darts};

/// Largest number of rows in a random table; some tables fill all lanes, some do not.
const MAX_ROWS: usize = 60;

/// Numbers of one column, in the same kinds as `kirtle::batch::Column`.
#[derive(Clone, Debug)]
enum ColumnNumbers {
    Constant(f64),
    Values(Vec<f64>),
    Nullable(Vec<Option<f64>>),
}

/// Requests in columns; all rows share the unit and the kind of rules of a template.
#[derive(Clone, Debug)]
pub(crate) struct Requests {
    template: Request,
    columns: Vec<ColumnNumbers>,
    pub(crate) rows: usize,
}

/// Draws tables of requests over the whole valid range, with some constant columns and some invalid numbers.
pub(crate) fn request_tables(unit: Unit) -> impl Strategy<Value = Requests> {
    let by_shares = prop::collection::vec(requests_by_shares(unit), 1..=MAX_ROWS);
    let requests = prop_oneof![by_shares, requests_with_like_darts(unit, 1..=MAX_ROWS)];
    let is_constant = prop::collection::vec(prop::bool::weighted(0.2), 29);
    let invalid = prop::sample::select(match unit {
        Unit::Cm => vec![Some(f64::NAN), Some(f64::INFINITY), Some(f64::NEG_INFINITY), Some(1e9), Some(-0.0)],
        Unit::In | Unit::Mm => vec![None, Some(1e9), Some(-1e9), Some(5e-324), Some(-0.0)],
    });
    let damage = prop::collection::vec((any::<Index>(), any::<Index>(), invalid), 0..12);
    (requests, is_constant, damage)
        .prop_map(|(requests, is_constant, damage)| Requests::new(&requests, &is_constant, &damage))
}

impl Requests {
    /// Converts requests to columns. The first column is never constant, because constants have no number of rows.
    fn new(requests: &[Request], is_constant: &[bool], damage: &[(Index, Index, Option<f64>)]) -> Self {
        let rows: Vec<Vec<f64>> = requests.iter().map(request_numbers).collect();
        let column = |k: usize| {
            let mut values: Vec<Option<f64>> = rows.iter().map(|row| Some(row[k])).collect();
            for (row, _, invalid) in damage.iter().filter(|(_, column, _)| column.index(rows[0].len()) == k) {
                // A rule missing in JSON takes its default, so a rule gets an invalid number in place of a null.
                values[row.index(rows.len())] = invalid.or((k >= MEASUREMENT_COUNT).then_some(1e9));
            }
            match values.iter().copied().collect::<Option<Vec<f64>>>() {
                Some(_) if k > 0 && is_constant[k] => ColumnNumbers::Constant(rows[0][k]),
                Some(values) if k.is_multiple_of(2) => ColumnNumbers::Values(values),
                _ => ColumnNumbers::Nullable(values),
            }
        };
        Self { template: requests[0].clone(), columns: (0..rows[0].len()).map(column).collect(), rows: rows.len() }
    }

    /// Returns a range of the rows as a table.
    pub(crate) fn bodies(&self, rows: Range<usize>) -> Bodies<'_> {
        let mut columns = self.columns.iter().map(|column| match column {
            ColumnNumbers::Constant(value) => Column::Constant(*value),
            ColumnNumbers::Values(values) => Column::Values(&values[rows.clone()]),
            ColumnNumbers::Nullable(values) => Column::Nullable(&values[rows.clone()]),
        });
        let (body, ease, rules) = inputs_from_numbers(&self.template.rules, || columns.next().unwrap());
        Bodies { body, figure: Figure::default(), ease, rules, unit: self.template.unit }
    }

    /// Drafts one row without a table: in centimetres through Rust, in inches through JSON, which checks the inch
    /// ranges.
    pub(crate) fn draft_alone(&self, row: usize) -> Result<Draft, Problems> {
        let numbers: Vec<Option<f64>> = self.columns.iter().map(|column| column.at(row)).collect();
        let mut values = numbers.iter().map(|number| number.unwrap_or(0.0));
        let (body, ease, rules) = inputs_from_numbers(&self.template.rules, || values.next().unwrap());
        if self.template.unit == Unit::Cm {
            return kirtle::draft(&body, &ease, &rules);
        }
        let mut request = serde_json::to_value(Request { body, ease, rules, ..self.template.clone() }).unwrap();
        let names = Body::FIELDS.iter().map(|field| ("body", field.name));
        let names = names.chain(Ease::FIELDS.iter().map(|field| ("ease", field.name)));
        for ((part, name), _) in names.zip(&numbers).filter(|(_, number)| number.is_none()) {
            request[part].as_object_mut().unwrap().remove(name);
        }
        Request::from_json(&request.to_string())?.draft()
    }
}

impl ColumnNumbers {
    fn at(&self, row: usize) -> Option<f64> {
        match self {
            Self::Constant(value) => Some(*value),
            Self::Values(values) => Some(values[row]),
            Self::Nullable(values) => values[row],
        }
    }
}

/// Returns every number of a request in the order of the columns.
fn request_numbers(request: &Request) -> Vec<f64> {
    let mut numbers = request.body.into_array().to_vec();
    numbers.extend(request.ease.into_array());
    numbers.extend(request.rules.panel_rules.into_array());
    match &request.rules.apportionment {
        Apportionment::Shares(shares) => numbers.extend(shares.into_array()),
        Apportionment::Darts(Darts { back, front }) => numbers.extend(back.iter().chain(front).flat_map(|dart| {
            let (DartPosition::Share(place) | DartPosition::Centre(place)) = dart.place;
            [dart.intake, dart.length, place]
        })),
    }
    numbers
}

/// Builds body, ease and rules from numbers in the order of the columns; `template` gives the kind of rules and darts.
pub(crate) fn inputs_from_numbers<T>(template: &Rules, mut next: impl FnMut() -> T) -> (Body<T>, Ease<T>, Rules<T>) {
    let body = Body::from_array(array::from_fn(|_| next()));
    let ease = Ease::from_array(array::from_fn(|_| next()));
    let panel_rules = PanelRules::from_array(array::from_fn(|_| next()));
    let mut dart = |template: &GivenDart| {
        let (intake, length, place) = (next(), next(), next());
        let by_share = matches!(template.place, DartPosition::Share(_));
        GivenDart {
            intake,
            length,
            place: if by_share { DartPosition::Share(place) } else { DartPosition::Centre(place) },
        }
    };
    let apportionment = match &template.apportionment {
        Apportionment::Darts(Darts { back, front }) => {
            let [back, front] = [back, front].map(|list| list.iter().map(&mut dart).collect());
            Apportionment::Darts(Darts { back, front })
        }
        Apportionment::Shares(_) => Apportionment::Shares(Shares::from_array(array::from_fn(|_| next()))),
    };
    (body, ease, Rules { panel_rules, apportionment })
}

/// Contents of one row of a table of drafts.
#[derive(PartialEq)]
pub(crate) struct Row {
    columns: Rc<[String]>,
    /// Bits of the numbers, so that NaN equals NaN.
    numbers: Vec<u64>,
    darts: Option<[u8; 2]>,
    findings: Vec<FindingCode>,
    problems: Option<Problems>,
}

impl fmt::Debug for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.columns.iter().zip(self.numbers.iter().copied().map(f64::from_bits))).finish()?;
        write!(f, ", darts {:?}, {:?}, {:?}", self.darts, self.findings, self.problems)
    }
}

/// Returns all rows of a table of drafts.
pub(crate) fn rows(table: &Table) -> Vec<Row> {
    let names: Rc<[String]> = table.columns().iter().map(|column| column.name.clone()).collect();
    let columns: Vec<&[f64]> = names.iter().map(|name| table.numbers_of_column(name).unwrap()).collect();
    assert!(columns.iter().all(|column| column.len() == table.rows()));
    let row = |row: usize| Row {
        columns: names.clone(),
        numbers: columns.iter().map(|column| column[row].to_bits()).collect(),
        darts: table.darts(row),
        findings: table.findings(row).collect(),
        problems: table.problems(row).cloned(),
    };
    (0..table.rows()).map(row).collect()
}

/// Returns the row that a table with `max_darts` dart columns must have for a body drafted alone.
pub(crate) fn expected_row(alone: &Result<Draft, Problems>, max_darts: [usize; 2], unit: Unit) -> Row {
    let (columns, draft) = (column_names(max_darts), alone.as_ref().ok());
    let numbers = draft.map(|draft| summary_numbers(&draft.summary(), max_darts, unit));
    let numbers = numbers.unwrap_or_else(|| vec![f64::NAN; columns.len()]);
    let code = |name: &str| FindingCode::ALL.iter().find(|code| code.name() == name).copied().unwrap();
    Row {
        columns: columns.into(),
        numbers: numbers.into_iter().map(f64::to_bits).collect(),
        darts: draft.map(|draft| draft.panels().map(|panel| u8::try_from(panel.darts.len()).unwrap())),
        findings: draft.iter().flat_map(|draft| draft.findings()).map(|finding| code(&finding.code)).collect(),
        problems: alone.as_ref().err().cloned(),
    }
}

/// Returns the column names of a table of drafts with `max_darts` darts in back and front.
pub(crate) fn column_names(max_darts: [usize; 2]) -> Vec<String> {
    let whole = ["suppression_total", "suppression_side", "suppression_back", "suppression_front", "left_in_side"];
    let mut names: Vec<String> = whole.into_iter().chain(["side_seam"]).map(str::to_owned).collect();
    for (half, max) in ["back", "front"].into_iter().zip(max_darts) {
        let of_panel = ["width", "waist_seam", "waist_lowering", "centre_seam", "area"].map(str::to_owned);
        let of_darts = (1..=max).flat_map(|k| ["intake", "length", "centre"].map(|what| format!("dart{k}_{what}")));
        names.extend(of_panel.into_iter().chain(of_darts).map(|name| format!("{half}_{name}")));
    }
    names
}

/// Returns the numbers of a summary in the order of the columns, with NaN for absent darts.
fn summary_numbers(summary: &Summary, max_darts: [usize; 2], unit: Unit) -> Vec<f64> {
    let length = |cm: f64| cm / unit.cm_per_unit();
    let suppression = &summary.suppression;
    let mut numbers = vec![suppression.total, suppression.side, suppression.back, suppression.front];
    numbers.extend([summary.left_in_side, summary.side_seam]);
    numbers = numbers.into_iter().map(length).collect();
    for (panel, max) in summary.panels.iter().zip(max_darts) {
        let lengths = [panel.width, panel.waist_seam, panel.waist_lowering, panel.centre_seam];
        numbers.extend(lengths.map(length));
        numbers.push(panel.area / (unit.cm_per_unit() * unit.cm_per_unit()));
        let end = numbers.len() + 3 * max;
        numbers.extend(panel.darts.iter().flat_map(|dart| [dart.intake, dart.length, dart.centre]).map(length));
        numbers.resize(end, f64::NAN);
    }
    numbers
}

/// Returns the edges of back and front in the form of the outlines of a table.
pub(crate) fn edges(draft: &Draft, unit: Unit) -> [Vec<(Role, Vec<[f64; 2]>)>; 2] {
    let point = |point: &kirtle::Point| [point.x / unit.cm_per_unit(), point.y / unit.cm_per_unit()];
    draft.panels().map(|panel| {
        panel.edges.iter().map(|edge| (edge.role, edge.path.points().iter().map(point).collect())).collect()
    })
}
