//! The nearest size of a body, and what to do between two.

use super::{Size, SizeChart};
use crate::body::Body;
use crate::field::Unit;

/// A body nearer to a size than this has it, in centimetres: half a millimetre, below what a tape tells.
const EXACT: f64 = 0.05;

/// A girth by which a size is smaller than the body and still serves, in centimetres: less than ease forgives (common
/// practice).
const FORGIVEN: f64 = 0.5;

/// More than this is not between two sizes any more, in centimetres.
const FAR: f64 = 8.0;

/// A girth by its name.
type Girth = (&'static str, fn(&Body) -> f64);

/// A size, and by how much it misses the body.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeDifference {
    /// The size's name.
    pub size: String,
    /// Its waist less the body's, in centimetres.
    pub waist: f64,
    /// Its hip less the body's, in centimetres.
    pub hip: f64,
}

/// A girth beyond the chart.
#[derive(Clone, Debug, PartialEq)]
pub struct GirthOutsideChart {
    /// Which girth: `waist` or `hip`.
    pub girth: &'static str,
    /// The smallest or the largest size.
    pub size: String,
    /// By how much the body is larger than the largest, or, below zero, smaller than the smallest, in centimetres.
    pub by: f64,
}

/// The way from a body to the sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The size with the nearest waist.
    pub waist: SizeDifference,
    /// The size with the nearest hip.
    pub hip: SizeDifference,
    /// The size whose larger miss is the least.
    pub overall: SizeDifference,
    /// The smallest size with no girth smaller than the body's by more than half a centimetre, if there is one: cloth can be taken in and not let out
    /// (common practice).
    pub advised: Option<SizeDifference>,
    /// Girths beyond the chart.
    pub outside: Vec<GirthOutsideChart>,
}

impl SizeChart {
    /// The nearest sizes of a body, by its waist and hip. Of two as near, the larger.
    ///
    /// ```
    /// use kirtle::{Body, SizeChart, Unit};
    ///
    /// let body = Body { waist: 73.0, hip: 101.0, hip_depth: 20.0, length: 60.0 };
    /// let choice = SizeChart::demo().choose(&body);
    /// assert_eq!((choice.waist.size.as_str(), choice.hip.size.as_str()), ("38", "40"));
    /// assert_eq!(choice.advised.as_ref().unwrap().size, "42");
    /// assert!(choice.advice(Unit::Cm).contains("take the larger"));
    /// ```
    #[must_use]
    pub fn choose(&self, body: &Body) -> Choice {
        let near = |size: &Size| SizeDifference {
            size: size.name.clone(),
            waist: size.body.waist - body.waist,
            hip: size.body.hip - body.hip,
        };
        // The chart has sizes, the smallest first; of equals the last is kept.
        let nearest = |miss: fn(&SizeDifference) -> f64| {
            let larger = self.sizes[1..].iter().map(near);
            larger.fold(near(&self.sizes[0]), |best, next| if miss(&next) <= miss(&best) { next } else { best })
        };
        let advised = self.sizes.iter().map(near).find(|near| near.waist >= -FORGIVEN && near.hip >= -FORGIVEN);
        Choice {
            waist: nearest(|near| near.waist.abs()),
            hip: nearest(|near| near.hip.abs()),
            overall: nearest(|near| near.waist.abs().max(near.hip.abs())),
            advised,
            outside: self.outside(body),
        }
    }

    /// The girths of a body that lie beyond the chart.
    pub(super) fn outside(&self, body: &Body) -> Vec<GirthOutsideChart> {
        let (smallest, largest) = (&self.sizes[0], &self.sizes[self.sizes.len() - 1]);
        let girths: [Girth; 2] = [("waist", |body| body.waist), ("hip", |body| body.hip)];
        let beyond = |(girth, of): Girth| {
            let (below, above) = (of(body) - of(&smallest.body), of(body) - of(&largest.body));
            let outside = |size: &Size, by| Some(GirthOutsideChart { girth, size: size.name.clone(), by });
            if below < -EXACT {
                outside(smallest, below)
            } else if above > EXACT {
                outside(largest, above)
            } else {
                None
            }
        };
        girths.into_iter().filter_map(beyond).collect()
    }
}

impl Choice {
    /// What to do, in plain words, with lengths in `unit`.
    #[must_use]
    pub fn advice(&self, unit: Unit) -> String {
        if !self.outside.is_empty() {
            let beyond = |outside: &GirthOutsideChart| {
                let which = if outside.by > 0.0 {
                    "larger than that of the largest"
                } else {
                    "smaller than that of the smallest"
                };
                format!("the {} is {} {which} size, {}", outside.girth, length(outside.by, unit), outside.size)
            };
            let all: Vec<String> = self.outside.iter().map(beyond).collect();
            return format!("This body is beyond the chart: {}. Draft it itself.", all.join("; "));
        }
        let near = &self.overall;
        let mut advice = if near.waist.abs().max(near.hip.abs()) <= EXACT {
            vec![format!("This body is size {}.", near.size)]
        } else {
            vec![format!("Nearest is {}: {}.", near.size, misses(near, unit))]
        };
        let far = |larger: &&SizeDifference| larger.waist.max(larger.hip) > FAR;
        if self.advised.as_ref().is_some_and(|larger| far(&larger) && larger.size != near.size) {
            advice.push("No size near it has both girths.".to_owned());
        } else if let Some(larger) = self.advised.as_ref().filter(|advised| advised.size != near.size) {
            advice.push(format!(
                "Between two take the larger, {}, as it is easier to take in than to let out: {}.",
                larger.size,
                misses(larger, unit)
            ));
        }
        if self.waist.size != self.hip.size {
            advice.push(format!(
                "The waist is nearest to {} and the hip to {}: blend the two, or draft this body itself.",
                self.waist.size, self.hip.size
            ));
        }
        advice.join(" ")
    }
}

/// How the girths of a size miss the body's.
fn misses(near: &SizeDifference, unit: Unit) -> String {
    let miss = |girth: &str, by: f64| {
        if by.abs() <= EXACT {
            format!("its {girth} is the same")
        } else {
            format!("its {girth} is {} {}", length(by, unit), if by > 0.0 { "larger" } else { "smaller" })
        }
    };
    format!("{}, {}", miss("waist", near.waist), miss("hip", near.hip))
}

fn length(by: f64, unit: Unit) -> String {
    format!("{} {}", unit.format_rounded(by.abs()), unit.name())
}
