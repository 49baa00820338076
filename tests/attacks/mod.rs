//! Fuzz targets: each attack turns any bytes into an input of Kirtle, and panics if the result is wrong.

#![allow(dead_code, unused_imports, reason = "each fuzzer runs only one attack")]

mod files;
mod pattern;
mod table;

use kirtle::document::{ChartRequest, Request};
use kirtle::{Problems, SizeChart, Unit};
use serde_json::Value;

pub(crate) use files::files;
pub(crate) use pattern::pattern;
pub(crate) use table::table;

/// Reads bytes as a request in JSON, and drafts it.
pub(crate) fn request(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let request = match Request::from_json(text) {
        Ok(request) => request,
        Err(problems) => return check_problems(&problems),
    };
    assert_eq!(Request::from_json(&request.to_json()).as_ref(), Ok(&request));
    match request.report() {
        Ok(report) => {
            assert!(report.proof.holds, "{:?}", report.proof);
            check_json(&report.to_json());
        }
        Err(problems) => check_problems(&problems),
    }
}

/// Reads bytes as a size chart in JSON, and drafts it.
pub(crate) fn chart(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    match ChartRequest::from_json(text).and_then(|request| request.report()) {
        Ok(report) => check_json(&report.to_json()),
        Err(problems) => check_problems(&problems),
    }
}

/// Reads bytes as a size chart in CSV; the first byte chooses the unit.
pub(crate) fn csv(data: &[u8]) {
    let Some((first, rest)) = data.split_first() else { return };
    let Ok(text) = std::str::from_utf8(rest) else { return };
    let unit = if first % 2 == 0 { Unit::Cm } else { Unit::In };
    match SizeChart::from_csv(text, unit) {
        Ok(chart) => {
            let again = SizeChart::from_csv(&chart.to_csv(Unit::Cm), Unit::Cm);
            assert_eq!(again.as_ref(), Ok(&chart));
        }
        Err(problems) => check_problems(&problems),
    }
}

fn check_json(text: &str) {
    assert!(serde_json::from_str::<Value>(text).is_ok(), "{text}");
}

/// Checks that every problem has a field and a message, and converts to JSON.
fn check_problems(problems: &Problems) {
    assert!(!problems.is_empty());
    for problem in problems.iter() {
        assert!(!problem.field.is_empty() && problem.to_string().len() > problem.field.len() + 2, "{problem:?}");
    }
    let json = serde_json::to_string(problems);
    assert!(json.is_ok_and(|json| serde_json::from_str::<Value>(&json).is_ok()), "{problems:?}");
}
