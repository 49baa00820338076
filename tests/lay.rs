//! Laws of the lay, over all valid drafts, allowances and cloths; values from handbooks.

// Tests may panic: a panic fails the test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod pieces;

use bodies::{cases, cuttings, ordinary_requests, pattern_or_reject, requests};
use kirtle::pattern::{Cloth, Lay};
use kirtle::{Body, Code, Cutting, Ease, Pattern, Preset, Rules, Unit};
use pieces::{check_lay, cloths, polyline};
use proptest::prelude::*;

fn lay_or_reject(pattern: &Pattern, cloth: Cloth) -> Result<Lay, TestCaseError> {
    pattern.lay(&cloth).map_err(|_| TestCaseError::reject("too narrow"))
}

proptest! {
    #![proptest_config(cases(3_000))]

    #[test]
    fn pieces_lie_on_the_cloth_and_not_on_each_other(
        request in requests(Unit::Cm), cutting in cuttings(), cloth in cloths(),
    ) {
        let pattern = pattern_or_reject(&request, &cutting)?;
        check_lay(&lay_or_reject(&pattern, cloth)?)?;
    }

    #[test]
    fn a_second_direction_or_a_wider_cloth_never_takes_more_length(request in ordinary_requests(), cloth in cloths()) {
        let pattern = pattern_or_reject(&request, &Cutting::default())?;
        let lay = lay_or_reject(&pattern, cloth)?;
        let one_way = lay_or_reject(&pattern, Cloth { one_way: true, ..cloth })?;
        prop_assert!(lay.length <= one_way.length + 1e-9);
        let wider = lay_or_reject(&pattern, Cloth { width: cloth.width + 10.0, ..cloth })?;
        prop_assert!(wider.length <= lay.length + 0.5, "{}, on the wider cloth {}", lay.length, wider.length);
    }

    #[test]
    fn the_minimum_width_in_the_error_is_just_enough(request in requests(Unit::Cm), folded in any::<bool>()) {
        let pattern = pattern_or_reject(&request, &Cutting::default())?;
        if let Err(problems) = pattern.lay(&Cloth { width: 40.0, folded, one_way: false }) {
            prop_assert_eq!(problems[0].code, Code::ClothTooNarrow);
            let Some(kirtle::error::GivenValue::Number(min)) = problems[0].limit else { panic!("no minimum") };
            let fits = |width| pattern.lay(&Cloth { width, folded, one_way: false }).is_ok();
            prop_assert!(fits(min) && !fits(min - 0.11));
        }
    }
}

fn sample_pattern(length: f64, preset: Preset, unit: Unit) -> Pattern {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    draft.pattern(&Cutting::preset(preset, unit)).unwrap()
}

/// Published: a skirt 60 cm long takes about 70 cm of cloth 140 cm wide. Common practice: a trial garment of narrow
/// cloth takes 1 to 1½ yards.
#[test]
fn the_cloth_to_buy_is_that_of_handbooks() {
    let wide = Cloth { width: 140.0, folded: true, one_way: true };
    let lay = sample_pattern(60.0, Preset::Garment, Unit::Cm).lay(&wide).unwrap();
    assert!((lay.to_buy_cm() - 70.0).abs() < 1e-9, "{}", lay.to_buy_cm());
    for inches in [36.0, 45.0] {
        let narrow = Cloth { width: inches * 2.54, folded: true, one_way: false };
        let lay = sample_pattern(58.0, Preset::Trial, Unit::In).lay(&narrow).unwrap();
        assert!((1.0..=1.5).contains(&lay.to_buy_yd()), "{inches} in: {}", lay.to_buy_yd());
    }
}

#[test]
fn the_length_to_buy_is_rounded_up_to_the_steps_of_shops() {
    let cloth = Cloth { width: 140.0, folded: true, one_way: true };
    let lay = sample_pattern(60.0, Preset::Garment, Unit::Cm).lay(&cloth).unwrap();
    let to_buy = |length| Lay { length, ..lay.clone() }.to_buy_cm();
    // An excess of 1e-12 cm is rounding and buys no further step.
    let lengths_to_buy = [69.9, 70.0, 70.0 + 1e-12, 70.001].map(|length| format!("{}", to_buy(length)));
    assert_eq!(lengths_to_buy, ["70", "70", "70", "80"]);
    assert_eq!(Lay { length: 1.5 * 91.44, ..lay }.to_buy_yd().to_bits(), 1.5_f64.to_bits());
}

/// The narrowest cloth on which all pieces lie in one row is found by bisection.
#[test]
fn pieces_in_one_row_leave_only_room_for_shears() {
    let pattern = sample_pattern(60.0, Preset::Trial, Unit::Cm);
    let lay = |width, folded| pattern.lay(&Cloth { width, folded, one_way: true }).unwrap();
    for (folded, gaps) in [(true, 1.0), (false, 2.0)] {
        let in_a_row = lay(300.0, folded);
        let needs_rows = |width| lay(width, folded).length > in_a_row.length + 1.0;
        let (mut narrow, mut wide) = (60.0, 300.0);
        assert!(needs_rows(narrow));
        while wide - narrow > 0.001 {
            let width = f64::midpoint(narrow, wide);
            *(if needs_rows(width) { &mut narrow } else { &mut wide }) = width;
        }
        let width_of = |placed: &kirtle::pattern::PlacedPiece| {
            let points = placed.outline.iter().flat_map(polyline).map(|point| point.x);
            let (min, max) = points.fold((f64::INFINITY, 0.0_f64), |(min, max), x| (min.min(x), max.max(x)));
            max - min
        };
        let piece_widths = in_a_row.placed.iter().map(width_of).sum::<f64>();
        let room = if folded { wide / 2.0 } else { wide } - piece_widths;
        assert!(room >= 0.5 * gaps - 0.01 && room <= 0.8 * gaps + 0.01, "{room} cm for {gaps} gaps");
    }
}
