//! The lay: where each piece lies on the cloth, and how much cloth it takes.
//!
//! There are two or three pieces, so that every order, every way to lie, and every place at an edge of the cloth or beside
//! another piece is tried, and the shortest is taken. A piece slides up until its outline meets what lies above it.

use super::{Pattern, Piece};
use crate::draft::Half;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::{Path, Point, flatten};

/// The row of the cloth's width.
pub(crate) const WIDTH: Field = Field::new(
    "width",
    "Width of the cloth between its selvedges, laid open.",
    FieldKind::Length,
    (40.0, 400.0),
    (16.0, 157.0),
);

/// Between two pieces, in centimetres: room for the shears.
const GAP: f64 = 0.5;

/// Outlines are compared in strips of this width, in centimetres, each by the farthest that the outline reaches in it.
const STRIP: f64 = 0.1;

/// The strips that a gap spans.
const GAP_STRIPS: usize = 5;

/// From one piece to the next beside it: a gap, and the strips that the two share by rounding.
const BESIDE: f64 = GAP + 3.0 * STRIP;

/// How closely a curve is followed, in centimetres.
const FOLLOWED: f64 = 0.001;

/// Shops cut by ten centimetres, or by an eighth of a yard (common practice).
const STEP_CM: f64 = 10.0;
const YARD: f64 = 91.44;

/// The cloth that a pattern is laid on.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Cloth {
    /// Its width between the selvedges, laid open, in centimetres; from 40 to 400 cm, or 16 to 157 in.
    pub width: f64,
    /// Whether it is folded lengthwise, so that two layers are cut at once; the front then lies on the fold.
    pub folded: bool,
    /// Whether all pieces must lie the same way, because of pile, print or shade.
    pub one_way: bool,
}

/// A pattern laid on cloth. `x` runs across the cloth, from its fold if it has one, `y` along it.
#[derive(Clone, Debug, PartialEq)]
pub struct Lay {
    /// The cloth.
    pub cloth: Cloth,
    /// The size or body on the pieces; empty where none was given.
    pub name: String,
    /// How much of its length the pieces take, in centimetres.
    pub length: f64,
    /// The share of the cloth that is left over.
    pub waste: f64,
    /// The pieces.
    pub placed: Vec<Placed>,
}

/// A piece on the cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Which piece.
    pub half: Half,
    /// Whether it lies with its other side up.
    pub mirrored: bool,
    /// Whether its hem lies where the others' waist lies.
    pub turned: bool,
    /// Whether its centre lies on the fold of the cloth.
    pub on_fold: bool,
    /// Its cut line on the cloth; of a front on open cloth, both halves.
    pub outline: Vec<Path>,
    /// Its grain line on the cloth.
    pub grain: [Point; 2],
}

impl Cloth {
    /// The same from one unit to another.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        Self { width: WIDTH.kind.convert(self.width, from, to), ..self }
    }
}

impl Lay {
    /// Length to buy, rounded up to ten centimetres.
    #[must_use]
    pub fn to_buy_cm(&self) -> f64 {
        rounded_up(self.length, STEP_CM) * STEP_CM
    }

    /// Length to buy in yards, rounded up to an eighth.
    #[must_use]
    pub fn to_buy_yd(&self) -> f64 {
        rounded_up(self.length, YARD / 8.0) / 8.0
    }
}

/// How many steps hold a length; what is over by rounding only does not count.
fn rounded_up(length: f64, step: f64) -> f64 {
    (length / step - 1e-9).ceil()
}

impl Pattern {
    /// Lays the pieces on cloth: the back twice, the front once, as short as they fit.
    ///
    /// # Errors
    /// A width out of range, or cloth that is narrower than a piece, folded or open as it is.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules};
    /// use kirtle::pattern::Cloth;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false })?;
    /// assert_eq!(lay.to_buy_cm(), 70.0);
    ///
    /// let problems = pattern.lay(&Cloth { width: 50.0, folded: true, one_way: false }).unwrap_err();
    /// assert_eq!(problems.to_string(), "cloth.width: 50 cm is narrower than the widest piece takes; the least is 57.5 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn lay(&self, cloth: &Cloth) -> Result<Lay, Problems> {
        Problems::ok_if_empty(WIDTH.check("cloth.", cloth.width, Unit::Cm).into_iter().collect())?;
        let items = items(self, cloth);
        // On folded cloth what is not on the fold is cut all around.
        let (layers, edge) = if cloth.folded { (2.0, GAP) } else { (1.0, 0.0) };
        let taken = |item: &Item| item.ways[0].first_place(edge) + item.ways[0].width;
        let widest = items.iter().map(taken).fold(0.0, f64::max) * layers;
        if widest > cloth.width {
            // Rounded up, so that the least given is enough.
            let min = (widest * 10.0).ceil() / 10.0;
            let problem = Problem::new(Code::ClothTooNarrow, "cloth.width").with_value(cloth.width);
            return Err(problem.with_limit(min).with_unit(Unit::Cm.name()).into());
        }
        let (mut length, spots) = shortest(&items, cloth.width / layers, edge);
        let mut placed: Vec<Placed> =
            spots.iter().map(|spot| items[spot.item].ways[spot.way].placed(spot.x, spot.y)).collect();
        // Whatever lies on folded cloth lies on the same cloth unfolded.
        if let Some(folded) = self.unfolded(cloth).filter(|(shorter, _)| *shorter < length) {
            (length, placed) = folded;
        }
        let pieces = 2.0 * (self.back.area() + self.front.area());
        let name = self.cutting().name.clone();
        Ok(Lay { cloth: *cloth, name, length, waste: 1.0 - pieces / (length * cloth.width), placed })
    }
}

impl Pattern {
    /// The lay on folded cloth, unfolded: each piece and its mirror image, the one on the fold with both halves.
    fn unfolded(&self, cloth: &Cloth) -> Option<(f64, Vec<Placed>)> {
        let lay = if cloth.folded { None } else { self.lay(&Cloth { folded: true, ..*cloth }).ok() }?;
        let middle = cloth.width / 2.0;
        let mut all = Vec::new();
        for piece in lay.placed {
            let [right, left] = [1.0, -1.0].map(|side| piece.map(|p| Point::new(middle + side * p.x, p.y)));
            if piece.on_fold {
                let outline = opened(right.outline, |p| Point::new(2.0 * middle - p.x, p.y));
                // Turned about is what on the fold was turned over: it shows the same side.
                all.push(Placed { outline, on_fold: false, mirrored: false, ..right });
            } else {
                all.push(Placed { mirrored: !left.mirrored, ..left });
                all.push(right);
            }
        }
        Some((lay.length, all))
    }
}

impl Placed {
    /// The same with every point moved.
    fn map(&self, f: impl Fn(Point) -> Point) -> Self {
        let outline = self.outline.iter().map(|path| path.map(&f)).collect();
        Self { outline, grain: self.grain.map(&f), ..*self }
    }
}

/// A piece to be laid once, in every way that it may lie; the first is as drafted.
struct Item {
    ways: Vec<Way>,
}

/// A piece as it lies, its box at the origin.
struct Way {
    placed: Placed,
    width: f64,
    /// For each strip from the left: the least and the greatest `y` of the piece.
    strips: Vec<[f64; 2]>,
}

/// Which axes a piece is flipped along as it lies.
#[derive(Clone, Copy)]
struct Flips {
    across: bool,
    along: bool,
}

impl Flips {
    fn point(self, p: Point) -> Point {
        Point::new(if self.across { -p.x } else { p.x }, if self.along { -p.y } else { p.y })
    }
}

/// What is to be cut: in two layers the back once and the front on the fold; in one the back, its mirror image, and the front
/// with both halves.
fn items(pattern: &Pattern, cloth: &Cloth) -> Vec<Item> {
    let item = |piece, ways: &[(bool, bool)]| {
        let flips = ways.iter().map(|(across, along)| Flips { across: *across, along: *along });
        let flips = flips.filter(|flips| !(flips.along && cloth.one_way));
        Item { ways: flips.map(|flips| Way::new(piece, cloth.folded, flips)).collect() }
    };
    // On the fold a piece is turned over; opened out it is turned about.
    let front = item(&pattern.front, &[(false, false), (!cloth.folded, true)]);
    let back = |ways| item(&pattern.back, ways);
    if cloth.folded {
        return vec![front, back(&[(false, false), (true, false), (true, true), (false, true)])];
    }
    vec![front, back(&[(false, false), (true, true)]), back(&[(true, false), (false, true)])]
}

impl Way {
    fn new(piece: &Piece, folded: bool, flips: Flips) -> Self {
        let mut outline: Vec<Path> = piece.cut.iter().map(|edge| edge.path).collect();
        let on_fold = piece.on_fold() && folded;
        if piece.on_fold() && !folded {
            outline = opened(outline, |p| Point::new(-p.x, p.y));
        }
        let outline: Vec<Path> = outline.iter().map(|path| path.map(|p| flips.point(p))).collect();
        let corners = flatten(&outline, FOLLOWED);
        let min = corners.iter().fold(corners[0], |p, q| Point::new(p.x.min(q.x), p.y.min(q.y)));
        let home = |p: Point| p - min.coords;
        let corners: Vec<Point> = corners.into_iter().map(home).collect();
        let placed = Placed {
            half: piece.panel.half,
            mirrored: flips.across != flips.along,
            turned: flips.along,
            on_fold,
            outline: outline.iter().map(|path| path.map(home)).collect(),
            grain: piece.grain.map(|p| home(flips.point(p))),
        };
        Self { placed, width: corners.iter().map(|p| p.x).fold(0.0, f64::max), strips: strips(&corners) }
    }

    /// Where across the cloth its first place is.
    fn first_place(&self, edge: f64) -> f64 {
        if self.placed.on_fold { 0.0 } else { edge }
    }

    fn placed(&self, x: f64, y: f64) -> Placed {
        self.placed.map(|point| point + Point::new(x, y).coords)
    }
}

/// The outline of a piece on the fold with both its halves; the centre line, which is its last edge, is not cut.
fn opened(mut half: Vec<Path>, mirrored: impl Fn(Point) -> Point) -> Vec<Path> {
    half.pop();
    let other: Vec<Path> = half.iter().rev().map(|path| path.reversed().map(&mirrored)).collect();
    half.extend(other);
    half
}

/// The strip that a place across the cloth falls in.
fn strip(x: f64) -> usize {
    // Places on cloth are positive and small.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let strip = (x.max(0.0) / STRIP) as usize;
    strip
}

/// How far a closed polyline reaches up and down in each strip: a chord counts in every strip that it touches by as much as
/// it reaches in all of them, so that no strip is taken for emptier than it is. Chords are short.
fn strips(corners: &[Point]) -> Vec<[f64; 2]> {
    let max = corners.iter().map(|p| p.x).fold(0.0, f64::max);
    let mut strips = vec![[f64::INFINITY, f64::NEG_INFINITY]; strip(max) + 1];
    for pair in corners.windows(2) {
        for part in shortened(pair[0], pair[1]) {
            let [min, max] = [part[0].y.min(part[1].y), part[0].y.max(part[1].y)];
            let [from, to] = [part[0].x.min(part[1].x), part[0].x.max(part[1].x)].map(strip);
            // A place along a chord may be rounded to beyond its end.
            for reach in strips.iter_mut().take(to + 1).skip(from) {
                *reach = [reach[0].min(min), reach[1].max(max)];
            }
        }
    }
    strips
}

/// A chord in parts no wider than a strip.
fn shortened(from: Point, to: Point) -> impl Iterator<Item = [Point; 2]> {
    let parts = strip((to.x - from.x).abs()) + 1;
    #[allow(clippy::cast_precision_loss)]
    let at = move |k: usize| from + (to - from) * (k as f64 / parts as f64);
    (0..parts).map(move |k| [at(k), at(k + 1)])
}

/// The shortest length of cloth, and where the items go on it.
fn shortest(items: &[Item], width: f64, edge: f64) -> (f64, Vec<NamedPoint>) {
    let mut search = SearchSettings { items, width, edge, best: (f64::INFINITY, Vec::new()) };
    search.lay(&mut Vec::new(), &vec![0.0; strip(width) + 1], 0.0);
    search.best
}

/// Where an item goes.
#[derive(Clone, Copy)]
struct NamedPoint {
    item: usize,
    way: usize,
    x: f64,
    y: f64,
}

struct SearchSettings<'a> {
    items: &'a [Item],
    width: f64,
    /// Where the first piece beside the fold, or the selvedge, may lie.
    edge: f64,
    best: (f64, Vec<NamedPoint>),
}

impl SearchSettings<'_> {
    /// Lays one more item below the skyline, which tells for each strip how much of the cloth is taken.
    fn lay(&mut self, spots: &mut Vec<NamedPoint>, skyline: &[f64], length: f64) {
        if length >= self.best.0 - 1e-9 {
            return;
        }
        if spots.len() == self.items.len() {
            self.best = (length, spots.clone());
            return;
        }
        for (k, item) in self.items.iter().enumerate() {
            if spots.iter().any(|spot| spot.item == k) {
                continue;
            }
            for (way_number, way) in item.ways.iter().enumerate() {
                for x in self.places(spots, way) {
                    let mut skyline = skyline.to_vec();
                    let (y, bottom) = drop_onto(&mut skyline, way, x);
                    spots.push(NamedPoint { item: k, way: way_number, x, y });
                    self.lay(spots, &skyline, length.max(bottom));
                    spots.pop();
                }
            }
        }
    }

    /// Where across the cloth a piece may lie: at either edge, or beside a piece that lies there; a piece on the fold only
    /// there.
    fn places(&self, spots: &[NamedPoint], way: &Way) -> Vec<f64> {
        let first = way.first_place(self.edge);
        let mut places = vec![first];
        if !way.placed.on_fold {
            places.push(self.width - way.width);
            places.extend(spots.iter().map(|spot| spot.x + self.items[spot.item].ways[spot.way].width + BESIDE));
        }
        places.retain(|x| *x >= first && x + way.width <= self.width);
        places
    }
}

/// Slides a piece up from below as far as the skyline lets it, and takes its cloth; gives where it lies and where it ends.
fn drop_onto(skyline: &mut [f64], way: &Way, x: f64) -> (f64, f64) {
    let (from, last) = (strip(x), skyline.len() - 1);
    // A piece's strip may fall across two of the cloth's.
    let span = |k: usize| from + k..=(from + k + 1).min(last);
    // Whatever lies within a gap to either side counts, so that slanted edges keep it, too.
    let around = |k: usize| (from + k).saturating_sub(GAP_STRIPS)..=(from + k + 1 + GAP_STRIPS).min(last);
    let room = |(k, reach): (usize, &[f64; 2])| {
        let taken = skyline[around(k)].iter().copied().fold(0.0, f64::max);
        if taken > 0.0 { taken + GAP - reach[0] } else { -reach[0] }
    };
    let y = way.strips.iter().enumerate().map(room).fold(0.0, f64::max);
    let mut end = 0.0_f64;
    for (k, reach) in way.strips.iter().enumerate() {
        for taken in &mut skyline[span(k)] {
            *taken = taken.max(y + reach[1]);
        }
        end = end.max(y + reach[1]);
    }
    (y, end)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chord that ends just before a strip, and whose end is rounded into it, stays within the strips that there are.
    #[test]
    fn a_chord_ends_in_its_last_strip() {
        let end = (100.0 * STRIP).next_down();
        let starts = (1..10_000).map(|k| f64::from(k) / 7919.0);
        let rounded: Vec<f64> = starts.filter(|from| strip(from + (end - from)) > strip(end)).collect();
        assert!(!rounded.is_empty());
        for from in rounded {
            let corners = [Point::new(from, 1.0), Point::new(end, 2.0)];
            let strips = strips(&corners);
            assert_eq!((strips.len(), strips[strips.len() - 1][1]), (strip(end) + 1, 2.0));
        }
    }
}
