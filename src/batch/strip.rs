//! The numbers of some rows in centimetres, side by side.

use std::borrow::Cow;
use std::ops::Range;

use super::Column;
use super::bodies::{Entry, Ready};
use crate::body::{Body, Darts, Ease, MIN_BELOW_HIP, PanelRules, Shares};
use crate::draft::steepest;
use crate::field::{Field, Unit};
use crate::scalar::{LANES, Lanes, Number};

/// Where the numbers of each table start among all of a row.
const EASE: usize = Body::FIELDS.len();
const STANCE: usize = EASE + Ease::FIELDS.len();
const APPORTION: usize = STANCE + PanelRules::FIELDS.len();

/// The numbers of the rows of a part.
pub(super) struct Strip<'a> {
    /// Those that are the same for all rows; any number for the others.
    same: Vec<f64>,
    /// The others.
    each: Vec<Values<'a>>,
}

/// One number of every row.
struct Values<'a> {
    /// Its place among all of a row.
    place: usize,
    /// In centimetres; not-a-number where there is none.
    all: Cow<'a, [f64]>,
    /// The least and the most that it may be.
    range: [f64; 2],
}

/// All numbers of some rows.
pub(super) struct Numbers {
    pub(super) body: Body<Lanes>,
    pub(super) ease: Ease<Lanes>,
    pub(super) panel_rules: PanelRules<Lanes>,
    /// Nothing where darts are given.
    pub(super) shares: Option<Shares<Lanes>>,
    /// The same in one list, and what comes after them.
    all: Vec<Lanes>,
}

impl<'a> Strip<'a> {
    pub(super) fn new(ready: &'a Ready, start: usize, rows: usize) -> Self {
        let mut strip = Self { same: Vec::new(), each: Vec::new() };
        for (place, entry) in ready.entries.iter().enumerate() {
            let same = entry.column.constant();
            strip.same.push(entry.field.kind.convert(same.unwrap_or(f64::NAN), ready.unit(), Unit::Cm));
            if same.is_none() {
                strip.each.push(Values::new(place, entry, start..start + rows, ready.unit()));
            }
        }
        if ready.by_shares() {
            strip.add_tangents();
        }
        strip
    }

    /// Adds, as the last number of a row, the tangent of the steepest lean of the side seam.
    fn add_tangents(&mut self) {
        let end = self.same.len();
        let is_steepest = |field: &Field| field.name == "steepest_side";
        let place = APPORTION + Shares::FIELDS.iter().position(is_steepest).unwrap_or_default();
        let degrees = self.each.iter().find(|each| each.place == place).map(|each| &each.all);
        let tangents = degrees.map(|degrees| degrees.iter().map(|degrees| steepest(*degrees)).collect());
        self.same.push(steepest(self.same[place]));
        self.each.extend(tangents.map(|all| Values { place: end, all, range: ANY }));
    }

    /// Numbers to read into: those that are the same for all rows are there.
    pub(super) fn numbers(&self, ready: &Ready) -> Numbers {
        Numbers::new(self.same.iter().map(|value| Lanes::constant(*value)).collect(), ready.by_shares())
    }

    /// Reads the numbers of as many rows as there are, from one on.
    #[inline(always)]
    pub(super) fn read_on(&self, numbers: &mut Numbers, first: usize) {
        for each in &self.each {
            let some = &each.all[first..];
            let number = &mut numbers.all[each.place].0;
            if let Some(all) = some.first_chunk() {
                *number = *all;
            } else {
                number[..some.len()].copy_from_slice(some);
            }
        }
        self.take(numbers);
    }

    /// Reads the numbers of these rows.
    #[inline(always)]
    pub(super) fn read(&self, numbers: &mut Numbers, rows: &[usize; LANES]) {
        for each in &self.each {
            for (number, row) in numbers.all[each.place].0.iter_mut().zip(rows) {
                *number = each.all[*row];
            }
        }
        self.take(numbers);
    }

    /// Puts what was read where it belongs.
    #[inline(always)]
    fn take(&self, numbers: &mut Numbers) {
        if self.each.last().is_none_or(|last| last.place < EASE) {
            // To copy what stays the same takes time.
            numbers.body = Body::from_array(some(&numbers.all, 0));
        } else {
            *numbers = Numbers::new(std::mem::take(&mut numbers.all), numbers.shares.is_some());
        }
    }

    /// In which rows all numbers are in range, and the skirt ends well below the hip line.
    #[inline(always)]
    pub(super) fn sound(&self, numbers: &Numbers) -> Lanes {
        let Body { hip_depth, length, .. } = numbers.body;
        let mut sound = (hip_depth + Lanes::constant(MIN_BELOW_HIP)).le(length);
        for Values { place, range: [min, max], .. } in &self.each {
            let value = numbers.all[*place];
            sound = sound.and(Lanes::constant(*min).le(value)).and(value.le(Lanes::constant(*max)));
        }
        sound
    }
}

/// The range of what is known to be in its own.
const ANY: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];

impl<'a> Values<'a> {
    /// Those in centimetres are looked at where they are.
    fn new(place: usize, entry: &'a Entry, rows: Range<usize>, unit: Unit) -> Self {
        let (min, max) = entry.field.range(unit);
        if let (Column::Values(values), Unit::Cm) = (entry.column, unit) {
            return Self { place, all: Cow::Borrowed(&values[rows]), range: [min, max] };
        }
        // The range holds in the unit in which they were given.
        let value = |row| entry.column.at(row).filter(|value| (min..=max).contains(value)).unwrap_or(f64::NAN);
        let values = rows.map(|row| entry.field.kind.convert(value(row), unit, Unit::Cm)).collect();
        Self { place, all: values, range: ANY }
    }
}

/// The numbers that start at a place of a list.
#[inline(always)]
fn some<const N: usize>(all: &[Lanes], start: usize) -> [Lanes; N] {
    let mut some = [Lanes::NO; N];
    some.copy_from_slice(&all[start..start + N]);
    some
}

impl Numbers {
    #[inline(always)]
    fn new(all: Vec<Lanes>, by_shares: bool) -> Self {
        Self {
            body: Body::from_array(some(&all, 0)),
            ease: Ease::from_array(some(&all, EASE)),
            panel_rules: PanelRules::from_array(some(&all, STANCE)),
            shares: by_shares.then(|| Shares::from_array(some(&all, APPORTION))),
            all,
        }
    }

    /// The tangent of the steepest lean of the side seam.
    #[inline(always)]
    pub(super) fn steepest(&self) -> Lanes {
        self.all[self.all.len() - 1]
    }

    pub(super) fn darts(&self, ready: &Ready) -> Darts<Lanes> {
        ready.darts(&self.all[APPORTION..])
    }
}
