//! SVG writer: a group for each part, in it a group for each layer; sizes are groups that editors show as layers.
//!
//! User units are millimetres, and any text is valid XML. Writing to a `String` never fails.

use std::fmt::Write;

use super::decimal::Decimal;
use crate::drawing::{Drawing, Layer, LayerKind, LineStyle, Mark, POINT_RING_RADIUS_MM, Part, TextAlign};
use crate::geometry::Path;

/// Size at which a browser shows a drawing as SVG: true size, or fitted to its container.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SvgScale {
    /// True size: the SVG states width and height in millimetres.
    #[default]
    True,
    /// As large as the width of the container and 80 % of the height of the browser window allow, on white paper.
    Fit,
}

/// Returns a drawing as SVG text: a group for each part, and in it a group for each layer. The classes of the groups
/// are name and size of the part, and the layer's kind; without ids, a page may show several drawings.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
/// use kirtle::files::SvgScale;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let svg = kirtle::files::svg(&kirtle::drawing::draw_draft(&draft, Unit::Cm), SvgScale::True);
/// assert!(svg.starts_with("<svg ") && svg.contains("<g class=\"back\">"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn svg(drawing: &Drawing, scale: SvgScale) -> String {
    let [width, height] = drawing.size_mm.map(Decimal);
    let display_size = match scale {
        SvgScale::True => format!("width=\"{width}mm\" height=\"{height}mm\""),
        SvgScale::Fit => "style=\"max-width:100%;max-height:80vh;background:#fff\"".to_owned(),
    };
    let namespace =
        if drawing.key.is_empty() { "" } else { "xmlns:inkscape=\"http://www.inkscape.org/namespaces/inkscape\" " };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" {namespace}{display_size} viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n",
        escape_xml(&drawing.title)
    );
    let mut k = 0;
    for parts in drawing.parts.chunk_by(|a, b| !drawing.key.is_empty() && a.set == b.set) {
        let size = drawing.size_layer_name(&parts[0]).map(|name| escape_xml(&name));
        if let Some(name) = &size {
            _ = writeln!(svg, "<g data-name=\"{name}\" inkscape:groupmode=\"layer\" inkscape:label=\"{name}\">");
        }
        for part in parts {
            _ = writeln!(svg, "<g class=\"{}\">", svg_part_class(k, part));
            part.layers.iter().for_each(|layer| write_layer(&mut svg, layer));
            svg.push_str("</g>\n");
            k += 1;
        }
        svg.push_str(if size.is_some() { "</g>\n" } else { "" });
    }
    svg.push_str("</svg>\n");
    svg
}

/// Returns the class of the SVG group of the part at index `k`: part name and size or body, in ASCII letters, digits
/// and hyphens. If a character had to be replaced by a hyphen, the part's number, `k` + 1, is appended.
fn svg_part_class(k: usize, part: &Part) -> String {
    let to_plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' };
    let name = if part.set.is_empty() { part.name.clone() } else { format!("{}-{}", part.name, part.set) };
    let class: String = name.chars().map(to_plain).collect();
    if class == name { class } else { format!("{class}-{}", k + 1) }
}

fn write_layer(svg: &mut String, layer: &Layer) {
    let [red, green, blue] = layer.kind.ink_rgb();
    let ink = format!("#{red:02x}{green:02x}{blue:02x}");
    let style = match layer.kind {
        LayerKind::Cloth => format!("fill=\"{ink}\" stroke=\"none\""),
        LayerKind::Text => format!("fill=\"{ink}\" font-family=\"sans-serif\" text-anchor=\"middle\""),
        kind => {
            let width = Decimal(kind.line_width_mm());
            format!("fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"")
        }
    };
    let name = layer.kind.name_in_files();
    _ = writeln!(svg, "<g class=\"{name}\" {style}>");
    for mark in &layer.marks {
        match mark {
            Mark::Line { paths, stroke } => write_line_mark(svg, paths, *stroke),
            Mark::Point { at } => {
                let [x, y, r] = [at.x, at.y, POINT_RING_RADIUS_MM].map(Decimal);
                _ = writeln!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
            }
            Mark::Text { at, text, size_mm, align } => {
                let [x, y, size] = [at.x, at.y, *size_mm].map(Decimal);
                let align = match align {
                    TextAlign::Centred => String::new(),
                    TextAlign::Left => " text-anchor=\"start\"".to_owned(),
                    TextAlign::CentredUpwards => format!(" transform=\"rotate(-90 {x} {y})\""),
                };
                _ = writeln!(svg, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{align}>{}</text>", escape_xml(text));
            }
        }
    }
    svg.push_str("</g>\n");
}

fn write_line_mark(svg: &mut String, paths: &[Path], stroke: LineStyle) {
    let [Some(first), Some(last)] = [paths.first(), paths.last()] else { return };
    _ = write!(svg, "<path d=\"M{},{}", Decimal(first.start().x), Decimal(first.start().y));
    for path in paths {
        let command = if let Path::Line(_) = path { 'L' } else { 'C' };
        for (point, command) in path.points()[1..].iter().zip([command, ' ', ' ']) {
            _ = write!(svg, "{command}{},{}", Decimal(point.x), Decimal(point.y));
        }
    }
    svg.push_str(if last.end() == first.start() { "Z\"" } else { "\"" });
    let dashes: Vec<String> = stroke.dash_pattern_mm().iter().map(|dash| Decimal(*dash).to_string()).collect();
    if !dashes.is_empty() {
        _ = write!(svg, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
    svg.push_str("/>\n");
}

/// Returns a text with XML's special characters escaped, and characters that XML forbids replaced by U+FFFD.
fn escape_xml(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
    // XML 1.0, production 2.
    let is_forbidden =
        |c| matches!(c, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}');
    text.replace(is_forbidden, "\u{fffd}")
}
