//! SVG, in millimetres, a group for each layer.

use std::fmt::Write;

use crate::drawing::{Drawing, Layer, LayerKind, Mark, Stroke};
use crate::geometry::{Path, Point};

/// How large the drawing is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// At true scale: a millimetre is a millimetre, on screen as on paper.
    #[default]
    True,
    /// As large as its place on a screen allows.
    Fit,
}

/// Writes a drawing as SVG.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Size, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let svg = kirtle::svg(&kirtle::draw(&draft, Unit::Cm), Size::True);
/// assert!(svg.starts_with("<svg ") && svg.contains("id=\"seam\""));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn svg(drawing: &Drawing, size: Size) -> String {
    let [width, height] = drawing.size_mm.map(number);
    let shown = match size {
        Size::True => format!("width=\"{width}mm\" height=\"{height}mm\""),
        Size::Fit => "style=\"max-width:100%;max-height:80vh\"".to_owned(),
    };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" {shown} viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n",
        escaped(&drawing.title)
    );
    for layer in &drawing.layers {
        group(&mut svg, layer);
    }
    svg.push_str("</svg>\n");
    svg
}

/// Writing to a string cannot fail.
macro_rules! put {
    ($($arg:tt)*) => { _ = write!($($arg)*) };
}

fn group(svg: &mut String, layer: &Layer) {
    let style = match layer.kind {
        LayerKind::Cloth => "fill=\"#f5f0e4\" stroke=\"none\"",
        LayerKind::Guide => "fill=\"none\" stroke=\"#56697a\" stroke-width=\"0.35\"",
        LayerKind::Dart => "fill=\"none\" stroke=\"#9c3d1c\" stroke-width=\"0.5\" stroke-linejoin=\"round\"",
        LayerKind::Seam => "fill=\"none\" stroke=\"#1c2b36\" stroke-width=\"0.7\" stroke-linejoin=\"round\"",
        LayerKind::Text => "fill=\"#1c2b36\" font-family=\"sans-serif\" text-anchor=\"middle\"",
    };
    put!(svg, "<g id=\"{}\" {style}>\n", layer.kind.name());
    for mark in &layer.marks {
        match mark {
            Mark::Line { paths, stroke } => line(svg, paths, *stroke),
            Mark::Text { middle, text, size_mm, upwards } => {
                let [x, y, size] = [middle.x, middle.y, *size_mm].map(number);
                let turned = if *upwards { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
                put!(svg, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{turned}>{}</text>\n", escaped(text));
            }
        }
    }
    svg.push_str("</g>\n");
}

fn line(svg: &mut String, paths: &[Path], stroke: Stroke) {
    let Some(first) = paths.first() else { return };
    let start = first.start();
    put!(svg, "<path d=\"M{}", pair(start));
    for path in paths {
        match path {
            Path::Line([_, end]) => put!(svg, "L{}", pair(*end)),
            Path::Cubic(cubic) => {
                let [_, a, b, end] = cubic.points;
                put!(svg, "C{} {} {}", pair(a), pair(b), pair(end));
            }
        }
    }
    let dashes = match stroke {
        Stroke::Filled => "Z\"",
        Stroke::Full => "\"",
        Stroke::Dashed => "\" stroke-dasharray=\"4 2\"",
        Stroke::DashDot => "\" stroke-dasharray=\"9 2 1 2\"",
    };
    put!(svg, "{dashes}/>\n");
}

fn pair(point: Point) -> String {
    format!("{},{}", number(point.x), number(point.y))
}

/// A length to a ten-thousandth of a millimetre, without needless zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
