//! Inputs at the limits and beyond: deep, long, many, odd; each is answered, or refused in words that can be read.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fmt::Write;

use kirtle::document::{ChartRequest, Request};
use kirtle::drawing::Paper;
use kirtle::files::Scale;
use kirtle::sensitivity::Target;
use kirtle::{Body, Code, Cutting, Draft, Ease, Half, Problems, Rules, Size, SizeChart, Unit};

const BODY: Body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };
const REQUEST: &str = r#"{"unit": "cm", "body": {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60},
    "ease": {"waist": 1.5, "hip": 5}}"#;
const HEADER: &str = "name,waist,hip,hip_depth,length\n";

/// The longest sentence of a refusal: what was given, what was wanted, and some words.
const LONGEST_SENTENCE: usize = 6000;

fn draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

/// The one sentence of a refusal.
fn only<T: std::fmt::Debug>(result: Result<T, Problems>) -> String {
    let problems = result.unwrap_err();
    assert_eq!(problems.len(), 1, "{problems}");
    problems.to_string()
}

#[test]
fn a_request_is_read_to_the_last_byte_of_its_limit() {
    let padded = |length: usize| format!("{REQUEST}{}", " ".repeat(length - REQUEST.len()));
    assert_eq!(Request::from_json(&padded(65_536)), Request::from_json(REQUEST));
    assert_eq!(only(kirtle::draft_json(&padded(65_537))), "request: 65537 bytes is above the maximum of 65536 bytes");
    let chart = SizeChart::demo();
    let text = format!("{}{}", chart.to_csv(Unit::Cm), "\n".repeat((1 << 20) - chart.to_csv(Unit::Cm).len()));
    assert_eq!(SizeChart::from_csv(&text, Unit::Cm).unwrap(), chart);
    let long = only(SizeChart::from_csv(&format!("{text}\n"), Unit::Cm));
    assert_eq!(long, "chart: is not a table of sizes: it has 1048577 bytes, more than 1048576");
    let long = only(ChartRequest::from_json(&" ".repeat((1 << 20) + 1)));
    assert_eq!(long, "chart: 1048577 bytes are given; the most is 1048576 bytes");
}

#[test]
fn what_is_deep_or_broken_is_refused_in_a_sentence() {
    let digits = format!(r#"{{"unit": "cm", "body": {{"waist": {}}}}}"#, "7".repeat(1000));
    let deep = ["[".repeat(30_000), r#"{"a":"#.repeat(10_000), format!("[{}", "[[],".repeat(15_000))];
    let broken =
        ["", "\0", "\u{feff}", "{\"unit\": \"cm\"", r#""\ud800""#, "{\"a\": \u{1}}", "nul", "1e999", "{},", "'a'"];
    for text in deep.iter().chain([&digits]).map(String::as_str).chain(broken) {
        for (name, sentence) in
            [("request", only(Request::from_json(text))), ("chart", only(ChartRequest::from_json(text)))]
        {
            assert!(sentence.starts_with(&format!("{name}: is not JSON: ")), "{sentence}");
        }
    }
}

#[test]
fn every_problem_of_many_is_told_and_each_is_short() {
    let many: String = (0..3000).fold(String::new(), |mut text, k| {
        write!(text, r#""field {k}": 1, "#).unwrap();
        text
    });
    let problems = kirtle::draft_json(&format!("{{{many}{}", &REQUEST[1..])).unwrap_err();
    assert_eq!(problems.len(), 3000);
    let long = "x".repeat(60_000);
    for text in [
        REQUEST.replace("ease", &long),
        REQUEST.replace("\"cm\"", &format!("\"{long}\"")),
        REQUEST.replace("72", &format!("\"{long}\"")),
        format!(r#"{}, "cutting": {{"name": "{long}"}}}}"#, &REQUEST[..REQUEST.len() - 1]),
        format!(r#"{}, "cutting": {{"press": "{long}"}}}}"#, &REQUEST[..REQUEST.len() - 1]),
    ] {
        let problems = kirtle::draft_json(&text).unwrap_err();
        assert!(problems.iter().all(|problem| problem.message.len() < 400), "{problems}");
    }
}

/// Who gives a text of a megabyte as a name, gets no message of a megabyte.
#[test]
fn a_text_is_shown_by_its_start() {
    let long = "漢".repeat(1 << 18);
    let size = |name: &str, waist: f64| Size { name: name.to_owned(), body: Body { waist, hip: waist + 26.0, ..BODY } };
    let spaced = format!("{} ", &long[..3 * 59]);
    let problems = [
        SizeChart::new(vec![size(&long, 72.0), size(&format!(" {long}"), 76.0), size(&spaced, 80.0)]).unwrap_err(),
        Paper::named(&long).unwrap_err(),
        draft().sensitivity(&[&long]).unwrap_err(),
        draft().seek("ease.hip", &Target::named(&long, 1.0, None).unwrap(), None, Unit::Cm).unwrap_err(),
        draft().seek(&long, &Target::Darts(Half::Back, 1), None, Unit::Cm).unwrap_err(),
        draft()
            .uncertainty(&kirtle::sensitivity::StandardErrors::independent(&[(&long, 1.0)]).unwrap(), Unit::Cm)
            .unwrap_err(),
    ];
    assert_eq!(problems[0].iter().map(|p| p.code).collect::<Vec<_>>(), [Code::TooMany, Code::TooMany, Code::WrongType]);
    for problem in problems.iter().flat_map(|problems| problems.iter()) {
        assert!(problem.message.chars().count() < LONGEST_SENTENCE, "{} letters", problem.message.chars().count());
        assert!(problem.field.chars().count() < LONGEST_SENTENCE);
    }
    let path = format!("{}.txt", &long[..30_000]);
    let refused = draft().pattern(&Cutting::default()).unwrap().save(path, Unit::Cm, &Paper::named("A4").unwrap());
    assert!(refused.unwrap_err().to_string().chars().count() < LONGEST_SENTENCE);
}

/// A long header above many short rows: every row must not cost as much as the header.
#[test]
fn a_table_costs_what_its_text_does() {
    let wide = format!("{}\n{}", "n".repeat(20_000), "1\n".repeat(30_000));
    let problems = SizeChart::from_csv(&wide, Unit::Cm).unwrap_err();
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::UnknownField).count(), 1);
    assert!(problems.to_string().contains("30000 sizes are given; the most is 1000 sizes"), "{problems}");
    let commas = ",".repeat((1 << 19) - 1);
    let sentence = only(SizeChart::from_csv(&format!("{commas}\n{commas}\n"), Unit::Cm));
    assert_eq!(sentence, "chart: is not a table of sizes: it has 524288 columns, more than 100");
}

#[test]
fn tables_of_any_spelling_are_read_or_refused() {
    let rows = "S,60,84,20,60\n\"L, \"\"long\"\"\",64,88,20,60\n";
    let read = |text: &str| SizeChart::from_csv(text, Unit::Cm);
    let plain = read(&format!("{HEADER}{rows}")).unwrap();
    assert_eq!(plain.sizes()[1].name, "L, \"long\"");
    for text in [
        format!("\u{feff}{HEADER}{rows}"),
        format!("{HEADER}{rows}").replace('\n', "\r\n"),
        format!("{HEADER}{rows}").replace('\n', "\r"),
        format!("\n\n{HEADER}\n\n{rows}\n"),
        format!("{HEADER}{rows}").replace(",6", " , 6").replace('S', " S "),
    ] {
        assert_eq!(read(&text).unwrap(), plain, "{text:?}");
    }
    let other = format!("{HEADER}S,60,84,20,60\nL,64,88,20,60\n").replace(',', ";");
    let problems = read(&other).unwrap_err();
    assert_eq!(problems[0].field, "columns.\"name;waist;hip;hip_depth;length\"");
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::Missing).count(), 5);
    for text in ["a\nb", "a\u{85}b", "\0", "\u{202e}a", "\u{ffff}"] {
        let problems = read(&format!("{HEADER}\"x{text}y\",60,84,20,60\nL,64,88,20,60\n")).unwrap_err();
        assert_eq!(problems[0].field, "sizes[0].name", "{problems}");
    }
    assert!(only(read(&format!("{HEADER}\"S,60,84,20,60\n"))).contains("is not a table of sizes"));
}

#[test]
fn a_chart_has_a_most_of_sizes_and_serves_them_all() {
    let sizes = |count: u32| -> Vec<Size> {
        let body = |k| Body { waist: 60.0 + f64::from(k) / 1e4, hip: 84.0 + f64::from(k) / 1e4, ..BODY };
        (0..count).map(|k| Size { name: k.to_string(), body: body(k) }).collect()
    };
    let sentence = only(SizeChart::new(sizes(100_000)));
    assert_eq!(sentence, "sizes: 100000 sizes are given; the most is 1000 sizes");
    let chart = SizeChart::new(sizes(1000)).unwrap();
    assert_eq!(SizeChart::from_csv(&chart.to_csv(Unit::In), Unit::In).unwrap().sizes().len(), 1000);
    assert_eq!(chart.choose(&Body { waist: 60.05, hip: 84.05, ..BODY }).overall.size, "500");
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    assert!(range.alter(&Body { waist: 60.05, hip: 84.05, ..BODY }, None).unwrap().holds());
    assert_eq!(
        kirtle::drawing::draw_nest(&range, Unit::Cm).parts.iter().filter(|part| !part.set.is_empty()).count(),
        2000
    );
}

/// Letters that are allowed, and mean something to a format.
const ODD: [&str; 9] = [
    "<&>\"']]>",
    "\\P%%d^M\\U+0041",
    "(a)\\(",
    "\u{200f}א\u{200e}",
    "😀👩‍🦰",
    "e\u{301}",
    "\u{feff}a",
    "\u{10ffff}",
    "-->",
];

#[test]
fn odd_names_are_written_whole_into_every_format() {
    for name in ODD {
        let cutting = Cutting { name: name.to_owned(), ..Cutting::default() };
        let pattern = draft().pattern(&cutting).unwrap();
        let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
        let svg = kirtle::files::svg(&drawing, Scale::True);
        assert!(!svg.contains("<&") && !svg.contains("]]>"), "{name:?}");
        let unescaped = svg.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
        assert!(unescaped.contains(name), "{name:?}");
        let dxf = kirtle::files::dxf(&drawing);
        assert!(dxf.is_ascii() && dxf.lines().count().is_multiple_of(2), "{name:?}");
        let json: serde_json::Value =
            serde_json::from_str(&kirtle::document::PatternReport::new(&pattern, Unit::Cm).to_json()).unwrap();
        assert_eq!(json["name"], *name);
    }
    for name in ["a\0", "a\u{1b}[2J", "a\u{202e}b", "a\nb", "a\u{2028}b", "\u{fffe}", "\u{2067}a"] {
        let sentence = only(draft().pattern(&Cutting { name: name.to_owned(), ..Cutting::default() }));
        assert!(sentence.ends_with("is not a text on one line"), "{sentence}");
        assert!(!sentence.contains(name), "shown as it is: {sentence}");
    }
}

/// What is public can be sent to another thread, and shared by threads.
#[test]
fn public_types_go_to_any_thread() {
    fn free<T: Send + Sync>() {}
    free::<(
        Body,
        Ease,
        Rules,
        Draft,
        Cutting,
        kirtle::Pattern,
        kirtle::pattern::Lay,
        kirtle::pattern::Cloth,
        Problems,
        Unit,
        Paper,
    )>();
    free::<(
        Request,
        ChartRequest,
        SizeChart,
        kirtle::sizes::SizeRange,
        kirtle::sizes::Alteration,
        kirtle::sizes::Fitting,
        kirtle::sizes::Choice,
    )>();
    free::<(
        kirtle::sensitivity::Sensitivity,
        kirtle::sensitivity::Uncertainty,
        kirtle::sensitivity::StandardErrors,
        kirtle::sensitivity::Solutions,
        kirtle::sensitivity::Target,
    )>();
    free::<(
        kirtle::batch::Table,
        kirtle::batch::Threads,
        kirtle::batch::Bodies<'static>,
        kirtle::drawing::Drawing,
        kirtle::drawing::Print,
    )>();
    free::<(
        kirtle::survey::ChartFit,
        kirtle::survey::Population,
        kirtle::files::SaveError,
        kirtle::ease_profile::EaseByLevel,
    )>();
}
