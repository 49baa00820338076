//! The page on the method: its numbers are the engine's, its formulas give the same by hand, its figures are Kirtle's drawings.
//!
//! `KIRTLE_WRITE=1 cargo test --test method` draws the figures anew; look at them before committing.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod figures;
mod hand;

use std::fs;
use std::path::Path;

use hand::Skirt;
use kirtle::document::Request;
use kirtle::{Cutting, Draft, Role};

const SKIRT: Skirt = Skirt { waist: 74.0, hip: 101.0, depth: 20.5, ease: [1.5, 5.0] };

fn drafted() -> Draft {
    let request = fs::read_to_string("tests/requests/evening-class.json").unwrap();
    Request::from_json(&request).unwrap().draft().unwrap()
}

/// Whether the page has each of these, whatever the spaces between.
#[track_caller]
fn says(lines: &[String]) {
    let page = fs::read_to_string("src/method.md").unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    let missing: Vec<&String> = lines.iter().filter(|line| !page.contains(*line)).collect();
    assert!(missing.is_empty(), "the page does not say {missing:#?}");
}

#[track_caller]
fn agree(rows: &[(&str, f64, f64)]) {
    for (what, engine, hand) in rows {
        assert!((engine - hand).abs() < 1e-9, "{what}: {engine}, by hand {hand}");
    }
}

#[test]
fn the_formulas_give_the_draft() {
    let draft = drafted();
    let closed = SKIRT.closed();
    agree(&[
        ("nominal suppression", draft.nominal.total, SKIRT.nominal()),
        ("suppression", draft.suppression.total, closed),
        ("sewn waist", draft.sewn_waist(), 2.0 * SKIRT.half_waist()),
    ]);
    for (which, panel) in draft.panels().into_iter().enumerate() {
        let hand = SKIRT.panel(which, closed);
        agree(&[
            ("width", panel.width, hand.width),
            ("waist", panel.waist_width, hand.waist),
            ("lowering", panel.waist_lowering, hand.lowering()),
            ("waist seam", panel.length(Role::Waist), hand.along()),
        ]);
        for (dart, hand) in panel.darts.iter().zip(hand.darts) {
            agree(&[
                ("centre", dart.centre, hand.centre),
                ("intake", dart.intake, hand.intake),
                ("leg", dart.leg, hand.leg()),
            ]);
            agree(&[("length", dart.length, hand.length), ("angle", dart.half_angle_rad, hand.half_angle())]);
        }
        for (path, curve) in panel.paths(Role::Waist).zip(&hand.stretches) {
            let points = [curve.p0, curve.p1, curve.p2, curve.p3];
            for (ours, by_hand) in path.points().iter().zip(points) {
                agree(&[("x", ours.x, by_hand.x), ("y", ours.y, by_hand.y)]);
            }
        }
        let seam = panel.paths(Role::Side).next().unwrap();
        for k in 0..=20 {
            let at = seam.at(f64::from(k) / 20.0);
            agree(&[("side seam", panel.width - at.x, SKIRT.inside(hand.loss, at.y))]);
        }
    }
    for level in 0..=20 {
        let level = f64::from(level);
        agree(&[("girth", draft.girth_at(level).unwrap(), SKIRT.girth(level))]);
    }
}

#[test]
fn the_page_says_what_is_drafted() {
    let draft = drafted();
    let (nominal, taken) = (draft.nominal, draft.suppression);
    let [back, front] = draft.panels();
    let loss = taken.side / 2.0;
    let inside = SKIRT.inside(loss, 10.0);
    let lean = draft.side_lean().atan().to_degrees();
    says(&[
        format!("(101 + 5) / 2 = {:.2}", SKIRT.half_hip()),
        format!("(74 + 1.5) / 2 = {:.2}", SKIRT.half_waist()),
        format!("the one less the other = {:.2} nominal", nominal.total),
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
            // Half of the last digit is rounded up, as by hand.
            let length = (dart.length * 100.0).round() / 100.0;
            let row = format!("{:.2} {:.2} {length:.2} {angle:.2}° {:.2}", dart.centre, dart.intake, dart.leg);
            says(&[format!("{} {row}", panel.half.name())]);
        }
        let each = |of: fn(&kirtle::Path) -> f64| {
            panel.paths(Role::Waist).map(of).map(|one| format!("{one:.2}")).collect::<Vec<_>>().join(" + ")
        };
        let (rises, lengths) = (each(|path| path.start().y - path.end().y), each(kirtle::Path::length));
        says(&[
            format!("{rises} = {:.2}", panel.waist_lowering),
            format!("{} {lengths} = {:.2}", panel.half.name(), panel.length(Role::Waist)),
        ]);
    }
}

#[test]
fn the_page_says_how_it_is_closed_and_measured() {
    let draft = drafted();
    let steps = SKIRT.closing();
    let told: Vec<String> =
        steps.iter().take(4).map(|[suppression, gap]| format!("{suppression:.6} {gap:.6}")).collect();
    says(&[told.join(" ")]);
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
        agree(&[("roof", peak, SKIRT.panel(which, SKIRT.closed()).roof(1.0))]);
    }
    says(&[
        format!(
            "by {:.3} on half the garment, so that the skirt would be {:.0} mm too large",
            steps[0][1],
            steps[0][1] * 20.0
        ),
        format!(
            "suppression {:.2} of which side {:.2}, back {:.2}, front {:.2}",
            taken.total, taken.side, taken.back, taken.front
        ),
        format!(
            "{:.2} + {:.2} = {:.2}, twice that is {sewn:.1}",
            draft.back.length(Role::Waist),
            draft.front.length(Role::Waist),
            sewn / 2.0
        ),
        format!("would measure {:.2}", 2.0 * SKIRT.across(0.0)),
        format!("girth {} {:.0}", girths.join(" "), draft.girth_at(20.5).unwrap()),
        format!("peaks {:.2} above its mouth, that over the first front dart {:.2}", peaks[0], peaks[1]),
        format!("{:.2} both", draft.back.length(Role::Side)),
        format!("{} clear", clear.join(", ")),
    ]);
}

#[test]
fn the_page_says_how_much_a_change_changes() {
    let draft = drafted();
    let sensitivity = draft.sensitivity(&[]).unwrap();
    let signed = |value: f64| format!("{}{:.3}", if value < 0.0 { '−' } else { '+' }, value.abs());
    for (name, input, of) in [
        ("waist", "body.waist", (|skirt, by| Skirt { waist: skirt.waist + by, ..skirt }) as fn(Skirt, f64) -> Skirt),
        ("hip", "body.hip", |skirt, by| Skirt { hip: skirt.hip + by, ..skirt }),
        ("hip depth", "body.hip_depth", |skirt, by| Skirt { depth: skirt.depth + by, ..skirt }),
    ] {
        let [more, less] = [0.01, -0.01].map(|by| of(SKIRT, by));
        let front = |skirt: Skirt| skirt.panel(1, skirt.closed()).lowering();
        let dart = |skirt: Skirt| skirt.panel(0, skirt.closed()).darts[0].intake;
        let by_hand = [Skirt::closed, dart, front].map(|number| (number(more) - number(less)) / 0.02);
        let exact = ["suppression.total", "back.darts[0].intake", "front.waist_lowering"]
            .map(|quantity| sensitivity.derivative(quantity, input).unwrap());
        assert!(
            exact.iter().zip(by_hand).all(|(exact, by_hand)| (exact - by_hand).abs() < 1e-6),
            "{name}: {exact:?} {by_hand:?}"
        );
        says(&[format!("| {name} | {} |", exact.map(signed).join(" | "))]);
    }
}

/// Every figure is drawn anew, is the committed one, and stands on the page.
#[test]
fn the_figures_are_drawn() {
    let draft = drafted();
    let pattern = draft.pattern(&Cutting::default()).unwrap();
    for (name, made) in figures::all(&draft, &pattern.back) {
        let path = Path::new("tests/golden").join(format!("method-{name}.svg"));
        if std::env::var_os("KIRTLE_WRITE").is_some() {
            fs::write(&path, &made).unwrap();
        }
        assert!(
            fs::read_to_string(&path).unwrap_or_default() == made,
            "{name} changed: run with KIRTLE_WRITE=1 and look at it"
        );
        says(&[format!("src=\"../tests/golden/method-{name}.svg\"")]);
    }
}
