//! The draft: front and back of the skirt from a body, over any scalar.
//!
//! Three rules, which every cutter checks by hand, make the geometry: every seam meets the waist square; the legs of a
//! dart are equal and the side seams are one curve; the sewn waist, measured along its curve with the darts closed, is
//! the waist plus its ease.

mod apportion;
mod closure;
mod girth;
mod lanes;
mod limits;
mod panel;
mod points;
mod side;
mod summary;

use crate::body::{Apportionment, Body, Ease, Inputs, PanelRules, Rules};
use crate::error::Problems;
use crate::field::Unit;
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::{Number, Scalar};
use apportion::{Amounts, DartPlans, Empty, Sharing, apportion};
pub(crate) use lanes::{LaneApportionment, dart_counts, series_lengths, steepest, summaries, suppressions};
pub(crate) use panel::outline;
use panel::{Corners, PanelPlan, Seam, corners};
pub use points::NamedPoint;
pub(crate) use side::SideCurve;
pub use summary::{DartSummary, PanelSummary, Summary};

/// Drafts the front and back of a straight skirt.
///
/// # Errors
/// All the [`Problems`] at once: a number out of its range (see [`Body::FIELDS`] and its neighbours), a hem above the
/// hip line, or rules under which this body leaves no cloth between two darts, sends a dart below the hip line, or lays
/// the side seam flat.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
/// assert_eq!(draft.nominal.total, 13.0);
/// assert_eq!(draft.back.width, 23.0);
/// assert!((draft.girth_at(18.0)? - 96.0).abs() < 1e-9);
///
/// let short = Body { length: 15.0, ..body };
/// let problems = kirtle::draft(&short, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default()).unwrap_err();
/// assert_eq!(problems.to_string(), "body.length: 15 cm does not clear the hip line; the least is 19 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft(body: &Body, ease: &Ease, rules: &Rules) -> Result<Draft, Problems> {
    drafted(Inputs::new(body, ease, rules, Unit::Cm)?)
}

/// Drafts what has been checked.
pub(crate) fn drafted(inputs: Inputs) -> Result<Draft, Problems> {
    let plan = Plan::of(&inputs);
    let (suppression, residual) = closure::close(&plan);
    let draft = plan.draft(inputs, suppression);
    Problems::ok_if_empty(limits::problems(&draft, residual))?;
    Ok(draft)
}

/// The finished draft, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft<T: Scalar = f64> {
    /// What it was drafted for.
    pub(crate) inputs: Inputs<T>,
    /// The suppression as the measurements give it and the rules share it out, before the waist is closed.
    pub nominal: Suppression<T>,
    /// The suppression as drafted: a little more than nominal, as a curve is longer than its chord.
    pub suppression: Suppression<T>,
    /// What the side seams take beyond their limit, as no dart has room for it; half the garment.
    pub left_in_side: T,
    /// The back panel.
    pub back: Panel<T>,
    /// The front panel.
    pub front: Panel<T>,
}

/// What half the garment loses from hip to waist, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suppression<T = f64> {
    /// All of it.
    pub total: T,
    /// By the side seams of back and front together; each loses half.
    pub side: T,
    /// By the darts of the back.
    pub back: T,
    /// By the darts of the front.
    pub front: T,
}

/// Which of the two panels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Half {
    /// The back panel.
    Back,
    /// The front panel.
    Front,
}

impl Half {
    /// Both, in the order of [`Draft::panels`].
    pub(crate) const BOTH: [Half; 2] = [Half::Back, Half::Front];

    /// The panel as it stands in JSON: `back` or `front`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Half::Back => "back",
            Half::Front => "front",
        }
    }
}

/// One panel, half of the back or of the front, in its own frame: `x` from the centre line towards the side seam, `y`
/// down from the level of the waist at the side seam.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel<T: Scalar = f64> {
    /// Back or front.
    pub half: Half,
    /// Width at the hip line and below.
    pub width: T,
    /// Width from the centre line to the side seam at the waist, straight across, with the darts open.
    pub waist_width: T,
    /// How far the centre of the waist lies below the waist at the side seam.
    pub waist_lowering: T,
    /// The darts from the centre to the side.
    pub darts: Vec<Dart<T>>,
    /// The closed outline: from the centre of the waist along waist and darts to the side, down, and back by the hem.
    pub edges: Vec<Edge<T>>,
}

/// A dart: it stands on the grain, its legs are equal and meet the waist at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dart<T: Scalar = f64> {
    /// From the centre line to the dart's centre.
    pub centre: T,
    /// Width of the mouth.
    pub intake: T,
    /// From the mouth to the tip, down the dart's centre.
    pub length: T,
    /// The angle between a leg and the dart's centre, in radians.
    pub half_angle_rad: T,
    /// Length of each leg.
    pub leg: T,
    /// Where the leg next to the centre meets the waist.
    pub inner: Point<T>,
    /// Where the leg next to the side meets the waist.
    pub outer: Point<T>,
    /// The tip.
    pub tip: Point<T>,
}

/// What an edge is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// A stretch of the waist.
    Waist,
    /// A leg of a dart.
    Dart,
    /// The side seam: a curve to the hip line, a straight line below.
    Side,
    /// The hem.
    Hem,
    /// The centre line: a fold in front, a seam at the back.
    Centre,
}

impl Role {
    /// The role as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Role::Waist => "waist",
            Role::Dart => "dart",
            Role::Side => "side",
            Role::Hem => "hem",
            Role::Centre => "centre",
        }
    }
}

/// One edge of a panel's outline; it ends where the next one starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge<T: Number = f64> {
    /// What the edge is for.
    pub role: Role,
    /// Its line or curve, in the direction of the outline.
    pub path: Path<T>,
}

/// All that is decided before the waist is closed.
#[derive(Clone, Debug)]
struct Plan<T> {
    side: SideCurve<T>,
    /// The sewn waist of half the garment.
    target: T,
    nominal: T,
    sharing: Sharing<T>,
    panels: [PanelPlan<T>; 2],
}

/// Which curves are of the simple shape whose length a series or a rule of its own tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Simple {
    /// Of back and front, whether the centre is not lowered on purpose: then every stretch is its own mirror image.
    pub(crate) waist: [bool; 2],
    /// Whether the side seam is the natural spline.
    pub(crate) side: bool,
}

impl Simple {
    /// Those of a stance: derivatives by what is nothing here are not nothing.
    pub(crate) fn of<T: Scalar>(panel_rules: &PanelRules<T>) -> Self {
        let waist = [panel_rules.centre_back_lower, panel_rules.centre_front_lower]
            .map(|lower| !lower.varies() && lower.re() == 0.0);
        Self { waist, side: !panel_rules.side_fullness.varies() && side::is_natural(panel_rules.side_fullness.re()) }
    }
}

/// The hip and the sewn waist of half the garment.
#[inline(always)]
fn halves<T: Number>(body: &Body<T>, ease: &Ease<T>) -> [T; 2] {
    let half = T::constant(0.5);
    [(body.hip + ease.hip) * half, (body.waist + ease.waist) * half]
}

impl<T: Number> Plan<T> {
    /// The plan of a body before its suppression is [shared out](Self::share_out).
    #[inline(always)]
    fn new(body: &Body<T>, ease: &Ease<T>, panel_rules: &PanelRules<T>, simple: Simple) -> Self {
        let [hip, target] = halves(body, ease);
        let (quarter, balance, nominal) = (hip * T::constant(0.5), panel_rules.balance, hip - target);
        let side = SideCurve { depth: body.hip_depth, fullness: panel_rules.side_fullness, natural: simple.side };
        let panel =
            |half, width, lower, symmetric| PanelPlan { half, width, lower, symmetric, darts: DartPlans::new() };
        let panels = [
            panel(Half::Back, quarter - balance, panel_rules.centre_back_lower, simple.waist[0]),
            panel(Half::Front, quarter + balance, panel_rules.centre_front_lower, simple.waist[1]),
        ];
        Self { side, target, nominal, sharing: Sharing::none(), panels }
    }

    /// Adds how the suppression is shared out, and the darts, where the plan is: to move those of several bodies takes time.
    #[inline(always)]
    fn share_out(&mut self, by: impl FnOnce(T, &SideCurve<T>, Empty<T>) -> Sharing<T>) {
        let [back, front] = &mut self.panels;
        self.sharing = by(self.nominal, &self.side, [&mut back.darts, &mut front.darts]);
    }

    /// Who takes what, where the amounts are these.
    #[inline(always)]
    fn suppression(&self, total: T, amounts: &Amounts<T>) -> Suppression<T> {
        let mut taken = [T::constant(0.0); 2];
        for ((taken, panel), amount) in taken.iter_mut().zip(&self.panels).zip(amounts.panels) {
            for dart in &panel.darts {
                *taken += dart.intake(amount);
            }
        }
        let [back, front] = taken;
        Suppression { total, side: amounts.side, back, front }
    }
}

impl<T: Copy> Plan<T> {
    /// The same plan over another number.
    fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> Plan<U> {
        Plan {
            side: self.side.map(f),
            target: f(self.target),
            nominal: f(self.nominal),
            sharing: self.sharing.map(f),
            panels: self.panels.each_ref().map(|panel| panel.map(f)),
        }
    }
}

impl<T: Scalar> Plan<T> {
    /// The plan of an input.
    fn of(inputs: &Inputs<T>) -> Self {
        let Inputs { body, ease, rules } = inputs;
        let simple = Simple::of(&rules.panel_rules);
        let mut plan = Self::new(body, ease, &rules.panel_rules, simple);
        plan.share_out(|nominal, side, darts| apportion(nominal, side, &rules.apportionment, darts));
        plan
    }

    /// The draft, once closing has found the suppression.
    fn draft(&self, inputs: Inputs<T>, total: T) -> Draft<T> {
        let amounts = self.sharing.amounts(total);
        let seam = Seam::new(amounts.side, &self.side);
        let panel = |k: usize| self.panels[k].panel(&seam, amounts.panels[k], &self.side, inputs.body.length);
        Draft {
            back: panel(0),
            front: panel(1),
            nominal: self.suppression(self.nominal, &self.sharing.amounts(self.nominal)),
            suppression: self.suppression(total, &amounts),
            left_in_side: amounts.left_in_side,
            inputs,
        }
    }
}

impl<T: Scalar> Draft<T> {
    /// The same draft over another scalar: every number of body, ease and rules passes through `f`, in the order of
    /// their tables, and the whole is drafted again.
    ///
    /// With dual numbers it carries exact derivatives of everything by whatever `f` marks; values stay as they are.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    /// use num_dual::Dual64;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let mut first = true;
    /// let by_waist = draft.lift(|value| Dual64::new(value, if std::mem::take(&mut first) { 1.0 } else { 0.0 }));
    /// // A larger waist leaves less to take in: about half of it on half the garment.
    /// assert!((by_waist.suppression.total.eps + 0.5).abs() < 0.02);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn lift<U: Scalar>(&self, mut f: impl FnMut(T) -> U) -> Draft<U> {
        // The values are checked ones and stay what they are, whatever `f` makes of them.
        let inputs = self.inputs.map(|value| {
            let lifted = f(value);
            lifted + U::constant(value.re() - lifted.re())
        });
        let plan = Plan::of(&inputs);
        let suppression = closure::exact(&plan, self.suppression.total.re());
        plan.draft(inputs, suppression)
    }

    /// The body that was drafted for.
    pub fn body(&self) -> &Body<T> {
        &self.inputs.body
    }

    /// The ease that it was given.
    pub fn ease(&self) -> &Ease<T> {
        &self.inputs.ease
    }

    /// The rules that it was drafted by.
    pub fn rules(&self) -> &Rules<T> {
        &self.inputs.rules
    }

    /// The steepest lean of the side seam that is asked for, in degrees, where the suppression is shared out by shares.
    pub(crate) fn steepest_side(&self) -> Option<T> {
        match &self.inputs.rules.apportionment {
            Apportionment::Shares(shares) => Some(shares.steepest_side),
            Apportionment::Darts(_) => None,
        }
    }

    /// Back and front.
    pub fn panels(&self) -> [&Panel<T>; 2] {
        [&self.back, &self.front]
    }

    /// The sewn waist: along the curve with the darts closed, all around.
    pub fn sewn_waist(&self) -> T {
        let half = self.panels().iter().fold(T::constant(0.0), |sum, panel| sum + panel.length(Role::Waist));
        half * T::constant(2.0)
    }

    /// The tangent of the angle by which the side seam leans from the upright at the waist; positive inwards.
    pub fn side_lean(&self) -> T {
        self.side_curve().tangent(self.suppression.side)
    }

    /// The side seam by these rules of a panel with another width, loss and hip depth.
    pub(crate) fn side_seam(&self, width: T, loss: T, hip_depth: T) -> Cubic<T> {
        SideCurve { depth: hip_depth, ..self.side_curve() }.cubic(width, loss)
    }

    fn side_curve(&self) -> SideCurve<T> {
        let Inputs { body, rules, .. } = &self.inputs;
        SideCurve { depth: body.hip_depth, fullness: rules.panel_rules.side_fullness, natural: false }
    }
}

impl<T: Scalar> Dart<T> {
    /// The dart between two points of the waist at one height.
    pub(crate) fn new(inner: Point<T>, outer: Point<T>, length: T) -> Self {
        let [_, tip, _] = corners(inner, outer, length);
        let half = (outer.x - inner.x) * T::constant(0.5);
        Self {
            centre: tip.x,
            intake: outer.x - inner.x,
            length,
            half_angle_rad: half.quotient(length).atan(),
            leg: norm(Vector::new(half, length)),
            inner,
            outer,
            tip,
        }
    }

    /// Where the leg next to the centre meets the waist, the tip, and where the other leg does.
    pub(crate) fn corners(&self) -> Corners<T> {
        [self.inner, self.tip, self.outer]
    }
}

impl<T: Scalar> Panel<T> {
    /// The paths of a role, in the order of the outline.
    pub fn paths(&self, role: Role) -> impl Iterator<Item = &Path<T>> {
        self.edges.iter().filter(move |edge| edge.role == role).map(|edge| &edge.path)
    }

    /// The length along all edges of a role together: of the waist, with the darts closed.
    pub fn length(&self, role: Role) -> T {
        self.paths(role).fold(T::constant(0.0), |sum, path| sum + path.length())
    }

    /// The area of cloth inside the outline, in square centimetres.
    pub fn area(&self) -> T {
        self.edges.iter().fold(T::constant(0.0), |sum, edge| sum + edge.path.signed_area())
    }
}
