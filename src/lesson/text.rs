//! The pages of a lesson as blocks of text, from which Markdown and the printed pages are made.

use super::{Lesson, PanelLesson, Step};
use crate::body::{Body, Figure};
use crate::draft::{Draft, Half};
use crate::field::Field;
use crate::ruler::Ruler;

/// Block of a lesson's text: title, heading, paragraph, list of measurements, list item or step.
pub(crate) enum TextBlock<'a> {
    /// Title of the lesson.
    Title(String),
    /// Heading of a section.
    Heading(&'static str),
    /// Paragraph.
    Paragraph(String),
    /// List of measurements to take, numbered as in a drawing of the body.
    Measurements(Vec<Measurement>),
    /// Item of a list: its number or, in the list of corrections, the sign of bad fit; then its text.
    Item(String, String),
    /// Step that draws a panel: its number from 1, the lesson of the panel, and the step.
    Step(usize, &'a PanelLesson, &'a Step),
}

/// Measurement in a list: its name, its length on the body as printed, and how to take it.
pub(crate) struct Measurement {
    pub(crate) name: String,
    pub(crate) length: String,
    pub(crate) how: &'static str,
}

/// Where to take each measurement of a body, then each measurement of its figure (common practice).
const HOW_TO_TAKE_EACH_MEASUREMENT: [&str; Body::FIELDS.len() + Figure::FIELDS.len()] = [
    "around the natural waist, where a narrow tape tied around the body settles",
    "around the fullest part of the hip, level all around",
    "at the side, from the waist straight down to the level of the fullest hip, not along the curve",
    "at the side, from the waist straight down to where the hem is wanted",
    "from the waist at the centre front straight down to the floor",
    "from the waist at the side straight down to the floor",
    "from the waist at the centre back straight down to the floor",
    "over the front at the fullest hip, from side seam to side seam",
    "over the front at the waist, from side seam to side seam",
    "around belly or upper hip, where they are fullest",
    "at the side, from the waist straight down to the high hip",
];

/// Instructions for sewing a trial garment, in order of work (common practice).
const TRIAL_GARMENT_STEPS: [&str; 6] = [
    "Cut back and front in cheap firm cloth, 2 cm (1 in) outside the seam lines at sides and centre back, 1 cm (1/2 in) at waist and \
     hem. Mark seam lines, hip line and grain on the cloth.",
    "Sew each dart from its mouth to its tip, and press it towards the centre.",
    "Sew the centre back below the opening, then the sides, with the hip lines of back and front on each other.",
    "Sew a tape along the waist line, so that it does not stretch.",
    "Put the trial garment on over what will be worn under the skirt, and pin the opening shut.",
    "Look from the front, the side and the back: are the hip line level, the side seams upright, the hem level? Walk, sit and climb a step.",
];

/// Signs of bad fit on a trial garment, each with the options of `kirtle correct` that correct it (common practice).
const BAD_FIT_SIGNS_AND_CORRECTIONS: [(&str, &str); 11] = [
    (
        "The waist is tight or loose.",
        "`waist`, above zero to let out, below to take in, by the whole girth; `--at side` or `--at darts` says where.",
    ),
    ("Folds run across the hip, or the skirt slides up.", "`hip`, above zero."),
    ("Loose cloth hangs in upright folds at the hip.", "`hip`, below zero."),
    ("A fold lies across the back below the waist.", "`centre_back`, above zero: the waist line is lowered there."),
    ("The hem rises at the back.", "`centre_back`, below zero."),
    ("The hem rises in front.", "`centre_front`, below zero."),
    (
        "The side seam runs towards the front or the back.",
        "`balance`: above zero moves it towards the back, below towards the front.",
    ),
    (
        "The cloth pulls or hangs empty between waist and hip.",
        "`side_fullness`, above zero for more room: 0.2 is a start.",
    ),
    (
        "A dart pokes at its tip, or ends too high.",
        "`dart_length`, above zero for longer; `--at back`, or `--at \"back 1\"` for the dart nearest the centre.",
    ),
    ("The fullest hip lies above or below the hip line.", "`hip_line`, above zero for lower."),
    ("The hem is too high or too low all around.", "`length`."),
];

/// Legend above the steps of a panel: what "out", "in" and the asterisk mean.
const PANEL_STEPS_LEGEND: &str = "\"Out\" is towards the side, \"in\" towards the centre. * common practice; a step without a mark is derived from \
                      the method, which computes its numbers.";

const METHOD_LIMITS_PARAGRAPH: &str = "The method does not know cloth, posture or taste: it knows girths and heights. Two bodies with the same numbers get \
                      the same skirt; a full belly, a swayed back or unequal hips show only on the body. The trial garment decides.";

/// Returns the text of a lesson as blocks, in reading order.
pub(crate) fn lesson_text_blocks(lesson: &Lesson) -> Vec<TextBlock<'_>> {
    let (ruler, draft) = (lesson.ruler, &lesson.draft);
    let (body, ease) = (draft.body(), draft.ease());
    let mut blocks = vec![
        TextBlock::Title("A straight skirt, drawn by hand".to_owned()),
        TextBlock::Paragraph(format!(
            "Waist {}, hip {}, hip depth {}, length {}; ease {} at the waist and {} at the hip. Half a back and half a front \
             are drawn, with pencil, ruler, set square and hip curve. All lengths are in {}. This is geometry, not fit: sew \
             a trial garment (toile) first.",
            ruler.format_length(body.waist),
            ruler.format_length(body.hip),
            ruler.format_length(body.hip_depth),
            ruler.format_length(body.length),
            ruler.format_length(ease.waist),
            ruler.format_length(ease.hip),
            ruler.unit_in_words(),
        )),
        TextBlock::Heading("Measure"),
        TextBlock::Paragraph("Measure snugly, over what will be worn under the skirt.".to_owned()),
        TextBlock::Measurements(measurements_to_take(draft, ruler)),
        TextBlock::Paragraph(METHOD_LIMITS_PARAGRAPH.to_owned()),
    ];
    for panel in lesson.panels() {
        let is_back = panel.half == Half::Back;
        blocks.push(TextBlock::Heading(if is_back { "Draw the back" } else { "Draw the front" }));
        blocks.push(TextBlock::Paragraph(PANEL_STEPS_LEGEND.to_owned()));
        blocks.extend(panel.steps.iter().zip(1..).map(|(step, number)| TextBlock::Step(number, panel, step)));
    }
    let difference = lesson.rounding();
    blocks.push(TextBlock::Heading("How exact it is"));
    blocks.push(TextBlock::Paragraph(format!(
        "With every length rounded to the {}, and the curves as smooth as a hip curve draws them, no line lies more than {:.1} mm \
         from the computed pattern, the sewn waist is {:.1} mm {} all around, and each side seam {:.1} mm {}.",
        ruler.step_in_words(),
        difference.distance_mm,
        difference.waist_mm.abs(),
        longer_or_shorter(difference.waist_mm),
        difference.side_mm.abs(),
        longer_or_shorter(difference.side_mm),
    )));
    blocks.push(TextBlock::Heading("Sew a trial garment"));
    let steps = TRIAL_GARMENT_STEPS.iter().zip(1..);
    blocks.extend(steps.map(|(text, number)| TextBlock::Item(format!("{number}."), (*text).to_owned())));
    blocks.push(TextBlock::Heading("Look, pin and correct"));
    blocks.push(TextBlock::Paragraph(
        "Pin until the trial garment hangs well, and measure how much each pin takes in or lets out. Then draft again by `kirtle correct`: \
         `--what` takes the word beside the sign, `--by` the amount.".to_owned(),
    ));
    let corrections = BAD_FIT_SIGNS_AND_CORRECTIONS.iter();
    blocks.extend(corrections.map(|(sign, correction)| TextBlock::Item((*sign).to_owned(), (*correction).to_owned())));
    blocks
}

fn longer_or_shorter(difference: f64) -> &'static str {
    if difference < 0.0 { "shorter" } else { "longer" }
}

/// Returns the measurements to take for a draft, in the order of their numbers: the four of the body, then those given
/// of the figure.
fn measurements_to_take(draft: &Draft, ruler: Ruler) -> Vec<Measurement> {
    let lengths = draft.body().into_array().map(Some).into_iter().chain(draft.figure().into_array());
    let fields = Body::FIELDS.iter().chain(&Figure::FIELDS).zip(lengths).zip(HOW_TO_TAKE_EACH_MEASUREMENT);
    let measurement = |((field, length), how): ((&Field, Option<f64>), _)| {
        let (name, length) = (field.name.replace('_', " "), ruler.format_length(length?));
        Some(Measurement { name, length, how })
    };
    fields.filter_map(measurement).collect()
}

impl Lesson {
    /// Returns the lesson as Markdown text, without drawings.
    #[must_use]
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
            TextBlock::Item(name, text) if name.ends_with('.') && name.len() < 4 => format!("{name} {text}\n"),
            TextBlock::Item(name, text) => format!("- **{name}** {text}\n"),
            TextBlock::Step(number, _, step) => {
                format!("{number}. {}{}\n", step.text, if step.is_common_practice() { " \\*" } else { "" })
            }
        };
        lesson_text_blocks(self).into_iter().map(block).collect()
    }
}
