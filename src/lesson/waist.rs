//! The waist on a ruler: the marks at which the side end of the waist and the mouths of the darts are drawn.
//!
//! Rounded one by one, the widths of cloth between the darts may all be too wide. So the marks of back and front are
//! chosen together, as a cutter carries a remainder on to the next width: the darts closed, the waist has its length.

use super::curve_through_points;
use crate::draft::{Draft, Panel, Role};
use crate::geometry::Point;
use crate::ruler::Ruler;

/// Weight of a difference of the waist of half the garment, compared with an equal distance of one end of a waist or a
/// mouth from its exact place.
const WAIST_WEIGHT: f64 = 4.0;

/// Marks of the ruler for the waist of one panel, and their errors, in centimetres.
#[derive(Clone, Default)]
pub(super) struct WaistMarks {
    /// Distance of the side end of the waist from the side of the panel's rectangle, negative towards the centre.
    pub(super) side: f64,
    /// Distances of inner and outer end of each dart mouth from the centre line.
    pub(super) mouths: Vec<[f64; 2]>,
    /// Drawn waist minus exact waist of the panel.
    longer: f64,
    /// Sum of the squared distances of all ends from their exact places, in square centimetres.
    squared_moves: f64,
}

/// Returns the marks of back and front: for each exact end, one of the two marks next to it, chosen so that the drawn
/// waist is nearest to the exact waist and the ends move little. Both panels have one `side`, as their side seams are
/// drawn alike.
pub(super) fn choose_waist_marks(draft: &Draft, ruler: Ruler) -> [WaistMarks; 2] {
    let sides = ruler.neighbouring_marks(draft.back.waist_width - draft.back.width);
    let choices = sides.map(|side| draft.panels().map(|panel| waist_choices(panel, side, ruler)));
    let pairs = choices
        .iter()
        .flat_map(|[backs, fronts]| backs.iter().flat_map(move |back| fronts.iter().map(move |front| [back, front])));
    let cost = |[back, front]: &[&WaistMarks; 2]| {
        let longer = WAIST_WEIGHT * (back.longer + front.longer);
        back.squared_moves + front.squared_moves + longer * longer
    };
    let best = pairs.min_by(|a, b| cost(a).total_cmp(&cost(b)));
    best.map(|[back, front]| [back.clone(), front.clone()]).unwrap_or_default()
}

/// Returns every choice of neighbouring marks for the mouth ends of a panel, except those that close a mouth.
fn waist_choices(panel: &Panel, side: f64, ruler: Ruler) -> Vec<WaistMarks> {
    let round = |point: Point| point.map(|cm| ruler.round_to_step(cm));
    let (centre, side_end) = (round(panel.centre_waist_point()), ruler.round_to_step(panel.width) + side);
    let middles: Vec<Point> = panel.paths(Role::Waist).map(|path| round(path.point_at(0.5))).collect();
    let exact: Vec<Point> = panel.darts.iter().flat_map(|dart| [dart.inner, dart.outer]).collect();
    let choice = |bits: usize| {
        let mark = |(k, end): (usize, &Point)| ruler.neighbouring_marks(end.x)[bits >> k & 1];
        let drawn: Vec<f64> = exact.iter().enumerate().map(mark).collect();
        let mouths = drawn.as_chunks::<2>().0.to_vec();
        if mouths.iter().any(|[inner, outer]| outer <= inner) {
            return None;
        }
        let ends = exact.iter().zip(&drawn).map(|(end, x)| Point::new(*x, ruler.round_to_step(end.y)));
        let ends: Vec<Point> = std::iter::once(centre).chain(ends).chain([Point::new(side_end, 0.0)]).collect();
        let stretches = ends.chunks_exact(2).zip(&middles);
        let curves = stretches.flat_map(|(ends, middle)| curve_through_points(&[ends[0], *middle, ends[1]]));
        let longer = curves.map(|curve| curve.length()).sum::<f64>() - panel.edge_length(Role::Waist);
        let moves = exact.iter().zip(&drawn).map(|(end, x)| x - end.x).chain([side_end - panel.waist_width]);
        Some(WaistMarks { side, mouths, longer, squared_moves: moves.map(|cm| cm * cm).sum() })
    };
    (0..1 << exact.len()).filter_map(choice).collect()
}
