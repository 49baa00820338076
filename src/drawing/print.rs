//! Print layout: a drawing on one sheet where it fits, else on overlapping tiles after a cover page.
//!
//! The drawing keeps its true scale on every page except the map on the cover.

use super::TextAlign::{Centred, CentredUpwards, Left};
use super::header::{MIN_PAGE_SIZE_MM, MIN_TILE_MAP_HEIGHT_MM, header_part_and_height_mm, with_header};
use super::panel_layout::NOTE_FONT_MM;
use super::tile_arrangement::{Tiles, arrange_on_tiles, polylines_by_part, tiles_with_lines};
use super::{Drawing, LayerKind, LineStyle, Paper, Part};
use crate::error::Problems;
use crate::geometry::{Point, Vector};
use crate::wording::printed;

// Half the width of a joining cross, and font size of the texts along the edges of a tile, in millimetres.
const JOINING_CROSS_ARM_MM: f64 = 4.0;
const TILE_EDGE_FONT_MM: f64 = 4.0;

/// Largest scale of the map of the tiles on the cover, so that nobody takes the map for the pattern.
const MAX_MAP_SCALE: f64 = 0.2;

/// A drawing laid out on pages of paper, ready to print.
///
/// ```
/// use kirtle::drawing::{Paper, draw_pattern, paginate};
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// let print = paginate(&draw_pattern(&pattern, Unit::Cm), &Paper::named("A4")?)?;
/// let names: Vec<&str> = print.pages.iter().map(|page| page.name.as_str()).take(3).collect();
/// assert_eq!(names, ["map", "1 A", "1 B"]);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct PrintLayout {
    /// The drawing shown on the pages.
    pub drawing: Drawing,
    /// Pages in printing order; if tiled, the first page is a cover with title, test squares and map of the tiles.
    pub pages: Vec<PrintPage>,
}

/// One printed page: its size, the window that shows a region of the drawing, and the marks of this page only.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintPage {
    /// Name of the page: row and column of a tile such as `2 B`, `map` for the cover, `sheet` for a single sheet,
    /// `lesson 1` for a page of a lesson.
    pub name: String,
    /// Width and height of the paper, in millimetres.
    pub size_mm: [f64; 2],
    /// Rectangle of the page that shows a region of the drawing, with the position and scale of that region.
    pub window: PageWindow,
    /// Marks of this page only, such as frame and joining crosses, in millimetres from the page's upper left corner.
    pub part: Part,
}

/// Rectangle of a page that shows a region of the drawing, and the position and scale of that region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PageWindow {
    /// Upper left corner of the window on the page, in millimetres.
    pub at: Point,
    /// Width and height of the window on the page, in millimetres.
    pub size_mm: [f64; 2],
    /// Point of the drawing shown at the window's upper left corner, in millimetres.
    pub from: Point,
    /// Scale of the drawing in the window: 1 if the window shows the drawing in its own size, less than 1 on the map of
    /// the tiles and for a lay reduced to fit the page.
    pub scale: f64,
}

/// Lays a drawing out on pages: on one sheet with a header if the drawing fits in portrait or landscape; otherwise on
/// overlapping tiles with joining crosses, in rows 1, 2, … and columns A, B, …, after a cover with a map of the tiles.
/// Tiles that show no line of their own are left out, as is the tint of the cloth. Pieces are moved if that saves
/// tiles; the returned drawing shows them where they are printed.
///
/// # Errors
/// A side, margin or overlap of the paper is out of range, or margins and overlap leave too little of the paper.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::Paper;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// assert_eq!(kirtle::drawing::paginate(&drawing, &Paper::named("A0")?)?.pages.len(), 1);
/// let tiled = kirtle::drawing::paginate(&drawing, &Paper::named("A4")?)?;
/// assert_eq!((tiled.pages[0].name.as_str(), tiled.pages[1].name.as_str()), ("map", "1 A"));
///
/// let narrow = Paper { margin_mm: 50.0, ..Paper::named("A4")? };
/// assert!(kirtle::drawing::paginate(&drawing, &narrow).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn paginate(drawing: &Drawing, paper: &Paper) -> Result<PrintLayout, Problems> {
    let mut drawing = drawing.clone();
    for part in &mut drawing.parts {
        part.layers.retain(|layer| layer.kind != LayerKind::Cloth);
    }
    paper.check(MIN_PAGE_SIZE_MM)?;
    let sheet = with_header(drawing.clone());
    if let Some(page) = single_sheet_page_if_fits(&sheet, paper, 1.0) {
        return Ok(PrintLayout { drawing: sheet, pages: vec![page] });
    }
    let grid = TileGrid::with_fewest_tiles(&drawing, paper);
    let tiles = grid.tiles.iter().map(|tile| grid.page_of_tile(*tile));
    let pages = std::iter::once(grid.cover_page()).chain(tiles).collect();
    Ok(PrintLayout { drawing: grid.drawing, pages })
}

/// Returns the page that shows a whole drawing at a scale on one sheet, in portrait or landscape; `None` if the drawing
/// does not fit. A page from a roll is as long as drawing and margins.
pub(super) fn single_sheet_page_if_fits(drawing: &Drawing, paper: &Paper, scale: f64) -> Option<PrintPage> {
    let (shown, margin) = (drawing.size_mm.map(|side| side * scale), paper.margin_mm);
    let needed = shown.map(|side| side + 2.0 * margin);
    let fits = |paper: &Paper| (0..2).all(|k| needed[k] <= paper.size_mm[k]);
    let size_mm = paper.orientations().into_iter().find(fits)?.cut_off_roll(needed).size_mm;
    let window = PageWindow { at: Point::new(margin, margin), size_mm: shown, from: Point::origin(), scale };
    Some(PrintPage { name: "sheet".to_owned(), size_mm, window, part: Part::new("page", "", 0) })
}

/// Grid of overlapping tiles, a page each, that together show a drawing; lengths in millimetres.
struct TileGrid {
    drawing: Drawing,
    /// Number of tiles saved by moving the pieces of the drawing.
    saved: usize,
    /// Paper in the orientation of the tiles, cut off if it is a roll.
    paper: Paper,
    /// Number of columns and of rows of tiles.
    column_and_row_counts: [u32; 2],
    /// Column and row, from 0, of each tile that is needed to show every line, row by row.
    tiles: Vec<[u32; 2]>,
}

impl TileGrid {
    /// Arranges a drawing on the fewest tiles found, as drawn or with its pieces moved, on paper in portrait or
    /// landscape.
    fn with_fewest_tiles(drawing: &Drawing, paper: &Paper) -> Self {
        let lines = polylines_by_part(drawing);
        let is_small = |window: [f64; 2]| (0..2).any(|k| window[k] < MIN_PAGE_SIZE_MM[k]);
        let rank = |grid: &Self| (is_small(grid.paper.window_mm()), grid.tiles.len());
        let better = |first, second| if rank(&second) < rank(&first) { second } else { first };
        let best = |arrange: &dyn Fn(&Paper) -> (Drawing, Tiles)| {
            let [portrait, landscape] = paper.orientations().map(|paper| Self::new(arrange(&paper), paper));
            better(portrait, landscape)
        };
        let drawn = best(&|paper| (drawing.clone(), tiles_with_lines(lines.iter().flatten(), Vector::zeros(), paper)));
        let moved = best(&|paper| arrange_on_tiles(drawing, &lines, paper));
        let saved = drawn.tiles.len().saturating_sub(moved.tiles.len());
        better(drawn, Self { saved, ..moved })
    }

    /// Creates the grid of a drawing and the tiles that it needs on paper.
    fn new((drawing, tiles): (Drawing, Tiles), paper: Paper) -> Self {
        let paper = paper.cut_off_roll(drawing.size_mm.map(|side| side + 2.0 * paper.margin_mm));
        let mut tiles = Vec::from_iter(tiles);
        tiles.sort_by_key(|[_, row]| *row);
        // The last rows or columns may show nothing that those before them do not.
        let column_and_row_counts = [0, 1].map(|k: usize| tiles.iter().map(|tile| tile[k] + 1).max().unwrap_or(1));
        Self { drawing, saved: 0, paper, column_and_row_counts, tiles }
    }

    /// Returns the point of the drawing, in millimetres, that lies at the upper left corner of a tile.
    fn tile_origin(&self, [column, row]: [u32; 2]) -> Point {
        let [width, height] = self.paper.tile_step_mm();
        Point::new(f64::from(column) * width, f64::from(row) * height)
    }

    /// Returns the page of a tile: frame, joining crosses, and what lies along its right and lower edges.
    fn page_of_tile(&self, tile: [u32; 2]) -> PrintPage {
        let (from, at) = (self.tile_origin(tile), Point::new(self.paper.margin_mm, self.paper.margin_mm));
        let mut part = Part::new("page", "", 0);
        part.draw_rectangle(LayerKind::Sheet, at, self.paper.window_mm(), LineStyle::Dotted);
        // Two joining crosses on each edge with a neighbour.
        for k in [0, 1] {
            let edges = [(-1, 0.0), (1, self.paper.tile_step_mm()[k])];
            let edges = edges.into_iter().filter(|(step, _)| self.printed_neighbour(tile, k, *step).is_some());
            for (across, fraction) in edges.flat_map(|(_, across)| [(across, 0.25), (across, 0.75)]) {
                let mut centre = from;
                centre[k] += across;
                centre[1 - k] += self.paper.window_mm()[1 - k] * fraction;
                let middle = at + (centre - from);
                for arm in [Vector::new(JOINING_CROSS_ARM_MM, 0.0), Vector::new(0.0, JOINING_CROSS_ARM_MM)] {
                    part.draw_polyline(LayerKind::Sheet, &[middle - arm, middle + arm], LineStyle::Solid);
                }
            }
        }
        self.draw_right_and_lower_edge(&mut part, tile, at);
        let window = PageWindow { at, size_mm: self.paper.window_mm(), from, scale: 1.0 };
        PrintPage { name: tile_name(tile), size_mm: self.paper.size_mm, window, part }
    }

    /// Draws what lies along the right and lower edges of a tile: its name and number, the name of the pattern, dotted
    /// lines where the next tiles start, and which tiles are joined there.
    fn draw_right_and_lower_edge(&self, part: &mut Part, tile: [u32; 2], at: Point) {
        let (texts, pattern_name) = (&self.drawing.texts, name_on_tiles(&self.drawing));
        let [width, height] = self.paper.window_mm();
        // The letters stand in the middle of the overlap.
        let half_strip = self.paper.overlap_mm.max(2.0 * TILE_EDGE_FONT_MM) / 2.0;
        let size = TILE_EDGE_FONT_MM.min(half_strip);
        let right = at + Vector::new(width - half_strip + size / 3.0, 0.0);
        let lower = at + Vector::new(0.0, height - half_strip + size / 3.0);
        let number = self.tiles.iter().take_while(|other| **other != tile).count() + 1;
        let name = printed!(texts.tile_label(), tile = tile_name(tile), number, count = self.tiles.len());
        part.draw_fitted_text(right + Vector::new(0.0, 25.0), CentredUpwards, &name, [size, 50.0]);
        if !pattern_name.is_empty() {
            part.draw_fitted_text(lower + Vector::new(2.0, 0.0), Left, pattern_name, [size, width * 0.3]);
        }
        let join = if self.paper.overlap_mm > 0.0 { texts.tile_glued_here() } else { texts.tile_taped_here() };
        for (k, mut middle, align) in [(0, right, CentredUpwards), (1, lower, Centred)] {
            let Some(next) = self.printed_neighbour(tile, k, 1) else { continue };
            if self.paper.overlap_mm > 0.0 {
                let (mut start, mut end) = (Vector::zeros(), Vector::from(self.paper.window_mm()));
                (start[k], end[k]) = (self.paper.tile_step_mm()[k], self.paper.tile_step_mm()[k]);
                part.draw_polyline(LayerKind::Sheet, &[at + start, at + end], LineStyle::Dotted);
            }
            let length = self.paper.window_mm()[1 - k];
            middle[1 - k] += length / 2.0;
            part.draw_fitted_text(middle, align, &printed!(join, tile = tile_name(next)), [size, length * 0.4]);
        }
    }

    /// Returns the tile `step` columns (`k` 0) or rows (`k` 1) after a tile, `None` if it is not printed.
    fn printed_neighbour(&self, mut tile: [u32; 2], k: usize, step: i32) -> Option<[u32; 2]> {
        tile[k] = tile[k].checked_add_signed(step)?;
        self.tiles.contains(&tile).then_some(tile)
    }

    /// Returns the notes of the cover page: the numbered steps to print and, for several tiles, to trim and to join
    /// them; and the caution about the map.
    fn tile_joining_notes(&self) -> Vec<String> {
        let (texts, saved) = (&self.drawing.texts, self.saved);
        let (trim, join) = if self.paper.overlap_mm > 0.0 {
            (texts.trim_two_sides(), texts.glue_tiles())
        } else {
            (texts.trim_four_sides(), texts.tape_tiles())
        };
        let [columns, rows] = self.column_and_row_counts.map(|count| count as usize);
        let counted = |count: usize, one: &str, many: &str| printed!(if count == 1 { one } else { many }, count);
        let tiles = counted(self.tiles.len(), texts.tiles_one(), texts.tiles_many());
        let rows = counted(rows, texts.rows_one(), texts.rows_many());
        let columns = counted(columns, texts.columns_one(), texts.columns_many());
        let sheets = self.tiles.len() + 1;
        let template = if saved > 0 { texts.print_fewer_sheets() } else { texts.print_sheets() };
        let mut print = printed!(template, sheets, saved, tiles, rows, columns);
        let empty = self.unprinted_tiles().map(tile_name).collect::<Vec<_>>().join(", ");
        if !empty.is_empty() {
            print = format!("{print} {}", printed!(texts.empty_tiles(), tiles = empty));
        }
        let join = [trim.to_string(), printed!(join, overlap = texts.number(self.paper.overlap_mm))];
        let joining = join.into_iter().filter(|_| self.tiles.len() > 1);
        std::iter::once(print).chain(joining).chain([texts.map_caution().to_string()]).collect()
    }

    /// Returns column and row of the tiles in the grid that are not printed, as they would show no line of their own.
    fn unprinted_tiles(&self) -> impl Iterator<Item = [u32; 2]> {
        let [columns, rows] = self.column_and_row_counts;
        let all = (0..rows).flat_map(move |row| (0..columns).map(move |column| [column, row]));
        all.filter(|tile| !self.tiles.contains(tile))
    }

    /// Returns the cover page of a tiled print: header, joining steps and map of the tiles.
    fn cover_page(&self) -> PrintPage {
        let mut with_instruction = self.drawing.clone();
        with_instruction.notes.extend(self.tile_joining_notes());
        let at = Point::new(self.paper.margin_mm, self.paper.margin_mm);
        let window = self.paper.window_mm();
        let (header, height) =
            header_part_and_height_mm(&with_instruction, window[0], window[1] - MIN_TILE_MAP_HEIGHT_MM);
        let mut part = header.map_part(|point| point + at.coords);
        // The letters of the columns stand above the map, the numbers of the rows on its left.
        let labels = Vector::new(2.0, 2.0) * NOTE_FONT_MM;
        let map_space = [window[0] - labels.x, window[1] - height - labels.y];
        // The last column and row of tiles may reach beyond the drawing.
        let end = self.tile_origin(self.column_and_row_counts).map(|end| end + self.paper.overlap_mm);
        let scale = (map_space[0] / end.x).min(map_space[1] / end.y).min(MAX_MAP_SCALE);
        let corner = at + labels + Vector::new((map_space[0] - end.x * scale) / 2.0, height);
        let [width, height] = window.map(|side| side * scale);
        let on_map = |tile: [u32; 2]| corner + self.tile_origin(tile).coords * scale;
        let unprinted = self.unprinted_tiles().map(|tile| (tile, LineStyle::Dotted));
        for (tile, stroke) in unprinted.chain(self.tiles.iter().map(|tile| (*tile, LineStyle::Solid))) {
            part.draw_rectangle(LayerKind::Sheet, on_map(tile), [width, height], stroke);
        }
        for column in 0..self.column_and_row_counts[0] {
            let middle = on_map([column, 0]) + Vector::new(width / 2.0, -NOTE_FONT_MM / 2.0);
            part.draw_text(middle, Centred, &tile_column_letters(column), NOTE_FONT_MM.min(width / 2.0));
        }
        for row in 0..self.column_and_row_counts[1] {
            let middle = on_map([0, row]) + Vector::new(-NOTE_FONT_MM, height / 2.0 + NOTE_FONT_MM / 3.0);
            part.draw_text(middle, Centred, &(row + 1).to_string(), NOTE_FONT_MM.min(height / 2.0));
        }
        let size_mm = self.drawing.size_mm.map(|side| side * scale);
        let window = PageWindow { at: corner, size_mm, from: Point::origin(), scale };
        PrintPage { name: "map".to_owned(), size_mm: self.paper.size_mm, window, part }
    }
}

/// Returns the name printed on every tile: the size or body that all parts of a drawing belong to, or the start of the
/// title if they belong to several.
fn name_on_tiles(drawing: &Drawing) -> &str {
    let mut sets = drawing.parts.iter().map(|part| part.set.as_str()).filter(|set| !set.is_empty());
    let common = sets.next().filter(|first| sets.all(|set| set == *first));
    common.unwrap_or_else(|| drawing.title.split(';').next().unwrap_or_default())
}

/// Returns the name of a tile, given its column and row from 0: row number and column letters, such as `2 B`.
fn tile_name([column, row]: [u32; 2]) -> String {
    format!("{} {}", row + 1, tile_column_letters(column))
}

/// Returns the letters of a column of tiles, counted from 0: `A` to `Z`, then `AA`.
fn tile_column_letters(column: u32) -> String {
    let first = if column < 26 { String::new() } else { tile_column_letters(column / 26 - 1) };
    first + &char::from(b'A' + u8::try_from(column % 26).unwrap_or_default()).to_string()
}
