//! WebAssembly binding for JavaScript: each call takes texts and answers with a text or with the bytes of a file.
//!
//! The only caller, `kirtle.js` in this folder, adds the arguments of a call and then calls. This module converts
//! arguments and answers and calls the library; it computes nothing and has no defaults of its own.

#![allow(unsafe_code, reason = "JavaScript calls exported functions by name; no pointer is dereferenced here")]

use std::cell::RefCell;

use crate::document::{Request, chart_json, to_json_text};
use crate::drawing::{Drawing, draw_draft};
#[cfg(feature = "pdf")]
use crate::drawing::{Paper, draw_pattern, with_header, with_notes_on_buying};
use crate::error::Problems;
use crate::field::Unit;
use crate::files::{SvgScale, svg};
use crate::ruler::Ruler;
use crate::wording::Texts;

thread_local! {
    /// Arguments that JavaScript has added for the next call, in order, each in UTF-8.
    static NEXT_CALL_ARGUMENTS: RefCell<Vec<Vec<u8>>> = const { RefCell::new(Vec::new()) };
    /// Answer of the last call: JSON or SVG in UTF-8, the bytes of a file, or the JSON of [`Problems`].
    static LAST_CALL_ANSWER: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Allocates an argument of `length` bytes for the next call; returns the address to which JavaScript writes it.
#[unsafe(no_mangle)]
extern "C" fn kirtle_add_argument(length: usize) -> *mut u8 {
    let mut bytes = vec![0; length];
    let address = bytes.as_mut_ptr();
    NEXT_CALL_ARGUMENTS.with_borrow_mut(|arguments| arguments.push(bytes));
    address
}

/// Returns the address of the last call's answer, valid until the next call.
#[unsafe(no_mangle)]
extern "C" fn kirtle_answer_address() -> *const u8 {
    LAST_CALL_ANSWER.with_borrow(Vec::as_ptr)
}

/// Returns the length of the last call's answer, in bytes.
#[unsafe(no_mangle)]
extern "C" fn kirtle_answer_length() -> usize {
    LAST_CALL_ANSWER.with_borrow(Vec::len)
}

/// Runs `call` with the added arguments and stores the answer; returns false if the answer is the JSON of [`Problems`].
fn store_answer_and_return_success<const N: usize>(call: impl FnOnce([&str; N]) -> Result<Vec<u8>, Problems>) -> bool {
    let arguments = NEXT_CALL_ARGUMENTS.take();
    let texts =
        std::array::from_fn(|k| arguments.get(k).and_then(|bytes| str::from_utf8(bytes).ok()).unwrap_or_default());
    let answer = call(texts);
    let is_accepted = answer.is_ok();
    LAST_CALL_ANSWER.set(answer.unwrap_or_else(|problems| to_json_text(&problems).into_bytes()));
    is_accepted
}

/// Returns a drawing as SVG, in true size if `fit` is empty, otherwise fitted to its container.
fn svg_bytes(drawing: &Drawing, fit: &str) -> Vec<u8> {
    svg(drawing, if fit.is_empty() { SvgScale::True } else { SvgScale::Fit }).into_bytes()
}

/// Declares functions for JavaScript: for each its name, its text arguments, and the expression of its answer.
macro_rules! javascript_functions {
    ($($(#[$meta:meta])+ $name:ident($($argument:ident),*) $answer:expr;)+) => {
        $($(#[$meta])+
        #[unsafe(no_mangle)]
        extern "C" fn $name() -> bool {
            store_answer_and_return_success(|[$($argument),*]| $answer)
        })+
    };
}

javascript_functions! {
    /// Drafts a request in JSON; the answer is the result of the draft in JSON, its cautions worded with `texts` in JSON.
    kirtle_draft_json(request, texts) {
        let report = Request::from_json(request)?.report()?;
        Ok(report.with_cautions_in(&Texts::from_json(texts)?).to_json().into_bytes())
    };
    /// Answers a request on a size chart in JSON; the answer is the report on the chart in JSON.
    kirtle_chart_json(request) Ok(chart_json(request)?.into_bytes());
    /// Drafts a request in JSON; the answer is the drawing of the draft as SVG with `texts` in JSON, in true size if
    /// `fit` is empty, otherwise fitted to its container.
    kirtle_draft_svg(request, texts, fit) {
        let request = Request::from_json(request)?;
        let (draft, texts) = (request.draft()?, Texts::from_json(texts)?);
        Ok(svg_bytes(&draw_draft(&draft, (request.ruler(), &texts)), fit))
    };
    /// Makes the pattern of a request in JSON; the answer is its drawing as SVG, with `texts` and `fit` as for a draft.
    #[cfg(feature = "pdf")]
    kirtle_pattern_svg(request, texts, fit) {
        let request = Request::from_json(request)?;
        let (pattern, texts) = (request.pattern(&request.draft()?)?, Texts::from_json(texts)?);
        let drawing = with_notes_on_buying(draw_pattern(&pattern, (request.ruler(), &texts)), &pattern, request.ruler());
        Ok(svg_bytes(&with_header(drawing), fit))
    };
    /// The answer is the English texts in JSON: a list of pairs of key and template.
    kirtle_english_texts() Ok(to_json_text(&Texts::english().collect::<Vec<_>>()).into_bytes());
    /// The answer is the version of Kirtle.
    kirtle_version() Ok(crate::VERSION.into());
    /// Parses a length in a unit, as it is read from a tape; the answer is the number in JSON.
    kirtle_parse_length(text, unit) {
        Ok(to_json_text(&Ruler::from(unit.parse::<Unit>()?).parse_length(text)?).into_bytes())
    };
    /// Formats a length, a number with decimals in the unit of a ruler; the answer is a text.
    kirtle_format_length(length, ruler) {
        let (length, ruler): (f64, Ruler) = (Ruler::Cm.parse_length(length)?, ruler.parse()?);
        Ok(ruler.format_length(length * ruler.unit().cm_per_unit()).into_bytes())
    };
    /// Makes the pattern of a request in JSON; the answer is a file of the format that `name` ends with; PDF on
    /// `paper`, with `texts` in JSON.
    #[cfg(feature = "pdf")]
    kirtle_pattern_file(request, name, paper, texts) {
        let request = Request::from_json(request)?;
        let (pattern, texts) = (request.pattern(&request.draft()?)?, Texts::from_json(texts)?);
        pattern.file_bytes(name, (request.ruler(), &texts), &Paper::named(paper)?)
    };
}
