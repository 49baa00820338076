//! The rows that one thread fills: side by side where their darts are as many, alone where a body is out of the ordinary.

use std::array::from_fn;

use pulp::{Arch, Simd, WithSimd};

use super::bodies::Ready;
use super::strip::{APPORTION, EASE, STANCE, Strip};
use super::table::{Known, Outline, Part, in_unit};
use crate::body::{Body, Ease, Shares, Stance, clears_hip_line};
use crate::draft::{Alike, Draft, Simple, Summary, dart_counts, draft, summaries};
use crate::error::Problems;
use crate::findings::{self, compared, found, steepest_beside_darts};
use crate::measure::Unit;
use crate::scalar::{LANES, Lanes, Number};

/// What a thread tells beside the numbers: rows are counted within the part.
pub(super) struct Told {
    pub(super) refused: Vec<(usize, Problems)>,
    pub(super) outlines: Vec<Known>,
}

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
    let strip = Strip::new(ready, start, part.findings.len());
    let mut alone = Vec::new();
    Arch::new().dispatch(SideBySide { ready, strip: &strip, part, alone: &mut alone });
    alone.sort_unstable();
    alone
}

/// The work on the rows of a part, for the widest instructions that the processor has.
struct SideBySide<'a, 'b> {
    ready: &'a Ready<'a>,
    strip: &'a Strip,
    part: &'a mut Part<'b>,
    alone: &'a mut Vec<usize>,
}

/// Rows that wait until as many of their kind are there as go side by side.
#[derive(Clone, Copy)]
struct Waiting {
    rows: [usize; LANES],
    count: usize,
}

impl WithSimd for SideBySide<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { ready, strip, part, alone } = self;
        let mut kinds = Kinds::new(ready, strip);
        let mut numbers: Vec<Lanes> = strip.same.iter().map(|value| Lanes::constant(*value)).collect();
        let mut waiting = [Waiting { rows: [0; LANES], count: 0 }; Key::ALL];
        let rows = strip.sound.len();
        // After the last row come, in one loop so that the work stands here once, those that still wait.
        for step in 0..rows + Key::ALL {
            let place = if step < rows {
                let Some(key) = kinds.of(step) else {
                    alone.push(step);
                    continue;
                };
                key.place()
            } else {
                step - rows
            };
            let Waiting { rows: some, count } = &mut waiting[place];
            let mut enough = 1;
            if step < rows {
                // The last row stands in for those that are missing.
                some[*count..].fill(step);
                *count += 1;
                enough = LANES;
            }
            if *count < enough {
                continue;
            }
            strip.read_lanes(&mut numbers, some);
            let good = part.lanes(ready, &numbers, Key::at(place), some);
            if !good.all() {
                alone.extend(some[..*count].iter().zip(good.0).filter(|(_, good)| *good == 0.0).map(|(row, _)| row));
            }
            *count = 0;
        }
    }
}

/// Tells of what kind a row is.
struct Kinds<'a> {
    ready: &'a Ready<'a>,
    strip: &'a Strip,
    /// The numbers of the last row that was asked for.
    numbers: Vec<f64>,
    /// The rules, where they are the same for all rows.
    rules: Option<(Stance, Shares)>,
}

impl<'a> Kinds<'a> {
    fn new(ready: &'a Ready<'a>, strip: &'a Strip) -> Self {
        let numbers = strip.same.clone();
        let same = strip.each.iter().all(|(place, _)| *place < STANCE);
        let rules = (same && ready.by_shares()).then(|| (stance(&numbers), shares(&numbers)));
        Self { ready, strip, numbers, rules }
    }

    /// None where a row is not in range, or a panel is full.
    #[inline(always)]
    fn of(&mut self, row: usize) -> Option<Key> {
        self.strip.read(&mut self.numbers, row);
        let body = body(&self.numbers);
        if !(self.strip.sound[row] && clears_hip_line(&body)) {
            return None;
        }
        if !self.ready.by_shares() {
            return Some(Key { counts: [0, 0], simple: Simple::of(&stance(&self.numbers)) });
        }
        let own;
        let (stance, shares) = if let Some(same) = &self.rules {
            same
        } else {
            own = (stance(&self.numbers), shares(&self.numbers));
            &own
        };
        let steepest = self.numbers[self.numbers.len() - 1];
        let counts = dart_counts(&body, &ease(&self.numbers), stance.side_fullness, shares, steepest)?;
        Some(Key { counts, simple: Simple::of(stance) })
    }
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
        let mut all_good = Lanes::NO;
        summaries(
            &body,
            &ease,
            &stance,
            key.simple,
            alike,
            #[inline(always)]
            |summary, good| {
                all_good = good;
                self.tell(ready, &body, &ease, summary, rows);
            },
        );
        all_good
    }

    /// Writes what is told of rows side by side.
    #[inline(always)]
    fn tell(
        &mut self,
        ready: &Ready,
        body: &Body<Lanes>,
        ease: &Ease<Lanes>,
        summary: &Summary<Lanes>,
        rows: &[usize; LANES],
    ) {
        let mut columns = self.numbers.iter_mut().zip(ready.areas());
        summary.each(
            ready.most_darts(),
            #[inline(always)]
            |number| {
                let Some((column, is_area)) = columns.next() else { return };
                // In two loops, as there is nothing to do in most.
                let number = if ready.unit() == Unit::Cm {
                    number.0
                } else {
                    number.0.map(|n| in_unit(n, *is_area, ready.unit()))
                };
                for (row, value) in rows.iter().zip(number) {
                    column[*row] = value;
                }
            },
        );
        let mut steps = body.length;
        for (step, hip_depth) in steps.0.iter_mut().zip(body.hip_depth.0) {
            *step = findings::step(*step, hip_depth);
        }
        let steepest = (!ready.by_shares()).then(|| Lanes::constant(steepest_beside_darts()));
        let compared = compared(summary, body, ease, steps, steepest);
        for (k, row) in rows.iter().enumerate() {
            self.count(*row, summary);
            self.findings[*row] = found(compared.iter().map(
                #[inline(always)]
                |(one, other)| (one.0[k], other.0[k]),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a surprise is a failed test")]

    use super::*;
    use crate::batch::{Bodies, Column, Table};
    use crate::body::Rules;

    // Drafted alone they would be the same, and several times as slow.
    #[test]
    fn ordinary_bodies_go_side_by_side() {
        let rows = 20_000_u32;
        let numbers = |number: fn(f64) -> f64| (0..rows).map(|k| number(f64::from(k))).collect::<Vec<f64>>();
        let waists = numbers(|k| 60.0 + k % 97.0 / 2.0);
        let hips = numbers(|k| 80.0 + k % 97.0 / 2.0 + k % 11.0);
        let hip_depths = numbers(|k| 18.0 + k % 7.0 / 2.0);
        let [waist, hip, hip_depth] = [&waists, &hips, &hip_depths].map(|column| Column::Each(column));
        let bodies = Bodies {
            body: Body { waist, hip, hip_depth, length: Column::Same(60.0) },
            ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Same),
            rules: Column::rules(&Rules::default()),
            unit: Unit::Cm,
        };
        let ready = Ready::new(&bodies).unwrap();
        let rows = waists.len();
        let mut table = Table::new(rows, ready.most_darts());
        let alone: usize = table.parts(rows).iter_mut().map(|part| side_by_side(&ready, 0, part).len()).sum();
        assert_eq!(alone, 0);
    }
}
