//! Choice of the nearest size for a body, with advice in words.

use super::{Size, SizeChart};
use crate::body::Body;
use crate::field::Unit;

/// Largest difference, in centimetres, at which two girths count as equal: less than a tape measure shows.
const EQUAL_GIRTH_TOLERANCE_CM: f64 = 0.05;

/// Largest amount by which waist and hip of an advised size may be smaller than the body's, in cm (common practice).
const MAX_SIZE_SHORTFALL_CM: f64 = 0.5;

/// Largest excess over the body's waist or hip, in centimetres, at which the advice still recommends the larger size.
const MAX_SIZE_EXCESS_CM: f64 = 8.0;

/// Name of a girth, and the function that reads the girth from a body.
type GirthNameAndReader = (&'static str, fn(&Body) -> f64);

/// Name of a size, and the size's girths minus a body's girths.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeDifference {
    /// Name of the size.
    pub size: String,
    /// Waist of the size minus waist of the body, in centimetres.
    pub waist: f64,
    /// Hip of the size minus hip of the body, in centimetres.
    pub hip: f64,
}

/// Girth of a body that lies outside the range of the size chart.
#[derive(Clone, Debug, PartialEq)]
pub struct GirthOutsideChart {
    /// Name of the girth: `waist` or `hip`.
    pub girth: &'static str,
    /// Name of the smallest or the largest size, whichever is nearer to the body.
    pub size: String,
    /// Girth of the body minus girth of `size`, in centimetres; negative for a body below the smallest size.
    pub by: f64,
}

/// Sizes nearest to a body by waist, by hip and overall, and the size advised for the body.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeChoice {
    /// Size with the nearest waist.
    pub waist: SizeDifference,
    /// Size with the nearest hip.
    pub hip: SizeDifference,
    /// Nearest size overall: the size with the smallest maximum of waist difference and hip difference.
    pub overall: SizeDifference,
    /// Smallest size with waist and hip at most 0.5 cm smaller than the body's; `None` if no size is large enough.
    ///
    /// A garment can be taken in, but has little cloth to let out (common practice).
    pub advised: Option<SizeDifference>,
    /// Girths of the body that lie outside the range of the size chart.
    pub outside: Vec<GirthOutsideChart>,
}

impl SizeChart {
    /// Chooses the sizes nearest to a body by waist, by hip and overall; the larger of two equally near sizes.
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
    pub fn choose(&self, body: &Body) -> SizeChoice {
        let difference = |size: &Size| SizeDifference {
            size: size.name.clone(),
            waist: size.body.waist - body.waist,
            hip: size.body.hip - body.hip,
        };
        // The sizes are in ascending order, so that the larger of two equally near sizes wins.
        let nearest = |distance: fn(&SizeDifference) -> f64| {
            let larger = self.sizes[1..].iter().map(difference);
            let nearer = |best, next| if distance(&next) <= distance(&best) { next } else { best };
            larger.fold(difference(&self.sizes[0]), nearer)
        };
        let fits = |size: &SizeDifference| [size.waist, size.hip].iter().all(|by| *by >= -MAX_SIZE_SHORTFALL_CM);
        SizeChoice {
            waist: nearest(|size| size.waist.abs()),
            hip: nearest(|size| size.hip.abs()),
            overall: nearest(|size| size.waist.abs().max(size.hip.abs())),
            advised: self.sizes.iter().map(difference).find(fits),
            outside: self.body_girths_outside_chart(body),
        }
    }

    /// Returns the girths of a body, waist or hip, that lie more than 0.05 cm outside the range of this chart.
    pub(super) fn body_girths_outside_chart(&self, body: &Body) -> Vec<GirthOutsideChart> {
        let (smallest, largest) = (&self.sizes[0], &self.sizes[self.sizes.len() - 1]);
        let girths: [GirthNameAndReader; 2] = [("waist", |body| body.waist), ("hip", |body| body.hip)];
        let check = |(girth, girth_of): GirthNameAndReader| {
            let (below, above) = (girth_of(body) - girth_of(&smallest.body), girth_of(body) - girth_of(&largest.body));
            let outside = |size: &Size, by| Some(GirthOutsideChart { girth, size: size.name.clone(), by });
            if below < -EQUAL_GIRTH_TOLERANCE_CM {
                outside(smallest, below)
            } else if above > EQUAL_GIRTH_TOLERANCE_CM {
                outside(largest, above)
            } else {
                None
            }
        };
        girths.into_iter().filter_map(check).collect()
    }
}

impl SizeChoice {
    /// Returns advice in plain words on the size to take; lengths are in `unit`.
    #[must_use]
    pub fn advice(&self, unit: Unit) -> String {
        if !self.outside.is_empty() {
            let describe = |outside: &GirthOutsideChart| {
                let girth = outside.girth;
                let (comparative, superlative) =
                    if outside.by > 0.0 { ("larger", "largest") } else { ("smaller", "smallest") };
                let by = format_length(outside.by, unit);
                format!(
                    "the {girth} is {by} {comparative} than the {girth} of the {superlative} size, {}",
                    outside.size
                )
            };
            let all: Vec<String> = self.outside.iter().map(describe).collect();
            return format!("This body is outside the size chart: {}. Draft this body individually.", all.join("; "));
        }
        let nearest = &self.overall;
        let mut advice = if nearest.waist.abs().max(nearest.hip.abs()) <= EQUAL_GIRTH_TOLERANCE_CM {
            vec![format!("This body is size {}.", nearest.size)]
        } else {
            vec![format!("The nearest size is {}: {}.", nearest.size, describe_size_difference(nearest, unit))]
        };
        if let Some(larger) = self.advised.as_ref().filter(|advised| advised.size != nearest.size) {
            advice.push(if larger.waist.max(larger.hip) > MAX_SIZE_EXCESS_CM {
                let excess = format_length(MAX_SIZE_EXCESS_CM, unit);
                format!(
                    "No size is large enough at both waist and hip without being more than {excess} too large at one: \
                     draft this body individually."
                )
            } else {
                format!(
                    "Between two sizes, take the larger, {}, as it is easier to take in than to let out: {}.",
                    larger.size,
                    describe_size_difference(larger, unit)
                )
            });
        }
        if self.waist.size != self.hip.size {
            advice.push(format!(
                "The waist is nearest to size {} and the hip to size {}: blend the two sizes, or draft this body \
                 individually.",
                self.waist.size, self.hip.size
            ));
        }
        advice.join(" ")
    }
}

/// Describes how much too large or too small for the body a size is at waist and hip.
fn describe_size_difference(difference: &SizeDifference, unit: Unit) -> String {
    let describe = |girth: &str, by: f64| {
        if by.abs() <= EQUAL_GIRTH_TOLERANCE_CM {
            format!("its {girth} fits")
        } else {
            format!("its {girth} is {} {}", format_length(by, unit), if by > 0.0 { "too large" } else { "too small" })
        }
    };
    format!("{}, {}", describe("waist", difference.waist), describe("hip", difference.hip))
}

fn format_length(length: f64, unit: Unit) -> String {
    format!("{} {}", unit.format_for_cutters(length.abs()), unit.name())
}
