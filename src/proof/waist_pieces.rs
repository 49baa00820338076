//! Proof of the pieces that finish the waist: their edges and notches against the sewn waist of back and front.
//!
//! The sewn waist is measured again from the seam lines of the pattern, with each dart closed about its tip.

use super::sewing::{self, SewnPanelWaist};
use super::{COUNT, Check, LENGTH, Proof, lengths};
use crate::draft::{Edge, Half, Role};
use crate::pattern::{NotchPlace, Pattern, WaistPiece};

impl Pattern {
    /// Measures the pieces that finish the waist, and returns the checks against the sewn waist of back and front;
    /// `None` for a pattern without such pieces.
    ///
    /// ```
    /// use kirtle::pattern::{WaistFinish, WaistFinishKind};
    /// use kirtle::{Body, Cutting, Ease, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Waistband, Unit::Cm));
    /// let mut pattern = draft.pattern(&Cutting { finish, ..Cutting::default() })?;
    /// assert!(pattern.waist_proof().is_some_and(|proof| proof.holds));
    /// pattern.waist_pieces[0].notches[1].seam.y += 0.01; // The notch of a dart, a tenth of a millimetre further.
    /// assert!(pattern.waist_proof().is_some_and(|proof| !proof.holds));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn waist_proof(&self) -> Option<Proof> {
        let sewn = self.pieces().map(|piece| sewing::sewn_panel_waist(&piece.panel.edges));
        let underlap = self.cutting().finish.map_or(0.0, |finish| finish.lengths.underlap);
        let checks = match &*self.waist_pieces {
            [] => return None,
            [back, front] => {
                let checks = [facing_checks(back, Half::Back, &sewn[0]), facing_checks(front, Half::Front, &sewn[1])];
                let [back, front] =
                    [back, front].map(|piece| total_edge_length_with_role(&piece.seam_of_half(), Role::Side));
                let sides = Check::new(LENGTH, ["facing_sides_equal", "both"], front, back);
                checks.into_iter().flatten().chain([sides]).collect()
            }
            [band, ..] => waistband_checks(band, &sewn, underlap).to_vec(),
        };
        Some(Proof { holds: checks.iter().all(|check| check.holds), checks })
    }
}

fn total_edge_length_with_role(edges: &[Edge], role: Role) -> f64 {
    lengths::total_length(&sewing::edge_paths_with_role(edges, role))
}

/// Returns the distances along a panel's sewn waist from the centre to each dart and to the side seam, in centimetres.
fn dart_and_side_distances_along_waist(sewn: &SewnPanelWaist) -> Vec<f64> {
    let ends = sewn.waist.iter().scan(0.0, |along, path| {
        *along += lengths::length_by_polygons(path);
        Some(*along)
    });
    ends.collect()
}

/// Returns the checks of a waistband: each long edge is as long as the whole sewn waist plus the underlap (in
/// centimetres), and each notch lies at a dart, a side seam or a centre of the sewn waist.
fn waistband_checks(band: &WaistPiece, sewn: &[SewnPanelWaist; 2], underlap: f64) -> [Check; 2] {
    let [back, front] = sewn.each_ref().map(dart_and_side_distances_along_waist);
    let [side, front_waist] = sewn.each_ref().map(|sewn| lengths::total_length(&sewn.waist));
    let half = side + front_waist;
    let mut expected = vec![(NotchPlace::CentreFront, half)];
    let mut expect_on_both_halves = |place, along| expected.extend([(place, along), (place, 2.0 * half - along)]);
    expect_on_both_halves(NotchPlace::CentreBack, 0.0);
    expect_on_both_halves(NotchPlace::SideSeam, side);
    let [back, front] = [back, front].map(|ends| ends.into_iter().rev().skip(1));
    back.chain(front.map(|along| half - along)).for_each(|along| expect_on_both_halves(NotchPlace::DartLeg, along));
    expected.sort_by(|a, b| a.1.total_cmp(&b.1));
    let is_complete = expected.len() == band.notches.len();
    let error = expected.iter().zip(&band.notches).map(|((place, along), notch)| {
        let error = (notch.along - along).abs().max((notch.seam.y - along).abs());
        if notch.place == *place { error } else { f64::NAN }
    });
    let error = if is_complete { sewing::max_propagating_nan(error) } else { f64::NAN };
    // Both long edges have the role of the waist, so their lengths add up.
    let length = total_edge_length_with_role(&band.seam, Role::Waist);
    [
        Check::new(LENGTH, ["waistband_length", "both"], length, 2.0 * (2.0 * half + underlap)),
        Check::new(LENGTH, ["waistband_notches", "both"], error, 0.0),
    ]
}

/// Returns the checks of a facing: its waist is as long as the sewn waist of its panel, its notches lie at the closed
/// darts, and its outline is closed and does not cross itself. Of a whole facing one half is measured.
fn facing_checks(facing: &WaistPiece, half: Half, sewn: &SewnPanelWaist) -> [Check; 4] {
    let (panel, seam) = (half.name(), &facing.seam_of_half());
    let darts = dart_and_side_distances_along_waist(sewn);
    let halves = if facing.on_fold() || half == Half::Back { 1 } else { 2 };
    let notches = &facing.notches[..facing.notches.len() / halves];
    let is_complete = notches.len() + 1 == darts.len();
    let error = darts.iter().zip(notches).map(|(along, notch)| (notch.along - along).abs());
    let error = if is_complete { sewing::max_propagating_nan(error) } else { f64::NAN };
    let crossings = super::crossing::count_outline_crossings(seam);
    let waist = total_edge_length_with_role(seam, Role::Waist);
    [
        Check::new(LENGTH, ["facing_waist", panel], waist, lengths::total_length(&sewn.waist)),
        Check::new(LENGTH, ["facing_notches", panel], error, 0.0),
        Check::new(LENGTH, ["facing_closed", panel], sewing::max_outline_gap(seam), 0.0),
        Check::new(COUNT, ["facing_crossings", panel], crossings, 0.0),
    ]
}
