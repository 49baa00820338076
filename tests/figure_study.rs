//! Errors of drafts without a measured figure, over simulated women: the table of src/figures.md.
//!
//! `KIRTLE_WRITE=1 cargo test --features python --test all figure_study::` writes the table.

use std::fs;

use crate::committed::assert_committed;
use kirtle::survey::Population;
use kirtle::{Body, Draft, Ease, Figure, Rules, Unit, draft_figure};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Body at which derivatives are taken: the means of the population, in centimetres.
const MEAN: Body = Body { waist: 86.0, hip: 102.0, hip_depth: 19.2, length: 60.0 };

/// Number of simulated women.
const WOMEN: u64 = 2000;

/// Depth of the high hip below the waist, in centimetres.
const HIGH_HIP_DEPTH: f64 = 9.0;

/// Median of the absolute value of a standard normal variable.
const HALF_NORMAL_MEDIAN: f64 = 0.674_489_750_196_081_7;

const TABLE_HEAD: &str = "| not measured | spread (invented) | error | median | 95th percentile | median by the derivative \
    | out of reach |\n|---|---|---|---|---|---|---|\n";

/// One row of the table: a measurement whose value spreads about what the plain draft gives.
struct Row {
    name: &'static str,
    /// Standard deviation in centimetres, invented.
    spread: f64,
    effect: &'static str,
    /// Figure of a body whose measurement differs from the plain draft's.
    figure: fn(&Draft, f64) -> Figure,
    /// Number whose error is measured, in centimetres.
    quantity: fn(&Draft) -> f64,
    /// Input and quantity of the derivative; none for a one-sided error.
    derivative: Option<[&'static str; 2]>,
    /// Finding of a measurement that cannot be reached.
    finding: &'static str,
}

/// Returns the figure of a body whose centre front or centre back lies differently.
fn lengths(depths: [f64; 2]) -> Figure {
    let [back_length, front_length] = depths.map(|depth| Some(100.0 - depth));
    Figure { side_length: Some(100.0), back_length, front_length, ..Figure::default() }
}

fn depths(draft: &Draft) -> [f64; 2] {
    draft.panels().map(|panel| panel.waist_lowering)
}

/// Returns the arc over the front of the body in a plain draft, from that of the garment.
fn arc(garment: f64, girth: f64, ease: f64) -> f64 {
    2.0 * garment * girth / (girth + ease)
}

const ROWS: [Row; 5] = [
    Row {
        name: "front length",
        spread: 0.8,
        effect: "height of the hem at the centre front",
        figure: |plain, by| lengths([depths(plain)[0], depths(plain)[1] + by]),
        quantity: |draft| draft.front.waist_lowering,
        derivative: Some(["body.figure.front_length", "front.waist_lowering"]),
        finding: "",
    },
    Row {
        name: "back length",
        spread: 0.8,
        effect: "height of the hem at the centre back",
        figure: |plain, by| lengths([depths(plain)[0] + by, depths(plain)[1]]),
        quantity: |draft| draft.back.waist_lowering,
        derivative: Some(["body.figure.back_length", "back.waist_lowering"]),
        finding: "",
    },
    Row {
        name: "front hip",
        spread: 1.5,
        effect: "place of the side seam at hip and hem",
        figure: |plain, by| {
            let front = arc(plain.front.width, plain.body().hip, EASE.hip);
            Figure { front_hip: Some(front + by), ..Figure::default() }
        },
        quantity: |draft| draft.front.width,
        derivative: Some(["body.figure.front_hip", "front.width"]),
        finding: "",
    },
    Row {
        name: "front waist",
        spread: 1.5,
        effect: "place of the side seam at the waist",
        figure: |plain, by| {
            let front = arc(plain.summary().panels[1].waist_seam, plain.body().waist, EASE.waist);
            Figure { front_waist: Some(front + by), ..Figure::default() }
        },
        quantity: |draft| draft.summary().panels[1].waist_seam,
        derivative: Some(["body.figure.front_waist", "front.waist_seam"]),
        finding: "front_waist_missed",
    },
    Row {
        name: "high hip",
        spread: 2.0,
        effect: "girth that is missing 9 cm below the waist",
        figure: |plain, by| Figure {
            high_hip: Some(plain.girth_at(HIGH_HIP_DEPTH).unwrap() - EASE.waist + by),
            high_hip_depth: Some(HIGH_HIP_DEPTH),
            ..Figure::default()
        },
        quantity: |draft| draft.girth_at(HIGH_HIP_DEPTH).unwrap(),
        derivative: None,
        finding: "high_hip_tight",
    },
];

/// Sequence of normally distributed numbers: sums of twelve uniform ones.
struct Normal(u64);

impl Normal {
    fn next(&mut self) -> f64 {
        let uniform = |state: &mut u64| {
            *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(*state >> 32).unwrap()) / f64::from(u32::MAX)
        };
        (0..12).map(|_| uniform(&mut self.0)).sum::<f64>() - 6.0
    }
}

/// Returns the costs over the women in millimetres, ascending, and the number of women out of reach.
fn costs(row: &Row) -> (Vec<f64>, usize) {
    let women = Population::ansur_women().bodies(1, 0..WOMEN).unwrap();
    let (mut normal, mut costs, mut missed) = (Normal(1), Vec::new(), 0);
    for index in 0..usize::try_from(WOMEN).unwrap() {
        let (body, by) = (Body { length: 60.0, ..women.body_of_row(index).unwrap() }, row.spread * normal.next());
        let Ok(plain) = kirtle::draft(&body, &EASE, &Rules::default()) else { continue };
        let Ok(measured) = draft_figure(&body, &(row.figure)(&plain, by), &EASE, &Rules::default()) else { continue };
        assert!(measured.proof().holds);
        costs.push(10.0 * ((row.quantity)(&measured) - (row.quantity)(&plain)).abs());
        missed += usize::from(measured.findings().iter().any(|finding| finding.code == row.finding));
    }
    costs.sort_by(f64::total_cmp);
    (costs, missed)
}

fn table_row(row: &Row) -> String {
    let (costs, missed) = costs(row);
    let at = |percent: usize| format!("{:.1} mm", costs[costs.len() * percent / 100]);
    let by_derivative = row.derivative.map(|[input, quantity]| {
        let plain = kirtle::draft(&MEAN, &EASE, &Rules::default()).unwrap();
        let draft = draft_figure(&MEAN, &(row.figure)(&plain, 0.0), &EASE, &Rules::default()).unwrap();
        let derivative = draft.sensitivity(&[input]).unwrap().in_unit(Unit::Cm).derivative(quantity, input).unwrap();
        format!("{:.1} mm", 10.0 * HALF_NORMAL_MEDIAN * row.spread * derivative.abs())
    });
    let reach = if row.finding.is_empty() {
        "–".to_owned()
    } else {
        format!("{:.1} %", 100.0 * missed as f64 / costs.len() as f64)
    };
    let (name, spread, effect) = (row.name, row.spread, row.effect);
    let by_derivative = by_derivative.unwrap_or("–".to_owned());
    format!("| {name} | {spread} cm | {effect} | {} | {} | {by_derivative} | {reach} |\n", at(50), at(95))
}

#[test]
fn the_table_on_the_page_is_the_computed_one() {
    let table = ROWS.iter().map(table_row).fold(TABLE_HEAD.to_owned(), |table, row| table + &row);
    let page = fs::read_to_string("src/figures.md").unwrap();
    let start = page.find(TABLE_HEAD).unwrap();
    let end = start + page[start..].find("\n\n").unwrap() + 1;
    assert_committed("src/figures.md", &[&page[..start], &table, &page[end..]].concat());
}

/// The simulated median of each linear cost is that of the first order, to a tenth.
#[test]
fn the_derivatives_predict_the_costs() {
    for row in &ROWS[..3] {
        let cells: Vec<f64> =
            table_row(row).split(" mm").filter_map(|cell| cell.rsplit(' ').next()?.parse().ok()).collect();
        assert!((cells[0] / cells[2] - 1.0).abs() < 0.1, "{}: {cells:?}", row.name);
    }
}
