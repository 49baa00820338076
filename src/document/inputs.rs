//! Reads `rules` of a request: the drafter's choices, with shares or given darts that apportion the suppression. Reads
//! `body` of a request, also of its result: waist, hip, hip depth and length, with the figure if one is measured.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::object::{ObjectReader, require_exactly_one_in_schema};
use crate::body::{
    Apportionment, Body, DartPosition, Darts, Figure, GivenDart, MAX_DARTS_PER_PANEL, PanelRules, Rules, Shares,
    body_table, shares_and_darts_conflict_problem,
};
use crate::error::{Code, Problem};
use crate::field::Unit;

impl ObjectReader<'_> {
    /// Reads the field `rules`, lengths in the reader's unit; `None` if the field is missing or invalid.
    pub(super) fn read_rules_field(&mut self) -> Option<Rules> {
        self.read_object("rules", false, ["Rules", "Drafting rules: the drafter's choices."], read_rules)
    }
}

fn read_rules(rules: &mut ObjectReader) -> Option<Rules> {
    let panel_rules = rules.read_numbers(&PanelRules::FIELDS);
    let text = "Apportionment of the suppression by shares, from which number and intake of the darts follow.";
    let shares = rules.read_object("shares", false, ["Shares", text], read_suppression_shares);
    let text = "Given darts, each list from the centre line to the side seam; the side seam takes the rest of the suppression.";
    let darts = rules.read_object("darts", false, ["Darts", text], read_given_darts);
    if let Some(schema) = rules.schema_being_built() {
        schema["not"] = json!({"required": ["shares", "darts"]});
    }
    let apportionment = match (shares, darts) {
        (Some(_), Some(_)) => return rules.value_of(Err(shares_and_darts_conflict_problem())),
        (Some(shares), None) => Apportionment::Shares(shares),
        (None, Some(darts)) => Apportionment::Darts(darts),
        (None, None) => Rules::default().convert_lengths(Unit::Cm, rules.length_unit()).apportionment,
    };
    Some(Rules { panel_rules: PanelRules::from_array(panel_rules?), apportionment })
}

/// Reads shares of the suppression, with the rules for the numbers of back and front darts.
pub(crate) fn read_suppression_shares(shares: &mut ObjectReader) -> Option<Shares> {
    let numbers = shares.read_numbers(&Shares::FIELDS);
    let [back, front] = [("back_darts", "Number of back darts"), ("front_darts", "Number of front darts")]
        .map(|(name, text)| shares.read_dart_count_rule(name, text));
    Some(Shares { back_darts: back?, front_darts: front?, ..Shares::from_array(numbers?) })
}

fn read_given_darts(darts: &mut ObjectReader) -> Option<Darts> {
    let text = "Dart given by intake and length; the position is either `place` or `centre`.";
    let limit = (MAX_DARTS_PER_PANEL, "darts");
    let [back, front] =
        ["back", "front"].map(|panel| darts.read_list(panel, true, limit, ["Dart", text, ""], read_given_dart));
    Some(Darts { back: back?, front: front? })
}

/// Reads a given dart: its intake, its length, and either its `place` or its `centre`.
pub(crate) fn read_given_dart(dart: &mut ObjectReader) -> Option<GivenDart> {
    let [intake, length, place_field, centre] = const { &GivenDart::FIELDS };
    let (intake, length) = (dart.read_number(intake), dart.read_number(length));
    let known_problems = dart.problems.len();
    let (place, centre) = (dart.read_optional_number(place_field), dart.read_optional_number(centre));
    if let Some(schema) = dart.schema_being_built().and_then(Value::as_object_mut) {
        require_exactly_one_in_schema(schema, ["place", "centre"]);
    }
    let place = match (place, centre) {
        (Some(_), Some(_)) => {
            let conflict = Problem::new(Code::Conflict, dart.field_path("place"));
            return dart.value_of(Err(conflict.with_limit(dart.field_path("centre"))));
        }
        (Some(share), None) => DartPosition::Share(share),
        (None, Some(distance)) => DartPosition::Centre(distance),
        (None, None) if dart.problems.len() > known_problems => return None,
        (None, None) => DartPosition::Share(dart.check_number(None, place_field)?),
    };
    Some(GivenDart { intake: intake?, length: length?, place })
}

/// Declares [`BodyWithFigure`]: the fields that `body_table` lists for [`Body`], and the field `figure`.
macro_rules! body_with_figure {
    ($(#[$meta:meta])* Body { $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt;)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        #[schemars(rename = "Body")]
        pub struct BodyWithFigure {
            $($(#[doc = $doc])+ pub $field: f64,)+
            /// Figure of the body; absent if no measurement of the figure is given.
            #[serde(default, skip_serializing_if = "Figure::is_empty")]
            pub figure: Figure,
        }

        impl BodyWithFigure {
            /// Joins a body and its figure; the lengths of both must be in the same unit.
            pub fn new(Body { $($field),+ }: Body, figure: Figure) -> Self {
                Self { $($field,)+ figure }
            }

            /// Returns the body without its figure.
            pub fn body(&self) -> Body {
                Body { $($field: self.$field),+ }
            }
        }
    };
}

body_table!(body_with_figure);

/// Reads a body and its optional figure; returns `None` if a measurement of the body is missing or invalid.
pub(super) fn read_body_with_figure(body: &mut ObjectReader) -> Option<BodyWithFigure> {
    let numbers = body.read_numbers(&Body::FIELDS);
    let text = "Figure of the body: how it stands and where it is full. Every measurement may be missing.";
    let figure = body.read_object("figure", false, ["Figure", text], read_figure);
    Some(BodyWithFigure::new(Body::from_array(numbers?), figure.unwrap_or_default()))
}

/// Reads a figure, whose numbers are all optional.
#[allow(clippy::unnecessary_wraps, reason = "a function that reads fields returns an Option")]
pub(crate) fn read_figure(figure: &mut ObjectReader) -> Option<Figure> {
    Some(Figure::from_array(Figure::FIELDS.each_ref().map(|field| figure.read_optional_number(field))))
}
