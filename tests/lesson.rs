//! Lessons: carrying out the steps, from the data or from the printed words alone, gives the draft.

use crate::bodies;
use std::collections::HashMap;

use kirtle::drawing::{Mark, TextAlign, draw_draft, draw_lesson, draw_pattern};
use kirtle::lesson::{Lesson, StrokeKind};
use kirtle::{
    Apportionment, Body, Cutting, DartCount, Draft, Ease, Figure, PanelRules, Point, Role, Ruler, Rules, Shares,
    SizeChart, Texts, Unit,
};
use proptest::prelude::*;

fn drafted(waist: f64, hip: f64, hip_depth: f64, length: f64) -> Draft {
    let body = Body { waist, hip, hip_depth, length };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn evening_class() -> Draft {
    drafted(74.0, 101.0, 20.5, 62.0)
}

/// Reads a length as it is printed: `3.9`, `28 9/16` or `9/16`, in centimetres.
fn read_length(words: &str, ruler: Ruler) -> f64 {
    let part = |word: &str| match word.split_once('/') {
        Some((above, below)) => above.parse::<f64>().unwrap() / below.parse::<f64>().unwrap(),
        None => word.parse().unwrap(),
    };
    words.split(' ').map(part).sum::<f64>() * ruler.unit().cm_per_unit()
}

/// Carries out the sentences "from X out 1.2 and down 3.4 to Y" of all texts, and those of the frame, as a student does.
fn draw_from_words(texts: &[String], ruler: Ruler) -> HashMap<char, [f64; 2]> {
    let mut points = HashMap::from([('A', [0.0, 0.0])]);
    let letter = |word: &str| word.chars().next().unwrap();
    let frame = texts[0].split_once("measure from A down ").unwrap().1.trim_end_matches('.');
    let (hip, hem) = frame.split_once(" to B, and down ").unwrap();
    points.insert('B', [0.0, read_length(hip, ruler)]);
    points.insert('C', [0.0, read_length(hem.strip_suffix(" to C").unwrap(), ruler)]);
    let width = texts[1].split_once("Measure ").unwrap().1.split_once(" on each line").unwrap().0;
    for (from, to) in [('A', 'D'), ('B', 'E'), ('C', 'F')] {
        points.insert(to, [read_length(width, ruler), points[&from][1]]);
    }
    for text in &texts[2..] {
        'sentences: for sentence in text.split("from ").skip(1) {
            let (from, way) = sentence.split_once(' ').unwrap();
            let Some((way, to)) = way.split_once(" to ") else { continue };
            let Some(mut at) = points.get(&letter(from)).copied().filter(|_| from.len() == 1) else { continue };
            for step in way.split(" and ") {
                let Some((ahead, length)) = step.split_once(' ') else { continue 'sentences };
                let length = match ahead {
                    "out" | "down" => read_length(length, ruler),
                    "in" | "up" => -read_length(length, ruler),
                    _ => continue 'sentences,
                };
                at[usize::from(ahead == "down" || ahead == "up")] += length;
            }
            points.entry(letter(to)).or_insert(at);
        }
        if let Some(mark) = text.split_once("at A mark ") {
            points.insert(letter(mark.1), points[&'A']);
        }
    }
    points
}

#[test]
fn the_words_alone_give_every_point_near_its_place() {
    for (ruler, mark) in [(Ruler::Cm, 0.1), (Ruler::In, 2.54 / 16.0), (Ruler::InEighths, 2.54 / 8.0), (Ruler::Mm, 0.1)]
    {
        for draft in [evening_class(), drafted(62.0, 98.0, 19.0, 55.0), drafted(110.0, 112.0, 22.0, 70.0)] {
            for panel in draft.lesson(ruler).panels() {
                let texts: Vec<String> = panel.steps.iter().map(|step| step.text.clone()).collect();
                let drawn = draw_from_words(&texts, ruler);
                let points = panel.points().into_iter().zip(panel.drawn_points());
                assert_eq!(drawn.len(), points.len(), "{texts:?}");
                for ((letter, exact), (_, at)) in points {
                    assert!((Point::from(drawn[&letter]) - at).norm() < 1e-9, "{letter} of {:?}", panel.half);
                    // Each point is at most two measures from A, one rounded to half a mark, one to the next mark.
                    assert!((at - exact).amax() <= 1.5 * mark + 1e-9, "{letter} of {:?}", panel.half);
                }
            }
        }
    }
}

#[test]
fn the_words_name_the_numbers_of_the_draft() {
    let draft = evening_class();
    let lesson = draft.lesson(Unit::Cm);
    for (panel, lesson) in draft.panels().into_iter().zip(lesson.panels()) {
        let all = lesson.steps.iter().map(|step| step.text.as_str()).collect::<String>();
        for dart in &panel.darts {
            assert!(all.contains(&format!(" wide. Its tip lies {:.1} below", dart.length)), "{all}");
        }
        let drawn = lesson.drawn_points();
        let strokes = lesson.steps.iter().flat_map(|step| &step.strokes).filter(|it| it.kind == StrokeKind::Waist);
        let waist: f64 = strokes.flat_map(|stroke| stroke.paths(&drawn)).map(|path| path.length()).sum();
        assert!((waist - panel.edge_length(Role::Waist)).abs() < 0.1);
        assert!(all.contains(&format!("the waist is {waist:.1};")), "{all}");
        assert_eq!(lesson.steps.len(), 6 + panel.darts.len());
    }
}

/// Marks of the ruler move the sewn waist, which consists of two equal halves, by two steps at least.
#[test]
fn the_waist_drawn_with_marks_of_the_ruler_closes() {
    for hip in [4.0, 5.0, 6.0] {
        let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip }, &Rules::default()).unwrap();
        for (ruler, limit) in [(Ruler::Cm, 1.5), (Ruler::In, 2.0), (Ruler::InEighths, 3.5)] {
            let waists =
                range.drafts().iter().map(|draft| draft.lesson(ruler).difference_with_rounding().waist_mm.abs());
            let largest = waists.fold(0.0, f64::max);
            assert!(largest < limit, "{ruler} {hip}: {largest}");
        }
    }
}

#[test]
fn the_words_name_the_unit_of_the_lengths() {
    let units = [("cm", "centimetres"), ("in", "inches"), ("in 1/8", "inches"), ("mm", "millimetres")];
    for (ruler, unit) in units.map(|(ruler, unit)| (ruler.parse::<Ruler>().unwrap(), unit)) {
        let text = evening_class().lesson(ruler).to_markdown();
        assert!(text.contains(&format!("All lengths are in {unit}. ")), "{text}");
        let waist = ["Waist 740,", "Waist 74.0,"][usize::from(ruler == Ruler::Cm)];
        assert_eq!(text.contains(waist), ruler.unit() != Unit::In);
    }
}

#[test]
fn a_skirt_without_darts_and_one_wider_at_the_waist_have_a_lesson() {
    let wide = drafted(112.0, 104.0, 22.0, 70.0);
    let lesson = wide.lesson(Unit::Cm);
    assert!(lesson.back.steps[2].text.contains("from D out "), "{}", lesson.back.steps[2].text);
    assert!(lesson.panels().iter().flat_map(|panel| &panel.steps).filter(|step| step.is_above_hip).count() > 4);
}

#[test]
fn the_pages_have_every_step_and_all_text_within_their_margins() {
    let lesson = evening_class().lesson(Unit::Cm);
    let layout = draw_lesson(&lesson);
    let mut words = String::new();
    for page in &layout.pages {
        for mark in page.part.layers.iter().flat_map(|layer| &layer.marks) {
            let Mark::Text { at, text, align, .. } = mark else { continue };
            assert!((10.0..200.0).contains(&at.x) && (10.0..290.0).contains(&at.y), "{text}");
            if *align == TextAlign::Left {
                words += text;
                words.push(' ');
            }
        }
    }
    for step in lesson.panels().iter().flat_map(|panel| &panel.steps) {
        assert!(words.contains(&step.text), "{}", step.text);
    }
    assert!(words.contains("sew a trial garment (toile)"));
}

#[test]
fn no_line_of_a_page_begins_with_a_fraction_or_a_unit() {
    for (draft, ruler) in [(evening_class(), Ruler::InEighths), (drafted(72.0, 99.0, 20.0, 60.0), Ruler::In)] {
        let lesson = draft.lesson(ruler);
        let marks =
            draw_lesson(&lesson).pages.into_iter().flat_map(|page| page.part.layers).flat_map(|layer| layer.marks);
        let texts: Vec<String> =
            marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text) } else { None }).collect();
        let lines = texts
            .iter()
            .zip(texts.iter().skip(1))
            .filter(|(line, _)| line.ends_with(|last: char| last.is_ascii_digit()));
        let torn = |line: &str| line.split(' ').next().is_some_and(|word| word.contains('/') || word.starts_with("in"));
        // Numbers in a column of their own stand before the name of a measurement.
        let torn: Vec<_> = lines.filter(|(line, next)| line.contains(' ') && torn(next)).collect();
        assert!(torn.is_empty() && texts.iter().any(|text| text.contains(" 1/")), "{torn:?}");
    }
}

#[test]
fn the_name_stands_in_the_title_and_at_the_foot_of_each_page() {
    let plain = evening_class().lesson(Unit::Cm);
    let named = Lesson { name: "Size 40".to_owned(), ..plain.clone() };
    assert!(named.to_markdown().starts_with("# Size 40. A straight skirt, drawn by hand\n"));
    for (lesson, name) in [(plain, "waist 74.0, hip 101.0 cm"), (named, "Size 40")] {
        let pages = draw_lesson(&lesson).pages;
        for (page, number) in pages.iter().zip(1..) {
            let foot = format!("{name}: page {number} of {}", pages.len());
            let mut marks = page.part.layers.iter().flat_map(|layer| &layer.marks);
            assert!(marks.any(|mark| matches!(mark, Mark::Text { text, .. } if *text == foot)), "{foot}");
        }
    }
}

/// The numbers of the list stand in the drawing of the body, too: each twice on the first page.
#[test]
fn every_measurement_given_is_numbered_in_the_drawing_and_in_the_list() {
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    let given = [Some(104.0), Some(105.0), Some(104.6), Some(52.0), Some(38.0), Some(92.0), Some(9.0)];
    let (ease, rules) = (Ease { waist: 1.5, hip: 5.0 }, Rules::default());
    let with_figure = kirtle::draft_figure(&body, &Figure::from_array(given), &ease, &rules).unwrap();
    for (draft, count) in [(evening_class(), 4), (with_figure, 11)] {
        let page = draw_lesson(&draft.lesson(Unit::Cm)).pages.remove(0).part;
        let texts: Vec<&str> = page
            .layers
            .iter()
            .flat_map(|layer| &layer.marks)
            .filter_map(|mark| match mark {
                Mark::Text { text, align: TextAlign::Centred, .. } => Some(text.as_str()),
                _ => None,
            })
            .collect();
        for number in 1..=count + 1 {
            let times = texts.iter().filter(|text| **text == number.to_string()).count();
            assert_eq!(times, if number > count { 0 } else { 2 }, "{number}");
        }
    }
}

#[test]
fn the_lesson_of_a_figure_says_what_was_measured_and_leaves_paper_above_the_waist() {
    let lengths = [Some(102.5), Some(101.0), Some(99.5)];
    let [front_length, side_length, back_length] = lengths;
    let figure = Figure { front_length, side_length, back_length, ..Figure::default() };
    let plain = evening_class();
    let measured = kirtle::draft_figure(plain.body(), &figure, plain.ease(), plain.rules()).unwrap();
    let text = measured.lesson(Unit::Cm).to_markdown();
    let start = "Mark A at least 1.5 below the upper edge of the paper, as the waist rises above A. Draw a line from A";
    assert!(text.contains("lengths to the floor tilt the waist") && text.contains(start), "{text}");
    assert!(!plain.lesson(Unit::Cm).to_markdown().contains("lengths to the floor"));
    let title = draw_draft(&measured, Unit::Cm).title;
    assert!(title.ends_with("(cm); front length 102.5; side length 101.0; back length 99.5"), "{title}");
}

/// A skirt that pinches, strains and hobbles says so on the first page and on the sheet, each caution once.
#[test]
fn the_cautions_stand_on_the_first_page_and_on_the_sheet_of_a_pattern() {
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 80.0 };
    let tight = kirtle::draft(&body, &Ease { waist: -2.0, hip: 0.0 }, &Rules::default()).unwrap();
    let page = draw_lesson(&tight.lesson(Unit::In)).pages.remove(0).part;
    let marks = page.layers.iter().flat_map(|layer| &layer.marks);
    let words = |mark: &Mark| if let Mark::Text { text, .. } = mark { text.clone() + " " } else { String::new() };
    let page: String = marks.map(words).collect();
    let texts = Texts::new([("caution", "Achtung: {caution}")]).unwrap();
    let sheet = |draft: &Draft| draw_pattern(&draft.pattern(&Cutting::default()).unwrap(), (Unit::Cm, &texts)).notes;
    let notes = sheet(&tight);
    for (in_inches, finding) in ["-13/16 in", "0 in of ease", "in around"].into_iter().zip(tight.findings()) {
        assert!(notes[2].contains(&format!("Achtung: {}", finding.message)), "{notes:?}");
        assert!(page.contains(in_inches), "{page}");
    }
    assert_eq!(page.matches("Caution: ").count(), 3, "{page}");
    assert_eq!(notes.len() - 1, sheet(&drafted(74.0, 101.0, 20.5, 40.0)).len());
}

#[test]
fn a_lesson_without_darts_speaks_of_none_and_names_other_rules() {
    let wide = drafted(96.0, 92.0, 20.0, 60.0).lesson(Unit::Cm).to_markdown();
    assert!(wide.split("## Draw the back").skip(1).all(|text| !text.to_lowercase().contains("dart")), "{wide}");
    assert!(wide.contains("each side seam as long as computed.") && !wide.contains("Set for this skirt"), "{wide}");
    let shares = Shares { back_darts: DartCount::Exactly(1), steepest_side: 25.0, ..Shares::default() };
    let panel_rules = PanelRules { balance: 2.0, centre_back_in: 1.5, ..PanelRules::default() };
    let plain = evening_class();
    let rules = Rules { panel_rules, apportionment: Apportionment::Shares(shares) };
    let other = kirtle::draft(plain.body(), plain.ease(), &rules).unwrap().lesson(Unit::Cm).to_markdown();
    let named = "Set for this skirt, as after a fitting: balance 2.0 cm; centre back in 1.5 cm; steepest side 25°.\n";
    assert!(other.contains(named) && other.contains("Sew each dart") && !other.contains("--"), "{other}");
}

#[test]
fn the_frame_is_common_practice_and_what_closes_the_waist_is_derived() {
    let lesson = evening_class().lesson(Unit::Cm);
    let marks: Vec<bool> = lesson.back.steps.iter().map(kirtle::lesson::Step::is_common_practice).collect();
    assert_eq!(marks, [true, true, false, false, false, false, false, true]);
    let marked = lesson.to_markdown().lines().filter(|line| line.ends_with(" \\*")).count();
    assert_eq!(marked, 6);
}

proptest! {
    #![proptest_config(bodies::cases(2000))]

    /// A hand that does not round misses the draft only by the shape of its curves.
    #[test]
    fn a_hand_without_rounding_arrives_at_the_draft(
        waist in 58.0..100.0_f64, drop in 10.0..34.0_f64, depth in 17.0..24.0_f64, length in 45.0..90.0_f64
    ) {
        let lesson = drafted(waist, waist + drop, depth, length).lesson(Unit::Cm);
        let exact = lesson.difference_without_rounding();
        prop_assert!(exact.distance_mm < 0.5 && exact.waist_mm.abs() < 0.5, "{:?}", exact);
        let rounded = lesson.difference_with_rounding();
        prop_assert!(rounded.distance_mm < 2.0 && rounded.waist_mm.abs() < 2.0 && rounded.side_mm.abs() < 2.0, "{:?}", rounded);
    }
}
