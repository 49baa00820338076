//! Tables of bodies of which some have a figure: each row equals the draft of its body alone.
#![allow(clippy::float_cmp, reason = "equal numbers are equal to the last bit")]

use kirtle::batch::{Bodies, Column, Threads};
use kirtle::{Body, Code, Ease, Figure, FindingCode, Rules, Unit, draft_figure};

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
        rules: Column::rules(&Rules::default()),
        unit: Unit::Cm,
    };
    let table = bodies.draft(&Threads::new(Some(2)).unwrap()).unwrap();
    for row in 0..hips.len() {
        let body = Body { waist: waists[row], hip: hips[row], ..BODY };
        let figure =
            Figure { front_waist: arcs[row], front_length: fronts[row], side_length: fronts[row], ..Figure::default() };
        let alone = draft_figure(&body, &figure, &EASE, &Rules::default()).unwrap();
        let summary = alone.summary();
        assert_eq!(table.number("suppression_total").unwrap()[row], summary.suppression.total);
        assert_eq!(table.number("front_waist_seam").unwrap()[row], summary.panels[1].waist_seam);
        assert_eq!(table.number("front_waist_lowering").unwrap()[row], summary.panels[1].waist_lowering);
        let codes: Vec<_> = alone.findings().into_iter().map(|finding| finding.code).collect();
        assert!(table.findings(row).map(FindingCode::name).eq(codes.iter().map(|code| &**code)));
    }
    let lone = Bodies { figure: Figure { side_length: None, ..bodies.figure }, ..bodies.clone() };
    let problems = lone.draft(&Threads::new(Some(1)).unwrap()).unwrap();
    assert_eq!(problems.problems(0).unwrap()[0].field, "body.figure.front_length");
    assert!(problems.problems(1).is_none());
    let wrong = Bodies { figure: Figure { front_hip: Some(Column::Constant(1.0)), ..bodies.figure }, ..bodies };
    assert_eq!(wrong.draft(&Threads::new(Some(1)).unwrap()).unwrap_err()[0].code, Code::BelowMinimum);
}
