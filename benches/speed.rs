//! How fast a draft is, from Rust and through JSON, beside what the JSON alone costs.
//!
//! `cargo bench --bench speed` prints criterion's times, then ratios of rounds taken in turn in this one run.

// A benchmark that cannot go on should stop, and it prints what it finds.
#![allow(clippy::expect_used, clippy::print_stdout, missing_docs)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group};
use kirtle::document::{Report, Request};
use kirtle::files::Scale;
use kirtle::sensitivity::Sensitivity;
use kirtle::{Body, Draft, Ease, Rules, Unit};

const REQUEST: &str = include_str!("../tests/requests/evening-class.json");

fn inputs() -> (Body, Ease, Rules) {
    let body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
    (body, Ease { waist: 1.5, hip: 5.0 }, Rules::default())
}

fn draft() -> Draft {
    let (body, ease, rules) = black_box(inputs());
    kirtle::draft(&body, &ease, &rules).expect("in range")
}

const BODY_AND_EASE: [&str; 6] = ["body.waist", "body.hip", "body.hip_depth", "body.length", "ease.waist", "ease.hip"];

fn derivatives(draft: &Draft) -> Sensitivity {
    draft.sensitivity(&BODY_AND_EASE).expect("inputs")
}

/// What `serde_json` needs to read the request and to print the result, with nothing between.
fn json_alone(report: &Report) -> (serde_json::Value, String) {
    let request = serde_json::from_str(black_box(REQUEST)).expect("a request");
    (request, serde_json::to_string(black_box(report)).expect("a report"))
}

fn times(c: &mut Criterion) {
    let report = Request::from_json(REQUEST).expect("a request").report().expect("in range");
    let made = draft();
    c.bench_function("draft", |b| b.iter(draft));
    c.bench_function("all derivatives by body and ease", |b| b.iter(|| derivatives(black_box(&made))));
    c.bench_function("proof", |b| b.iter(|| black_box(&made).proof()));
    c.bench_function("json in to json out", |b| b.iter(|| kirtle::draft_json(black_box(REQUEST))));
    c.bench_function("the same json by serde_json alone", |b| b.iter(|| json_alone(&report)));
    c.bench_function("drawing as svg", |b| {
        b.iter(|| kirtle::files::svg(&kirtle::drawing::draw(&made, Unit::Cm), Scale::True));
    });
}

/// The median over rounds of the time of `ours` over that of `theirs`, one straight after the other.
fn ratio<A, B>(ours: impl Fn() -> A, theirs: impl Fn() -> B) -> f64 {
    fn seconds<T>(work: &impl Fn() -> T) -> f64 {
        let start = Instant::now();
        for _ in 0..400 {
            black_box(work());
        }
        start.elapsed().as_secs_f64()
    }
    let mut ratios: Vec<f64> = (0..101).map(|_| seconds(&ours) / seconds(&theirs)).collect();
    ratios.sort_by(f64::total_cmp);
    ratios[ratios.len() / 2]
}

criterion_group!(benches, times);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
    let report = Request::from_json(REQUEST).expect("a request").report().expect("in range");
    let bound = || (json_alone(&report), json_alone(&report), draft());
    let json = ratio(|| kirtle::draft_json(black_box(REQUEST)), || json_alone(&report));
    let of_bound = ratio(|| kirtle::draft_json(black_box(REQUEST)), bound);
    let made = draft();
    println!("all derivatives by body and ease / draft: {:.2}", ratio(|| derivatives(black_box(&made)), draft));
    println!("json in to json out / serde_json alone: {json:.2}");
    println!("json in to json out / (twice serde_json alone, plus a draft): {of_bound:.2}");
}
