//! Reads `cutting` and `cloth` of a request: how the pieces are cut, and the cloth that the pieces are laid on.

use super::json::JsonValue;
use super::object::{ObjectReader, name_schema};
use super::reader::all_or_none;
use crate::field::{Field, Unit};
use crate::pattern::{
    Allowances, CLOTH_WIDTH_FIELD, Cloth, Cutting, OPENING_FIELD, Opening, Preset, Press, default_opening_length,
};
use crate::text::cutting_name_problem;

/// Reads the field `cutting`, lengths in the reader's unit; allowances that are not given come from the preset.
pub(crate) fn read_cutting(cutting: &mut ObjectReader) -> Option<Cutting> {
    let unit = cutting.length_unit();
    let text = if cutting.schema.is_some() { preset_description() } else { String::new() };
    let preset = cutting.read_choice("preset", Some(Preset::default()), &Preset::ALL, Preset::name, &text);
    let name = read_cutting_name(cutting);
    let mut defaults = preset.unwrap_or_default().preset_allowances(unit).into_array().into_iter();
    let text = "Allowance along each edge, outside the seam line.";
    let given = cutting.read_object("allowances", false, ["Allowances", text], |allowances| {
        all_or_none(Allowances::FIELDS.each_ref().map(|field| allowances.read_given_number(field)))
    });
    let allowances = given.unwrap_or_default().map(|given| given.or(defaults.next()).unwrap_or_default());
    let usual = default_opening_length(unit);
    let default = Some(OPENING_FIELD.kind.convert_unit(usual, unit, Unit::Cm));
    let opening = cutting.read_given_number(&Field { default, ..OPENING_FIELD });
    let text = "Direction in which the folded darts are pressed.";
    let press = cutting.read_choice("press", Some(Press::default()), &Press::ALL, Press::name, text);
    preset?;
    let (allowances, opening) =
        (Allowances::from_array(allowances), opening?.map_or(Opening::Usual(usual), Opening::Given));
    Some(Cutting { name: name?, allowances, opening, press: press? })
}

/// Describes the presets by their allowances in each unit.
fn preset_description() -> String {
    let allowances_in = |preset: Preset, unit: Unit| {
        let ([waist, side, hem, centre_back], unit) = (preset.preset_allowances(unit).into_array(), unit.name());
        format!("waist {waist}, side {side}, hem {hem}, centre back {centre_back} {unit}")
    };
    let describe =
        |preset: Preset| format!("{} ({})", preset.name(), Unit::ALL.map(|u| allowances_in(preset, u)).join("; "));
    format!("Preset for allowances that are not given: {}.", Preset::ALL.map(describe).join("; "))
}

/// Reads the name printed on the pieces; returns an empty string if no name is given.
fn read_cutting_name(cutting: &mut ObjectReader) -> Option<String> {
    let text =
        "Name of the size or wearer printed on the pieces, on one line; if empty, the pieces show waist and hip.";
    match cutting.field_value("name", false, |_| name_schema(text)) {
        None => Some(String::new()),
        Some(JsonValue::String(name)) => {
            let problem = cutting_name_problem(name);
            let is_valid = problem.is_none();
            cutting.reader.problems.extend(problem);
            is_valid.then(|| name.clone())
        }
        Some(value) => cutting.reader.add_wrong_type_problem(&cutting.field_path("name"), value, "a text on one line"),
    }
}

/// Reads the field `cloth`: width in the reader's unit, and whether the cloth is folded and has one way.
pub(crate) fn read_cloth(cloth: &mut ObjectReader) -> Option<Cloth> {
    let width = cloth.read_number(&CLOTH_WIDTH_FIELD);
    let folded = cloth.read_boolean("folded", true, "Whether the cloth is folded lengthwise and cut in two layers.");
    let text = "Whether all hems must point the same way, because of pile, print or shading.";
    let one_way = cloth.read_boolean("one_way", false, text);
    Some(Cloth { width: width?, folded: folded?, one_way: one_way? })
}
