//! What comes from outside, as bytes: each attack takes any, and panics where Kirtle does not keep its word.

#![allow(dead_code, unused_imports, reason = "a fuzzer runs one of them")]

mod files;
mod pattern;
mod table;

use kirtle::document::{ChartRequest, Request};
use kirtle::{Problems, SizeChart, Unit};
use serde_json::Value;

pub(crate) use files::files;
pub(crate) use pattern::pattern;
pub(crate) use table::table;

/// Bytes as a request in JSON.
pub(crate) fn request(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let read = match Request::from_json(text) {
        Ok(read) => read,
        Err(problems) => return speaks(&problems),
    };
    assert_eq!(Request::from_json(&read.to_json()).as_ref(), Ok(&read));
    match read.report() {
        Ok(report) => {
            assert!(report.proof.holds, "{:?}", report.proof);
            is_json(&report.to_json());
        }
        Err(problems) => speaks(&problems),
    }
}

/// Bytes as a chart in JSON.
pub(crate) fn chart(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    match ChartRequest::from_json(text).and_then(|request| request.report()) {
        Ok(report) => is_json(&report.to_json()),
        Err(problems) => speaks(&problems),
    }
}

/// Bytes as a chart in comma-separated values, the first for the unit.
pub(crate) fn csv(data: &[u8]) {
    let Some((first, rest)) = data.split_first() else { return };
    let Ok(text) = std::str::from_utf8(rest) else { return };
    let unit = if first % 2 == 0 { Unit::Cm } else { Unit::In };
    match SizeChart::from_csv(text, unit) {
        Ok(chart) => {
            let again = SizeChart::from_csv(&chart.to_csv(Unit::Cm), Unit::Cm);
            assert_eq!(again.as_ref(), Ok(&chart));
        }
        Err(problems) => speaks(&problems),
    }
}

fn is_json(text: &str) {
    assert!(serde_json::from_str::<Value>(text).is_ok(), "{text}");
}

/// Problems say which field is wrong, in sentences, and go into JSON.
fn speaks(problems: &Problems) {
    assert!(!problems.is_empty());
    for problem in problems.iter() {
        assert!(!problem.field.is_empty() && problem.to_string().len() > problem.field.len() + 2, "{problem:?}");
    }
    let json = serde_json::to_string(problems);
    assert!(json.is_ok_and(|json| serde_json::from_str::<Value>(&json).is_ok()), "{problems:?}");
}
