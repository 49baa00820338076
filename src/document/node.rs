//! A JSON document as it was written: fields in order, twice where they stand twice.
//!
//! Reading goes through this tree, not straight into structs, so that every problem is found and none of them hides
//! another.

use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};

use crate::error::{Code, GivenValue, Problem, Problems, shortened};

/// Any JSON value.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Node {
    Null,
    Truth(bool),
    Number(f64),
    Text(String),
    /// What JSON has not, and Python may pass; as it is shown.
    #[cfg(feature = "python")]
    Other(String),
    List(Vec<Node>),
    Object(Vec<(String, Node)>),
}

impl Node {
    /// The document of this name, as it was written.
    pub(crate) fn parse(text: &str, name: &str) -> Result<Self, Problems> {
        let broken =
            |error: serde_json::Error| Problem::new(Code::BrokenJson, name).with_value(error.to_string()).into();
        serde_json::from_str(text).map_err(broken)
    }

    /// The value in an error: texts in quotes, shortened; lists and objects by what they are.
    pub(crate) fn shown(&self) -> GivenValue {
        match self {
            Node::Null => "null".into(),
            Node::Truth(truth) => truth.to_string().into(),
            Node::Number(number) => (*number).into(),
            Node::Text(text) => format!("\"{}\"", shortened(text)).into(),
            #[cfg(feature = "python")]
            Node::Other(shown) => shortened(shown).into(),
            Node::List(_) => "a list".into(),
            Node::Object(_) => "an object".into(),
        }
    }
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NodeVisitor)
    }
}

struct NodeVisitor;

impl<'de> Visitor<'de> for NodeVisitor {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Node, E> {
        Ok(Node::Null)
    }

    fn visit_bool<E>(self, truth: bool) -> Result<Node, E> {
        Ok(Node::Truth(truth))
    }

    // Whole numbers above 2^53 are rounded: every range ends far below.
    #[allow(clippy::cast_precision_loss)]
    fn visit_i64<E>(self, number: i64) -> Result<Node, E> {
        Ok(Node::Number(number as f64))
    }

    #[allow(clippy::cast_precision_loss)]
    fn visit_u64<E>(self, number: u64) -> Result<Node, E> {
        Ok(Node::Number(number as f64))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Node, E> {
        Ok(Node::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Node, E> {
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Node, A::Error> {
        let mut nodes = Vec::new();
        while let Some(node) = list.next_element()? {
            nodes.push(node);
        }
        Ok(Node::List(nodes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node, A::Error> {
        let mut fields = Vec::new();
        while let Some(field) = map.next_entry()? {
            fields.push(field);
        }
        Ok(Node::Object(fields))
    }
}
