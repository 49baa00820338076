//! Standard errors and ellipses: against a million drafts, and by hand.

use crate::counts::rules_with_counts;
use kirtle::batch::{Bodies, Column, Table, Threads};
use kirtle::sensitivity::{ErrorEllipse, StandardErrors};
use kirtle::survey::{NormalDistribution, Population};
use kirtle::{Body, Code, DartCount, Draft, Ease, Figure, Role, Rules, Unit};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };
const ROWS: u64 = 1_000_000;
const BLOCK: u64 = 20_000;

/// Body so far from any change of the dart counts that none of the million bodies reaches one.
const BODY: Body = Body { waist: 76.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
const DEVIATIONS: [f64; 3] = [0.3, 0.4, 0.2];
const CORRELATION: f64 = 0.5;

/// Largest relative error of a standard deviation from a million drafts, whose relative standard error is 0.0007.
const MAX_RELATIVE_ERROR: f64 = 0.004;

fn sample_draft() -> Draft {
    kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap()
}

fn standard_errors() -> StandardErrors {
    let [waist, hip, depth] = DEVIATIONS;
    let shared = CORRELATION * waist * hip;
    let rows = [vec![waist * waist, shared, 0.0], vec![shared, hip * hip, 0.0], vec![0.0, 0.0, depth * depth]];
    StandardErrors::with_covariance(&["body.waist", "body.hip", "body.hip_depth"], &rows).unwrap()
}

/// Sums of two variables `x`, `y` and their products: x, y, x², xy, y². Variables are differences from the expected
/// mean.
#[derive(Clone, Copy, Default)]
struct Moments([f64; 5]);

impl Moments {
    fn add(&mut self, x: f64, y: f64) {
        for (sum, term) in self.0.iter_mut().zip([x, y, x * x, x * y, y * y]) {
            *sum += term;
        }
    }

    /// Returns the variance of x, the covariance, and the variance of y.
    fn covariances(&self) -> [f64; 3] {
        let rows = ROWS as f64;
        let [x, y, xx, xy, yy] = self.0;
        [(xx - x * x / rows), (xy - x * y / rows), (yy - y * y / rows)].map(|sum| sum / (rows - 1.0))
    }
}

/// Columns of a table of drafts, each with the name of its quantity.
const COLUMNS_AND_QUANTITIES: [(&str, &str); 9] = [
    ("suppression_total", "suppression.total"),
    ("suppression_side", "suppression.side"),
    ("side_seam", "side_seam"),
    ("back_width", "back.width"),
    ("back_waist_lowering", "back.waist_lowering"),
    ("front_centre_seam", "front.centre_seam"),
    ("back_area", "back.area"),
    ("back_dart1_intake", "back.darts[0].intake"),
    ("front_dart1_centre", "front.darts[0].centre"),
];

/// Returns the tip of the first back dart of a row.
fn back_dart_tip(table: &Table, row: usize) -> [f64; 2] {
    let [back, _] = table.outlines(row).unwrap();
    back.edges.iter().find(|(role, _)| *role == Role::Dart).unwrap().1[1]
}

#[test]
fn a_million_drafts_have_the_predicted_standard_errors() {
    let draft = sample_draft();
    let predicted = draft.uncertainty(&standard_errors(), Unit::Cm).unwrap();
    let normal = |mean, deviation| NormalDistribution { mean, deviation };
    let population = Population {
        waist: normal(BODY.waist, DEVIATIONS[0]),
        hip: normal(BODY.hip, DEVIATIONS[1]),
        correlation: CORRELATION,
        hip_depth: normal(BODY.hip_depth, DEVIATIONS[2]),
        length: BODY.length,
    };
    let value = |name: &str| draft.quantities().iter().find(|(quantity, _)| quantity.to_string() == name).unwrap().1;
    let means = COLUMNS_AND_QUANTITIES.map(|(_, name)| value(name));
    let ellipse = *predicted.ellipses.iter().find(|ellipse| ellipse.point.to_string() == "dart_1_tip").unwrap();
    let (mut columns, mut tips) = ([Moments::default(); COLUMNS_AND_QUANTITIES.len()], Moments::default());
    for start in (0..ROWS).step_by(usize::try_from(BLOCK).unwrap()) {
        let drawn = population.bodies(3, start..start + BLOCK).unwrap();
        let bodies = Bodies {
            body: Body {
                waist: Column::Values(&drawn.waist),
                hip: Column::Values(&drawn.hip),
                hip_depth: Column::Values(&drawn.hip_depth),
                length: Column::Constant(BODY.length),
            },
            figure: Figure::default(),
            ease: EASE.map(Column::Constant),
            rules: Column::constant_rules(&Rules::default()),
            unit: Unit::Cm,
        };
        let table = bodies.draft_outlines(&Threads::new(None).unwrap()).unwrap();
        for ((moments, (name, _)), mean) in columns.iter_mut().zip(COLUMNS_AND_QUANTITIES).zip(means) {
            table.numbers_of_column(name).unwrap().iter().for_each(|number| moments.add(number - mean, 0.0));
        }
        for row in 0..table.rows() {
            let [x, y] = back_dart_tip(&table, row);
            tips.add(x - ellipse.centre.x, y - ellipse.centre.y);
        }
    }
    for (moments, (_, name)) in columns.iter().zip(COLUMNS_AND_QUANTITIES) {
        let (observed, error) = (moments.covariances()[0].sqrt(), predicted.standard_error(name).unwrap());
        assert!((observed / error - 1.0).abs() < MAX_RELATIVE_ERROR, "{name}: {error} predicted, {observed} observed");
    }
    let [xx, xy, yy] = tips.covariances();
    let (sine, cosine) = ellipse.angle_deg.to_radians().sin_cos();
    // In the directions of the axes of the ellipse, the tips have the semi-axes as deviations, and no covariance.
    let along = cosine * cosine * xx + 2.0 * sine * cosine * xy + sine * sine * yy;
    let across = sine * sine * xx - 2.0 * sine * cosine * xy + cosine * cosine * yy;
    let [longer, shorter] = ellipse.semi_axes;
    assert!(shorter > 0.02, "the ellipse is too flat for the test: {ellipse:?}");
    for (observed, axis) in [(along, longer), (across, shorter)] {
        assert!(
            (observed.sqrt() / axis - 1.0).abs() < MAX_RELATIVE_ERROR,
            "{axis} predicted, {} observed",
            observed.sqrt()
        );
    }
    let skew = ((cosine * cosine - sine * sine) * xy + sine * cosine * (yy - xx)) / (longer * shorter);
    assert!(skew.abs() < 0.01, "the axes of the ellipse have another direction: correlation {skew}");
}

// The width of a panel is a quarter of hip plus ease, plus or minus the balance. The hip line lies at the hip depth.
#[test]
fn simple_standard_errors_and_ellipses_equal_those_by_hand() {
    let errors = [("body.hip", 0.8), ("ease.hip", 0.6), ("rules.balance", 0.3), ("body.hip_depth", 0.5)];
    let uncertainty = sample_draft().uncertainty(&StandardErrors::independent(&errors).unwrap(), Unit::Cm).unwrap();
    let width = 0.25_f64.hypot(0.3);
    assert!((uncertainty.standard_error("back.width").unwrap() - width).abs() < 1e-12);
    let hip = uncertainty.ellipses.iter().find(|ellipse| ellipse.point.to_string() == "side_hip").unwrap();
    assert!((hip.semi_axes[0] - 0.5).abs() < 1e-12 && (hip.semi_axes[1] - width).abs() < 1e-12, "{hip:?}");
    assert!((hip.angle_deg.abs() - 90.0).abs() < 1e-9);
    assert_eq!(
        uncertainty.ellipses.len(),
        uncertainty.quantities.iter().filter(|one| one.to_string().ends_with('x')).count()
    );
    // The growth for 95 % is the root of the 95 % quantile of chi squared with two degrees of freedom, 5.991.
    assert!((ErrorEllipse::semi_axis_factor_for_probability(0.95).unwrap() - 5.991_464_547_f64.sqrt()).abs() < 1e-9);
}

#[test]
fn correlated_errors_of_hip_and_waist_cancel_in_the_suppression() {
    let rows = |shared: f64| [vec![0.25, shared], vec![shared, 0.25]];
    let error = |shared| {
        let errors = StandardErrors::with_covariance(&["body.waist", "body.hip"], &rows(shared)).unwrap();
        sample_draft().uncertainty(&errors, Unit::Cm).unwrap().standard_error("nominal.total").unwrap()
    };
    // The suppression is half the drop: half the root of 0.25 + 0.25 − 2 × the covariance.
    for (shared, expected) in [(0.0, 0.125_f64.sqrt()), (0.25, 0.0), (-0.25, 0.5)] {
        assert!((error(shared) - expected).abs() < 1e-7, "{shared}: {} is not {expected}", error(shared));
    }
}

#[test]
fn standard_errors_convert_to_inches() {
    let [cm, inches] = [(0.508, Unit::Cm), (0.2, Unit::In)].map(|(error, unit)| {
        sample_draft().uncertainty(&StandardErrors::independent(&[("body.hip", error)]).unwrap(), unit).unwrap()
    });
    for ((a, b), quantity) in cm.standard_errors.iter().zip(&inches.standard_errors).zip(&cm.quantities) {
        let factor = match quantity.kind {
            kirtle::field::FieldKind::Length => 2.54,
            kirtle::field::FieldKind::Area => 2.54 * 2.54,
            _ => 1.0,
        };
        assert!((a - b * factor).abs() < 1e-12, "{quantity}: {a} cm, {b} in");
    }
}

#[test]
fn a_simulated_spread_is_the_standard_error_while_the_number_of_darts_stays() {
    let draft = sample_draft();
    let errors =
        StandardErrors::with_covariance(&["body.waist", "body.hip"], &[vec![0.01, 0.006], vec![0.006, 0.01]]).unwrap();
    let first_order = draft.uncertainty(&errors, Unit::Cm).unwrap();
    let spreads = [Unit::Cm, Unit::In].map(|unit| {
        let scaled = match unit {
            Unit::Cm => errors.clone(),
            Unit::In | Unit::Mm => {
                let rows = errors
                    .covariance_rows()
                    .iter()
                    .map(|row| row.iter().map(|x| x / 2.54 / 2.54).collect())
                    .collect::<Vec<_>>();
                StandardErrors::with_covariance(&["body.waist", "body.hip"], &rows).unwrap()
            }
        };
        draft.spread(&scaled, 20_000, 7, unit).unwrap()
    });
    let note = "taken as exact: body.hip_depth".to_owned();
    assert_eq!((spreads[0].other_darts, spreads[0].refused, spreads[0].note()), (0, 0, note));
    for (k, (error, quantity)) in first_order.standard_errors.iter().zip(&first_order.quantities).enumerate() {
        let [spread, in_inches] = [&spreads[0], &spreads[1]].map(|spread| spread.standard_deviations[k]);
        assert!((spread - error).abs() < 0.02 * error + 1e-6, "{quantity}: {error} to first order, {spread} simulated");
        if quantity.kind == kirtle::field::FieldKind::Length {
            assert!((spread - in_inches * 2.54).abs() < 1e-9, "{quantity}");
        }
    }
}

/// The floor errors by 4 mm, so a centre that lies by two lengths errs by √2 × 4 mm.
#[test]
fn errors_by_iso_20685_cover_the_figure() {
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    let ([front_length, side_length], front_hip) = ([101.5, 101.0].map(Some), Some(53.0));
    let figure = kirtle::Figure { front_length, side_length, front_hip, ..kirtle::Figure::default() };
    let ease = Ease { waist: 1.5, hip: 5.0 };
    let draft = kirtle::draft_figure(&body, &figure, &ease, &Rules::default()).unwrap();
    let errors = draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm).unwrap();
    assert!((errors.standard_error("front.waist_lowering").unwrap() - 0.32_f64.sqrt()).abs() < 1e-9);
    let spread = |errors: &StandardErrors| draft.spread(errors, 100, 0, Unit::Cm).unwrap().note();
    assert!(!spread(&StandardErrors::iso_20685(Unit::Cm)).contains("exact"));
    let note = spread(&StandardErrors::independent(&[("body.waist", 0.5), ("body.figure.high_hip", 0.5)]).unwrap());
    let exact = "taken as exact: body.hip, body.hip_depth, body.figure.front_length, body.figure.side_length, body.figure.front_hip";
    let lacking = "not measured on this body, so without effect: body.figure.high_hip";
    assert!(note.ends_with(&format!("{exact}; {lacking}")), "{note}");
    let of_figure = StandardErrors::independent(&[("body.figure.high_hip", 0.5)]).unwrap();
    let missing = draft.uncertainty(&of_figure, Unit::Cm).unwrap_err().to_string();
    assert_eq!(missing, format!("errors: missing: give the standard error of at least one input; {lacking}"));
    let plain = kirtle::draft(&body, &ease, &Rules::default()).unwrap();
    let note = plain.spread(&StandardErrors::iso_20685(Unit::Cm), 100, 0, Unit::Cm).unwrap().note();
    assert!(note.ends_with("without effect: every measurement of the figure"), "{note}");
}

#[test]
fn a_spread_counts_refused_drafts_and_leaves_them_out() {
    let body = Body { waist: 40.2, hip: 60.0, hip_depth: 20.0, length: 60.0 };
    let draft = kirtle::draft(&body, &Ease { waist: 1.0, hip: 4.0 }, &Rules::default()).unwrap();
    let errors = StandardErrors::independent(&[("body.waist", 0.2)]).unwrap();
    let spread = draft.spread(&errors, 10_000, 0, Unit::Cm).unwrap();
    // A waist below the minimum of 40 cm is one standard error away: 15.87 % of a normal distribution.
    assert!((1_480..1_695).contains(&spread.refused), "{}", spread.refused);
    assert!(spread.note().contains(" % cannot be drafted"), "{}", spread.note());
    assert!(spread.standard_deviations.iter().all(|deviation| deviation.is_finite()));
}

#[test]
fn wrong_standard_errors_are_refused() {
    let messages = |problems: kirtle::Problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>();
    let independent = |errors: &[(&str, f64)]| messages(StandardErrors::independent(errors).unwrap_err());
    assert_eq!(
        independent(&[("body.waist", -1.0), ("body.hip", f64::NAN), ("body.waist", 1.0)]),
        [
            "errors.body.waist: -1 is below the minimum of 0",
            "errors.body.hip: NaN is not finite; give a number from 0 to 1000",
            "errors.body.waist: given twice: give it once",
        ]
    );
    let with_covariance =
        |rows: &[Vec<f64>]| messages(StandardErrors::with_covariance(&["body.waist", "body.hip"], rows).unwrap_err());
    assert_eq!(
        with_covariance(&[vec![1.0, 0.2], vec![0.2]]),
        ["covariance: a list whose row 2 has length 1 is not 2 rows of 2 finite numbers"]
    );
    assert_eq!(
        with_covariance(&[vec![1.0, 0.2]]),
        ["covariance: a list of length 1 is not 2 rows of 2 finite numbers"]
    );
    assert_eq!(
        with_covariance(&[vec![1.0, 0.2], vec![0.3, 1.0]]),
        [
            "covariance: not a covariance matrix: not symmetric: entry (body.hip, body.waist) is 0.3, but (body.waist, body.hip) is 0.2"
        ]
    );
    assert_eq!(
        with_covariance(&[vec![1.0, 2.0], vec![2.0, 1.0]]),
        [
            "covariance: not a covariance matrix: the variance of +0.71 body.waist -0.71 body.hip would be negative, -1.000"
        ]
    );
    assert_eq!(
        with_covariance(&[vec![1.0, f64::INFINITY], vec![2.0, 1.0]]),
        ["covariance: inf is not finite; give 2 rows of 2 finite numbers"]
    );
    let no_errors = sample_draft().uncertainty(&StandardErrors::independent(&[]).unwrap(), Unit::Cm).unwrap_err();
    assert_eq!(no_errors[0].code, Code::Missing);
    let unknown = StandardErrors::independent(&[("body.knee", 1.0)]).unwrap();
    let problems = sample_draft().spread(&unknown, 99, 0, Unit::Cm).unwrap_err();
    assert_eq!(
        problems.iter().map(|problem| problem.code).collect::<Vec<_>>(),
        [Code::UnknownChoice, Code::BelowMinimum]
    );
}

#[test]
fn a_note_says_that_another_limit_of_the_rules_changes_the_errors() {
    let rules = rules_with_counts([DartCount::Exactly(2); 2]);
    let body = Body { waist: 70.0, hip: 106.0, hip_depth: 20.5, length: 62.0 };
    let draft = kirtle::draft(&body, &EASE, &rules).unwrap();
    let [in_cm, in_inches] = [Unit::Cm, Unit::In]
        .map(|unit| draft.spread(&StandardErrors::iso_20685(unit), 1000, 0, unit).unwrap())
        .map(|spread| spread.note());
    let count = " some meet another limit of the rules, which changes 37 of the standard errors: rely on the spread";
    assert!(in_cm.starts_with(&format!("of 1000 drafts with random errors,{count}")), "{in_cm}");
    assert_eq!(in_cm, in_inches);
}
