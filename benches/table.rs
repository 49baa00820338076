//! Tables of drafts: how time grows with rows and threads, beside the same work with no table around it.
//!
//! `cargo bench --bench table` prints ratios of rounds taken in turn in this one run, then criterion's times. What is measured with
//! no table around it writes where it wrote before, so the table beside it does, too. The constants tell what of a new table is the
//! memory: little where the allocator has it at hand, and most where the system gives it.

// A benchmark that cannot go on should stop, and it prints what it finds.
#![allow(clippy::expect_used, clippy::print_stdout, clippy::cast_precision_loss, missing_docs)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group};
use kirtle::batch::{Bare, Bodies, Column, Table, Threads};
use kirtle::survey::{Population, SimulatedBodies};
use kirtle::{Body, Ease, Rules, Unit};

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
        ease: EASE.map(Column::Constant),
        rules: Column::rules(&Rules::default()),
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

/// The least seconds of several rounds of each, taken in turn.
fn min<A, B>(one: impl FnMut() -> A, other: impl FnMut() -> B) -> [f64; 2] {
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
    let mut out = vec![0.0; women.waist.len()];
    let [one, two] = [1, 2].map(threads);
    let mut again = Table::default();
    bodies(&women).draft_into(&mut again, &one).expect("a table");
    let bare = Bare { bodies: [&women.waist, &women.hip, &women.hip_depth], length: LENGTH, ease: &EASE };
    for (what, all) in [("closing", false), ("all numbers", true)] {
        let mut work = || if all { bare.summaries(&mut out) } else { bare.closings(&mut out) };
        let [table, floor] = min(|| bodies(&women).draft_into(&mut again, &one), &mut work);
        let ratio = table / floor;
        println!("1,000,000 bodies, one thread: table {table:.3} s, {what} alone {floor:.3} s, ratio {ratio:.2}");
    }
    let columns = again.columns().len();
    let [new, written] = min(
        || bodies(&women).draft(&one),
        || (0..columns).map(|k| vec![1.5 + k as f64; women.waist.len()]).collect::<Vec<_>>(),
    );
    println!("1,000,000 bodies, one thread: new table {new:.3} s, new table of {columns} constants {written:.3} s");
    let alone = min(|| bodies(&women).draft_into(&mut again, &one), || ())[0];
    let both = min(|| bodies(&women).draft_into(&mut again, &two), || ())[0];
    println!("1,000,000 bodies: one thread {alone:.3} s, two {both:.3} s, ratio {:.2}", alone / both);
}
