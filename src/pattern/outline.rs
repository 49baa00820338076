//! The cut line of a piece.
//!
//! Along each edge it runs beside the seam line at the allowance. What is folded back when the garment is sewn (a dart, the
//! allowance of a seam, the hem) is cut as the mirror image, in the fold, of what it will lie on, so that the edges of all
//! layers agree.

use super::cutting::{Allowances, Press};
use crate::draft::{Dart, Edge, Half, Panel, Role};
use crate::geometry::{Cubic, Line, Path, Point, Vector, walk};

/// The share of the room beside a bend that an allowance may take: a curve narrower than a quarter of itself cannot be
/// cut.
const ROOM: f64 = 0.75;

/// What is shorter than this, in centimetres, is rounding and no edge.
const NOTHING: f64 = 1e-9;

/// To the right, and down.
const RIGHT: Vector = Vector::new(1.0, 0.0);
const DOWN: Vector = Vector::new(0.0, 1.0);

/// The widest allowances up to those wished for that leave a cut line beside every bend, and none beyond the centre line.
pub(super) fn granted(panels: [&Panel; 2], wished: Allowances) -> Allowances {
    let curves = |role| panels.into_iter().flat_map(move |panel| panel.paths(role)).filter_map(Path::cubic);
    let room = |role| {
        let sharpest = curves(role).map(Cubic::max_left_curvature).fold(0.0, f64::max);
        if sharpest > 0.0 { ROOM / sharpest } else { f64::INFINITY }
    };
    let to_centre = curves(Role::Waist).map(Cubic::offset_to_upright).fold(f64::INFINITY, f64::min);
    let waist = wished.waist.min(room(Role::Waist)).min(ROOM * to_centre);
    Allowances { waist, side: wished.side.min(room(Role::Side)), ..wished }
}

/// The cut line of a piece, and how many folded edges are straight because there is nothing there to mirror.
pub(super) struct Outline {
    pub(super) edges: Vec<Edge>,
    pub(super) straight: usize,
}

/// Makes the cut line of a panel.
pub(super) fn outline(panel: &Panel, allowances: &Allowances, press: Press) -> Outline {
    let stretches: Vec<Vec<Path>> = panel.paths(Role::Waist).map(|path| offset(path, allowances.waist)).collect();
    let side: Vec<Path> = panel.paths(Role::Side).flat_map(|path| offset(path, allowances.side)).collect();
    let [waist, hip] = [&stretches[0], &side].map(|paths| paths[0].start());
    let mut cutter = Cutter { outline: Outline { edges: Vec::new(), straight: 0 }, at: waist };
    let centre = if panel.half == Half::Back { allowances.centre_back } else { 0.0 };
    let flap = cutter.flap(stretches[0].iter().copied(), &Line::new(waist, -DOWN), centre, -RIGHT);
    cutter.at = flap.last().map_or(waist, Path::end);
    let start = cutter.at;
    cutter.push(Role::Waist, flap.iter().rev().map(Path::reversed));
    for (k, stretch) in stretches.iter().enumerate() {
        cutter.push(Role::Waist, stretch.iter().copied());
        if let Some(dart) = panel.darts.get(k) {
            let roof = cutter.roof(dart, press, [stretch, &stretches[k + 1]]);
            cutter.push(Role::Dart, roof);
        }
    }
    let flap = panel.paths(Role::Side).next().map(|seam| cutter.side_flap(seam, stretches.last(), allowances.side));
    cutter.push(Role::Waist, flap.unwrap_or_default());
    cutter.straight_to(Role::Side, hip);
    let hem = Line::new(side.last().map_or(hip, Path::end), -RIGHT);
    let turned = cutter.flap(side.iter().rev().map(Path::reversed), &hem, allowances.hem, DOWN);
    cutter.push(Role::Side, side);
    cutter.push(Role::Side, turned);
    cutter.straight_to(Role::Hem, Point::new(start.x, cutter.at.y));
    cutter.straight_to(Role::Centre, start);
    cutter.outline
}

/// The path at an allowance to its left.
fn offset(path: &Path, allowance: f64) -> Vec<Path> {
    match path {
        Path::Line([a, b]) => {
            let out = Line::new(*a, b - a).left() * allowance;
            vec![Path::Line([a + out, b + out])]
        }
        Path::Cubic(cubic) => cubic.offset(allowance).into_iter().map(Path::Cubic).collect(),
    }
}

/// Walks around the piece; each edge starts where the last one ended.
struct Cutter {
    outline: Outline,
    at: Point,
}

impl Cutter {
    /// Goes along paths, of which the first starts here but for rounding.
    fn push(&mut self, role: Role, paths: impl IntoIterator<Item = Path>) {
        for mut path in paths {
            match &mut path {
                Path::Line([start, _]) => *start = self.at,
                Path::Cubic(cubic) => cubic.points[0] = self.at,
            }
            self.at = path.end();
            self.outline.edges.push(Edge { role, path });
        }
    }

    /// Goes straight to a point, if not there yet.
    fn straight_to(&mut self, role: Role, point: Point) {
        if (point - self.at).norm() > NOTHING {
            self.push(role, [Path::Line([self.at, point])]);
        }
    }

    /// The edge of the side seam's allowance at the waist. It ends above the square to the seam line's end, where the cut
    /// line along the seam begins.
    fn side_flap(&mut self, seam: &Path, last: Option<&Vec<Path>>, allowance: f64) -> Vec<Path> {
        let fold = Line::new(seam.start(), seam.start_tangent());
        let trail = last.into_iter().flatten().rev().map(Path::reversed);
        let flap = self.flap(trail, &fold, allowance, RIGHT);
        let falls = flap.last().is_some_and(|path| (path.end() - seam.start()).dot(&seam.start_tangent()) > 0.0);
        match flap.first() {
            Some(first) if falls => self.straight(first.start(), &fold, &fold.offset(allowance)),
            _ => flap,
        }
    }

    /// The edge of what is folded along a line, from the fold outwards as far as the allowance: the mirror image of the
    /// trail that leaves the fold on its other side. It goes always `ahead`.
    fn flap(
        &mut self,
        trail: impl Iterator<Item = Path> + Clone,
        fold: &Line,
        allowance: f64,
        ahead: Vector,
    ) -> Vec<Path> {
        if allowance == 0.0 { Vec::new() } else { self.image(trail, fold, &fold.offset(allowance), ahead) }
    }

    /// The mirror image of a trail in a line, as far as another line to the left of it. Where the trail does not lead
    /// there, it goes straight out.
    fn image(
        &mut self,
        trail: impl Iterator<Item = Path> + Clone,
        fold: &Line,
        until: &Line,
        ahead: Vector,
    ) -> Vec<Path> {
        let Some(start) = trail.clone().next().map(|path| path.start()) else { return Vec::new() };
        let images = trail.map(|path| path.map(|point| fold.mirrored(point)));
        walk(images, until, ahead).unwrap_or_else(|| self.straight(start, fold, until))
    }

    /// Straight out from a fold as far as a line.
    fn straight(&mut self, start: Point, fold: &Line, until: &Line) -> Vec<Path> {
        self.outline.straight += 1;
        let (from, out) = (until.off(start), fold.left());
        let reach = from / (from - until.off(start + out));
        vec![Path::Line([start, start + out * reach])]
    }

    /// The roof over a dart: the edge of the stretch that it is pressed to, mirrored in their common leg as far as the
    /// fold, and that mirrored in the fold.
    fn roof(&mut self, dart: &Dart, press: Press, [inner, outer]: [&Vec<Path>; 2]) -> Vec<Path> {
        let [down, up] = [DOWN, -DOWN].map(|along| Line::new(dart.tip, along));
        let folded = |path: &Path| path.map(|point| down.mirrored(point));
        let near: Vec<Path> = match press {
            Press::Centre => {
                let leg = Line::new(dart.inner, dart.tip - dart.inner);
                self.image(inner.iter().rev().map(Path::reversed), &leg, &down, RIGHT)
            }
            Press::Side => {
                let leg = Line::new(dart.tip, dart.outer - dart.tip);
                self.image(outer.iter().copied(), &leg, &up, -RIGHT).iter().map(folded).collect()
            }
        };
        near.iter().copied().chain(near.iter().rev().map(|path| folded(&path.reversed()))).collect()
    }
}
