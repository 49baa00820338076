//! Reading a request: every field by its row, every problem at once.

use serde::{Deserialize, Serialize};

use super::node::{Node, shortened};
use super::{FORMAT, Report};
use crate::body::{Apportion, Body, Darts, Ease, FixedDart, Place, Rules, Shares, Stance, both_ways, too_many};
use crate::draft::{Draft, draft};
use crate::error::{Code, Problem, Problems};
use crate::measure::{Field, Unit};

/// The longest request that is read, in bytes; a real one has a few hundred.
const LONGEST_REQUEST: usize = 65_536;

/// What is asked for: a body, its ease and the rules, in a unit.
///
/// ```
/// use kirtle::Request;
///
/// let request = Request::from_json(
///     r#"{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60},
///         "ease": {"waist": 0, "hip": 0}, "rules": {"shares": {"largest_dart": 4}}}"#,
/// )?;
/// assert_eq!(request.draft()?.back.darts.len(), 1);
/// assert!(Request::from_json("{}").is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Request {
    /// The unit of every length, in and out.
    pub unit: Unit,
    /// The body's measurements, in `unit`.
    pub body: Body,
    /// The ease, in `unit`.
    pub ease: Ease,
    /// The drafter's choices, lengths in `unit`.
    pub rules: Rules,
}

impl Request {
    /// Reads a request from JSON text.
    ///
    /// # Errors
    /// All that is wrong with its form and its ranges; whether the numbers agree with each other is found when drafting.
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        if text.len() > LONGEST_REQUEST {
            #[allow(clippy::cast_precision_loss)]
            let problem = Problem::new(Code::AboveMost, "request").with_value(text.len() as f64);
            #[allow(clippy::cast_precision_loss)]
            return Err(problem.with_limit(LONGEST_REQUEST as f64).with_unit("bytes").into());
        }
        match serde_json::from_str(text) {
            Ok(node) => Self::from_node(&node),
            Err(error) => Err(Problem::new(Code::BrokenJson, "request").with_value(error.to_string()).into()),
        }
    }

    pub(crate) fn from_node(node: &Node) -> Result<Self, Problems> {
        let mut reader = Reader { unit: None, problems: Vec::new() };
        let request = reader.request(node);
        reader.finish(request)
    }

    /// Drafts the request.
    ///
    /// # Errors
    /// As [`draft`]; lengths in the problems are in the request's unit.
    pub fn draft(&self) -> Result<Draft, Problems> {
        let (from, to) = (self.unit, Unit::Cm);
        let body = Body::from_array(Field::convert(&Body::FIELDS, self.body.into_array(), from, to));
        let ease = Ease::from_array(Field::convert(&Ease::FIELDS, self.ease.into_array(), from, to));
        let rules = self.rules.clone().convert(from, to);
        draft(&body, &ease, &rules).map_err(|problems| problems.in_unit(self.unit.name(), self.unit.in_cm()))
    }

    /// Drafts the request and reports the draft in the request's unit.
    ///
    /// # Errors
    /// As [`Request::draft`].
    pub fn report(&self) -> Result<Report, Problems> {
        Ok(self.report_of(&self.draft()?))
    }

    /// Reports the draft of this request; the request comes back to the last bit, not by way of centimetres.
    pub(crate) fn report_of(&self, draft: &Draft) -> Report {
        let (body, ease, rules) = (self.body, self.ease, self.rules.clone());
        Report { body, ease, rules, ..Report::new(draft, self.unit) }
    }

    /// The request as JSON text, which reads back to the last bit.
    #[must_use]
    pub fn to_json(&self) -> String {
        // A struct of numbers always serialises.
        serde_json::to_string(self).unwrap_or_default()
    }
}

impl<'de> Deserialize<'de> for Request {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::from_node(&Node::deserialize(deserializer)?).map_err(serde::de::Error::custom)
    }
}

/// Reads nodes by their rows and gathers the problems; ranges are checked where the unit is known.
pub(crate) struct Reader {
    pub(crate) unit: Option<Unit>,
    pub(crate) problems: Vec<Problem>,
}

impl Reader {
    /// What was read, or all the problems.
    pub(crate) fn finish<T>(self, value: Option<T>) -> Result<T, Problems> {
        match value {
            Some(value) if self.problems.is_empty() => Ok(value),
            // What cannot be read always leaves a problem.
            _ => Err(Problems::of(self.problems)),
        }
    }

    fn request(&mut self, node: &Node) -> Option<Request> {
        let [format, unit, body, ease, rules] =
            self.object("request", "", node, ["format", "unit", "body", "ease", "rules"])?;
        self.format(format);
        let unit = self.choose_unit(unit);
        self.unit = unit;
        let body = self.required("body", "an object", body).and_then(|node| self.numbers("body", node, &Body::FIELDS));
        let ease = self.required("ease", "an object", ease).and_then(|node| self.numbers("ease", node, &Ease::FIELDS));
        let rules = match rules {
            Some(node) => self.rules(node),
            None => Some(Rules::default().convert(Unit::Cm, unit?)),
        };
        Some(Request { unit: unit?, body: Body::from_array(body?), ease: Ease::from_array(ease?), rules: rules? })
    }

    fn format(&mut self, node: Option<&Node>) {
        if let Some(node) = node
            && *node != Node::Number(f64::from(FORMAT))
        {
            self.problems.push(
                Problem::new(Code::UnknownChoice, "format").with_value(node.shown()).with_limit(FORMAT.to_string()),
            );
        }
    }

    pub(crate) fn choose_unit(&mut self, node: Option<&Node>) -> Option<Unit> {
        let choices = "\"cm\" or \"in\"";
        let node = self.required("unit", choices, node)?;
        let unit = if let Node::Text(name) = node { Unit::named(name) } else { None };
        if unit.is_none() {
            let problem = Problem::new(Code::UnknownChoice, "unit").with_value(node.shown());
            self.problems.push(problem.with_limit(choices));
        }
        unit
    }

    pub(crate) fn rules(&mut self, node: &Node) -> Option<Rules> {
        let [balance, back, front, shares, darts] = {
            let [balance, back, front] = Stance::FIELDS.map(|field| field.name);
            self.object("rules", "rules.", node, [balance, back, front, "shares", "darts"])?
        };
        let stance = self.rows("rules.", [balance, back, front], &Stance::FIELDS);
        if shares.is_some() && darts.is_some() {
            self.problems.push(both_ways());
        }
        let apportion = match (darts, shares) {
            (Some(darts), _) => self.darts(darts).map(Apportion::Darts),
            (None, Some(shares)) => {
                let shares = self.numbers("rules.shares", shares, &Shares::FIELDS);
                shares.map(|shares| Apportion::Shares(Shares::from_array(shares)))
            }
            (None, None) => self
                .rows("rules.shares.", [None; Shares::FIELDS.len()], &Shares::FIELDS)
                .map(|shares| Apportion::Shares(Shares::from_array(shares))),
        };
        Some(Rules { stance: Stance::from_array(stance?), apportion: apportion? })
    }

    fn darts(&mut self, node: &Node) -> Option<Darts> {
        let lists = self.object("rules.darts", "rules.darts.", node, ["back", "front"])?;
        let [back, front] = [("back", lists[0]), ("front", lists[1])].map(|(panel, list)| {
            let path = format!("rules.darts.{panel}");
            let list = self.required(&path, "a list of darts", list)?;
            self.dart_list(&path, list)
        });
        Some(Darts { back: back?, front: front? })
    }

    fn dart_list(&mut self, path: &str, node: &Node) -> Option<Vec<FixedDart>> {
        let Node::List(nodes) = node else {
            self.wrong_type(path, node, "a list of darts");
            return None;
        };
        if let Some(problem) = too_many(path, nodes.len()) {
            self.problems.push(problem);
            return None;
        }
        let darts: Vec<_> =
            nodes.iter().enumerate().map(|(k, node)| self.dart(&format!("{path}[{k}]"), node)).collect();
        darts.into_iter().collect()
    }

    pub(crate) fn dart(&mut self, path: &str, node: &Node) -> Option<FixedDart> {
        let fields = &FixedDart::FIELDS;
        let inner = format!("{path}.");
        let [intake, length, place, centre] = self.object(path, &inner, node, fields.map(|field| field.name))?;
        let intake = self.row(&inner, intake, &fields[0]);
        let length = self.row(&inner, length, &fields[1]);
        let place = match (place, centre) {
            (Some(_), Some(_)) => {
                self.problems
                    .push(Problem::new(Code::Conflict, format!("{inner}place")).with_limit(format!("{inner}centre")));
                None
            }
            (None, Some(_)) => self.row(&inner, centre, &fields[3]).map(Place::Centre),
            _ => self.row(&inner, place, &fields[2]).map(Place::Place),
        };
        Some(FixedDart { intake: intake?, length: length?, place: place? })
    }

    /// The numbers of an object, in the order of its table.
    pub(crate) fn numbers<const N: usize>(&mut self, path: &str, node: &Node, fields: &[Field; N]) -> Option<[f64; N]> {
        let inner = format!("{path}.");
        let nodes = self.object(path, &inner, node, fields.map(|field| field.name))?;
        self.rows(&inner, nodes, fields)
    }

    pub(crate) fn rows<const N: usize>(
        &mut self,
        path: &str,
        nodes: [Option<&Node>; N],
        fields: &[Field; N],
    ) -> Option<[f64; N]> {
        let mut pairs = nodes.into_iter().zip(fields);
        let numbers = [(); N].map(|()| pairs.next().and_then(|(node, field)| self.row(path, node, field)));
        let complete = numbers.iter().all(Option::is_some);
        complete.then(|| numbers.map(Option::unwrap_or_default))
    }

    /// One number by its row, or its default.
    fn row(&mut self, path: &str, node: Option<&Node>, field: &Field) -> Option<f64> {
        let range = self.unit.map_or("a number".to_owned(), |unit| field.range_text(unit));
        if let (None, Some(default)) = (node, field.default(self.unit.unwrap_or_default())) {
            return Some(default);
        }
        let full = format!("{path}{}", field.name);
        let unit_name = self.unit.map_or("", |unit| field.kind.unit_name(unit));
        let Some(&Node::Number(number)) = node else {
            let problem = match node {
                None => Problem::new(Code::Missing, full),
                Some(node) => Problem::new(Code::WrongType, full).with_value(node.shown()),
            };
            self.problems.push(problem.with_limit(range).with_unit(unit_name));
            return None;
        };
        let problem = self.unit.and_then(|unit| field.check(path, number, unit));
        let fine = problem.is_none();
        self.problems.extend(problem);
        // Zero has one sign, so that equal inputs are alike to the last bit.
        fine.then_some(number + 0.0)
    }

    /// The fields of an object by name; `inner` goes before their names in paths.
    fn object<'n, const N: usize>(
        &mut self,
        path: &str,
        inner: &str,
        node: &'n Node,
        names: [&str; N],
    ) -> Option<[Option<&'n Node>; N]> {
        let Node::Object(fields) = node else {
            self.wrong_type(path, node, "an object");
            return None;
        };
        let mut found = [None; N];
        for (name, node) in fields {
            let full = || format!("{inner}{}", shortened(name));
            match names.iter().position(|known| known == name) {
                None => self.problems.push(Problem::new(Code::UnknownField, full()).with_limit(names.join(", "))),
                Some(index) if found[index].is_some() => {
                    self.problems.push(Problem::new(Code::DuplicateField, full()));
                }
                Some(index) => found[index] = Some(node),
            }
        }
        Some(found)
    }

    fn required<'n>(&mut self, path: &str, wanted: &str, node: Option<&'n Node>) -> Option<&'n Node> {
        if node.is_none() {
            self.problems.push(Problem::new(Code::Missing, path).with_limit(wanted));
        }
        node
    }

    fn wrong_type(&mut self, path: &str, node: &Node, wanted: &str) {
        self.problems.push(Problem::new(Code::WrongType, path).with_value(node.shown()).with_limit(wanted));
    }
}
