//! Proptest strategies for requests over the whole valid range, and the numbers that tests read from drafts.
//!
//! Every number is drawn within the range of its field, now and then at an end of the range.
#![allow(dead_code, reason = "each test file uses only some of the helpers")]

pub(crate) mod chart;
pub(crate) mod fitting;

use std::array;

use kirtle::document::Request;
use kirtle::field::{Field, FieldKind};
use kirtle::geometry::{Cubic, Vector};
use kirtle::scalar::Scalar;
use kirtle::{
    Allowances, Apportionment, Body, Cutting, DartPosition, Darts, Draft, Ease, Edge, Figure, GivenDart, Opening,
    Panel, PanelRules, Path, Pattern, Point, Press, Role, Rules, Shares, Unit,
};
#[cfg(feature = "sensitivity")]
use num_dual::{Dual2_64, DualSVec64};
use proptest::collection::SizeRange;
use proptest::prelude::*;
use proptest::strategy::Union;
use proptest::test_runner::{Config, RngSeed};

/// Default seed of the random cases; the variable `PROPTEST_RNG_SEED` sets another.
const SEED: u64 = 1;

/// Number of measurements in a request: those of the body, then those of the ease.
pub(crate) const MEASUREMENT_COUNT: usize = Body::FIELDS.len() + Ease::FIELDS.len();

/// Returns a proptest configuration with `cases` accepted cases; the variable `PROPTEST_CASES` sets another number.
///
/// The seed is fixed, so that every run draws the same cases and a failure can be repeated.
pub(crate) fn cases(cases: u32) -> Config {
    let environment = Config::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { environment.cases } else { cases };
    let rng_seed = if environment.rng_seed == RngSeed::Random { RngSeed::Fixed(SEED) } else { environment.rng_seed };
    Config { cases, rng_seed, failure_persistence: None, max_global_rejects: 100 * cases, ..environment }
}

/// Draws a number within the range of a field, now and then the minimum or the maximum.
fn number(field: Field, unit: Unit) -> impl Strategy<Value = f64> {
    let (min, max) = field.range(unit);
    Union::new_weighted(vec![(60, (min..=max).boxed()), (1, Just(min).boxed()), (1, Just(max).boxed())])
}

/// Draws one number for each field.
fn numbers<const N: usize>(fields: [Field; N], unit: Unit) -> impl Strategy<Value = [f64; N]> {
    fields.map(|field| number(field, unit))
}

/// Draws requests that apportion the suppression by shares, and requests with given darts.
pub(crate) fn requests(unit: Unit) -> impl Strategy<Value = Request> {
    prop_oneof![3 => requests_by_shares(unit), 2 => requests_by_darts(unit)]
}

/// Draws requests that apportion the suppression by shares.
pub(crate) fn requests_by_shares(unit: Unit) -> impl Strategy<Value = Request> {
    let shares = numbers(Shares::FIELDS, unit).prop_map(Shares::from_array);
    (requests_with_default_shares(unit), shares)
        .prop_map(|(request, shares)| with_apportionment(request, Apportionment::Shares(shares)))
}

/// Draws requests with zero to three given darts in each panel.
pub(crate) fn requests_by_darts(unit: Unit) -> impl Strategy<Value = Request> {
    let list = || prop::collection::vec((numbers(GivenDart::FIELDS, unit), any::<bool>()), 0..=Darts::MAX_PER_PANEL);
    (requests_with_default_shares(unit), list(), list())
        .prop_map(move |(request, back, front)| with_darts(request, [back, front], unit))
}

/// Draws requests that fit into one table: each has the same number of given darts, placed in the same ways.
pub(crate) fn requests_with_like_darts(unit: Unit, rows: impl Into<SizeRange>) -> impl Strategy<Value = Vec<Request>> {
    let ways = || prop::collection::vec(any::<bool>(), 0..=Darts::MAX_PER_PANEL);
    let max = || prop::collection::vec(numbers(GivenDart::FIELDS, unit), Darts::MAX_PER_PANEL);
    let rows = prop::collection::vec((requests_with_default_shares(unit), max(), max()), rows);
    (ways(), ways(), rows).prop_map(move |(back_ways, front_ways, rows)| {
        let list = |darts: Vec<_>, ways: &[bool]| darts.into_iter().zip(ways.iter().copied()).collect();
        let with =
            |(request, back, front)| with_darts(request, [list(back, &back_ways), list(front, &front_ways)], unit);
        rows.into_iter().map(with).collect()
    })
}

/// Returns the request with given darts in back and front.
///
/// A dart is the four numbers of its fields, and whether it is placed by its distance from the centre.
pub(crate) fn with_darts(request: Request, lists: [Vec<([f64; 4], bool)>; 2], unit: Unit) -> Request {
    let quarter = (request.body.hip + request.ease.hip) / 4.0;
    let balance = request.rules.panel_rules.balance;
    let [back, front] = lists;
    let back = darts_in_order(back, quarter - balance, unit);
    let front = darts_in_order(front, quarter + balance, unit);
    with_apportionment(request, Apportionment::Darts(Darts { back, front }))
}

/// Draws requests with the default shares; body, ease and panel rules are drawn from their whole ranges.
pub(crate) fn requests_with_default_shares(unit: Unit) -> impl Strategy<Value = Request> {
    let numbers = (numbers(Body::FIELDS, unit), numbers(Ease::FIELDS, unit), numbers(PanelRules::FIELDS, unit));
    (numbers, any::<bool>()).prop_map(move |((body, ease, panel_rules), is_slanted)| {
        let mut panel_rules = PanelRules::from_array(panel_rules);
        panel_rules.centre_back_in *= f64::from(is_slanted);
        let mut body = Body::from_array(body);
        // A skirt must end at least 1 cm below the hip line.
        body.length = body.length.max(body.hip_depth + 1.0);
        let rules = Rules { panel_rules, ..default_rules(unit) };
        let (figure, ease) = (Figure::default(), Ease::from_array(ease));
        Request { unit, body, figure, ease, rules, corrections: Vec::new(), cutting: None, cloth: None, ruler: None }
    })
}

/// Draws requests with an ordinary body, an ordinary ease and the default rules, in centimetres.
pub(crate) fn ordinary_requests() -> impl Strategy<Value = Request> {
    let body = (55.0..130.0, 5.0..35.0, 16.0..26.0, 40.0..100.0);
    (body, (0.0..4.0, 0.0..8.0)).prop_map(|((waist, difference, hip_depth, length), (at_waist, at_hip))| Request {
        unit: Unit::Cm,
        body: Body { waist, hip: waist + difference, hip_depth, length },
        figure: Figure::default(),
        ease: Ease { waist: at_waist, hip: at_hip },
        rules: Rules::default(),
        corrections: Vec::new(),
        cutting: None,
        cloth: None,
        ruler: None,
    })
}

/// Returns the rules of a request that gives none.
fn default_rules(unit: Unit) -> Rules {
    let [panel_rules, shares] = [PanelRules::FIELDS.as_slice(), &Shares::FIELDS]
        .map(|fields| fields.iter().filter_map(|field| field.default(unit)).collect::<Vec<_>>());
    let panel_rules = PanelRules::from_array(array::from_fn(|k| panel_rules[k]));
    Rules { panel_rules, apportionment: Apportionment::Shares(Shares::from_array(array::from_fn(|k| shares[k]))) }
}

fn with_apportionment(mut request: Request, apportionment: Apportionment) -> Request {
    request.rules.apportionment = apportionment;
    request
}

/// Returns the darts of a panel in order from the centre to the side.
///
/// Each dart lies within its own part of the waist, so that few darts meet. A dart whose flag is set is placed by its
/// distance from the centre, which depends on the width of the panel.
fn darts_in_order(list: Vec<([f64; 4], bool)>, width: f64, unit: Unit) -> Vec<GivenDart> {
    let [_, _, (near, far), (min, max)] = GivenDart::FIELDS.map(|field| field.range(unit));
    let part = (far - near) / list.len() as f64;
    let dart = |(k, ([intake, length, place, _], by_centre)): (usize, ([f64; 4], bool))| {
        let share = (near + part * (k as f64 + (place - near) / (far - near))).min(far);
        let place =
            if by_centre { DartPosition::Centre((share * width).clamp(min, max)) } else { DartPosition::Share(share) };
        GivenDart { intake, length, place }
    };
    list.into_iter().enumerate().map(dart).collect()
}

/// Drafts a request; rejects the random case if the draft is refused.
pub(crate) fn draft_or_reject(request: &Request) -> Result<Draft, TestCaseError> {
    request.draft().map_err(|_| TestCaseError::reject("refused"))
}

/// Draws cuttings over the whole valid range, in centimetres.
pub(crate) fn cuttings() -> impl Strategy<Value = Cutting> {
    let press = prop_oneof![Just(Press::Centre), Just(Press::Side)];
    // Zero, or wide enough to distinguish the cut line from the seam line.
    let allowance =
        |(min, max): (f64, f64)| prop_oneof![7 => 0.1..=max, 1 => 0.0005..0.1, 1 => Just(min), 1 => Just(max)];
    let allowances = Allowances::FIELDS.map(|field| allowance(field.range(Unit::Cm)));
    (allowances, 5.0..60.0, press).prop_map(|(allowances, opening, press)| Cutting {
        allowances: Allowances::from_array(allowances),
        opening: Opening::Given(opening),
        press,
        ..Cutting::default()
    })
}

/// Cuts the pattern of a request; rejects the random case if the draft or the cutting is refused.
///
/// An opening longer than the centre back seam is shortened to the length of the seam.
pub(crate) fn pattern_or_reject(request: &Request, cutting: &Cutting) -> Result<Pattern, TestCaseError> {
    let draft = draft_or_reject(request)?;
    let seam = draft.back.edge_length(Role::Centre);
    let opening = match cutting.opening {
        Opening::Given(length) => Opening::Given(length.min(seam)),
        usual @ Opening::Usual(_) => usual,
    };
    draft.pattern(&Cutting { opening, ..cutting.clone() }).map_err(|_| TestCaseError::reject("refused"))
}

/// Returns the request with `by` added to one measurement; `which` counts the measurements of the body, then the ease.
pub(crate) fn add_to_measurement(request: &Request, which: usize, by: f64) -> Request {
    let (mut body, mut ease) = (request.body.into_array(), request.ease.into_array());
    body.iter_mut().chain(&mut ease).skip(which).take(1).for_each(|number| *number += by);
    Request { body: Body::from_array(body), ease: Ease::from_array(ease), ..request.clone() }
}

/// Returns the request with every length multiplied by `k`.
pub(crate) fn scale_lengths(request: &Request, k: f64) -> Request {
    fn scaled<const N: usize>(fields: [Field; N], numbers: [f64; N], k: f64) -> [f64; N] {
        array::from_fn(|n| if fields[n].kind == FieldKind::Length { k * numbers[n] } else { numbers[n] })
    }
    let dart = |dart: &GivenDart| GivenDart {
        intake: k * dart.intake,
        length: k * dart.length,
        place: if let DartPosition::Centre(distance) = dart.place {
            DartPosition::Centre(k * distance)
        } else {
            dart.place
        },
    };
    let apportionment = match &request.rules.apportionment {
        Apportionment::Shares(shares) => {
            Apportionment::Shares(Shares::from_array(scaled(Shares::FIELDS, shares.into_array(), k)))
        }
        Apportionment::Darts(Darts { back, front }) => {
            let [back, front] = [back, front].map(|list| list.iter().map(dart).collect());
            Apportionment::Darts(Darts { back, front })
        }
    };
    Request {
        unit: request.unit,
        body: Body::from_array(scaled(Body::FIELDS, request.body.into_array(), k)),
        figure: request.figure.map(|length| k * length),
        ease: Ease::from_array(scaled(Ease::FIELDS, request.ease.into_array(), k)),
        rules: Rules {
            panel_rules: PanelRules::from_array(scaled(PanelRules::FIELDS, request.rules.panel_rules.into_array(), k)),
            apportionment,
        },
        corrections: Vec::new(),
        cutting: None,
        cloth: None,
        ruler: None,
    }
}

/// Returns the request with the rules and darts of back and front exchanged; a slanted centre back has no counterpart in front.
pub(crate) fn exchange_panels(request: &Request) -> Request {
    let mut panel_rules = request.rules.panel_rules;
    panel_rules.balance *= -1.0;
    std::mem::swap(&mut panel_rules.centre_back_lower, &mut panel_rules.centre_front_lower);
    let apportionment = match request.rules.apportionment.clone() {
        Apportionment::Shares(shares) => Apportionment::Shares(Shares {
            back_share: shares.front_share,
            front_share: shares.back_share,
            back_largest_dart: shares.front_largest_dart,
            front_largest_dart: shares.back_largest_dart,
            back_inner_length: shares.front_inner_length,
            front_inner_length: shares.back_inner_length,
            back_outer_length: shares.front_outer_length,
            front_outer_length: shares.back_outer_length,
            ..shares
        }),
        Apportionment::Darts(Darts { back, front }) => Apportionment::Darts(Darts { back: front, front: back }),
    };
    Request { rules: Rules { panel_rules, apportionment }, ..request.clone() }
}

/// Returns the numbers of darts in back and front.
pub(crate) fn dart_counts<T: Scalar>(draft: &Draft<T>) -> [usize; 2] {
    draft.panels().map(|panel| panel.darts.len())
}

/// Returns the control points of all edges of the panels.
pub(crate) fn control_points<'d, T: Scalar>(panels: impl IntoIterator<Item = &'d Panel<T>>) -> Vec<Point<T>> {
    panels.into_iter().flat_map(|panel| &panel.edges).flat_map(|edge| edge.path.points()).copied().collect()
}

/// Returns the largest distance between two points of equal index.
pub(crate) fn max_distance(a: &[Point], b: &[Point]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(p, q)| (p - q).norm()).fold(0.0, f64::max)
}

/// Returns the numbers that describe the shape of a draft.
///
/// They are waist lowering, waist width and dart intakes of each panel, then the coordinates of all control points.
pub(crate) fn shape_numbers<T: Scalar>(draft: &Draft<T>) -> Vec<T> {
    let scalars = draft.panels().into_iter().flat_map(|panel| {
        [panel.waist_lowering, panel.waist_width].into_iter().chain(panel.darts.iter().map(|dart| dart.intake))
    });
    scalars.chain(control_points(draft.panels()).iter().flat_map(|point| [point.x, point.y])).collect()
}

/// Returns the sum of the intakes of all darts as drafted.
pub(crate) fn total_intake(draft: &Draft) -> f64 {
    draft.panels().into_iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum()
}

/// Returns the length of a tape laid across a panel at a level, measured on the outline.
///
/// Each stretch of the waist line is moved down to the level, fitted between the dart legs or the side seam there, and
/// flattened in proportion to the height of the level above the hip line.
pub(crate) fn tape_length(panel: &Panel, level: f64, hip_depth: f64) -> f64 {
    let bend = (hip_depth - level) / hip_depth;
    // Point of a monotone edge at a height, or the nearer end of the edge.
    let at_height = |path: &Path, height: f64| {
        let (mut above, mut below) = if path.start().y < path.end().y { (0.0, 1.0) } else { (1.0, 0.0) };
        for _ in 0..60 {
            let middle = f64::midpoint(above, below);
            *(if path.point_at(middle).y < height { &mut above } else { &mut below }) = middle;
        }
        Point::new(path.point_at(above).x, height)
    };
    let stretches: Vec<&Path> = panel.paths(Role::Waist).collect();
    let centre = panel.paths(Role::Centre).last().unwrap();
    let mut from = at_height(centre, stretches[0].start().y * bend + level);
    let mut legs = panel.paths(Role::Dart);
    let mut length = 0.0;
    for stretch in stretches {
        let height = stretch.end().y * bend + level;
        let ends =
            legs.next().zip(legs.next()).map(|(inner, outer)| [at_height(inner, height), at_height(outer, height)]);
        let [to, next] = ends.unwrap_or_else(|| [at_height(panel.paths(Role::Side).next().unwrap(), level); 2]);
        let (chord, scale) =
            (stretch.end() - stretch.start(), (to - from).norm() / (stretch.end() - stretch.start()).norm());
        let (along, across) = (chord.normalize(), Vector::new(-chord.y, chord.x).normalize());
        let points: Vec<Vector> = (0..=400).map(|k| stretch.point_at(f64::from(k) / 400.0) - stretch.start()).collect();
        let drawn = |v: &Vector| Vector::new(v.dot(&along), v.dot(&across) * bend) * scale;
        length += points.windows(2).map(|pair| (drawn(&pair[1]) - drawn(&pair[0])).norm()).sum::<f64>();
        from = next;
    }
    length
}

/// Returns the panel mirrored at the centre line, with the edges in reverse order.
pub(crate) fn turned_over(panel: &Panel) -> Panel {
    let edge = |edge: &Edge| {
        let path = match edge.path {
            Path::Line([a, b]) => Path::Line([b, a]),
            Path::Cubic(cubic) => Path::Cubic(cubic.reversed()),
        };
        Edge { path: path.map(|p| Point::new(-p.x, p.y)), ..*edge }
    };
    Panel { edges: panel.edges.iter().rev().map(edge).collect(), ..panel.clone() }
}

/// Returns the largest distance between two control points of equal index in two drafts.
pub(crate) fn max_point_shift(before: &Draft, after: &Draft) -> f64 {
    max_distance(&control_points(before.panels()), &control_points(after.panels()))
}

/// Converts a path to a segment of kurbo, which measures lengths independently of Kirtle.
pub(crate) fn kurbo_segment(path: &Path) -> kurbo::PathSeg {
    let point = |p: Point| kurbo::Point::new(p.x, p.y);
    match path {
        Path::Line([a, b]) => kurbo::Line::new(point(*a), point(*b)).into(),
        Path::Cubic(cubic) => {
            let [a, b, c, d] = cubic.points.map(point);
            kurbo::CubicBez::new(a, b, c, d).into()
        }
    }
}

/// Returns the draft with first derivatives by every measurement.
#[cfg(feature = "sensitivity")]
pub(crate) fn lift_to_first_derivatives(draft: &Draft) -> Draft<DualSVec64<MEASUREMENT_COUNT>> {
    let mut indices = 0..MEASUREMENT_COUNT;
    draft.lift(|value| {
        let constant = DualSVec64::from_re(value);
        indices.next().map_or(constant, |index| constant.derivative(index))
    })
}

/// Returns the draft with first and second derivatives by one measurement.
#[cfg(feature = "sensitivity")]
pub(crate) fn lift_to_second_derivatives(draft: &Draft, which: usize) -> Draft<Dual2_64> {
    let mut index = 0..;
    draft.lift(|value| Dual2_64::new(value, if index.next() == Some(which) { 1.0 } else { 0.0 }, 0.0))
}

/// Returns the cubic that starts at the origin; `steps` lead from each control point to the next.
pub(crate) fn cubic_from_steps(steps: [Vector; 3]) -> Cubic {
    let [a, b, c] = steps.map(Point::from);
    Cubic::new([Point::origin(), a, a + b.coords, a + b.coords + c.coords])
}

/// Returns a cubic with a sharp turn, and the exact length of the cubic.
///
/// The turn is sharper the smaller `speed` is; it lies at the parameter `1 / (1 + far)`. With `w` from 1 to `−far` and
/// `e = speed` the velocity is proportional to `(w² − e, 2 √e w)` and the speed to `w² + e`: Farouki and Sakkalis
/// (1990), *Pythagorean hodographs*, from memory. The cubic has a loop; for `e = 0` the curve turns back on itself.
pub(crate) fn sharp_turn(speed: f64, far: f64) -> (Cubic, f64) {
    let (e, end) = (speed, -far);
    let across = 2.0 * e.sqrt();
    let steps = [
        Vector::new(1.0 - e, across),
        Vector::new(end - e, across * (1.0 + end) / 2.0),
        Vector::new(end * end - e, across * end),
    ];
    let length = (1.0 - end.powi(3)) / (1.0 - end) + 3.0 * e;
    (cubic_from_steps(steps), length)
}
