//! Cautions about a valid draft or pattern, in the words of a cutter.
//!
//! A [`Finding`] gives a measured value, its limit and advice. The limit comes from a published source, common practice
//! or geometry. A finding refuses nothing: the trial garment decides.
//!
//! ```
//! use kirtle::{Body, Ease, Rules};
//!
//! let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 5.0 }, &Rules::default())?;
//! assert_eq!(draft.findings()[0].code, "little_waist_ease");
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod draft;
mod ease_profile;
mod pattern;

pub(crate) use draft::{
    DRAFT_FINDINGS, decide_draft_findings, default_max_side_lean_tangent, hem_girth_for_walking_cm,
    vent_height_for_walking_cm,
};

use std::borrow::Cow;
use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::{GivenValue, fill_placeholders};
use crate::field::Unit;
pub use crate::wording::FindingCode;
use crate::wording::{Texts, Wording, printed};

/// One caution about a valid draft or pattern.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Finding {
    /// Kind of the finding, such as `narrow_hem`.
    #[schemars(with = "FindingCode")]
    pub code: Cow<'static, str>,
    /// Panel that the finding concerns: `back`, `front`, or `both` for the whole garment.
    pub panel: Cow<'static, str>,
    /// Measured value, in `unit`.
    pub measured: f64,
    /// Limit that the measured value breaks, in `unit`.
    pub limit: f64,
    /// Unit of `measured` and `limit`: `cm`, `in`, `deg` or `count`.
    pub unit: Cow<'static, str>,
    /// Other values of the message by name: a length in `unit`, or the key of one of the texts, such as `add_hip_ease`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub values: BTreeMap<Cow<'static, str>, GivenValue>,
    /// Caution in words, with the values and with advice; in English, unless other texts are given.
    pub message: String,
}

impl Finding {
    /// Creates a finding from a measured number and its limit, both in `unit`.
    fn new(code: FindingCode, panel: &'static str, [measured, limit]: [f64; 2], unit: &'static str) -> Self {
        let (values, message) = (BTreeMap::new(), String::new());
        let finding =
            Self { code: code.name().into(), panel: panel.into(), measured, limit, unit: unit.into(), values, message };
        finding.with_values::<f64, 0>([])
    }

    /// Returns the finding with more values in its message.
    fn with_values<V: Into<GivenValue>, const N: usize>(mut self, values: [(&'static str, V); N]) -> Self {
        self.values.extend(values.map(|(name, value)| (name.into(), value.into())));
        self.message = self.message_in(&Texts::default());
        self
    }

    /// Returns the caution with its values in the language of `texts`; empty for an unknown code.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Texts};
    ///
    /// let german = Texts::new([("little_waist_ease", "Nur {measured} statt {usual_min} bis {usual_max} am Bund."), ("decimal_mark", ",")])?;
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 0.5, hip: 5.0 }, &Rules::default())?;
    /// assert_eq!(draft.findings()[0].message_in(&german), "Nur 0,5 cm statt 1,2 cm bis 1,9 cm am Bund.");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn message_in(&self, texts: &Texts) -> String {
        let wording = self.unit.parse().ok().map(|unit: Unit| Wording::from((unit, texts)));
        // The numbers of a waist that lies too high are negative; its caution says so in words.
        let is_tilt = self.code == FindingCode::WaistTilted.name();
        let numbers = [self.measured, self.limit].map(|number| if is_tilt { number.abs() } else { number });
        let short = numbers.map(|number| match wording {
            Some(Wording { ruler, .. }) => ruler.format_length(number * ruler.unit().cm_per_unit()),
            None if self.unit == "deg" => format!("{number:.1}"),
            None => number.to_string(),
        });
        let with_unit = |number: String| match wording {
            Some(wording) => wording.with_unit(texts.number(number)),
            None => texts.number(number) + if self.unit == "deg" { "°" } else { "" },
        };
        let [measured, limit] = distinguishable_number_texts(short, numbers).map(with_unit);
        fill_placeholders(texts.template(&self.code), |message, name| match (name, self.values.get(name), wording) {
            ("measured", ..) => *message += &measured,
            ("limit", ..) => *message += &limit,
            ("panel", ..) => *message += texts.template(&self.panel),
            (_, Some(GivenValue::Text(key)), _) => *message += texts.template(key),
            (_, Some(GivenValue::Number(length)), Some(wording)) => {
                *message += &wording.with_unit(wording.input_length(length * wording.ruler.unit().cm_per_unit()));
            }
            _ => {}
        })
    }
}

/// Returns cautions as printed.
pub(crate) fn printed_cautions(findings: Vec<Finding>, texts: &Texts) -> impl Iterator<Item = String> {
    findings.into_iter().map(|finding| printed!(texts.caution(), caution = finding.message_in(texts)))
}

/// Returns the texts `short` of two numbers. If both texts are equal, returns the texts with the fewest decimals, from
/// 2 to 9, that differ; `short` if none differ.
fn distinguishable_number_texts(short: [String; 2], numbers: [f64; 2]) -> [String; 2] {
    let longer = (2..=9).map(|digits| numbers.map(|number| format!("{number:.digits$}")));
    std::iter::once(short.clone()).chain(longer).find(|[one, other]| one != other).unwrap_or(short)
}

/// Creates a finding from a measured length and its limit, both given in centimetres and reported in `unit`.
fn length_finding_from_cm(code: FindingCode, panel: &'static str, measured: f64, limit: f64, unit: Unit) -> Finding {
    Finding::new(code, panel, [measured, limit].map(|length_cm| unit.length_from_cm(length_cm)), unit.name())
}

/// Returns a roughly estimated length, given in centimetres, in `unit`: rounded up to whole centimetres or quarters of
/// an inch.
fn estimate_from_cm(length_cm: f64, unit: Unit) -> GivenValue {
    let step_cm = if unit == Unit::In { 2.54 / 4.0 } else { 1.0 };
    unit.length_from_cm((length_cm / step_cm - 1e-9).ceil() * step_cm).into()
}
