//! Laws of the lay, over all valid drafts, allowances and cloths, and what handbooks say of it.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod pieces;

use bodies::{cases, cut, cuttings, ordinary, requests};
use kirtle::pattern::{Cloth, Lay};
use kirtle::{Body, Code, Cutting, Ease, Pattern, Preset, Rules, Unit};
use pieces::{cloths, fine, lies_right};
use proptest::prelude::*;

fn laid(pattern: &Pattern, cloth: Cloth) -> Result<Lay, TestCaseError> {
    pattern.lay(&cloth).map_err(|_| TestCaseError::reject("too narrow"))
}

proptest! {
    #![proptest_config(cases(3_000))]

    #[test]
    fn pieces_lie_on_the_cloth_and_not_on_each_other(
        request in requests(Unit::Cm), cutting in cuttings(), cloth in cloths(),
    ) {
        let pattern = cut(&request, &cutting)?;
        lies_right(&laid(&pattern, cloth)?)?;
    }

    #[test]
    fn freedom_never_takes_more_cloth(request in ordinary(), cloth in cloths()) {
        let pattern = cut(&request, &Cutting::default())?;
        let lay = laid(&pattern, cloth)?;
        let bound = laid(&pattern, Cloth { one_way: true, ..cloth })?;
        prop_assert!(lay.length <= bound.length + 1e-9);
        let wider = laid(&pattern, Cloth { width: cloth.width + 10.0, ..cloth })?;
        prop_assert!(wider.length <= lay.length + 0.5, "{} on wider, {}", wider.length, lay.length);
    }

    #[test]
    fn the_least_width_that_is_named_is_enough(request in requests(Unit::Cm), folded in any::<bool>()) {
        let pattern = cut(&request, &Cutting::default())?;
        if let Err(problems) = pattern.lay(&Cloth { width: 40.0, folded, one_way: false }) {
            prop_assert_eq!(problems[0].code, Code::ClothTooNarrow);
            let Some(kirtle::error::GivenValue::Number(min)) = problems[0].limit else { panic!("no least") };
            let fits = |width| pattern.lay(&Cloth { width, folded, one_way: false }).is_ok();
            prop_assert!(fits(min) && !fits(min - 0.11));
        }
    }
}

fn pattern(length: f64, preset: Preset, unit: Unit) -> Pattern {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    draft.pattern(&Cutting::preset(preset, unit)).unwrap()
}

/// Published: a skirt 60 cm long takes about 70 cm of cloth 140 cm wide. Common practice: 1 to 1½ yards for a trial garment of
/// narrow cloth.
#[test]
fn cloth_to_buy_is_what_handbooks_say() {
    let wide = Cloth { width: 140.0, folded: true, one_way: true };
    let lay = pattern(60.0, Preset::Garment, Unit::Cm).lay(&wide).unwrap();
    assert!((lay.to_buy_cm() - 70.0).abs() < 1e-9, "{}", lay.to_buy_cm());
    for inches in [36.0, 45.0] {
        let narrow = Cloth { width: inches * 2.54, folded: true, one_way: false };
        let lay = pattern(58.0, Preset::Trial, Unit::In).lay(&narrow).unwrap();
        assert!((1.0..=1.5).contains(&lay.to_buy_yd()), "{inches} in: {}", lay.to_buy_yd());
    }
}

#[test]
fn cloth_is_sold_by_steps_that_hold_the_length() {
    let cloth = Cloth { width: 140.0, folded: true, one_way: true };
    let lay = pattern(60.0, Preset::Garment, Unit::Cm).lay(&cloth).unwrap();
    let to_buy = |length| Lay { length, ..lay.clone() }.to_buy_cm();
    // What is over by rounding only does not count.
    let bought = [69.9, 70.0, 70.0 + 1e-12, 70.001].map(|length| format!("{}", to_buy(length)));
    assert_eq!(bought, ["70", "70", "70", "80"]);
    assert_eq!(Lay { length: 1.5 * 91.44, ..lay }.to_buy_yd().to_bits(), 1.5_f64.to_bits());
}

/// As soon as the cloth is as wide as the pieces, with room for the shears between them, they lie in one row.
#[test]
fn pieces_lie_beside_each_other_as_near_as_shears_allow() {
    let pattern = pattern(60.0, Preset::Trial, Unit::Cm);
    let lay = |width, folded| pattern.lay(&Cloth { width, folded, one_way: true }).unwrap();
    for (folded, gaps) in [(true, 1.0), (false, 2.0)] {
        let in_a_row = lay(300.0, folded);
        let rows = |width| lay(width, folded).length > in_a_row.length + 1.0;
        let (mut narrow, mut wide) = (60.0, 300.0);
        assert!(rows(narrow));
        while wide - narrow > 0.001 {
            let width = f64::midpoint(narrow, wide);
            *(if rows(width) { &mut narrow } else { &mut wide }) = width;
        }
        let across = |placed: &kirtle::pattern::Placed| {
            let points = placed.outline.iter().flat_map(fine).map(|point| point.x);
            let (min, max) = points.fold((f64::INFINITY, 0.0_f64), |(min, max), x| (min.min(x), max.max(x)));
            max - min
        };
        let cloth = in_a_row.placed.iter().map(across).sum::<f64>();
        let room = if folded { wide / 2.0 } else { wide } - cloth;
        assert!(room >= 0.5 * gaps - 0.01 && room <= 0.8 * gaps + 0.01, "{room} for {gaps} gaps");
    }
}
