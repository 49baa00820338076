//! What a call allocates is given back: the bytes alive after it are those from before, call after call.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
// Counting what is allocated takes an allocator, which cannot be written without.
#![allow(unsafe_code)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::hint::black_box;
use std::sync::atomic::{AtomicIsize, Ordering};

use kirtle::batch::{Bodies, Column, Threads};
use kirtle::document::Request;
use kirtle::drawing::Paper;
use kirtle::ease_profile::BodyProfile;
use kirtle::files::Scale;
use kirtle::pattern::Cloth;
use kirtle::sensitivity::{StandardErrors, Target};
use kirtle::{Body, Cutting, Draft, Ease, Half, Rules, SizeChart, Unit};

/// The system's allocator, and how many bytes are alive.
struct Counting;

static ALIVE: AtomicIsize = AtomicIsize::new(0);

fn count(size: usize) -> isize {
    isize::try_from(size).unwrap_or(isize::MAX)
}

// SAFETY: all is left to the system's allocator.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        ALIVE.fetch_add(count(layout.size()), Ordering::Relaxed);
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        ALIVE.fetch_sub(count(layout.size()), Ordering::Relaxed);
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static COUNTING: Counting = Counting;

const BODY: Body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Calls of each kind; a leak of one byte in each would show.
const CALLS: isize = 20;

/// The bytes that calls leave alive, beyond what the first one sets up once and for all. The least of three times, as whoever
/// runs the tests allocates, too.
fn left(call: &dyn Fn(), allowed: isize) -> isize {
    call();
    let mut min = isize::MAX;
    for _ in 0..3 {
        let before = ALIVE.load(Ordering::Relaxed);
        (0..CALLS).for_each(|_| call());
        settle(before + allowed);
        min = min.min(ALIVE.load(Ordering::Relaxed) - before);
        if min <= allowed {
            break;
        }
    }
    min
}

/// Waits a little for threads that are about to end.
fn settle(before: isize) {
    for _ in 0..100 {
        if ALIVE.load(Ordering::Relaxed) <= before {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
}

fn draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

/// A call by its name.
type Call = (&'static str, Box<dyn Fn()>);

/// Calls that are answered, by name.
fn answered() -> Vec<Call> {
    let pattern = || draft().pattern(&Cutting::default()).unwrap();
    let range = || SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24},
        "ease": {"waist": 0.5, "hip": 2}, "cutting": {"name": "Ann"}, "cloth": {"width": 55}}"#;
    let cloth = Cloth { width: 140.0, folded: true, one_way: false };
    vec![
        ("draft", Box::new(|| drop(black_box(draft())))),
        ("draft_json", Box::new(move || drop(black_box(kirtle::draft_json(request).unwrap())))),
        ("request", Box::new(move || drop(Request::from_json(request).unwrap().to_json()))),
        ("proof", Box::new(|| drop((draft().proof(), draft().findings())))),
        ("svg", Box::new(|| drop(kirtle::files::svg(&kirtle::drawing::draw(&draft(), Unit::Cm), Scale::Fit)))),
        ("dxf", Box::new(move || drop(kirtle::files::dxf(&kirtle::drawing::draw_pattern(&pattern(), Unit::Cm))))),
        #[cfg(feature = "pdf")]
        (
            "pdf",
            Box::new(move || {
                let drawing = kirtle::drawing::draw_pattern(&pattern(), Unit::Cm);
                drop(kirtle::files::pdf(&kirtle::drawing::print(&drawing, &Paper::named("A4").unwrap()).unwrap()));
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
                drop(draft().seek("ease.hip", &Target::named("back.width", 25.0, None).unwrap(), None, Unit::Cm));
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
        ("choose", Box::new(|| drop(SizeChart::demo().choose(&BODY)))),
        ("csv", Box::new(|| drop(SizeChart::from_csv(&SizeChart::demo().to_csv(Unit::Cm), Unit::Cm).unwrap()))),
        ("table", Box::new(|| table(1))),
        ("table of threads", Box::new(|| table(3))),
    ]
}

/// Calls that are refused, by name.
fn refused() -> Vec<Call> {
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
            Box::new(|| drop(draft().seek("ease.hip", &Target::Darts(Half::Back, 3), None, Unit::Cm).unwrap_err())),
        ),
        ("paper", Box::new(|| drop(Paper::named(&"x".repeat(10_000)).unwrap_err()))),
    ]
}

/// A table of a thousand rows, some of which are refused.
fn table(threads: usize) {
    let waists: Vec<f64> = (0..1200_u32).map(|k| 30.0 + f64::from(k) / 16.0).collect();
    let body = Body { waist: Column::Values(&waists), ..BODY.map(Column::Constant) };
    let bodies =
        Bodies { body, ease: EASE.map(Column::Constant), rules: Column::rules(&Rules::default()), unit: Unit::Cm };
    let threads = Threads::new(Some(threads)).unwrap();
    let table = bodies.draft_outlines(&threads).unwrap();
    assert!(table.problems(0).is_some() && table.problems(1199).is_none());
}

/// One test, as others beside it would allocate, too.
#[test]
fn every_call_gives_back_what_it_takes() {
    let mut leaks = Vec::new();
    for (name, call) in answered().into_iter().chain(refused()) {
        // The queues of threads let go of some memory only when they are next used; it is as much after thousands of calls.
        let allowed = if name == "table of threads" { 64 * 1024 } else { 0 };
        let left = left(&*call, allowed);
        if left > allowed {
            leaks.push(format!("{name}: {left} bytes of {CALLS} calls"));
        }
    }
    let kept = left(&|| std::mem::forget(black_box(vec![0_u8; 7])), 0);
    assert!(kept >= 7 * CALLS, "what is lost is counted: {kept}");
    assert!(leaks.is_empty(), "{leaks:#?}");
}
