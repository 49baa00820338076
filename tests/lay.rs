//! Laws of the lay, over all valid drafts, allowances and cloths, and what handbooks say of it.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod lines;

use bodies::{cases, cut, cuttings, ordinary, requests};
use kirtle::{Body, Cloth, Code, Cutting, Ease, Half, Lay, Pattern, Placed, Point, Preset, Rules, Unit};
use lines::{closed, cross, fine};
use proptest::prelude::*;

/// What a place may be off, in centimetres, as outlines are followed by chords.
const OFF: f64 = 0.01;

fn cloths() -> impl Strategy<Value = Cloth> {
    (40.0..400.0, any::<bool>(), any::<bool>()).prop_map(|(width, folded, one_way)| Cloth { width, folded, one_way })
}

fn ring(placed: &Placed) -> Vec<[Point; 2]> {
    let corners: Vec<Point> =
        placed.outline.iter().flat_map(|path| fine(path).into_iter().skip(1).step_by(3)).collect();
    closed(&corners)
}

/// Whether a point lies inside a ring: a ray to the right crosses it an odd number of times.
fn inside(point: Point, ring: &[[Point; 2]]) -> bool {
    let crossed = ring.iter().filter(|[a, b]| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

fn do_not_overlap(lay: &Lay) -> Result<(), TestCaseError> {
    let rings: Vec<_> = lay.placed.iter().map(ring).collect();
    for (k, a) in rings.iter().enumerate() {
        for b in &rings[k + 1..] {
            prop_assert!(!a.iter().any(|side| b.iter().any(|other| cross(side, other))));
            prop_assert!(!inside(a[0][0], b) && !inside(b[0][0], a));
        }
    }
    Ok(())
}

fn all_lie_on_the_cloth(lay: &Lay) -> Result<(), TestCaseError> {
    let width = if lay.cloth.folded { lay.cloth.width / 2.0 } else { lay.cloth.width };
    for placed in &lay.placed {
        for corner in placed.outline.iter().flat_map(fine) {
            prop_assert!((-OFF..=width + OFF).contains(&corner.x), "{corner} on {width}");
            prop_assert!((-OFF..=lay.length + OFF).contains(&corner.y), "{corner} on {}", lay.length);
        }
        let on_edge = placed.outline.iter().any(|path| path.start().x.abs() + path.end().x.abs() < 1e-9);
        prop_assert!(!placed.on_fold || on_edge);
        prop_assert!((placed.grain[0].x - placed.grain[1].x).abs() < 1e-9);
        prop_assert!(!(lay.cloth.one_way && placed.turned));
    }
    Ok(())
}

/// What is cut: the front once, and the back twice, the second time as its mirror image.
fn all_are_there(lay: &Lay) {
    let of = |half| lay.placed.iter().filter(move |placed| placed.half == half);
    assert_eq!(of(Half::Front).count(), 1);
    assert_eq!(of(Half::Front).all(|placed| placed.on_fold), lay.cloth.folded);
    let mirrored: Vec<bool> = of(Half::Back).map(|placed| placed.mirrored).collect();
    assert!(if lay.cloth.folded { mirrored.len() == 1 } else { mirrored.len() == 2 && mirrored[0] != mirrored[1] });
}

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
        let lay = laid(&pattern, cloth)?;
        do_not_overlap(&lay)?;
        all_lie_on_the_cloth(&lay)?;
        all_are_there(&lay);
        prop_assert!((0.0..1.0).contains(&lay.waste));
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
            let Some(kirtle::Given::Number(least)) = problems[0].limit else { panic!("no least") };
            let fits = |width| pattern.lay(&Cloth { width, folded, one_way: false }).is_ok();
            prop_assert!(fits(least) && !fits(least - 0.11));
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
