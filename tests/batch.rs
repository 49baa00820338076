//! Every row of a table equals the draft of its body alone, to the last bit.
#![allow(clippy::float_cmp, reason = "equal numbers are equal to the last bit")]

use std::array::from_fn;
use std::collections::BTreeSet;
use std::sync::LazyLock;

use crate::bodies::cases;
use crate::counts::rules_with_counts;
use crate::tables::{Row, column_names, edges, expected_row, inputs_from_numbers, request_tables, rows};
use kirtle::batch::{Bodies, Column, Table, Threads};
use kirtle::draft::Summary;
use kirtle::survey::{Population, SimulatedBodies};
use kirtle::{
    Apportionment, Body, DartCount, DartPosition, Darts, Draft, Ease, Figure, GivenDart, PanelRules, Problems, Role,
    Rules, Shares, Unit,
};
use proptest::prelude::*;
use proptest::sample::Index;

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Number of simulated bodies.
const WOMEN_COUNT: u64 = 100_000;

/// Largest numbers of darts in back and front where the suppression is apportioned by shares.
const MAX_DARTS_BY_SHARES: [usize; 2] = [2, 2];

/// Number of inputs of a row where the suppression is apportioned by shares.
const INPUT_COUNT: usize = Body::FIELDS.len() + Ease::FIELDS.len() + PanelRules::FIELDS.len() + Shares::FIELDS.len();

static THREADS: LazyLock<[Threads; 4]> = LazyLock::new(|| [1, 2, 3, 8].map(|count| Threads::new(Some(count)).unwrap()));

#[test]
fn rows_with_chosen_numbers_of_darts_equal_the_bodies_alone() {
    for pair in 0..16 {
        let counts = [pair / 4, pair % 4];
        let rules = rules_with_counts(counts.map(DartCount::Exactly));
        let table = women(0..2_000, &rules).draft(&THREADS[1]).unwrap();
        for (row, found) in rows(&table).iter().enumerate() {
            let alone = kirtle::draft(&WOMEN.body_of_row(row).unwrap(), &EASE, &rules);
            assert_eq!(*found, expected_row(&alone, counts.map(usize::from), Unit::Cm), "{counts:?}, row {row}");
        }
    }
}

static WOMEN: LazyLock<SimulatedBodies> =
    LazyLock::new(|| Population::ansur_women().bodies(20, 0..WOMEN_COUNT).unwrap());

/// Returns a range of the simulated bodies as a table by the given rules.
fn women(rows: std::ops::Range<usize>, rules: &Rules) -> Bodies<'static> {
    let women: &'static SimulatedBodies = &WOMEN;
    let column = |numbers: &'static [f64]| Column::Values(&numbers[rows.clone()]);
    let body = Body {
        waist: column(&women.waist),
        hip: column(&women.hip),
        hip_depth: column(&women.hip_depth),
        length: Column::Constant(60.0),
    };
    Bodies {
        body,
        figure: Figure::default(),
        ease: EASE.map(Column::Constant),
        rules: Column::constant_rules(rules),
        unit: Unit::Cm,
    }
}

/// Returns code and message of each problem.
fn sentences(problems: &Problems) -> Vec<String> {
    problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect()
}

/// Largest relative difference between a number of the summary and the measured draft, a few rounding errors.
const MAX_DIFFERENCE: f64 = 1e-15;

/// Asserts that the numbers of a summary are those measured on the draft.
fn assert_summary(summary: &Summary, draft: &Draft) {
    let near = |what: &str, found: f64, expected: f64| {
        assert!((found - expected).abs() <= MAX_DIFFERENCE * expected.abs(), "{what}: {found} is not {expected}");
    };
    assert_eq!([summary.nominal, summary.suppression], [draft.nominal, draft.suppression]);
    assert_eq!([summary.left_in_side, summary.lean], [draft.left_in_side, draft.side_lean_tangent()]);
    for (panel_summary, panel) in summary.panels.iter().zip(draft.panels()) {
        assert_eq!([panel_summary.width, panel_summary.waist_lowering], [panel.width, panel.waist_lowering]);
        near("side", summary.side_seam, panel.edge_length(Role::Side));
        near("waist", panel_summary.waist_seam, panel.edge_length(Role::Waist));
        near("centre", panel_summary.centre_seam, panel.edge_length(Role::Centre));
        near("area", panel_summary.area, panel.area());
        let darts = panel.darts.iter().map(|dart| [dart.intake, dart.length, dart.centre, dart.tip.y]);
        let summary_darts = panel_summary.darts.iter();
        assert!(summary_darts.map(|dart| [dart.intake, dart.length, dart.centre, dart.tip]).eq(darts));
    }
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn a_row_equals_its_body_alone(
        requests in prop_oneof![request_tables(Unit::Cm), request_tables(Unit::In)],
        threads in 0..4_usize,
        cut in any::<Index>(),
    ) {
        let bodies = requests.bodies(0..requests.rows);
        let table = bodies.draft(&THREADS[threads]).unwrap();
        let max_darts = match &bodies.rules.apportionment {
            Apportionment::Shares(_) => MAX_DARTS_BY_SHARES,
            Apportionment::Darts(Darts { back, front }) => [back.len(), front.len()],
        };
        let alone: Vec<Result<Draft, Problems>> = (0..requests.rows).map(|row| requests.draft_alone(row)).collect();
        let found = rows(&table);
        for (found, alone) in found.iter().zip(&alone) {
            prop_assert_eq!(found, &expected_row(alone, max_darts, bodies.unit));
            if let Ok(draft) = alone {
                assert_summary(&draft.summary(), draft);
            }
        }

        let cut = cut.index(requests.rows + 1);
        let parts = [0..cut, cut..requests.rows].map(|part| requests.bodies(part).draft(&THREADS[0]).unwrap());
        prop_assert_eq!(&parts.iter().flat_map(rows).collect::<Vec<Row>>(), &found);

        let outlined = bodies.draft_outlines(&THREADS[threads]).unwrap();
        prop_assert_eq!(&rows(&outlined), &found);
        for (row, alone) in alone.iter().enumerate() {
            let outlines = outlined.outlines(row).map(|panels| panels.each_ref().map(|panel| panel.edges.clone()));
            prop_assert_eq!(outlines, alone.as_ref().ok().map(|draft| edges(draft, bodies.unit)));
            prop_assert!(table.outlines(row).is_none());
        }
    }
}

#[test]
fn rows_of_simulated_bodies_equal_the_bodies_alone() {
    let rules = Rules::default();
    let table = women(0..WOMEN.len(), &rules).draft(&THREADS[1]).unwrap();
    let mut darts = BTreeSet::new();
    for (row, found) in rows(&table).iter().enumerate() {
        let alone = kirtle::draft(&WOMEN.body_of_row(row).unwrap(), &EASE, &rules);
        darts.extend(table.darts(row));
        assert_eq!(*found, expected_row(&alone, MAX_DARTS_BY_SHARES, Unit::Cm), "row {row}");
    }
    assert_eq!(darts.len(), 5, "{darts:?}");
}

/// Indices of some inputs among those of a row.
const LENGTH: usize = 3;
const FIRST_SHARE: usize = INPUT_COUNT - Shares::FIELDS.len();
const LARGEST_DART: usize = FIRST_SHARE + 2;
const SMALLEST_DART: usize = FIRST_SHARE + 3;
const STEEPEST_SIDE: usize = FIRST_SHARE + 4;

/// Returns rows with a waist and hip in which one limit is missed, met or passed by at most 1e-5.
///
/// The limits are those of the darts, the lean of the side seam, and the length.
fn rows_at_limits(waist: f64, hip: f64) -> Vec<[f64; INPUT_COUNT]> {
    let shares = Shares {
        back_largest_dart: 6.0,
        front_largest_dart: 6.0,
        smallest_dart: 0.2,
        steepest_side: 45.0,
        ..Shares::default()
    };
    let body = Body { waist, hip, hip_depth: 20.0, length: 60.0 };
    let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
    let draft = kirtle::draft(&body, &EASE, &rules).unwrap();
    let first = body.into_array().into_iter().chain(EASE.into_array()).chain(PanelRules::default().into_array());
    let numbers: Vec<f64> = first.chain(shares.into_array()).collect();
    let limits = [
        (STEEPEST_SIDE, draft.side_lean_tangent().atan().to_degrees()),
        (LARGEST_DART, draft.suppression.back / 2.0),
        (LARGEST_DART, draft.nominal.back),
        (SMALLEST_DART, draft.nominal.front),
        (LENGTH, 21.0),
    ];
    // Differences from 1e-5 down to less than the last bit.
    let steps = (20..=64).map(|k| 10_f64.powf(-f64::from(k) / 4.0)).flat_map(|by| [by, -by]).chain([0.0]);
    let rows = limits.into_iter().flat_map(|(index, limit)| {
        let numbers = &numbers;
        steps.clone().map(move |by| from_fn(|k| if k == index { limit + by } else { numbers[k] }))
    });
    rows.collect()
}

#[test]
fn rows_at_a_limit_equal_their_bodies_alone() {
    let bodies = (0..200).map(|k| (60.0 + f64::from(k % 10) * 7.0, 14.0 + f64::from(k) / 7.0));
    let numbers: Vec<_> = bodies.flat_map(|(waist, drop)| rows_at_limits(waist, waist + drop)).collect();
    let columns: Vec<Vec<f64>> = (0..INPUT_COUNT).map(|k| numbers.iter().map(|row| row[k]).collect()).collect();
    let inputs: Vec<Column> = columns.iter().map(|column| Column::Values(column)).collect();
    let table = table(&inputs, Unit::Cm).draft(&THREADS[1]).unwrap();
    let mut drafted = 0;
    for (found, numbers) in rows(&table).iter().zip(&numbers) {
        let mut numbers = numbers.iter();
        let (body, ease, rules) = inputs_from_numbers(&Rules::default(), || *numbers.next().unwrap());
        let alone = kirtle::draft(&body, &ease, &rules);
        assert_eq!(*found, expected_row(&alone, MAX_DARTS_BY_SHARES, Unit::Cm), "{body:?} {rules:?}");
        drafted += u32::from(alone.is_ok());
    }
    assert!(drafted > 50_000, "{drafted} of {}", numbers.len());
}

#[test]
fn the_numbers_of_threads_and_batches_change_no_byte() {
    let all = WOMEN.len();
    let rules =
        Rules { panel_rules: PanelRules { centre_front_lower: 0.5, ..PanelRules::default() }, ..Rules::default() };
    let draft = |part, threads: &Threads| rows(&women(part, &rules).draft(threads).unwrap());
    let once = draft(0..all, &THREADS[0]);
    assert!(THREADS.iter().skip(1).all(|threads| draft(0..all, threads) == once));
    // A thread takes 4096 rows at a time, and evaluates sixteen of them in lanes.
    for cut in [all / 2, 1, 4095, 4096, 4097, 8 * 4096 + 3] {
        let parts = [0..cut, cut..all].map(|part| draft(part, &THREADS[1]));
        assert!(parts.iter().flatten().eq(&once), "{cut}");
    }
    for count in 0..=33 {
        assert_eq!(draft(0..count, &THREADS[3]), once[..count]);
    }
}

#[test]
fn a_reused_table_equals_a_new_one() {
    let (waists, dart) = ([70.0, 80.0, 9.0], |intake| GivenDart {
        intake: Column::Constant(intake),
        length: Column::Constant(9.0),
        place: DartPosition::Share(Column::Constant(0.5)),
    });
    let darts = Darts { back: vec![dart(2.5), dart(1.5), dart(1.0)], front: Vec::new() };
    let by_darts =
        Rules { panel_rules: PanelRules::default().map(Column::Constant), apportionment: Apportionment::Darts(darts) };
    let small = table(&[Column::Values(&waists)], Unit::Cm);
    let fuller = Rules { panel_rules: PanelRules { side_fullness: 2.0, ..PanelRules::default() }, ..Rules::default() };
    let (middle, large) = (women(0..9_000, &Rules::default()), women(300..20_300, &fuller));
    let empty = table(&[Column::Values(&[])], Unit::Cm);
    let mut reused = table(&[Column::Values(&waists)], Unit::Cm).draft_outlines(&THREADS[0]).unwrap();
    for bodies in [&large, &small, &middle, &Bodies { rules: by_darts, ..small.clone() }, &empty, &large, &middle] {
        bodies.draft_into(&mut reused, &THREADS[1]).unwrap();
        let new = bodies.draft(&THREADS[0]).unwrap();
        assert_eq!(reused.columns(), new.columns());
        assert_eq!(rows(&reused), rows(&new));
        assert!((0..new.rows()).all(|row| reused.outlines(row).is_none()));
    }
    let address = |table: &Table| table.numbers_of_column("front_dart2_centre").unwrap().as_ptr();
    let before = address(&reused);
    women(50_000..59_000, &fuller).draft_into(&mut reused, &THREADS[3]).unwrap();
    assert_eq!(address(&reused), before);

    let unchanged = rows(&reused);
    assert!(
        table(&[Column::Values(&waists), Column::Constant(f64::NAN)], Unit::Cm)
            .draft_into(&mut reused, &THREADS[1])
            .is_err()
    );
    assert_eq!(rows(&reused), unchanged);
}

/// A row with infinite or missing numbers beside steep side seams, measured by quadrature, changes no other row.
#[test]
fn each_row_is_drafted_alone_whatever_the_rows_beside_it_hold() {
    let rules = Rules { panel_rules: PanelRules { side_fullness: 2.0, ..PanelRules::default() }, ..Rules::default() };
    let (waists, hips) = ([70.0, f64::NAN, 62.0, f64::INFINITY, 60.0, 41.0], [96.0, 96.0, 103.0, 96.0, 96.0, f64::NAN]);
    let mut bodies = table(&[Column::Values(&waists), Column::Values(&hips), Column::Constant(14.0)], Unit::Cm);
    bodies.rules.panel_rules.side_fullness = Column::Constant(2.0);
    for (row, found) in rows(&bodies.draft(&THREADS[0]).unwrap()).iter().enumerate() {
        let body = Body { waist: waists[row], hip: hips[row], hip_depth: 14.0, length: 60.0 };
        let alone = kirtle::draft(&body, &EASE, &rules);
        assert_eq!(*found, expected_row(&alone, MAX_DARTS_BY_SHARES, Unit::Cm), "row {row}");
    }
}

/// Returns a table by shares whose first inputs are the given columns; the other inputs are constants.
fn table<'a>(first: &[Column<'a>], unit: Unit) -> Bodies<'a> {
    let defaults = PanelRules::default().into_array().into_iter().chain(Shares::default().into_array());
    let numbers = [70.0, 96.0, 20.0, 60.0, 1.5, 5.0].into_iter().chain(defaults);
    let mut columns = numbers.enumerate().map(|(k, number)| first.get(k).copied().unwrap_or(Column::Constant(number)));
    let (body, ease, rules) = inputs_from_numbers(&Rules::default(), || columns.next().unwrap());
    Bodies { body, figure: Figure::default(), ease, rules, unit }
}

#[test]
fn all_wrong_columns_are_refused_at_once() {
    let (three, two) = ([70.0, 80.0, 90.0], [Some(96.0), None]);
    let [waist, hip] = [Column::Values(&three), Column::Nullable(&two)];
    let bodies = table(&[waist, hip, Column::Constant(9.0), Column::Values(&[]), Column::Constant(f64::NAN)], Unit::Cm);
    let expected = [
        "different_rows body.hip: this column has 2 rows, but the first column has 3 rows",
        "below_minimum body.hip_depth: 9 cm is below the minimum of 10 cm",
        "different_rows body.length: this column has 0 rows, but the first column has 3 rows",
        "not_finite ease.waist: NaN is not finite; give a number from -10 to 40 cm",
    ];
    assert_eq!(sentences(&bodies.draft(&THREADS[1]).unwrap_err()), expected);
    assert_eq!(sentences(&bodies.draft_outlines(&THREADS[1]).unwrap_err()), expected);

    let dart = GivenDart {
        intake: Column::Constant(2.0),
        length: Column::Constant(9.0),
        place: DartPosition::Share(Column::Constant(0.5)),
    };
    let darts = Darts { back: vec![dart; 4], front: vec![dart; 3] };
    let rules =
        Rules { panel_rules: PanelRules::default().map(Column::Constant), apportionment: Apportionment::Darts(darts) };
    let problems = Bodies { rules, ..table(&[waist], Unit::Cm) }.draft(&THREADS[1]).unwrap_err();
    assert_eq!(sentences(&problems), ["too_many rules.darts.back: 4 darts are given, at most 3 darts allowed"]);
}

#[test]
fn a_null_is_a_missing_number() {
    let nulls = [None; 9];
    let bodies = table(&[Column::Nullable(&nulls); INPUT_COUNT], Unit::In);
    let drafted = bodies.draft(&THREADS[2]).unwrap();
    for row in 0..nulls.len() {
        let problems = sentences(drafted.problems(row).unwrap());
        assert_eq!(problems.len(), INPUT_COUNT);
        assert_eq!(problems[0], "missing body.waist: missing: give a number from 15.75 to 78.74 in");
        assert_eq!(
            problems[INPUT_COUNT - 1],
            "missing rules.shares.outer_place: missing: give a number from 0.55 to 0.8"
        );
    }
}

#[test]
fn a_table_without_rows_has_all_columns() {
    for waist in [Column::Values(&[]), Column::Nullable(&[]), Column::Constant(70.0)] {
        let empty = table(&[waist], Unit::Cm).draft_outlines(&THREADS[3]).unwrap();
        assert_eq!((empty.rows(), rows(&empty).len()), (0, 0));
        let names: Vec<&str> = empty.columns().iter().map(|column| &*column.name).collect();
        assert_eq!(names, column_names(MAX_DARTS_BY_SHARES));
        assert!(
            empty.numbers_of_column("back_area").unwrap().is_empty()
                && empty.numbers_of_column("back_dart3_intake").is_none()
        );
    }
}

#[test]
fn the_number_of_threads_is_from_1_to_1024() {
    for (count, sentence) in [
        (0, "below_minimum threads: 0 is below the minimum of 1"),
        (1025, "above_maximum threads: 1025 is above the maximum of 1024"),
    ] {
        assert_eq!(sentences(&Threads::new(Some(count)).unwrap_err()), [sentence]);
    }
    assert_eq!(THREADS.each_ref().map(Threads::count), [1, 2, 3, 8]);
    assert!(Threads::new(None).unwrap().count() >= 1);
}
