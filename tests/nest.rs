//! Laws of printed nests: strokes and names of sizes, letters of the key, lines on or around the cut line.

use kirtle::drawing::{Drawing, LayerKind, LineStyle, Mark, Paper, Part, draw_nest, paginate};
use kirtle::{Cutting, Ease, Path, Preset, Rules, SizeChart, SizeRange, Unit};

/// Eight points of a printer in millimetres.
const EIGHT_POINTS_MM: f64 = 8.0 * 25.4 / 72.0;

fn range() -> SizeRange {
    SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn nest(preset: Preset) -> Drawing {
    draw_nest(&range().nest(&[], &Cutting::preset(preset, Unit::Cm)).unwrap(), Unit::Cm)
}

/// Returns the lines of a part on its layer of a kind.
fn lines(part: &Part, kind: LayerKind) -> Vec<(&[Path], LineStyle)> {
    let marks = part.layers.iter().filter(|layer| layer.kind == kind).flat_map(|layer| &layer.marks);
    let line =
        |mark| if let &Mark::Line { ref paths, stroke } = mark { Some((paths.as_slice(), stroke)) } else { None };
    marks.filter_map(line).collect()
}

#[test]
fn the_stroke_of_a_size_differs_from_those_of_its_six_neighbours_on_both_sides() {
    let drawing = nest(Preset::None);
    let key: Vec<&[f64]> = drawing.key[1..].iter().map(|row| row.stroke.unwrap().dash_pattern_mm()).collect();
    assert_eq!(key.len(), 12);
    for (k, dashes) in key.iter().enumerate() {
        assert!(key[k + 1..].iter().take(6).all(|other| other != dashes), "{k}: {dashes:?}");
    }
}

#[test]
fn outline_and_dart_legs_of_a_size_have_the_stroke_of_the_key() {
    for (preset, kind) in [(Preset::None, LayerKind::Seam), (Preset::Garment, LayerKind::Cut)] {
        let drawing = nest(preset);
        for row in &drawing.key[1..] {
            for part in drawing.parts.iter().filter(|part| part.set == row.cells[0]) {
                let legs = lines(part, LayerKind::Dart);
                assert!(legs.len() == if part.name == "back" { 4 } else { 2 });
                assert!(legs.iter().all(|(_, stroke)| Some(*stroke) == row.stroke));
                // Only the centre line, which all sizes share, is solid in each size.
                let outline = lines(part, kind).into_iter().chain(lines(part, LayerKind::Fold));
                let (own, shared): (Vec<_>, Vec<_>) = outline.partition(|(_, stroke)| Some(*stroke) == row.stroke);
                assert!(!own.is_empty());
                for (paths, _) in shared {
                    assert!(paths.iter().all(|path| (path.start().x - path.end().x).abs() < 1e-9));
                }
            }
        }
    }
}

#[test]
fn cut_lines_lie_outside_of_the_seam_lines_by_the_allowance_at_the_side() {
    let rightmost = |drawing: &Drawing, kind| {
        let part = drawing.parts.iter().find(|part| part.set == "40" && part.name == "back").unwrap();
        let points = lines(part, kind).into_iter().flat_map(|(paths, _)| paths).map(Path::end);
        let x: Vec<f64> = points.map(|point| point.x).collect();
        x.iter().copied().fold(f64::MIN, f64::max) - x.iter().copied().fold(f64::MAX, f64::min)
    };
    // Garment: 1.5 cm at the side and 2 cm at the centre back.
    let difference =
        rightmost(&nest(Preset::Garment), LayerKind::Cut) - rightmost(&nest(Preset::None), LayerKind::Seam);
    assert!((difference - 35.0).abs() < 1e-6, "{difference}");
}

#[test]
fn the_key_on_a4_has_letters_of_at_least_eight_points() {
    let drawing = nest(Preset::Garment);
    let print = paginate(&drawing, &Paper::named("A4").unwrap()).unwrap();
    let marks = print.pages[0].part.layers.iter().flat_map(|layer| &layer.marks);
    let mut cells: Vec<&str> = drawing.key.iter().flat_map(|row| &row.cells).map(String::as_str).collect();
    for mark in marks {
        let Mark::Text { text, size_mm, .. } = mark else { continue };
        if let Some(k) = cells.iter().position(|cell| cell == text) {
            assert!(*size_mm >= EIGHT_POINTS_MM, "{text}: {size_mm} mm");
            cells.swap_remove(k);
        }
    }
    assert!(cells.is_empty(), "{cells:?}");
}

#[test]
fn a_choice_is_a_name_even_with_a_hyphen_or_a_range_in_either_order() {
    let names = |choices: &[&str]| {
        let nest = range().nest(choices, &Cutting::default()).unwrap();
        nest.sizes().iter().map(|(name, _)| name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(names(&["44-40", "32", "42"]), ["32", "40", "42", "44"]);
    assert_eq!(names(&[" 40 - 42 "]), ["40", "42"]);
    let text = "name,waist,hip,hip_depth,length\nS-M,70,94,20,60\nL,76,100,20,60\nL-XL,82,106,20,60\n";
    let chart = SizeChart::from_csv(text, Unit::Cm).unwrap();
    let range = chart.draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    for (choice, count) in [("S-M", 1), ("L-XL", 1), ("S-M-L", 2), ("S-M-L-XL", 3)] {
        assert_eq!(range.nest(&[choice], &Cutting::default()).unwrap().sizes().len(), count, "{choice}");
    }
    assert!(range.nest(&["S"], &Cutting::default()).is_err());
}
