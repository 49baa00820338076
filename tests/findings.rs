//! Findings about darts, provoked in back and in front: each has the number and the limit of its own panel.

use crate::counts::rules_with_counts;
use crate::wrong::{BODY, EASE};
use kirtle::{Apportionment, Body, DartCount, DartPosition, Darts, GivenDart, Half, Rules, Shares};

#[test]
fn a_finding_about_a_dart_has_the_numbers_of_its_own_panel() {
    let place = DartPosition::Share(0.5);
    let long = GivenDart { intake: 2.0, length: 16.0, place };
    let blunt = GivenDart { intake: 4.0, length: 8.0, place };
    let given = |back, front| Rules {
        apportionment: Apportionment::Darts(Darts { back: vec![back], front: vec![front] }),
        ..Rules::default()
    };
    let (auto, one, three) = (DartCount::Auto, DartCount::Exactly(1), DartCount::Exactly(3));
    let straight = Body { waist: 89.0, hip: 92.0, ..BODY };
    let table = [
        (BODY, given(long, blunt), &[("tip_near_hip", Half::Back), ("blunt_dart", Half::Front)][..]),
        (BODY, given(blunt, long), &[("blunt_dart", Half::Back), ("tip_near_hip", Half::Front)]),
        (straight, rules_with_counts([three, auto]), &[("small_dart", Half::Back)]),
        (straight, rules_with_counts([auto, one]), &[("small_dart", Half::Front)]),
    ];
    for (body, rules, expected) in table {
        let draft = kirtle::draft(&body, &EASE, &rules).unwrap();
        let mut findings = draft.findings();
        findings.retain(|finding| finding.panel != "both");
        let found: Vec<_> = findings.iter().map(|finding| (&*finding.code, &*finding.panel)).collect();
        assert_eq!(found, expected.iter().map(|(code, half)| (*code, half.name())).collect::<Vec<_>>());
        for (finding, (code, half)) in findings.iter().zip(expected) {
            let dart = &draft.panels()[usize::from(*half == Half::Front)].darts[0];
            let (measured, limit) = match *code {
                "tip_near_hip" => (body.hip_depth - dart.tip.y, 2.54),
                "blunt_dart" => (dart.half_angle_rad.to_degrees(), 12.0),
                _ => (dart.intake, Shares::default().smallest_dart),
            };
            assert!((finding.measured - measured).abs() < 1e-9 && finding.limit.to_bits() == limit.to_bits());
        }
    }
}
