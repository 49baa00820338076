//! Unfolded patterns: front and front facing with both halves, in numbers, drawings, documents and lays.

use crate::bodies::{cases, cuttings, draft_or_reject, requests};
use crate::pieces::{polygon_sides, polyline, segments_cross};
use kirtle::document::{PatternReport, Request};
use kirtle::drawing::{Mark, draw_nest, draw_pattern};
use kirtle::pattern::{Cloth, Notch, WaistFinish, WaistFinishKind};
use kirtle::{Cutting, Ease, Edge, Pattern, Point, Preset, Role, Rules, SizeChart, Unit};
use proptest::prelude::*;

/// Checks that a whole piece, given its cut line and notches, is the half and its mirror image, without a seam between.
fn check_whole([whole, half]: [(&[Edge], &[Notch]); 2]) -> Result<(), TestCaseError> {
    let corners = |edges: &[Edge]| -> Vec<Point> {
        edges.iter().flat_map(|edge| polyline(&edge.path).into_iter().skip(1).step_by(8)).collect()
    };
    let area = |edges: &[Edge]| edges.iter().map(|edge| edge.path.signed_area()).sum::<f64>();
    prop_assert!((area(whole.0) - 2.0 * area(half.0)).abs() < 1e-9);
    prop_assert!(whole.0.iter().all(|edge| edge.role != Role::Centre));
    prop_assert_eq!(whole.0[whole.0.len() - 1].path.end(), whole.0[0].path.start());
    let sides = polygon_sides(&corners(whole.0));
    for (k, side) in sides.iter().enumerate() {
        prop_assert!(!sides[k + 1..].iter().any(|other| segments_cross(side, other)));
    }
    let (first, second) = whole.1.split_at(half.1.len());
    prop_assert_eq!(first, half.1);
    prop_assert!(
        first.iter().zip(second).all(|(a, b)| (a.along - b.along).abs() + (a.seam.x + b.seam.x).abs() < 1e-12)
    );
    Ok(())
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn an_unfolded_pattern_differs_only_in_pieces_that_are_whole(request in requests(Unit::Cm), cutting in cuttings()) {
        let draft = draft_or_reject(&request)?;
        let kinds = [None, Some(WaistFinishKind::Facing)];
        for finish in kinds.map(|kind| kind.map(|kind| WaistFinish::with_usual_lengths(kind, Unit::Cm))) {
            let cutting = Cutting { finish, ..cutting.clone() };
            let Ok(half) = draft.pattern(&cutting) else { continue };
            let whole = draft.pattern(&Cutting { unfolded: true, ..cutting }).unwrap();
            prop_assert_eq!(&whole.back, &half.back);
            prop_assert!(half.front.on_fold() && !whole.front.on_fold() && whole.front.copies() == 1);
            check_whole([&whole, &half].map(|it| (&*it.front.cut, &*it.front.notches)))?;
            if let ([_, whole_facing], [_, half_facing]) = (&*whole.waist_pieces, &*half.waist_pieces) {
                check_whole([whole_facing, half_facing].map(|it| (&*it.cut, &*it.notches)))?;
                prop_assert!(whole.waist_proof().unwrap().holds && !whole_facing.on_fold());
            }
        }
    }
}

fn pattern(unfolded: bool, kind: WaistFinishKind) -> Pattern {
    let request = Request::from_json(&std::fs::read_to_string("tests/requests/evening-class.json").unwrap()).unwrap();
    let finish = Some(WaistFinish::with_usual_lengths(kind, Unit::Cm));
    let cutting = Cutting { unfolded, finish, ..Cutting::default() };
    request.draft().unwrap().pattern(&cutting).unwrap()
}

fn printed_texts(drawing: &kirtle::drawing::Drawing) -> Vec<&str> {
    let marks = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    let texts = marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text.as_str()) } else { None });
    texts.chain(drawing.notes.iter().map(String::as_str)).collect()
}

#[test]
fn no_text_of_an_unfolded_pattern_or_nest_names_the_fold_of_a_piece() {
    let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    for unfolded in [false, true] {
        let pattern = pattern(unfolded, WaistFinishKind::Facing);
        let cutting =
            Cutting { allowances: Cutting::preset(Preset::None, Unit::Cm).allowances, ..pattern.cutting().clone() };
        let nest = range.nest(&["36-40"], &cutting).unwrap();
        for drawing in [draw_pattern(&pattern, Unit::Cm), draw_nest(&nest, Unit::Cm)] {
            let texts = printed_texts(&drawing);
            let count = |words: &str| texts.iter().filter(|text| text.contains(words)).count();
            assert_eq!([count("on the fold"), count("cut 1")], if unfolded { [0, 2] } else { [4, 2] });
            assert!(!unfolded || count("at the fold") == 0);
            assert_eq!(texts.iter().filter(|text| **text == "grain line").count(), 2);
            let right = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
            let x = |mark: &Mark| if let Mark::Line { paths, .. } = mark { paths[0].start().x } else { 0.0 };
            assert!(right.map(x).fold(0.0, f64::max) < drawing.size_mm[0]);
        }
    }
}

#[test]
fn an_unfolded_pattern_lies_on_cloth_as_the_pattern_on_the_fold() {
    for kind in WaistFinishKind::ALL {
        for folded in [false, true] {
            let cloth = Cloth { width: 140.0, folded, one_way: false, selvedge: 1.0 };
            let [half, whole] = [false, true].map(|unfolded| pattern(unfolded, kind).lay(&cloth).unwrap());
            assert_eq!((whole.length, &whole.placed), (half.length, &half.placed));
        }
    }
}

#[test]
fn a_document_of_an_unfolded_pattern_has_both_halves_of_the_seam_line_and_is_read_again() {
    let [half, whole] = [false, true].map(|unfolded| pattern(unfolded, WaistFinishKind::Facing));
    let [half, report] = [&half, &whole].map(|pattern| PatternReport::new(pattern, Unit::Cm));
    assert_eq!(report.front.seam.len(), 2 * (half.front.seam.len() - 1));
    assert_eq!([report.front.on_fold, report.waist_pieces[1].on_fold], [false; 2]);
    let cutting: Cutting = serde_json::from_str(&serde_json::to_string(whole.cutting()).unwrap()).unwrap();
    assert_eq!(&cutting, whole.cutting());
    let refused = serde_json::from_str::<Cutting>(r#"{"unfolded": 1}"#).unwrap_err();
    assert_eq!(refused.to_string(), "cutting.unfolded: 1 is not true or false");
}
