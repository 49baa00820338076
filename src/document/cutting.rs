//! Reads `cutting` and `cloth` of a request: how the pieces are cut, and the cloth that the pieces are laid on.

use super::json::JsonValue;
use super::reader::InputReader;
use crate::field::{Field, Unit};
use crate::pattern::{
    Allowances, CLOTH_WIDTH_FIELD, Cloth, Cutting, OPENING_FIELD, Opening, Preset, Press, default_opening_length,
};
use crate::text::cutting_name_problem;

/// Default of `cloth.folded`: cloth is folded lengthwise.
pub(super) const CLOTH_FOLDED_BY_DEFAULT: bool = true;
/// Default of `cloth.one_way`: pieces may be turned by 180°.
pub(super) const CLOTH_ONE_WAY_BY_DEFAULT: bool = false;

impl InputReader {
    /// Reads the field `cutting`, lengths in the reader's unit; allowances that are not given come from the preset.
    pub(crate) fn read_cutting(&mut self, value: &JsonValue) -> Option<Cutting> {
        let names = ["preset", "name", "allowances", "opening", "press"];
        let [preset, name, allowances, opening, press] = self.field_values("cutting", "cutting.", value, names)?;
        let preset = self.read_choice("cutting.preset", preset, &Preset::ALL, Preset::name);
        let name = self.read_cutting_name(name);
        let unit = self.unit.unwrap_or_default();
        let defaults = preset.unwrap_or_default().preset_allowances(unit);
        let allowances = self.read_allowances(allowances, defaults);
        let opening = match opening {
            None => Some(Opening::Usual(default_opening_length(unit))),
            given => self.read_number("cutting.", given, &OPENING_FIELD).map(Opening::Given),
        };
        let press = self.read_choice("cutting.press", press, &Press::ALL, Press::name);
        preset?;
        Some(Cutting { name: name?, allowances: allowances?, opening: opening?, press: press? })
    }

    /// Reads the seam allowances of all edges; allowances that are not given come from `defaults`.
    fn read_allowances(&mut self, value: Option<&JsonValue>, defaults: Allowances) -> Option<Allowances> {
        let Some(value) = value else { return Some(defaults) };
        let fields = &Allowances::FIELDS;
        let path = "cutting.allowances";
        let values = self.field_values(path, "cutting.allowances.", value, fields.map(|field| field.name))?;
        let unit = self.unit.unwrap_or_default();
        let mut defaults = defaults.into_array().into_iter();
        let fields = fields.map(|field| field_with_default_length(field, defaults.next().unwrap_or_default(), unit));
        self.read_numbers_of_fields("cutting.allowances.", values, &fields).map(Allowances::from_array)
    }

    /// Reads the name printed on the pieces; returns an empty string if no name is given.
    fn read_cutting_name(&mut self, value: Option<&JsonValue>) -> Option<String> {
        match value {
            None => Some(String::new()),
            Some(JsonValue::String(name)) => {
                let problem = cutting_name_problem(name);
                let is_valid = problem.is_none();
                self.problems.extend(problem);
                is_valid.then(|| name.clone())
            }
            Some(value) => self.add_wrong_type_problem("cutting.name", value, "a text on one line"),
        }
    }

    /// Reads the field `cloth`: width in the reader's unit, and whether the cloth is folded and has one way.
    pub(crate) fn read_cloth(&mut self, value: &JsonValue) -> Option<Cloth> {
        let names = ["width", "folded", "one_way"];
        let [width, folded, one_way] = self.field_values("cloth", "cloth.", value, names)?;
        let width = self.read_number("cloth.", width, &CLOTH_WIDTH_FIELD);
        let folded = self.read_boolean("cloth.folded", folded, CLOTH_FOLDED_BY_DEFAULT);
        let one_way = self.read_boolean("cloth.one_way", one_way, CLOTH_ONE_WAY_BY_DEFAULT);
        Some(Cloth { width: width?, folded: folded?, one_way: one_way? })
    }
}

/// Returns a copy of the field with `default`, a length in `unit`, as its default.
fn field_with_default_length(field: Field, default: f64, unit: Unit) -> Field {
    Field { default: Some(field.kind.convert_unit(default, unit, Unit::Cm)), ..field }
}
