//! The rows that one thread fills: side by side where their darts are as many, alone where a body is out of the ordinary.

use pulp::{Arch, Simd, WithSimd};

use super::bodies::Ready;
use super::groups::Groups;
use super::kind::FieldKind;
use super::strip::{Numbers, Strip};
use super::table::{Outline, Part, RowOutlines, in_unit};
use crate::body::{Body, Ease};
use crate::draft::{Draft, LaneApportionment, Summary, draft, summaries};
use crate::error::Problems;
use crate::field::Unit;
use crate::findings::{self, bits, compared, found, steepest_beside_darts};
use crate::scalar::{LANES, Lanes, Number};

/// What a thread tells beside the numbers: rows are counted within the part.
pub(super) struct Told {
    pub(super) refused: Vec<(usize, Problems)>,
    pub(super) outlines: Vec<RowOutlines>,
}

/// Fills the part of the table that starts at a row.
pub(super) fn fill(ready: &Ready, start: usize, part: &mut Part, groups: &mut Groups, outlines: bool) -> Told {
    let rows = part.findings.len();
    let alone = if outlines { (0..rows).collect() } else { side_by_side(ready, start, part, groups) };
    let mut told = Told { refused: Vec::new(), outlines: Vec::new() };
    for row in alone {
        let drafted = ready.row(start + row).and_then(|inputs| {
            let found = draft(&inputs.body, &inputs.ease, &inputs.rules);
            found.map_err(|problems| problems.in_unit(ready.unit().name(), ready.unit().cm_per_unit()))
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
        summary.each(ready.max_darts(), |number| {
            if let Some((column, is_area)) = columns.next() {
                column[row] = in_unit(*number, *is_area, ready.unit());
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

/// Fills the rows that can go side by side; gives the others, from the first to the last.
fn side_by_side(ready: &Ready, start: usize, part: &mut Part, groups: &mut Groups) -> Vec<usize> {
    let rows = part.findings.len();
    let strip = Strip::new(ready, start, rows);
    let mut alone = Vec::new();
    Arch::new().dispatch(SideBySide { ready, strip: &strip, part, groups, alone: &mut alone });
    groups.write(&mut part.numbers);
    if ready.unit() != Unit::Cm {
        for (column, is_area) in part.numbers.iter_mut().zip(ready.areas()) {
            column.iter_mut().for_each(|number| *number = in_unit(*number, *is_area, ready.unit()));
        }
    }
    alone.sort_unstable();
    // One may stand in for others.
    alone.dedup();
    alone
}

/// The work on the rows of a part, for the widest instructions that the processor has.
struct SideBySide<'a, 'b> {
    ready: &'a Ready<'a>,
    strip: &'a Strip<'a>,
    part: &'a mut Part<'b>,
    groups: &'a mut Groups,
    alone: &'a mut Vec<usize>,
}

impl WithSimd for SideBySide<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { ready, strip, part, groups, alone } = self;
        let mut numbers = strip.numbers(ready);
        let (rows, columns) = (part.findings.len(), part.numbers.len());
        let mut kinds = Vec::with_capacity(rows + LANES);
        for first in (0..rows).step_by(LANES) {
            strip.read_on(&mut numbers, first);
            kinds.extend_from_slice(&FieldKind::codes(&numbers, strip.sound(&numbers)));
        }
        kinds.truncate(rows);
        groups.sort(&kinds, columns);
        for (code, some, told) in groups.each(columns) {
            let Some(kind) = FieldKind::of(code) else {
                alone.extend(some);
                continue;
            };
            strip.read(&mut numbers, &some);
            let good = part.lanes(ready, &numbers, kind, &some, told);
            if !good.all() {
                alone.extend(some.iter().zip(good.0).filter(|(_, good)| *good == 0.0).map(|(row, _)| row));
            }
        }
    }
}

impl Part<'_> {
    /// Fills rows with as many darts; tells which of them are good.
    #[inline(always)]
    fn lanes(
        &mut self,
        ready: &Ready,
        numbers: &Numbers,
        kind: FieldKind,
        rows: &[usize; LANES],
        told: &mut [[f64; LANES]],
    ) -> Lanes {
        let Numbers { body, ease, panel_rules, shares, .. } = numbers;
        let darts;
        let alike = if let Some(shares) = shares {
            LaneApportionment::Shares(shares, kind.counts, numbers.steepest())
        } else {
            darts = numbers.darts(ready);
            LaneApportionment::Darts(&darts)
        };
        let mut all_good = Lanes::NO;
        let mut told = told.iter_mut();
        summaries(
            body,
            ease,
            panel_rules,
            kind.simple,
            alike,
            #[inline(always)]
            |summary, good| {
                all_good = good;
                summary.each(
                    ready.max_darts(),
                    #[inline(always)]
                    |number| {
                        if let Some(told) = told.next() {
                            *told = number.0;
                        }
                    },
                );
                self.tell(ready, body, ease, summary, rows);
            },
        );
        all_good
    }

    /// Writes how many darts rows side by side have, and what is found.
    #[inline(always)]
    fn tell(
        &mut self,
        ready: &Ready,
        body: &Body<Lanes>,
        ease: &Ease<Lanes>,
        summary: &Summary<Lanes>,
        rows: &[usize; LANES],
    ) {
        let mut steps = body.length;
        for (step, hip_depth) in steps.0.iter_mut().zip(body.hip_depth.0) {
            *step = findings::step(*step, hip_depth);
        }
        let steepest = (!ready.by_shares()).then(|| Lanes::constant(steepest_beside_darts()));
        let found = found(&compared(summary, body, ease, steps, steepest));
        for (row, found) in rows.iter().zip(found.0) {
            self.count(*row, summary);
            self.findings[*row] = bits(found);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a surprise is a failed test")]

    use super::*;
    use crate::batch::{Bodies, Column, Table};
    use crate::body::Rules;

    /// How many bodies are drafted alone whose hips are so much larger than their waists, and a little more, whether they
    /// share one ease or each has its own.
    fn alone(larger: f64, hip_depth: f64) -> usize {
        let rows = 20_000_u32;
        let numbers = |number: &dyn Fn(f64) -> f64| (0..rows).map(|k| number(f64::from(k))).collect::<Vec<f64>>();
        let waists = numbers(&|k| 60.0 + k % 97.0 / 2.0);
        let hips = numbers(&|k| 60.0 + k % 97.0 / 2.0 + larger + k % 11.0 / 3.0);
        let hip_depths = numbers(&|k| hip_depth + k % 7.0 / 20.0);
        let [waist, hip, hip_depth] = [&waists, &hips, &hip_depths].map(|column| Column::Values(column));
        let same = Bodies {
            body: Body { waist, hip, hip_depth, length: Column::Constant(60.0) },
            ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
            rules: Column::rules(&Rules::default()),
            unit: Unit::Cm,
        };
        let eases = numbers(&|_| 1.5);
        let each = Bodies { ease: Ease { waist: Column::Values(&eases), ..same.ease }, ..same.clone() };
        let [alone, by_column] = [same, each].map(|bodies| {
            let ready = Ready::new(&bodies).unwrap();
            let mut table = Table::default();
            table.renew(waists.len(), ready.max_darts(), false);
            let mut parts = table.parts(waists.len());
            side_by_side(&ready, 0, &mut parts[0], &mut Groups::default()).len()
        });
        assert_eq!(alone, by_column);
        alone
    }

    // Drafted alone they would be the same, and several times as slow.
    #[test]
    fn bodies_go_side_by_side_whichever_limits_they_meet() {
        let ordinary = (20.0, 18.0);
        let steep_side_seams = (26.5, 15.0);
        let steep_once_closed = (24.0, 14.0);
        let full_panels = (30.0, 14.0);
        for (larger, hip_depth) in [ordinary, steep_side_seams, steep_once_closed, full_panels] {
            assert_eq!(alone(larger, hip_depth), 0, "{larger} {hip_depth}");
        }
        // The side seams of these bend too much to be measured side by side.
        assert_eq!(alone(40.0, 14.0), 20_000);
    }
}
