//! The body of a request and of its result: waist, hip, hip depth and length, with the figure if one is measured.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::object::ObjectReader;
use crate::body::{Body, Figure, body_table};

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
