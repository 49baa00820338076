//! The numbers of some rows in centimetres, one after the other and side by side.

use std::array::from_fn;

use super::bodies::{Entry, Ready};
use crate::body::{Body, Ease, Shares, Stance};
use crate::draft::steepest;
use crate::measure::{Field, Unit};
use crate::scalar::{LANES, Lanes};

/// Where the numbers of each table start among all of a row.
pub(super) const EASE: usize = Body::FIELDS.len();
pub(super) const STANCE: usize = EASE + Ease::FIELDS.len();
pub(super) const APPORTION: usize = STANCE + Stance::FIELDS.len();

/// The numbers of the rows of a part, in centimetres, and which rows have all of them in range.
pub(super) struct Strip {
    /// Those that are the same for all rows; any number for the others.
    pub(super) same: Vec<f64>,
    /// The places of the others in a row, with their values.
    pub(super) each: Vec<(usize, Vec<f64>)>,
    pub(super) sound: Vec<bool>,
}

impl Strip {
    pub(super) fn new(ready: &Ready, start: usize, rows: usize) -> Self {
        let mut strip = Self { same: Vec::new(), each: Vec::new(), sound: vec![true; rows] };
        for (place, entry) in ready.entries.iter().enumerate() {
            let cm = |value| entry.field.kind.convert(value, ready.unit(), Unit::Cm);
            strip.same.push(cm(entry.column.same().unwrap_or(f64::NAN)));
            if entry.column.same().is_none() {
                strip.each.push((place, values(entry, start, ready.unit(), &mut strip.sound)));
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
        let degrees = self.each.iter().find(|(each, _)| *each == place).map(|(_, degrees)| degrees);
        let tangents = degrees.map(|degrees| degrees.iter().map(|degrees| steepest(*degrees)).collect());
        self.same.push(steepest(self.same[place]));
        self.each.extend(tangents.map(|tangents| (end, tangents)));
    }

    /// Overwrites the numbers of a row that are not the same for all.
    #[inline(always)]
    pub(super) fn read(&self, numbers: &mut [f64], row: usize) {
        for (place, values) in &self.each {
            numbers[*place] = values[row];
        }
    }

    #[inline(always)]
    pub(super) fn read_lanes(&self, numbers: &mut [Lanes], rows: &[usize; LANES]) {
        for (place, values) in &self.each {
            numbers[*place] = Lanes(from_fn(|k| values[rows[k]]));
        }
    }
}

/// The values of one number, in centimetres; rows that have it out of range are sound no more.
fn values(entry: &Entry, start: usize, unit: Unit, sound: &mut [bool]) -> Vec<f64> {
    let (least, most) = entry.field.range(unit);
    let checked = sound.iter_mut().enumerate().map(|(row, sound)| {
        let value = entry.column.at(start + row).unwrap_or(f64::NAN);
        *sound &= (least..=most).contains(&value);
        value
    });
    let values: Vec<f64> = checked.collect();
    if unit == Unit::Cm {
        values
    } else {
        values.into_iter().map(|v| entry.field.kind.convert(v, unit, Unit::Cm)).collect()
    }
}
