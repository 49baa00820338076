//! Worked drafts and values from print, drafted again. The source stands beside each check.
//!
//! Printed methods work on straight lines. Where a number is arithmetic on the measurements, ours must be theirs to half
//! of the last printed digit. Where the curve of the waist makes a difference, the row says why and bounds it closely.
#![allow(clippy::unwrap_used, reason = "a refused draft is a failed test")]
#![allow(clippy::cast_precision_loss, reason = "the figures are few")]

use std::f64::consts::TAU;
use std::ops::RangeInclusive;

use kirtle::document::Report;
use kirtle::{
    Apportionment, Body, DartPosition, Darts, Draft, Ease, FixedDart, Panel, PanelRules, Rules, Shares, draft,
    draft_json,
};
use serde_json::json;

/// Half of the last digit in a number printed to two places, in centimetres.
const PRINTED: f64 = 0.005;

/// What rounding may leave of a promise that is exact.
const EXACT: f64 = 1e-10;

/// Waist and hip of the two worked drafts in centimetres, as printed.
const WAIST: f64 = 70.0;
const HIP: f64 = 96.0;

/// Rows of what it is, our number, the printed number, and by how much they may differ.
#[track_caller]
fn agree(source: &str, rows: &[(&str, f64, f64, f64)]) {
    for (what, ours, printed, within) in rows {
        assert!((ours - printed).abs() <= *within, "{source}: {what}: {ours} is not {printed} to {within}");
    }
}

fn drafted([waist, hip, hip_depth]: [f64; 3], [ease_waist, ease_hip]: [f64; 2], rules: &Rules) -> Draft {
    let body = Body { waist, hip, hip_depth, length: 60.0 };
    draft(&body, &Ease { waist: ease_waist, hip: ease_hip }, rules).unwrap()
}

/// Rules of given darts, each intake and length, half-way along the waist.
fn by_darts(balance: f64, back: [f64; 2], front: [f64; 2]) -> Rules {
    let half_way = |[intake, length]: [f64; 2]| vec![FixedDart { intake, length, place: DartPosition::Share(0.5) }];
    let darts = Darts { back: half_way(back), front: half_way(front) };
    Rules { panel_rules: PanelRules { balance, ..PanelRules::default() }, apportionment: Apportionment::Darts(darts) }
}

/// The draft of a request in inches, through JSON and back: waist, hip, hip depth and length, then ease.
fn in_inches(body: [f64; 4], ease: [f64; 2]) -> Report {
    let (body, ease) = (Body::from_array(body), Ease::from_array(ease));
    let result = draft_json(&json!({"unit": "in", "body": body, "ease": ease}).to_string()).unwrap();
    serde_json::from_str(&result).unwrap()
}

/// The waist line of a panel before the waist is closed: its width less what its side seam loses.
fn nominal_waist(draft: &Draft, panel: &Panel) -> f64 {
    panel.width - draft.nominal.side / 2.0
}

/// Source: abc-style.org, basic skirt (worked example): W 70, H 96, D 18, L 60, no ease.
#[test]
fn basic_skirt_by_shares() {
    // Its back has one dart of 3.9, so that a dart may be larger than our default.
    let (back_inner_length, front_inner_length) = (13.0 / 18.0, 8.0 / 18.0);
    let shares = Shares { largest_dart: 4.0, back_inner_length, front_inner_length, ..Shares::default() };
    let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
    let ours = drafted([WAIST, HIP, 18.0], [0.0; 2], &rules);
    assert_eq!([ours.back.darts.len(), ours.front.darts.len()], [1, 1]);
    let ([back, front], [back_dart, front_dart]) = (ours.panels(), [ours.back.darts[0], ours.front.darts[0]]);
    agree(
        "abc-style.org, basic skirt",
        &[
            ("back width", back.width, 23.0, PRINTED),
            ("front width", front.width, 25.0, PRINTED),
            ("suppression", ours.nominal.total, 13.0, PRINTED),
            ("side", ours.nominal.side, 6.5, PRINTED),
            ("back dart", ours.nominal.back, 3.9, PRINTED),
            ("front dart", ours.nominal.front, 2.6, PRINTED),
            ("axis of the back dart", nominal_waist(&ours, back) / 2.0, 9.875, PRINTED),
            ("axis of the front dart", nominal_waist(&ours, front) / 2.0, 10.875, PRINTED),
            ("length of the back dart", back_dart.length, 13.0, PRINTED),
            ("length of the front dart", front_dart.length, 8.0, PRINTED),
            ("closed waist", ours.sewn_waist(), 70.0, EXACT),
            // Their waist is 70.0 on the straight line. The curve is 0.23 longer on half the garment, and closing takes
            // that in by the same shares: half at the sides, which moves each axis by a quarter of 0.12.
            ("suppression, drafted", ours.suppression.total, 13.0 + 0.233, PRINTED),
            ("side, drafted", ours.suppression.side, 6.5 + 0.233 * 0.5, PRINTED),
            ("back dart, drafted", back_dart.intake, 3.9 + 0.233 * 0.3, PRINTED),
            ("front dart, drafted", front_dart.intake, 2.6 + 0.233 * 0.2, PRINTED),
            ("axis of the back dart, drafted", back_dart.centre, 9.875 - 0.233 / 8.0, PRINTED),
            ("axis of the front dart, drafted", front_dart.centre, 10.875 - 0.233 / 8.0, PRINTED),
            // Theirs are round constants for every figure; ours are what square corners ask of this one.
            ("centre back lowered", back.waist_lowering, 1.0, 0.1),
            ("centre front lowered", front.waist_lowering, 1.5, 0.25),
        ],
    );
}

/// Source: abc-style.org, basic skirt (worked example), with its darts given as printed.
#[test]
fn basic_skirt_by_given_darts() {
    let ours = drafted([WAIST, HIP, 18.0], [0.0; 2], &by_darts(1.0, [3.9, 13.0], [2.6, 8.0]));
    agree(
        "abc-style.org, basic skirt",
        &[
            ("suppression", ours.nominal.total, 13.0, PRINTED),
            ("side", ours.nominal.side, 6.5, PRINTED),
            ("back dart", ours.back.darts[0].intake, 3.9, EXACT),
            ("front dart", ours.front.darts[0].intake, 2.6, EXACT),
            ("closed waist", ours.sewn_waist(), 70.0, EXACT),
            // The darts stay as given, so the side seams alone take in what the curve is longer, and the axes, half-way
            // along the waist, move by a quarter of it.
            ("side, drafted", ours.suppression.side, 6.5 + 0.235, PRINTED),
            ("axis of the back dart, drafted", ours.back.darts[0].centre, 9.875 - 0.235 / 4.0, PRINTED),
            ("axis of the front dart, drafted", ours.front.darts[0].centre, 10.875 - 0.235 / 4.0, PRINTED),
        ],
    );
}

/// Source: wikieducator.org, Handout for drafting skirt block: half = H/2 + 2.5, back = half/2 + 0.75, darts 2 × 12 in the
/// back and 2 × 10 in the front; W 70 and H 96 give the numbers. A hip depth of 20 is ours: the values do not depend on it.
#[test]
fn handout_block() {
    let ours = drafted([WAIST, HIP, 20.0], [2.4, 5.0], &by_darts(-0.75, [2.0, 12.0], [2.0, 10.0]));
    let [back, front] = ours.panels();
    let lines = ours.panels().map(|panel| nominal_waist(&ours, panel));
    // They let the back lose 5.3 at the side and the front 5.0. Ours are one curve, so that they can be sewn together
    // without easing, and each loses the mean, 5.15.
    let unequal = (5.3 - 5.0) / 2.0;
    agree(
        "WikiEducator, skirt block",
        &[
            ("back width", back.width, 26.0, PRINTED),
            ("front width", front.width, 24.5, PRINTED),
            ("both waist lines", lines[0] + lines[1], 20.7 + 19.5, PRINTED),
            ("waist line of the back", lines[0], 20.7 + unequal, PRINTED),
            ("waist line of the front", lines[1], 19.5 - unequal, PRINTED),
            ("closed waist", ours.sewn_waist(), 72.4, EXACT),
            // The upper end of the published spread of the side's share, 0.50 to 0.72.
            ("side share", ours.nominal.side / ours.nominal.total, 0.72, PRINTED),
            // So much at the side makes it lean by 22°, and square to it the waist must rise more than their round 1.0;
            // it stays inside the published spread of the rise, 1.0 to 2.0.
            ("side raised over the back", back.waist_lowering, 1.0, 0.8),
            ("side raised over the front", front.waist_lowering, 1.0, 0.7),
        ],
    );
    assert!(ours.findings().iter().any(|finding| finding.code == "side_seam_steep"));
    // Common practice says so of such methods: measured on the straight line, a finished waist is up to 1 cm wrong.
    let wrong = 2.0 * (ours.suppression.total - ours.nominal.total);
    assert!((0.5..=1.0).contains(&wrong), "{wrong} cm all around");
}

/// Source: W. Aldrich, Metric Pattern Cutting: half = H/2 + 1.5, back waist W/4 + 4.25 with two
/// darts at its thirds, side raised 1.25. The body is that of the drafts above with a hip depth of 20.
#[test]
fn metric_block() {
    let ours = drafted([WAIST, HIP, 20.0], [0.0, 3.0], &Rules::default());
    let [back, front] = ours.panels();
    assert_eq!(back.darts.len(), 2);
    agree(
        "W. Aldrich, Metric Pattern Cutting",
        &[
            ("half at the hip", back.width + front.width, HIP / 2.0 + 1.5, PRINTED),
            ("first dart", back.darts[0].centre, back.waist_width / 3.0, EXACT),
            ("second dart", back.darts[1].centre, back.waist_width * 2.0 / 3.0, EXACT),
            // Theirs holds for every figure and includes the ease; ours is 0.3 of the 14.5 that this one asks for.
            ("back waist over its quarter, for darts", ours.nominal.back, 4.25, 0.1 + PRINTED),
            // One height for both panels there. Here the stretch between the two back darts is nearly level in all, so
            // that the back rises less; the front is theirs.
            ("side raised over the front", front.waist_lowering, 1.25, 0.05),
            ("side raised, mean", f64::midpoint(front.waist_lowering, back.waist_lowering), 1.25, 0.25),
        ],
    );
}

/// Source: The Perfect Dressmaking System (1914): W 25 in and H 40 in in five equal gores, 5 and 8 in a gore, each side
/// edge ½ in higher. A hip depth of 8 in is ours.
#[test]
fn five_gores() {
    let ours = in_inches([25.0, 40.0, 8.0, 39.0], [0.0; 2]);
    let a_gore = 8.0 - 5.0;
    agree(
        "The Perfect Dressmaking System",
        &[
            ("taken in, half of five gores", ours.nominal.total, 2.5 * a_gore, EXACT),
            ("waist of five gores", ours.girths.waist, 5.0 * 5.0, EXACT),
            ("hip of five gores", ours.girths.hip, 5.0 * 8.0, EXACT),
            // A gore has two sloping edges and no dart, and its ½ in is a round value; ours rises from the centre past
            // the darts to one such edge, 0.42 in the front and 0.34 in the back.
            ("side edge higher, front", ours.front.waist_lowering, 0.5, 0.1),
            ("side edge higher, back", ours.back.waist_lowering, 0.5, 0.2),
        ],
    );
}

/// What falls out over figures like those of size tables, beside the spread over the published methods.
#[test]
fn spread_over_figures() {
    // Waists, ease, and the spread found: centre front and centre back lowered.
    let found = [
        (64..=76, [0.0, 0.0], [1.01, 1.59], [0.58, 0.93]),
        (64..=76, [1.5, 5.0], [0.87, 1.59], [0.68, 1.06]),
        (64..=100, [0.0, 0.0], [1.01, 2.06], [0.58, 1.25]),
        (64..=100, [1.5, 5.0], [0.87, 2.06], [0.68, 1.40]),
    ];
    for (waists, ease, front, back) in found {
        let drafts = figures(waists.clone(), ease);
        let lowered = |panel: fn(&Draft) -> &Panel| drafts.iter().map(move |draft| panel(draft).waist_lowering);
        for (panel, found) in [(lowered(|draft| &draft.front), front), (lowered(|draft| &draft.back), back)] {
            let (min, max) = (panel.clone().fold(f64::MAX, f64::min), panel.fold(f64::MIN, f64::max));
            agree("spread", &[("minimum", min, found[0], PRINTED), ("maximum", max, found[1], PRINTED)]);
        }
        // Printed constants (centres lowered 1.0 to 1.5, sides raised 1.0 to 2.0) do not grow with the figure. Ours grow
        // with its width, so it is their mean over the figures that lies among the printed ones.
        let mean = lowered(|draft| &draft.front).sum::<f64>() / lowered(|draft| &draft.front).count() as f64;
        assert!((1.0..=1.5).contains(&mean), "{waists:?} {ease:?}: centre front lowered by {mean} in the mean");
        drafts.iter().for_each(ordinary_shares_and_darts);
    }
}

fn ordinary_shares_and_darts(draft: &Draft) {
    // Side share in print: 0.50 to 0.72. Nothing overflows on ordinary figures, so it is our default.
    agree("spread", &[("side share", draft.suppression.side / draft.suppression.total, 0.5, EXACT)]);
    // Lengths in print are 11 to 14 back and 8 to 12 front; 0.68 of a hip depth of 21 is a little more.
    for (panel, lengths) in draft.panels().into_iter().zip([11.0..=0.68 * 21.0, 8.0..=12.0]) {
        assert!(panel.darts.iter().all(|dart| lengths.contains(&dart.length)), "{:?}", panel.darts);
        // A single dart in print takes 1.6 to 4.2. Ours are in two from 3 on, hence the lower end of half of that, and
        // closing the waist makes a nominal 3 up to 3.08.
        assert!(panel.darts.iter().all(|dart| (1.5..=3.08).contains(&dart.intake)), "{:?}", panel.darts);
    }
}

/// Figures with these waists, hips 26, 28 and 30 larger, and hip depths of 18, 19.5 and 21, drafted by default.
fn figures(waists: RangeInclusive<u32>, ease: [f64; 2]) -> Vec<Draft> {
    let waists = waists.step_by(4).map(f64::from);
    let hips = waists.flat_map(|waist| [26.0, 28.0, 30.0].map(|more| [waist, waist + more]));
    let bodies = hips.flat_map(|[waist, hip]| [18.0, 19.5, 21.0].map(|depth| [waist, hip, depth]));
    bodies.map(|body| drafted(body, ease, &Rules::default())).collect()
}

/// Arithmetic of a cone (Gauss–Bonnet): a dart of 3 × 12 opens by 14.2500°, with legs of 12.0934; sewn, it is a cone with
/// half the apex angle asin(1 − angle/2π) = 73.825°. Its mouth needs a peak of about leg − length.
#[test]
fn dart_as_a_cone() {
    let dart = drafted([WAIST, HIP, 20.0], [0.0; 2], &by_darts(1.0, [3.0, 12.0], [2.0, 9.0])).back.darts[0];
    let (inner, outer) = (dart.inner - dart.tip, dart.outer - dart.tip);
    let angle = (inner.dot(&outer) / (inner.norm() * outer.norm())).acos();
    agree(
        "a dart of 3 × 12",
        &[
            ("angle", angle.to_degrees(), 14.25, 5e-5),
            ("twice the half angle", 2.0 * dart.half_angle_rad, angle, EXACT),
            ("inner leg", inner.norm(), 12.0934, 5e-5),
            ("outer leg", outer.norm(), dart.leg, EXACT),
            ("half apex", (1.0 - angle / TAU).asin().to_degrees(), 73.825, 5e-4),
            ("peak over the mouth", inner.norm() - dart.length, 0.0934, 5e-5),
        ],
    );
}

/// Source: Grading, The Practical Designer, lesson 120: from one size to the next the waist grows from 25 to 26 in and the
/// half by ½ in, shared ¼ + ¼. Hip and hip depth are ours.
#[test]
fn grading_by_one_size() {
    let [small, large] = [[25.0, 35.0, 8.0, 24.0], [26.0, 36.0, 8.0, 24.0]].map(|body| in_inches(body, [0.5, 2.0]));
    let [back, front] = [large.back.width - small.back.width, large.front.width - small.front.width];
    let [small_waist, large_waist] = [&small, &large].map(|size| size.back.seams.waist + size.front.seams.waist);
    agree(
        "The Practical Designer, lesson 120",
        &[
            ("back", back, 0.25, EXACT),
            ("front", front, 0.25, EXACT),
            ("half at the waist", large_waist - small_waist, 0.5, EXACT),
            ("taken in", large.nominal.total, small.nominal.total, EXACT),
            // As drafted a wider panel has a little more curve to take in.
            ("taken in, drafted", large.suppression.total, small.suppression.total, 0.005),
        ],
    );
}

/// Common practice: the hip is 10 in larger than the waist and lies 8 to 9 in below it. Such a figure has two darts in the
/// back, a side that leans by less than 20°, and nothing to be cautioned about but ease and hem.
/// Source of the ease: Central Washington University, costume text, chapter 16: waist ½–¾ in, hip 2–2¾ in.
#[test]
fn common_practice() {
    // Ease, darts in the front (two for 1.2 in, over the 3 cm of our largest dart), and whether it has cautions.
    for (ease, front_darts, little) in [([0.5, 2.0], 1, false), ([0.75, 2.75], 2, false), ([0.25, 1.0], 1, true)] {
        for (waist, depth) in (24..=36).flat_map(|waist| [8.0, 8.5, 9.0].map(|depth| (f64::from(waist), depth))) {
            let ours = in_inches([waist, waist + 10.0, depth, 24.0], ease);
            let mut found: Vec<&str> = ours.findings.iter().map(|finding| &*finding.code).collect();
            found.retain(|code| *code != "narrow_hem");
            let expected: &[&str] = if little { &["little_waist_ease", "little_hip_ease"] } else { &[] };
            assert_eq!(found, expected, "waist {waist}, ease {ease:?}");
            assert_eq!((ours.back.darts.len(), ours.front.darts.len()), (2, front_darts), "waist {waist}");
            let lean = (0.75 * ours.suppression.side / depth).atan().to_degrees();
            assert!((10.0..20.0).contains(&lean), "waist {waist}: {lean}°");
            let intakes = [&ours.back, &ours.front].map(|panel| panel.darts[0].intake * 2.54);
            assert!(intakes.iter().all(|intake| (1.5..=3.08).contains(intake)), "waist {waist}: {intakes:?} cm");
        }
    }
}
