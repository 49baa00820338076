//! The cost of each shortcut on paper over the demo chart: the table of src/shortcuts.md.
//!
//! `KIRTLE_WRITE=1 cargo test --features python --test all study::` writes the table.

use std::fmt::Write;
use std::fs;

use crate::committed::assert_committed;
use kirtle::sizes::{Alteration, AlterationLimits, Cost, StepKind};
use kirtle::{Body, Ease, Rules, SizeChart, SizeRange};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Indices of the sizes with at least three smaller and three larger sizes.
const INNER_SIZES: std::ops::Range<usize> = 3..9;

/// Default tolerance of an alteration, in millimetres.
const TOLERANCE_MM: f64 = 3.0;

/// Limits with which no step is left out.
const EVERY_STEP: Option<AlterationLimits> = Some(AlterationLimits { tolerance_mm: TOLERANCE_MM, min_step_mm: 0.0 });

/// First line of the table.
const TABLE_HEAD: &str =
    "| shortcut | bodies | sew together | within 3 mm | side seam | waist line | darts | sewn waist |\n";

/// Text after the last line of the table.
const TABLE_END: &str = "\n\n";

/// Name of a shortcut, and the bodies for which it is used.
type Shortcut = (&'static str, fn(&SizeChart) -> Vec<Body>);

fn interpolate(a: f64, b: f64, share: f64) -> f64 {
    a * (1.0 - share) + b * share
}

/// Returns the bodies at a share of the way between neighbouring sizes.
fn between(chart: &SizeChart, share: f64) -> Vec<Body> {
    let pairs = chart.sizes().windows(2);
    let body = |pair: &[kirtle::Size]| {
        let (a, b) = (pair[0].body.into_array(), pair[1].body.into_array());
        Body::from_array(std::array::from_fn(|k| interpolate(a[k], b[k], share)))
    };
    pairs.map(body).collect()
}

/// Returns bodies with the waist of one size, and hip, hip depth and length of the size `apart` sizes larger or
/// smaller.
fn blended(chart: &SizeChart, apart: usize) -> Vec<Body> {
    let sizes = chart.sizes();
    let body = |waist: usize, hip: usize| Body { waist: sizes[waist].body.waist, ..sizes[hip].body };
    INNER_SIZES.flat_map(|k| [body(k, k + apart), body(k, k - apart)]).collect()
}

/// Returns two changed bodies for each size of a chart.
fn changed(chart: &SizeChart, change: impl Fn(Body) -> [Body; 2]) -> Vec<Body> {
    chart.sizes().iter().flat_map(|size| change(size.body)).collect()
}

const SHORTCUTS: [Shortcut; 9] = [
    ("half-way between neighbours", |chart| between(chart, 0.5)),
    ("a quarter or three quarters of the way", |chart| [between(chart, 0.25), between(chart, 0.75)].concat()),
    ("a quarter at the waist and three quarters at the hip, or the reverse", |chart| {
        let (near, far) = (between(chart, 0.25), between(chart, 0.75));
        let body = |(waist, hip): (&Body, &Body)| Body { waist: waist.waist, ..*hip };
        near.iter().zip(&far).map(body).chain(far.iter().zip(&near).map(body)).collect()
    }),
    ("waist and hip one size apart", |chart| blended(chart, 1)),
    ("waist and hip two sizes apart", |chart| blended(chart, 2)),
    ("waist and hip three sizes apart", |chart| blended(chart, 3)),
    ("hip line 1 cm higher or lower", |chart| {
        changed(chart, |body| [-1.0, 1.0].map(|by| Body { hip_depth: body.hip_depth + by, ..body }))
    }),
    ("hip line 2 cm higher or lower", |chart| {
        changed(chart, |body| [-2.0, 2.0].map(|by| Body { hip_depth: body.hip_depth + by, ..body }))
    }),
    ("5 cm longer or shorter", |chart| {
        changed(chart, |body| [-5.0, 5.0].map(|by| Body { length: body.length + by, ..body }))
    }),
];

/// Returns the row of a shortcut in the table.
fn row(range: &SizeRange, (name, bodies): &Shortcut) -> String {
    let altered: Vec<Alteration> =
        bodies(range.chart()).iter().map(|body| range.alter(body, EVERY_STEP).unwrap()).collect();
    let sewn = altered.iter().filter(|altered| altered.sews()).count();
    let costs: Vec<Cost> = altered.iter().map(|altered| altered.cost).collect();
    let within = costs.iter().filter(|cost| cost.largest_mm() <= TOLERANCE_MM).count();
    let worst = |costs: &[Cost], gap: fn(&Cost) -> f64| {
        format!("{:.1} mm", costs.iter().map(gap).map(f64::abs).fold(0.0, f64::max))
    };
    let side = worst(&costs, |cost| cost.side_gap_mm);
    let waist = worst(&costs, |cost| cost.waist_gap_mm);
    let darts = worst(&costs, |cost| cost.dart_gap_mm.unwrap());
    let waist_seam = worst(&costs, |cost| cost.sewn_waist_mm);
    format!("| {name} | {} | {sewn} | {within} | {side} | {waist} | {darts} | {waist_seam} |\n", costs.len())
}

#[test]
fn the_table_on_the_page_is_the_computed_one() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let mut table = String::from(TABLE_HEAD);
    table.push_str("|---|---|---|---|---|---|---|---|\n");
    for shortcut in &SHORTCUTS {
        write!(table, "{}", row(&range, shortcut)).unwrap();
    }
    let page = fs::read_to_string("src/shortcuts.md").unwrap();
    let start = page.find(TABLE_HEAD).expect("the table is in src/shortcuts.md");
    let end = start + page[start..].find(TABLE_END).unwrap() + 1;
    assert_committed("src/shortcuts.md", &[&page[..start], &table, &page[end..]].concat());
}

/// Checks the two sentences below the table in src/shortcuts.md.
#[test]
fn bodies_between_neighbours_and_changes_of_length_are_within_tolerance_and_others_are_not() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let holds = |shortcut: usize| {
        SHORTCUTS[shortcut].1(range.chart())
            .iter()
            .map(|body| range.alter(body, EVERY_STEP).unwrap().is_within_tolerance())
            .collect::<Vec<_>>()
    };
    for shortcut in [0, 1, 6, 7, 8] {
        assert!(holds(shortcut).iter().all(|holds| *holds), "{}", SHORTCUTS[shortcut].0);
    }
    for shortcut in [3, 4, 5] {
        assert!(holds(shortcut).iter().all(|holds| !*holds), "{}", SHORTCUTS[shortcut].0);
    }
}

/// The centre of the waist and the dart tips move with the hip line; without the tips, they alone cost up to 13.2 mm. Without
/// the centre it would lie up to 1.5 mm off, as the waist is lowered like the side seam leans.
#[test]
fn a_hip_line_moved_by_2_cm_costs_little_once_waist_and_darts_follow() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let mut without_darts = 0.0_f64;
    for body in SHORTCUTS[7].1(range.chart()) {
        let altered = range.alter(&body, EVERY_STEP).unwrap();
        assert!(altered.cost.largest_mm() < 0.2, "{body:?}: {:?}", altered.cost);
        assert!(altered.cost.dart_gap_mm.unwrap() < 0.2, "{body:?}: {:?}", altered.cost);
        let hip_line = altered.steps.iter().find(|step| step.kind == StepKind::HipLine).unwrap();
        without_darts = without_darts.max(hip_line.cost.largest_mm());
    }
    assert!(without_darts > 13.0, "{without_darts}");
}
