//! The pages of a lesson as blocks of text, from which Markdown and the printed pages are made.

use super::{Lesson, PanelLesson, Step};
use crate::body::{Body, Figure, PanelRules, Rules, Shares};
use crate::draft::{Draft, Half};
use crate::field::{Field, FieldKind};
use crate::findings::printed_cautions;
use crate::text::title_with_name;
use crate::wording::{Wording, printed};

/// Block of a lesson's text: title, heading, paragraph, list of measurements, list item or step.
pub(crate) enum TextBlock<'a> {
    /// Title of the lesson.
    Title(String),
    /// Heading of a section.
    Heading(&'a str),
    /// Paragraph.
    Paragraph(String),
    /// List of measurements to take, numbered as in a drawing of the body.
    Measurements(Vec<Measurement<'a>>),
    /// Item of a numbered list.
    NumberedItem(usize, &'a str),
    /// Sign of bad fit, and how to correct it.
    SignAndCorrection(&'a str, &'a str),
    /// Step that draws a panel: its number from 1, the lesson of the panel, and the step.
    Step(usize, &'a PanelLesson, &'a Step),
}

/// Measurement in a list: its field, its name, its length on the body as printed, and how to take it.
pub(crate) struct Measurement<'t> {
    pub(crate) field: &'static str,
    pub(crate) name: &'t str,
    pub(crate) length: String,
    pub(crate) how: &'t str,
}

/// Returns the text of a lesson as blocks, in reading order.
pub(crate) fn lesson_text_blocks(lesson: &Lesson) -> Vec<TextBlock<'_>> {
    let (wording, texts) = (lesson.wording(), &lesson.texts);
    let unit = [texts.centimetres(), texts.inches(), texts.millimetres()][lesson.ruler.unit() as usize];
    let paragraph = |text: &str| TextBlock::Paragraph(text.to_owned());
    let has_figure = lesson.draft.figure().into_array().iter().any(Option::is_some);
    let mut blocks = vec![
        TextBlock::Title(title_with_name(&lesson.name, texts.lesson_title())),
        TextBlock::Paragraph(draft_numbers_in_words(&lesson.draft, wording, texts.lesson_numbers(), unit)),
    ];
    blocks.extend(other_rules_in_words(lesson.draft.rules(), wording).map(TextBlock::Paragraph));
    let findings = lesson.draft.findings_with_vent(lesson.has_vent, lesson.ruler.unit());
    blocks.extend(printed_cautions(findings, texts).map(TextBlock::Paragraph));
    blocks.extend([
        TextBlock::Heading(texts.lesson_measure()),
        paragraph(texts.measure_snugly()),
        TextBlock::Measurements(measurements_to_take(&lesson.draft, wording)),
        paragraph(if has_figure { texts.method_limits_of_figure() } else { texts.method_limits() }),
    ]);
    for panel in lesson.panels() {
        let is_back = panel.half == Half::Back;
        blocks.push(TextBlock::Heading(if is_back { texts.lesson_back() } else { texts.lesson_front() }));
        blocks.push(paragraph(texts.lesson_legend()));
        blocks.extend(panel.steps.iter().zip(1..).map(|(step, number)| TextBlock::Step(number, panel, step)));
    }
    blocks.push(TextBlock::Heading(texts.lesson_exactness()));
    let difference = lesson.difference_with_rounding();
    let number = |mm: f64| texts.number(format!("{:.1}", mm.abs()));
    let [waist, side] = [difference.waist_mm, difference.side_mm].map(|mm| match number(mm) {
        zero if zero == number(0.0) => texts.as_computed().to_owned(),
        mm_text => printed!(if mm < 0.0 { texts.mm_shorter() } else { texts.mm_longer() }, mm = mm_text),
    });
    let (mm, sixteenth, eighth) = (texts.the_millimetre(), texts.the_sixteenth(), texts.the_eighth());
    let (step, distance) = ([mm, sixteenth, eighth, mm][lesson.ruler as usize], number(difference.distance_mm));
    blocks.push(TextBlock::Paragraph(printed!(texts.lesson_rounding(), step, distance, waist, side)));
    blocks.push(TextBlock::Heading(texts.lesson_sew()));
    // Step 2 sews the darts, and so does the sign of bad fit `dart`.
    let has_darts = lesson.draft.dart_counts() != [0, 0];
    let sewing = (1..=6).filter(|k| has_darts || *k != 2).map(|k| texts.template(&format!("sew_{k}")));
    blocks.extend(sewing.zip(1..).map(|(text, number)| TextBlock::NumberedItem(number, text)));
    blocks.push(TextBlock::Heading(texts.lesson_correct()));
    blocks.push(paragraph(texts.pin_and_measure()));
    // Signs of bad fit (common practice): `sign_` and `correct_` with a name are the keys of two texts.
    let signs = texts.iter().filter_map(|(key, sign)| Some((sign, key.strip_prefix("sign_")?)));
    let signs = signs.filter(|(_, name)| has_darts || *name != "dart");
    let correction = |name: &str| texts.template(&format!("correct_{name}"));
    blocks.extend(signs.map(|(sign, name)| TextBlock::SignAndCorrection(sign, correction(name))));
    blocks
}

/// Fills a template with the measurements and the ease of a draft.
pub(crate) fn draft_numbers_in_words(draft: &Draft, wording: Wording, template: &str, unit: &str) -> String {
    let [waist, hip, hip_depth, length] = draft.body().into_array().map(|cm| wording.length(cm));
    let [waist_ease, hip_ease] = draft.ease().into_array().map(|cm| wording.length(cm));
    printed!(template, waist, hip, hip_depth, length, waist_ease, hip_ease, unit)
}

/// Returns a sentence with each rule that differs from the default and its value, such as `balance 2.0 cm`, or `the
/// darts` if they are given, except the numbers of darts, which the drawing shows; `None` if no such rule differs.
pub(crate) fn other_rules_in_words(rules: &Rules, wording: Wording) -> Option<String> {
    let numbers = |rules: &Rules| -> Vec<(&Field, f64)> {
        let shares = rules.shares().map(|shares| Shares::FIELDS.iter().zip(shares.into_array()));
        let of_panels = PanelRules::FIELDS.iter().zip(rules.panel_rules.into_array());
        of_panels.chain(shares.into_iter().flatten()).collect()
    };
    let given = rules.shares().is_none().then(|| wording.texts.given_darts_rule().to_owned());
    let number = |field: &Field, value: f64| match field.kind {
        FieldKind::Length => wording.length_with_unit(value),
        FieldKind::Angle => format!("{}°", wording.texts.number(value)),
        _ => wording.texts.number(value),
    };
    let in_words = |((field, value), (_, default)): ((&Field, f64), (_, f64))| {
        let [value, default] = [value, default].map(|value| number(field, value));
        (value != default).then(|| format!("{} {value}", wording.texts.template(field.name)))
    };
    // Given darts have no shares to compare.
    let pairs = numbers(rules).into_iter().zip(numbers(&Rules::default()));
    let rules: Vec<String> = pairs.filter_map(in_words).chain(given).collect();
    (!rules.is_empty()).then(|| printed!(wording.texts.other_rules(), rules = rules.join("; ")))
}

/// Returns the measurements to take for a draft, in the order of their numbers: the four of the body, then those given
/// of the figure.
pub(crate) fn measurements_to_take<'t>(draft: &Draft, wording: Wording<'t>) -> Vec<Measurement<'t>> {
    let lengths = draft.body().into_array().map(Some).into_iter().chain(draft.figure().into_array());
    let fields = Body::FIELDS.iter().chain(&Figure::FIELDS).zip(lengths);
    let measurement = |(field, length): (&Field, Option<f64>)| {
        let [name, how] = [field.name, &format!("how_{}", field.name)].map(|key| wording.texts.template(key));
        Some(Measurement { field: field.name, name, length: wording.length(length?), how })
    };
    fields.filter_map(measurement).collect()
}

impl Lesson {
    /// Returns the lesson as Markdown text, without drawings.
    pub fn to_markdown(&self) -> String {
        let block = |block: TextBlock| match block {
            TextBlock::Title(text) => format!("# {text}\n\n"),
            TextBlock::Heading(text) => format!("\n## {text}\n\n"),
            TextBlock::Paragraph(text) => format!("{text}\n\n"),
            TextBlock::Measurements(list) => {
                let item = |(one, number): (&Measurement, usize)| {
                    format!("{number}. **{} {}** {}\n", one.name, one.length, one.how)
                };
                list.iter().zip(1..).map(item).chain(["\n".to_owned()]).collect()
            }
            TextBlock::NumberedItem(number, text) => format!("{number}. {text}\n"),
            TextBlock::SignAndCorrection(sign, correction) => format!("- **{sign}** {correction}\n"),
            TextBlock::Step(number, _, step) => {
                format!("{number}. {}{}\n", step.text, if step.is_common_practice() { " \\*" } else { "" })
            }
        };
        lesson_text_blocks(self).into_iter().map(block).collect()
    }
}
