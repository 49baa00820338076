//! Inputs drawn from the whole valid range: every number by its row, the ends of the range now and then.
#![allow(dead_code, reason = "each test file takes what it needs")]

use kirtle::{
    Apportion, Body, Darts, Ease, Field, FixedDart, MOST_DARTS, Place, Request, Rules, Shares, Stance, Unit,
};
use proptest::prelude::*;
use proptest::strategy::Union;
use proptest::test_runner::{Config, RngSeed};

/// The seed of a plain run; `PROPTEST_RNG_SEED` sets another.
const SEED: u64 = 1;

/// So many drafts that are not refused; the same ones in every plain run, so that a failure comes again.
pub(crate) fn cases(cases: u32) -> Config {
    let chosen = Config::default();
    let rng_seed = if chosen.rng_seed == RngSeed::Random { RngSeed::Fixed(SEED) } else { chosen.rng_seed };
    Config { cases, rng_seed, failure_persistence: None, max_global_rejects: 100 * cases, ..chosen }
}

/// A number of this row in `unit`.
pub(crate) fn number(field: Field, unit: Unit) -> impl Strategy<Value = f64> + Clone {
    let (least, most) = field.range(unit);
    Union::new_weighted(vec![(60, (least..=most).boxed()), (1, Just(least).boxed()), (1, Just(most).boxed())])
}

/// The numbers of a table in `unit`.
pub(crate) fn numbers<const N: usize>(fields: [Field; N], unit: Unit) -> impl Strategy<Value = [f64; N]> {
    fields.map(|field| number(field, unit))
}

/// Requests of both ways to apportion, over the whole range.
pub(crate) fn requests(unit: Unit) -> impl Strategy<Value = Request> {
    prop_oneof![3 => by_shares(unit), 2 => by_darts(unit)]
}

/// Requests that apportion by shares.
pub(crate) fn by_shares(unit: Unit) -> impl Strategy<Value = Request> {
    let shares = numbers(Shares::FIELDS, unit).prop_map(Shares::from_array);
    (bare(unit), shares).prop_map(|(bare, shares)| with(bare, Apportion::Shares(shares)))
}

/// Requests with none to three given darts a panel.
pub(crate) fn by_darts(unit: Unit) -> impl Strategy<Value = Request> {
    let list = || prop::collection::vec((numbers(FixedDart::FIELDS, unit), any::<bool>()), 0..=MOST_DARTS);
    (bare(unit), list(), list()).prop_map(move |(bare, back, front)| {
        let (quarter, balance) = ((bare.body.hip + bare.ease.hip) / 4.0, bare.rules.stance.balance);
        let [back, front] = [(back, -balance), (front, balance)].map(|(list, more)| in_order(list, quarter + more, unit));
        with(bare, Apportion::Darts(Darts { back, front }))
    })
}

/// Body, ease and stance, with the default apportioning.
pub(crate) fn bare(unit: Unit) -> impl Strategy<Value = Request> {
    let numbers = (numbers(Body::FIELDS, unit), numbers(Ease::FIELDS, unit), numbers(Stance::FIELDS, unit));
    numbers.prop_map(move |(body, ease, stance)| {
        let mut body = Body::from_array(body);
        // The hem lies below the hip line; a shorter skirt is always refused.
        body.length = body.length.max(body.hip_depth + 1.0);
        let rules = Rules { stance: Stance::from_array(stance), ..Rules::default() };
        Request { unit, body, ease: Ease::from_array(ease), rules }
    })
}

pub(crate) fn with(mut request: Request, apportion: Apportion) -> Request {
    request.rules.apportion = apportion;
    request
}

/// The darts from the centre to the side of a panel of this width, each in its own part of the waist; where `by_centre`
/// is set, the place is put as a distance.
fn in_order(list: Vec<([f64; 4], bool)>, width: f64, unit: Unit) -> Vec<FixedDart> {
    let [_, _, (near, _), (least, most)] = FixedDart::FIELDS.map(|field| field.range(unit));
    let count = list.len() as f64;
    let dart = |(k, ([intake, length, place, _], by_centre)): (usize, ([f64; 4], bool))| {
        let place = (near + (place - near + k as f64 * (1.0 - 2.0 * near)) / count).min(1.0 - near);
        let centre = (place * width).clamp(least, most);
        FixedDart { intake, length, place: if by_centre { Place::Centre(centre) } else { Place::Place(place) } }
    };
    list.into_iter().enumerate().map(dart).collect()
}
