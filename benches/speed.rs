//! Times of a draft in Rust and through JSON, compared with the time of reading and writing the JSON alone.
//!
//! `cargo bench --features full --bench speed` prints the times of criterion, then ratios of times in alternating rounds of one run.

// A benchmark may panic on an error, and prints its results.
#![allow(clippy::expect_used, clippy::print_stdout, missing_docs)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group};
use kirtle::document::{Report, Request};
use kirtle::files::SvgScale;
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

/// Reads the request and writes the result by `serde_json`, without drafting.
fn json_alone(report: &Report) -> (serde_json::Value, String) {
    let request = serde_json::from_str(black_box(REQUEST)).expect("a request");
    (request, serde_json::to_string(black_box(report)).expect("a report"))
}

fn times(c: &mut Criterion) {
    let report = Request::from_json(REQUEST).expect("a request").report().expect("in range");
    let sample = draft();
    c.bench_function("draft", |b| b.iter(draft));
    c.bench_function("all derivatives by body and ease", |b| b.iter(|| derivatives(black_box(&sample))));
    c.bench_function("proof", |b| b.iter(|| black_box(&sample).proof()));
    c.bench_function("json in to json out", |b| b.iter(|| kirtle::draft_json(black_box(REQUEST))));
    c.bench_function("the same json by serde_json alone", |b| b.iter(|| json_alone(&report)));
    c.bench_function("drawing as svg", |b| {
        b.iter(|| kirtle::files::svg(&kirtle::drawing::draw_draft(&sample, Unit::Cm), SvgScale::True));
    });
}

/// Returns the median, over 101 rounds, of the time of 400 calls of one function divided by that of 400 calls of the other.
fn median_ratio<A, B>(numerator: impl Fn() -> A, denominator: impl Fn() -> B) -> f64 {
    fn seconds<T>(work: &impl Fn() -> T) -> f64 {
        let start = Instant::now();
        for _ in 0..400 {
            black_box(work());
        }
        start.elapsed().as_secs_f64()
    }
    let mut ratios: Vec<f64> = (0..101).map(|_| seconds(&numerator) / seconds(&denominator)).collect();
    ratios.sort_by(f64::total_cmp);
    ratios[ratios.len() / 2]
}

criterion_group!(benches, times);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
    let report = Request::from_json(REQUEST).expect("a request").report().expect("in range");
    let twice_json_and_draft = || (json_alone(&report), json_alone(&report), draft());
    let json = median_ratio(|| kirtle::draft_json(black_box(REQUEST)), || json_alone(&report));
    let ratio_to_bound = median_ratio(|| kirtle::draft_json(black_box(REQUEST)), twice_json_and_draft);
    let sample = draft();
    println!(
        "all derivatives by body and ease / draft: {:.2}",
        median_ratio(|| derivatives(black_box(&sample)), draft)
    );
    println!("json in to json out / serde_json alone: {json:.2}");
    println!("json in to json out / (twice serde_json alone, plus a draft): {ratio_to_bound:.2}");
}
