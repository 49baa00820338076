//! Fuzz target: a drawing of random lines and texts, written in every file format.

use arbitrary::{Arbitrary, Result, Unstructured};
use kirtle::drawing::LineStyle::{DashDot, Dashed, Dotted, Filled, LongDashed, Solid};
use kirtle::drawing::{Drawing, Layer, LayerKind, Mark, Paper, Part, SizeKeyRow, TextAlign};
use kirtle::files::{SvgScale, dxf, svg};
use kirtle::geometry::Cubic;
use kirtle::{Path, Point, Texts};

/// Checks that a random drawing gives well-formed SVG, DXF and PDF, and that SVG keeps all texts valid in XML.
pub(crate) fn files(data: &[u8]) {
    let mut bytes = Unstructured::new(data);
    let Ok((drawing, paper)) = drawing_and_paper(&mut bytes) else { return };
    check_svg(&svg(&drawing, SvgScale::True), &drawing);
    check_dxf(&dxf(&drawing));
    match kirtle::drawing::paginate(&drawing, &paper) {
        Ok(print) => check_pdf(&kirtle::files::pdf(&print)),
        Err(problems) => super::check_problems(&problems),
    }
}

/// Checks that an SVG file parses as XML, and has the texts of its drawing.
fn check_svg(svg: &str, drawing: &Drawing) {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|error| panic!("{error}: {svg}"));
    let texts: Vec<&str> = document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| node.text().unwrap_or_default())
        .collect();
    let drawn = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    let drawn: Vec<&str> =
        drawn.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text.as_str()) } else { None }).collect();
    assert_eq!(texts.len(), drawn.len());
    for (text, drawn) in texts.iter().zip(drawn) {
        assert!(*text == drawn || drawn.contains(is_changed_by_xml), "{text:?} in place of {drawn:?}");
    }
}

/// Returns whether XML excludes or normalises a character.
fn is_changed_by_xml(letter: char) -> bool {
    letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}')
}

/// Checks that a DXF file is pairs of lines in 7-bit ASCII: a group code and its value.
fn check_dxf(dxf: &str) {
    assert!(dxf.is_ascii() && dxf.ends_with("0\nEOF\n"));
    let lines: Vec<&str> = dxf.split_terminator('\n').collect();
    assert_eq!(lines.len() % 2, 0);
    for tag in lines.chunks(2) {
        let code: u16 = tag[0].parse().unwrap_or_else(|_| panic!("{tag:?}"));
        assert!(tag[1].len() <= 255 && !tag[1].contains(|c: char| c.is_ascii_control()), "{tag:?}");
        let number = matches!(code, 10..=59 | 140..=147 | 210..=239);
        assert!(!number || tag[1].parse::<f64>().is_ok_and(f64::is_finite), "{tag:?}");
    }
}

/// Checks that the cross-reference table of a PDF file has the offset of every object.
fn check_pdf(pdf: &[u8]) {
    let text = |from: usize| String::from_utf8_lossy(pdf.get(from..).unwrap_or_default()).into_owned();
    let last = pdf.windows(10).rposition(|bytes| bytes == b"startxref\n").unwrap_or_else(|| panic!("no startxref"));
    let table: usize = text(last + 10).lines().next().and_then(|line| line.parse().ok()).unwrap_or_default();
    let table = text(table);
    assert!(table.starts_with("xref\n"), "no cross-reference table");
    let entries = table.lines().skip(2).take_while(|line| line.len() >= 18);
    for (number, entry) in entries.enumerate().skip(1) {
        let at: usize = entry[..10].parse().unwrap_or_else(|_| panic!("{entry}"));
        assert!(pdf[at..].starts_with(format!("{number} 0 obj").as_bytes()), "object {number} is not at {at}");
    }
}

fn drawing_and_paper(bytes: &mut Unstructured) -> Result<(Drawing, Paper)> {
    let mut parts = Vec::new();
    for _ in 0..bytes.int_in_range(0..=3)? {
        parts.push(part(bytes)?);
    }
    let size_mm = [length(bytes)?.abs(), length(bytes)?.abs()];
    let (title, notes) = (text(bytes)?, bytes.arbitrary()?);
    let side = |bytes: &mut Unstructured| bytes.int_in_range(90..=4010).map(f64::from);
    let margin = |bytes: &mut Unstructured| bytes.int_in_range(-1..=51).map(f64::from);
    let paper = Paper { size_mm: [side(bytes)?, side(bytes)?], margin_mm: margin(bytes)?, overlap_mm: margin(bytes)? };
    let mut key = Vec::new();
    for _ in 0..bytes.int_in_range(0..=3)? {
        key.push(SizeKeyRow { stroke: None, cells: bytes.arbitrary()? });
    }
    Ok((Drawing { title, notes, key, size_mm, parts, texts: Texts::default() }, paper))
}

fn part(bytes: &mut Unstructured) -> Result<Part> {
    let mut layers = Vec::new();
    for kind in LayerKind::ALL {
        if bytes.ratio(1, 3)? {
            let mut marks = Vec::new();
            for _ in 0..bytes.int_in_range(0..=4)? {
                marks.push(mark(bytes)?);
            }
            layers.push(Layer { kind, marks });
        }
    }
    Ok(Part { name: text(bytes)?, set: text(bytes)?, copies: bytes.arbitrary()?, layers })
}

fn mark(bytes: &mut Unstructured) -> Result<Mark> {
    Ok(match bytes.int_in_range(0..=3)? {
        0 => Mark::Point { at: point(bytes)? },
        1 => Mark::Text {
            at: point(bytes)?,
            text: text(bytes)?,
            size_mm: length(bytes)?.abs(),
            align: *bytes.choose(&[TextAlign::Centred, TextAlign::Left, TextAlign::CentredUpwards])?,
        },
        _ => {
            let (mut paths, mut from) = (Vec::new(), point(bytes)?);
            for _ in 0..bytes.int_in_range(0..=4)? {
                let to = point(bytes)?;
                let line = bytes.arbitrary()?;
                let curve = |bytes: &mut Unstructured| Ok(Cubic { points: [from, point(bytes)?, point(bytes)?, to] });
                paths.push(if line { Path::Line([from, to]) } else { Path::Cubic(curve(bytes)?) });
                from = to;
            }
            let strokes = [Filled, Solid, Dashed, LongDashed, Dotted, DashDot];
            Mark::Line { paths, stroke: *bytes.choose(&strokes)? }
        }
    })
}

fn text(bytes: &mut Unstructured) -> Result<String> {
    String::arbitrary(bytes)
}

fn point(bytes: &mut Unstructured) -> Result<Point> {
    Ok(Point::new(length(bytes)?, length(bytes)?))
}

/// Returns a random length of at most 4 m in either direction, in steps of 0.01 mm.
fn length(bytes: &mut Unstructured) -> Result<f64> {
    Ok(f64::from(bytes.int_in_range(-400_000..=400_000)?) / 100.0)
}
