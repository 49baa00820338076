//! Times and memory of patterns in printable files: SVG, DXF, PDF and lays.
//!
//! `cargo bench --features full --bench paper` prints the times of criterion, then the output of each writer in MB/s,
//! and the memory.

// A benchmark may panic on an error, and prints its results.
#![allow(clippy::expect_used, clippy::print_stdout, missing_docs)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group};
use kirtle::drawing::Paper;
use kirtle::files::SvgScale;
use kirtle::pattern::Cloth;
use kirtle::{Body, Cutting, Ease, Pattern, Rules, Size, SizeChart, Unit};

const MIB: f64 = 1024.0 * 1024.0;

fn pattern(waist: f64) -> Pattern {
    let body = Body { waist, hip: waist + 26.0, hip_depth: 20.0, length: 60.0 };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).expect("in range");
    draft.pattern(&Cutting::default()).expect("in range")
}

/// Drafts a pattern and writes it as PDF on A4 sheets.
fn tiled_pdf(waist: f64) -> Vec<u8> {
    let a4 = Paper::named("A4").expect("paper");
    pattern(waist).file_bytes("pattern.pdf", Unit::Cm, &a4).expect("large enough")
}

/// Returns a chart of twenty sizes, 4 cm apart.
fn chart_of_20_sizes() -> SizeChart {
    let size = |k: i32| Size {
        name: (30 + 2 * k).to_string(),
        body: Body { waist: f64::from(56 + 4 * k), hip: f64::from(82 + 4 * k), hip_depth: 20.0, length: 60.0 },
    };
    SizeChart::new((0..20).map(size).collect()).expect("a chart")
}

/// Drafts the sizes of a chart and writes their nest as PDF on A4 sheets.
fn nest_pdf(chart: &SizeChart) -> Vec<u8> {
    let range = chart.draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).expect("in range");
    let nest = range.nest(&[], &Cutting::default()).expect("every size");
    let a4 = Paper::named("A4").expect("paper");
    kirtle::files::pdf(
        &kirtle::drawing::paginate(&kirtle::drawing::draw_nest(&nest, Unit::Cm), &a4).expect("large enough"),
    )
}

fn times(c: &mut Criterion) {
    let sample = pattern(72.0);
    let drawing = kirtle::drawing::draw_pattern(&sample, Unit::Cm);
    let cloth = Cloth { width: 115.0, folded: false, one_way: false, selvedge: 1.0 };
    c.bench_function("draft to pattern", |b| b.iter(|| pattern(black_box(72.0))));
    c.bench_function("draft to pattern to pdf, tiled A4", |b| b.iter(|| tiled_pdf(black_box(72.0))));
    let chart = chart_of_20_sizes();
    c.bench_function("20 sizes to a nest in pdf, tiled A4", |b| b.iter(|| nest_pdf(black_box(&chart))));
    c.bench_function("pattern to drawing", |b| b.iter(|| kirtle::drawing::draw_pattern(black_box(&sample), Unit::Cm)));
    c.bench_function("note on the cloth to buy", |b| {
        b.iter(|| kirtle::drawing::with_notes_on_buying(drawing.clone(), black_box(&sample), Unit::Cm));
    });
    c.bench_function("pattern to svg", |b| b.iter(|| kirtle::files::svg(black_box(&drawing), SvgScale::True)));
    c.bench_function("pattern to dxf", |b| b.iter(|| kirtle::files::dxf(black_box(&drawing))));
    c.bench_function("lay on open cloth", |b| b.iter(|| black_box(&sample).lay(&cloth)));
}

/// Prints the megabytes per second that a writer returns, measured for one second. `write` returns a number of bytes.
fn print_rate(name: &str, write: impl Fn() -> usize) {
    let (start, mut bytes) = (Instant::now(), 0);
    while start.elapsed().as_secs_f64() < 1.0 {
        bytes += black_box(write());
    }
    let rate = bytes as f64 / 1e6 / start.elapsed().as_secs_f64();
    println!("{name}: {rate:.0} MB/s");
}

/// Returns the peak memory of the process in MiB, on systems that report it.
fn peak_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kib| kib * 1024.0 / MIB)
}

criterion_group!(benches, times);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
    let sample = pattern(72.0);
    let drawing = kirtle::drawing::draw_pattern(&sample, Unit::Cm);
    let print = kirtle::drawing::paginate(&drawing, &Paper::named("A4").expect("paper")).expect("large enough");
    print_rate("pdf", || kirtle::files::pdf(&print).len());
    print_rate("svg", || kirtle::files::svg(&drawing, SvgScale::True).len());
    print_rate("dxf", || kirtle::files::dxf(&drawing).len());
    let (before, start) = (peak_mib(), Instant::now());
    let bytes: usize = (0..1000).map(|k| tiled_pdf(60.0 + f64::from(k) * 0.05).len()).sum();
    let written = bytes as f64 / MIB;
    println!("1000 bodies to pdf, tiled A4: {written:.0} MiB in {:.2} s", start.elapsed().as_secs_f64());
    if let (Some(before), Some(after)) = (before, peak_mib()) {
        println!("peak memory: {before:.1} MiB before, {after:.1} MiB after");
    }
}
