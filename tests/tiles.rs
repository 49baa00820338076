//! A tiled print shows every line, moves whole pieces only, and needs no more sheets than the pattern in its drawn layout.

#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the numbers are small and not negative")]

use crate::bodies;
use std::collections::BTreeSet;

use kirtle::drawing::{Drawing, LayerKind, Mark, Paper, Part, PrintLayout, draw_nest, draw_pattern, paginate};
use kirtle::pattern::{WaistFinish, WaistFinishKind};
use kirtle::{Body, Cutting, Ease, Path, Pattern, Point, Preset, Rules, SizeChart, Unit};
use proptest::prelude::*;

/// Returns points of all printed lines of a part, at most 1 mm apart; the tint of the cloth is not printed.
fn points(part: &Part) -> Vec<Point> {
    let printed = part.layers.iter().filter(|layer| layer.kind != LayerKind::Cloth);
    let marks = printed.flat_map(|layer| &layer.marks);
    let paths = marks.filter_map(|mark| if let Mark::Line { paths, .. } = mark { Some(paths) } else { None }).flatten();
    let along = |path: &Path| {
        // A length that rounding changes gives the same number of points.
        let steps = (path.length() - 1e-6).ceil().max(1.0);
        (0..=steps as u32).map(|k| path.point_at(f64::from(k) / steps)).collect::<Vec<_>>()
    };
    paths.flat_map(along).collect()
}

/// Counts the tiles that the drawing needs as drawn, in the better of portrait and landscape, from points of its lines.
/// A point in the overlap of two tiles needs the left or upper one.
fn tiles_as_drawn(drawing: &Drawing, paper: &Paper) -> usize {
    let points: Vec<Point> = drawing.parts.iter().flat_map(points).collect();
    let count = |sides: [f64; 2]| {
        let steps = sides.map(|side| side - 2.0 * paper.margin_mm - paper.overlap_mm);
        let tile = |p: &Point| [0, 1].map(|k| ((p[k] - paper.overlap_mm) / steps[k]).ceil().max(1.0) as u32);
        points.iter().map(tile).collect::<BTreeSet<_>>().len()
    };
    let [width, height] = paper.size_mm;
    count([width, height]).min(count([height, width]))
}

/// Checks that each line lies on a printed tile, that parts moved as a whole, and that moved parts have 5 mm between them.
fn check_print(drawn: &Drawing, print: &PrintLayout) {
    for (before, after) in drawn.parts.iter().zip(&print.drawing.parts) {
        let (before, after) = (points(before), points(after));
        let step = after[0] - before[0];
        for (a, b) in before.iter().zip(&after) {
            assert!((b - a - step).norm() < 1e-9);
            let is_shown = print.pages[1..].iter().any(|page| {
                let window = page.window;
                (0..2).all(|k| (-1e-9..=window.size_mm[k] + 1e-9).contains(&(b[k] - window.from[k])))
            });
            assert!(is_shown, "{b} is on no tile");
            assert!((0..2).all(|k| (0.0..=print.drawing.size_mm[k]).contains(&b[k])), "{b}");
        }
    }
}

/// Returns the least distance along x or y between the bounds of two parts, in millimetres; below 0 if they overlap.
fn gap(a: &Part, b: &Part) -> f64 {
    let bounds = |part: &Part, k: usize| {
        let values: Vec<f64> = points(part).iter().map(|point| point[k]).collect();
        values.iter().fold((f64::MAX, f64::MIN), |(min, max), x| (min.min(*x), max.max(*x)))
    };
    let along = |k: usize| {
        let ((a0, a1), (b0, b1)) = (bounds(a, k), bounds(b, k));
        (b0 - a1).max(a0 - b1)
    };
    along(0).max(along(1))
}

fn pattern(body: &Body, cutting: &Cutting) -> Option<Pattern> {
    let ease = Ease { waist: 2.0, hip: 5.0 };
    kirtle::draft(body, &ease, &Rules::default()).ok()?.pattern(cutting).ok()
}

fn cutting(finish: Option<WaistFinishKind>) -> Cutting {
    let finish = finish.map(|kind| WaistFinish::with_usual_lengths(kind, Unit::Cm));
    Cutting { finish, ..Cutting::preset(Preset::Garment, Unit::Cm) }
}

/// Returns the texts of the cover.
fn cover_text(print: &PrintLayout) -> String {
    let marks = print.pages[0].part.layers.iter().flat_map(|layer| &layer.marks);
    let text = |mark: &Mark| if let Mark::Text { text, .. } = mark { Some(text.clone()) } else { None };
    marks.filter_map(text).collect::<Vec<_>>().join(" ")
}

const SAMPLE: Body = Body { waist: 72.0, hip: 100.0, hip_depth: 20.0, length: 60.0 };

/// Returns the number of tiles saved that the cover states; 0 if it states none.
fn saved_on_cover(print: &PrintLayout) -> usize {
    let text = cover_text(print);
    let saved = text.split_once(" saved by").map(|(start, _)| start.rsplit_once('(').unwrap().1.parse().unwrap());
    assert!(text.contains(&format!("Print {} sheets", print.pages.len())), "{text}");
    // Tiles are named by row, from 1, and column, from A: each row and column that is stated has a tile.
    let tiles: Vec<&str> = print.pages[1..].iter().map(|page| page.name.as_str()).collect();
    let distinct = |split: fn(char) -> bool| {
        tiles
            .iter()
            .map(|name| name.chars().filter(|letter| split(*letter)).collect::<String>())
            .collect::<BTreeSet<_>>()
            .len()
    };
    let (rows, columns) = (distinct(|letter| letter.is_ascii_digit()), distinct(|letter| letter.is_ascii_uppercase()));
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    let grid = format!("in {rows} row{} and {columns} column{}", plural(rows), plural(columns));
    assert!(text.contains(&grid), "{text}: {grid}");
    // Of a few columns, A to E, each tile of the grid is printed or said to be empty.
    let empty = text.split_once("not printed: ").map_or("", |(_, names)| names.split_once('.').unwrap().0);
    let all = ('A'..='E').take(columns).flat_map(|column| (1..=rows).map(move |row| format!("{row} {column}")));
    for tile in all {
        assert!(tiles.contains(&&*tile) != empty.split(", ").any(|name| name == tile), "{tile}: {text}");
    }
    saved.unwrap_or(0)
}

#[test]
fn a_square_paper_is_refused_once() {
    assert_eq!(Paper::named("8 x 8 cm").unwrap_err().len(), 1);
}

#[test]
fn an_ordinary_pattern_needs_these_tiles() {
    let drawing = draw_pattern(&pattern(&SAMPLE, &cutting(None)).unwrap(), Unit::Cm);
    for (paper, before, after) in [("A4", 12, 10), ("Letter", 12, 12), ("A3", 6, 5)] {
        let named = Paper::named(paper).unwrap();
        let print = paginate(&drawing, &named).unwrap();
        check_print(&drawing, &print);
        let counts = (tiles_as_drawn(&drawing, &named), print.pages.len() - 1, saved_on_cover(&print));
        assert_eq!(counts, (before, after, before - after), "{paper}");
    }
    let roll = paginate(&drawing, &Paper::named("roll 45 cm").unwrap()).unwrap();
    assert_eq!((roll.pages.len() - 1, saved_on_cover(&roll)), (1, 1));
    assert!(roll.pages[1].size_mm[1] > 2.0 * 600.0);
    // The map of a single tile, too, is smaller than any pattern, and nothing is joined.
    let cover = cover_text(&roll);
    assert!(roll.pages[0].window.scale <= 0.2 && cover.contains("do not cut it") && !cover.contains("Trim"), "{cover}");
}

#[test]
fn the_sizes_of_a_nest_stay_on_each_other() {
    let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let drawing = draw_nest(&range.nest(&[], &cutting(Some(WaistFinishKind::Waistband))).unwrap(), Unit::Cm);
    let print = paginate(&drawing, &Paper::named("A4").unwrap()).unwrap();
    check_print(&drawing, &print);
    assert!(saved_on_cover(&print) > 0);
    for piece in ["back", "front", "waistband"] {
        let moved = drawing.parts.iter().zip(&print.drawing.parts).filter(|(part, _)| part.name == piece);
        let steps: Vec<_> = moved.map(|(before, after)| points(after)[0] - points(before)[0]).collect();
        assert_eq!(steps.len(), 12);
        assert!(steps.iter().all(|step| (step - steps[0]).norm() < 1e-9), "{steps:?}");
    }
}

proptest! {
    #![proptest_config(bodies::cases(200))]

    #[test]
    fn moving_pieces_never_needs_more_tiles(
        (waist, drop, hip_depth, length) in (50.0..110.0, 15.0..40.0, 16.0..24.0, 40.0..100.0),
        finish in prop::option::of(prop::sample::select(WaistFinishKind::ALL.to_vec())),
        paper in prop::sample::select(vec!["A4", "Letter", "A3", "30 x 40 cm"]),
    ) {
        let Some(pattern) = pattern(&Body { waist, hip: waist + drop, hip_depth, length }, &cutting(finish)) else {
            return Err(TestCaseError::reject("no pattern"));
        };
        let (drawing, paper) = (draw_pattern(&pattern, Unit::Cm), Paper::named(paper).unwrap());
        let print = paginate(&drawing, &paper).unwrap();
        let (before, after, saved) = (tiles_as_drawn(&drawing, &paper), print.pages.len() - 1, saved_on_cover(&print));
        // A tile of back or front may show only words, which are not counted before.
        prop_assert!((before..=before + 2).contains(&(after + saved)), "{} + {} are not {}", after, saved, before);
        prop_assert!(after <= before || saved == 0);
        check_print(&drawing, &print);
        if saved > 0 {
            let parts = &print.drawing.parts;
            for (k, part) in parts.iter().enumerate() {
                prop_assert!(parts[..k].iter().all(|other| gap(part, other) > 5.0));
            }
        }
    }
}
