//! Reads `cutting` and `cloth` of a request: how the pieces are cut, and the cloth that the pieces are laid on.

use serde_json::json;

use super::json::JsonValue;
use super::object::{ObjectReader, find_choice, name_schema};
use crate::error::{Code, Problem};
use crate::field::{Field, FieldKind, Unit};
use crate::pattern::{
    Allowances, BACK_AND_FRONT_PIECE_NAMES, CLOTH_WIDTH_FIELD, Cloth, Cutting, Opening, Preset, Press,
    SELVEDGE_WIDTH_FIELD, USUAL_OPENING, USUAL_VENT_WIDTH, Vent, WaistFinish, WaistFinishKind, WaistFinishLengths,
    ZIP_OPENING_FIELD, choose_length_by_unit, usual_waist_finish_lengths,
};
use crate::text::{MAX_NOTE_CHARS, MAX_NOTES, printed_text_problems};

/// Reads the field `cutting`, lengths in the reader's unit; allowances that are not given come from the preset.
pub(crate) fn read_cutting(cutting: &mut ObjectReader) -> Option<Cutting> {
    let unit = cutting.length_unit();
    let text = if cutting.schema_being_built().is_some() { allowance_presets_description() } else { String::new() };
    let preset = cutting.read_choice("preset", Some(Preset::default()), &Preset::ALL, Preset::name, &text);
    let (name, notes) = read_name_and_notes(cutting);
    let mut defaults = preset.unwrap_or_default().preset_allowances(unit).into_array().into_iter();
    let text = "Allowance along each edge, outside the seam line.";
    let given = cutting.read_object("allowances", false, ["Allowances", text], |allowances| {
        Some(Allowances::FIELDS.each_ref().map(|field| allowances.read_optional_number(field)))
    });
    let allowances = given.unwrap_or_default().map(|given| given.or(defaults.next()).unwrap_or_default());
    let usual = choose_length_by_unit(unit, USUAL_OPENING);
    let default = Some(ZIP_OPENING_FIELD.kind.convert_unit(usual, unit, Unit::Cm));
    let opening = cutting.read_optional_number(&Field { default, ..ZIP_OPENING_FIELD });
    let text = "Direction in which the folded darts are pressed.";
    let press = cutting.read_choice("press", Some(Press::default()), &Press::ALL, Press::name, text);
    let text = "Whether front and front facing are whole, with both halves, instead of one half to place on the fold.";
    let unfolded = cutting.read_boolean("unfolded", false, text);
    let [vent, vent_width] = &Vent::FIELDS;
    let vent = cutting.read_optional_number(vent);
    let default = Some(FieldKind::Length.convert_unit(choose_length_by_unit(unit, USUAL_VENT_WIDTH), unit, Unit::Cm));
    let vent_width = cutting.read_number(&Field { default, ..*vent_width });
    let finish = read_waist_finish(cutting);
    Some(Cutting {
        name,
        notes,
        allowances: Allowances::from_array(allowances),
        opening: opening.map_or(Opening::Usual(usual), |length| Opening::from_length(length, unit)),
        press: press?,
        unfolded: unfolded?,
        vent: vent.zip(vent_width).map(|(vent, vent_width)| Vent { vent, vent_width }),
        finish,
    })
}

/// Reads the list of pieces and the lengths of the pieces that finish the waist; returns `None` for back and front
/// only. Lengths of pieces that are not in the list are checked but have no effect.
pub(super) fn read_waist_finish(cutting: &mut ObjectReader) -> Option<WaistFinish> {
    let unit = cutting.length_unit();
    let kind = read_piece_list(cutting);
    let usual = usual_waist_finish_lengths(unit).convert_lengths(unit, Unit::Cm).into_array();
    let fields = std::array::from_fn(|k| Field { default: Some(usual[k]), ..WaistFinishLengths::FIELDS[k] });
    let lengths = WaistFinishLengths::from_array(cutting.read_numbers(&fields)?);
    Some(WaistFinish { kind: kind?, lengths })
}

/// Reads the list of pieces: back, front, and waistband or facing. Returns the kind of piece that finishes the waist,
/// `None` for back and front only.
fn read_piece_list(cutting: &mut ObjectReader) -> Option<WaistFinishKind> {
    let ([back, front], kinds) = (BACK_AND_FRONT_PIECE_NAMES, WaistFinishKind::ALL.map(WaistFinishKind::name));
    let names = [back, front, kinds[0], kinds[1]];
    let value = cutting.field_value("pieces", false, |_| {
        let text = "Pieces of the pattern in any order: back, front, and waistband or facing.";
        // A back, and not without a front; without `allOf`, from which tools generate a type without items.
        let not = json!({"items": {"enum": [back, kinds[0], kinds[1]]}});
        json!({
            "type": "array", "items": {"enum": names}, "uniqueItems": true, "maxItems": 3, "contains": {"const": back}, "not": not,
            "default": BACK_AND_FRONT_PIECE_NAMES, "description": text
        })
    });
    let (path, first) = (cutting.field_path("pieces"), cutting.problems.len());
    let value = value?;
    let JsonValue::Array(items) = value else {
        let expected = format!("a list of {}", names.map(|name| format!("\"{name}\"")).join(", "));
        return cutting.add_wrong_type_problem("pieces", value, &expected);
    };
    let mut given: Vec<&str> = Vec::new();
    // A list with more items than there are names repeats a name.
    for (k, item) in items.iter().enumerate().take(names.len() + 1) {
        let path = format!("{path}[{k}]");
        let choice = find_choice(&path, Some(item), None, &names, |name| name);
        let Some(name) = cutting.value_of(choice) else { continue };
        let other = kinds.into_iter().find(|other| kinds.contains(&name) && given.contains(other));
        if given.contains(&name) {
            cutting.problems.push(Problem::new(Code::DuplicateField, path));
        } else if let Some(other) = other {
            cutting.problems.push(Problem::new(Code::Conflict, path).with_limit(format!("\"{other}\"")));
        }
        given.push(name);
    }
    if cutting.problems.len() == first && !BACK_AND_FRONT_PIECE_NAMES.iter().all(|name| given.contains(name)) {
        cutting.problems.push(Problem::new(Code::Missing, path).with_limit("both \"back\" and \"front\""));
    }
    WaistFinishKind::ALL.into_iter().find(|kind| given.contains(&kind.name()))
}

/// Returns the schema's description of the field `preset`: each preset with its allowances in each unit.
fn allowance_presets_description() -> String {
    let allowances_in = |preset: Preset, unit: Unit| {
        let ([waist, side, hem, centre_back], unit) = (preset.preset_allowances(unit).into_array(), unit.name());
        format!("waist {waist}, side {side}, hem {hem}, centre back {centre_back} {unit}")
    };
    let describe = |preset: Preset| {
        format!("{} ({})", preset.name(), Unit::DOCUMENT_UNITS.map(|u| allowances_in(preset, u)).join("; "))
    };
    let presets = Preset::ALL.map(describe).join("; ");
    format!("Preset for allowances that are not given: {presets}.")
}

/// Reads the name printed on the pieces and the lines printed on the sheet; empty if missing or invalid.
fn read_name_and_notes(cutting: &mut ObjectReader) -> (String, Vec<String>) {
    let text =
        "Name of the size or wearer printed on the pieces, on one line; if empty, the pieces show waist and hip.";
    let name = cutting.field_value("name", false, |_| name_schema(text));
    let notes = cutting.field_value("notes", false, |_| {
        let mut note = name_schema("Line printed on the sheet.");
        note["maxLength"] = json!(MAX_NOTE_CHARS);
        let text =
            "Lines printed on the sheet of the pattern, below its title: at most 10, each of at most 200 letters.";
        json!({"type": "array", "items": note, "maxItems": MAX_NOTES, "description": text})
    });
    let expected = "a text on one line";
    let name = name.and_then(|name| cutting.check_text("name", name, expected)).unwrap_or_default();
    let notes: Vec<String> = match notes {
        None => Vec::new(),
        Some(JsonValue::Array(notes)) => {
            let note = |(k, note)| cutting.check_text(&format!("notes[{k}]"), note, expected).unwrap_or_default();
            notes.iter().enumerate().map(note).collect()
        }
        Some(value) => cutting.add_wrong_type_problem("notes", value, "a list of texts").unwrap_or_default(),
    };
    cutting.problems.extend(printed_text_problems(&name, &notes));
    (name, notes)
}

/// Reads the field `cloth`, lengths in the reader's unit.
pub(crate) fn read_cloth(cloth: &mut ObjectReader) -> Option<Cloth> {
    let width = cloth.read_number(&CLOTH_WIDTH_FIELD);
    let folded = cloth.read_boolean("folded", true, "Whether the cloth is folded lengthwise and cut in two layers.");
    let text = "Whether all hems must point the same way, because of pile, print or shading.";
    let one_way = cloth.read_boolean("one_way", false, text);
    let unit = cloth.length_unit();
    let default = Some(FieldKind::Length.convert_unit(Cloth::usual_selvedge(unit), unit, Unit::Cm));
    let selvedge = cloth.read_number(&Field { default, ..SELVEDGE_WIDTH_FIELD });
    Some(Cloth { width: width?, folded: folded?, one_way: one_way?, selvedge: selvedge? })
}
