//! Reports on a survey of people: fit of a chart and best sizes, lengths in the unit of the report.

use std::collections::BTreeMap;
use std::fmt;

use super::json::CallSettings;
use super::report::report;
use crate::error::Code;
use crate::field::Unit;
use crate::size_search::{BestChart, BestSizes, ChartComparison, DifferenceBounds, HeldOutLosses, LogBand, Loss};
use crate::sizes::SizeChart;
use crate::survey::{ChartFit, MeanGirths, RefusedPeople, ServedShare, UnservedCounts};

report! {
    /// Fit of a size chart to the people of a survey: counts of people served, and at each violated ease bound.
    #[schemars(title = "Kirtle fit")]
    FitReport of (chart: &SizeChart, fit: &ChartFit, shares: &[ServedShare], labels: &[Option<String>]) in unit
    let all = shares.first();
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Number of people, measured or not.
        count: usize = fit.count(),
        /// Number of people without a size, because a measurement or the weight is missing or out of range.
        unmeasured: usize = fit.unmeasured,
        /// Number of people served: in the assigned size, the ease is within every bound.
        served: usize = fit.served,
        /// Share of the measured people, by weight, who are served, from 0 to 1; null if nobody is measured or all
        /// weights are 0.
        share_served: Option<f64> = fit.share_served(),
        /// Standard error of `share_served`, if replicates are given.
        standard_error: Option<f64> [default] = all.and_then(|share| share.standard_error),
        /// 95 % interval of `share_served`, if replicates are given: Wilson's score interval, by Student's t.
        interval: Option<(f64, f64)> [default] = all.and_then(ServedShare::interval),
        /// Share served in each replicate, if replicates are given; null for a replicate without weight.
        replicate_shares: Vec<Option<f64>> [default] = all.map(|share| share.replicate_shares.clone()).unwrap_or_default(),
        /// For each size of the chart in order: name, number of people assigned, and number of those served.
        loads: Vec<(String, usize, usize)> =
            chart.sizes().iter().zip(&fit.loads).map(|(size, load)| (size.name.clone(), load.people, load.served)).collect(),
        /// Number of unserved people at each violated ease bound of their assigned size, by the name of the bound, such
        /// as `waist_tight`. A person counts at each violated bound.
        unserved: BTreeMap<String, usize> = unserved_amounts_by_ease_bound(&fit.unserved),
        /// For each size in order, if weights are given: sum of the weights of the people assigned, and of those
        /// served.
        load_weights: Vec<(f64, f64)> [default] =
            fit.loads.iter().filter(|_| fit.is_weighted).map(|load| (load.weight, load.served_weight)).collect(),
        /// Sum of the weights of the unserved people at each violated ease bound, if weights are given.
        unserved_weights: BTreeMap<String, f64> [default] =
            unserved_amounts_by_ease_bound(&fit.unserved_weight).into_iter().filter(|_| fit.is_weighted).collect(),
        /// For each group, if the people are grouped: counts and share served; sorted by label, missing labels last.
        groups: Vec<GroupReport> [default] = labels.iter().zip(shares.iter().skip(1)).map(|(label, share)| GroupReport::new(share, label, unit)).collect(),
        /// For each reason why people have no size, a field and an error code: number and mean girths of these people.
        refused: Vec<RefusedReport> [default] = fit.refused.iter().map(|refused| RefusedReport::new(refused, &fit.accepted, unit)).collect(),
        /// Settings of the call that made the fit: version of the package, function, unit, and the given arguments.
        settings: CallSettings [default] = CallSettings::default(),
    }
}

/// Returns the amounts of unserved people by the name of the violated ease bound, such as `waist_tight`.
fn unserved_amounts_by_ease_bound<T: Copy>(amounts: &UnservedCounts<T>) -> BTreeMap<String, T> {
    let named = [
        ("waist_tight", amounts.waist_tight),
        ("waist_loose", amounts.waist_loose),
        ("hip_tight", amounts.hip_tight),
        ("hip_loose", amounts.hip_loose),
        ("high_hip_tight", amounts.high_hip_tight),
        ("high_hip_loose", amounts.high_hip_loose),
    ];
    named.map(|(bound, amount)| (bound.to_owned(), amount)).into()
}

report! {
    /// Group of the people of a survey: numbers of all, unmeasured and served people, and the share served of the
    /// measured, with its standard error.
    GroupReport as "GroupFit" of (share: &ServedShare, label: &Option<String>) in _unit {
        /// Label of the group; null for people without a label.
        group: Option<String> = label.clone(),
        /// Number of people in the group, measured or not.
        count: usize = share.count,
        /// Number of people in the group without a size.
        unmeasured: usize = share.unmeasured,
        /// Number of people in the group who are served.
        served: usize = share.served,
        /// Share of the group's measured people, by weight, who are served, from 0 to 1; null if nobody is measured
        /// or all weights are 0.
        share_served: Option<f64> = share.share,
        /// Standard error of `share_served`; null without replicates or share.
        standard_error: Option<f64> = share.standard_error,
        /// 95 % interval of `share_served`, Wilson's score interval by Student's t; null without a standard
        /// error.
        interval: Option<(f64, f64)> = share.interval(),
        /// Share served in each replicate, if replicates are given; null for a replicate without weight in the group.
        replicate_shares: Vec<Option<f64>> [default] = share.replicate_shares.clone(),
    }
}

report! {
    /// People without a size for one reason: their mean girths, and the mean girths of the people with a size. A person
    /// counts once for each refused value. Means are not weighted, as refused people may have no weight.
    RefusedReport as "RefusedPeople" of (refused: &RefusedPeople, accepted: &MeanGirths) in unit
    let length = |cm: f64| unit.length_from_cm(cm);
    {
        /// Refused field: `waist`, `hip`, `high_hip`, `high_hip_depth`, `weight`, `hip_depth`, or an input of a draft.
        field: String = refused.field.to_owned(),
        /// Reason: `missing`, `not_finite`, `below_minimum`, `above_maximum`, or why a draft is refused.
        code: Code = refused.code,
        /// Number of people whose value is refused for this reason.
        people: usize = refused.people,
        /// Mean of the waists that were measured for these people; null if no waist was.
        waist: Option<f64> = refused.mean.waist.map(length),
        /// Mean waist of the people with a size; null if nobody has a size.
        accepted_waist: Option<f64> = accepted.waist.map(length),
        /// Mean of the hips that were measured for these people; null if no hip was.
        hip: Option<f64> = refused.mean.hip.map(length),
        /// Mean hip of the people with a size; null if nobody has a size.
        accepted_hip: Option<f64> = accepted.hip.map(length),
    }
}

impl fmt::Display for FitReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { count, served, unmeasured, loads, load_weights, .. } = self;
        let (measured, sizes) = (count - unmeasured, loads.len());
        let percent = *served as f64 / measured as f64 * 100.0;
        let share = match self.share_served {
            _ if measured == 0 => "nobody measured".to_owned(),
            Some(share) if !load_weights.is_empty() => format!("{percent:.1}%, {:.1}% by weight", share * 100.0),
            _ => format!("{percent:.1}%"),
        };
        write!(f, "ChartFit(people={count}, served={served} ({share}), unmeasured={unmeasured}, sizes={sizes})")
    }
}

report! {
    /// Best chart found: sizes by waist and hip with a small mean loss, and a lower bound of the mean loss. An absolute
    /// loss is in `unit`, a squared loss in the square of `unit`.
    #[schemars(title = "Kirtle best")]
    BestChartReport as "BestChart" of (best: &BestChart, loss: &Loss, measured: (usize, f64), left_out: (usize, Vec<RefusedReport>)) in unit
    let length = |cm: f64| unit.length_from_cm(cm);
    let size_length = |cm: f64| {
        let nearest = (length(cm) * 1e9).round() / 1e9;
        // A multiple of the grid is one in `unit`, too, in spite of the rounding error of the conversion.
        if (nearest - length(cm)).abs() < 1e-12 { nearest } else { length(cm) }
    };
    let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
    let in_unit = |losses: &[f64]| losses.iter().copied().map(loss_in_unit).collect();
    let differences = |(min, max): (f64, f64)| (length(min), length(max));
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Name of the loss: `squared`, `absolute`, `within` (share of people not served), `log_band`, or `draft`: the
        /// distance of the size's draft from the person's own, in `unit`.
        loss_name: String = loss.name().to_owned(),
        /// Largest difference of a person from a size, in waist and in hip, at which the size serves the person; if the
        /// loss is `within` one tolerance.
        tolerance: Option<f64> [default] = if let Loss::Within(tolerance) = loss { Some(length(*tolerance)) } else { None },
        /// Smallest and largest difference, person minus size, at which a size serves the person: of the waist, then of
        /// the hip; if the loss is `within` bounds of ease.
        differences: Option<[(f64, f64); 2]> [default] =
            if let Loss::WithinBounds(DifferenceBounds { waist, hip }) = loss { Some([*waist, *hip].map(differences)) } else { None },
        /// Band of the loss `log_band`.
        band: Option<LogBand> [default] = if let Loss::LogBand(band) = loss { Some(*band) } else { None },
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize = measured.0,
        /// Effective number of measured people by Kish, (Σ weight)² / Σ weight²; without weights, their number.
        effective: f64 = measured.1,
        /// Number of people left out because a measurement or the weight is missing or out of range.
        unmeasured: usize = left_out.0,
        /// For each size: waist, hip, and the share of the measured people assigned to the size, from 0 to 1.
        sizes: Vec<(f64, f64, f64)> =
            best.sizes.iter().map(|size| (size_length(size.waist), size_length(size.hip), size.share)).collect(),
        /// Hip depth of each size, if the loss is `draft`.
        hip_depths: Vec<f64> [default] = best.sizes.iter().filter_map(|size| size.hip_depth).map(size_length).collect(),
        /// For each size, if the loss is `within`: share of the measured people whom the size serves, from 0 to 1. The
        /// other people assigned to the size are served by none, and the size is their nearest.
        served: Vec<f64> [default] =
            best.sizes.iter().filter(|_| loss.name() == "within").map(|size| size.share_without_loss).collect(),
        /// Mean loss of the measured people, each in the size with the least loss.
        loss: f64 = loss_in_unit(best.loss),
        /// Proven lower bound of the mean loss, over all charts of the chosen kind and number of sizes.
        bound: f64 = loss_in_unit(best.bound),
        /// Difference between mean loss and lower bound: the most by which a better chart could lower the mean loss.
        gap: f64 = loss_in_unit(best.gap()),
        /// Certificate of the bound: a list of cases, to one of which every chart belongs; empty if the chart is
        /// exactly optimal or no certificate was computed. A case has two lists. The first has the people by whom the
        /// cases are split: a person's index among the measured people, from 0, and whether the charts of the case
        /// serve this person and all people of equal girths. The second has a Lagrange multiplier for each measured
        /// person. Only a loss by a tolerance has more than one case. Multipliers of an absolute loss are in `unit`, of
        /// a squared loss in the square of `unit`.
        certificate: Vec<(Vec<(usize, bool)>, Vec<f64>)> [default] =
            best.certificate.iter().map(|case| (case.fixed.clone(), in_unit(&case.multipliers))).collect(),
        /// For each reason why people are left out, a field and an error code: number and mean girths of these people.
        refused: Vec<RefusedReport> [default] = left_out.1,
        /// Settings of the call that made the chart: version of the package, function, unit, and the given arguments.
        settings: CallSettings [default] = CallSettings::default(),
    }
}

impl fmt::Display for BestChartReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { sizes, measured, loss, bound, .. } = self;
        let sizes = sizes.len();
        write!(f, "BestChart(sizes={sizes}, people={measured}, loss={loss:.4}, bound={bound:.4})")
    }
}

report! {
    /// Best sizes by one girth: the sizes with the least mean loss. An absolute loss is in `unit`, a squared loss in
    /// the square of `unit`.
    BestSizesReport as "BestSizes" of (best: &BestSizes, loss: &Loss, by: &str, measured: usize, left_out: (usize, Vec<RefusedReport>)) in unit
    let length = |cm: f64| unit.length_from_cm(cm);
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Girth that the sizes are made by: `waist` or `hip`.
        girth: String = by.to_owned(),
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize = measured,
        /// Number of people left out because the girth or the weight is missing or out of range.
        unmeasured: usize = left_out.0,
        /// For each size: girth, minimum and maximum girth of its people, and their share of all measured, from 0 to 1.
        sizes: Vec<(f64, f64, f64, f64)> =
            best.sizes.iter().map(|size| (length(size.centre), length(size.min), length(size.max), size.share)).collect(),
        /// Mean loss of the measured people: the minimum for this number of sizes.
        loss: f64 = best.loss / loss.loss_factor_from_unit_to_cm(unit),
        /// For each reason why people are left out, a field and an error code: number and mean girths of these people.
        refused: Vec<RefusedReport> [default] = left_out.1,
        /// Settings of the call that made the sizes: version of the package, function, unit, and the given arguments.
        settings: CallSettings [default] = CallSettings::default(),
    }
}

report! {
    /// Comparison of a given chart with the best chart of the same number of sizes, on held-out people for whom neither
    /// chart was made. An absolute loss is in `unit`, a squared loss in the square of `unit`.
    ComparisonReport as "ChartComparison" of (compared: &ChartComparison, loss: &Loss, labels: &[Option<String>], left_out: (usize, Vec<RefusedReport>)) in unit
    let best = BestChartReport::new(&compared.best, loss, (compared.training, 0.0), (0, Vec::new()), unit);
    let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
    let all = GroupComparisonReport::new(&compared.all, compared, &None, loss, unit);
    let groups = compared.groups.iter().zip(labels);
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Number of training people of the first split, for whom its best chart is optimised.
        training: usize = compared.training,
        /// Number of people of the first split who are held out for the comparison.
        held_out: usize = all.held_out,
        /// Number of people left out because a measurement or the weight is missing or out of range.
        unmeasured: usize = left_out.0,
        /// For each size of the first split's best chart: waist, hip, and the share of the training people who are
        /// assigned to the size, from 0 to 1.
        sizes: Vec<(f64, f64, f64)> = best.sizes,
        /// Mean loss of the training people in the best chart, over all splits: too optimistic an estimate of the loss
        /// of other people.
        training_loss: f64 = loss_in_unit(compared.training_loss),
        /// Mean loss of the held-out people in the best chart, over all splits; each split has a best chart of its own.
        best_loss: f64 = all.best_loss,
        /// Mean loss of the held-out people in the given chart, over all splits.
        given_loss: f64 = all.given_loss,
        /// Gain of each split, if there are several: mean loss of the given chart minus mean loss of the best chart.
        gains: Vec<f64> [default] = all.gains,
        /// 95 % interval of the mean gain by Student's t, if there are several splits; widened because the splits share
        /// people.
        gain_interval: Option<(f64, f64)> [default] = all.gain_interval,
        /// Losses of each group of held-out people, if the people are grouped, by label; missing labels last.
        groups: Vec<GroupComparisonReport> [default] =
            groups.map(|(losses, label)| GroupComparisonReport::new(losses, compared, label, loss, unit)).collect(),
        /// For each reason why people are left out, a field and an error code: number and mean girths of these people.
        refused: Vec<RefusedReport> [default] = left_out.1,
        /// Settings of the call that compared the charts: version of the package, function, unit, and the given arguments.
        settings: CallSettings [default] = CallSettings::default(),
    }
}

report! {
    /// Comparison of a given chart with the best chart, for one group of the held-out people. The best chart is
    /// searched for the training people of all groups together.
    GroupComparisonReport as "GroupComparison" of (losses: &HeldOutLosses, compared: &ChartComparison, label: &Option<String>, loss: &Loss) in unit
    let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
    let gains = |gains: &[f64]| if gains.len() > 1 { gains.iter().copied().map(loss_in_unit).collect() } else { Vec::new() };
    {
        /// Label of the group; null for people without a label.
        group: Option<String> = label.clone(),
        /// Number of people of the group who are held out in the first split.
        held_out: usize = losses.held_out,
        /// Mean loss of the group's held-out people in the best chart, over all splits; each split has a best chart of
        /// its own. 0 if nobody of the group is held out.
        best_loss: f64 = loss_in_unit(losses.best_loss),
        /// Mean loss of the group's held-out people in the given chart, over all splits; 0 if nobody is held out.
        given_loss: f64 = loss_in_unit(losses.given_loss),
        /// Gain of each split that holds out people of the group, if there are several: mean loss of the given chart
        /// minus mean loss of the best chart.
        gains: Vec<f64> [default] = gains(&losses.gains),
        /// 95 % interval of the mean gain by Student's t, if there are several splits; widened because the splits share
        /// people.
        gain_interval: Option<(f64, f64)> [default] =
            compared.gain_interval(losses).map(|(low, high)| (loss_in_unit(low), loss_in_unit(high))),
    }
}
