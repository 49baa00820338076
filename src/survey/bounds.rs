//! Bounds of the ease left, from a tolerance and bounds by name.

use super::fit::Bounds;
use crate::body::Ease;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

const TOLERANCE: Field = Field::new("tolerance", "", FieldKind::Length, (0.0, 100.0), (0.0, 39.0));

const GIRTHS: [&str; 3] = ["waist", "hip", "high_hip"];

impl Bounds {
    /// Bounds by the name of their girth, `waist`, `hip` or `high_hip`; waist and hip without bounds of their own get those
    /// [`around`](Self::around) the ease.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a tolerance that is not from 0 to 100 cm, a name that is none of these, a waist or hip
    /// with neither bounds nor a tolerance; bounds out of range, or the most below the least.
    ///
    /// ```
    /// use kirtle::Ease;
    /// use kirtle::survey::Bounds;
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let bounds = Bounds::named(&ease, Some(2.0), &[("high_hip".to_owned(), (0.0, 9.0))])?;
    /// assert_eq!((bounds.hip, bounds.high_hip), ((3.0, 7.0), Some((0.0, 9.0))));
    ///
    /// let problems = Bounds::named(&ease, None, &[("knee".to_owned(), (0.0, 9.0))]).unwrap_err();
    /// assert_eq!(
    ///     problems.to_string(),
    ///     "bounds.knee: is not a field here; the fields are waist, hip, high_hip\n\
    ///      bounds.waist: missing; give the least and the most ease left, or a tolerance\n\
    ///      bounds.hip: missing; give the least and the most ease left, or a tolerance"
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(ease: &Ease, tolerance: Option<f64>, named: &[(String, (f64, f64))]) -> Result<Self, Problems> {
        let mut problems: Vec<Problem> =
            tolerance.and_then(|value| TOLERANCE.check("", value, Unit::Cm)).into_iter().collect();
        let field = |name: &str| format!("bounds.{name}");
        let unknown = named.iter().filter(|(name, _)| !GIRTHS.contains(&name.as_str()));
        problems.extend(
            unknown.map(|(name, _)| Problem::new(Code::UnknownField, field(name)).with_limit(GIRTHS.join(", "))),
        );
        let own = |girth: &str| named.iter().find(|(name, _)| name == girth).map(|(_, bounds)| *bounds);
        let mut bounds = Self::around(ease, tolerance.unwrap_or(0.0));
        for (girth, bounds) in [("waist", &mut bounds.waist), ("hip", &mut bounds.hip)] {
            match own(girth) {
                Some(own) => *bounds = own,
                None if tolerance.is_some() => {}
                None => problems.push(
                    Problem::new(Code::Missing, field(girth))
                        .with_limit("the least and the most ease left, or a tolerance"),
                ),
            }
        }
        bounds.high_hip = own("high_hip");
        if problems.is_empty() {
            problems = bounds.problems();
        }
        Problems::ok_if_empty(problems)?;
        Ok(bounds)
    }
}
