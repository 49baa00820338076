//! WebAssembly binding for JavaScript: texts in, the text or the bytes of an answer out.
//!
//! For `kirtle.js` in this folder, the only caller. Each call takes the arguments that were added before it. The room
//! converts arguments and answers and calls the library; it computes nothing and has no defaults of its own.

#![allow(unsafe_code, reason = "JavaScript finds a function by its name; no pointer is read here")]

use std::cell::RefCell;

use crate::document::{Request, chart_json, draft_json, to_json_text};
#[cfg(feature = "pdf")]
use crate::drawing::Paper;
use crate::drawing::draw_draft;
use crate::error::Problems;
use crate::files::{SvgScale, svg};

thread_local! {
    /// Arguments of the next call, as UTF-8.
    static ARGUMENTS: RefCell<Vec<Vec<u8>>> = const { RefCell::new(Vec::new()) };
    /// Answer of the last call: a text in UTF-8, or the bytes of a file.
    static ANSWER: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Adds an argument of `length` bytes to the next call; returns its address, where the caller writes the bytes.
#[unsafe(no_mangle)]
extern "C" fn kirtle_add_argument(length: usize) -> *mut u8 {
    let mut bytes = vec![0; length];
    let address = bytes.as_mut_ptr();
    ARGUMENTS.with_borrow_mut(|arguments| arguments.push(bytes));
    address
}

/// Returns the address of the answer of the last call, which the next call overwrites.
#[unsafe(no_mangle)]
extern "C" fn kirtle_answer_address() -> *const u8 {
    ANSWER.with_borrow(Vec::as_ptr)
}

/// Returns the length of the answer of the last call, in bytes.
#[unsafe(no_mangle)]
extern "C" fn kirtle_answer_length() -> usize {
    ANSWER.with_borrow(Vec::len)
}

/// Keeps the answer of `call` to the added arguments; returns false if the answer is the JSON of [`Problems`].
fn keep_answer<const N: usize>(call: impl FnOnce([&str; N]) -> Result<Vec<u8>, Problems>) -> bool {
    let arguments = ARGUMENTS.take();
    let texts =
        std::array::from_fn(|k| arguments.get(k).and_then(|bytes| str::from_utf8(bytes).ok()).unwrap_or_default());
    let answer = call(texts);
    let is_accepted = answer.is_ok();
    ANSWER.set(answer.unwrap_or_else(|problems| to_json_text(&problems).into_bytes()));
    is_accepted
}

/// Declares the functions that JavaScript calls: the arguments of each, and the expression of its answer.
macro_rules! calls {
    ($($(#[$meta:meta])+ $name:ident($($argument:ident),+) $answer:expr;)+) => {
        $($(#[$meta])+
        #[unsafe(no_mangle)]
        extern "C" fn $name() -> bool {
            keep_answer(|[$($argument),+]| $answer)
        })+
    };
}

calls! {
    /// Drafts a request in JSON; the answer is the result in JSON.
    kirtle_draft_json(request) Ok(draft_json(request)?.into_bytes());
    /// Reads a request on a chart of sizes in JSON; the answer is the report in JSON.
    kirtle_chart_json(request) Ok(chart_json(request)?.into_bytes());
    /// Drafts a request in JSON; the answer is the drawing of the draft as SVG.
    kirtle_draft_svg(request) {
        let request = Request::from_json(request)?;
        Ok(svg(&draw_draft(&request.draft()?, request.ruler()), SvgScale::True).into_bytes())
    };
    /// Makes the pattern of a request in JSON; the answer is a file in the format of the extension of `name`, on `paper`.
    #[cfg(feature = "pdf")]
    kirtle_pattern_file(request, name, paper) {
        let request = Request::from_json(request)?;
        request.pattern(&request.draft()?)?.file_bytes(name, request.ruler(), &Paper::named(paper)?)
    };
}
