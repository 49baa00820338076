//! An alteration on paper: steps that a person follows with ruler and curve on a printed nest, carried out as geometry and
//! set beside the exact redraft.

use super::blend::mean;
use super::{Blend, Cost, SizeRange};
use crate::body::Body;
use crate::draft::{Dart, Draft, Panel, Role, outline};
use crate::error::Problems;
use crate::geometry::{Cubic, Path, Point};

/// What an alteration may cost unless told, in millimetres.
pub(crate) const TOLERANCE_MM: f64 = 3.0;

/// Nearer than this, in centimetres, nothing need be moved: half a millimetre.
pub(super) const SAME: f64 = 0.05;

/// The least straight side below the hip line, in centimetres, as a draft must have it.
const MIN_BELOW_HIP: f64 = 1.0;

/// The kinds of step, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// The waist line, the darts and the side point, from one size or between two.
    Waist,
    /// The hip from another size or place, joined to the waist by a shallow curve.
    Hip,
    /// The hip line at the body's own depth.
    HipLine,
    /// The hem at the body's own length.
    Hem,
}

impl StepKind {
    /// The kind as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            StepKind::Waist => "waist",
            StepKind::Hip => "hip",
            StepKind::HipLine => "hip_line",
            StepKind::Hem => "hem",
        }
    }
}

/// A step, and what the pattern costs after it beside an exact draft of what it is meant to be by then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// What it does.
    pub kind: StepKind,
    /// The cost after it.
    pub cost: Cost,
}

/// An alteration carried out.
#[derive(Clone, Debug, PartialEq)]
pub struct Alteration {
    /// Where the body lies between the sizes.
    pub blend: Blend,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// The altered back.
    pub back: Panel,
    /// The altered front.
    pub front: Panel,
    /// The exact redraft.
    pub exact: Draft,
    /// What the alteration costs.
    pub cost: Cost,
    /// What it may cost, in millimetres.
    pub tolerance_mm: f64,
    /// How far the waist lies above the printed hip line: the hip depth of the nest where the body's waist lies.
    pub(crate) nest_depth: f64,
    /// The size whose hem is followed, and how far that lies below the printed hip line.
    pub(super) hem: (String, f64),
    /// Whether the two sizes of the waist have different numbers of darts.
    pub(super) differ: bool,
}

impl SizeRange {
    /// Alters the printed nest for a body, on paper.
    ///
    /// The waist line, the darts and the waist's side point come from the body's place between two sizes at the waist, the
    /// width from its place at the hip; a curve upright at the hip line joins them, as a curved ruler would; the hip line is
    /// set at the body's depth below the waist, and the hem at its length. Where the two sizes of the waist have different
    /// numbers of darts, those of the nearer are traced. The tolerance is 3 mm unless told.
    ///
    /// # Errors
    /// A girth [outside the chart](crate::Code::OutsideChart); what [`draft`](crate::draft) refuses.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, SizeChart, Unit};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let body = Body { waist: 74.0, hip: 98.0, ..range.chart().sizes()[3].body };
    /// let altered = range.alter(&body, None)?;
    /// assert!(altered.holds() && altered.cost.largest_mm() < 1.0);
    /// assert!(altered.instructions(Unit::Cm)[0].starts_with("Waist, back and front alike:"));
    /// assert!(range.alter(&Body { hip: 140.0, ..body }, None).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn alter(&self, body: &Body, tolerance_mm: Option<f64>) -> Result<Alteration, Problems> {
        let blend = self.chart.locate(body)?;
        let [a, b] = self.ends(&blend.waist);
        let nest_depth = mean(a.body().hip_depth, b.body().hip_depth, blend.waist.fraction);
        let [c, d] = self.ends(&blend.hip);
        let carry_out = |blend: &Blend, body: &Body| {
            let exact = self.redraft(body)?;
            let [back, front] = self.altered(blend, body);
            Ok::<_, Problems>((Cost::of([&back, &front], &exact), exact, back, front))
        };
        let (cost, exact, back, front) = carry_out(&blend, body)?;
        // The hip line of the nest may lie below the hem of a short skirt, until it is moved.
        let at_hip = Body { hip_depth: nest_depth, length: body.length.max(nest_depth + MIN_BELOW_HIP), ..*body };
        let at_waist = Body { hip: mean(a.body().hip, b.body().hip, blend.waist.fraction), ..at_hip };
        let straight_down = Blend { hip: blend.waist.clone(), ..blend.clone() };
        let steps = [
            (StepKind::Waist, carry_out(&straight_down, &at_waist)?.0),
            (StepKind::Hip, carry_out(&blend, &at_hip)?.0),
            (StepKind::HipLine, cost),
            // The hem lies on straight lines, wherever it is.
            (StepKind::Hem, cost),
        ];
        let steps = steps.map(|(kind, cost)| Step { kind, cost }).to_vec();
        let nearer = if blend.hip.fraction < 0.5 { (&blend.hip.from, c) } else { (&blend.hip.to, d) };
        let printed = nearer.1.body();
        let hem = (nearer.0.clone(), printed.length - printed.hip_depth);
        let differ = a.panels().into_iter().zip(b.panels()).any(|(a, b)| a.darts.len() != b.darts.len());
        let tolerance_mm = tolerance_mm.unwrap_or(TOLERANCE_MM);
        Ok(Alteration { blend, steps, back, front, exact, cost, tolerance_mm, nest_depth, hem, differ })
    }

    /// The drafts of the two sizes of a mark.
    fn ends(&self, mark: &super::BetweenSizes) -> [&Draft; 2] {
        [&mark.from, &mark.to].map(|name| {
            let place = self.chart.sizes.iter().position(|size| size.name == *name);
            &self.drafts[place.unwrap_or_default()]
        })
    }

    /// Back and front as the steps make them.
    fn altered(&self, blend: &Blend, body: &Body) -> [Panel; 2] {
        let (waist, hip) = (self.ends(&blend.waist), self.ends(&blend.hip));
        [0, 1].map(|k| {
            let [a, b] = waist.map(|draft| draft.panels()[k]);
            let [c, d] = hip.map(|draft| draft.panels()[k]);
            let width = mean(c.width, d.width, blend.hip.fraction);
            let fraction = blend.waist.fraction;
            let side = mean(a.waist_width, b.waist_width, fraction);
            let (stretches, darts) = waist_line([a, b], fraction, side);
            let mut edges = Vec::new();
            let curve = waist[0].side_seam(width, width - side, body.hip_depth);
            let (line, corners) = (|k: usize| stretches[k], |k: usize| darts[k].corners());
            outline(width, darts.len(), line, corners, curve, body.length, |edge| edges.push(edge));
            Panel { half: a.half, width, waist_width: side, waist_lowering: stretches[0].points[0].y, edges, darts }
        })
    }
}

/// The waist line and the darts between those of two sizes; of the nearer where they have different numbers of darts.
fn waist_line([a, b]: [&Panel; 2], fraction: f64, side: f64) -> (Vec<Cubic>, Vec<Dart>) {
    let between = |p: Point, q: Point| Point::new(mean(p.x, q.x, fraction), mean(p.y, q.y, fraction));
    if a.darts.len() == b.darts.len() {
        let pairs = stretches(a).into_iter().zip(stretches(b));
        let lines = pairs.map(|(a, b)| Cubic::new(std::array::from_fn(|k| between(a.points[k], b.points[k]))));
        let darts = a.darts.iter().zip(&b.darts).map(|(a, b)| {
            Dart::new(between(a.inner, b.inner), between(a.outer, b.outer), mean(a.length, b.length, fraction))
        });
        return (lines.collect(), darts.collect());
    }
    let nearer = if fraction < 0.5 { a } else { b };
    let mut lines = stretches(nearer);
    // The line is drawn on, or stopped short, to the mark at the side.
    if let Some([.., handle, end]) = lines.last_mut().map(|line| &mut line.points) {
        let step = side - end.x;
        handle.x += step;
        end.x = side;
    }
    (lines, nearer.darts.clone())
}

fn stretches(panel: &Panel) -> Vec<Cubic> {
    panel.paths(Role::Waist).filter_map(Path::cubic).copied().collect()
}

impl Alteration {
    /// Whether it costs no more than it may.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.cost.largest_mm() <= self.tolerance_mm
    }

    /// The step that adds most to a cost that is too high; none where it is not.
    #[must_use]
    pub fn costliest(&self) -> Option<StepKind> {
        let differ = |cost: &Cost| cost.dart_gap_mm.is_none();
        // Darts that differ in number count before any length.
        let added = |k: usize| {
            let before = k.checked_sub(1).map(|before| self.steps[before].cost);
            let new_darts = differ(&self.steps[k].cost) && !before.is_some_and(|before| differ(&before));
            let length = |cost: Cost| if differ(&cost) { cost.outline_mm() } else { cost.largest_mm() };
            let more = length(self.steps[k].cost) - before.map_or(0.0, length);
            if new_darts { f64::INFINITY } else { more }
        };
        let costliest = (0..self.steps.len()).max_by(|a, b| added(*a).total_cmp(&added(*b)));
        costliest.filter(|_| !self.holds()).map(|k| self.steps[k].kind)
    }
}
