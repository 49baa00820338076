//! Tables of bodies of which some have a figure: each row equals the draft of its body alone.
#![allow(clippy::float_cmp, reason = "equal numbers are equal to the last bit")]

use crate::bodies::chart::bodies_in_chart;
use crate::bodies::{cases, scale_lengths};
use crate::tables::{expected_row, rows};
use kirtle::batch::{Bodies, Column, Table, Threads};
use kirtle::document::Request;
use kirtle::{
    Apportionment, Body, Code, DartPosition, Darts, Ease, Figure, FindingCode, GivenDart, PanelRules, Rules, Unit,
    draft_figure,
};
use proptest::option::weighted;
use proptest::prelude::*;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

#[test]
fn rows_with_a_figure_equal_the_bodies_alone() {
    let (hips, fronts) = ([101.0, 98.0, 110.0, 101.0], [Some(100.0), None, Some(99.0), Some(70.0)]);
    let (waists, arcs) = ([74.0, 72.0, 85.0, 74.0], [Some(39.0), None, None, Some(38.0)]);
    let bodies = Bodies {
        body: Body {
            waist: Column::Values(&waists),
            hip: Column::Values(&hips),
            hip_depth: Column::Constant(20.5),
            length: Column::Constant(62.0),
        },
        figure: Figure {
            front_length: Some(Column::Nullable(&fronts)),
            side_length: Some(Column::Nullable(&fronts)),
            front_waist: Some(Column::Nullable(&arcs)),
            ..Figure::default()
        },
        ease: EASE.map(Column::Constant),
        rules: Column::constant_rules(&Rules::default()),
        unit: Unit::Cm,
    };
    let table = bodies.draft(&Threads::new(Some(2)).unwrap()).unwrap();
    for row in 0..hips.len() {
        let body = Body { waist: waists[row], hip: hips[row], ..BODY };
        let figure =
            Figure { front_waist: arcs[row], front_length: fronts[row], side_length: fronts[row], ..Figure::default() };
        let alone = draft_figure(&body, &figure, &EASE, &Rules::default()).unwrap();
        let summary = alone.summary();
        assert_eq!(table.numbers_of_column("suppression_total").unwrap()[row], summary.suppression.total);
        assert_eq!(table.numbers_of_column("front_waist_seam").unwrap()[row], summary.panels[1].waist_seam);
        assert_eq!(table.numbers_of_column("front_waist_lowering").unwrap()[row], summary.panels[1].waist_lowering);
        let codes: Vec<_> = alone.findings().into_iter().map(|finding| finding.code).collect();
        assert!(table.findings(row).map(FindingCode::name).eq(codes.iter().map(|code| &**code)));
    }
    let lone = Bodies { figure: Figure { side_length: None, ..bodies.figure }, ..bodies.clone() };
    let problems = lone.draft(&Threads::new(Some(1)).unwrap()).unwrap();
    assert_eq!(problems.problems(0).unwrap()[0].field, "body.figure.front_length");
    assert!(problems.problems(1).is_none());
    // A constant is left out in a row without the measurements that it needs.
    let high_hip = Figure { high_hip: Some(Column::Nullable(&[Some(98.0), None, None, None])), ..bodies.figure };
    let high_hip =
        Figure { high_hip_depth: Some(Column::Constant(9.0)), side_length: Some(Column::Constant(101.0)), ..high_hip };
    let measured = Bodies { figure: high_hip, ..bodies.clone() }.draft(&Threads::new(Some(1)).unwrap()).unwrap();
    assert!(measured.problems(1).is_none());
    let seam = |table: &Table| table.numbers_of_column("front_waist_seam").unwrap()[1];
    assert_eq!(seam(&measured), seam(&table));
    // Two constants have an effect together, also in a row without the third measurement.
    let lengths = Figure {
        front_length: Some(Column::Constant(100.5)),
        side_length: Some(Column::Nullable(&[Some(101.0), None, None, None])),
        back_length: Some(Column::Constant(101.5)),
        ..Figure::default()
    };
    let draft = |figure| Bodies { figure, ..bodies.clone() }.draft(&Threads::new(Some(1)).unwrap()).unwrap();
    assert_eq!(seam(&draft(lengths)), seam(&draft(Figure { side_length: None, ..lengths })));
    assert_ne!(seam(&draft(lengths)), seam(&draft(Figure::default())));
    let wrong = Bodies { figure: Figure { front_hip: Some(Column::Constant(1.0)), ..bodies.figure }, ..bodies };
    assert_eq!(wrong.draft(&Threads::new(Some(1)).unwrap()).unwrap_err()[0].code, Code::BelowMinimum);
}

/// Draws a figure for a body; each number is given with its probability. Some lengths, and some arcs, are refused.
fn figures(body: Body, length: f64, arc: f64, unknown: f64) -> impl Strategy<Value = Figure> {
    let near =
        || weighted(length, prop_oneof![20 => 97.0..103.0, 1 => 85.0..90.0, 1 => Just(f64::NAN), 1 => Just(999.0)]);
    let front_hip = weighted(arc, prop_oneof![20 => 0.44..0.56, 1 => 0.3..0.4, 1 => Just(f64::INFINITY)]);
    let others = [weighted(unknown, 0.45..0.55), weighted(unknown, 0.98..1.04), weighted(unknown, 0.3..0.7)];
    ([near(), near(), near()], front_hip, others).prop_map(move |(lengths, front_hip, others)| {
        let ([front_length, side_length, back_length], [front_waist, high_hip, depth]) = (lengths, others);
        Figure {
            front_length,
            side_length,
            back_length,
            front_hip: front_hip.map(|share| share * body.hip),
            front_waist: front_waist.map(|share| share * body.waist),
            high_hip: high_hip.map(|share| share * body.hip),
            high_hip_depth: depth.map(|share| share * body.hip_depth),
        }
    })
}

/// Draws bodies with figures: in some tables nearly every row has the same measurements, in others each row its own.
fn bodies_with_figures() -> impl Strategy<Value = Vec<(Body, Figure)>> {
    let probability = |often: f64| prop_oneof![Just(0.001), Just(often), Just(0.999)];
    (probability(0.6), probability(0.5), prop_oneof![2 => Just(0.001), 1 => Just(0.1)]).prop_flat_map(
        |(length, arc, unknown)| {
            let row = bodies_in_chart().prop_flat_map(move |body| (Just(body), figures(body, length, arc, unknown)));
            prop::collection::vec(row, 1..=60)
        },
    )
}

/// Draws rules of all kinds that a figure can meet; a balance of its own contradicts an arc over the front.
fn rules() -> impl Strategy<Value = Rules> {
    let default = PanelRules::default();
    let panel_rules = prop::sample::select(vec![
        default,
        PanelRules { centre_back_lower: 1.0, ..default },
        PanelRules { centre_front_lower: 0.5, centre_back_in: 1.0, ..default },
        PanelRules { balance: 0.5, side_fullness: 1.7, ..default },
    ]);
    let dart = |intake| GivenDart { intake, length: 11.0, place: DartPosition::Share(0.5) };
    let darts = Darts { back: vec![dart(2.5)], front: vec![dart(1.5)] };
    let by_darts = Apportionment::Darts(darts);
    let apportionment = prop_oneof![3 => Just(Rules::default().apportionment), 1 => Just(by_darts)];
    (panel_rules, apportionment).prop_map(|(panel_rules, apportionment)| Rules { panel_rules, apportionment })
}

/// Drafts a table of bodies with figures in a unit, in which every length is given.
fn table(rows: &[(Body, Figure)], ease: Ease, rules: &Rules, unit: Unit) -> Table {
    let body = [0, 1, 2, 3].map(|k| rows.iter().map(|(body, _)| body.into_array()[k]).collect::<Vec<_>>());
    let figure: [Vec<Option<f64>>; Figure::FIELDS.len()] =
        std::array::from_fn(|k| rows.iter().map(|(_, figure)| figure.into_array()[k]).collect());
    let all: [Option<Vec<f64>>; Figure::FIELDS.len()] =
        figure.each_ref().map(|column| column.iter().copied().collect());
    let column = |k: usize| match &all[k] {
        Some(all) => Some(Column::Values(all)),
        None if figure[k].iter().all(Option::is_none) => None,
        None => Some(Column::Nullable(&figure[k])),
    };
    let bodies = Bodies {
        body: Body::from_array(body.each_ref().map(|column| Column::Values(column))),
        figure: Figure::from_array(std::array::from_fn(column)),
        ease: ease.map(Column::Constant),
        rules: Column::constant_rules(rules),
        unit,
    };
    bodies.draft(&Threads::new(Some(1)).unwrap()).unwrap()
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn a_row_with_a_figure_equals_its_body_alone(bodies in bodies_with_figures(), rules in rules()) {
        let max_darts = match &rules.apportionment {
            Apportionment::Shares(_) => [2, 2],
            Apportionment::Darts(Darts { back, front }) => [back.len(), front.len()],
        };
        let found = rows(&table(&bodies, EASE, &rules, Unit::Cm));
        for (found, (body, figure)) in found.iter().zip(&bodies) {
            let alone = draft_figure(body, figure, &EASE, &rules);
            prop_assert_eq!(found, &expected_row(&alone, max_darts, Unit::Cm), "{:?} {:?}", body, figure);
        }
    }

    #[test]
    fn a_row_in_inches_equals_its_request_alone(bodies in bodies_with_figures()) {
        let request = |(body, figure): &(Body, Figure)| {
            let (rules, corrections) = (Rules::default(), Vec::new());
            let (body, figure, cutting, cloth) = (*body, *figure, None, None);
            Request { unit: Unit::In, body, figure, ease: EASE, rules, corrections, cutting, cloth, ruler: None }
        };
        let requests: Vec<_> = bodies.iter().map(|row| scale_lengths(&request(row), 1.0 / 2.54)).collect();
        let bodies: Vec<_> = requests.iter().map(|request| (request.body, request.figure)).collect();
        let found = rows(&table(&bodies, requests[0].ease, &requests[0].rules, Unit::In));
        for (found, request) in found.iter().zip(&requests) {
            prop_assert_eq!(found, &expected_row(&request.draft(), [2, 2], Unit::In), "{:?}", request);
        }
    }
}
