//! PDF writer (ISO 32000) with layers that a viewer shows or hides (optional content) and an embedded font.
//!
//! The drawing is written once, as a form (`XObject`), and each page shows it through a window. Equal prints give equal
//! bytes: a file holds no date and no random identifier.

use std::collections::BTreeSet;

use pdf_writer::types::{CidFontType, FontFlags, LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Dict, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::embedded_font::{FONT_BYTES, PDF_FONT_NAME, glyph_number_and_width, glyph_widths_and_bounds};
use crate::drawing::{
    Drawing, Layer, LayerKind, LineStyle, Mark, POINT_RING_RADIUS_MM, Part, PrintLayout, PrintPage, TextAlign,
};
use crate::geometry::{Path, Point, Vector};

/// Number of PDF points (1/72 inch) in a millimetre.
const POINTS_PER_MM: f32 = 72.0 / 25.4;

/// Ratio of handle length to radius of a cubic Bézier curve that approximates a quarter circle.
const QUARTER_CIRCLE_HANDLE_RATIO: f64 = 0.552_284_75;

// Numbers of the PDF objects that every file has; objects of groups and pages have numbers from
// FIRST_FREE_OBJECT_NUMBER on.
const CATALOG_ID: Ref = Ref::new(1);
const PAGE_TREE_ID: Ref = Ref::new(2);
const DOCUMENT_INFO_ID: Ref = Ref::new(3);
const FONT_ID: Ref = Ref::new(4);
const CID_FONT_ID: Ref = Ref::new(5);
const FONT_DESCRIPTOR_ID: Ref = Ref::new(6);
const FONT_FILE_ID: Ref = Ref::new(7);
const TO_UNICODE_MAP_ID: Ref = Ref::new(8);
const DRAWING_FORM_ID: Ref = Ref::new(9);
const FIRST_FREE_OBJECT_NUMBER: i32 = 10;

// Names by which page contents refer to font and drawing.
const FONT_RESOURCE_NAME: Name = Name(b"F");
const DRAWING_RESOURCE_NAME: Name = Name(b"D");

/// Returns the bytes of a PDF file with the pages on which `print` lays out a drawing.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::Paper;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let print = kirtle::drawing::paginate(&kirtle::drawing::draw_pattern(&pattern, Unit::Cm), &Paper::named("A4")?)?;
/// assert!(kirtle::files::pdf(&print).starts_with(b"%PDF-1.7"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn pdf(print: &PrintLayout) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let groups = OptionalContentGroups::from_print(print);
    let mut free_ids = (FIRST_FREE_OBJECT_NUMBER..).map(Ref::new).skip(groups.group_refs().count());
    let ids: Vec<[Ref; 2]> = print.pages.iter().filter_map(|_| Some([free_ids.next()?, free_ids.next()?])).collect();
    write_catalog_and_groups(&mut pdf, &groups);
    let engine = format!("Kirtle {}", crate::VERSION);
    pdf.document_info(DOCUMENT_INFO_ID).title(TextStr(&print.drawing.title)).producer(TextStr(&engine));
    let count = i32::try_from(print.pages.len()).unwrap_or(i32::MAX);
    pdf.pages(PAGE_TREE_ID).kids(ids.iter().map(|[page, _]| *page)).count(count);
    write_embedded_font(&mut pdf, print);
    write_drawing_as_form(&mut pdf, print, &groups);
    for (page, [id, contents]) in print.pages.iter().zip(ids) {
        let [width, height] = page.size_mm.map(|side| to_f32(side) * POINTS_PER_MM);
        let mut dict = pdf.page(id);
        dict.media_box(Rect::new(0.0, 0.0, width, height)).parent(PAGE_TREE_ID).contents(contents);
        let mut resources = dict.resources();
        resources.fonts().pair(FONT_RESOURCE_NAME, FONT_ID);
        resources.x_objects().pair(DRAWING_RESOURCE_NAME, DRAWING_FORM_ID);
        groups.write_group_resources(&mut resources.insert(Name(b"Properties")).dict());
        resources.finish();
        dict.finish();
        pdf.stream(contents, &pdf_page_content(&print.drawing, page, &groups));
    }
    pdf.finish()
}

/// Converts a length in millimetres from `f64` to `f32`; the error is at most 0.0001 mm at 2 m.
#[allow(clippy::cast_possible_truncation)]
fn to_f32(length: f64) -> f32 {
    length as f32
}

/// Optional content groups of a PDF, each with its name in a viewer, which shows or hides the marks of a group
/// together. The first groups are one for each layer kind that occurs in the print, in drawing order; none of these if
/// the drawing has layers for sizes. Then comes one for each size or body, in order of first use.
struct OptionalContentGroups(Vec<String>);

impl OptionalContentGroups {
    /// Creates the groups of a print from the layer kinds and the sizes or bodies that occur in it.
    fn from_print(print: &PrintLayout) -> Self {
        let layers = parts_of_drawing_and_pages(print).flat_map(|part| &part.layers);
        let occurs = |kind: &&LayerKind| layers.clone().any(|layer| layer.kind == **kind);
        let kinds = if print.drawing.key.is_empty() { LayerKind::ALL.as_slice() } else { &[] };
        let mut names: Vec<_> = kinds.iter().filter(occurs).map(|kind| kind.name_in_files().to_owned()).collect();
        for name in parts_of_drawing_and_pages(print).filter_map(|part| Self::name_of_set(&print.drawing, part)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        Self(names)
    }

    /// Returns the name of the group of a part's size or body; `None` for a part of none.
    fn name_of_set(drawing: &Drawing, part: &Part) -> Option<String> {
        let of_body = || format!("all of {}", part.set);
        (!part.set.is_empty()).then(|| drawing.size_layer_name(part).unwrap_or_else(of_body))
    }

    fn group_refs(&self) -> impl Iterator<Item = Ref> + use<> {
        (FIRST_FREE_OBJECT_NUMBER..).map(Ref::new).take(self.0.len())
    }

    /// Adds all groups to a PDF dictionary, under the names by which page contents refer to them.
    fn write_group_resources(&self, dict: &mut Dict) {
        for (k, id) in self.group_refs().enumerate() {
            dict.pair(Name(format!("L{k}").as_bytes()), id);
        }
    }

    /// Calls `write`, which appends PDF content, in the group with a name; without such a group, in none.
    fn write_in_group(&self, content: &mut Content, name: &str, write: impl FnOnce(&mut Content)) {
        let Some(k) = self.0.iter().position(|known| known == name) else { return write(content) };
        let resource = format!("L{k}");
        content.begin_marked_content_with_properties(Name(b"OC")).properties_named(Name(resource.as_bytes()));
        write(content);
        content.end_marked_content();
    }
}

/// Writes the PDF document catalogue and all optional content groups; a viewer that opens the file shows every group.
fn write_catalog_and_groups(pdf: &mut Pdf, groups: &OptionalContentGroups) {
    let mut catalog = pdf.catalog(CATALOG_ID);
    catalog.pages(PAGE_TREE_ID);
    let mut content = catalog.insert(Name(b"OCProperties")).dict();
    content.insert(Name(b"OCGs")).array().items(groups.group_refs());
    let mut defaults = content.insert(Name(b"D")).dict();
    defaults.insert(Name(b"Order")).array().items(groups.group_refs());
    defaults.insert(Name(b"ON")).array().items(groups.group_refs());
    defaults.finish();
    content.finish();
    // Scaling to fit the paper would change the size of the pattern.
    catalog.viewer_preferences().insert(Name(b"PrintScaling")).primitive(Name(b"None"));
    catalog.finish();
    for (id, name) in groups.group_refs().zip(&groups.0) {
        let mut group = pdf.indirect(id).dict();
        group.pair(Name(b"Type"), Name(b"OCG")).pair(Name(b"Name"), TextStr(name));
    }
}

/// Writes the embedded font to the PDF, with the widths of its glyphs and the map from printed glyphs to Unicode.
fn write_embedded_font(pdf: &mut Pdf, print: &PrintLayout) {
    let (widths, [left, bottom, right, top]) = glyph_widths_and_bounds();
    let info = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
    let mut font = pdf.type0_font(FONT_ID);
    font.base_font(Name(PDF_FONT_NAME)).encoding_predefined(Name(b"Identity-H"));
    font.descendant_font(CID_FONT_ID).to_unicode(TO_UNICODE_MAP_ID);
    font.finish();
    let mut cid = pdf.cid_font(CID_FONT_ID);
    cid.subtype(CidFontType::Type2).base_font(Name(PDF_FONT_NAME)).system_info(info);
    cid.font_descriptor(FONT_DESCRIPTOR_ID).cid_to_gid_map_predefined(Name(b"Identity"));
    cid.widths().consecutive(0, widths);
    cid.finish();
    let mut descriptor = pdf.font_descriptor(FONT_DESCRIPTOR_ID);
    descriptor.name(Name(PDF_FONT_NAME)).flags(FontFlags::NON_SYMBOLIC).bbox(Rect::new(left, bottom, right, top));
    descriptor.italic_angle(0.0).ascent(top).descent(bottom).cap_height(729.0).stem_v(90.0).font_file2(FONT_FILE_ID);
    descriptor.finish();
    pdf.stream(FONT_FILE_ID, FONT_BYTES).pair(Name(b"Length1"), i32::try_from(FONT_BYTES.len()).unwrap_or(i32::MAX));
    let mut map = UnicodeCmap::new(Name(b"KirtleLetters"), info);
    let marks = parts_of_drawing_and_pages(print).flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    let texts = marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text) } else { None });
    let printed: BTreeSet<char> = texts.flat_map(|text| text.chars()).collect();
    for letter in printed.into_iter().filter(|letter| glyph_number_and_width(*letter).0 != 0) {
        map.pair(glyph_number_and_width(letter).0, letter);
    }
    pdf.cmap(TO_UNICODE_MAP_ID, &map.finish());
}

/// Returns the parts of the drawing, then for each page the part with the page's own marks.
fn parts_of_drawing_and_pages(print: &PrintLayout) -> impl Iterator<Item = &Part> + Clone {
    print.drawing.parts.iter().chain(print.pages.iter().map(|page| &page.part))
}

/// Writes the drawing to the PDF as a form (`XObject`), of which each page shows a part; in millimetres, `y` down.
fn write_drawing_as_form(pdf: &mut Pdf, print: &PrintLayout, groups: &OptionalContentGroups) {
    let mut content = Content::new();
    for part in &print.drawing.parts {
        write_layers_of_part(&mut content, &print.drawing, part, groups);
    }
    let content = content.finish();
    let mut form = pdf.form_xobject(DRAWING_FORM_ID, &content);
    let [width, height] = print.drawing.size_mm.map(to_f32);
    form.bbox(Rect::new(0.0, 0.0, width, height));
    let mut resources = form.resources();
    resources.fonts().pair(FONT_RESOURCE_NAME, FONT_ID);
    groups.write_group_resources(&mut resources.insert(Name(b"Properties")).dict());
}

/// Returns the PDF content of a page: the part of the drawing in the page's window, then the page's own marks.
fn pdf_page_content(drawing: &Drawing, page: &PrintPage, groups: &OptionalContentGroups) -> Vec<u8> {
    let mut content = Content::new();
    // Coordinates are millimetres from the upper left corner of the page, y down.
    content.transform([POINTS_PER_MM, 0.0, 0.0, -POINTS_PER_MM, 0.0, to_f32(page.size_mm[1]) * POINTS_PER_MM]);
    let window = &page.window;
    let [width, height] = window.size_mm.map(to_f32);
    content.save_state().rect(to_f32(window.at.x), to_f32(window.at.y), width, height).clip_nonzero().end_path();
    let corner = window.at - window.from.coords * window.scale;
    let [x, y, scale] = [corner.x, corner.y, window.scale].map(to_f32);
    content.transform([scale, 0.0, 0.0, scale, x, y]).x_object(DRAWING_RESOURCE_NAME).restore_state();
    write_layers_of_part(&mut content, drawing, &page.part, groups);
    content.finish().into_vec()
}

/// Appends the layers of a part to PDF content, in any groups of the part's size or body and of each layer's kind.
fn write_layers_of_part(content: &mut Content, drawing: &Drawing, part: &Part, groups: &OptionalContentGroups) {
    let set = OptionalContentGroups::name_of_set(drawing, part).unwrap_or_default();
    groups.write_in_group(content, &set, |content| {
        for layer in &part.layers {
            groups.write_in_group(content, layer.kind.name_in_files(), |content| write_layer(content, layer));
        }
    });
}

fn write_layer(content: &mut Content, layer: &Layer) {
    let [red, green, blue] = layer.kind.ink_rgb().map(|level| f32::from(level) / 255.0);
    content.save_state().set_stroke_rgb(red, green, blue).set_fill_rgb(red, green, blue);
    content.set_line_width(to_f32(layer.kind.line_width_mm()));
    content.set_line_join(LineJoinStyle::RoundJoin).set_line_cap(LineCapStyle::ButtCap);
    let mut stroke = LineStyle::Solid;
    for mark in &layer.marks {
        match mark {
            Mark::Line { paths, stroke: next } => {
                if *next != std::mem::replace(&mut stroke, *next) {
                    content.set_dash_pattern(stroke.dash_pattern_mm().iter().copied().map(to_f32), 0.0);
                }
                write_line_mark(content, paths, stroke);
            }
            Mark::Point { at } => write_point_ring(content, *at),
            Mark::Text { at, text, size_mm, align } => write_text_mark(content, *at, text, *size_mm, *align),
        }
    }
    content.restore_state();
}

fn write_line_mark(content: &mut Content, paths: &[Path], stroke: LineStyle) {
    let [Some(first), Some(last)] = [paths.first(), paths.last()] else { return };
    content.move_to(to_f32(first.start().x), to_f32(first.start().y));
    for path in paths {
        match path {
            Path::Line([_, end]) => content.line_to(to_f32(end.x), to_f32(end.y)),
            Path::Cubic(cubic) => write_cubic(content, cubic.points),
        };
    }
    if last.end() == first.start() {
        content.close_path();
    }
    let paint = if stroke == LineStyle::Filled { Content::fill_nonzero } else { Content::stroke };
    paint(content);
}

fn write_cubic(content: &mut Content, [_, a, b, end]: [Point; 4]) -> &mut Content {
    content.cubic_to(to_f32(a.x), to_f32(a.y), to_f32(b.x), to_f32(b.y), to_f32(end.x), to_f32(end.y))
}

fn write_point_ring(content: &mut Content, at: Point) {
    content.save_state().set_dash_pattern([], 0.0).move_to(to_f32(at.x + POINT_RING_RADIUS_MM), to_f32(at.y));
    for quarter in [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0], [1.0, 0.0]].map(Vector::from).windows(2) {
        let [a, b] = [quarter[0], quarter[1]];
        let points = [a, a + b * QUARTER_CIRCLE_HANDLE_RATIO, b + a * QUARTER_CIRCLE_HANDLE_RATIO, b];
        write_cubic(content, points.map(|turn| at + turn * POINT_RING_RADIUS_MM));
    }
    content.close_and_stroke().restore_state();
}

fn write_text_mark(content: &mut Content, at: Point, text: &str, size_mm: f64, align: TextAlign) {
    let glyphs: Vec<(u16, f32)> = text.chars().map(glyph_number_and_width).collect();
    let [x, y, size] = [at.x, at.y, size_mm].map(to_f32);
    let half = size * glyphs.iter().map(|(_, width)| width).sum::<f32>() / 2000.0;
    // The text matrix mirrors y, as the page's y axis points down.
    let matrix = match align {
        TextAlign::Centred => [1.0, 0.0, 0.0, -1.0, x - half, y],
        TextAlign::Left => [1.0, 0.0, 0.0, -1.0, x, y],
        TextAlign::CentredUpwards => [0.0, -1.0, -1.0, 0.0, x, y + half],
    };
    let codes: Vec<u8> = glyphs.iter().flat_map(|(glyph, _)| glyph.to_be_bytes()).collect();
    content.begin_text().set_font(FONT_RESOURCE_NAME, size).set_text_matrix(matrix).show(Str(&codes)).end_text();
}
