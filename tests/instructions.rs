//! Texts of alterations on paper: the numbered steps, what is left out, and the two verdicts.

use crate::bodies::chart::{EASE, assert_near, demo_range, size};
use kirtle::sizes::{Alteration, AlterationLimits, StepKind};
use kirtle::{Body, Ease, Ruler, Rules, SizeChart, Texts, Unit};

/// Limits with which no step is left out.
const EVERY_STEP: Option<AlterationLimits> = Some(AlterationLimits { tolerance_mm: 3.0, min_step_mm: 0.0 });

/// Sizes are printed with their hip lines on each other: of two equal lengths, the one with the deeper hip line ends
/// higher.
#[test]
fn the_hem_instruction_starts_from_the_printed_hem_of_the_size() {
    let chart = SizeChart::new(vec![size("A", [64.0, 90.0], 18.0), size("B", [72.0, 98.0], 20.0)]).unwrap();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let altered = range.alter(&Body { waist: 68.0, hip: 94.0, hip_depth: 19.0, length: 60.0 }, None).unwrap();
    let hem = altered.instructions(Unit::Cm).pop().unwrap();
    assert!(hem.starts_with("Hem: draw a line 1.0 cm below the hem of size B, 60.0 cm straight down"), "{hem}");
}

#[test]
fn two_verdicts_say_whether_it_sews_and_how_far_it_is_from_a_draft() {
    let range = demo_range();
    let body = range.chart().size("44").unwrap().body;
    let altered = |body: Body| range.alter(&body, None).unwrap();
    let same = altered(body);
    assert_eq!(same.difference_verdict(&Texts::default()), "The pattern equals the exact draft.");
    assert!(same.differences().is_empty() && same.sews() && same.is_within_tolerance());
    let blended = altered(Body { hip: body.hip + 4.0, ..body });
    assert!(blended.sews() && !blended.is_within_tolerance());
    assert_eq!(
        blended.sewing_verdict(&Texts::default()),
        "The pattern sews together: the sewn waist is as long as the wanted waist (0.0 mm), the side seam of the front is as \
         long as that of the back (0.0 mm)."
    );
    let differences = blended.differences();
    assert!(differences.windows(2).all(|pair| pair[0].mm >= pair[1].mm));
    assert_eq!((differences[0].place, differences[0].step), ("waist line", StepKind::Hip));
    assert_near(differences[0].mm, blended.cost.waist_gap_mm, 0.0);
    let verdict = blended.difference_verdict(&Texts::default());
    let waist =
        format!("The pattern is over 3 mm from the exact draft: waist line {:.1} mm (step 2)", differences[0].mm);
    assert!(verdict.starts_with(&waist), "{verdict}");
    // This body has nothing to take in, so that its draft cannot have the darts of the pattern.
    let straight = altered(Body { waist: 100.0, hip: 96.0, ..body });
    assert!(straight.differences().iter().all(|difference| difference.place != "waist line"));
    let verdict = straight.difference_verdict(&Texts::default());
    assert!(verdict.starts_with("The pattern is over 3 mm from the exact draft: the exact draft has 0 "), "{verdict}");
    // A hip line 2 cm lower costs little after its own step and that of the darts.
    let deeper = altered(Body { hip_depth: body.hip_depth + 2.0, ..body });
    let verdict = deeper.difference_verdict(&Texts::default());
    assert!(
        verdict.starts_with("The pattern is within 3 mm of the exact draft: ") && verdict.contains("(step 3)"),
        "{verdict}"
    );
    // The waist left out is 2 mm too small for the body: it still sews, unless the tolerance is narrower.
    let tight = Body { waist: body.waist + 0.2, ..body };
    assert!(
        altered(tight).sews()
            && altered(tight).sewing_verdict(&Texts::default()).contains("2.0 mm shorter than the wanted waist")
    );
    let strict =
        range.alter(&tight, Some(AlterationLimits { tolerance_mm: 1.0, ..AlterationLimits::default() })).unwrap();
    assert!(
        !strict.sews() && strict.sewing_verdict(&Texts::default()).starts_with("The pattern does not sew together: ")
    );
}

#[test]
fn small_steps_are_left_out_and_named() {
    let range = demo_range();
    let size = range.chart().size("44").unwrap().body;
    let body = Body { waist: size.waist + 0.3, hip: size.hip - 0.2, hip_depth: size.hip_depth + 0.3, length: 60.4 };
    let altered = range.alter(&body, None).unwrap();
    let left_out = [
        "the waist stays, though the body's is 0.3 cm larger than that of the nearest size",
        "the hip stays, though the body's is 0.2 cm smaller than that of the nearest size",
        "the hip line stays, though the body's is 0.3 cm lower than the printed one",
    ];
    assert_eq!(altered.left_out(Unit::Cm), left_out);
    let kinds = |altered: &Alteration| altered.steps_done().map(|step| step.kind).collect::<Vec<_>>();
    assert_eq!(kinds(&altered), [StepKind::Waist, StepKind::Hip, StepKind::Side, StepKind::Hem]);
    assert!(altered.steps_done().map(|step| step.number).eq((1..=4).map(Some)));
    // The pattern is that of the size, except for the hem; what is left out is part of the cost.
    assert_eq!(altered.back.darts, range.drafts()[6].back.darts);
    assert_near(altered.cost.sewn_waist_mm, -3.0, 1e-9);
    assert_near(altered.cost.hip_girth_mm, 2.0, 1e-9);
    let every = range.alter(&body, EVERY_STEP).unwrap();
    assert!(every.left_out(Unit::Cm).is_empty() && every.cost.sewn_waist_mm.abs() < 0.01 && kinds(&every).len() == 6);
    let coarse = Some(AlterationLimits { min_step_mm: 5.0, ..AlterationLimits::default() });
    let coarse = range.alter(&Body { hip_depth: size.hip_depth + 0.6, ..body }, coarse).unwrap();
    assert_eq!(
        coarse.left_out(Unit::Cm)[2..],
        [
            "the dart tips stay as printed; for this body they would be up to 0.4 cm lower",
            "the hem stays as printed; for this body it would be 0.4 cm lower"
        ]
    );
}

#[test]
fn instructions_describe_each_step() {
    let range = demo_range();
    let size = range.chart().size("44").unwrap().body;
    let instructions = |body: Body| range.alter(&body, EVERY_STEP).unwrap().instructions(Unit::Cm);
    let same = instructions(size);
    assert_eq!(same.len(), 4, "{same:?}");
    assert_eq!(
        same[0],
        "Waist, back and front alike: trace the waist line of size 44 from centre to side, and the darts."
    );
    assert_eq!(same[1], "Hip: mark the side seam of size 44 on the hip line.");
    assert_eq!(same[2], "Side: trace the side seam of size 44; if the hem lies lower, draw straight down.");
    assert_eq!(
        same[3],
        "Hem: trace the hem of size 44, 60.0 cm straight down from the waist at the side, level across the panel."
    );
    // A mark less than 1 % of the way between two sizes, a pencil line wide, is placed on the line of the size.
    assert_eq!(instructions(Body { waist: size.waist + 0.03, hip: size.hip + 0.03, ..size })[..2], same[..2]);
    assert_eq!(instructions(Body { waist: size.waist - 0.03, hip: size.hip - 0.03, ..size })[..2], same[..2]);
    let between =
        instructions(Body { waist: size.waist - 1.0, hip: size.hip + 0.06, hip_depth: size.hip_depth + 1.5, ..size });
    assert!(between[0].starts_with(
        "Waist, back and front alike: mark three quarters of the way from the line of size 42 to the line of size 44 at"
    ));
    assert!(between[0].ends_with("with a curve shaped like the waist lines of both sizes."), "{}", between[0]);
    assert_eq!(
        between[1],
        "Hip: on the hip line, mark 2 % of the way from the side seam of size 44 to the side seam of size 46."
    );
    let [hip_line, darts] = &between[2..4] else { unreachable!() };
    assert!(hip_line.starts_with("Hip line: measure 22.2 cm straight down from the waist at the side;"), "{hip_line}");
    let line = "new line. Draw the waist line higher by 0.1 cm at the centre back and centre front, to nothing at the side, as long as before.";
    assert!(hip_line.contains("below the printed hip line, and move the hip mark straight down to the "), "{hip_line}");
    assert!(hip_line.ends_with(line), "{hip_line}");
    assert_eq!(
        darts,
        "Darts: lengthen the back darts by 1.1 and 1.0 cm and the front dart by 0.8 cm, along their centre lines, as the hip line \
         moves. Optional: else the tips lie up to 1.1 cm higher than in the exact draft."
    );
    let higher = instructions(Body { hip_depth: size.hip_depth - 1.5, length: 55.0, ..size });
    assert!(higher[2].contains("draw a new hip line there, 1.5 cm above the printed hip line"), "{}", higher[2]);
    assert!(
        higher[2].contains("Draw the waist line lower by 0.1 cm at the centre back and centre front,"),
        "{}",
        higher[2]
    );
    assert!(
        higher[3].starts_with("Darts: shorten the back darts by 1.0 and 0.9 cm and")
            && higher[3].contains("1.0 cm lower than"),
        "{}",
        higher[3]
    );
    assert!(higher[4].starts_with("Side: join the side end of the waist line to the hip mark"), "{}", higher[4]);
    assert!(
        higher[5].starts_with("Hem: draw a line 5.0 cm above the hem of size 44, 55.0 cm straight down"),
        "{}",
        higher[5]
    );
    // A hip line less than half a millimetre away stays where it is printed.
    assert_eq!(instructions(Body { hip_depth: size.hip_depth + 0.04, ..size }).len(), 4);
}

#[test]
fn a_mark_between_two_lines_is_given_as_a_fraction_and_as_a_distance() {
    let range = demo_range();
    let size = range.chart().size("44").unwrap().body;
    // A distance that a ruler shows is given, too: a quarter of the difference in hip lies on each panel.
    for (fraction, words, distance) in [
        (0.78, "78 % of the way from the side seam of size 44 to the side seam of size 46", "0.8"),
        (0.25, "a quarter of the way from the side seam of size 44 to the side seam of size 46", "0.2"),
        (1.0 / 3.0, "a third of the way from the side seam of size 44 to the side seam of size 46", "0.3"),
        (0.5, "half-way between the side seams of sizes 44 and 46", "0.5"),
        (0.664, "two thirds of the way from the side seam of size 44 to the side seam of size 46", "0.7"),
        (0.76, "76 % of the way from the side seam of size 44 to the side seam of size 46", "0.8"),
    ] {
        assert_eq!(
            range.alter(&Body { hip: size.hip + 4.0 * fraction, ..size }, EVERY_STEP).unwrap().instructions(Unit::Cm)
                [1],
            format!("Hip: on the hip line, mark {words}, {distance} cm outside the side seam of size 44.")
        );
    }
}

#[test]
fn moves_that_are_small_or_print_as_zero_are_not_written_and_equal_moves_only_once() {
    let text = "name,waist,hip,hip_depth,length\nA,26,36,7.75,24\nB,28,38,7.875,24\nC,30,40,8,24.5\n";
    let chart = SizeChart::from_csv(text, Unit::In).unwrap();
    let range = chart.draft(&Ease { waist: 1.25, hip: 5.0 }, &Rules::default()).unwrap();
    let body = Body { waist: 29.0, hip: 38.5, hip_depth: 8.5, length: 26.0 };
    let body = Body::from_array(body.into_array().map(|inches| 2.54 * inches));
    for (limits, ruler) in [(None, Ruler::In), (EVERY_STEP, Ruler::InEighths)] {
        let written = range.alter(&body, limits).unwrap().instructions(ruler);
        assert!(written[2].ends_with("move the hip mark straight down to the new line."), "{}", written[2]);
    }
    let written = range.alter(&body, None).unwrap().instructions(Ruler::InEighths);
    assert!(written[3].starts_with("Darts: lengthen the back darts by 3/8 in and"), "{}", written[3]);
}
