//! Lengths printed in inches equal those printed in centimetres: on every drawing, in instructions, advice and findings.

use kirtle::drawing::{Drawing, Mark, draw_alteration, draw_draft, draw_lay, draw_nest, draw_pattern};
use kirtle::pattern::{Cloth, WaistFinish, WaistFinishKind};
use kirtle::sizes::ChoiceRule;
use kirtle::{Apportionment, Body, Cutting, Draft, Ease, Opening, Rules, Shares, SizeChart, Texts, Unit};

const BODY: Body = Body { waist: 70.0, hip: 100.0, hip_depth: 20.5, length: 58.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Centimetres in an inch, by definition (international yard and pound agreement, 1959).
const INCH: f64 = 2.54;

/// Step of printed inches, in inches.
const SIXTEENTH: f64 = 1.0 / 16.0;

fn sample_draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

/// Returns title, notes and all other texts of a drawing.
fn texts(drawing: &Drawing) -> Vec<String> {
    let key = drawing.key.iter().flat_map(|row| &row.cells);
    let head = std::iter::once(&drawing.title).chain(&drawing.notes).chain(key).cloned();
    let marks = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    let text = |mark: &Mark| if let Mark::Text { text, .. } = mark { Some(text.clone()) } else { None };
    head.chain(marks.filter_map(text)).collect()
}

/// Parses a printed number, decimal or `28 9/16`; returns its value and half a unit of its last digit, or of a sixteenth.
fn printed_number(word: &str) -> Option<(f64, f64)> {
    if let Some((start, denominator)) = word.split_once('/') {
        let (whole, numerator) = start.rsplit_once(' ').unwrap_or(("0", start));
        let [whole, numerator, denominator] = [whole, numerator, denominator].map(|part| part.parse::<f64>().ok());
        return Some((whole? + numerator? / denominator?, SIXTEENTH / 2.0));
    }
    let value = word.parse().ok()?;
    let digits = word.split_once('.').map_or(0, |(_, digits)| digits.len());
    Some((value, 0.5 * 10_f64.powi(-i32::try_from(digits).unwrap())))
}

/// Splits a text into words without punctuation; a whole number and the fraction after it are one word.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace().map(|word| word.trim_matches(|c: char| "(),.:;".contains(c))) {
        let is_fraction = word.contains('/') && printed_number(word).is_some();
        match words.last_mut() {
            Some(whole) if is_fraction && whole.parse::<u32>().is_ok() => *whole = format!("{whole} {word}"),
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Compares a text in centimetres with the text in inches, word by word; returns the number of lengths.
fn compare_texts(cm: &str, inches: &str) -> usize {
    let (cm_words, inch_words) = (words(cm), words(inches));
    assert_eq!(cm_words.len(), inch_words.len(), "{cm} | {inches}");
    let mut lengths = 0;
    for (k, (one, other)) in cm_words.iter().zip(&inch_words).enumerate() {
        let is_followed_by = |words: &[String], unit: &str| words.get(k + 1).is_some_and(|word| word == unit);
        let is_length = is_followed_by(&cm_words, "cm") && is_followed_by(&inch_words, "in");
        match (printed_number(one), printed_number(other)) {
            (Some((a, half_a)), Some((b, half_b))) if is_length || a.to_bits() != b.to_bits() => {
                let difference = (a / INCH - b).abs();
                assert!(
                    difference <= half_a / INCH + half_b + 1e-9,
                    "{one} cm is printed as {other} in: {cm} | {inches}"
                );
                lengths += 1;
            }
            _ => assert!(
                one == other || (one.as_str(), other.as_str()) == ("cm", "in"),
                "{one} | {other}: {cm} | {inches}"
            ),
        }
    }
    lengths
}

/// Compares lists of texts in both units; returns the number of lengths.
fn compare_lists(cm: &[String], inches: &[String]) -> usize {
    assert_eq!(cm.len(), inches.len(), "{cm:?} | {inches:?}");
    cm.iter().zip(inches).map(|(cm, inches)| compare_texts(cm, inches)).sum()
}

/// Takes the length to buy out of a note on cloth, which shops sell in steps of 10 cm or of an eighth of a yard.
fn without_length_to_buy(text: &str, unit: &str) -> String {
    let Some((start, rest)) = text.split_once(": buy ") else { return text.to_owned() };
    let (length, end) = rest.split_once(". ").unwrap();
    assert!(length.ends_with(unit) && length.split_whitespace().count() == 2, "{text}");
    format!("{start}. {end}")
}

/// Compares the texts of a drawing in both units; returns the number of lengths. The cloth to buy differs, as its usual
/// widths do.
fn compare_drawings(drawn: impl Fn(Unit) -> Drawing) -> usize {
    let texts = |unit, sold_by| -> Vec<String> {
        let texts = texts(&drawn(unit));
        let texts = texts.iter().filter(|text| !text.starts_with("Cloth to buy"));
        texts.map(|text| without_length_to_buy(text, sold_by)).collect()
    };
    compare_lists(&texts(Unit::Cm, "cm"), &texts(Unit::In, "yd"))
}

#[test]
fn drawings_print_the_same_lengths_in_both_units() {
    let draft = sample_draft();
    let cutting = Cutting { opening: Opening::Given(19.0), name: "Ann".to_owned(), ..Cutting::default() };
    let pattern = draft.pattern(&cutting).unwrap();
    let finished = WaistFinishKind::ALL.map(|kind| {
        let finish = Some(WaistFinish::with_usual_lengths(kind, Unit::Cm));
        draft.pattern(&Cutting { finish, ..cutting.clone() }).unwrap()
    });
    for pattern in &finished {
        assert!(compare_drawings(|unit| draw_pattern(pattern, unit)) >= 2);
    }
    let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 }).unwrap();
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let nest = range.nest(&[], &Cutting::default()).unwrap();
    let alteration = range.alter(&BODY, None).unwrap();
    let counts = [
        compare_drawings(|unit| draw_draft(&draft, unit)),
        compare_drawings(|unit| draw_pattern(&pattern, unit)),
        compare_drawings(|unit| draw_lay(&lay, unit)),
        compare_drawings(|unit| draw_nest(&nest, unit)),
        compare_drawings(|unit| draw_alteration(&range, &alteration, unit)),
    ];
    // The drawing of an alteration prints names and no lengths; its instructions have them.
    let [draft, pattern, lay, nest, _] = counts;
    assert!(draft >= 30 && pattern >= 1 && lay >= 2 && nest >= 75, "{counts:?}");
}

#[test]
fn instructions_and_advice_give_the_same_lengths_in_both_units() {
    let chart = SizeChart::demo();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let alteration = range.alter(&BODY, None).unwrap();
    let steps = compare_lists(&alteration.instructions(Unit::Cm), &alteration.instructions(Unit::In));
    let beyond = Body { waist: 120.0, hip: 140.0, ..BODY };
    let choices = [BODY, Body { waist: 73.0, hip: 101.0, ..BODY }, beyond]
        .map(|body| chart.choose(&body, &ChoiceRule::default()));
    let advice: usize = choices
        .iter()
        .map(|choice| compare_texts(&choice.advice(Some(&EASE), Unit::Cm), &choice.advice(Some(&EASE), Unit::In)))
        .sum();
    assert!(steps >= 2 && advice >= 6, "{steps} {advice}");
}

/// Writes a positive length as a whole number and the first fraction among sixteenths, eighths, … that equals the rest.
fn sixteenths(length: f64) -> String {
    let (whole, rest) = ((length + SIXTEENTH / 2.0).floor(), (length / SIXTEENTH).round().rem_euclid(16.0));
    let parts = [1.0, 2.0, 4.0, 8.0, 16.0].into_iter().find(|parts| (rest * parts / 16.0).fract() == 0.0).unwrap();
    match (whole, rest) {
        (_, 0.0) => format!("{whole}"),
        (0.0, _) => format!("{}/{parts}", rest * parts / 16.0),
        _ => format!("{whole} {}/{parts}", rest * parts / 16.0),
    }
}

/// Guards against texts that are equally wrong in both units.
#[test]
fn a_drawing_in_inches_prints_the_lengths_of_the_draft() {
    let draft = sample_draft();
    let printed = texts(&draw_draft(&draft, Unit::In)).join("\n");
    let lowered = draft.panels().map(|panel| panel.waist_lowering);
    let lengths =
        [BODY.hip_depth, draft.back.width, draft.front.width, draft.suppression.side / 2.0, lowered[0], lowered[1]];
    let lengths = lengths.map(|length| format!("{} in", sixteenths(length / INCH)));
    let dart = |dart: &kirtle::Dart| {
        format!("{} wide × {} long", sixteenths(dart.intake / INCH), sixteenths(dart.length / INCH))
    };
    for text in lengths.into_iter().chain(draft.back.darts.iter().map(dart)) {
        assert!(printed.contains(&text), "{text} is not in {printed}");
    }
}

#[test]
fn a_finding_worded_in_english_has_its_own_message() {
    for finding in crate::errors::provoked_findings() {
        assert_eq!(finding.message_in(&Texts::default()), finding.message);
    }
}

/// The darts of these bodies end just above or just below the height at which a finding warns, and so does the ease.
#[test]
fn a_finding_prints_its_value_and_its_limit_differently() {
    let mut compared = 0;
    for k in 0..2_000 {
        let small = f64::from(k) / 2_000.0;
        let shares = Shares { back_inner_length: 0.8, ..Shares::default() };
        let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
        let body = Body { hip_depth: 12.0 + small, ..BODY };
        let draft = kirtle::draft(&body, &Ease { waist: 1.1 + 0.1 * small, hip: 5.0 }, &rules).unwrap();
        for finding in draft.findings() {
            let words = words(&finding.message);
            let printed: Vec<&str> =
                words.windows(2).filter(|pair| pair[1] == "cm").map(|pair| pair[0].as_str()).collect();
            let is_clear = match &*finding.code {
                "tip_near_hip" => printed[0] != printed[1],
                "little_waist_ease" => printed[0] != "1.2",
                _ => continue,
            };
            assert!(is_clear, "{}", finding.message);
            compared += 1;
        }
    }
    assert!(compared > 2_000, "{compared}");
}

#[test]
fn the_comparison_detects_wrong_lengths_in_inches() {
    assert_eq!(compare_texts("width 101.0 cm", "width 39 3/4 in"), 1);
    assert!(std::panic::catch_unwind(|| compare_texts("width 101.0 cm", "width 40 3/8 in")).is_err());
    assert!(std::panic::catch_unwind(|| compare_texts("width 101.0 cm", "width 101.0 in")).is_err());
}
