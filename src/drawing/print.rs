//! A drawing on paper: on one sheet where it fits, else on tiles that are joined.

use super::head::{MIN_HEIGHT, MIN_WIDTH, head, with_header};
use super::sheet::{SMALL, rectangle, straight, text, width};
use super::{Drawing, LayerKind, Mark, Paper, Part, Stroke};
use crate::error::Problems;
use crate::geometry::{Point, Vector, flatten};

/// How closely lines are followed to see whether they touch a tile, in millimetres.
const FOLLOWED: f64 = 0.2;

/// Half the width of a joining mark, in millimetres.
const JOINT: f64 = 4.0;

/// The size of the letters that name a tile, in millimetres.
const NAME: f64 = 4.0;

/// A drawing laid out on pages.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// What the pages show.
    pub drawing: Drawing,
    /// The pages. On tiles the first is a cover with the title, the test squares and a map of the tiles.
    pub pages: Vec<Page>,
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Row and column of a tile, such as `2 B`; `map` or `sheet` of other pages.
    pub name: String,
    /// Width and height of the paper, in millimetres.
    pub size_mm: [f64; 2],
    /// Where the drawing shows.
    pub window: Window,
    /// What stands on this page only, in millimetres of the page.
    pub part: Part,
}

/// The window of a page through which the drawing shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Its upper left corner on the page, in millimetres.
    pub at: Point,
    /// Its width and height on the page, in millimetres.
    pub size_mm: [f64; 2],
    /// The point of the drawing at its upper left corner.
    pub from: Point,
    /// The scale of the drawing in it: 1 but on the map.
    pub scale: f64,
}

/// Lays a drawing out on paper: on one sheet with a head where it fits, upright or across; else on tiles in rows 1, 2, … and
/// columns A, B, …, which overlap and bear joining marks that must coincide, after a cover with a map. Tiles without a line
/// are left out, and so is the tint of the cloth.
///
/// # Errors
/// A side, the margin or the overlap out of range, or margins and an overlap that leave too little of the paper.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
/// use kirtle::drawing::Paper;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// assert_eq!(kirtle::drawing::print(&drawing, &Paper::named("A0")?)?.pages.len(), 1);
/// let tiled = kirtle::drawing::print(&drawing, &Paper::named("A4")?)?;
/// assert_eq!((tiled.pages[0].name.as_str(), tiled.pages[1].name.as_str()), ("map", "1 A"));
///
/// let narrow = Paper { margin_mm: 50.0, ..Paper::named("A4")? };
/// assert!(kirtle::drawing::print(&drawing, &narrow).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn print(drawing: &Drawing, paper: &Paper) -> Result<Print, Problems> {
    Problems::ok_if_empty(paper.check([MIN_WIDTH, MIN_HEIGHT]))?;
    let mut drawing = drawing.clone();
    for part in &mut drawing.parts {
        part.layers.retain(|layer| layer.kind != LayerKind::Cloth);
    }
    let sheet = with_header(drawing.clone());
    let both_ways = [paper.size_mm, [paper.size_mm[1], paper.size_mm[0]]];
    if let Some(size_mm) = both_ways.into_iter().find(|size| fits(sheet.size_mm, *size, paper.margin_mm)) {
        let page = whole(&sheet, size_mm, paper.margin_mm);
        return Ok(Print { drawing: sheet, pages: vec![page] });
    }
    let [upright, across] = both_ways.map(|size| Grid::new(&drawing, paper, size));
    // The cover needs its room.
    let roomy = |grid: &Grid| grid.window[0] >= MIN_WIDTH && grid.window[1] >= MIN_HEIGHT;
    let turn = roomy(&across) && (across.tiles.len() < upright.tiles.len() || !roomy(&upright));
    let grid = if turn { across } else { upright };
    let mut pages = vec![grid.cover(&drawing)];
    pages.extend(grid.tiles.iter().map(|tile| grid.page(*tile)));
    Ok(Print { drawing, pages })
}

fn fits(drawing: [f64; 2], paper: [f64; 2], margin: f64) -> bool {
    drawing.iter().zip(paper).all(|(drawing, paper)| drawing + 2.0 * margin <= paper)
}

/// The drawing on one sheet; of a roll as much as it needs.
fn whole(drawing: &Drawing, paper: [f64; 2], margin: f64) -> Page {
    let [width, height] = drawing.size_mm;
    let cut = |paper: f64, drawing: f64| if paper.is_finite() { paper } else { drawing + 2.0 * margin };
    let window = Window { at: Point::new(margin, margin), size_mm: [width, height], from: Point::origin(), scale: 1.0 };
    let size_mm = [cut(paper[0], width), cut(paper[1], height)];
    Page { name: "sheet".to_owned(), size_mm, window, part: Part::new("page", "", 0) }
}

/// The tiles of a drawing on paper that lies one way.
struct Grid {
    size_mm: [f64; 2],
    margin: f64,
    overlap: f64,
    window: [f64; 2],
    /// Columns and rows.
    counts: [u32; 2],
    /// Column and row of each tile with a line on it, row by row.
    tiles: Vec<[u32; 2]>,
}

impl Grid {
    fn new(drawing: &Drawing, paper: &Paper, size: [f64; 2]) -> Self {
        let Paper { margin_mm: margin, overlap_mm: overlap, .. } = *paper;
        // A roll is as long as the drawing.
        let both = |k: usize| if size[k].is_finite() { size[k] } else { drawing.size_mm[k] + 2.0 * margin };
        let size_mm = [both(0), both(1)];
        let window = size_mm.map(|size| size - 2.0 * margin);
        let count = |k: usize| {
            let count = ((drawing.size_mm[k] - overlap) / (window[k] - overlap)).ceil().max(1.0);
            // The check of the paper keeps the steps so large that the count is small.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let count = count as u32;
            count
        };
        let mut grid = Self { size_mm, margin, overlap, window, counts: [count(0), count(1)], tiles: Vec::new() };
        let lines = lines(drawing);
        let [columns, rows] = grid.counts;
        let tiles = (0..rows).flat_map(|row| (0..columns).map(move |column| [column, row]));
        grid.tiles = tiles.filter(|tile| lines.iter().any(|line| touches(line, grid.from(*tile), window))).collect();
        grid
    }

    /// The point of the drawing at a tile's upper left corner.
    fn from(&self, [column, row]: [u32; 2]) -> Point {
        let [width, height] = self.window.map(|side| side - self.overlap);
        Point::new(f64::from(column) * width, f64::from(row) * height)
    }

    fn page(&self, tile: [u32; 2]) -> Page {
        let (from, at) = (self.from(tile), Point::new(self.margin, self.margin));
        let mut part = Part::new("page", "", 0);
        part.on(LayerKind::Sheet).push(rectangle(at, self.window, Stroke::Dotted));
        for joint in self.joints(tile) {
            let middle = at + (joint - from);
            for arm in [Vector::new(JOINT, 0.0), Vector::new(0.0, JOINT)] {
                part.on(LayerKind::Sheet).push(straight(middle - arm, middle + arm, Stroke::Full));
            }
        }
        let [width, height] = self.window;
        let edges = [Point::new(width - self.overlap, 0.0), Point::new(0.0, height - self.overlap)];
        let ends = [Point::new(width - self.overlap, height), Point::new(width, height - self.overlap)];
        for (k, neighbour) in self.after(tile).into_iter().enumerate().filter(|_| self.overlap > 0.0) {
            if neighbour.is_some() {
                let [from, to] = [edges[k], ends[k]].map(|point| at + point.coords);
                part.on(LayerKind::Sheet).push(straight(from, to, Stroke::Dotted));
            }
        }
        self.words(&mut part, tile, at);
        let window = Window { at, size_mm: self.window, from, scale: 1.0 };
        Page { name: name(tile), size_mm: self.size_mm, window, part }
    }

    /// The tile's name, and what it joins, along its right and lower edges: where the next tile covers them.
    fn words(&self, part: &mut Part, tile: [u32; 2], at: Point) {
        let [width, height] = self.window;
        // Upright and level letters in the middle of the strip.
        let strip = self.overlap.max(2.0 * NAME) / 2.0;
        let size = NAME.min(strip);
        let right = at + Vector::new(width - strip + size / 3.0, 0.0);
        let lower = at + Vector::new(0.0, height - strip + size / 3.0);
        part.on(LayerKind::Text).push(text(
            right + Vector::new(0.0, 20.0),
            &format!("tile {}", name(tile)),
            size,
            true,
        ));
        let [beside, below] = self.after(tile);
        if let Some(next) = beside {
            let words = format!("under {}", name(next));
            part.on(LayerKind::Text).push(text(right + Vector::new(0.0, height / 2.0), &words, size, true));
        }
        if let Some(next) = below {
            let words = format!("under {}", name(next));
            part.on(LayerKind::Text).push(text(lower + Vector::new(width / 2.0, 0.0), &words, size, false));
        }
    }

    /// The tile to the right and the one below, where they are printed.
    fn after(&self, [column, row]: [u32; 2]) -> [Option<[u32; 2]>; 2] {
        [[column + 1, row], [column, row + 1]].map(|tile| self.tiles.contains(&tile).then_some(tile))
    }

    /// The points of the drawing at which a tile is joined to its neighbours, on the edge of the upper one: two on each side,
    /// the same for both tiles.
    fn joints(&self, tile: [u32; 2]) -> Vec<Point> {
        let from = self.from(tile);
        let mut joints = Vec::new();
        for k in [0, 1] {
            let before = (0..tile[k]).next_back().map(|place| {
                let mut other = tile;
                other[k] = place;
                other
            });
            let before = before.filter(|other| self.tiles.contains(other)).map(|_| 0.0);
            let after = self.after(tile)[k].map(|_| self.window[k] - self.overlap);
            for across in before.into_iter().chain(after) {
                joints.extend([0.25, 0.75].map(|share| {
                    let mut joint = from;
                    joint[k] += across;
                    joint[1 - k] += self.window[1 - k] * share;
                    joint
                }));
            }
        }
        joints
    }

    fn how_to_join(&self) -> String {
        let [columns, rows] = self.counts;
        let join = if self.overlap > 0.0 {
            format!(
                "overlapping by {} mm: trim the left and the upper edge of each along its dotted frame, and glue it onto its \
                 neighbours so that the edge meets their dotted line and the crosses meet",
                self.overlap
            )
        } else {
            "edge to edge: trim each along its dotted frame, and tape it to its neighbours so that the crosses meet"
                .to_owned()
        };
        format!("{} tiles in {rows} rows and {columns} columns, {join}.", self.tiles.len())
    }

    /// The cover: head, how to join the tiles, and their map.
    fn cover(&self, drawing: &Drawing) -> Page {
        let mut titled = drawing.clone();
        titled.notes.push(self.how_to_join());
        let at = Point::new(self.margin, self.margin);
        let (head, height) = head(&titled, self.window[0]);
        let mut part = head.moved(at.coords);
        let room = [self.window[0], self.window[1] - height];
        // The last tiles reach beyond the drawing.
        let end = self.from(self.counts) + Vector::new(self.overlap, self.overlap);
        let scale = (room[0] / end.x).min(room[1] / end.y);
        let corner = at + Vector::new((room[0] - end.x * scale) / 2.0, height);
        for tile in &self.tiles {
            let from = corner + self.from(*tile).coords * scale;
            let [width, height] = self.window.map(|side| side * scale);
            part.on(LayerKind::Sheet).push(rectangle(from, [width, height], Stroke::Full));
            let middle = from + Vector::new(width, height) / 2.0;
            let size = SMALL.min(width / 3.0);
            part.on(LayerKind::Text).push(text(middle + Vector::new(0.0, size / 3.0), &name(*tile), size, false));
        }
        let size_mm = [drawing.size_mm[0] * scale, drawing.size_mm[1] * scale];
        let window = Window { at: corner, size_mm, from: Point::origin(), scale };
        Page { name: "map".to_owned(), size_mm: self.size_mm, window, part }
    }
}

/// Row and column of a tile, such as `2 B`.
fn name([column, row]: [u32; 2]) -> String {
    let mut letters = String::new();
    let mut rest = column + 1;
    while rest > 0 {
        letters.insert(0, char::from(b'A' + u8::try_from((rest - 1) % 26).unwrap_or_default()));
        rest = (rest - 1) / 26;
    }
    format!("{} {letters}", row + 1)
}

/// Every line of a drawing as a polyline; a text as the line that it stands on.
fn lines(drawing: &Drawing) -> Vec<Vec<Point>> {
    let marks = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
    let line = |mark: &Mark| match mark {
        Mark::Line { paths, .. } => flatten(paths, FOLLOWED),
        Mark::Point { at } => vec![*at, *at],
        Mark::Text { middle, text, size_mm, upwards } => {
            let half = width(text) * size_mm / 2.0;
            let step = if *upwards { Vector::new(0.0, half) } else { Vector::new(half, 0.0) };
            vec![middle - step, middle + step]
        }
    };
    marks.map(line).collect()
}

/// Whether a polyline touches a window: each of its chords is cut down to what lies within the window's four sides.
fn touches(line: &[Point], from: Point, size: [f64; 2]) -> bool {
    line.windows(2).any(|chord| {
        let (start, step) = (chord[0], chord[1] - chord[0]);
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for k in 0..2 {
            let (before, after) = (from[k] - start[k], from[k] + size[k] - start[k]);
            if step[k] == 0.0 {
                if before > 0.0 || after < 0.0 {
                    return false;
                }
            } else {
                let (a, b) = (before / step[k], after / step[k]);
                enters = enters.max(a.min(b));
                leaves = leaves.min(a.max(b));
            }
        }
        enters <= leaves
    })
}
