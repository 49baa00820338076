//! Laws of the cut line, over all valid drafts and allowances.

use crate::bodies::{cases, cuttings, ordinary_requests, pattern_or_reject, requests};
use crate::pieces::{CUT_TOLERANCE, check_cut_line, distance_to_lines, polyline};
use kirtle::document::Request;
use kirtle::drawing::draw_pattern;
use kirtle::pattern::NotchPlace;
use kirtle::{Allowances, Body, Code, Cutting, Draft, Ease, Opening, Piece, Press, Role, Rules, Unit};
use proptest::prelude::*;

fn sample_draft(length: f64) -> Draft {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

/// Returns the distance of each notch of a kind along its seam.
fn notch_distances(piece: &Piece, place: NotchPlace) -> Vec<f64> {
    piece.notches.iter().filter(|notch| notch.place == place).map(|notch| notch.along).collect()
}

proptest! {
    #![proptest_config(cases(4_000))]

    #[test]
    fn every_cut_line_lies_at_its_allowance_and_crosses_nothing(
        request in requests(Unit::Cm), cutting in cuttings(),
    ) {
        check_cut_line(&pattern_or_reject(&request, &cutting)?)?;
    }

    #[test]
    fn an_ordinary_draft_is_cut_with_the_given_allowances(
        request in ordinary_requests(), press in prop_oneof![Just(Press::Centre), Just(Press::Side)],
    ) {
        let pattern = pattern_or_reject(&request, &Cutting { press, ..Cutting::default() })?;
        prop_assert_eq!(pattern.cut_allowances, pattern.cutting().allowances);
        prop_assert_eq!(pattern.back.straight_folds + pattern.front.straight_folds, 0);
        check_cut_line(&pattern)?;
    }

    // Half of 0.6 cm is exactly the shortest notch, so that the direction of the notch must not depend on rounding.
    #[test]
    fn notches_lead_inwards_where_the_allowance_is_just_wide_enough(request in ordinary_requests()) {
        let allowances = Allowances { waist: 0.6, side: 0.6, hem: 0.6, centre_back: 0.6 };
        let pattern = pattern_or_reject(&request, &Cutting { allowances, ..Cutting::default() })?;
        prop_assert_eq!(pattern.cut_allowances, allowances);
        for notch in pattern.pieces().into_iter().flat_map(|piece| &piece.notches) {
            let [start, end] = notch.cuts[0].map(|point| (point - notch.seam).norm());
            prop_assert!(end < start, "{:?}: the notch leads outwards", notch.place);
        }
    }

    #[test]
    fn the_usual_opening_fits_any_skirt(request in requests(Unit::Cm)) {
        let pattern = pattern_or_reject(&request, &Cutting::default())?;
        prop_assert!(pattern.opening() <= 20.0 && pattern.opening() <= pattern.back.panel.edge_length(Role::Centre));
    }

    #[test]
    fn notches_match_in_pairs_and_start_on_the_cut_line(request in requests(Unit::Cm), cutting in cuttings()) {
        let pattern = pattern_or_reject(&request, &cutting)?;
        for place in [NotchPlace::HipLine, NotchPlace::LowerSide] {
            let [back, front] = pattern.pieces().map(|piece| notch_distances(piece, place));
            prop_assert_eq!(back.len(), front.len());
            for (back, front) in back.iter().zip(front) {
                prop_assert!((back - front).abs() <= 1e-12 * back, "{place:?} at {back} and {front}");
            }
        }
        for piece in pattern.pieces() {
            // The second cut of a hip notch stays close to the first, even on a short skirt.
            for notch in piece.notches.iter().filter(|notch| notch.place == NotchPlace::HipLine && notch.cuts.len() == 2) {
                let below = piece.panel.edge_length(Role::Side) - notch.along;
                let apart = (notch.cuts[1][0] - notch.cuts[0][0]).norm();
                prop_assert!(apart <= below / 4.0 + 1e-9 && apart <= 0.6 + 1e-9, "cuts {apart} apart, {below} above the hem");
            }
            let legs = notch_distances(piece, NotchPlace::DartLeg);
            prop_assert_eq!(legs.len(), 2 * piece.panel.darts.len());
            prop_assert!(legs.chunks(2).all(|pair| pair[0].to_bits() == pair[1].to_bits()));
            let lines: Vec<_> = piece.cut.iter().map(|edge| polyline(&edge.path)).collect();
            for (notch, cut) in piece.notches.iter().flat_map(|notch| notch.cuts.iter().map(move |cut| (notch, cut))) {
                let direction = cut[1] - cut[0];
                prop_assert!((0.3 - 1e-9..=0.6 + 1e-9).contains(&direction.norm()), "a notch is {} long", direction.norm());
                let outwards = match notch.place {
                    NotchPlace::HipLine | NotchPlace::LowerSide => direction.x,
                    NotchPlace::OpeningEnd => -direction.x,
                    _ => -direction.y,
                };
                // Without an allowance the notch is a mark outside the piece.
                let no_allowance = (notch.seam - notch.cuts[0][0]).norm() < 1e-9;
                prop_assert!(!no_allowance || outwards > 0.29, "{:?}: the mark leads {outwards} outwards", notch.place);
                let distance = distance_to_lines(cut[0], &lines);
                prop_assert!(distance <= CUT_TOLERANCE, "a notch starts {distance} off the cut line");
                let seams: Vec<_> = piece.panel.edges.iter().map(|edge| polyline(&edge.path)).collect();
                let [start, end] = cut.map(|point| distance_to_lines(point, &seams));
                // A mark outside leads away from its seam line; at a sharp bend another stretch of seam may be near.
                prop_assert!(end >= 0.29 || end > start, "a notch ends {end} from the seam line, at {}", cut[1]);
            }
        }
    }
}

#[test]
fn an_opening_is_at_most_as_long_as_its_seam() {
    let draft = sample_draft(40.0);
    let seam = draft.back.edge_length(Role::Centre);
    let cut = |length: f64| draft.pattern(&Cutting { opening: Opening::Given(length), ..Cutting::default() });
    assert_eq!(cut(seam).unwrap().opening().to_bits(), seam.to_bits());
    assert_eq!(cut(seam + 1e-6).unwrap_err()[0].code, Code::OpeningTooLong);
}

/// A given opening equal to the usual one gives the same cut; another opening, name or press does not.
#[test]
fn patterns_are_cut_alike_if_all_lengths_and_labels_are_equal() {
    let draft = sample_draft(60.0);
    let usual = Cutting::default();
    let pattern = |cutting: &Cutting| draft.pattern(cutting).unwrap();
    let given = Cutting { opening: Opening::Given(pattern(&usual).opening()), ..usual.clone() };
    assert!(pattern(&usual).is_equal_as_cut(&pattern(&given)) && pattern(&usual) != pattern(&given));
    let shorter = Cutting { opening: Opening::Given(15.0), ..usual.clone() };
    let named = Cutting { name: "Ann".to_owned(), ..usual.clone() };
    let pressed = Cutting { press: Press::Side, ..usual.clone() };
    for other in [shorter, named, pressed] {
        assert!(!pattern(&usual).is_equal_as_cut(&pattern(&other)), "{other:?}");
    }
}

#[test]
fn notes_stand_below_the_title_and_return_with_the_request() {
    let notes = vec!["Order 17".to_owned(), "m".repeat(200)];
    let cutting = Cutting { notes: notes.clone(), ..Cutting::default() };
    let pattern = sample_draft(60.0).pattern(&cutting).unwrap();
    assert_eq!(draw_pattern(&pattern, Unit::Cm).notes[..2], notes);
    let request = Request::from_json(&Request::from_pattern(&pattern, Unit::In).to_json()).unwrap();
    assert_eq!(request.cutting.unwrap().notes, notes);
    let wrong = Cutting { notes: vec!["m".repeat(201); 11], ..Cutting::default() };
    let problems = sample_draft(60.0).pattern(&wrong).unwrap_err();
    assert_eq!(problems[0].to_string(), "cutting.notes: 11 notes are given, at most 10 notes allowed");
    assert_eq!(problems[1].to_string(), "cutting.notes[0]: 201 letters are given, at most 200 letters allowed");
    let request = Request::from_pattern(&pattern, Unit::In).to_json();
    let request = request.replace(r#""name":"""#, r#""name":7"#).replace(r#"["Order 17""#, r#"[1,2,"a\tb""#);
    let problems = Request::from_json(&request).unwrap_err();
    let fields: Vec<_> = problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["cutting.name", "cutting.notes[0]", "cutting.notes[1]", "cutting.notes[2]"]);
}

#[test]
fn all_wrong_cutting_values_are_refused_at_once() {
    let draft = sample_draft(60.0);
    let allowances = Allowances { waist: 5.5, side: -1.0, hem: 4.0, centre_back: 2.0 };
    let (opening, name) = (Opening::Given(4.0), "a\nb".to_owned());
    let cutting = Cutting { allowances, opening, name, press: Press::Side, ..Cutting::default() };
    let problems = draft.pattern(&cutting).unwrap_err();
    let fields: Vec<_> = problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["cutting.allowances.waist", "cutting.allowances.side", "cutting.opening", "cutting.name"]);
}

/// JSON omits the usual opening, so that the opening can differ for another body.
#[test]
fn the_usual_opening_is_not_written() {
    let opening =
        |opening| serde_json::to_value(Cutting { opening, ..Cutting::default() }).unwrap().get("opening").cloned();
    assert_eq!(opening(Opening::Usual(20.0)), None);
    assert_eq!(opening(Opening::Given(20.0)), Some(serde_json::json!(20.0)));
}

#[test]
fn letters_of_a_name_missing_in_the_pdf_font_are_counted() {
    let draft = sample_draft(60.0);
    let pattern = |name: &str| draft.pattern(&Cutting { name: name.to_owned(), ..Cutting::default() }).unwrap();
    let missing_letters = |name: &str| -> Vec<f64> {
        let findings = pattern(name).findings();
        findings.iter().filter(|finding| finding.code == "name_not_printed").map(|finding| finding.measured).collect()
    };
    assert_eq!(missing_letters("Ann, Ζωή & Вера ½"), [0.0; 0]);
    assert_eq!(missing_letters("春 and 秋"), [2.0]);
    // The finding names exactly the letters that have no glyph in the embedded font.
    let font = std::fs::read("src/files/font/letters.ttf").unwrap();
    let face = ttf_parser::Face::parse(&font, 0).unwrap();
    let letters = (0x20..0x2300).filter_map(char::from_u32).filter(|letter| !letter.is_control());
    let letters = letters.filter(|letter| !matches!(letter, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}'));
    for letter in letters.chain(['漢']) {
        let missing = missing_letters(&format!("A{letter}")).len();
        assert_eq!(missing, usize::from(face.glyph_index(letter).is_none()), "{letter:?}");
    }
    // A name of invisible letters counts as no name.
    assert_eq!(missing_letters(" \u{200b}\u{2060}\u{feff} "), [0.0; 0]);
    let labels = ["", " \u{200b} ", "Ann"].map(|name| pattern(name).label(Unit::Cm));
    assert!(labels[0] == labels[1] && labels[2] == "Ann", "{labels:?}");
}
