//! How fast a draft is, from Rust and through JSON.

use criterion::{Criterion, criterion_group, criterion_main};
use kirtle::{Body, Ease, Rules};
use std::hint::black_box;

fn one_draft(c: &mut Criterion) {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    let (ease, rules) = (Ease { waist: 1.5, hip: 5.0 }, Rules::default());
    c.bench_function("draft", |b| b.iter(|| kirtle::draft(black_box(&body), black_box(&ease), black_box(&rules))));
}

criterion_group!(benches, one_draft);
criterion_main!(benches);
