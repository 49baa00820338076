//! The pages of a lesson as blocks of text, from which Markdown and the printed pages are made.

use super::{Lesson, PanelLesson, Step};
use crate::draft::Half;
use crate::field::Unit;

/// Part of the text of a lesson: title, heading, paragraph, figure, list item or step.
pub(crate) enum TextBlock<'a> {
    /// Title of the lesson.
    Title(String),
    /// Heading of a section.
    Heading(&'static str),
    /// Paragraph.
    Paragraph(String),
    /// Drawing of the body with the four measurements.
    BodyFigure,
    /// Item of a list: its number or name, and its text.
    Item(String, String),
    /// Step of a panel, with its number.
    Step(usize, &'a PanelLesson, &'a Step),
}

/// Instructions for taking the four body measurements: waist, hip, hip depth, length (common practice).
const HOW_TO_MEASURE: [&str; 4] = [
    "around the natural waist, where a narrow tape tied around the body settles",
    "around the fullest part of the hip, level all around",
    "at the side, from the waist straight down to the level of the fullest hip, not along the curve",
    "at the side, from the waist straight down to the wished hem",
];

/// Order of work for a trial garment (common practice).
const ORDER_OF_WORK: [&str; 6] = [
    "Cut back and front in cheap firm cloth, 2 cm (1 in) outside the seam lines at sides and centre back, 1 cm (1/2 in) at waist and \
     hem. Mark seam lines, hip line and grain on the cloth.",
    "Sew each dart from its mouth to its tip, and press it towards the centre.",
    "Sew the centre back below the opening, then the sides, hip line on hip line.",
    "Sew a tape along the waist line, so that it does not stretch.",
    "Put it on over what will be worn under the skirt, and pin the opening shut.",
    "Look from the front, the side and the back: are the hip line level, the side seams upright, the hem level? Walk, sit and climb a step.",
];

/// Signs of bad fit on a trial garment, each with the options of `kirtle correct` that correct it (common practice).
const SIGNS_OF_BAD_FIT: [(&str, &str); 11] = [
    (
        "The waist is tight or loose.",
        "`--what waist`: let out above zero, take in below, by the whole girth. `--at side` or `--at darts` where the surplus lies.",
    ),
    ("Folds run across the hip, or the skirt slides up.", "`--what hip`, above zero."),
    ("Loose cloth hangs in upright folds at the hip.", "`--what hip`, below zero."),
    (
        "A fold lies across the back below the waist.",
        "`--what centre_back`, above zero: the waist line is lowered there.",
    ),
    ("The hem rises at the back.", "`--what centre_back`, below zero."),
    ("The hem rises in front.", "`--what centre_front`, below zero."),
    (
        "The side seam runs towards the front or the back.",
        "`--what balance`: above zero moves it towards the back, below towards the front.",
    ),
    (
        "It pulls or hangs empty between waist and hip.",
        "`--what side_fullness`, above zero for more room: 0.2 is a start.",
    ),
    (
        "A dart pokes at its tip, or ends too high.",
        "`--what dart_length`, above zero for longer; `--at back`, or `--at \"back 1\"` for the dart nearest the centre.",
    ),
    ("The fullest hip lies above or below the hip line.", "`--what hip_line`, above zero for lower."),
    ("The hem is too high or too low all around.", "`--what length`."),
];

const METHOD_LIMITS: &str = "The method knows girths and heights, not cloth, posture or taste. Two bodies with the same four numbers \
                      get the same skirt; a full belly, a swayed back or unequal hips show only on the body. The trial garment decides.";

/// Returns the text of a lesson as blocks, in reading order.
pub(crate) fn lesson_text_blocks(lesson: &Lesson) -> Vec<TextBlock<'_>> {
    let (unit, draft) = (lesson.unit, &lesson.draft);
    let (body, ease) = (draft.body(), draft.ease());
    let mut blocks = vec![
        TextBlock::Title("A straight skirt, drawn by hand".to_owned()),
        TextBlock::Paragraph(format!(
            "Waist {}, hip {}, hip depth {}, length {}; ease {} at the waist and {} at the hip. Half a back and half a front \
             are drawn, with pencil, ruler, set square and hip curve. All lengths are in {}. This is geometry, not fit: sew \
             a trial garment (toile) first.",
            unit.format_for_cutters(body.waist),
            unit.format_for_cutters(body.hip),
            unit.format_for_cutters(body.hip_depth),
            unit.format_for_cutters(body.length),
            unit.format_for_cutters(ease.waist),
            unit.format_for_cutters(ease.hip),
            if unit == Unit::Cm { "centimetres" } else { "inches" },
        )),
        TextBlock::Heading("Measure"),
        TextBlock::Paragraph("Measure snugly, over what will be worn under the skirt.".to_owned()),
        TextBlock::BodyFigure,
    ];
    let names = ["waist", "hip", "hip depth", "length"];
    let item = |(name, how): (&str, &str)| TextBlock::Item(name.to_owned(), how.to_owned());
    blocks.extend(names.into_iter().zip(HOW_TO_MEASURE).map(item));
    for panel in lesson.panels() {
        blocks.push(TextBlock::Heading(match panel.half {
            Half::Back => "Draw the back",
            Half::Front => "Draw the front",
        }));
        blocks.push(TextBlock::Paragraph("\"Out\" is towards the side, \"in\" towards the centre.".to_owned()));
        blocks.extend(panel.steps.iter().zip(1..).map(|(step, number)| TextBlock::Step(number, panel, step)));
    }
    let difference = lesson.rounding();
    blocks.push(TextBlock::Heading("How exact it is"));
    blocks.push(TextBlock::Paragraph(format!(
        "With every length rounded to the {}, and the curves as smooth as a hip curve draws them, no line lies more than {:.1} mm \
         from the computed pattern, and the sewn waist is {:.1} mm {} all around.",
        if unit == Unit::Cm { "millimetre" } else { "sixteenth of an inch" },
        difference.distance_mm,
        difference.waist_mm.abs(),
        if difference.waist_mm < 0.0 { "shorter" } else { "longer" },
    )));
    blocks.push(TextBlock::Heading("Sew a trial garment"));
    blocks.extend(
        ORDER_OF_WORK.iter().zip(1..).map(|(text, number)| TextBlock::Item(format!("{number}."), (*text).to_owned())),
    );
    blocks.push(TextBlock::Heading("Look, pin and correct"));
    blocks.push(TextBlock::Paragraph(
        "Pin until it hangs well, measure what was pinned, and correct the draft with `kirtle correct`.".to_owned(),
    ));
    blocks.extend(SIGNS_OF_BAD_FIT.map(|(sign, correction)| TextBlock::Item(sign.to_owned(), correction.to_owned())));
    blocks.push(TextBlock::Heading("What the method does not know"));
    blocks.push(TextBlock::Paragraph(METHOD_LIMITS.to_owned()));
    blocks
}

impl Lesson {
    /// Returns the lesson as Markdown, without figures.
    #[must_use]
    pub fn to_markdown(&self) -> String {
        let block = |block: TextBlock| match block {
            TextBlock::Title(text) => format!("# {text}\n\n"),
            TextBlock::Heading(text) => format!("\n## {text}\n\n"),
            TextBlock::Paragraph(text) => format!("{text}\n\n"),
            TextBlock::BodyFigure => String::new(),
            TextBlock::Item(name, text) if name.ends_with('.') && name.len() < 4 => format!("{name} {text}\n"),
            TextBlock::Item(name, text) => format!("- **{name}** {text}\n"),
            TextBlock::Step(number, _, step) => format!("{number}. {}\n", step.text),
        };
        lesson_text_blocks(self).into_iter().map(block).collect()
    }
}
