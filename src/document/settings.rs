//! Settings of a call, which its result keeps: how the result was made.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// Settings of the call that made a result: `version` of the package, `function`, `unit`, and the given arguments, with
/// lengths in this unit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CallSettings(pub Map<String, Value>);

impl CallSettings {
    /// Creates the settings of a call from a JSON object: the names of the function and of its unit, and the arguments;
    /// leaves out what is null.
    pub fn new(call: Value) -> Self {
        let version = json!({"version": crate::VERSION});
        let fields = [version, call].into_iter().flat_map(|object| object.as_object().cloned().unwrap_or_default());
        Self(fields.filter(|(_, value)| !value.is_null()).collect())
    }
}
