//! Reading how a draft is cut, and the cloth that it is laid on.

use super::node::Node;
use super::reader::Reader;
use crate::error::{Code, Problem};
use crate::field::{Field, Unit};
use crate::pattern::{Allowances, Cloth, Cutting, OPENING, Opening, Preset, Press, WIDTH, name_problem, usual_opening};

/// The fields of a cutting and of cloth, in their order.
pub(super) const CUTTING: [&str; 5] = ["preset", "name", "allowances", "opening", "press"];
pub(super) const CLOTH: [&str; 3] = ["width", "folded", "one_way"];

/// Cloth is folded, and its pieces may be turned, where nothing is said.
pub(super) const FOLDED: bool = true;
pub(super) const ONE_WAY: bool = false;

impl Reader {
    /// A cutting in the reader's unit; what is not given is the preset's.
    pub(crate) fn cutting(&mut self, node: &Node) -> Option<Cutting> {
        let [preset, name, allowances, opening, press] = self.object("cutting", "cutting.", node, CUTTING)?;
        let preset = self.choice("cutting.preset", preset, &Preset::ALL, Preset::name);
        let name = self.name(name);
        let unit = self.unit.unwrap_or_default();
        let usual = preset.unwrap_or_default();
        let allowances = self.allowances(allowances, usual.allowances(unit));
        let opening = match opening {
            None => Some(Opening::Usual(usual_opening(unit))),
            given => self.row("cutting.", given, &OPENING).map(Opening::Given),
        };
        let press = self.choice("cutting.press", press, &Press::ALL, Press::name);
        preset?;
        Some(Cutting { name: name?, allowances: allowances?, opening: opening?, press: press? })
    }

    fn allowances(&mut self, node: Option<&Node>, usual: Allowances) -> Option<Allowances> {
        let Some(node) = node else { return Some(usual) };
        let fields = &Allowances::FIELDS;
        let nodes = self.object("cutting.allowances", "cutting.allowances.", node, fields.map(|field| field.name))?;
        let unit = self.unit.unwrap_or_default();
        let mut usual = usual.into_array().into_iter();
        let rows = fields.map(|field| usually(field, usual.next().unwrap_or_default(), unit));
        self.rows("cutting.allowances.", nodes, &rows).map(Allowances::from_array)
    }

    fn name(&mut self, node: Option<&Node>) -> Option<String> {
        match node {
            None => Some(String::new()),
            Some(Node::Text(name)) => {
                let problem = name_problem(name);
                let fine = problem.is_none();
                self.problems.extend(problem);
                fine.then(|| name.clone())
            }
            Some(node) => {
                self.wrong_type("cutting.name", node, "a text on one line");
                None
            }
        }
    }

    /// The cloth, its width in the reader's unit.
    pub(crate) fn cloth(&mut self, node: &Node) -> Option<Cloth> {
        let [width, folded, one_way] = self.object("cloth", "cloth.", node, CLOTH)?;
        let width = self.row("cloth.", width, &WIDTH);
        let folded = self.truth("cloth.folded", folded, FOLDED);
        let one_way = self.truth("cloth.one_way", one_way, ONE_WAY);
        Some(Cloth { width: width?, folded: folded?, one_way: one_way? })
    }

    fn truth(&mut self, path: &str, node: Option<&Node>, usual: bool) -> Option<bool> {
        match node {
            None => Some(usual),
            Some(Node::Truth(truth)) => Some(*truth),
            Some(node) => {
                self.wrong_type(path, node, "true or false");
                None
            }
        }
    }

    /// One of a few by its name; the default where none is given.
    pub(super) fn choice<T: Copy + Default>(
        &mut self,
        path: &str,
        node: Option<&Node>,
        all: &[T],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let Some(node) = node else { return Some(T::default()) };
        let found = all.iter().find(|one| matches!(node, Node::Text(text) if text == name(**one))).copied();
        if found.is_none() {
            let names: Vec<String> = all.iter().map(|one| format!("\"{}\"", name(*one))).collect();
            let problem = Problem::new(Code::UnknownChoice, path).with_value(node.shown());
            self.problems.push(problem.with_limit(names.join(" or ")));
        }
        found
    }
}

/// A row with what is taken where nothing is given, in `unit`.
fn usually(field: Field, value: f64, unit: Unit) -> Field {
    Field { default: Some(field.kind.convert(value, unit, Unit::Cm)), ..field }
}
