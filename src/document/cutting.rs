//! Reads `cutting` and `cloth` of a request: how the pieces are cut, and the cloth that the pieces are laid on.

use super::json::JsonValue;
use super::reader::InputReader;
use crate::field::{Field, Unit};
use crate::pattern::{
    Allowances, CLOTH_WIDTH_FIELD, Cloth, Cutting, OPENING_FIELD, Opening, Preset, Press, default_opening,
};
use crate::text::cutting_name_problem;

/// Default of `cloth.folded`: cloth is folded lengthwise.
pub(super) const CLOTH_FOLDED_BY_DEFAULT: bool = true;
/// Default of `cloth.one_way`: pieces may be turned by 180°.
pub(super) const CLOTH_ONE_WAY_BY_DEFAULT: bool = false;

impl InputReader {
    /// Reads how the pieces are cut, lengths in the reader's unit; missing allowances take the values of the preset.
    pub(crate) fn read_cutting(&mut self, value: &JsonValue) -> Option<Cutting> {
        let names = ["preset", "name", "allowances", "opening", "press"];
        let [preset, name, allowances, opening, press] = self.object_fields("cutting", "cutting.", value, names)?;
        let preset = self.read_choice("cutting.preset", preset, &Preset::ALL, Preset::name);
        let name = self.read_cutting_name(name);
        let unit = self.unit.unwrap_or_default();
        let defaults = preset.unwrap_or_default().allowances(unit);
        let allowances = self.read_allowances(allowances, defaults);
        let opening = match opening {
            None => Some(Opening::Usual(default_opening(unit))),
            given => self.read_number("cutting.", given, &OPENING_FIELD).map(Opening::Given),
        };
        let press = self.read_choice("cutting.press", press, &Press::ALL, Press::name);
        preset?;
        Some(Cutting { name: name?, allowances: allowances?, opening: opening?, press: press? })
    }

    /// Reads the allowances; missing ones are taken from `defaults`.
    fn read_allowances(&mut self, value: Option<&JsonValue>, defaults: Allowances) -> Option<Allowances> {
        let Some(value) = value else { return Some(defaults) };
        let fields = &Allowances::FIELDS;
        let path = "cutting.allowances";
        let values = self.object_fields(path, "cutting.allowances.", value, fields.map(|field| field.name))?;
        let unit = self.unit.unwrap_or_default();
        let mut defaults = defaults.into_array().into_iter();
        let fields = fields.map(|field| field_with_default(field, defaults.next().unwrap_or_default(), unit));
        self.read_numbers("cutting.allowances.", values, &fields).map(Allowances::from_array)
    }

    /// Reads the name printed on the pieces; a missing name is empty.
    fn read_cutting_name(&mut self, value: Option<&JsonValue>) -> Option<String> {
        match value {
            None => Some(String::new()),
            Some(JsonValue::String(name)) => {
                let problem = cutting_name_problem(name);
                let is_valid = problem.is_none();
                self.problems.extend(problem);
                is_valid.then(|| name.clone())
            }
            Some(value) => self.refuse_type("cutting.name", value, "a text on one line"),
        }
    }

    /// Reads the cloth, with the width in the reader's unit.
    pub(crate) fn read_cloth(&mut self, value: &JsonValue) -> Option<Cloth> {
        let names = ["width", "folded", "one_way"];
        let [width, folded, one_way] = self.object_fields("cloth", "cloth.", value, names)?;
        let width = self.read_number("cloth.", width, &CLOTH_WIDTH_FIELD);
        let folded = self.read_boolean("cloth.folded", folded, CLOTH_FOLDED_BY_DEFAULT);
        let one_way = self.read_boolean("cloth.one_way", one_way, CLOTH_ONE_WAY_BY_DEFAULT);
        Some(Cloth { width: width?, folded: folded?, one_way: one_way? })
    }
}

/// Returns the field with the default `default`, a length in `unit`.
fn field_with_default(field: Field, default: f64, unit: Unit) -> Field {
    Field { default: Some(field.kind.convert(default, unit, Unit::Cm)), ..field }
}
