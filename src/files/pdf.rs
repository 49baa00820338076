//! PDF at true scale (ISO 32000), with layers that a viewer switches (optional content) and letters embedded.
//!
//! The drawing is written once, as a form; each page shows its part of it through a window. The same drawing gives the same
//! bytes: no date, no random identifier.

use pdf_writer::types::{CidFontType, FontFlags, LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Dict, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::letters::{FILE, Letters, NAME};
use crate::drawing::{Layer, LayerKind, Mark, Page, Part, Print, RING_MM, Stroke};
use crate::geometry::{Path, Point};

/// Points of PDF in a millimetre.
const PT_IN_MM: f32 = 72.0 / 25.4;

/// The handles of a cubic that runs along a quarter of a circle, as a share of its radius.
const QUARTER: f64 = 0.552_284_75;

/// The objects that every file has; layers and pages follow.
const CATALOG: Ref = Ref::new(1);
const PAGES: Ref = Ref::new(2);
const INFO: Ref = Ref::new(3);
const FONT: Ref = Ref::new(4);
const CID_FONT: Ref = Ref::new(5);
const DESCRIPTOR: Ref = Ref::new(6);
const FONT_FILE: Ref = Ref::new(7);
const TO_UNICODE: Ref = Ref::new(8);
const DRAWING: Ref = Ref::new(9);
const FIRST_FREE: i32 = 10;

/// The names of font and drawing in a page's resources.
const LETTERS: Name = Name(b"F");
const FORM: Name = Name(b"D");

/// Writes a print as PDF.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::Paper;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let print = kirtle::drawing::print(&kirtle::drawing::draw_pattern(&pattern, Unit::Cm), &Paper::named("A4")?)?;
/// assert!(kirtle::files::pdf(&print).starts_with(b"%PDF-1.7"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn pdf(print: &Print) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let groups = Groups::of(print);
    let first_page = FIRST_FREE + groups.count();
    let page_ids = |k: i32| [Ref::new(first_page + 2 * k), Ref::new(first_page + 2 * k + 1)];
    catalog(&mut pdf, &groups);
    pdf.document_info(INFO).title(TextStr(&print.drawing.title)).producer(TextStr("Kirtle"));
    let ids = (0..).map(page_ids).take(print.pages.len());
    let count = i32::try_from(print.pages.len()).unwrap_or(i32::MAX);
    pdf.pages(PAGES).kids(ids.clone().map(|[page, _]| page)).count(count);
    font(&mut pdf, print);
    drawing(&mut pdf, print, &groups);
    for (page, [id, contents]) in print.pages.iter().zip(ids) {
        let [width, height] = page.size_mm.map(|side| mm(side) * PT_IN_MM);
        let mut dict = pdf.page(id);
        dict.media_box(Rect::new(0.0, 0.0, width, height)).parent(PAGES).contents(contents);
        let mut resources = dict.resources();
        resources.fonts().pair(LETTERS, FONT);
        resources.x_objects().pair(FORM, DRAWING);
        groups.properties(&mut resources.insert(Name(b"Properties")).dict());
        resources.finish();
        dict.finish();
        pdf.stream(contents, &page_content(page, &groups));
    }
    pdf.finish()
}

/// A length of the drawing in the numbers of PDF, which at two metres still tell a ten-thousandth of a millimetre.
#[allow(clippy::cast_possible_truncation)]
fn mm(length: f64) -> f32 {
    length as f32
}

/// The layers that a viewer switches: one for each kind, one for each size or body.
struct Groups {
    kinds: Vec<LayerKind>,
    sets: Vec<String>,
}

impl Groups {
    fn of(print: &Print) -> Self {
        let parts: Vec<&Part> = print.drawing.parts.iter().chain(print.pages.iter().map(|page| &page.part)).collect();
        let has = |kind: &LayerKind| parts.iter().any(|part| part.layers.iter().any(|layer| layer.kind == *kind));
        let mut sets: Vec<String> = Vec::new();
        for part in parts.iter().filter(|part| !part.set.is_empty()) {
            if !sets.contains(&part.set) {
                sets.push(part.set.clone());
            }
        }
        Self { kinds: LayerKind::ALL.into_iter().filter(has).collect(), sets }
    }

    fn count(&self) -> i32 {
        i32::try_from(self.kinds.len() + self.sets.len()).unwrap_or(i32::MAX)
    }

    fn refs(&self) -> impl Iterator<Item = Ref> + use<> {
        (FIRST_FREE..).map(Ref::new).take(self.kinds.len() + self.sets.len())
    }

    fn names(&self) -> impl Iterator<Item = String> {
        self.kinds.iter().map(|kind| kind.name().to_owned()).chain(self.sets.iter().map(|set| format!("of {set}")))
    }

    /// What the contents of pages and form call them.
    fn properties(&self, dict: &mut Dict) {
        for (k, id) in self.refs().enumerate() {
            dict.pair(Name(key(k).as_bytes()), id);
        }
    }

    fn of_kind(&self, kind: LayerKind) -> Option<String> {
        self.kinds.iter().position(|known| *known == kind).map(key)
    }

    fn of_set(&self, set: &str) -> Option<String> {
        self.sets.iter().position(|known| known == set).map(|k| key(self.kinds.len() + k))
    }
}

fn key(k: usize) -> String {
    format!("L{k}")
}

fn catalog(pdf: &mut Pdf, groups: &Groups) {
    let mut catalog = pdf.catalog(CATALOG);
    catalog.pages(PAGES);
    let mut content = catalog.insert(Name(b"OCProperties")).dict();
    content.insert(Name(b"OCGs")).array().items(groups.refs());
    let mut shown = content.insert(Name(b"D")).dict();
    shown.insert(Name(b"Order")).array().items(groups.refs());
    shown.insert(Name(b"ON")).array().items(groups.refs());
    shown.finish();
    content.finish();
    // A viewer that scales to fit the paper spoils the sizes.
    catalog.viewer_preferences().insert(Name(b"PrintScaling")).primitive(Name(b"None"));
    catalog.finish();
    for (id, name) in groups.refs().zip(groups.names()) {
        let mut group = pdf.indirect(id).dict();
        group.pair(Name(b"Type"), Name(b"OCG")).pair(Name(b"Name"), TextStr(&name));
    }
}

fn font(pdf: &mut Pdf, print: &Print) {
    let letters = Letters::get();
    let info = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
    let mut font = pdf.type0_font(FONT);
    font.base_font(Name(NAME))
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(CID_FONT)
        .to_unicode(TO_UNICODE);
    font.finish();
    let mut cid = pdf.cid_font(CID_FONT);
    cid.subtype(CidFontType::Type2).base_font(Name(NAME)).system_info(info).font_descriptor(DESCRIPTOR);
    cid.cid_to_gid_map_predefined(Name(b"Identity"));
    cid.widths().consecutive(0, letters.widths.iter().copied());
    cid.finish();
    let [left, bottom, right, top] = letters.bounds;
    let mut descriptor = pdf.font_descriptor(DESCRIPTOR);
    descriptor.name(Name(NAME)).flags(FontFlags::NON_SYMBOLIC).bbox(Rect::new(left, bottom, right, top));
    descriptor.italic_angle(0.0).ascent(top).descent(bottom).cap_height(729.0).stem_v(90.0).font_file2(FONT_FILE);
    descriptor.finish();
    pdf.stream(FONT_FILE, FILE).pair(Name(b"Length1"), i32::try_from(FILE.len()).unwrap_or(i32::MAX));
    let mut map = UnicodeCmap::new(Name(b"KirtleLetters"), info);
    let mut used: Vec<char> = texts(print).flat_map(str::chars).collect();
    used.sort_unstable();
    used.dedup();
    for letter in used.into_iter().filter(|letter| letters.glyph(*letter).0 != 0) {
        map.pair(letters.glyph(letter).0, letter);
    }
    pdf.cmap(TO_UNICODE, &map.finish());
}

fn texts(print: &Print) -> impl Iterator<Item = &str> {
    let parts = print.drawing.parts.iter().chain(print.pages.iter().map(|page| &page.part));
    let marks = parts.flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text.as_str()) } else { None })
}

/// The drawing as a form, in its own millimetres, `y` down.
fn drawing(pdf: &mut Pdf, print: &Print, groups: &Groups) {
    let mut content = Content::new();
    for part in &print.drawing.parts {
        put_part(&mut content, part, groups);
    }
    let content = content.finish();
    let mut form = pdf.form_xobject(DRAWING, &content);
    let [width, height] = print.drawing.size_mm.map(mm);
    form.bbox(Rect::new(0.0, 0.0, width, height));
    let mut resources = form.resources();
    resources.fonts().pair(LETTERS, FONT);
    groups.properties(&mut resources.insert(Name(b"Properties")).dict());
}

fn page_content(page: &Page, groups: &Groups) -> Vec<u8> {
    let mut content = Content::new();
    // From here on in millimetres from the upper left corner, y down.
    content.transform([PT_IN_MM, 0.0, 0.0, -PT_IN_MM, 0.0, mm(page.size_mm[1]) * PT_IN_MM]);
    let window = &page.window;
    let [width, height] = window.size_mm.map(mm);
    content.save_state().rect(mm(window.at.x), mm(window.at.y), width, height).clip_nonzero().end_path();
    let corner = window.at - window.from.coords * window.scale;
    let scale = mm(window.scale);
    content.transform([scale, 0.0, 0.0, scale, mm(corner.x), mm(corner.y)]).x_object(FORM).restore_state();
    put_part(&mut content, &page.part, groups);
    content.finish().into_vec()
}

fn put_part(content: &mut Content, part: &Part, groups: &Groups) {
    in_group(content, groups.of_set(&part.set).as_deref(), |content| {
        for layer in &part.layers {
            in_group(content, groups.of_kind(layer.kind).as_deref(), |content| put_layer(content, layer));
        }
    });
}

/// What `put` writes, as content of a group that a viewer switches.
fn in_group(content: &mut Content, group: Option<&str>, put: impl FnOnce(&mut Content)) {
    if let Some(key) = group {
        content.begin_marked_content_with_properties(Name(b"OC")).properties_named(Name(key.as_bytes()));
    }
    put(content);
    if group.is_some() {
        content.end_marked_content();
    }
}

fn put_layer(content: &mut Content, layer: &Layer) {
    let [red, green, blue] = layer.kind.ink().map(|part| f32::from(part) / 255.0);
    content.save_state();
    content.set_stroke_rgb(red, green, blue).set_fill_rgb(red, green, blue).set_line_width(mm(layer.kind.line_mm()));
    content.set_line_join(LineJoinStyle::RoundJoin).set_line_cap(LineCapStyle::ButtCap);
    let mut stroke = Stroke::Full;
    for mark in &layer.marks {
        match mark {
            Mark::Line { paths, stroke: next } => {
                if *next != std::mem::replace(&mut stroke, *next) {
                    content.set_dash_pattern(stroke.dashes_mm().iter().copied().map(mm), 0.0);
                }
                put_line(content, paths, stroke);
            }
            Mark::Point { at } => put_ring(content, *at),
            Mark::Text { middle, text, size_mm, upwards } => put_text(content, *middle, text, mm(*size_mm), *upwards),
        }
    }
    content.restore_state();
}

fn put_line(content: &mut Content, paths: &[Path], stroke: Stroke) {
    let [Some(first), Some(last)] = [paths.first(), paths.last()] else { return };
    content.move_to(mm(first.start().x), mm(first.start().y));
    for path in paths {
        match path {
            Path::Line([_, end]) => content.line_to(mm(end.x), mm(end.y)),
            Path::Cubic(cubic) => put_cubic(content, cubic.points),
        };
    }
    if last.end() == first.start() {
        content.close_path();
    }
    if stroke == Stroke::Filled {
        content.fill_nonzero()
    } else {
        content.stroke()
    };
}

fn put_cubic(content: &mut Content, [_, a, b, end]: [Point; 4]) -> &mut Content {
    content.cubic_to(mm(a.x), mm(a.y), mm(b.x), mm(b.y), mm(end.x), mm(end.y))
}

fn put_ring(content: &mut Content, at: Point) {
    let point = |x: f64, y: f64| Point::new(at.x + x * RING_MM, at.y + y * RING_MM);
    content.save_state().set_dash_pattern([], 0.0).move_to(mm(at.x + RING_MM), mm(at.y));
    let mut from: (f64, f64) = (1.0, 0.0);
    for to in [(0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)] {
        let [(ax, ay), (bx, by)] = [from, to];
        let (a, b) = (point(ax + QUARTER * bx, ay + QUARTER * by), point(bx + QUARTER * ax, by + QUARTER * ay));
        put_cubic(content, [point(ax, ay), a, b, point(bx, by)]);
        from = to;
    }
    content.close_and_stroke().restore_state();
}

fn put_text(content: &mut Content, middle: Point, text: &str, size: f32, upwards: bool) {
    let letters = Letters::get();
    let glyphs: Vec<(u16, f32)> = text.chars().map(|letter| letters.glyph(letter)).collect();
    let half = size * glyphs.iter().map(|(_, width)| width).sum::<f32>() / 2000.0;
    let (x, y) = (mm(middle.x), mm(middle.y));
    // Letters stand upright although y runs down.
    let matrix = if upwards { [0.0, -1.0, -1.0, 0.0, x, y + half] } else { [1.0, 0.0, 0.0, -1.0, x - half, y] };
    let codes: Vec<u8> = glyphs.iter().flat_map(|(glyph, _)| glyph.to_be_bytes()).collect();
    content.begin_text().set_font(LETTERS, size).set_text_matrix(matrix).show(Str(&codes)).end_text();
}
