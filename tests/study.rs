//! What each shortcut on paper costs, over all bodies of the demo chart: the table of the README, made anew and compared.
//!
//! `KIRTLE_WRITE=1 cargo test --test study` writes the table anew.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fmt::Write;
use std::fs;

use kirtle::sizes::Cost;
use kirtle::{Body, Ease, Rules, SizeChart, SizeRange};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// The sizes that have three neighbours to each side.
const INNER: std::ops::Range<usize> = 3..9;

/// What an alteration may cost unless told.
const TOLERANCE_MM: f64 = 3.0;

/// The README between these lines is the table.
const FIRST: &str =
    "| shortcut | bodies | within 3 mm | darts differ | side seam | waist line | darts | sewn waist |\n";
const LAST: &str = "\n\n";

type Shortcut = (&'static str, fn(&SizeChart) -> Vec<Body>);

fn mean(a: f64, b: f64, share: f64) -> f64 {
    a * (1.0 - share) + b * share
}

/// Bodies between neighbours, at this share of the way at waist and hip alike.
fn between(chart: &SizeChart, share: f64) -> Vec<Body> {
    let pairs = chart.sizes().windows(2);
    let body = |pair: &[kirtle::Size]| {
        let (a, b) = (pair[0].body.into_array(), pair[1].body.into_array());
        Body::from_array(std::array::from_fn(|k| mean(a[k], b[k], share)))
    };
    pairs.map(body).collect()
}

/// The waist of one size with the hip, hip depth and length of another, so many sizes larger or smaller.
fn blended(chart: &SizeChart, apart: usize) -> Vec<Body> {
    let sizes = chart.sizes();
    let of = |waist: usize, hip: usize| Body { waist: sizes[waist].body.waist, ..sizes[hip].body };
    INNER.flat_map(|k| [of(k, k + apart), of(k, k - apart)]).collect()
}

fn changed(chart: &SizeChart, change: impl Fn(Body) -> [Body; 2]) -> Vec<Body> {
    chart.sizes().iter().flat_map(|size| change(size.body)).collect()
}

const SHORTCUTS: [Shortcut; 9] = [
    ("half-way between neighbours", |chart| between(chart, 0.5)),
    ("a quarter of the way, and three", |chart| [between(chart, 0.25), between(chart, 0.75)].concat()),
    ("a quarter at the waist, three at the hip, and the other way round", |chart| {
        let (near, far) = (between(chart, 0.25), between(chart, 0.75));
        let of = |(waist, hip): (&Body, &Body)| Body { waist: waist.waist, ..*hip };
        near.iter().zip(&far).map(of).chain(far.iter().zip(&near).map(of)).collect()
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

fn row(range: &SizeRange, (name, bodies): &Shortcut) -> String {
    let costs: Vec<Cost> = bodies(range.chart()).iter().map(|body| range.alter(body, None).unwrap().cost).collect();
    let alike: Vec<Cost> = costs.iter().copied().filter(|cost| cost.dart_gap_mm.is_some()).collect();
    let good = costs.iter().filter(|cost| cost.largest_mm() <= TOLERANCE_MM).count();
    let worst = |costs: &[Cost], of: fn(&Cost) -> f64| {
        let max = costs.iter().map(of).map(f64::abs).reduce(f64::max);
        max.map_or("–".to_owned(), |max| format!("{max:.1} mm"))
    };
    let side = worst(&costs, |cost| cost.side_gap_mm);
    let waist = worst(&alike, |cost| cost.waist_gap_mm);
    let darts = worst(&alike, |cost| cost.dart_gap_mm.unwrap_or_default());
    let sewn = worst(&costs, |cost| cost.sewn_waist_mm);
    let differ = costs.len() - alike.len();
    format!("| {name} | {} | {good} | {differ} | {side} | {waist} | {darts} | {sewn} |\n", costs.len())
}

#[test]
fn the_table_of_the_readme_is_what_is_found() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let mut table = String::from(FIRST);
    table.push_str("|---|---|---|---|---|---|---|---|\n");
    for shortcut in &SHORTCUTS {
        write!(table, "{}", row(&range, shortcut)).unwrap();
    }
    let readme = fs::read_to_string("README.md").unwrap();
    let start = readme.find(FIRST).expect("the table stands in the README");
    let end = start + readme[start..].find(LAST).unwrap() + 1;
    if std::env::var_os("KIRTLE_WRITE").is_some() {
        fs::write("README.md", [&readme[..start], &table, &readme[end..]].concat()).unwrap();
    }
    assert!(fs::read_to_string("README.md").unwrap().contains(&table), "run with KIRTLE_WRITE=1 and read it:\n{table}");
}

/// What the two sentences below the table say.
#[test]
fn a_ruler_is_good_enough_between_neighbours_and_for_the_length() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let holds = |shortcut: usize| {
        SHORTCUTS[shortcut].1(range.chart())
            .iter()
            .map(|body| range.alter(body, None).unwrap().holds())
            .collect::<Vec<_>>()
    };
    for shortcut in [0, 1, 8] {
        assert!(holds(shortcut).iter().all(|holds| *holds), "{}", SHORTCUTS[shortcut].0);
    }
    for shortcut in [3, 4, 5, 6, 7] {
        assert!(holds(shortcut).iter().all(|holds| !*holds), "{}", SHORTCUTS[shortcut].0);
    }
}
