//! Every attack on what comes from outside, over its samples and over thousands of damaged ones.
//!
//! The fuzzers in `tests/fuzz` run the same attacks for hours, led by what of the code they reach.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod attacks;
mod bodies;
mod pieces;

use std::fs;
use std::path::Path;

use bodies::cases;
use kirtle::Point;
use kirtle::drawing::{Drawing, Layer, LayerKind, Mark, Part};
use kirtle::files::Scale;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::TestRunner;

/// Texts that mean something to a reader.
const WORDS: [&str; 26] = [
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    "\"",
    "\\",
    "\n",
    "null",
    "true",
    "1e308",
    "-0",
    "1e-400",
    "99999999999999999999",
    "\"unit\":\"in\"",
    "\"waist\"",
    "\"rules\":{\"darts\":{\"back\":[]}}",
    "\"cutting\":{}",
    "\"cloth\":{\"width\":90}",
    "\"corrections\":[]",
    "\\ud800",
    "\u{feff}",
    "\u{202e}",
    "é",
    "\0",
];

/// A change of some bytes.
#[derive(Clone, Debug)]
enum Damage {
    Set(Index, u8),
    Insert(Index, Vec<u8>),
    Remove(Index, Index),
    Repeat(Index, Index),
    Graft(Index, Index, Index),
}

fn damages() -> impl Strategy<Value = Damage> {
    let word = prop::sample::select(WORDS.as_slice()).prop_map(|word| word.as_bytes().to_vec());
    let index = any::<Index>;
    prop_oneof![
        (index(), any::<u8>()).prop_map(|(at, byte)| Damage::Set(at, byte)),
        (index(), word).prop_map(|(at, word)| Damage::Insert(at, word)),
        (index(), prop::collection::vec(any::<u8>(), 1..64)).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (index(), index()).prop_map(|(from, to)| Damage::Remove(from, to)),
        (index(), index()).prop_map(|(from, to)| Damage::Repeat(from, to)),
        (index(), index(), index()).prop_map(|(at, other, from)| Damage::Graft(at, other, from)),
    ]
}

fn damaged(mut bytes: Vec<u8>, damage: &Damage, samples: &[Vec<u8>]) -> Vec<u8> {
    let place = |index: &Index, length: usize| index.index(length + 1);
    let length = bytes.len();
    let range = |from: &Index, to: &Index| {
        let (from, to) = (place(from, length), place(to, length));
        from.min(to)..from.max(to)
    };
    match damage {
        Damage::Set(at, byte) if length > 0 => bytes[at.index(length)] = *byte,
        Damage::Set(_, byte) => bytes.push(*byte),
        Damage::Insert(at, word) => drop(bytes.splice(place(at, length)..place(at, length), word.iter().copied())),
        Damage::Remove(from, to) => drop(bytes.drain(range(from, to))),
        Damage::Repeat(from, to) => {
            let part = bytes[range(from, to)].to_vec();
            let end = range(from, to).end;
            bytes.splice(end..end, part);
        }
        Damage::Graft(at, other, from) => {
            let other = &samples[other.index(samples.len())];
            bytes.truncate(place(at, length));
            bytes.extend_from_slice(&other[place(from, other.len())..]);
        }
    }
    bytes
}

/// The samples of an attack; what is drawn from no text starts from many even bytes.
fn samples(name: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/attacks/corpus").join(name);
    let mut files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.iter().map(|file| fs::read(file).unwrap()).collect()
}

fn withstands(name: &str, attack: fn(&[u8]), damages_each: u32) {
    let samples = samples(name);
    assert!(!samples.is_empty(), "{name} has no samples");
    for sample in &samples {
        attack(sample);
    }
    let strategy = (any::<Index>(), prop::collection::vec(damages(), 1..8));
    let ran = TestRunner::new(cases(damages_each)).run(&strategy, |(sample, all)| {
        let start = samples[sample.index(samples.len())].clone();
        attack(&all.iter().fold(start, |bytes, damage| damaged(bytes, damage, &samples)));
        Ok(())
    });
    ran.unwrap_or_else(|failure| panic!("{name}: {failure}"));
}

macro_rules! withstood {
    ($($name:ident $cases:literal,)*) => {
        $(#[test]
        fn $name() {
            withstands(stringify!($name), attacks::$name, $cases);
        })*
    };
}

withstood! {
    request 20_000,
    chart 20_000,
    csv 20_000,
    table 20_000,
    pattern 500,
    files 2_000,
}

/// Found by `files`: XML cannot hold most control letters, and a line that ends within a text of DXF ends its value.
#[test]
fn letters_that_a_format_cannot_hold_are_replaced() {
    let text =
        Mark::Text { middle: Point::new(9.0, 9.0), text: "a\u{1}b\nc\u{fffe}".into(), size_mm: 5.0, upwards: false };
    let layers = vec![Layer { kind: LayerKind::Text, marks: vec![text] }];
    let parts = vec![Part { name: "piece".into(), set: String::new(), copies: 1, layers }];
    let drawing = Drawing { title: String::new(), notes: Vec::new(), size_mm: [20.0, 20.0], parts };
    assert!(kirtle::files::svg(&drawing, Scale::True).contains(">a\u{fffd}b\nc\u{fffd}</text>"));
    assert!(kirtle::files::dxf(&drawing).contains("\n1\na b c\\U+FFFE\n"));
}
