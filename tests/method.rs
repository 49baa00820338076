//! The page on the method: its numbers, its formulas by hand, and its figures are those of the code.
//!
//! `KIRTLE_WRITE=1 cargo test --features python --test all method::` writes the figures; look at them before committing.

use std::fs;

use crate::committed::assert_committed;
use crate::figures;
use crate::hand::{SKIRT, Skirt};
use kirtle::document::Request;
use kirtle::{Apportionment, Cutting, DartCount, Draft, Figure, Role, Shares, draft_figure};

fn evening_class_draft() -> Draft {
    let request = fs::read_to_string("tests/requests/evening-class.json").unwrap();
    Request::from_json(&request).unwrap().draft().unwrap()
}

/// Drafts the same body with the figure of step 12.
fn draft_of_figure() -> Draft {
    let plain = evening_class_draft();
    let [front_length, side_length, back_length, front_hip, front_waist] = [101.5, 101.0, 99.5, 53.0, 40.0].map(Some);
    let figure = Figure { front_length, side_length, back_length, front_hip, front_waist, ..Figure::default() };
    draft_figure(plain.body(), &figure, plain.ease(), plain.rules()).unwrap()
}

/// Drafts the same body with the slanted centre back of step 13.
fn draft_of_slanted_centre() -> Draft {
    let plain = evening_class_draft();
    let mut rules = plain.rules().clone();
    rules.panel_rules.centre_back_in = 1.0;
    let shares = Shares { front_darts: DartCount::Exactly(2), ..Shares::default() };
    rules.apportionment = Apportionment::Shares(shares);
    kirtle::draft(plain.body(), plain.ease(), &rules).unwrap()
}

/// Asserts that `src/method.md` contains each of the texts, with any white space between words.
#[track_caller]
fn assert_on_page(texts: &[String]) {
    let page = fs::read_to_string("src/method.md").unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    let missing: Vec<&String> = texts.iter().filter(|text| !page.contains(*text)).collect();
    assert!(missing.is_empty(), "the page does not say {missing:#?}");
}

/// Asserts that the numbers of the draft equal those by hand; a row has a name and both numbers.
#[track_caller]
fn assert_equal_by_hand(rows: &[(&str, f64, f64)]) {
    for (what, drafted, by_hand) in rows {
        assert!((drafted - by_hand).abs() < 1e-9, "{what}: drafted {drafted}, by hand {by_hand}");
    }
}

#[test]
fn the_formulas_of_the_page_give_the_draft() {
    let draft = evening_class_draft();
    let suppression = SKIRT.closed_suppression();
    assert_equal_by_hand(&[
        ("nominal suppression", draft.nominal.total, SKIRT.nominal()),
        ("suppression", draft.suppression.total, suppression),
        ("sewn waist", draft.sewn_waist(), 2.0 * SKIRT.half_waist()),
    ]);
    for (which, panel) in draft.panels().into_iter().enumerate() {
        let hand = SKIRT.panel(which, suppression);
        assert_equal_by_hand(&[
            ("width", panel.width, hand.width),
            ("waist", panel.waist_width, hand.waist),
            ("lowering", panel.waist_lowering, hand.lowering()),
            ("waist seam", panel.edge_length(Role::Waist), hand.waist_length()),
        ]);
        for (dart, hand) in panel.darts.iter().zip(hand.darts) {
            assert_equal_by_hand(&[
                ("centre", dart.centre, hand.centre),
                ("intake", dart.intake, hand.intake),
                ("leg", dart.leg, hand.leg()),
            ]);
            assert_equal_by_hand(&[
                ("length", dart.length, hand.length),
                ("angle", dart.half_angle_rad, hand.half_angle()),
            ]);
        }
        for (path, curve) in panel.paths(Role::Waist).zip(&hand.stretches) {
            let points = [curve.p0, curve.p1, curve.p2, curve.p3];
            for (drafted, by_hand) in path.points().iter().zip(points) {
                assert_equal_by_hand(&[("x", drafted.x, by_hand.x), ("y", drafted.y, by_hand.y)]);
            }
        }
        let seam = panel.paths(Role::Side).next().unwrap();
        for k in 0..=20 {
            let at = seam.point_at(f64::from(k) / 20.0);
            assert_equal_by_hand(&[("side seam", panel.width - at.x, SKIRT.side_inset(hand.loss, at.y))]);
        }
    }
    for level in 0..=20 {
        let level = f64::from(level);
        assert_equal_by_hand(&[("girth", draft.girth_at(level).unwrap(), SKIRT.girth(level))]);
    }
}

#[test]
fn the_page_has_the_numbers_of_the_draft() {
    let draft = evening_class_draft();
    let (nominal, taken) = (draft.nominal, draft.suppression);
    let [back, front] = draft.panels();
    let loss = taken.side / 2.0;
    let inside = SKIRT.side_inset(loss, 10.0);
    let lean = draft.side_lean_tangent().atan().to_degrees();
    assert_on_page(&[
        format!("(101 + 5) / 2 = {:.2}", SKIRT.half_hip()),
        format!("(74 + 1.5) / 2 = {:.2}", SKIRT.half_waist()),
        format!("half hip − half waist = {:.2} nominal", nominal.total),
        format!("53.00 / 2 − 1 = {:.2}", back.width),
        format!("53.00 / 2 + 1 = {:.2}", front.width),
        format!("0.5 × 15.25 = {:.3} each of the two edges {:.2}", nominal.side, nominal.side / 2.0),
        format!("0.3 × 15.25 = {:.3}", nominal.back),
        format!("0.2 × 15.25 = {:.3}", nominal.front),
        format!("Here the sides could take {:.2} before", SKIRT.side_at_lean(20.0)),
        format!("each edge, as closed = {loss:.2}"),
        format!("atan(1.5 × {loss:.2} / 20.5) = {lean:.1}°"),
        format!("inside of the hip by = {inside:.2}"),
        format!("25.50 − {loss:.2} = {:.2} 27.50 − {loss:.2} = {:.2}", back.waist_width, front.waist_width),
    ]);
    for panel in [back, front] {
        for dart in &panel.darts {
            let angle = dart.half_angle_rad.to_degrees();
            // A half is rounded up, as on the page.
            let length = (dart.length * 100.0).round() / 100.0;
            let row = format!("{:.2} {:.2} {length:.2} {angle:.2}° {:.2}", dart.centre, dart.intake, dart.leg);
            assert_on_page(&[format!("{} {row}", panel.half.name())]);
        }
        let joined = |number: fn(&kirtle::Path) -> f64| {
            panel.paths(Role::Waist).map(number).map(|number| format!("{number:.2}")).collect::<Vec<_>>().join(" + ")
        };
        let (rises, lengths) = (joined(|path| path.start().y - path.end().y), joined(kirtle::Path::length));
        assert_on_page(&[
            format!("{rises} = {:.2}", panel.waist_lowering),
            format!("{} {lengths} = {:.2}", panel.half.name(), panel.edge_length(Role::Waist)),
        ]);
    }
}

#[test]
fn the_page_has_the_numbers_of_closing_and_measuring_the_waist() {
    let draft = evening_class_draft();
    let iterations = SKIRT.closing_iterations();
    let rows: Vec<String> =
        iterations.iter().take(4).map(|[suppression, residual]| format!("{suppression:.6} {residual:.6}")).collect();
    assert_on_page(&[rows.join(" ")]);
    let (taken, sewn) = (draft.suppression, draft.sewn_waist());
    let girths: Vec<String> =
        [0.0, 5.0, 10.0, 15.0].map(|level| format!("{:.1}", draft.girth_at(level).unwrap())).to_vec();
    let clear = draft.proof().checks.into_iter().filter(|check| check.name == "dart_tips_clear");
    let clear: Vec<String> = clear.map(|check| format!("{:.2}", check.measured)).collect();
    let pattern = draft.pattern(&Cutting::default()).unwrap();
    let peak = |piece: &kirtle::Piece| {
        let roof = piece.cut.iter().find(|edge| edge.role == Role::Dart).unwrap();
        piece.panel.darts[0].inner.y - roof.path.end().y
    };
    let peaks = pattern.pieces().map(peak);
    for (which, peak) in peaks.into_iter().enumerate() {
        assert_equal_by_hand(&[("roof", peak, SKIRT.panel(which, SKIRT.closed_suppression()).roof(1.0))]);
    }
    assert_on_page(&[
        format!(
            "by {:.3} on half the garment, so that the skirt would be {:.0} mm too large",
            iterations[0][1],
            iterations[0][1] * 20.0
        ),
        format!(
            "suppression {:.2} of which side {:.2}, back {:.2}, front {:.2}",
            taken.total, taken.side, taken.back, taken.front
        ),
        format!(
            "{:.2} + {:.2} = {:.2}, twice that is {sewn:.1}",
            draft.back.edge_length(Role::Waist),
            draft.front.edge_length(Role::Waist),
            sewn / 2.0
        ),
        format!("would measure {:.2}", 2.0 * SKIRT.flat_half_width(0.0)),
        format!("girth {} {:.0}", girths.join(" "), draft.girth_at(20.5).unwrap()),
        format!("peaks {:.2} above its mouth, that over the first front dart {:.2}", peaks[0], peaks[1]),
        format!("{:.2} both", draft.back.edge_length(Role::Side)),
        format!("{} clear", clear.join(", ")),
    ]);
}

#[test]
fn the_page_has_the_derivatives_of_the_draft() {
    let draft = evening_class_draft();
    let sensitivity = draft.sensitivity(&[]).unwrap();
    let signed = |value: f64| format!("{}{:.3}", if value < 0.0 { '−' } else { '+' }, value.abs());
    for (name, input, change) in [
        ("waist", "body.waist", (|skirt, by| Skirt { waist: skirt.waist + by, ..skirt }) as fn(Skirt, f64) -> Skirt),
        ("hip", "body.hip", |skirt, by| Skirt { hip: skirt.hip + by, ..skirt }),
        ("hip depth", "body.hip_depth", |skirt, by| Skirt { depth: skirt.depth + by, ..skirt }),
    ] {
        let [more, less] = [0.01, -0.01].map(|by| change(SKIRT, by));
        let front = |skirt: Skirt| skirt.panel(1, skirt.closed_suppression()).lowering();
        let dart = |skirt: Skirt| skirt.panel(0, skirt.closed_suppression()).darts[0].intake;
        let by_hand = [Skirt::closed_suppression, dart, front].map(|number| (number(more) - number(less)) / 0.02);
        let exact = ["suppression.total", "back.darts[0].intake", "front.waist_lowering"]
            .map(|quantity| sensitivity.derivative(quantity, input).unwrap());
        assert!(
            exact.iter().zip(by_hand).all(|(exact, by_hand)| (exact - by_hand).abs() < 1e-6),
            "{name}: {exact:?} {by_hand:?}"
        );
        assert_on_page(&[format!("| {name} | {} |", exact.map(signed).join(" | "))]);
    }
}

#[test]
fn the_page_has_the_numbers_of_the_figure() {
    let [plain, draft] = [evening_class_draft(), draft_of_figure()];
    let (taken, front_waist) = (draft.suppression, draft.front.edge_length(Role::Waist));
    let share = taken.front / taken.total;
    let [depths, plain_depths] = [&draft, &plain].map(|draft| draft.panels().map(|panel| panel.waist_lowering));
    let sensitivity = draft.sensitivity(&["body.figure.front_waist"]).unwrap();
    let by_front =
        |dart: &str| sensitivity.derivative(&format!("{dart}.darts[0].intake"), "body.figure.front_waist").unwrap();
    let skirt = Skirt { depths: depths.map(Some), balance: draft.front.width - 26.5, ..SKIRT }
        .with_half_front_waist(front_waist);
    let by_hand = skirt.panel(1, skirt.closed_suppression());
    assert_equal_by_hand(&[
        ("suppression", taken.total, skirt.closed_suppression()),
        ("front dart", draft.front.darts[0].intake, by_hand.darts[0].intake),
        ("centre of the front dart", draft.front.darts[0].centre, by_hand.darts[0].centre),
    ]);
    let signed = |depth: f64| format!("{depth:.2}").replace('-', "−");
    assert_on_page(&[
        format!("101 − 101.5 = {} instead of {:.2}", signed(depths[1]), plain_depths[1]),
        format!("101 − 99.5 = {} instead of {:.2}", signed(depths[0]), plain_depths[0]),
        format!("53 × 106 / 101 / 2 = {:.2} instead of {:.2}", draft.front.width, plain.front.width),
        format!("40 × 75.5 / 74 / 2 = {front_waist:.2}"),
        format!(
            "suppression {:.2} of which side {:.2}, back {:.2}, front {:.2} q = {share:.3}",
            taken.total, taken.side, taken.back, taken.front
        ),
        format!(
            "makes each front dart {:.3} narrower and each back dart {:.3} wider",
            -by_front("front"),
            by_front("back")
        ),
    ]);
}

#[test]
fn the_page_has_the_numbers_of_the_slanted_centre() {
    let draft = draft_of_slanted_centre();
    let (nominal, taken, start) = (draft.nominal, draft.suppression, draft.back.edges[0].path.start());
    let skirt = Skirt { centre_back_in: 1.0, ..SKIRT };
    let by_hand = skirt.panel(0, skirt.closed_suppression());
    assert_equal_by_hand(&[
        ("suppression", taken.total, skirt.closed_suppression()),
        ("lowering", start.y, by_hand.lowering()),
        ("start of the waist", start.x, by_hand.stretches[0].p0.x),
    ]);
    let rises: Vec<String> =
        draft.back.paths(Role::Waist).map(|path| format!("{:.2}", path.start().y - path.end().y)).collect();
    let sensitivity = draft.sensitivity(&["rules.centre_back_in"]).unwrap();
    let by_inset = |quantity: &str| sensitivity.derivative(quantity, "rules.centre_back_in").unwrap();
    assert_on_page(&[
        format!("0.5 × (15.25 − 1.00) = {:.3}", nominal.side),
        format!("0.3 × (15.25 − 1.00) = {:.3}", nominal.back),
        format!("0.2 × (15.25 − 1.00) = {:.3}", nominal.front),
        format!("atan(1 / 20.5) = {:.2}°", (1.0_f64 / 20.5).atan().to_degrees()),
        format!("{} = {:.2} instead of {:.2}", rises.join(" + "), start.y, evening_class_draft().back.waist_lowering),
        format!("1 × (1 − {:.2} / 20.5) = {:.2}", start.y, start.x),
        format!(
            "suppression {:.2} of which centre 1.00, side {:.2}, back {:.2}, front {:.2}",
            taken.total, taken.side, taken.back, taken.front
        ),
        format!(
            "makes the side take in {:.3} less and each back dart {:.3} less",
            -by_inset("suppression.side"),
            -by_inset("back.darts[0].intake")
        ),
    ]);
}

#[test]
fn every_figure_is_the_committed_file_and_on_the_page() {
    let draft = evening_class_draft();
    let pattern = draft.pattern(&Cutting::default()).unwrap();
    for (name, svg) in figures::all_figures(&draft, [&draft_of_figure(), &draft_of_slanted_centre()], &pattern.back) {
        assert_committed(&format!("tests/golden/method-{name}.svg"), &svg);
        assert_on_page(&[format!("src=\"../tests/golden/method-{name}.svg\"")]);
    }
}
