//! Times of tables of drafts by rows and threads.
//!
//! `cargo bench --features full --bench table` prints ratios of times in alternating rounds of one run, then the times of
//! criterion. A new table is compared with columns of constants, which need the same new memory.

// A benchmark may panic on an error, and prints its results.
#![allow(clippy::expect_used, clippy::print_stdout, missing_docs)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group};
use kirtle::batch::{Bodies, Column, Table, Threads};
use kirtle::survey::{Population, SimulatedBodies};
use kirtle::{Body, Ease, Figure, Rules, Unit};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };
const LENGTH: f64 = 60.0;

fn women(rows: u64) -> SimulatedBodies {
    Population::ansur_women().bodies(1, 0..rows).expect("a population")
}

fn bodies(women: &SimulatedBodies) -> Bodies<'_> {
    Bodies {
        body: Body {
            waist: Column::Values(&women.waist),
            hip: Column::Values(&women.hip),
            hip_depth: Column::Values(&women.hip_depth),
            length: Column::Constant(LENGTH),
        },
        figure: Figure::default(),
        ease: EASE.map(Column::Constant),
        rules: Column::constant_rules(&Rules::default()),
        unit: Unit::Cm,
    }
}

fn threads(count: usize) -> Threads {
    Threads::new(Some(count)).expect("threads")
}

fn times(c: &mut Criterion) {
    let mut group = c.benchmark_group("table");
    group.sample_size(10);
    for rows in [1_000, 10_000, 100_000, 1_000_000] {
        let women = women(rows);
        group.throughput(Throughput::Elements(rows));
        for count in [1, 2] {
            let threads = threads(count);
            let id = BenchmarkId::new(format!("{count} threads"), rows);
            let mut table = Table::default();
            group.bench_function(id, |b| b.iter(|| bodies(&women).draft_into(&mut table, &threads)));
        }
    }
    group.finish();
}

/// Returns the least time of a call of each of two functions, in seconds, over 15 alternating rounds.
fn min_seconds<A, B>(one: impl FnMut() -> A, other: impl FnMut() -> B) -> [f64; 2] {
    fn seconds<T>(work: &mut impl FnMut() -> T) -> f64 {
        let start = Instant::now();
        black_box(work());
        start.elapsed().as_secs_f64()
    }
    let (mut one, mut other) = (one, other);
    let rounds = (0..15).map(|_| [seconds(&mut one), seconds(&mut other)]);
    rounds.fold([f64::INFINITY; 2], |min, now| [min[0].min(now[0]), min[1].min(now[1])])
}

criterion_group!(benches, times);

fn main() {
    ratios();
    benches();
    Criterion::default().configure_from_args().final_summary();
}

fn ratios() {
    let women = women(1_000_000);
    let [one, two] = [1, 2].map(threads);
    let mut reused = Table::default();
    bodies(&women).draft_into(&mut reused, &one).expect("a table");
    let columns = reused.columns().len();
    let [new, constants] = min_seconds(
        || bodies(&women).draft(&one),
        || (0..columns).map(|k| vec![1.5 + k as f64; women.waist.len()]).collect::<Vec<_>>(),
    );
    println!("1,000,000 bodies, one thread: new table {new:.3} s, new table of {columns} constants {constants:.3} s");
    let one_thread = min_seconds(|| bodies(&women).draft_into(&mut reused, &one), || ())[0];
    let two_threads = min_seconds(|| bodies(&women).draft_into(&mut reused, &two), || ())[0];
    println!(
        "1,000,000 bodies: one thread {one_thread:.3} s, two {two_threads:.3} s, ratio {:.2}",
        one_thread / two_threads
    );
    figure_ratios(&one);
}

/// Prints the time of tables whose rows all have a figure, as multiples of the time of the same table without figures.
fn figure_ratios(thread: &Threads) {
    let women = women(4_000);
    let column = |number: fn(f64, f64, f64) -> f64| {
        let girths = women.waist.iter().zip(&women.hip).zip(&women.hip_depth);
        girths.map(|((waist, hip), depth)| number(*waist, *hip, *depth)).collect::<Vec<_>>()
    };
    // Heights vary with the body, so that no two rows have the same lengths.
    let fronts = column(|waist, hip, _| 100.0 + (waist - 0.75 * hip) * 0.1);
    let arcs = [column(|_, hip, _| 0.51 * hip), column(|waist, _, _| 0.52 * waist)];
    let high = [column(|waist, hip, _| 0.3 * waist + 0.7 * hip), column(|_, _, depth| 0.5 * depth)];
    // About as large as the skirt by the rules allows: half of the bodies need a fuller side seam.
    let tight = column(|waist, hip, depth| 0.23 * waist + 0.77 * hip + 2.7 + (depth - 19.2) * 0.5);
    let [fronts, front_hips, front_waists, girths, depths, tight] =
        [&fronts, &arcs[0], &arcs[1], &high[0], &high[1], &tight].map(|numbers| Some(Column::Values(numbers)));
    let (side_length, none) = (Some(Column::Constant(100.0)), Figure::default());
    let tight = Figure { high_hip: tight, high_hip_depth: depths, ..none };
    let figures = [
        ("lengths", Figure { front_length: fronts, side_length, back_length: Some(Column::Constant(99.0)), ..none }),
        ("front hip", Figure { front_hip: front_hips, ..none }),
        ("front waist", Figure { front_waist: front_waists, ..none }),
        ("high hip", Figure { high_hip: girths, high_hip_depth: depths, ..none }),
        ("high hip, for half too tight by the rules", tight),
        ("front waist and high hip, for half too tight by the rules", Figure { front_waist: front_waists, ..tight }),
    ];
    let [mut plain, mut measured] = [Table::default(), Table::default()];
    for (name, figure) in figures {
        let [time, without] = min_seconds(
            || Bodies { figure, ..bodies(&women) }.draft_into(&mut measured, thread),
            || bodies(&women).draft_into(&mut plain, thread),
        );
        println!("4,000 bodies with {name}: {:.1} × the time without", time / without);
    }
}
