//! Every call frees the memory that it allocates.

// Tests may panic: a panic fails the test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
// An allocator that counts the allocated bytes needs unsafe code.
#![allow(unsafe_code)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::hint::black_box;
use std::sync::atomic::{AtomicIsize, Ordering};

use kirtle::batch::{Bodies, Column, Threads};
use kirtle::document::Request;
use kirtle::drawing::Paper;
use kirtle::ease_profile::BodyProfile;
use kirtle::files::SvgScale;
use kirtle::pattern::Cloth;
use kirtle::sensitivity::{SeekTarget, StandardErrors};
use kirtle::sizes::ChoiceRule;
use kirtle::{Body, Cutting, Draft, Ease, Figure, Half, Rules, SizeChart, Unit};

/// System allocator that counts the allocated bytes.
struct CountingAllocator;

static ALLOCATED_BYTES: AtomicIsize = AtomicIsize::new(0);

fn signed(size: usize) -> isize {
    isize::try_from(size).unwrap_or(isize::MAX)
}

// SAFETY: every call is forwarded unchanged to the system allocator.
unsafe impl GlobalAlloc for CountingAllocator {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        ALLOCATED_BYTES.fetch_add(signed(layout.size()), Ordering::Relaxed);
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        ALLOCATED_BYTES.fetch_sub(signed(layout.size()), Ordering::Relaxed);
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: CountingAllocator = CountingAllocator;

const BODY: Body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Number of repeated calls; a leak of one byte in each call is detected.
const CALL_COUNT: isize = 20;

/// Returns the bytes that `CALL_COUNT` calls leave allocated, beyond the one-time setup of a first call.
///
/// The result is the least of three runs, because the test harness allocates, too.
fn leaked_bytes(call: &dyn Fn(), allowed: isize) -> isize {
    call();
    let mut min = isize::MAX;
    for _ in 0..3 {
        let before = ALLOCATED_BYTES.load(Ordering::Relaxed);
        (0..CALL_COUNT).for_each(|_| call());
        wait_for_threads(before + allowed);
        min = min.min(ALLOCATED_BYTES.load(Ordering::Relaxed) - before);
        if min <= allowed {
            break;
        }
    }
    min
}

/// Waits at most half a second for ending threads to free their memory.
fn wait_for_threads(before: isize) {
    for _ in 0..100 {
        if ALLOCATED_BYTES.load(Ordering::Relaxed) <= before {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
}

fn draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

/// Name of a call, and the call.
type NamedCall = (&'static str, Box<dyn Fn()>);

/// Returns calls that succeed.
fn successful_calls() -> Vec<NamedCall> {
    let pattern = || draft().pattern(&Cutting::default()).unwrap();
    let range = || SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24},
        "ease": {"waist": 0.5, "hip": 2}, "cutting": {"name": "Ann"}, "cloth": {"width": 55}}"#;
    let cloth = Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 };
    vec![
        ("draft", Box::new(|| drop(black_box(draft())))),
        ("draft_json", Box::new(move || drop(black_box(kirtle::draft_json(request).unwrap())))),
        ("request", Box::new(move || drop(Request::from_json(request).unwrap().to_json()))),
        ("proof", Box::new(|| drop((draft().proof(), draft().findings())))),
        ("svg", Box::new(|| drop(kirtle::files::svg(&kirtle::drawing::draw_draft(&draft(), Unit::Cm), SvgScale::Fit)))),
        ("dxf", Box::new(move || drop(kirtle::files::dxf(&kirtle::drawing::draw_pattern(&pattern(), Unit::Cm))))),
        #[cfg(feature = "pdf")]
        (
            "pdf",
            Box::new(move || {
                let drawing = kirtle::drawing::draw_pattern(&pattern(), Unit::Cm);
                drop(kirtle::files::pdf(&kirtle::drawing::paginate(&drawing, &Paper::named("A4").unwrap()).unwrap()));
            }),
        ),
        ("lay", Box::new(move || drop(pattern().lay(&cloth).unwrap()))),
        (
            "save",
            Box::new(move || {
                let path = std::env::temp_dir().join(format!("kirtle-memory-{}.svg", std::process::id()));
                pattern().save(&path, Unit::Cm, &Paper::named("A4").unwrap()).unwrap();
                std::fs::remove_file(path).unwrap();
            }),
        ),
        ("sensitivity", Box::new(|| drop(draft().sensitivity(&[]).unwrap()))),
        (
            "uncertainty",
            Box::new(|| drop(draft().uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm).unwrap())),
        ),
        (
            "seek",
            Box::new(|| {
                let target = SeekTarget::from_name("back.width", 25.0, None).unwrap();
                drop(draft().seek("ease.hip", &target, None, Unit::Cm));
            }),
        ),
        (
            "ease",
            Box::new(|| {
                let profile = BodyProfile::HighHip { girth: 88.0, depth: 10.0 };
                drop(draft().ease_by_level(&profile, None, Unit::Cm).unwrap());
            }),
        ),
        (
            "range",
            Box::new(move || drop((range().alter(&Body { waist: 70.0, hip: 100.0, ..BODY }, None).unwrap(), range()))),
        ),
        ("choose", Box::new(|| drop(SizeChart::demo().choose(&BODY, &ChoiceRule::default())))),
        ("csv", Box::new(|| drop(SizeChart::from_csv(&SizeChart::demo().to_csv(Unit::Cm), Unit::Cm).unwrap()))),
        ("table", Box::new(|| draft_table(1))),
        ("table of threads", Box::new(|| draft_table(3))),
    ]
}

/// Returns calls that return an error.
fn refused_calls() -> Vec<NamedCall> {
    let rules = || Rules::default();
    vec![
        (
            "body",
            Box::new(move || drop(kirtle::draft(&Body { waist: f64::NAN, ..BODY }, &EASE, &rules()).unwrap_err())),
        ),
        ("hem", Box::new(move || drop(kirtle::draft(&Body { length: 20.5, ..BODY }, &EASE, &rules()).unwrap_err()))),
        (
            "text",
            Box::new(|| {
                drop(kirtle::draft_json(r#"{"unit": "mm", "unit": 7, "body": [[], {"a": "b"}]}"#).unwrap_err());
            }),
        ),
        ("broken", Box::new(|| drop(kirtle::draft_json(&"[{\"a\": ".repeat(100)).unwrap_err()))),
        ("csv", Box::new(|| drop(SizeChart::from_csv("name,waist\nS,\"x\n", Unit::Cm).unwrap_err()))),
        (
            "target",
            Box::new(|| drop(draft().seek("ease.hip", &SeekTarget::Darts(Half::Back, 3), None, Unit::Cm).unwrap_err())),
        ),
        ("paper", Box::new(|| drop(Paper::named(&"x".repeat(10_000)).unwrap_err()))),
    ]
}

/// Drafts a table of 1200 rows, some of which are refused.
fn draft_table(threads: usize) {
    let waists: Vec<f64> = (0..1200_u32).map(|k| 30.0 + f64::from(k) / 16.0).collect();
    let body = Body { waist: Column::Values(&waists), ..BODY.map(Column::Constant) };
    let bodies = Bodies {
        body,
        figure: Figure::default(),
        ease: EASE.map(Column::Constant),
        rules: Column::constant_rules(&Rules::default()),
        unit: Unit::Cm,
    };
    let threads = Threads::new(Some(threads)).unwrap();
    let table = bodies.draft_outlines(&threads).unwrap();
    assert!(table.problems(0).is_some() && table.problems(1199).is_none());
}

/// This file has only one test, because the allocations of another test would be counted, too.
#[test]
fn every_call_frees_what_it_allocates() {
    let mut leaks = Vec::new();
    for (name, call) in successful_calls().into_iter().chain(refused_calls()) {
        // The queues of a thread pool keep a bounded amount of memory until their next use.
        let allowed = if name == "table of threads" { 64 * 1024 } else { 0 };
        let leaked = leaked_bytes(&*call, allowed);
        if leaked > allowed {
            leaks.push(format!("{name}: {leaked} bytes after {CALL_COUNT} calls"));
        }
    }
    let leaked = leaked_bytes(&|| std::mem::forget(black_box(vec![0_u8; 7])), 0);
    assert!(leaked >= 7 * CALL_COUNT, "the counter missed a deliberate leak: {leaked}");
    assert!(leaks.is_empty(), "{leaks:#?}");
}
