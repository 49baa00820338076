//! Inputs at the limits and beyond: deep, long, many, odd; each is accepted, or refused in a readable message.

use std::fmt::Write;

use kirtle::document::{ChartRequest, Request};
use kirtle::drawing::Paper;
use kirtle::files::SvgScale;
use kirtle::sensitivity::SeekTarget;
use kirtle::{Body, Code, Cutting, Draft, Ease, Half, Problems, Rules, Size, SizeChart, Texts, Unit};

const BODY: Body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };
const REQUEST: &str = r#"{"unit": "cm", "body": {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60},
    "ease": {"waist": 1.5, "hip": 5}}"#;
const HEADER: &str = "name,waist,hip,hip_depth,length\n";

/// Largest number of characters in a message or a field path.
const MAX_MESSAGE_LENGTH: usize = 6000;

fn draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

/// Returns the message of a refusal that has exactly one problem.
fn only_message<T: std::fmt::Debug>(result: Result<T, Problems>) -> String {
    let problems = result.unwrap_err();
    assert_eq!(problems.len(), 1, "{problems}");
    problems.to_string()
}

#[test]
fn a_document_may_be_as_long_as_its_limit_and_no_longer() {
    let padded = |length: usize| format!("{REQUEST}{}", " ".repeat(length - REQUEST.len()));
    assert_eq!(Request::from_json(&padded(65_536)), Request::from_json(REQUEST));
    assert_eq!(
        only_message(kirtle::draft_json(&padded(65_537))),
        "request: 65537 bytes is above the maximum of 65536 bytes"
    );
    let chart = SizeChart::demo();
    let text = format!("{}{}", chart.to_csv(Unit::Cm), "\n".repeat((1 << 20) - chart.to_csv(Unit::Cm).len()));
    assert_eq!(SizeChart::from_csv(&text, Unit::Cm).unwrap(), chart);
    let long = only_message(SizeChart::from_csv(&format!("{text}\n"), Unit::Cm));
    assert_eq!(long, "chart: not a valid size table: 1048577 bytes, more than the maximum of 1048576");
    let long = only_message(ChartRequest::from_json(&" ".repeat((1 << 20) + 1)));
    assert_eq!(long, "chart: 1048577 bytes are given, at most 1048576 bytes allowed");
}

#[test]
fn deep_or_broken_json_is_refused_in_one_message() {
    let digits = format!(r#"{{"unit": "cm", "body": {{"waist": {}}}}}"#, "7".repeat(1000));
    let deep = ["[".repeat(30_000), r#"{"a":"#.repeat(10_000), format!("[{}", "[[],".repeat(15_000))];
    let broken =
        ["", "\0", "\u{feff}", "{\"unit\": \"cm\"", r#""\ud800""#, "{\"a\": \u{1}}", "nul", "1e999", "{},", "'a'"];
    for text in deep.iter().chain([&digits]).map(String::as_str).chain(broken) {
        for (name, message) in [
            ("request", only_message(Request::from_json(text))),
            ("chart", only_message(ChartRequest::from_json(text))),
        ] {
            assert!(message.starts_with(&format!("{name}: invalid JSON: ")), "{message}");
        }
    }
}

#[test]
fn of_many_problems_the_first_hundred_are_reported_in_short_messages() {
    let many: String = (0..3000).fold(String::new(), |mut text, k| {
        write!(text, r#""field {k}": 1, "#).unwrap();
        text
    });
    let (request, texts) = (format!("{{{many}{}", &REQUEST[1..]), format!(r#"{{{many}"fold": 3}}"#));
    let pairs = (0..3000).map(|k| (format!("field {k}"), ""));
    for problems in [
        kirtle::draft_json(&request).unwrap_err(),
        Texts::from_json(&texts).unwrap_err(),
        Texts::new(pairs).unwrap_err(),
    ] {
        assert_eq!((problems.len(), problems[98].code), (Problems::MAX, Code::UnknownField));
        assert_eq!(problems[99].message, "problems: over 100 problems are given, at most 100 problems allowed");
    }
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

#[test]
fn a_message_quotes_only_the_start_of_a_long_text() {
    let long = "漢".repeat(1 << 18);
    let size = |name: &str, waist: f64| Size { name: name.to_owned(), body: Body { waist, hip: waist + 26.0, ..BODY } };
    let spaced = format!("{} ", &long[..3 * 59]);
    let problems = [
        SizeChart::new(vec![size(&long, 72.0), size(&format!(" {long}"), 76.0), size(&spaced, 80.0)]).unwrap_err(),
        Paper::named(&long).unwrap_err(),
        draft().sensitivity(&[&long]).unwrap_err(),
        draft().seek("ease.hip", &SeekTarget::from_name(&long, 1.0, None).unwrap(), None, Unit::Cm).unwrap_err(),
        draft().seek(&long, &SeekTarget::Darts(Half::Back, 1), None, Unit::Cm).unwrap_err(),
        draft()
            .uncertainty(&kirtle::sensitivity::StandardErrors::independent(&[(&long, 1.0)]).unwrap(), Unit::Cm)
            .unwrap_err(),
    ];
    assert_eq!(problems[0].iter().map(|p| p.code).collect::<Vec<_>>(), [Code::TooMany, Code::TooMany, Code::WrongType]);
    for problem in problems.iter().flat_map(|problems| problems.iter()) {
        assert!(problem.message.chars().count() < MAX_MESSAGE_LENGTH, "{} characters", problem.message.chars().count());
        assert!(problem.field.chars().count() < MAX_MESSAGE_LENGTH);
    }
    let path = format!("{}.txt", &long[..30_000]);
    let refused = draft().pattern(&Cutting::default()).unwrap().save(path, Unit::Cm, &Paper::named("A4").unwrap());
    assert!(refused.unwrap_err().to_string().chars().count() < MAX_MESSAGE_LENGTH);
}

#[test]
fn a_problem_in_a_size_table_names_the_line_and_the_remedy() {
    let read = |text: &str| SizeChart::from_csv(text, Unit::Cm).unwrap_err();
    for (table, expected) in [
        (
            format!("{HEADER}S,60,84,20\n"),
            "chart: not a valid size table: line 2 has 4 values, the header has 5 columns",
        ),
        (
            format!("{HEADER}\n\"S\",60,84,20,60\n\nM\n"),
            "chart: not a valid size table: line 5 has 1 value, the header has 5 columns",
        ),
        (
            format!("\n{HEADER}S,60,,20,60\n\n,64,88,20,x\n"),
            "sizes[0].hip (line 3): is empty: give a number from 50 to 220 cm\n\
             sizes[1].length (line 5): \"x\" is not a number from 15 to 150 cm",
        ),
        (format!("{HEADER}S,60,84,20,60\n,64,88,20,60\n"), "sizes[1].name (line 3): is empty: give a name on one line"),
        (
            format!("{HEADER}S,60,84,20,60\nS,64,88,20,60\n"),
            "sizes[1].name (line 3): another size is already named \"S\"",
        ),
        (
            "name,Waist,waist,HIP-depth,bust,length\n".to_owned(),
            "columns.waist: given twice: give it once\n\
             columns.bust: unknown field; known fields are name, waist, hip, hip_depth, length\n\
             columns.hip: missing: give a column of this name",
        ),
    ] {
        for line_end in ["\n", "\r\n", "\r"] {
            assert!(read(&table.replace('\n', line_end)).to_string().starts_with(expected), "{table:?} {line_end:?}");
        }
    }
    let broken = read("name;waist;hip;hip_depth;length\nS;6,0,0;84;20;60\n").to_string();
    assert!(broken.starts_with("sizes[0].waist (line 2): \"6,0,0\" is not a number from 40 to 200 cm"), "{broken}");
}

/// A long header above many short rows would be slow if every row cost the length of the header.
#[test]
fn reading_a_table_takes_time_in_proportion_to_its_text() {
    let wide = format!("{}\n{}", "n".repeat(20_000), "1\n".repeat(30_000));
    let problems = SizeChart::from_csv(&wide, Unit::Cm).unwrap_err();
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::UnknownField).count(), 1);
    assert!(problems.to_string().contains("30000 sizes are given, at most 1000 sizes allowed"), "{problems}");
    let commas = ",".repeat((1 << 19) - 1);
    let message = only_message(SizeChart::from_csv(&format!("{commas}\n{commas}\n"), Unit::Cm));
    assert_eq!(message, "chart: not a valid size table: 524288 columns, more than the maximum of 100");
}

#[test]
fn size_tables_of_any_csv_dialect_are_read_or_refused() {
    let rows = "S,60,84,20,60\n\"L, \"\"long\"\"\",64,88,20,60\n";
    let read = |text: &str| SizeChart::from_csv(text, Unit::Cm);
    let chart = read(&format!("{HEADER}{rows}")).unwrap();
    assert_eq!(chart.sizes()[1].name, "L, \"long\"");
    for text in [
        format!("\u{feff}{HEADER}{rows}"),
        format!("{HEADER}{rows}").replace('\n', "\r\n"),
        format!("{HEADER}{rows}").replace('\n', "\r"),
        format!("\n\n{HEADER}\n\n{rows}\n"),
        format!("{HEADER}{rows}").replace(",6", " , 6").replace('S', " S "),
    ] {
        assert_eq!(read(&text).unwrap(), chart, "{text:?}");
    }
    // Columns separated by semicolons or tabs, decimal commas, headers in any case.
    let half = read(&format!("{HEADER}S,60.5,84,20,60\nL,64,88,20.25,60\n")).unwrap();
    for separator in [";", "\t"] {
        let text = "Name;WAIST;hip;Hip depth;LENGTH\nS;60,5;84;20;60\nL;64;88;20,25;60\n".replace(';', separator);
        assert_eq!(read(&text).unwrap(), half, "{text:?}");
        assert_eq!(read(&text.replace(',', ".")).unwrap(), half, "{text:?}");
    }
    assert_eq!(read("NAME,Waist,HIP,hip-depth,Length\nS,\"60,5\",84,20,60\nL,64,88,\"20,25\",60\n").unwrap(), half);
    let names_with_semicolons = format!("{HEADER}{}", rows.replace('S', "S;38"));
    assert_eq!(read(&names_with_semicolons).unwrap().sizes()[0].name, "S;38");
    for text in ["a\nb", "a\u{85}b", "\0", "\u{202e}a", "\u{ffff}"] {
        let problems = read(&format!("{HEADER}\"x{text}y\",60,84,20,60\nL,64,88,20,60\n")).unwrap_err();
        assert_eq!(problems[0].field, "sizes[0].name", "{problems}");
    }
    assert!(only_message(read(&format!("{HEADER}\"S,60,84,20,60\n"))).contains("not a valid size table"));
}

#[test]
fn a_chart_of_the_maximum_number_of_sizes_works_everywhere() {
    let sizes = |count: u32| -> Vec<Size> {
        let body = |k| Body { waist: 60.0 + f64::from(k) / 1e4, hip: 84.0 + f64::from(k) / 1e4, ..BODY };
        (0..count).map(|k| Size { name: k.to_string(), body: body(k) }).collect()
    };
    let message = only_message(SizeChart::new(sizes(100_000)));
    assert_eq!(message, "sizes: 100000 sizes are given, at most 1000 sizes allowed");
    let chart = SizeChart::new(sizes(1000)).unwrap();
    assert_eq!(SizeChart::from_csv(&chart.to_csv(Unit::In), Unit::In).unwrap().sizes().len(), 1000);
    let rule = kirtle::sizes::ChoiceRule { tolerance: 0.0, ..Default::default() };
    let choice = chart.choose(&Body { waist: 60.05, hip: 84.05, ..BODY }, &rule);
    assert_eq!(choice.advised.unwrap().size, "500");
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    assert!(range.alter(&Body { waist: 60.05, hip: 84.05, ..BODY }, None).unwrap().is_within_tolerance());
    let nest = range.nest(&[], &Cutting::default()).unwrap();
    assert_eq!(
        kirtle::drawing::draw_nest(&nest, Unit::Cm).parts.iter().filter(|part| !part.set.is_empty()).count(),
        2000
    );
}

/// Names that are allowed, with characters that have a meaning in a file format.
const ODD_NAMES: [&str; 9] = [
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
fn odd_names_are_written_complete_into_every_format() {
    for name in ODD_NAMES {
        let cutting = Cutting { name: name.to_owned(), ..Cutting::default() };
        let pattern = draft().pattern(&cutting).unwrap();
        let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
        let svg = kirtle::files::svg(&drawing, SvgScale::True);
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
        let message = only_message(draft().pattern(&Cutting { name: name.to_owned(), ..Cutting::default() }));
        assert!(message.ends_with("is not a text on one line"), "{message}");
        assert!(!message.contains(name), "the message quotes a control character: {message}");
    }
}

#[test]
fn public_types_are_send_and_sync() {
    fn is_send_and_sync<T: Send + Sync>() {}
    is_send_and_sync::<(
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
    is_send_and_sync::<(
        Request,
        ChartRequest,
        SizeChart,
        kirtle::sizes::SizeRange,
        kirtle::sizes::Alteration,
        kirtle::sizes::Fitting,
        kirtle::sizes::SizeChoice,
    )>();
    is_send_and_sync::<(
        kirtle::sensitivity::Sensitivity,
        kirtle::sensitivity::Uncertainty,
        kirtle::sensitivity::StandardErrors,
        kirtle::sensitivity::Solutions,
        kirtle::sensitivity::SeekTarget,
    )>();
    is_send_and_sync::<(
        kirtle::batch::Table,
        kirtle::batch::Threads,
        kirtle::batch::Bodies<'static>,
        kirtle::drawing::Drawing,
        kirtle::drawing::PrintLayout,
    )>();
    is_send_and_sync::<(
        kirtle::survey::ChartFit,
        kirtle::survey::Population,
        kirtle::files::SaveError,
        kirtle::ease_profile::EaseByLevel,
    )>();
}

/// A column that is missing in the header is a problem of the header, not of each row.
#[test]
fn missing_columns_of_many_rows_hide_no_problem() {
    let mut rows: Vec<String> = (0..59).map(|row| format!("{row},70,96")).collect();
    rows.push("59,70,x".to_owned());
    let problems = SizeChart::from_csv(&format!("name,waist,hip\n{}\n", rows.join("\n")), Unit::Cm).unwrap_err();
    assert_eq!((problems.len(), problems[2].field.as_str()), (3, "sizes[59].hip"));
}
