//! Any `f64` in every argument of the Rust functions: a result or an error, never a panic.

use std::panic::{AssertUnwindSafe, catch_unwind};

use kirtle::batch::{Bodies, Column, Threads};
use kirtle::drawing::Paper;
use kirtle::ease_profile::BodyProfile;
use kirtle::files::SvgScale;
use kirtle::pattern::{Cloth, WaistFinish, WaistFinishKind, WaistFinishLengths};
use kirtle::sensitivity::{SeekTarget, StandardErrors};
use kirtle::size_search::{
    DifferenceBounds, Loss, SearchSettings, SizeConstraints, SizeSteps, best_chart, best_chart_fixed_drop,
    best_chart_fixed_steps, best_sizes,
};
use kirtle::sizes::{AlterationLimits, ChoiceRule, Correction, CorrectionTarget};
use kirtle::survey::{EaseBounds, HighHipColumns, NormalDistribution, PeopleColumns, Population, fit_chart};
use kirtle::{
    Allowances, Apportionment, Body, Cutting, DartPosition, Darts, Ease, Figure, GivenDart, Half, Opening, PanelRules,
    Rules, Shares, Size, SizeChart, Texts, Unit,
};
use proptest::test_runner::{Config, TestRunner};

const BODY: Body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Numbers that are rarely or never valid measurements.
const ODD_NUMBERS: [f64; 16] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::MAX,
    f64::MIN,
    f64::MIN_POSITIVE,
    5e-324,
    -0.0,
    0.0,
    1.0,
    -1.0,
    1e-9,
    1e9,
    0.5,
    4_294_967_296.0,
    9.007_199_254_740_993e15,
];

/// Runs every call with each odd number, and returns the names of the calls that panic.
pub(crate) fn find_panics(calls: &[(&str, &dyn Fn(f64))]) -> Vec<String> {
    let mut panics = Vec::new();
    for (name, call) in calls {
        for odd in ODD_NUMBERS {
            if catch_unwind(AssertUnwindSafe(|| call(odd))).is_err() {
                panics.push(format!("{name} of {odd:?}"));
            }
        }
    }
    panics
}

fn draft() -> kirtle::Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

#[test]
fn a_draft_and_its_analyses_never_panic() {
    let draft = draft();
    let target = |name: &'static str, x, level| SeekTarget::from_name(name, x, level);
    let panics = find_panics(&[
        ("waist", &|x| drop(kirtle::draft(&Body { waist: x, ..BODY }, &EASE, &Rules::default()))),
        ("hip", &|x| drop(kirtle::draft(&Body { hip: x, ..BODY }, &EASE, &Rules::default()))),
        ("depth", &|x| drop(kirtle::draft(&Body { hip_depth: x, ..BODY }, &EASE, &Rules::default()))),
        ("all", &|x| drop(kirtle::draft(&BODY.map(|_| x), &EASE.map(|_| x), &Rules::default()))),
        ("panel rules", &|x| {
            let panel_rules = PanelRules { balance: x, centre_back_lower: x, ..PanelRules::default() };
            drop(kirtle::draft(&BODY, &EASE, &Rules { panel_rules, ..Rules::default() }));
        }),
        ("shares", &|x| {
            let shares = Shares { back_share: x, back_largest_dart: x, smallest_dart: x, ..Shares::default() };
            drop(kirtle::draft(
                &BODY,
                &EASE,
                &Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() },
            ));
        }),
        ("darts", &|x| {
            let dart = GivenDart { intake: x, length: x, place: DartPosition::Centre(x) };
            let darts = Darts { back: vec![dart; 9], front: vec![dart] };
            drop(kirtle::draft(
                &BODY,
                &EASE,
                &Rules { apportionment: Apportionment::Darts(darts), ..Rules::default() },
            ));
        }),
        ("girth_at", &|x| drop(draft.girth_at(x))),
        ("ease", &|x| drop(draft.ease_by_level(&BodyProfile::HighHip { girth: x, depth: x }, Some(x), Unit::In))),
        ("profile", &|x| drop(BodyProfile::from_high_hip(Some(x), Some(x), Unit::Cm))),
        ("seek", &|x| {
            drop(target("back.width", x, None).map(|target| draft.seek("ease.hip", &target, None, Unit::Cm)));
        }),
        ("level", &|x| {
            drop(target("girth", 100.0, Some(x)).map(|target| draft.seek("body.hip", &target, None, Unit::In)));
        }),
        ("dart count", &|x| {
            drop(target("back.darts", x, None).map(|target| draft.seek("ease.waist", &target, None, Unit::Cm)));
        }),
        ("between", &|x| drop(draft.seek("ease.hip", &SeekTarget::Darts(Half::Back, 1), Some((x, 60.0)), Unit::Cm))),
        ("one value", &|x| drop(draft.seek("ease.hip", &SeekTarget::Darts(Half::Front, 1), Some((x, x)), Unit::Cm))),
        ("errors", &|x| {
            drop(StandardErrors::independent(&[("body.waist", x)]).map(|errors| draft.uncertainty(&errors, Unit::In)));
        }),
        ("covariance", &|x| {
            drop(StandardErrors::with_covariance(&["body.waist", "body.hip"], &[vec![1.0, x], vec![x, 1.0]]));
        }),
        ("ragged", &|x| drop(StandardErrors::with_covariance(&["body.waist", "body.hip"], &[vec![x], vec![]]))),
        ("growth", &|x| drop(kirtle::sensitivity::ErrorEllipse::semi_axis_factor_for_probability(x))),
    ]);
    assert!(panics.is_empty(), "{panics:#?}");
}

#[test]
fn cutting_printing_laying_and_sizing_never_panic() {
    let pattern = draft().pattern(&Cutting::default()).unwrap();
    let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
    let chart = SizeChart::demo();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let size = |name: &str, x: f64| Size { name: name.to_owned(), body: Body { waist: x, hip: x + 1.0, ..BODY } };
    let panics = find_panics(&[
        ("allowances", &|x| {
            let all = Allowances { waist: x, side: x, hem: x, centre_back: x };
            drop(draft().pattern(&Cutting { allowances: all, opening: Opening::Given(x), ..Cutting::default() }));
        }),
        ("usual opening", &|x| drop(draft().pattern(&Cutting { opening: Opening::Usual(x), ..Cutting::default() }))),
        ("waist finish", &|x| {
            let lengths = WaistFinishLengths { waistband_width: x, underlap: x, facing_depth: x };
            for kind in WaistFinishKind::ALL {
                drop(draft().pattern(&Cutting { finish: Some(WaistFinish { kind, lengths }), ..Cutting::default() }));
            }
        }),
        ("cloth", &|x| drop(pattern.lay(&Cloth { width: x, folded: true, one_way: false, selvedge: 1.0 }))),
        ("margin", &|x| {
            drop(kirtle::drawing::paginate(&drawing, &Paper { margin_mm: x, ..Paper::named("A4").unwrap() }));
        }),
        ("overlap", &|x| {
            drop(kirtle::drawing::paginate(&drawing, &Paper { overlap_mm: x, ..Paper::named("A4").unwrap() }));
        }),
        ("paper", &|x| {
            drop(kirtle::drawing::paginate(&drawing, &Paper { size_mm: [x, 297.0], ..Paper::named("A4").unwrap() }));
        }),
        ("paper across", &|x| {
            drop(kirtle::drawing::paginate(&drawing, &Paper { size_mm: [210.0, x], ..Paper::named("A4").unwrap() }));
        }),
        ("sizes", &|x| drop(SizeChart::new(vec![size("a", x), size("b", 72.0), size("c", -x)]))),
        ("choose", &|x| {
            drop(chart.choose(&Body { waist: x, hip: x, ..BODY }, &ChoiceRule::default()).advice(None, Unit::In));
        }),
        ("locate", &|x| drop(chart.blend_for_body(&BODY.map(|_| x)))),
        ("alter", &|x| {
            let (limits, texts) = (Some(AlterationLimits { tolerance_mm: x, min_step_mm: x }), Texts::default());
            drop(range.alter(&BODY.map(|_| x), limits).map(|altered| altered.instructions(Unit::Cm)));
            let altered = range.alter(&Body { hip: 97.0, ..BODY }, limits);
            drop(altered.map(|altered| {
                (altered.sewing_verdict(&texts), altered.difference_verdict(&texts), altered.left_out(Unit::In))
            }));
        }),
        ("correct", &|x| {
            for what in CorrectionTarget::ALL {
                let one = Correction { what, by: x, at: kirtle::sizes::CorrectionSite::default() };
                drop(kirtle::sizes::Fitting::new(draft()).correct(&[one; 25]));
            }
        }),
    ]);
    assert!(panics.is_empty(), "{panics:#?}");
}

/// Returns forty girths, a third of which are `x`.
fn with(x: f64) -> Vec<f64> {
    (0..40).map(|k| if k % 3 == 0 { x } else { 60.0 + f64::from(k) }).collect()
}

#[test]
fn surveys_never_panic() {
    let (waist, hip) = (vec![70.0; 40], vec![96.0; 40]);
    let fit = |waist: &[f64], hip: &[f64], bounds: &EaseBounds, high_hip: Option<HighHipColumns<'_>>| {
        let people = PeopleColumns { waist, hip, high_hip, ..PeopleColumns::default() };
        let found = fit_chart(&SizeChart::demo(), &EASE, &Rules::default(), bounds, &people);
        drop(found.map(|fit| (fit.worst(99), fit.regions(&people, 2.0))));
    };
    let bounds = EaseBounds::from_ease_and_tolerance(&EASE, 2.0);
    let panics = find_panics(&[
        ("people", &|x| fit(&with(x), &hip, &bounds, None)),
        ("columns of different lengths", &|x| fit(&waist[..if x > 0.0 { 3 } else { 0 }], &hip, &bounds, None)),
        ("high hips", &|x| {
            let (girth, depth) = (with(x), [x; 40]);
            let bounds = EaseBounds { high_hip: Some((x, x)), ..bounds };
            fit(&waist, &hip, &bounds, Some(HighHipColumns { girth: &girth, depth: &depth }));
        }),
        ("few high hips", &|x| {
            let (girth, depth) = (with(90.0), [x; 39]);
            fit(&waist, &hip, &bounds, Some(HighHipColumns { girth: &girth, depth: &depth }));
        }),
        ("depths", &|x| {
            let (girth, depth) = (with(90.0), [x; 40]);
            let bounds = EaseBounds { high_hip: Some((0.0, 9.0)), ..bounds };
            fit(&waist, &hip, &bounds, Some(HighHipColumns { girth: &girth, depth: &depth }));
        }),
        ("bounds", &|x| fit(&waist, &hip, &EaseBounds { waist: (x, -x), hip: (-x, x), high_hip: None }, None)),
        ("bounds from names", &|x| {
            drop(EaseBounds::from_named_bounds(
                &EASE,
                Some(x),
                &[("hip".to_owned(), (x, 1.0)), ("knee".to_owned(), (x, x))],
            ));
        }),
        ("population", &|x| {
            let women = Population::ansur_women();
            let normal = NormalDistribution { mean: x, deviation: x };
            drop(Population { waist: normal, correlation: x, ..women }.bodies(1, 0..50));
            drop(women.bodies(u64::MAX, u64::MAX - 3..u64::MAX));
        }),
    ]);
    assert!(panics.is_empty(), "{panics:#?}");
}

#[test]
fn searches_of_sizes_never_panic() {
    let (waist, hip) = (vec![70.0; 40], vec![96.0; 40]);
    let settings = SearchSettings { restarts: 2, ..SearchSettings::default() };
    let drop_chart = |waist: &[f64]| best_chart_fixed_drop(waist, &hip, None, 25.0, 3, &Loss::Within(1.0));
    let search = |sizes, loss: &_, settings: &_| best_chart(&with(70.0), &hip, None, sizes, loss, settings);
    let constrained =
        |constraints, loss: &_| drop(search(3, loss, &SearchSettings { constraints, ..settings.clone() }));
    let none = SizeConstraints::default;
    let panics = find_panics(&[
        ("best sizes", &|x| drop(best_sizes(&with(x), None, 3, &Loss::Squared))),
        ("weights", &|x| drop(best_sizes(&waist, Some(&with(x)), 3, &Loss::Absolute))),
        ("few weights", &|x| drop(best_sizes(&waist, Some(&[x]), 3, &Loss::Absolute))),
        ("within", &|x| drop(best_sizes(&with(70.0), None, 3, &Loss::Within(x)))),
        ("best chart", &|x| drop(best_chart(&with(x), &hip, None, 3, &Loss::Absolute, &settings))),
        ("one waist", &|x| drop(best_chart(&[x], &hip, None, 3, &Loss::Absolute, &settings))),
        ("no people", &|_| drop(best_chart(&[], &[], None, 0, &Loss::Squared, &settings))),
        ("step", &|x| drop(search(2, &Loss::Squared, &SearchSettings { step: x, ..settings.clone() }))),
        ("grid", &|x| constrained(SizeConstraints { grid: Some(x), ..none() }, &Loss::Within(2.0))),
        ("fixed", &|x| constrained(SizeConstraints { fixed: vec![(x, 96.0)], ..none() }, &Loss::Squared)),
        ("bounds of differences", &|x| {
            let bounds = DifferenceBounds { waist: (-x, x), hip: (x, 2.0) };
            constrained(SizeConstraints { grid: Some(2.0), ..none() }, &Loss::WithinBounds(bounds));
        }),
        ("best chart within", &|x| drop(search(2, &Loss::Within(x), &settings))),
        ("fixed steps", &|x| {
            let steps = SizeSteps { waist: x, hip: 4.0 };
            drop(best_chart_fixed_steps(&with(70.0), &hip, None, steps, 3, &Loss::Squared, &settings));
        }),
        ("fixed drop", &|x| drop(best_chart_fixed_drop(&with(70.0), &hip, None, x, 3, &Loss::Squared))),
        ("people with a fixed drop", &|x| drop(drop_chart(&with(x)))),
    ]);
    assert!(panics.is_empty(), "{panics:#?}");
}

#[test]
fn every_row_of_a_table_of_odd_numbers_is_drafted_or_refused() {
    let column: Vec<f64> = ODD_NUMBERS.iter().cycle().take(2500).copied().collect();
    let nullable: Vec<Option<f64>> = column.iter().map(|x| x.is_finite().then_some(*x)).collect();
    for field in 0..4 {
        let mut body = BODY.map(Column::Constant).into_array();
        body[field] = Column::Values(&column);
        body[(field + 1) % 4] = Column::Nullable(&nullable);
        let bodies = Bodies {
            body: Body::from_array(body),
            figure: Figure::default(),
            ease: Ease { waist: Column::Values(&column), hip: Column::Nullable(&nullable) },
            rules: Column::constant_rules(&Rules::default()),
            unit: Unit::Cm,
        };
        let table = bodies.draft_outlines(&Threads::new(Some(2)).unwrap()).unwrap();
        assert_eq!(table.rows(), 2500);
        assert!((0..2500).all(|row| table.problems(row).is_some() == table.darts(row).is_none()));
    }
}

/// Drafts over the whole valid range are drawn, printed and laid without a panic.
#[test]
fn valid_drafts_are_written_in_every_format() {
    let whole_range = |field: &kirtle::field::Field| field.range.0..=field.range.1;
    let [waist, hip, depth, length] = Body::FIELDS.each_ref().map(whole_range);
    let [waist_ease, hip_ease] = Ease::FIELDS.each_ref().map(whole_range);
    let mut runner = TestRunner::new_with_rng(
        Config { cases: 400, ..Config::default() },
        proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    );
    let numbers =
        (waist, hip, depth, length, waist_ease, hip_ease, 0.0..5.0, 0.0..10.0, 100.0..2000.0_f64, 0.0..50.0_f64);
    let patterns = std::cell::Cell::new(0);
    runner
        .run(&numbers, |(waist, hip, hip_depth, length, waist_ease, hip_ease, side, hem, sheet, margin)| {
            let (body, ease) = (Body { waist, hip, hip_depth, length }, Ease { waist: waist_ease, hip: hip_ease });
            let Ok(draft) = kirtle::draft(&body, &ease, &Rules::default()) else { return Ok(()) };
            let allowances = Allowances { waist: side, side, hem, centre_back: side };
            let Ok(pattern) = draft.pattern(&Cutting { allowances, ..Cutting::default() }) else { return Ok(()) };
            patterns.set(patterns.get() + 1);
            let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::In);
            let paper = Paper { size_mm: [sheet, sheet * 1.3], margin_mm: margin, ..Paper::named("A4").unwrap() };
            drop((
                kirtle::files::svg(&drawing, SvgScale::True),
                kirtle::files::dxf(&drawing),
                kirtle::drawing::paginate(&drawing, &paper),
            ));
            drop(pattern.lay(&Cloth { width: 400.0, folded: false, one_way: side > 2.5, selvedge: 1.0 }));
            drop((
                draft.proof(),
                draft.findings(),
                pattern.findings(),
                draft.ease_by_level(&BodyProfile::NaturalSpline, None, Unit::Cm),
            ));
            Ok(())
        })
        .unwrap();
    assert!(patterns.get() >= 50, "only {} patterns", patterns.get());
}
