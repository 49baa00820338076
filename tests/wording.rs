//! Printed texts: every word of every drawing is in the table, every text of the table is printed, and wrong texts are refused.

use std::collections::BTreeSet;

use crate::bodies::chart::{EASE, size};
use crate::counts::rules_with_counts;
use crate::errors::provoked_findings;
use kirtle::drawing::{
    Drawing, Mark, Paper, Part, PrintLayout, draw_alteration, draw_draft, draw_lay, draw_lay_on_page, draw_lesson,
    draw_nest, draw_pattern, paginate, with_header, with_notes_on_buying,
};
use kirtle::pattern::{Cloth, Vent, WaistFinish, WaistFinishKind};
use kirtle::sizes::AlterationLimits;
use kirtle::{
    Apportionment, Body, Cutting, DartCount, Darts, Draft, Figure, PanelRules, Pattern, Preset, Press, Ruler, Rules,
    Shares, SizeChart, SizeRange, Texts, Unit, Wording,
};

/// Returns a made-up translation: each text is its number between two signs, and after it the placeholders of the
/// English text; the decimal mark is a raised point.
fn numbered_texts() -> Texts {
    let numbered = Texts::english().enumerate().map(|(number, (key, english))| {
        let placeholders = english.split('{').skip(1).map(|piece| format!(" {{{}}}", piece.split_once('}').unwrap().0));
        let numbered = format!("¤{number}¤{}", placeholders.collect::<String>());
        (key, if key == "decimal_mark" { "\u{b7}".to_owned() } else { numbered })
    });
    Texts::new(numbered).unwrap()
}

/// Returns the texts among the marks of parts.
fn texts_of_parts<'p>(parts: impl IntoIterator<Item = &'p Part>) -> Vec<String> {
    let marks = parts.into_iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text.clone()) } else { None }).collect()
}

/// Returns all texts of a drawing.
fn texts_of_drawing(drawing: &Drawing) -> Vec<String> {
    let key = drawing.key.iter().flat_map(|row| &row.cells);
    let head = std::iter::once(&drawing.title).chain(&drawing.notes).chain(key).cloned();
    head.chain(texts_of_parts(&drawing.parts)).collect()
}

/// Returns all texts of a print.
fn texts_of_print(print: &PrintLayout) -> Vec<String> {
    let pages = texts_of_parts(print.pages.iter().map(|page| &page.part));
    texts_of_drawing(&print.drawing).into_iter().chain(pages).collect()
}

/// Paper on which a drawing is one sheet, many tiles, and tiles without overlap.
fn papers() -> [Paper; 5] {
    let paper = |name, overlap_mm| Paper { overlap_mm, ..Paper::named(name).unwrap() };
    [paper("A4", 7.5), paper("A3", 0.0), paper("A0", 10.0), paper("roll 70 cm", 10.0), paper("roll 40 cm", 10.0)]
}

fn drafts() -> Vec<Draft> {
    let figure = Figure::from_array([100.0, 101.0, 100.5, 50.0, 36.0, 93.0, 9.0].map(Some));
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    // No rule is at its default.
    let shares = Shares::default().map(|value| value * 1.07);
    let panel_rules = PanelRules { centre_back_in: 1.5, ..PanelRules::default().map(|value| value + 0.3) };
    let slanted = Rules { panel_rules, apportionment: Apportionment::Shares(shares) };
    let three = rules_with_counts([DartCount::Exactly(3), DartCount::Exactly(1)]);
    let none = rules_with_counts([DartCount::Exactly(0); 2]);
    let given = Apportionment::Darts(Darts { back: Vec::new(), front: Vec::new() });
    let given = Rules { apportionment: given, ..Rules::default() };
    let wide = Body { waist: 112.0, hip: 104.0, ..body };
    let draft = |body: &Body, rules: &Rules| kirtle::draft(body, &EASE, rules).unwrap();
    vec![
        kirtle::draft_figure(&body, &figure, &EASE, &Rules::default()).unwrap(),
        draft(&body, &slanted),
        draft(&Body { waist: 66.0, ..body }, &three),
        draft(&wide, &none),
        draft(&Body { waist: 98.5, hip: 95.0, ..body }, &given),
        draft(&Body { waist: 72.0, hip: 100.0, ..body }, &Rules::default()),
    ]
}

fn patterns(draft: &Draft) -> Vec<Pattern> {
    let finish = |kind| Some(WaistFinish::with_usual_lengths(kind, Unit::Cm));
    let vent = Some(Vent { vent: 15.0, vent_width: 4.0 });
    let plain = Cutting::default();
    let band = Cutting { finish: finish(WaistFinishKind::Waistband), press: Press::Side, ..Cutting::default() };
    let faced = Cutting { finish: finish(WaistFinishKind::Facing), name: "7".to_owned(), ..Cutting::default() };
    let vented = Cutting { vent, unfolded: true, ..Cutting::default() };
    [plain, band, faced, vented].iter().filter_map(|cutting| draft.pattern(cutting).ok()).collect()
}

fn lay_texts(pattern: &Pattern, wording: Wording) -> Vec<String> {
    let mut texts = Vec::new();
    for (width, folded, one_way) in
        [(150.0, false, false), (115.0, false, false), (150.0, true, false), (150.0, false, true), (180.0, true, true)]
    {
        let Ok(lay) = pattern.lay(&Cloth { width, folded, one_way, selvedge: 1.0 }) else { continue };
        texts.extend(texts_of_drawing(&draw_lay(&lay, wording)));
        texts.extend(texts_of_print(&draw_lay_on_page(&lay, wording, &papers()[0]).unwrap()));
    }
    texts
}

/// Returns all texts that drafts, patterns, lays and lessons print, and cautions of every kind.
fn texts_of_single_skirts(wording: Wording) -> Vec<String> {
    let mut texts: Vec<_> = provoked_findings().iter().map(|finding| finding.message_in(wording.texts)).collect();
    for draft in drafts() {
        texts.extend(texts_of_drawing(&draw_draft(&draft, wording)));
        let lesson = draft.lesson(wording);
        texts.extend(texts_of_print(&draw_lesson(&lesson)));
        texts.push(lesson.to_markdown());
        for mut pattern in patterns(&draft) {
            let cloth = Cloth { width: 150.0, folded: true, one_way: true, selvedge: 1.0 };
            pattern.cloth = pattern.cutting().vent.map(|_| cloth);
            let drawing = with_notes_on_buying(draw_pattern(&pattern, wording), &pattern, wording.ruler);
            texts.extend(papers().iter().flat_map(|paper| texts_of_print(&paginate(&drawing, paper).unwrap())));
            texts.extend(lay_texts(&pattern, wording));
        }
    }
    texts
}

/// Ranges with one number of darts in all sizes and with a number for each size, and one whose hip lines differ much.
fn ranges() -> Vec<SizeRange> {
    let per_size = rules_with_counts([DartCount::PerSize; 2]);
    let unlike = rules_with_counts([DartCount::Exactly(1), DartCount::Exactly(2)]);
    let mut slanted = Rules::default();
    slanted.panel_rules.centre_back_in = 1.0;
    let sizes = vec![size("1", [64.0, 90.0], 18.0), size("2", [72.0, 98.0], 20.0), size("3", [96.0, 108.0], 21.0)];
    let own = SizeChart::new(sizes).unwrap().draft(&EASE, &per_size).unwrap();
    let rules = [Rules::default(), slanted, unlike, per_size];
    rules.map(|rules| SizeChart::demo().draft(&EASE, &rules).unwrap()).into_iter().chain([own]).collect()
}

/// Returns all texts that nests print.
fn texts_of_nests(wording: Wording) -> Vec<String> {
    let range = &ranges()[0];
    let mut texts = Vec::new();
    for (sizes, preset, finish) in [
        (&["36", "40"][..], Preset::None, None),
        (&["38"][..], Preset::Garment, Some(WaistFinishKind::Facing)),
        (&["36-44"][..], Preset::Garment, Some(WaistFinishKind::Waistband)),
    ] {
        let finish = finish.map(|kind| WaistFinish::with_usual_lengths(kind, Unit::Cm));
        let vent = Some(Vent { vent: 15.0, vent_width: 4.0 });
        let cutting = Cutting { finish, vent, ..Cutting::preset(preset, Unit::Cm) };
        let drawing = draw_nest(&range.nest(sizes, &cutting).unwrap(), wording);
        texts.extend(texts_of_print(&paginate(&drawing, &papers()[0]).unwrap()));
        texts.extend(texts_of_drawing(&with_header(drawing)));
    }
    texts
}

/// Returns bodies between the two middle sizes of a range, at many shares of the way, and near them.
fn bodies_between_sizes(range: &SizeRange) -> Vec<Body> {
    let sizes = range.chart().sizes();
    let [from, to] = [0, 1].map(|k| sizes[(sizes.len() - 1) / 2 + k].body);
    let shares = [0.0, 0.25, 0.03, 0.5, 1.0 / 3.0, 0.9, 2.0 / 3.0, 0.75, 1.0];
    let body = |k: usize| {
        let share = |turn: usize| shares[k / turn % shares.len()];
        let by = |step: f64, turn: usize| step * [0.0, 1.0, -1.0, 2.0, -2.0][k / turn % 5];
        Body {
            waist: from.waist + (to.waist - from.waist) * share(1) + by(0.2, 45),
            hip: from.hip + (to.hip - from.hip) * share(4) + by(0.2, 36),
            hip_depth: from.hip_depth + by(0.45, 3),
            length: from.length + by(0.8, 7),
        }
    };
    (0..150).map(body).collect()
}

/// Returns all texts that alterations print.
fn texts_of_alterations(wording: Wording) -> Vec<String> {
    let mut texts = Vec::new();
    for range in ranges() {
        for (body, min_step_mm) in bodies_between_sizes(&range).iter().zip([0.0, 3.0, 20.0].into_iter().cycle()) {
            let limits = AlterationLimits { tolerance_mm: 2.5, min_step_mm };
            let Ok(mut altered) = range.alter(body, Some(limits)) else { continue };
            texts.extend(texts_of_drawing(&draw_alteration(&range, &altered, wording)));
            // No alteration gives these differences.
            altered.cost.side_mismatch_mm = if min_step_mm > 0.0 { 5.0 } else { -5.0 };
            let counts = if min_step_mm > 0.0 { [1, 1] } else { [2, 0] };
            altered.exact = kirtle::draft(body, &EASE, &rules_with_counts(counts.map(DartCount::Exactly))).unwrap();
            texts.extend(texts_of_drawing(&draw_alteration(&range, &altered, wording)));
        }
    }
    texts
}

fn texts_of_all_drawings(wording: Wording) -> Vec<String> {
    [texts_of_single_skirts(wording), texts_of_nests(wording), texts_of_alterations(wording)].concat()
}

/// All words come from the table: in a translation without letters, only letters of points and tiles are left.
#[test]
fn every_word_of_every_drawing_is_in_the_table_and_every_text_of_the_table_is_printed() {
    let (texts, mut printed) = (numbered_texts(), BTreeSet::new());
    for ruler in Ruler::ALL {
        for text in texts_of_all_drawings((ruler, &texts).into()) {
            printed.extend(text.contains('\u{b7}').then_some(0));
            let mut words = text.split(|letter: char| !letter.is_alphabetic());
            assert!(words.all(|word| word.chars().count() < 2), "{ruler}: {text}");
            printed.extend(text.split('¤').skip(1).step_by(2).map(|number| number.parse::<usize>().unwrap()));
        }
    }
    let missing: Vec<_> = Texts::english().enumerate().filter(|(number, _)| !printed.contains(number)).collect();
    assert!(missing.is_empty(), "printed nowhere: {missing:?}");
}

#[test]
fn every_rule_has_a_name() {
    let keys: BTreeSet<_> = Texts::english().map(|(key, _)| key).collect();
    let nameless: Vec<_> =
        PanelRules::FIELDS.iter().chain(&Shares::FIELDS).filter(|field| !keys.contains(field.name)).collect();
    assert!(nameless.is_empty(), "{nameless:?}");
}

#[test]
fn english_texts_given_back_change_nothing() {
    let english = Texts::new(Texts::english()).unwrap();
    assert_eq!(english, Texts::default());
    let draft = &drafts()[1];
    assert_eq!(draw_draft(draft, (Unit::In, &english)), draw_draft(draft, Unit::In));
}

#[test]
fn a_translation_may_leave_out_texts() {
    let some = [("hem_length", ""), ("grain_line", "Fadenlauf"), ("decimal_mark", ",")];
    let texts = texts_of_drawing(&draw_draft(&drafts()[1], (Unit::Cm, &Texts::new(some).unwrap())));
    let has = |wanted: &str| texts.iter().any(|text| text == wanted);
    assert!(has("Fadenlauf") && has("") && has("hip line at hip depth 20,5 cm"), "{texts:?}");
    assert!(!texts.iter().any(|text| text.contains("20.5")));
}

#[test]
fn each_wrong_text_is_refused_and_all_problems_are_reported_together() {
    let long = "m".repeat(1001);
    let cases = [
        ("hemlength", "Saum", "texts.hemlength: unknown field; known fields are the keys of the English texts"),
        ("hem length", "", "texts.\"hem length\": unknown field; known fields are the keys of the English texts"),
        ("hem_length", "{Length}", "texts.hem_length: \"{Length}\" is not a text with the placeholder {length}"),
        (
            "dart_size",
            "{length} {w}",
            "texts.dart_size: \"{length} {w}\" is not a text with the placeholders {width}, {length}",
        ),
        ("hem_length", "Saum", "texts.hem_length: \"Saum\" is not a text with the placeholder {length}"),
        ("fold", "Bruch {length}", "texts.fold: \"Bruch {length}\" is not a text without placeholders"),
        ("hem_length", "Saum {}", "texts.hem_length: \"Saum {}\" is not a text with the placeholder {length}"),
        (
            "hem_length",
            "Saum {length",
            "texts.hem_length: \"Saum {length\" is not a text with braces in pairs around placeholders",
        ),
        (
            "hem_length",
            "{{length}}",
            "texts.hem_length: \"{{length}}\" is not a text with braces in pairs around placeholders",
        ),
        ("fold", "}Bruch{", "texts.fold: \"}Bruch{\" is not a text with braces in pairs around placeholders"),
        (
            "fold",
            "折り",
            "texts.fold: \"折り\" is not a text on one line in letters of the PDF font: Latin, Greek, Cyrillic, but no \"折\" (U+6298)",
        ),
        (
            "fold",
            "a\nb",
            "texts.fold: \"a\\nb\" is not a text on one line in letters of the PDF font: Latin, Greek, Cyrillic, but no \"\\n\" (U+000A)",
        ),
        ("fold", &long, "texts.fold: 1001 letters are given, at most 1000 letters allowed"),
    ];
    let messages = cases.map(|(key, template, message)| {
        assert_eq!(Texts::new([(key, template)]).unwrap_err().to_string(), message);
        message
    });
    let problems = Texts::new(cases.map(|(key, template, _)| (key, template))).unwrap_err();
    assert_eq!(problems.to_string(), messages.join("\n"));
    let keys: Vec<&str> = Texts::english().map(|(key, _)| key).collect();
    assert_eq!(problems[0].choices, keys);
    assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len());
}

#[test]
fn a_wrong_mark_or_line_break_is_refused() {
    let cases = [
        (
            "decimal_mark",
            "",
            "texts.decimal_mark: \"\" is not a decimal mark: point, comma, apostrophe or raised point",
        ),
        (
            "decimal_mark",
            "1",
            "texts.decimal_mark: \"1\" is not a decimal mark: point, comma, apostrophe or raised point",
        ),
        (
            "fold",
            "Bruch|hier",
            "texts.fold: \"Bruch|hier\" is not a text without more line breaks \"|\" than the English one",
        ),
    ];
    for (key, template, message) in cases {
        assert_eq!(Texts::new([(key, template)]).unwrap_err().to_string(), message);
    }
}

#[test]
fn a_translation_in_json_is_that_of_its_pairs() {
    let english: serde_json::Map<_, _> =
        Texts::english().map(|(key, english)| (key.to_owned(), english.into())).collect();
    assert_eq!(Texts::from_json(&serde_json::to_string(&english).unwrap()).unwrap(), Texts::default());
    assert_eq!(Texts::from_json("{}").unwrap(), Texts::default());
    let german = [("fold", "Bruch"), ("hem_length", "Saum {length}"), ("grain_line", "")];
    let json = r#"{"hem_length": "Saum {length}", "fold": "Br\u0075ch", "grain_line": ""}"#;
    assert_eq!(Texts::from_json(json).unwrap(), Texts::new(german).unwrap());
}

#[test]
fn all_problems_of_a_translation_in_json_are_reported_together() {
    let json = r#"{"hemlength": "Saum", "fold": "Bruch", "fold": "Bruch", "hem length": 3, "back": null, "grain_line": ["Fadenlauf"],
        "hem_length": "Saum {Länge}", "front": "\ud83d\ude00"}"#;
    let problems = Texts::from_json(json).unwrap_err();
    let lines = [
        "texts.hemlength: unknown field; known fields are the keys of the English texts",
        "texts.fold: given twice: give it once",
        "texts.\"hem length\": unknown field; known fields are the keys of the English texts",
        "texts.back: null is not a value: leave the field out",
        "texts.grain_line: a list is not a text",
        "texts.front: \"😀\" is not a text on one line in letters of the PDF font: Latin, Greek, Cyrillic, but no \"😀\" (U+1F600)",
        "texts.hem_length: \"Saum {Länge}\" is not a text with the placeholder {length}",
    ];
    assert_eq!(problems.to_string(), lines.join("\n"));
    assert_eq!(problems[0].choices, Texts::english().map(|(key, _)| key).collect::<Vec<_>>());
    for (json, message) in [
        ("", "texts: invalid JSON: EOF while parsing a value at line 1 column 0"),
        ("[]", "texts: a list is not a JSON object"),
        (&" ".repeat(1_048_577), "texts: 1048577 bytes is above the maximum of 1048576 bytes"),
    ] {
        assert_eq!(Texts::from_json(json).unwrap_err().to_string(), message);
    }
}
