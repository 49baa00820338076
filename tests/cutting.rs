//! Laws of the cut line, over all valid drafts and allowances.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod pieces;

use bodies::{cases, cut, cuttings, ordinary, requests};
use kirtle::pattern::NotchPlace;
use kirtle::{Allowances, Body, Code, Cutting, Draft, Ease, Opening, Piece, Press, Role, Rules, Unit};
use pieces::{OFF, fine, is_cut_right, nearest};
use proptest::prelude::*;

fn usual(length: f64) -> Draft {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

/// Where each notch lies along its seam.
fn along(piece: &Piece, place: NotchPlace) -> Vec<f64> {
    piece.notches.iter().filter(|notch| notch.place == place).map(|notch| notch.along).collect()
}

proptest! {
    #![proptest_config(cases(4_000))]

    #[test]
    fn the_cut_line_of_any_draft_lies_at_its_distance_and_crosses_nothing(
        request in requests(Unit::Cm), cutting in cuttings(),
    ) {
        is_cut_right(&cut(&request, &cutting)?)?;
    }

    #[test]
    fn an_ordinary_draft_gets_the_allowances_it_wishes(request in ordinary(), press in prop_oneof![Just(Press::Centre), Just(Press::Side)]) {
        let pattern = cut(&request, &Cutting { press, ..Cutting::default() })?;
        prop_assert_eq!(pattern.granted, pattern.cutting().allowances);
        prop_assert_eq!(pattern.back.straight_folds + pattern.front.straight_folds, 0);
        is_cut_right(&pattern)?;
    }

    // Half of it is just the shortest cut; which way it is told must not hang on the direction's rounding.
    #[test]
    fn an_allowance_that_is_just_wide_enough_is_cut_into(request in ordinary()) {
        let allowances = Allowances { waist: 0.6, side: 0.6, hem: 0.6, centre_back: 0.6 };
        let pattern = cut(&request, &Cutting { allowances, ..Cutting::default() })?;
        prop_assert_eq!(pattern.granted, allowances);
        for notch in pattern.pieces().into_iter().flat_map(|piece| &piece.notches) {
            let [start, end] = notch.cuts[0].map(|point| (point - notch.seam).norm());
            prop_assert!(end < start, "{:?} leads out", notch.place);
        }
    }

    #[test]
    fn an_opening_that_is_not_told_fits_any_skirt(request in requests(Unit::Cm)) {
        let pattern = cut(&request, &Cutting::default())?;
        prop_assert!(pattern.opening() <= 20.0 && pattern.opening() <= pattern.back.panel.length(Role::Centre));
    }

    #[test]
    fn notches_come_in_pairs(request in requests(Unit::Cm), cutting in cuttings()) {
        let pattern = cut(&request, &cutting)?;
        for place in [NotchPlace::HipLine, NotchPlace::LowerSide] {
            let [back, front] = pattern.pieces().map(|piece| along(piece, place));
            prop_assert_eq!(back.len(), front.len());
            for (back, front) in back.iter().zip(front) {
                prop_assert!((back - front).abs() <= 1e-12 * back, "{place:?} at {back} and {front}");
            }
        }
        for piece in pattern.pieces() {
            // However short the skirt, a second cut stays close to its notch.
            for notch in piece.notches.iter().filter(|notch| notch.place == NotchPlace::HipLine && notch.cuts.len() == 2) {
                let below = piece.panel.length(Role::Side) - notch.along;
                let apart = (notch.cuts[1][0] - notch.cuts[0][0]).norm();
                prop_assert!(apart <= below / 4.0 + 1e-9 && apart <= 0.6 + 1e-9, "{apart} on {below}");
            }
            let legs = along(piece, NotchPlace::DartLeg);
            prop_assert_eq!(legs.len(), 2 * piece.panel.darts.len());
            prop_assert!(legs.chunks(2).all(|pair| pair[0].to_bits() == pair[1].to_bits()));
            let lines: Vec<_> = piece.cut.iter().map(|edge| fine(&edge.path)).collect();
            for (notch, cut) in piece.notches.iter().flat_map(|notch| notch.cuts.iter().map(move |cut| (notch, cut))) {
                let way = cut[1] - cut[0];
                prop_assert!((0.3 - 1e-9..=0.6 + 1e-9).contains(&way.norm()), "a notch is {} long", way.norm());
                let out = match notch.place {
                    NotchPlace::HipLine | NotchPlace::LowerSide => way.x,
                    NotchPlace::OpeningEnd => -way.x,
                    NotchPlace::DartLeg => -way.y,
                };
                // Without an allowance it is a mark outside.
                let bare = (notch.seam - notch.cuts[0][0]).norm() < 1e-9;
                prop_assert!(!bare || out > 0.29, "{:?} leads by {out} outwards", notch.place);
                let off = nearest(cut[0], &lines);
                prop_assert!(off <= OFF, "a notch starts {off} off the cut line");
                let seams: Vec<_> = piece.panel.edges.iter().map(|edge| fine(&edge.path)).collect();
                let [start, end] = cut.map(|point| nearest(point, &seams));
                // A mark outside leads away from the seam line; beside a sharp bend another stretch may be near.
                prop_assert!(end >= 0.29 || end > start, "a notch ends {end} from the seam line, at {}", cut[1]);
            }
        }
    }
}

/// The opening may end where the seam does, and no lower.
#[test]
fn an_opening_may_be_as_long_as_its_seam() {
    let draft = usual(40.0);
    let seam = draft.back.length(Role::Centre);
    let cut = |length: f64| draft.pattern(&Cutting { opening: Opening::Given(length), ..Cutting::default() });
    assert_eq!(cut(seam).unwrap().opening().to_bits(), seam.to_bits());
    assert_eq!(cut(seam + 1e-6).unwrap_err()[0].code, Code::OpeningTooLong);
}

/// Patterns are cut alike however the opening was told, and not where anything that is cut differs.
#[test]
fn how_the_opening_was_told_does_not_change_the_cut() {
    let draft = usual(60.0);
    let usual = Cutting::default();
    let pattern = |cutting: &Cutting| draft.pattern(cutting).unwrap();
    let told = Cutting { opening: Opening::Given(pattern(&usual).opening()), ..usual.clone() };
    assert!(pattern(&usual).is_cut_as(&pattern(&told)) && pattern(&usual) != pattern(&told));
    let shorter = Cutting { opening: Opening::Given(15.0), ..usual.clone() };
    let named = Cutting { name: "Ann".to_owned(), ..usual.clone() };
    let pressed = Cutting { press: Press::Side, ..usual.clone() };
    for other in [shorter, named, pressed] {
        assert!(!pattern(&usual).is_cut_as(&pattern(&other)), "{other:?}");
    }
}

#[test]
fn what_cannot_be_cut_is_refused_all_at_once() {
    let draft = usual(60.0);
    let allowances = Allowances { waist: 5.5, side: -1.0, hem: 4.0, centre_back: 2.0 };
    let cutting = Cutting { allowances, opening: Opening::Given(4.0), name: "a\nb".to_owned(), press: Press::Side };
    let problems = draft.pattern(&cutting).unwrap_err();
    let fields: Vec<_> = problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["cutting.allowances.waist", "cutting.allowances.side", "cutting.opening", "cutting.name"]);
}

/// An opening that nobody gave is none in JSON, so that another body may have another.
#[test]
fn the_usual_opening_is_not_written() {
    let opening =
        |opening| serde_json::to_value(Cutting { opening, ..Cutting::default() }).unwrap().get("opening").cloned();
    assert_eq!(opening(Opening::Usual(20.0)), None);
    assert_eq!(opening(Opening::Given(20.0)), Some(serde_json::json!(20.0)));
}

#[test]
fn letters_that_pdf_lacks_are_found_in_a_name_that_shows() {
    let draft = usual(60.0);
    let pattern = |name: &str| draft.pattern(&Cutting { name: name.to_owned(), ..Cutting::default() }).unwrap();
    let boxes = |name: &str| -> Vec<f64> {
        let findings = pattern(name).findings();
        findings.iter().filter(|finding| finding.code == "name_not_printed").map(|finding| finding.measured).collect()
    };
    assert_eq!(boxes("Ann, Ζωή & Вера ½"), [0.0; 0]);
    assert_eq!(boxes("春 and 秋"), [2.0]);
    // Nothing to be seen is no name.
    assert_eq!(boxes(" \u{200b}\u{2060}\u{feff} "), [0.0; 0]);
    let labels = ["", " \u{200b} ", "Ann"].map(|name| pattern(name).label(Unit::Cm));
    assert!(labels[0] == labels[1] && labels[2] == "Ann", "{labels:?}");
}
