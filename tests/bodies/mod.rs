//! Requests drawn from the whole valid range, every number by its row and the ends of the range now and then; and what
//! the tests read from their drafts.
#![allow(dead_code, reason = "each test file takes what it needs")]
#![allow(clippy::cast_precision_loss, reason = "counts of darts are small")]

pub(crate) mod chart;

use std::array;

use kirtle::document::Request;
use kirtle::field::{Field, FieldKind};
use kirtle::geometry::{Cubic, Vector};
use kirtle::scalar::Scalar;
use kirtle::{
    Allowances, Apportionment, Body, Cutting, DartPosition, Darts, Draft, Ease, Edge, FixedDart, Opening, Panel,
    PanelRules, Path, Pattern, Point, Press, Role, Rules, Shares, Unit,
};
use num_dual::{Dual2_64, DualSVec64};
use proptest::collection::SizeRange;
use proptest::prelude::*;
use proptest::strategy::Union;
use proptest::test_runner::{Config, RngSeed};

/// The seed of a plain run; `PROPTEST_RNG_SEED` sets another.
const SEED: u64 = 1;

/// How many measurements a body and its ease have.
pub(crate) const MEASUREMENTS: usize = Body::FIELDS.len() + Ease::FIELDS.len();

/// So many cases that are not refused, or as many as `PROPTEST_CASES` says; the same ones in every plain run, so that a
/// failure comes again.
pub(crate) fn cases(cases: u32) -> Config {
    let chosen = Config::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { chosen.cases } else { cases };
    let rng_seed = if chosen.rng_seed == RngSeed::Random { RngSeed::Fixed(SEED) } else { chosen.rng_seed };
    Config { cases, rng_seed, failure_persistence: None, max_global_rejects: 100 * cases, ..chosen }
}

/// A number of this row.
fn number(field: Field, unit: Unit) -> impl Strategy<Value = f64> {
    let (min, max) = field.range(unit);
    Union::new_weighted(vec![(60, (min..=max).boxed()), (1, Just(min).boxed()), (1, Just(max).boxed())])
}

/// The numbers of a table.
fn numbers<const N: usize>(fields: [Field; N], unit: Unit) -> impl Strategy<Value = [f64; N]> {
    fields.map(|field| number(field, unit))
}

/// Requests of both ways to apportion.
pub(crate) fn requests(unit: Unit) -> impl Strategy<Value = Request> {
    prop_oneof![3 => by_shares(unit), 2 => by_darts(unit)]
}

/// Requests that apportion by shares.
pub(crate) fn by_shares(unit: Unit) -> impl Strategy<Value = Request> {
    let shares = numbers(Shares::FIELDS, unit).prop_map(Shares::from_array);
    (by_default(unit), shares).prop_map(|(request, shares)| apportioned(request, Apportionment::Shares(shares)))
}

/// Requests with none to three given darts a panel.
pub(crate) fn by_darts(unit: Unit) -> impl Strategy<Value = Request> {
    let list = || prop::collection::vec((numbers(FixedDart::FIELDS, unit), any::<bool>()), 0..=Darts::MAX_PER_PANEL);
    (by_default(unit), list(), list()).prop_map(move |(request, back, front)| with_darts(request, [back, front], unit))
}

/// So many requests with as many given darts, placed in the same ways, as they can stand in one table.
pub(crate) fn alike(unit: Unit, rows: impl Into<SizeRange>) -> impl Strategy<Value = Vec<Request>> {
    let ways = || prop::collection::vec(any::<bool>(), 0..=Darts::MAX_PER_PANEL);
    let max = || prop::collection::vec(numbers(FixedDart::FIELDS, unit), Darts::MAX_PER_PANEL);
    let rows = prop::collection::vec((by_default(unit), max(), max()), rows);
    (ways(), ways(), rows).prop_map(move |(back_ways, front_ways, rows)| {
        let list = |darts: Vec<_>, ways: &[bool]| darts.into_iter().zip(ways.iter().copied()).collect();
        let with =
            |(request, back, front)| with_darts(request, [list(back, &back_ways), list(front, &front_ways)], unit);
        rows.into_iter().map(with).collect()
    })
}

/// The request with these darts in back and front.
pub(crate) fn with_darts(request: Request, lists: [Vec<([f64; 4], bool)>; 2], unit: Unit) -> Request {
    let quarter = (request.body.hip + request.ease.hip) / 4.0;
    let balance = request.rules.panel_rules.balance;
    let [back, front] = lists;
    let back = in_order(back, quarter - balance, unit);
    let front = in_order(front, quarter + balance, unit);
    apportioned(request, Apportionment::Darts(Darts { back, front }))
}

/// Requests that apportion as they do where nothing is said.
pub(crate) fn by_default(unit: Unit) -> impl Strategy<Value = Request> {
    let numbers = (numbers(Body::FIELDS, unit), numbers(Ease::FIELDS, unit), numbers(PanelRules::FIELDS, unit));
    numbers.prop_map(move |(body, ease, panel_rules)| {
        let mut body = Body::from_array(body);
        // A skirt that ends above this is always refused.
        body.length = body.length.max(body.hip_depth + 1.0);
        let rules = Rules { panel_rules: PanelRules::from_array(panel_rules), ..default_rules(unit) };
        Request { unit, body, ease: Ease::from_array(ease), rules, corrections: Vec::new(), cutting: None, cloth: None }
    })
}

/// Ordinary bodies with ordinary ease and the default rules.
pub(crate) fn ordinary() -> impl Strategy<Value = Request> {
    let body = (55.0..130.0, 5.0..35.0, 16.0..26.0, 40.0..100.0);
    (body, (0.0..4.0, 0.0..8.0)).prop_map(|((waist, difference, hip_depth, length), (at_waist, at_hip))| Request {
        unit: Unit::Cm,
        body: Body { waist, hip: waist + difference, hip_depth, length },
        ease: Ease { waist: at_waist, hip: at_hip },
        rules: Rules::default(),
        corrections: Vec::new(),
        cutting: None,
        cloth: None,
    })
}

/// The default rules as a request without rules has them.
fn default_rules(unit: Unit) -> Rules {
    let [panel_rules, shares] = [PanelRules::FIELDS.as_slice(), &Shares::FIELDS]
        .map(|fields| fields.iter().filter_map(|field| field.default(unit)).collect::<Vec<_>>());
    let panel_rules = PanelRules::from_array(array::from_fn(|k| panel_rules[k]));
    Rules { panel_rules, apportionment: Apportionment::Shares(Shares::from_array(array::from_fn(|k| shares[k]))) }
}

fn apportioned(mut request: Request, apportionment: Apportionment) -> Request {
    request.rules.apportionment = apportionment;
    request
}

/// The darts from the centre to the side of a panel of this width, each in its own part of the waist so that few
/// meet; a place is put as a distance where the second of the pair is set.
fn in_order(list: Vec<([f64; 4], bool)>, width: f64, unit: Unit) -> Vec<FixedDart> {
    let [_, _, (near, far), (min, max)] = FixedDart::FIELDS.map(|field| field.range(unit));
    let part = (far - near) / list.len() as f64;
    let dart = |(k, ([intake, length, place, _], by_centre)): (usize, ([f64; 4], bool))| {
        let share = (near + part * (k as f64 + (place - near) / (far - near))).min(far);
        let place =
            if by_centre { DartPosition::Centre((share * width).clamp(min, max)) } else { DartPosition::Share(share) };
        FixedDart { intake, length, place }
    };
    list.into_iter().enumerate().map(dart).collect()
}

/// The draft of a request; one that is refused is no case.
pub(crate) fn drafted(request: &Request) -> Result<Draft, TestCaseError> {
    request.draft().map_err(|_| TestCaseError::reject("refused"))
}

/// Every way to cut, in centimetres.
pub(crate) fn cuttings() -> impl Strategy<Value = Cutting> {
    let press = prop_oneof![Just(Press::Centre), Just(Press::Side)];
    // None, or at least so much that the cut line can be told from the seam line.
    let end = |(min, max): (f64, f64)| prop_oneof![7 => 0.1..=max, 1 => 0.0005..0.1, 1 => Just(min), 1 => Just(max)];
    let allowances = Allowances::FIELDS.map(|field| end(field.range(Unit::Cm)));
    (allowances, 5.0..60.0, press).prop_map(|(allowances, opening, press)| Cutting {
        name: String::new(),
        allowances: Allowances::from_array(allowances),
        opening: Opening::Given(opening),
        press,
    })
}

/// The pattern; a draft that is refused, or whose opening is, is no case.
pub(crate) fn cut(request: &Request, cutting: &Cutting) -> Result<Pattern, TestCaseError> {
    let draft = drafted(request)?;
    let seam = draft.back.length(Role::Centre);
    let opening = match cutting.opening {
        Opening::Given(length) => Opening::Given(length.min(seam)),
        usual @ Opening::Usual(_) => usual,
    };
    draft.pattern(&Cutting { opening, ..cutting.clone() }).map_err(|_| TestCaseError::reject("refused"))
}

/// The request with one of its measurements larger by `by`: those of the body, then the ease.
pub(crate) fn nudged(request: &Request, which: usize, by: f64) -> Request {
    let (mut body, mut ease) = (request.body.into_array(), request.ease.into_array());
    body.iter_mut().chain(&mut ease).skip(which).take(1).for_each(|number| *number += by);
    Request { body: Body::from_array(body), ease: Ease::from_array(ease), ..request.clone() }
}

/// The request with every length `k` times as long.
pub(crate) fn scaled(request: &Request, k: f64) -> Request {
    fn table<const N: usize>(fields: [Field; N], numbers: [f64; N], k: f64) -> [f64; N] {
        array::from_fn(|n| if fields[n].kind == FieldKind::Length { k * numbers[n] } else { numbers[n] })
    }
    let dart = |dart: &FixedDart| FixedDart {
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
            Apportionment::Shares(Shares::from_array(table(Shares::FIELDS, shares.into_array(), k)))
        }
        Apportionment::Darts(Darts { back, front }) => {
            let [back, front] = [back, front].map(|list| list.iter().map(dart).collect());
            Apportionment::Darts(Darts { back, front })
        }
    };
    Request {
        unit: request.unit,
        body: Body::from_array(table(Body::FIELDS, request.body.into_array(), k)),
        ease: Ease::from_array(table(Ease::FIELDS, request.ease.into_array(), k)),
        rules: Rules {
            panel_rules: PanelRules::from_array(table(PanelRules::FIELDS, request.rules.panel_rules.into_array(), k)),
            apportionment,
        },
        corrections: Vec::new(),
        cutting: None,
        cloth: None,
    }
}

/// The request with back and front exchanged.
pub(crate) fn exchanged(request: &Request) -> Request {
    let PanelRules { balance, centre_back_lower, centre_front_lower, side_fullness } = request.rules.panel_rules;
    let [centre_back_lower, centre_front_lower] = [centre_front_lower, centre_back_lower];
    let panel_rules = PanelRules { balance: -balance, centre_back_lower, centre_front_lower, side_fullness };
    let apportionment = match request.rules.apportionment.clone() {
        Apportionment::Shares(shares) => Apportionment::Shares(Shares {
            back_share: shares.front_share,
            front_share: shares.back_share,
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

/// How many darts back and front have.
pub(crate) fn counts<T: Scalar>(draft: &Draft<T>) -> [usize; 2] {
    draft.panels().map(|panel| panel.darts.len())
}

/// The control points of all edges.
pub(crate) fn points<'d, T: Scalar>(panels: impl IntoIterator<Item = &'d Panel<T>>) -> Vec<Point<T>> {
    panels.into_iter().flat_map(|panel| &panel.edges).flat_map(|edge| edge.path.points()).copied().collect()
}

/// The farthest that a point lies from its like.
pub(crate) fn apart(a: &[Point], b: &[Point]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(p, q)| (p - q).norm()).fold(0.0, f64::max)
}

/// Everything that a draft says of its shape in numbers.
pub(crate) fn shape<T: Scalar>(draft: &Draft<T>) -> Vec<T> {
    let scalars = draft.panels().into_iter().flat_map(|panel| {
        [panel.waist_lowering, panel.waist_width].into_iter().chain(panel.darts.iter().map(|dart| dart.intake))
    });
    scalars.chain(points(draft.panels()).iter().flat_map(|point| [point.x, point.y])).collect()
}

/// What all darts take, as drafted.
pub(crate) fn intake(draft: &Draft) -> f64 {
    draft.panels().into_iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum()
}

/// The length of a tape's line at a level, drawn on the outline: each stretch of the waist brought down to where the legs and the
/// side seam are there, and flattened as it goes.
pub(crate) fn along_tape(panel: &Panel, level: f64, hip_depth: f64) -> f64 {
    let bend = (hip_depth - level) / hip_depth;
    // Where an edge that runs up or down throughout has a height, or its end that comes nearest.
    let at_height = |path: &Path, height: f64| {
        let (mut above, mut below) = if path.start().y < path.end().y { (0.0, 1.0) } else { (1.0, 0.0) };
        for _ in 0..60 {
            let middle = f64::midpoint(above, below);
            *(if path.at(middle).y < height { &mut above } else { &mut below }) = middle;
        }
        Point::new(path.at(above).x, height)
    };
    let stretches: Vec<&Path> = panel.paths(Role::Waist).collect();
    let mut from = Point::new(0.0, stretches[0].start().y * bend + level);
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
        let points: Vec<Vector> = (0..=400).map(|k| stretch.at(f64::from(k) / 400.0) - stretch.start()).collect();
        let drawn = |v: &Vector| Vector::new(v.dot(&along), v.dot(&across) * bend) * scale;
        length += points.windows(2).map(|pair| (drawn(&pair[1]) - drawn(&pair[0])).norm()).sum::<f64>();
        from = next;
    }
    length
}

/// The outline the other way round, as it lies with the other side of the cloth up.
pub(crate) fn turned(panel: &Panel) -> Panel {
    let edge = |edge: &Edge| {
        let path = match edge.path {
            Path::Line([a, b]) => Path::Line([b, a]),
            Path::Cubic(cubic) => Path::Cubic(cubic.reversed()),
        };
        Edge { path: path.map(|p| Point::new(-p.x, p.y)), ..*edge }
    };
    Panel { edges: panel.edges.iter().rev().map(edge).collect(), ..panel.clone() }
}

/// The farthest that a point of one draft lies from its like in another.
pub(crate) fn moved(before: &Draft, after: &Draft) -> f64 {
    apart(&points(before.panels()), &points(after.panels()))
}

/// An edge in the hands of an outside judge.
pub(crate) fn segment(path: &Path) -> kurbo::PathSeg {
    let point = |p: Point| kurbo::Point::new(p.x, p.y);
    match path {
        Path::Line([a, b]) => kurbo::Line::new(point(*a), point(*b)).into(),
        Path::Cubic(cubic) => {
            let [a, b, c, d] = cubic.points.map(point);
            kurbo::CubicBez::new(a, b, c, d).into()
        }
    }
}

/// The draft with a derivative by each measurement.
pub(crate) fn by_each(draft: &Draft) -> Draft<DualSVec64<MEASUREMENTS>> {
    let mut places = 0..MEASUREMENTS;
    draft.lift(|value| {
        let constant = DualSVec64::from_re(value);
        places.next().map_or(constant, |place| constant.derivative(place))
    })
}

/// The draft with two derivatives by one measurement.
pub(crate) fn twice_by(draft: &Draft, which: usize) -> Draft<Dual2_64> {
    let mut place = 0..;
    draft.lift(|value| Dual2_64::new(value, if place.next() == Some(which) { 1.0 } else { 0.0 }, 0.0))
}

/// The curve from the origin by these steps from each control point to the next.
pub(crate) fn stepped(steps: [Vector; 3]) -> Cubic {
    let [a, b, c] = steps.map(Point::from);
    Cubic::new([Point::origin(), a, a + b.coords, a + b.coords + c.coords])
}

/// A curve that turns the sharper the less `speed` is, after the share `1 / (1 + far)` of its way, and its length.
///
/// With `w` from 1 to `−far` its velocity is in proportion to `(w² − e, 2 √e w)`, so that its speed is `w² + e`, the root of a
/// square: Farouki and Sakkalis (1990), *Pythagorean hodographs*, from memory. It has a loop, and for an `e` of 0 it turns back
/// on itself.
pub(crate) fn sharp_turn(speed: f64, far: f64) -> (Cubic, f64) {
    let (e, end) = (speed, -far);
    let across = 2.0 * e.sqrt();
    let steps = [
        Vector::new(1.0 - e, across),
        Vector::new(end - e, across * (1.0 + end) / 2.0),
        Vector::new(end * end - e, across * end),
    ];
    let length = (1.0 - end.powi(3)) / (1.0 - end) + 3.0 * e;
    (stepped(steps), length)
}
