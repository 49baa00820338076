//! Laws of the lay, over all valid drafts, allowances and cloths; values from handbooks.

use crate::bodies::{cases, cuttings, ordinary_requests, pattern_or_reject, requests};
use crate::pieces::{check_lay, cloths, polyline};
use kirtle::drawing::{
    Drawing, LayerKind, LineStyle, Mark, Paper, Part, draw_lay, draw_lay_at_true_size, draw_lay_on_page,
};
use kirtle::pattern::{Cloth, Lay, Vent, WaistFinish, WaistFinishKind};
use kirtle::{Body, Code, Cutting, Ease, PanelRules, Path, Pattern, Preset, Rules, Unit};
use proptest::prelude::*;

fn lay_or_reject(pattern: &Pattern, cloth: Cloth) -> Result<Lay, TestCaseError> {
    pattern.lay(&cloth).map_err(|_| TestCaseError::reject("too narrow"))
}

proptest! {
    #![proptest_config(cases(3_000))]

    #[test]
    fn pieces_lie_on_the_cloth_and_not_on_each_other(
        request in requests(Unit::Cm), cutting in cuttings(), cloth in cloths(),
    ) {
        let pattern = pattern_or_reject(&request, &cutting)?;
        check_lay(&lay_or_reject(&pattern, cloth)?)?;
    }

    #[test]
    fn a_second_direction_or_a_wider_cloth_never_takes_more_length(request in ordinary_requests(), cloth in cloths()) {
        let pattern = pattern_or_reject(&request, &Cutting::default())?;
        let lay = lay_or_reject(&pattern, cloth)?;
        let one_way = lay_or_reject(&pattern, Cloth { one_way: true, ..cloth })?;
        prop_assert!(lay.length <= one_way.length + 1e-9);
        let wider = lay_or_reject(&pattern, Cloth { width: cloth.width + 10.0, ..cloth })?;
        prop_assert!(wider.length <= lay.length + 0.5, "{}, on the wider cloth {}", lay.length, wider.length);
    }

    #[test]
    fn the_minimum_width_in_the_error_is_just_enough(request in requests(Unit::Cm), folded in any::<bool>()) {
        let pattern = pattern_or_reject(&request, &Cutting::default())?;
        if let Err(problems) = pattern.lay(&Cloth { width: 40.0, folded, one_way: false, selvedge: 1.0 }) {
            prop_assert_eq!(problems[0].code, Code::ClothTooNarrow);
            let Some(kirtle::error::GivenValue::Number(min)) = problems[0].limit else { panic!("no minimum") };
            let fits = |width| pattern.lay(&Cloth { width, folded, one_way: false, selvedge: 1.0 }).is_ok();
            prop_assert!(fits(min) && !fits(min - 0.11));
        }
    }
}

/// Front and facing are whole, and mirrored or turned backs keep their shape; all lines are at most as far out as the
/// marks of notches.
#[test]
fn a_lay_at_true_size_draws_each_piece_at_its_place_on_the_cloth() {
    let draft = sample_pattern(60.0, Preset::Garment, Unit::Cm).draft().clone();
    let vent = Some(Vent { vent: 15.0, vent_width: 4.0 });
    for (kind, width, one_way) in WaistFinishKind::ALL
        .into_iter()
        .flat_map(|kind| [(kind, 90.0, true), (kind, 115.0, false), (kind, 140.0, false), (kind, 330.0, false)])
    {
        let finish = Some(WaistFinish::with_usual_lengths(kind, Unit::Cm));
        let pattern = draft.pattern(&Cutting { vent, finish, ..Cutting::default() }).unwrap();
        let lay = pattern.lay(&Cloth { width, folded: false, one_way, selvedge: 1.0 }).unwrap();
        let drawing = draw_lay_at_true_size(&lay, Unit::Cm).unwrap();
        assert_eq!(format!("{:?}", drawing.size_mm), format!("{:?}", [lay.cloth.width * 10.0, lay.length * 10.0]));
        assert_eq!(drawing.parts.len(), lay.placed.len() + 1);
        for (part, placed) in drawing.parts.iter().zip(&lay.placed) {
            let points = |kind| {
                let marks = part.layers.iter().filter(move |layer| layer.kind == kind).flat_map(|layer| &layer.marks);
                let paths =
                    marks.filter_map(|mark| if let Mark::Line { paths, .. } = mark { Some(paths) } else { None });
                paths.flatten().flat_map(Path::points).copied().collect::<Vec<_>>()
            };
            let outline: Vec<_> = placed.outline.iter().flat_map(Path::points).map(|point| point * 10.0).collect();
            let cut = points(LayerKind::Cut);
            assert_eq!(cut.len(), outline.len());
            for point in &cut {
                assert!(outline.iter().any(|other| (point - other).norm() < 1e-6), "{:?} {point}", placed.name);
            }
            let [x, y] = [0, 1].map(|axis| {
                let ends =
                    |at: f64| outline.iter().map(move |point| point[axis] * at).fold(f64::INFINITY, f64::min) * at;
                ends(1.0) - 3.1..ends(-1.0) + 3.1
            });
            let kinds = [LayerKind::Seam, LayerKind::Dart, LayerKind::Notch, LayerKind::Guide, LayerKind::Grain];
            assert!(kinds.into_iter().flat_map(points).all(|point| x.contains(&point.x) && y.contains(&point.y)));
        }
    }
}

fn sample_pattern(length: f64, preset: Preset, unit: Unit) -> Pattern {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    draft.pattern(&Cutting::preset(preset, unit)).unwrap()
}

/// Published: a skirt 60 cm long takes about 70 cm of cloth 140 cm wide. Common practice: a trial garment of narrow
/// cloth takes 1 to 1½ yards.
#[test]
fn the_cloth_to_buy_is_that_of_handbooks() {
    let wide = Cloth { width: 140.0, folded: true, one_way: true, selvedge: 1.0 };
    let lay = sample_pattern(60.0, Preset::Garment, Unit::Cm).lay(&wide).unwrap();
    assert!((lay.to_buy_cm() - 70.0).abs() < 1e-9, "{}", lay.to_buy_cm());
    for inches in [36.0, 45.0] {
        let narrow = Cloth { width: inches * 2.54, folded: true, one_way: false, selvedge: 1.0 };
        let lay = sample_pattern(58.0, Preset::Trial, Unit::In).lay(&narrow).unwrap();
        assert!((1.0..=1.5).contains(&lay.to_buy_yd()), "{inches} in: {}", lay.to_buy_yd());
    }
}

#[test]
fn the_length_to_buy_is_rounded_up_to_the_steps_of_shops() {
    let cloth = Cloth { width: 140.0, folded: true, one_way: true, selvedge: 1.0 };
    let lay = sample_pattern(60.0, Preset::Garment, Unit::Cm).lay(&cloth).unwrap();
    let to_buy = |length| Lay { length, ..lay.clone() }.to_buy_cm();
    // An excess of 1e-12 cm is rounding and buys no further step.
    let lengths_to_buy = [69.9, 70.0, 70.0 + 1e-12, 70.001].map(|length| format!("{}", to_buy(length)));
    assert_eq!(lengths_to_buy, ["70", "70", "70", "80"]);
    assert_eq!(Lay { length: 1.5 * 91.44, ..lay }.to_buy_yd().to_bits(), 1.5_f64.to_bits());
}

/// At two usual widths, folded, or laid open where that needs less; a width too narrow for the pattern is left out.
#[test]
fn the_notes_on_a_pattern_state_the_cloth_to_buy() {
    let note = |pattern: &Pattern, unit: Unit| -> Option<String> {
        let drawing = kirtle::drawing::draw_pattern(pattern, unit);
        let printed = kirtle::drawing::with_notes_on_buying(drawing.clone(), pattern, unit);
        assert_eq!(printed.notes.last(), drawing.notes.last());
        let zip = if unit == Unit::Cm { "20 cm" } else { "8 in" };
        let notions = format!("Notions: thread, a zip of {zip}");
        assert!(printed.notes.iter().any(|note| note.starts_with(&notions)), "{:?}", printed.notes);
        printed.notes.into_iter().find(|note| note.starts_with("Cloth to buy"))
    };
    let ordinary = sample_pattern(60.0, Preset::Garment, Unit::Cm);
    let to_buy = |pattern: &Pattern, width, folded| {
        pattern.lay(&Cloth { width, folded, one_way: false, selvedge: 1.0 }).unwrap().to_buy_cm()
    };
    let [narrow, wide] = [90.0, 140.0].map(|width| to_buy(&ordinary, width, true));
    assert!(narrow <= to_buy(&ordinary, 90.0, false) && wide <= to_buy(&ordinary, 140.0, false));
    let folded = "folded lengthwise, right sides together";
    let lengths = format!("{narrow} cm at 90 cm wide, {folded}; {wide} cm at 140 cm wide, {folded}");
    let note_of = |kind, lengths| format!("Cloth to buy{kind}: {lengths}. A lay plan shows how to lay the pieces.");
    let expected = note_of(" if it has no nap or print", lengths);
    assert_eq!(note(&ordinary, Unit::Cm).unwrap(), expected);
    assert!(note(&ordinary, Unit::In).unwrap().contains(" yd at 45 in wide, "));
    // A pattern with its own cloth names the length of its lay.
    let cloth = Cloth { width: 115.0, folded: true, one_way: true, selvedge: 1.0 };
    let mut own = ordinary.clone();
    own.cloth = Some(cloth);
    let to_buy_cm = ordinary.lay(&cloth).unwrap().to_buy_cm();
    let length = format!("{to_buy_cm} cm at 115 cm wide, {folded}, all pieces pointing the same way");
    assert_eq!(note(&own, Unit::Cm).unwrap(), note_of("", length));
    // A waistband lies beside back and front on open cloth, but below them on folded cloth.
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Waistband, Unit::Cm));
    let vent = Some(Vent { vent: 18.0, vent_width: 4.0 });
    let cutting = Cutting { finish, vent, ..Cutting::preset(Preset::Garment, Unit::Cm) };
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    let banded =
        kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap().pattern(&cutting).unwrap();
    // Sheets of fittings differ by their rules.
    let rules =
        Rules { panel_rules: PanelRules { centre_back_lower: 0.8, ..PanelRules::default() }, ..Rules::default() };
    let lower = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &rules).unwrap().pattern(&cutting).unwrap();
    let notes = kirtle::drawing::draw_pattern(&lower, Unit::Cm).notes;
    assert!(
        notes.contains(&"Set for this skirt, as after a fitting: centre back lower 0.8 cm.".to_owned()),
        "{notes:?}"
    );
    assert!(to_buy(&banded, 140.0, false) < to_buy(&banded, 140.0, true));
    assert!(note(&banded, Unit::Cm).unwrap().contains("; 90 cm at 140 cm wide, laid open. "));
    // The lay on folded cloth says so, too.
    let lay_notes = |folded| {
        let cloth = Cloth { width: 140.0, folded, one_way: false, selvedge: 1.0 };
        kirtle::drawing::draw_lay(&banded.lay(&cloth).unwrap(), Unit::Cm).notes
    };
    assert_eq!(lay_notes(true)[1..], ["Laid open, 90 cm is enough."]);
    assert_eq!(lay_notes(false).len(), 1);
    // Half of a front 106 cm wide does not fit on half of 90 cm.
    let body = Body { waist: 175.0, hip: 200.0, hip_depth: 22.0, length: 60.0 };
    let large = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let note = note(&large.pattern(&Cutting::default()).unwrap(), Unit::Cm).unwrap();
    assert!(note.contains(": 130 cm at 140 cm wide,"), "{note}");
}

/// The narrowest cloth on which all pieces lie in one row is found by bisection.
#[test]
fn pieces_in_one_row_leave_only_room_for_shears() {
    let pattern = sample_pattern(60.0, Preset::Trial, Unit::Cm);
    let lay = |width, folded| pattern.lay(&Cloth { width, folded, one_way: true, selvedge: 0.0 }).unwrap();
    for (folded, gaps) in [(true, 1.0), (false, 2.0)] {
        let in_a_row = lay(300.0, folded);
        let needs_rows = |width| lay(width, folded).length > in_a_row.length + 1.0;
        let (mut narrow, mut wide) = (60.0, 300.0);
        assert!(needs_rows(narrow));
        while wide - narrow > 0.001 {
            let width = f64::midpoint(narrow, wide);
            *(if needs_rows(width) { &mut narrow } else { &mut wide }) = width;
        }
        let width_of = |placed: &kirtle::pattern::PlacedPiece| {
            let points = placed.outline.iter().flat_map(polyline).map(|point| point.x);
            let (min, max) = points.fold((f64::INFINITY, 0.0_f64), |(min, max), x| (min.min(x), max.max(x)));
            max - min
        };
        let piece_widths = in_a_row.placed.iter().map(width_of).sum::<f64>();
        let room = if folded { wide / 2.0 } else { wide } - piece_widths;
        assert!(room >= 0.5 * gaps - 0.01 && room <= 0.8 * gaps + 0.01, "{room} cm for {gaps} gaps");
    }
}

/// Counts the texts of a drawing that contain some words.
fn count_texts(drawing: &Drawing, words: &str) -> usize {
    let marks = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    marks.filter(|mark| matches!(mark, Mark::Text { text, .. } if text.contains(words))).count()
}

/// Counts the dash-dot lines that divide a piece into halves of equal width, at any point along the line.
fn centre_lines(drawing: &Drawing) -> usize {
    let lines = |part: &Part, wanted: LineStyle| -> Vec<Vec<Path>> {
        let marks = part.layers.iter().flat_map(|layer| layer.marks.clone());
        let line = |mark| if let Mark::Line { paths, stroke } = mark { Some((paths, stroke)) } else { None };
        marks.filter_map(line).filter(|(_, stroke)| *stroke == wanted).map(|(paths, _)| paths).collect()
    };
    let pieces = drawing.parts.iter().filter(|part| part.name != "selvedge");
    let of_piece = |part: &Part| {
        let [outline] = &lines(part, LineStyle::Filled)[..] else { panic!("{}", part.name) };
        let x = outline.iter().flat_map(polyline).map(|point| point.x);
        let (min, max) = x.fold((f64::MAX, f64::MIN), |(min, max), x| (min.min(x), max.max(x)));
        let centre = |line: &Vec<Path>| line[0].points().iter().all(|p| (p.x - f64::midpoint(min, max)).abs() < 1e-6);
        lines(part, LineStyle::DashDot).iter().filter(|line| centre(line)).count()
    };
    pieces.map(of_piece).sum()
}

#[test]
fn a_drawn_lay_labels_each_grain_line_each_centre_line_and_each_turned_piece() {
    let mut turned_pieces = 0;
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Facing, Unit::Cm));
    let cutting = Cutting { finish, ..Cutting::preset(Preset::Garment, Unit::Cm) };
    let pattern = sample_pattern(60.0, Preset::Garment, Unit::Cm).draft().pattern(&cutting).unwrap();
    for (width, folded) in [(90.0, true), (115.0, false), (140.0, true), (150.0, false)] {
        let lay = pattern.lay(&Cloth { width, folded, one_way: false, selvedge: 1.0 }).unwrap();
        let drawing = draw_lay(&lay, Unit::Cm);
        let turned = lay.placed.iter().filter(|placed| placed.turned).count();
        assert_eq!(count_texts(&drawing, "grain line"), lay.placed.len());
        assert_eq!(count_texts(&drawing, "turned"), turned);
        let opened = lay.placed.iter().filter(|placed| placed.name.on_fold() && !placed.on_fold).count();
        assert_eq!((count_texts(&drawing, "centre front"), centre_lines(&drawing)), (opened, opened), "{width}");
        assert!(folded || opened == 2);
        turned_pieces += turned;
    }
    assert!(turned_pieces >= 2, "{turned_pieces}");
}

#[test]
fn a_lay_on_a_page_has_the_largest_scale_that_fits() {
    let pattern = sample_pattern(60.0, Preset::Garment, Unit::Cm);
    let cases = [(115.0, "A4", 5), (150.0, "A4", 6), (150.0, "A3", 5), (400.0, "A4", 15), (400.0, "roll 30 cm", 5)];
    for (width, paper, n) in cases {
        let lay = pattern.lay(&Cloth { width, folded: false, one_way: false, selvedge: 1.0 }).unwrap();
        let paper = Paper::named(paper).unwrap();
        let print = draw_lay_on_page(&lay, Unit::Cm, &paper).unwrap();
        let [page] = &*print.pages else { panic!("{} pages", print.pages.len()) };
        assert!(print.drawing.title.ends_with(&format!("scale 1 : {n}")), "{width}: {}", print.drawing.title);
        assert!((page.window.scale - 5.0 / f64::from(n)).abs() < 1e-12);
        for k in 0..2 {
            assert!(page.window.at[k] + page.window.size_mm[k] <= page.size_mm[k] - paper.margin_mm + 1e-9);
            assert!((print.drawing.size_mm[k] * page.window.scale - page.window.size_mm[k]).abs() < 1e-9);
        }
        // One step larger is too large for the page upright and sideways.
        let larger = print.drawing.size_mm.map(|side| side * 5.0 / f64::from(n - 1) + 2.0 * paper.margin_mm);
        let [a, b] = paper.size_mm;
        assert!(n == 5 || [[a, b], [b, a]].iter().all(|page| larger[0] > page[0] || larger[1] > page[1]));
    }
}

/// The front on the fold of folded cloth may touch the fold; no piece touches a selvedge.
#[test]
fn a_wider_free_strip_needs_wider_cloth() {
    let pattern = sample_pattern(60.0, Preset::Garment, Unit::Cm);
    let minimum = |folded, selvedge| {
        let refused = pattern.lay(&Cloth { width: 40.0, folded, one_way: false, selvedge }).unwrap_err();
        let Some(kirtle::error::GivenValue::Number(min)) = refused[0].limit else { panic!("no minimum") };
        min
    };
    for folded in [true, false] {
        assert!((minimum(folded, 2.5) - minimum(folded, 0.0) - 5.0).abs() < 0.11);
        let refused = pattern.lay(&Cloth { width: 140.0, folded, one_way: false, selvedge: 5.1 }).unwrap_err();
        assert_eq!(refused.to_string(), "cloth.selvedge: 5.1 cm is above the maximum of 5 cm");
    }
}
