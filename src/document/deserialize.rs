//! Serde's `Deserialize` for a request, and for its parts, such as a cloth or a size, with lengths in centimetres. Every
//! value is checked.

use serde::{Deserialize, Deserializer, de::Error};

use super::chart::read_size;
use super::cutting::{read_cloth, read_cutting, read_waist_finish};
use super::json::JsonValue;
use super::object::{ObjectReader, read_document};
use super::request::{Request, read_request};
use crate::field::Unit;
use crate::pattern::{
    BACK_AND_FRONT_PIECE_NAMES, Cloth, Cutting, Opening, USUAL_OPENING, WaistFinish, ZIP_OPENING_FIELD,
};
#[cfg(feature = "survey")]
use crate::size_search::LogBand;
use crate::sizes::{Size, size_name_problem};

/// Implements `Deserialize` for types that a function reads from a JSON object: in `$unit`, if it does not read the unit,
/// with the path of the object and that of its fields.
macro_rules! deserialize_objects {
    ($($type:ident in $unit:expr, at $paths:expr, by $read:path;)+) => {
        $(impl<'de> Deserialize<'de> for $type {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let value = JsonValue::deserialize(deserializer)?;
                read_document($unit, $paths, &value, $read).map_err(D::Error::custom)
            }
        })+
    };
}

deserialize_objects! {
    Request in None, at ["request", ""], by read_request;
    Cloth in Some(Unit::Cm), at ["cloth", "cloth."], by read_cloth;
    Cutting in Some(Unit::Cm), at ["cutting", "cutting."], by read_cutting;
    Size in Some(Unit::Cm), at ["size", "size."], by read_valid_size;
    WaistFinish in Some(Unit::Cm), at ["finish", "finish."], by read_required_waist_finish;
}
#[cfg(feature = "survey")]
deserialize_objects! { LogBand in Some(Unit::Cm), at ["band", "band."], by read_log_band; }

/// Reads the length of a zip opening, in centimetres; a missing or null length becomes the usual 20 cm.
impl<'de> Deserialize<'de> for Opening {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let Some(length) = Option::deserialize(deserializer)? else { return Ok(Self::Usual(USUAL_OPENING.0)) };
        let problem = ZIP_OPENING_FIELD.range_problem("", length, Unit::Cm);
        problem.map_or(Ok(Self::from_length(length, Unit::Cm)), |problem| Err(D::Error::custom(problem)))
    }
}

/// Reads a size and checks its name.
fn read_valid_size(size: &mut ObjectReader) -> Option<Size> {
    let read = read_size(size)?;
    let problem = size_name_problem(&size.field_path("name"), &read.name, &[]);
    size.value_of(problem.map_or(Ok(read), Err))
}

/// Reads the finish of a waist; a list of pieces with neither waistband nor facing is a problem.
fn read_required_waist_finish(finish: &mut ObjectReader) -> Option<WaistFinish> {
    read_waist_finish(finish).or_else(|| {
        let [back, front] = BACK_AND_FRONT_PIECE_NAMES;
        let expected = format!("\"{back}\", \"{front}\", and \"waistband\" or \"facing\"");
        finish.add_problem_if_required("pieces", finish.problems.is_empty(), &expected)
    })
}

#[cfg(feature = "survey")]
fn read_log_band(band: &mut ObjectReader) -> Option<LogBand> {
    let [small, large, small_weight, large_weight] = band.read_numbers(&LogBand::FIELDS)?;
    Some(LogBand { small, large, small_weight, large_weight })
}
