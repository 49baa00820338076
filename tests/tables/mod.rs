//! Tables of requests by column, and what each row of them is by itself.

use std::array;
use std::ops::Range;

use kirtle::batch::{Bodies, Column, Table};
use kirtle::document::Request;
use kirtle::draft::Summary;
use kirtle::{
    Apportionment, Body, DartPosition, Darts, Draft, Ease, FindingCode, FixedDart, PanelRules, Problems, Role, Rules,
    Shares, Unit,
};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::bodies::{MEASUREMENTS, alike, by_shares};

/// The most rows of a table: they fill the lanes of their groups now and then.
const ROWS: usize = 60;

/// The numbers of one column.
#[derive(Clone, Debug)]
enum Own {
    Same(f64),
    Each(Vec<f64>),
    Given(Vec<Option<f64>>),
}

/// Requests by column: whatever is said of the rules but their numbers is the same for all.
#[derive(Clone, Debug)]
pub(crate) struct Requests {
    like: Request,
    columns: Vec<Own>,
    pub(crate) rows: usize,
}

/// Requests of the whole valid range by shares or by given darts, some columns the same for all, some numbers wrong.
pub(crate) fn tables(unit: Unit) -> impl Strategy<Value = Requests> {
    let by_shares = prop::collection::vec(by_shares(unit), 1..=ROWS);
    let requests = prop_oneof![by_shares, alike(unit, 1..=ROWS)];
    let same = prop::collection::vec(prop::bool::weighted(0.2), 28);
    let wrong = prop::sample::select(match unit {
        Unit::Cm => vec![Some(f64::NAN), Some(f64::INFINITY), Some(f64::NEG_INFINITY), Some(1e9), Some(-0.0)],
        Unit::In => vec![None, Some(1e9), Some(-1e9), Some(5e-324), Some(-0.0)],
    });
    let damage = prop::collection::vec((any::<Index>(), any::<Index>(), wrong), 0..12);
    (requests, same, damage).prop_map(|(requests, same, damage)| Requests::new(&requests, &same, &damage))
}

impl Requests {
    /// A column is the same for all where it is said so, but for the first: else there would be no rows.
    fn new(requests: &[Request], same: &[bool], damage: &[(Index, Index, Option<f64>)]) -> Self {
        let rows: Vec<Vec<f64>> = requests.iter().map(numbers).collect();
        let column = |k: usize| {
            let mut values: Vec<Option<f64>> = rows.iter().map(|row| Some(row[k])).collect();
            for (row, _, wrong) in damage.iter().filter(|(_, column, _)| column.index(rows[0].len()) == k) {
                // JSON takes the default of a rule that is missing.
                values[row.index(rows.len())] = wrong.or((k >= MEASUREMENTS).then_some(1e9));
            }
            match values.iter().copied().collect::<Option<Vec<f64>>>() {
                Some(_) if k > 0 && same[k] => Own::Same(rows[0][k]),
                Some(values) if k.is_multiple_of(2) => Own::Each(values),
                _ => Own::Given(values),
            }
        };
        Self { like: requests[0].clone(), columns: (0..rows[0].len()).map(column).collect(), rows: rows.len() }
    }

    /// Some of the rows as a table.
    pub(crate) fn bodies(&self, rows: Range<usize>) -> Bodies<'_> {
        let mut columns = self.columns.iter().map(|column| match column {
            Own::Same(value) => Column::Constant(*value),
            Own::Each(values) => Column::Values(&values[rows.clone()]),
            Own::Given(values) => Column::Nullable(&values[rows.clone()]),
        });
        let (body, ease, rules) = of_numbers(&self.like.rules, || columns.next().unwrap());
        Bodies { body, ease, rules, unit: self.like.unit }
    }

    /// A row drafted by itself: in Rust in centimetres, by way of JSON in inches, whose ranges JSON alone checks.
    pub(crate) fn alone(&self, row: usize) -> Result<Draft, Problems> {
        let numbers: Vec<Option<f64>> = self.columns.iter().map(|column| column.at(row)).collect();
        let mut values = numbers.iter().map(|number| number.unwrap_or(0.0));
        let (body, ease, rules) = of_numbers(&self.like.rules, || values.next().unwrap());
        if self.like.unit == Unit::Cm {
            return kirtle::draft(&body, &ease, &rules);
        }
        let mut request = serde_json::to_value(Request { body, ease, rules, ..self.like.clone() }).unwrap();
        let names = Body::FIELDS.iter().map(|field| ("body", field.name));
        let names = names.chain(Ease::FIELDS.iter().map(|field| ("ease", field.name)));
        for ((part, name), _) in names.zip(&numbers).filter(|(_, number)| number.is_none()) {
            request[part].as_object_mut().unwrap().remove(name);
        }
        Request::from_json(&request.to_string())?.draft()
    }
}

impl Own {
    fn at(&self, row: usize) -> Option<f64> {
        match self {
            Self::Same(value) => Some(*value),
            Self::Each(values) => Some(values[row]),
            Self::Given(values) => values[row],
        }
    }
}

/// Every number of a request, in the order of the tables.
fn numbers(request: &Request) -> Vec<f64> {
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

/// Body, ease and rules of numbers in this order, with darts like those of other rules.
pub(crate) fn of_numbers<T>(like: &Rules, mut next: impl FnMut() -> T) -> (Body<T>, Ease<T>, Rules<T>) {
    let body = Body::from_array(array::from_fn(|_| next()));
    let ease = Ease::from_array(array::from_fn(|_| next()));
    let panel_rules = PanelRules::from_array(array::from_fn(|_| next()));
    let mut dart = |like: &FixedDart| {
        let (intake, length, place) = (next(), next(), next());
        let by_share = matches!(like.place, DartPosition::Share(_));
        FixedDart {
            intake,
            length,
            place: if by_share { DartPosition::Share(place) } else { DartPosition::Centre(place) },
        }
    };
    let apportionment = match &like.apportionment {
        Apportionment::Darts(Darts { back, front }) => {
            let [back, front] = [back, front].map(|list| list.iter().map(&mut dart).collect());
            Apportionment::Darts(Darts { back, front })
        }
        Apportionment::Shares(_) => Apportionment::Shares(Shares::from_array(array::from_fn(|_| next()))),
    };
    (body, ease, Rules { panel_rules, apportionment })
}

/// All that a table says of a row, its numbers as bits.
#[derive(Debug, PartialEq)]
pub(crate) struct Row {
    numbers: Vec<u64>,
    darts: Option<[u8; 2]>,
    findings: Vec<FindingCode>,
    problems: Option<Problems>,
}

/// All rows of a table.
pub(crate) fn rows(table: &Table) -> Vec<Row> {
    let columns: Vec<&[f64]> = table.columns().iter().map(|column| table.number(&column.name).unwrap()).collect();
    assert!(columns.iter().all(|column| column.len() == table.rows()));
    let row = |row: usize| Row {
        numbers: columns.iter().map(|column| column[row].to_bits()).collect(),
        darts: table.darts(row),
        findings: table.findings(row).collect(),
        problems: table.problems(row).cloned(),
    };
    (0..table.rows()).map(row).collect()
}

/// What a table of at the most so many darts must say of a body by what is known of it alone.
pub(crate) fn wanted(alone: &Result<Draft, Problems>, max_darts: [usize; 2], unit: Unit) -> Row {
    match alone {
        Ok(draft) => {
            let code = |name: &str| FindingCode::ALL.iter().find(|code| code.name() == name).copied().unwrap();
            Row {
                numbers: told(&draft.summary(), max_darts, unit).into_iter().map(f64::to_bits).collect(),
                darts: Some(draft.panels().map(|panel| u8::try_from(panel.darts.len()).unwrap())),
                findings: draft.findings().iter().map(|finding| code(&finding.code)).collect(),
                problems: None,
            }
        }
        Err(problems) => Row {
            numbers: vec![f64::NAN.to_bits(); names(max_darts).len()],
            darts: None,
            findings: Vec::new(),
            problems: Some(problems.clone()),
        },
    }
}

/// The names of the columns.
pub(crate) fn names(max_darts: [usize; 2]) -> Vec<String> {
    let whole = ["suppression_total", "suppression_side", "suppression_back", "suppression_front", "left_in_side"];
    let mut names: Vec<String> = whole.into_iter().chain(["side_seam"]).map(str::to_owned).collect();
    for (half, max) in ["back", "front"].into_iter().zip(max_darts) {
        let of_panel = ["width", "waist_seam", "waist_lowering", "centre_seam", "area"].map(str::to_owned);
        let of_darts = (1..=max).flat_map(|k| ["intake", "length", "centre"].map(|what| format!("dart{k}_{what}")));
        names.extend(of_panel.into_iter().chain(of_darts).map(|name| format!("{half}_{name}")));
    }
    names
}

/// The numbers of a summary in the order of the columns.
fn told(summary: &Summary, max_darts: [usize; 2], unit: Unit) -> Vec<f64> {
    let length = |cm: f64| cm / unit.cm_per_unit();
    let suppression = &summary.suppression;
    let mut told = vec![suppression.total, suppression.side, suppression.back, suppression.front];
    told.extend([summary.left_in_side, summary.side_seam]);
    told = told.into_iter().map(length).collect();
    for (panel, max) in summary.panels.iter().zip(max_darts) {
        let lengths = [panel.width, panel.waist_seam, panel.waist_lowering, panel.centre_seam];
        told.extend(lengths.map(length));
        told.push(panel.area / (unit.cm_per_unit() * unit.cm_per_unit()));
        let end = told.len() + 3 * max;
        told.extend(panel.darts.iter().flat_map(|dart| [dart.intake, dart.length, dart.centre]).map(length));
        told.resize(end, f64::NAN);
    }
    told
}

/// The edges of back and front as a table gives them.
pub(crate) fn edges(draft: &Draft, unit: Unit) -> [Vec<(Role, Vec<[f64; 2]>)>; 2] {
    let point = |point: &kirtle::Point| [point.x / unit.cm_per_unit(), point.y / unit.cm_per_unit()];
    draft.panels().map(|panel| {
        panel.edges.iter().map(|edge| (edge.role, edge.path.points().iter().map(point).collect())).collect()
    })
}
