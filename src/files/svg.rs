//! SVG, in millimetres: a group for each part, and in it one for each layer.

use std::fmt::Write;

use super::decimal::{self, shown};
use crate::drawing::{Drawing, Layer, LayerKind, Mark, Part, RING_MM, Stroke};
use crate::geometry::{Path, Point};

/// How large the drawing is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scale {
    /// At true scale: a millimetre is a millimetre, on screen as on paper.
    #[default]
    True,
    /// As large as its place on a screen allows.
    Fit,
}

/// Writing to a string cannot fail.
macro_rules! put {
    ($($arg:tt)*) => { _ = write!($($arg)*) };
}

/// Writes a drawing as SVG. Each part is a group, and each of its layers a group of the layer's class in it.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
/// use kirtle::files::Scale;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let svg = kirtle::files::svg(&kirtle::drawing::draw(&draft, Unit::Cm), Scale::True);
/// assert!(svg.starts_with("<svg ") && svg.contains("id=\"back-seam\""));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn svg(drawing: &Drawing, scale: Scale) -> String {
    let [width, height] = drawing.size_mm.map(shown);
    let shown = match scale {
        Scale::True => format!("width=\"{width}mm\" height=\"{height}mm\""),
        Scale::Fit => "style=\"max-width:100%;max-height:80vh\"".to_owned(),
    };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" {shown} viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n",
        escaped(&drawing.title)
    );
    for (k, part) in drawing.parts.iter().enumerate() {
        let name = identifier(k, part);
        put!(svg, "<g id=\"{name}\">\n");
        for layer in &part.layers {
            group(&mut svg, &name, layer);
        }
        svg.push_str("</g>\n");
    }
    svg.push_str("</svg>\n");
    svg
}

/// The name of a part and of its size or body, in ASCII letters, digits and hyphens only, so that style sheets and scripts
/// can say it; with the part's number where that leaves letters out.
fn identifier(k: usize, part: &Part) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' };
    let name = if part.set.is_empty() { part.name.clone() } else { format!("{}-{}", part.name, part.set) };
    let id: String = name.chars().map(plain).collect();
    if id == name { id } else { format!("{id}-{}", k + 1) }
}

fn group(svg: &mut String, part: &str, layer: &Layer) {
    let [red, green, blue] = layer.kind.ink();
    let ink = format!("#{red:02x}{green:02x}{blue:02x}");
    let style = match layer.kind {
        LayerKind::Cloth => format!("fill=\"{ink}\" stroke=\"none\""),
        LayerKind::Text => format!("fill=\"{ink}\" font-family=\"sans-serif\" text-anchor=\"middle\""),
        kind => {
            let width = shown(kind.line_mm());
            format!("fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"")
        }
    };
    let name = layer.kind.name();
    put!(svg, "<g id=\"{part}-{name}\" class=\"{name}\" {style}>\n");
    for mark in &layer.marks {
        match mark {
            Mark::Line { paths, stroke } => line(svg, paths, *stroke),
            Mark::Point { at } => {
                let [x, y, r] = [at.x, at.y, RING_MM].map(shown);
                put!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>\n");
            }
            Mark::Text { middle, text, size_mm, upwards } => {
                let [x, y, size] = [middle.x, middle.y, *size_mm].map(shown);
                let turned = if *upwards { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
                put!(svg, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{turned}>{}</text>\n", escaped(text));
            }
        }
    }
    svg.push_str("</g>\n");
}

fn line(svg: &mut String, paths: &[Path], stroke: Stroke) {
    let [Some(first), Some(last)] = [paths.first(), paths.last()] else { return };
    svg.push_str("<path d=\"");
    pair(svg, 'M', first.start());
    for path in paths {
        match path {
            Path::Line([_, end]) => pair(svg, 'L', *end),
            Path::Cubic(cubic) => {
                let [_, a, b, end] = cubic.points;
                pair(svg, 'C', a);
                pair(svg, ' ', b);
                pair(svg, ' ', end);
            }
        }
    }
    svg.push_str(if last.end() == first.start() { "Z\"" } else { "\"" });
    let dashes: Vec<String> = stroke.dashes_mm().iter().map(|dash| shown(*dash)).collect();
    if !dashes.is_empty() {
        put!(svg, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
    svg.push_str("/>\n");
}

fn pair(svg: &mut String, before: char, point: Point) {
    svg.push(before);
    decimal::put(svg, point.x);
    svg.push(',');
    decimal::put(svg, point.y);
}

fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
    text.replace(is_no_xml, "\u{fffd}")
}

/// Whether XML cannot hold a letter (XML 1.0, production 2).
fn is_no_xml(letter: char) -> bool {
    matches!(letter, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}')
}
