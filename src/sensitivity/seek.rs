//! Questions asked backwards: which ease, measurement or rule gives what is wanted.
//!
//! A draft changes smoothly with any one input but where darts come or go, or where it is refused. So the range is walked at
//! equal steps, each place where that happens is closed in on, and every smooth piece between two is searched for itself.

use std::cell::Cell;

use super::pieces::{Reading, Stretch, walk};
use super::{Input, Quantity, named, places, quantity, unknown_name};
use crate::body::Inputs;
use crate::draft::{Draft, Half, draft};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};

/// What is wanted of a draft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target<'a> {
    /// That a number of the draft, by its name as in [`Draft::quantities`], has a value.
    Quantity(&'a str, f64),
    /// That a panel has so many darts.
    Darts(Half, usize),
    /// That the garment has a girth at a level, down from the waist at the side, as in [`Draft::girth_at`].
    Girth {
        /// The level.
        level: f64,
        /// The girth there.
        girth: f64,
    },
}

impl<'a> Target<'a> {
    /// The target of this name: `back.darts` or `front.darts` for a number of darts, `girth` for one at a level, or else a number of
    /// the draft by its name.
    ///
    /// # Errors
    /// [`Code::Missing`] for a girth without a level, [`Code::Conflict`] for a level with anything else, [`Code::WrongType`] for a
    /// number of darts that is not a whole number from zero on.
    ///
    /// ```
    /// use kirtle::Half;
    /// use kirtle::sensitivity::Target;
    ///
    /// assert_eq!(Target::named("back.darts", 1.0, None)?, Target::Darts(Half::Back, 1));
    /// let problems = Target::named("girth", 92.0, None).unwrap_err();
    /// assert_eq!(problems.to_string(), "level: missing; give how far down from the waist the girth is taken");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(name: &'a str, value: f64, level: Option<f64>) -> Result<Self, Problems> {
        let half = Half::BOTH.into_iter().find(|half| name.strip_prefix(half.name()) == Some(".darts"));
        match (name, half, level) {
            ("girth", _, Some(level)) => Ok(Self::Girth { level, girth: value }),
            ("girth", _, None) => {
                let what = "how far down from the waist the girth is taken";
                Err(Problem::new(Code::Missing, "level").with_limit(what).into())
            }
            (_, _, Some(_)) => Err(Problem::new(Code::Conflict, "level").with_limit(format!("{name:?}")).into()),
            // In range for what can be asked of.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            (_, Some(half), None) if value >= 0.0 && value.fract() == 0.0 => Ok(Self::Darts(half, value as usize)),
            (_, Some(_), None) => {
                let problem = Problem::new(Code::WrongType, "value").with_value(value);
                Err(problem.with_limit("a whole number of darts").into())
            }
            (_, None, None) => Ok(Self::Quantity(name, value)),
        }
    }
}

/// What a question is answered by.
#[derive(Clone, Debug, PartialEq)]
pub struct Solutions {
    /// The input, with the value that gives what was wanted: of all that do, the nearest to what it was.
    pub input: Input,
    /// From where to where what was wanted holds around that value: both the value itself, but for a number of darts, or one
    /// that the input does not change there.
    pub interval: (f64, f64),
    /// Other values that give it, each the nearest of where it holds, from the least to the most.
    pub others: Vec<f64>,
    /// The draft by that value.
    pub draft: Draft,
}

impl Draft {
    /// Seeks the value of one input, by its path, that gives what is wanted while all others stay as they are. All numbers are
    /// in `unit`.
    ///
    /// The whole range of the input is searched, or `between` two values, at 400 equal steps; what holds only within less than one
    /// of them may be missed.
    ///
    /// # Errors
    /// All the [`Problems`]: [`Code::UnknownChoice`] for a name that is no input or no number of the draft; a `between` that is
    /// outside the input's range, or not from less to more; [`Code::OutOfReach`] where no value gives what is wanted, with what
    /// the input can give.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Half, Rules, Unit};
    /// use kirtle::sensitivity::Target;
    ///
    /// let body = Body { waist: 74.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// assert_eq!(draft.back.darts.len(), 2);
    ///
    /// // Which ease makes one back dart enough? The back takes 0.3 of half the difference, and one dart at max 3 cm.
    /// let answer = draft.seek("ease.hip", &Target::Darts(Half::Back, 1), None, Unit::Cm)?;
    /// assert_eq!(answer.draft.back.darts.len(), 1);
    /// assert!((answer.input.value - -0.5).abs() < 1e-9);
    ///
    /// let target = Target::Quantity("suppression.total", 60.0);
    /// let problems = draft.seek("ease.hip", &target, Some((0.0, 10.0)), Unit::Cm).unwrap_err();
    /// assert_eq!(problems[0].code, Code::OutOfReach);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn seek(
        &self,
        input: &str,
        target: &Target,
        between: Option<(f64, f64)>,
        unit: Unit,
    ) -> Result<Solutions, Problems> {
        let all = named(&self.inputs);
        let place = places(&all, "input", &[input])?[0];
        let (_, field, now) = all[place];
        let span = Span::new(input, field, between, unit)?;
        let wanted = Wanted::new(target, unit)?;
        let vary = |value: f64| vary(&self.inputs, place, value);
        let read = |value: f64| wanted.read(&vary(value).ok()?);
        let pieces = walk((span.min, span.max), now, &read);
        let found = wanted.found(&pieces, &read);
        let apart = |(from, to): (f64, f64)| (now.clamp(from, to) - now).abs();
        let Some(nearest) = found.iter().copied().min_by(|a, b| apart(*a).total_cmp(&apart(*b))) else {
            return Err(wanted.not_found(self, &pieces, &span).into());
        };
        let value = |(from, to): (f64, f64)| now.clamp(from, to);
        let others = found.iter().filter(|other| **other != nearest).map(|other| span.told(value(*other)));
        Ok(Solutions {
            input: Input { path: input.to_owned(), field, value: span.told(value(nearest)) },
            interval: (span.told(nearest.0), span.told(nearest.1)),
            others: others.collect(),
            draft: vary(value(nearest))?,
        })
    }
}

/// The draft with one input, told by its place, of another value.
fn vary(inputs: &Inputs, place: usize, value: f64) -> Result<Draft, Problems> {
    let mut next = 0;
    let Inputs { body, ease, rules } = inputs.map(|number| {
        next += 1;
        if next == place + 1 { value } else { number }
    });
    draft(&body, &ease, &rules)
}

/// Where an input is sought, in centimetres.
struct Span<'a> {
    input: &'a str,
    field: &'static Field,
    min: f64,
    max: f64,
    unit: Unit,
}

impl<'a> Span<'a> {
    fn new(input: &'a str, field: &'static Field, between: Option<(f64, f64)>, unit: Unit) -> Result<Self, Problems> {
        let (min, max) = between.unwrap_or(field.range(unit));
        let named = Field { name: "between", ..*field };
        Problems::ok_if_empty([min, max].iter().filter_map(|value| named.check("", *value, unit)).collect())?;
        if min > max {
            let problem = Problem::new(Code::WrongType, "between").with_value(format!("{min} to {max}"));
            return Err(problem.with_limit("a range from less to more").into());
        }
        let [min, max] = [min, max].map(|value| field.kind.convert(value, unit, Unit::Cm));
        Ok(Self { input, field, min, max, unit })
    }

    /// A value of the input in the caller's unit.
    fn told(&self, value: f64) -> f64 {
        self.field.kind.convert(value, Unit::Cm, self.unit)
    }
}

/// A target, and the number that it asks for as soon as a draft has one of its name.
struct Wanted<'a> {
    target: Target<'a>,
    unit: Unit,
    quantity: Cell<Option<Quantity>>,
}

impl<'a> Wanted<'a> {
    fn new(target: &Target<'a>, unit: Unit) -> Result<Self, Problems> {
        let numbers = match target {
            Target::Quantity(_, value) => vec![("value", *value)],
            Target::Darts(..) => Vec::new(),
            Target::Girth { level, girth } => vec![("level", *level), ("girth", *girth)],
        };
        let problem = |(field, value): (&str, f64)| Problem::new(Code::NotFinite, field).with_value(value);
        let infinite = numbers.into_iter().filter(|(_, value)| !value.is_finite());
        Problems::ok_if_empty(infinite.map(|number| problem(number).with_limit("a number")).collect())?;
        Ok(Self { target: *target, unit, quantity: Cell::new(None) })
    }

    /// What a draft has of it, in the caller's unit.
    fn read(&self, draft: &Draft) -> Reading {
        let counts = draft.panels().map(|panel| panel.darts.len());
        let number = match self.target {
            Target::Darts(..) => 0.0,
            Target::Girth { level, .. } => {
                self.unit.length_from_cm(draft.girth_at(level * self.unit.cm_per_unit()).ok()?)
            }
            Target::Quantity(name, _) => self.number(draft, name)?,
        };
        Some((counts, number))
    }

    fn number(&self, draft: &Draft, name: &str) -> Option<f64> {
        let mut found = None;
        quantity::visit(draft, |quantity, value| {
            let known = self.quantity.get();
            if known == Some(quantity) || (known.is_none() && quantity.to_string() == name) {
                self.quantity.set(Some(quantity));
                found = Some(value / quantity.dimension.cm_per_unit(self.unit));
            }
        });
        found
    }

    /// From where to where it holds.
    fn found(&self, pieces: &[Stretch], read: &impl Fn(f64) -> Reading) -> Vec<(f64, f64)> {
        let value = match self.target {
            Target::Quantity(_, value) | Target::Girth { girth: value, .. } => value,
            Target::Darts(half, count) => return ranges(pieces, half, count),
        };
        pieces.iter().flat_map(|piece| piece.places_of(value, read)).collect()
    }

    /// The problem of what cannot be had.
    fn not_found(&self, start: &Draft, pieces: &[Stretch], span: &Span) -> Problem {
        let [min, max] = [span.min, span.max].map(|value| span.told(value));
        let unit = span.field.kind.unit_name(span.unit);
        let from = format!("{} from {min} to {max} {unit}", span.input).trim_end().to_owned();
        let (field, value, unit) = match self.target {
            Target::Darts(half, count) => {
                let counts =
                    pieces.iter().map(|piece| piece.counts[usize::from(half == Half::Front)]).collect::<Vec<_>>();
                let told = counts.iter().min().zip(counts.iter().max()).map(|(min, max)| format!("{min} to {max}"));
                let problem = Problem::new(Code::OutOfReach, "darts").with_value(format!("{count}"));
                return problem.with_limit(format!("{from} gives {}", told.as_deref().unwrap_or("no draft")));
            }
            Target::Quantity(name, value) => {
                let Some(quantity) = self.quantity.get() else {
                    let names = start.quantities().into_iter().map(|(quantity, _)| quantity.to_string());
                    return unknown_name("quantity", name, &names.collect::<Vec<_>>());
                };
                ("value", value, quantity.dimension.unit_name(self.unit))
            }
            Target::Girth { girth, .. } => ("girth", girth, self.unit.name()),
        };
        let told = reached(pieces, value, unit, |value| span.told(value));
        Problem::new(Code::OutOfReach, field)
            .with_value(value)
            .with_unit(unit)
            .with_limit(format!("{from} gives {told}"))
    }
}

/// The ranges in which a panel has so many darts.
fn ranges(pieces: &[Stretch], half: Half, count: usize) -> Vec<(f64, f64)> {
    let mut ranges: Vec<(f64, f64)> = Vec::new();
    for piece in pieces.iter().filter(|piece| piece.counts[usize::from(half == Half::Front)] == count) {
        let (from, to) = piece.range();
        match ranges.last_mut() {
            // The other panel's darts change here, and not this one's.
            Some(last) if last.1.next_up() >= from => last.1 = to,
            _ => ranges.push((from, to)),
        }
    }
    ranges
}

/// What the pieces have of a number, and where it leaps over a value.
fn reached(pieces: &[Stretch], value: f64, unit: &str, told: impl Fn(f64) -> f64) -> String {
    let numbers = || pieces.iter().flat_map(|piece| &piece.samples).map(|[_, number]| *number);
    if pieces.is_empty() {
        return "no draft".to_owned();
    }
    let (min, max) = (numbers().fold(f64::INFINITY, f64::min), numbers().fold(f64::NEG_INFINITY, f64::max));
    let leap = pieces.windows(2).find_map(|pair| {
        let [from, to] = [pair[0].samples[pair[0].samples.len() - 1], pair[1].samples[0]];
        let side_by_side = from[0].next_up() >= to[0];
        (side_by_side && (from[1] - value) * (to[1] - value) < 0.0).then(|| {
            format!("; it leaps from {:.2} to {:.2} {unit} where darts change, at {:.2}", from[1], to[1], told(from[0]))
        })
    });
    format!("{min:.2} to {max:.2} {unit}{}", leap.unwrap_or_default())
}
