//! Whole pieces: a half on the fold together with its mirror image beyond the fold, which lies at `x` = 0.

use super::notch::Notch;
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point};

/// Returns the outline of a whole piece: that of one half without its last edge, the centre line, and its mirror image.
pub(super) fn outline_with_mirror_image(mut half: Vec<Path>, mirror: impl Fn(Point) -> Point) -> Vec<Path> {
    half.pop();
    let mirror_image: Vec<Path> = half.iter().rev().map(|path| path.reversed().map(&mirror)).collect();
    half.extend(mirror_image);
    half
}

/// Returns the mirror image of a point in the fold.
fn beyond_fold(point: Point) -> Point {
    // Unlike −x, the difference has no negative zero.
    Point::new(0.0 - point.x, point.y)
}

/// Returns the edges of a whole piece, from those of one half, of which the last is the fold.
pub(super) fn whole_edges(half: &[Edge]) -> Vec<Edge> {
    let paths = outline_with_mirror_image(half.iter().map(|edge| edge.path).collect(), beyond_fold);
    let edges = half.split_last().map_or(half, |(_, edges)| edges);
    let roles = edges.iter().chain(edges.iter().rev()).map(|edge| edge.role);
    roles.zip(paths).map(|(role, path)| Edge { role, path }).collect()
}

/// Returns the edges of one half of a whole piece, closed along the centre line.
pub(super) fn half_edges(whole: &[Edge]) -> Vec<Edge> {
    let [top, bottom] = centre_line_of_whole_piece(whole);
    let centre = Edge { role: Role::Centre, path: Path::Line([bottom, top]) };
    whole[..whole.len() / 2].iter().copied().chain([centre]).collect()
}

/// Returns the ends of the centre line of a whole piece, at the waist and at the hem, from the edges of the piece.
pub(crate) fn centre_line_of_whole_piece(whole: &[Edge]) -> [Point; 2] {
    // The two halves of the outline lie one after the other.
    [0, whole.len() / 2].map(|k| whole[k].path.start())
}

/// Makes a piece on the fold whole, given its cut line, its notches and its number of straight folds.
pub(super) fn unfold(cut: &mut Vec<Edge>, notches: &mut Vec<Notch>, straight_folds: &mut usize) {
    *cut = whole_edges(cut);
    let beyond = |notch: &Notch| {
        let cuts = notch.cuts.iter().map(|cut| cut.map(beyond_fold)).collect();
        Notch { seam: beyond_fold(notch.seam), cuts, ..*notch }
    };
    notches.extend(notches.iter().map(beyond).collect::<Vec<_>>());
    *straight_folds *= 2;
}
