//! Laws of printed nests: strokes and names of sizes, letters of the key, common points of pieces, layers of sizes.

use kirtle::drawing::{Drawing, LayerKind, LineStyle, Mark, Paper, Part, TextAlign, draw_nest, paginate};
use kirtle::files::dxf;
use kirtle::pattern::{Vent, WaistFinish, WaistFinishKind};
use kirtle::sizes::Nest;
use kirtle::{Cutting, Ease, Path, Point, Preset, Role, Rules, SizeChart, SizeRange, Unit};

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
fn the_stroke_of_a_size_differs_from_those_of_its_five_neighbours_on_both_sides_and_from_folds() {
    let drawing = nest(Preset::None);
    let key: Vec<&[f64]> = drawing.key[1..].iter().map(|row| row.stroke.unwrap().dash_pattern_mm()).collect();
    assert_eq!(key.len(), 12);
    for (k, dashes) in key.iter().enumerate() {
        assert!(key[k + 1..].iter().take(5).all(|other| other != dashes), "{k}: {dashes:?}");
        assert_ne!(*dashes, LineStyle::DashDot.dash_pattern_mm());
    }
}

#[test]
fn a_nest_says_what_to_buy_and_which_sizes_its_cautions_concern() {
    let notes = nest(Preset::None).notes;
    assert!(notes.contains(&"Notions: thread, a zip of 20 cm.".to_owned()), "{notes:?}");
    assert!(
        notes.iter().any(|note| note.starts_with("Caution: The hem is 89.0 cm") && note.ends_with("(size 32, 34)"))
    );
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

/// Returns the nest of all sizes with the pieces of a finish, and its drawing.
fn finished_nest(kind: WaistFinishKind, preset: Preset) -> (Nest, Drawing) {
    let finish = Some(WaistFinish::with_usual_lengths(kind, Unit::Cm));
    let nest = range().nest(&[], &Cutting { finish, ..Cutting::preset(preset, Unit::Cm) }).unwrap();
    let drawing = draw_nest(&nest, Unit::Cm);
    (nest, drawing)
}

/// Returns the part that draws a piece of a size.
fn part_of_size<'d>(drawing: &'d Drawing, piece: &str, size: &str) -> &'d Part {
    drawing.parts.iter().find(|part| part.name == piece && part.set == size).unwrap()
}

#[test]
fn names_along_side_seams_that_cross_or_coincide_never_overlap() {
    let girths = [[68.0, 96.0], [68.0, 96.0], [76.0, 96.2], [70.0, 98.0], [80.0, 97.0]];
    let size = |(waist_and_hip, k): ([f64; 2], i32)| {
        let body = kirtle::Body { waist: waist_and_hip[0], hip: waist_and_hip[1], hip_depth: 20.0, length: 60.0 };
        kirtle::Size { name: k.to_string(), body }
    };
    let chart = SizeChart::new(girths.into_iter().zip(1..).map(size).collect()).unwrap();
    let range = chart.draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let drawing = draw_nest(&range.nest(&[], &Cutting::preset(Preset::None, Unit::Cm)).unwrap(), Unit::Cm);
    for piece in ["back", "front"] {
        let marks = drawing.parts.iter().filter(|part| part.name == piece).flat_map(|part| &part.layers);
        let upwards = |mark: &Mark| match mark {
            Mark::Text { at, text, align: TextAlign::CentredUpwards, .. } if text.len() == 1 => Some(*at),
            _ => None,
        };
        let names: Vec<Point> = marks.flat_map(|layer| &layer.marks).filter_map(upwards).collect();
        assert!(names.len() >= 5 * 4, "{piece}: {}", names.len());
        for (k, a) in names.iter().enumerate() {
            let is_clear = |b: &Point| (a.x - b.x).abs() > 2.5 || (a.y - b.y).abs() > 2.5;
            assert!(names[..k].iter().all(is_clear), "{piece}: {a} {names:?}");
        }
    }
}

/// Checks that a part has exactly `count` texts, each the name of its size.
fn check_names(part: &Part, count: usize) {
    let marks = part.layers.iter().filter(|layer| layer.kind == LayerKind::Text).flat_map(|layer| &layer.marks);
    let texts: Vec<&Mark> = marks.collect();
    assert_eq!(texts.len(), count, "{} {}", part.name, part.set);
    assert!(texts.iter().all(|mark| matches!(mark, Mark::Text { text, .. } if *text == part.set)));
}

/// Checks that a point is within `tolerance` mm of the first one, which the first call keeps.
fn check_common(first: &mut Option<Point>, point: Point, tolerance: f64) {
    let first = first.get_or_insert(point);
    assert!((point - *first).norm() <= tolerance, "{first} {point}");
}

#[test]
fn waistbands_share_the_centre_front_and_the_edge_sewn_to_the_waist() {
    for (preset, kind) in [(Preset::None, LayerKind::Seam), (Preset::Garment, LayerKind::Cut)] {
        let (nest, drawing) = finished_nest(WaistFinishKind::Waistband, preset);
        let mut centre_front = None;
        for (row, (name, pattern)) in drawing.key[1..].iter().zip(nest.sizes()) {
            let part = part_of_size(&drawing, "waistband", name);
            let is_level = |path: &Path| (path.start().y - path.end().y).abs() < 1e-9;
            // Lines across the band at both centres back, both side seams and the centre front, in order from the top.
            let across = lines(part, LayerKind::Guide).into_iter().map(|(paths, stroke)| (&paths[0], stroke));
            let mut across: Vec<&Path> = across
                .filter(|(path, _)| is_level(path) && path.length() > 50.0)
                .map(|(path, stroke)| {
                    assert_eq!(Some(stroke), row.stroke);
                    path
                })
                .collect();
            across.sort_by(|a, b| a.start().y.total_cmp(&b.start().y));
            let [top, upper, centre, lower, bottom] = across[..] else { panic!("{across:?}") };
            check_common(&mut centre_front, centre.start(), 1e-9);
            let [back, front] = pattern.pieces().map(|piece| 10.0 * piece.panel.edge_length(Role::Waist));
            for (line, along) in [(top, back + front), (upper, front), (lower, -front), (bottom, -back - front)] {
                assert!((centre.start().y - line.start().y - along).abs() < 1e-6, "{name}");
            }
            let (ends, long): (Vec<_>, Vec<_>) =
                lines(part, kind).into_iter().partition(|(paths, _)| is_level(&paths[0]));
            assert!(ends.len() == 2 && ends.iter().all(|(_, stroke)| Some(*stroke) == row.stroke));
            let allowance = pattern.cut_allowances.waist;
            for (paths, stroke) in &long {
                let length = 2.0 * (back + front) + 10.0 * (3.0 + 2.0 * allowance);
                assert!(*stroke == LineStyle::Solid && (paths[0].length() - length).abs() < 1e-6, "{name}");
            }
            let darts: usize = pattern.pieces().map(|piece| piece.panel.darts.len()).iter().sum();
            // Names at the ends, at the seams but the centre front, and at the darts on the left and on the right.
            check_names(part, 2 + 4 + 2 * darts);
        }
    }
}

#[test]
fn facings_share_the_waist_at_the_centre() {
    for (preset, kind) in [(Preset::None, LayerKind::Seam), (Preset::Garment, LayerKind::Cut)] {
        let (nest, drawing) = finished_nest(WaistFinishKind::Facing, preset);
        for (k, piece) in ["back-facing", "front-facing"].into_iter().enumerate() {
            let mut corner = None;
            for (row, (name, pattern)) in drawing.key[1..].iter().zip(nest.sizes()) {
                let part = part_of_size(&drawing, piece, name);
                let (paths, stroke) = lines(part, kind)[0];
                assert_eq!(Some(stroke), row.stroke);
                // With allowances the corner of the cut line depends a little on the slope of the waist.
                check_common(&mut corner, paths[0].start(), if preset == Preset::None { 1e-9 } else { 0.3 });
                let waist = 10.0 * pattern.pieces()[k].panel.edge_length(Role::Waist);
                let darts = pattern.pieces()[k].panel.darts.len();
                if preset == Preset::None {
                    let sewn: f64 = paths[..=darts].iter().map(Path::length).sum();
                    assert!((sewn - waist).abs() < 1e-6, "{piece} {name}");
                }
                check_names(part, darts + 1);
            }
        }
    }
}

#[test]
fn all_pieces_of_a_size_are_on_its_one_dxf_layer() {
    let text = "name,waist,hip,hip_depth,length\nklein ä,70,94,20,60\nmittel ä,76,100,20,60\ngroß ä,82,106,20,60\n";
    let chart = SizeChart::from_csv(text, Unit::Cm).unwrap();
    let range = chart.draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Facing, Unit::Cm));
    let nest = range.nest(&[], &Cutting { finish, ..Cutting::default() }).unwrap();
    let written = dxf(&draw_nest(&nest, Unit::Cm));
    let (names, values): (Vec<&str>, Vec<&str>) =
        (written.lines().step_by(2).collect(), written.lines().skip(1).step_by(2).collect());
    let tags: Vec<(&str, &str)> = names.into_iter().map(str::trim).zip(values).collect();
    let layers: Vec<&str> = tags.windows(2).filter(|pair| pair[0] == ("0", "LAYER")).map(|pair| pair[1].1).collect();
    let sizes = ["Size klein __1", "Size mittel __2", "Size gro_ __3"];
    assert_eq!(layers[layers.len() - 3..], sizes);
    let inserted: Vec<&str> = tags.windows(2).filter(|pair| pair[0] == ("0", "INSERT")).map(|pair| pair[1].1).collect();
    // Back, front and both facings in each size; then what all sizes share.
    for (k, parts) in inserted.chunks(4).take(3).enumerate() {
        assert_eq!(parts, [sizes[k]; 4]);
    }
    assert_eq!(inserted.len(), 16);
}

#[test]
fn a_nest_draws_the_fold_of_its_vents_once_and_each_upper_cut_edge_in_the_stroke_of_its_size() {
    for (preset, kind) in [(Preset::None, LayerKind::Seam), (Preset::Garment, LayerKind::Cut)] {
        let vent = Some(Vent { vent: 18.0, vent_width: 4.0 });
        let nest = range().nest(&["36-42"], &Cutting { vent, ..Cutting::preset(preset, Unit::Cm) }).unwrap();
        let drawing = draw_nest(&nest, Unit::Cm);
        assert!(drawing.notes[2].starts_with("Vent 18.0 cm high: cut it with the back"), "{:?}", drawing.notes);
        let backs: Vec<&Part> = drawing.parts.iter().filter(|part| part.name == "back").collect();
        assert!(backs.len() == 4 && backs.iter().all(|part| lines(part, LayerKind::Fold).is_empty()));
        for (row, (part, (_, pattern))) in drawing.key[1..].iter().zip(backs.iter().zip(nest.sizes())) {
            let edge = 10.0 * (4.0 - pattern.cut_allowances.centre_back);
            let is_edge = |path: &&Path| {
                let along = path.end() - path.start();
                (along.x - edge).abs() < 1e-6 && along.y.abs() < 1e-6
            };
            let outline = lines(part, kind).into_iter().filter(|(paths, _)| paths.iter().any(|path| is_edge(&path)));
            assert_eq!(outline.map(|(_, stroke)| Some(stroke)).collect::<Vec<_>>(), [row.stroke]);
        }
        let marks = drawing.parts.iter().find(|part| part.name == "back-marks").unwrap();
        let [(fold, LineStyle::DashDot)] = lines(marks, LayerKind::Fold)[..] else { panic!("one fold expected") };
        // Hip depths from 36 to 42 differ by 0.6 cm, and so do the levels of the hems below the hip line.
        assert!((fold[0].length() - 186.0).abs() < 1e-6, "{}", fold[0].length());
        let texts = marks.layers.iter().flat_map(|layer| &layer.marks);
        let label = "vent 18.0 cm: fold at the centre back, neaten the edge";
        assert!(texts.clone().filter(|mark| matches!(mark, Mark::Text { text, .. } if text == label)).count() == 1);
        let levels = texts.filter_map(|mark| match mark {
            Mark::Text { text, at, .. } if text == "lengthen or shorten here" => Some(at.y),
            _ => None,
        });
        // The fold starts at the top of the highest vent.
        let top = fold[0].start().y.min(fold[0].end().y);
        assert!(matches!(levels.collect::<Vec<_>>()[..], [y] if y + 15.0 < top), "above {top}");
    }
}
