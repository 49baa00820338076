//! Reading nodes by their rows: every problem is gathered, none hides another.

use super::FORMAT;
use super::node::Node;
use super::request::Request;
use crate::body::{
    Apportionment, Body, DartPosition, Darts, Ease, FixedDart, MAX_DARTS, PanelRules, Rules, Shares, both_ways,
};
use crate::error::{Code, Problem, Problems, shown_name};
use crate::field::{Field, Unit};

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
            _ => Err(Problems::new(self.problems)),
        }
    }

    pub(super) fn request(&mut self, node: &Node) -> Option<Request> {
        let names = ["format", "unit", "body", "ease", "rules", "corrections", "cutting", "cloth"];
        let [format, unit, body, ease, rules, corrections, cutting, cloth] = self.object("request", "", node, names)?;
        self.format(format);
        let unit = self.choose_unit(unit);
        self.unit = unit;
        let body = self.required("body", "an object", body).and_then(|node| self.numbers("body", node, &Body::FIELDS));
        let ease = self.required("ease", "an object", ease).and_then(|node| self.numbers("ease", node, &Ease::FIELDS));
        let rules = match rules {
            Some(node) => self.rules(node),
            None => Some(Rules::default().convert(Unit::Cm, unit?)),
        };
        // What is not given is not read; what cannot be read leaves a problem, which refuses the whole.
        let corrections = corrections.and_then(|node| self.corrections(node)).unwrap_or_default();
        let cutting = cutting.and_then(|node| self.cutting(node));
        let cloth = cloth.and_then(|node| self.cloth(node));
        let (body, ease) = (Body::from_array(body?), Ease::from_array(ease?));
        Some(Request { unit: unit?, body, ease, rules: rules?, corrections, cutting, cloth })
    }

    pub(super) fn format(&mut self, node: Option<&Node>) {
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
        let unit = if let Node::Text(name) = node { Unit::from_name(name) } else { None };
        if unit.is_none() {
            let problem = Problem::new(Code::UnknownChoice, "unit").with_value(node.shown());
            self.problems.push(problem.with_limit(choices));
        }
        unit
    }

    pub(crate) fn rules(&mut self, node: &Node) -> Option<Rules> {
        let [balance, back, front, side, shares, darts] = {
            let [balance, back, front, side] = PanelRules::FIELDS.map(|field| field.name);
            self.object("rules", "rules.", node, [balance, back, front, side, "shares", "darts"])?
        };
        let panel_rules = self.rows("rules.", [balance, back, front, side], &PanelRules::FIELDS);
        if shares.is_some() && darts.is_some() {
            self.problems.push(both_ways());
        }
        let apportion = match (darts, shares) {
            (Some(darts), _) => self.darts(darts).map(Apportionment::Darts),
            (None, Some(shares)) => {
                let shares = self.numbers("rules.shares", shares, &Shares::FIELDS);
                shares.map(|shares| Apportionment::Shares(Shares::from_array(shares)))
            }
            (None, None) => self
                .rows("rules.shares.", [None; Shares::FIELDS.len()], &Shares::FIELDS)
                .map(|shares| Apportionment::Shares(Shares::from_array(shares))),
        };
        Some(Rules { panel_rules: PanelRules::from_array(panel_rules?), apportionment: apportion? })
    }

    fn darts(&mut self, node: &Node) -> Option<Darts> {
        let lists = self.object("rules.darts", "rules.darts.", node, ["back", "front"])?;
        let [back, front] = [("back", lists[0]), ("front", lists[1])].map(|(panel, list)| {
            let path = format!("rules.darts.{panel}");
            let list = self.required(&path, "a list of darts", list)?;
            self.list(&path, list, (MAX_DARTS, "darts"), Self::dart)
        });
        Some(Darts { back: back?, front: front? })
    }

    /// A list of at most so many things, each read with its path.
    pub(super) fn list<T>(
        &mut self,
        path: &str,
        node: &Node,
        (max, of_what): (usize, &str),
        mut read: impl FnMut(&mut Self, &str, &Node) -> Option<T>,
    ) -> Option<Vec<T>> {
        let Node::List(nodes) = node else {
            self.wrong_type(path, node, &format!("a list of {of_what}"));
            return None;
        };
        if let Some(problem) = Problem::too_many(path, nodes.len(), max, of_what) {
            self.problems.push(problem);
            return None;
        }
        let items: Vec<_> =
            nodes.iter().enumerate().map(|(k, node)| read(self, &format!("{path}[{k}]"), node)).collect();
        items.into_iter().collect()
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
            (None, Some(_)) => self.row(&inner, centre, &fields[3]).map(DartPosition::Centre),
            _ => self.row(&inner, place, &fields[2]).map(DartPosition::Share),
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
    pub(super) fn row(&mut self, path: &str, node: Option<&Node>, field: &Field) -> Option<f64> {
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

    /// A whole number from one to the most.
    #[cfg(feature = "python")]
    pub(crate) fn whole(&mut self, path: &str, node: &Node, max: u16) -> Option<u16> {
        let number = if let Node::Number(number) = node { *number } else { f64::NAN };
        let found = (1..=max).find(|whole| f64::from(*whole).total_cmp(&number).is_eq());
        let (code, limit) = if number < 1.0 {
            (Code::BelowMinimum, "1".to_owned())
        } else if number > f64::from(max) {
            (Code::AboveMaximum, max.to_string())
        } else {
            (Code::WrongType, format!("a whole number from 1 to {max}"))
        };
        let problem = || Problem::new(code, path).with_value(node.shown()).with_limit(limit);
        self.problems.extend(found.is_none().then(problem));
        found
    }

    /// The fields of an object by name; `inner` goes before their names in paths.
    pub(super) fn object<'n, const N: usize>(
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
            let full = || format!("{inner}{}", shown_name(name));
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

    pub(super) fn required<'n>(&mut self, path: &str, wanted: &str, node: Option<&'n Node>) -> Option<&'n Node> {
        if node.is_none() {
            self.problems.push(Problem::new(Code::Missing, path).with_limit(wanted));
        }
        node
    }

    pub(super) fn wrong_type(&mut self, path: &str, node: &Node, wanted: &str) {
        self.problems.push(Problem::new(Code::WrongType, path).with_value(node.shown()).with_limit(wanted));
    }
}
