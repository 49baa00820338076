//! The rows that one thread fills: side by side where their darts are as many, alone where a body is out of the ordinary.

use std::array::from_fn;

use pulp::{Arch, Simd, WithSimd};

use super::bodies::{Entry, Ready};
use super::table::{Known, Outline, Part, in_unit};
use crate::body::{Body, Ease, Shares, Stance, clears_hip_line};
use crate::draft::{Alike, Draft, Simple, Summary, dart_counts, draft, steepest, summaries};
use crate::error::Problems;
use crate::findings::{self, compared, found, steepest_beside_darts};
use crate::measure::{Field, Unit};
use crate::scalar::{LANES, Lanes, Number};

/// What a thread tells beside the numbers: rows are counted within the part.
pub(super) struct Told {
    pub(super) refused: Vec<(usize, Problems)>,
    pub(super) outlines: Vec<Known>,
}

/// Where the numbers of each table start among all of a row.
const EASE: usize = Body::FIELDS.len();
const STANCE: usize = EASE + Ease::FIELDS.len();
const APPORTION: usize = STANCE + Stance::FIELDS.len();

/// How rows are put together that can go side by side: by the number of darts in back and front, of none to two where they
/// are shared out, and by which curves are simple.
#[derive(Clone, Copy)]
struct Key {
    counts: [usize; 2],
    simple: Simple,
}

impl Key {
    /// So many there are.
    const ALL: usize = 72;

    fn place(self) -> usize {
        let [back, front] = self.counts;
        let Simple { waist: [back_waist, front_waist], side } = self.simple;
        [back_waist, front_waist, side].iter().fold(back * 3 + front, |place, is| place * 2 + usize::from(*is))
    }

    fn at(place: usize) -> Self {
        let (counts, is) = (place / 8, |bit: usize| place >> bit & 1 == 1);
        Self { counts: [counts / 3, counts % 3], simple: Simple { waist: [is(2), is(1)], side: is(0) } }
    }
}

/// Fills the part of the table that starts at a row.
pub(super) fn fill(ready: &Ready, start: usize, part: &mut Part, outlines: bool) -> Told {
    let rows = part.findings.len();
    let alone = if outlines { (0..rows).collect() } else { side_by_side(ready, start, part) };
    let mut told = Told { refused: Vec::new(), outlines: Vec::new() };
    for row in alone {
        let drafted = ready.row(start + row).and_then(|inputs| {
            let found = draft(&inputs.body, &inputs.ease, &inputs.rules);
            found.map_err(|problems| problems.in_unit(ready.unit().name(), ready.unit().in_cm()))
        });
        match drafted {
            Ok(draft) => {
                part.store(ready, row, &draft);
                let known = || Some(draft.panels().map(|panel| Outline::new(&panel.edges, ready.unit())));
                told.outlines.extend(outlines.then(known));
            }
            Err(problems) => {
                part.numbers.iter_mut().for_each(|column| column[row] = f64::NAN);
                part.darts.iter_mut().for_each(|counts| counts[row] = 0);
                part.findings[row] = 0;
                told.refused.push((row, problems));
                told.outlines.extend(outlines.then_some(None));
            }
        }
    }
    told
}

impl Part<'_> {
    /// Writes a row that was drafted alone.
    fn store(&mut self, ready: &Ready, row: usize, draft: &Draft) {
        let summary = draft.summary();
        let mut columns = self.numbers.iter_mut().zip(ready.areas());
        summary.each(ready.most_darts(), |number| {
            if let Some((column, is_area)) = columns.next() {
                column[row] = in_unit(number, *is_area, ready.unit());
            }
        });
        self.count(row, &summary);
        self.findings[row] = draft.found(&summary);
    }

    /// Writes how many darts a row has.
    #[inline(always)]
    fn count<T: Number>(&mut self, row: usize, summary: &Summary<T>) {
        for (counts, panel) in self.darts.iter_mut().zip(&summary.panels) {
            // At most three.
            #[allow(clippy::cast_possible_truncation)]
            (counts[row] = panel.darts.len() as u8);
        }
    }
}

/// The numbers of the rows of a part, in centimetres, and which rows have all of them in range.
struct Strip {
    /// Those that are the same for all rows; any number for the others.
    same: Vec<f64>,
    /// The places of the others in a row, with their values.
    each: Vec<(usize, Vec<f64>)>,
    sound: Vec<bool>,
}

impl Strip {
    fn new(ready: &Ready, start: usize, rows: usize) -> Self {
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
    fn read(&self, numbers: &mut [f64], row: usize) {
        for (place, values) in &self.each {
            numbers[*place] = values[row];
        }
    }

    #[inline(always)]
    fn read_lanes(&self, numbers: &mut [Lanes], rows: &[usize; LANES]) {
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

#[inline(always)]
fn body<T: Copy>(numbers: &[T]) -> Body<T> {
    Body::from_array(from_fn(|k| numbers[k]))
}

#[inline(always)]
fn ease<T: Copy>(numbers: &[T]) -> Ease<T> {
    Ease::from_array(from_fn(|k| numbers[EASE + k]))
}

#[inline(always)]
fn stance<T: Copy>(numbers: &[T]) -> Stance<T> {
    Stance::from_array(from_fn(|k| numbers[STANCE + k]))
}

#[inline(always)]
fn shares<T: Copy>(numbers: &[T]) -> Shares<T> {
    Shares::from_array(from_fn(|k| numbers[APPORTION + k]))
}

/// Fills the rows that can go side by side; gives the others, from the first to the last.
fn side_by_side(ready: &Ready, start: usize, part: &mut Part) -> Vec<usize> {
    let rows = part.findings.len();
    let strip = Strip::new(ready, start, rows);
    let mut groups: [Vec<usize>; Key::ALL] = from_fn(|_| Vec::new());
    let mut alone = group(ready, &strip, &mut groups);
    Arch::new().dispatch(SideBySide { ready, strip: &strip, groups: &groups, part, alone: &mut alone });
    alone.sort_unstable();
    alone
}

/// The work on the groups, for the widest instructions that the processor has.
struct SideBySide<'a, 'b> {
    ready: &'a Ready<'a>,
    strip: &'a Strip,
    groups: &'a [Vec<usize>],
    part: &'a mut Part<'b>,
    alone: &'a mut Vec<usize>,
}

impl WithSimd for SideBySide<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let mut numbers: Vec<Lanes> = self.strip.same.iter().map(|value| Lanes::constant(*value)).collect();
        for (place, rows) in self.groups.iter().enumerate() {
            for some in rows.chunks(LANES) {
                // The last row stands in for those that are missing.
                let mut rows = [some[some.len() - 1]; LANES];
                rows[..some.len()].copy_from_slice(some);
                self.strip.read_lanes(&mut numbers, &rows);
                let good = self.part.lanes(self.ready, &numbers, Key::at(place), &rows);
                if !good.all() {
                    self.alone.extend(some.iter().zip(good.0).filter(|(_, good)| *good == 0.0).map(|(row, _)| row));
                }
            }
        }
    }
}

/// Puts together the rows with as many darts; gives those that are not in range, or meet a limit.
fn group(ready: &Ready, strip: &Strip, groups: &mut [Vec<usize>]) -> Vec<usize> {
    let mut alone = Vec::new();
    let mut numbers = strip.same.clone();
    for (row, sound) in strip.sound.iter().enumerate() {
        strip.read(&mut numbers, row);
        let (body, stance) = (body(&numbers), stance(&numbers));
        let counts = if !(*sound && clears_hip_line(&body)) {
            None
        } else if ready.by_shares() {
            let steepest = numbers[numbers.len() - 1];
            dart_counts(&body, &ease(&numbers), stance.side_fullness, &shares(&numbers), steepest)
        } else {
            Some([0, 0])
        };
        match counts {
            Some(counts) => {
                groups[Key { counts, simple: Simple::of(&stance) }.place()].push(row);
            }
            None => alone.push(row),
        }
    }
    alone
}

impl Part<'_> {
    /// Fills rows with as many darts; tells which of them are good.
    #[inline(always)]
    fn lanes(&mut self, ready: &Ready, numbers: &[Lanes], key: Key, rows: &[usize; LANES]) -> Lanes {
        let (body, ease) = (body(numbers), ease(numbers));
        let stance = stance(numbers);
        let (shares, darts);
        let alike = if ready.by_shares() {
            shares = self::shares(numbers);
            Alike::Shares(&shares, key.counts, numbers[numbers.len() - 1])
        } else {
            darts = ready.darts(&numbers[APPORTION..]);
            Alike::Darts(&darts)
        };
        let (summary, good) = summaries(&body, &ease, &stance, key.simple, alike);
        let mut columns = self.numbers.iter_mut().zip(ready.areas());
        summary.each(
            ready.most_darts(),
            #[inline(always)]
            |number| {
                let Some((column, is_area)) = columns.next() else { return };
                for (row, value) in rows.iter().zip(number.0) {
                    column[*row] = in_unit(value, *is_area, ready.unit());
                }
            },
        );
        let mut steps = body.length;
        for (step, hip_depth) in steps.0.iter_mut().zip(body.hip_depth.0) {
            *step = findings::step(*step, hip_depth);
        }
        let steepest = (!ready.by_shares()).then(|| Lanes::constant(steepest_beside_darts()));
        let compared = compared(&summary, &body, &ease, steps, steepest);
        for (k, row) in rows.iter().enumerate() {
            self.count(*row, &summary);
            self.findings[*row] = found(compared.iter().map(
                #[inline(always)]
                |(one, other)| (one.0[k], other.0[k]),
            ));
        }
        good
    }
}
