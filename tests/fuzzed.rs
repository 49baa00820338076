//! Every fuzz target on its samples, and on thousands of damaged samples.
//!
//! The fuzzers in `tests/fuzz` run the same attacks for hours, guided by the coverage of the code.

use std::fs;
use std::path::Path;

use crate::bodies::cases;
use kirtle::drawing::{Drawing, Layer, LayerKind, Mark, Part, TextAlign};
use kirtle::files::SvgScale;
use kirtle::{Point, Texts};
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::TestRunner;

/// Texts with a meaning in JSON, CSV or a request.
const TOKENS: [&str; 26] = [
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

/// A random change to the bytes of a sample.
#[derive(Clone, Debug)]
enum Damage {
    Set(Index, u8),
    Insert(Index, Vec<u8>),
    Remove(Index, Index),
    Repeat(Index, Index),
    Graft(Index, Index, Index),
}

fn random_damage() -> impl Strategy<Value = Damage> {
    let token = prop::sample::select(TOKENS.as_slice()).prop_map(|token| token.as_bytes().to_vec());
    let index = any::<Index>;
    prop_oneof![
        (index(), any::<u8>()).prop_map(|(at, byte)| Damage::Set(at, byte)),
        (index(), token).prop_map(|(at, token)| Damage::Insert(at, token)),
        (index(), prop::collection::vec(any::<u8>(), 1..64)).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (index(), index()).prop_map(|(from, to)| Damage::Remove(from, to)),
        (index(), index()).prop_map(|(from, to)| Damage::Repeat(from, to)),
        (index(), index(), index()).prop_map(|(at, other, from)| Damage::Graft(at, other, from)),
    ]
}

fn apply_damage(mut bytes: Vec<u8>, damage: &Damage, samples: &[Vec<u8>]) -> Vec<u8> {
    let offset = |index: &Index, length: usize| index.index(length + 1);
    let length = bytes.len();
    let range = |from: &Index, to: &Index| {
        let (from, to) = (offset(from, length), offset(to, length));
        from.min(to)..from.max(to)
    };
    match damage {
        Damage::Set(at, byte) if length > 0 => bytes[at.index(length)] = *byte,
        Damage::Set(_, byte) => bytes.push(*byte),
        Damage::Insert(at, new) => drop(bytes.splice(offset(at, length)..offset(at, length), new.iter().copied())),
        Damage::Remove(from, to) => drop(bytes.drain(range(from, to))),
        Damage::Repeat(from, to) => {
            let repeated = bytes[range(from, to)].to_vec();
            let end = range(from, to).end;
            bytes.splice(end..end, repeated);
        }
        Damage::Graft(at, other, from) => {
            let other = &samples[other.index(samples.len())];
            bytes.truncate(offset(at, length));
            bytes.extend_from_slice(&other[offset(from, other.len())..]);
        }
    }
    bytes
}

/// Returns the samples of an attack, in the order of their file names.
fn samples(name: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/attacks/corpus").join(name);
    let mut files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.iter().map(|file| fs::read(file).unwrap()).collect()
}

/// Runs an attack on every sample, and on `case_count` damaged samples; the attack panics if Kirtle fails.
fn run_attack(name: &str, attack: fn(&[u8]), case_count: u32) {
    let samples = samples(name);
    assert!(!samples.is_empty(), "{name} has no samples");
    for sample in &samples {
        attack(sample);
    }
    let strategy = (any::<Index>(), prop::collection::vec(random_damage(), 1..8));
    let outcome = TestRunner::new(cases(case_count)).run(&strategy, |(sample, damages)| {
        let start = samples[sample.index(samples.len())].clone();
        attack(&damages.iter().fold(start, |bytes, damage| apply_damage(bytes, damage, &samples)));
        Ok(())
    });
    outcome.unwrap_or_else(|failure| panic!("{name}: {failure}"));
}

macro_rules! attack_tests {
    ($($name:ident $cases:literal,)*) => {
        mod damaged_samples_break_no_promise {
            $(#[test]
            fn $name() {
                super::run_attack(stringify!($name), crate::attacks::$name, $cases);
            })*
        }
    };
}

attack_tests! {
    request 20_000,
    chart 20_000,
    csv 20_000,
    table 20_000,
    pattern 500,
    files 2_000,
}

/// XML excludes most control characters, and a line break ends a value of DXF.
#[test]
fn characters_that_a_format_excludes_are_replaced() {
    let text = Mark::Text {
        at: Point::new(9.0, 9.0),
        text: "a\u{1}b\nc\u{fffe}".into(),
        size_mm: 5.0,
        align: TextAlign::Left,
    };
    let layers = vec![Layer { kind: LayerKind::Text, marks: vec![text] }];
    let parts = vec![Part { name: "piece".into(), set: String::new(), copies: 1, layers }];
    let (title, size_mm, texts) = (String::new(), [20.0, 20.0], Texts::default());
    let drawing = Drawing { title, notes: Vec::new(), key: Vec::new(), size_mm, parts, texts };
    assert!(kirtle::files::svg(&drawing, SvgScale::True).contains(">a\u{fffd}b\nc\u{fffd}</text>"));
    assert!(kirtle::files::dxf(&drawing).contains("\n1\na b c\\U+FFFE\n"));
}
