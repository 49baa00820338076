//! Printed words: one table of all texts of drawings, lessons and cautions, in English or another language, and the ruler
//! of printed lengths.
//!
//! [`Texts`] replaces templates of the table by those of another language. Names of layers and parts in files stay
//! English; only the layers of sizes, and a pattern without a name, are called as they are in print.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::{Display, Write as _};

use crate::body::Body;
use crate::error::{Code, Problem, Problems, fill_placeholders, quote_unusual_field_name};
use crate::ruler::Ruler;
use crate::text::{compose_letters, is_blank, is_in_pdf_font};

/// Declares [`Texts`]: for each text where it is printed, its key and its English template.
macro_rules! texts {
    ($(#[doc = $doc:literal] $key:ident = $english:literal;)*) => {
        /// Texts of drawings, lessons and cautions, each a template with placeholders in braces.
        ///
        /// The default is English. A function that draws takes texts in another language together with the ruler.
        ///
        /// ```
        /// use kirtle::drawing::draw_draft;
        /// use kirtle::{Body, Ease, Rules, Texts, Unit};
        ///
        /// let german = Texts::new([("hem_length", "Saum {length}"), ("decimal_mark", ",")])?;
        /// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
        /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
        /// let drawing = draw_draft(&draft, (Unit::Cm, &german));
        /// assert!(kirtle::files::svg(&drawing, kirtle::files::SvgScale::True).contains(">Saum 25,5 cm<"));
        /// # Ok::<(), kirtle::Problems>(())
        /// ```
        ///
        /// The keys, and where each text is printed:
        ///
        $(#[doc = concat!("- `", stringify!($key), "`:", $doc)])*
        /// - the name of each [`FindingCode`](crate::FindingCode), parts of cautions, and the field of each rule: its name
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct Texts {
            /// Templates that differ from the English ones, by their keys.
            pub(super) translations: ::std::collections::BTreeMap<&'static str, String>,
        }

        /// Key, English template and description of each text.
        pub(crate) static TABLE: &[(&str, &str, &str)] = &[$((stringify!($key), $english, $doc.trim_ascii())),*];

        #[allow(dead_code, reason = "some texts are found by key")]
        impl Texts {
            $(#[doc = $doc]
            pub(crate) fn $key(&self) -> &str {
                self.template_or(stringify!($key), $english)
            })*
        }
    };
}

mod cautions;
mod table;

use cautions::CAUTION_WORDS;
pub use cautions::FindingCode;
pub use table::Texts;

/// Texts without a translation.
static ENGLISH: Texts = Texts { translations: BTreeMap::new() };

/// Fills the placeholders of a template: `printed!(texts.hem_length(), length = "25 cm")`; a name without a value
/// stands for the variable of that name.
macro_rules! printed {
    (@value $name:ident) => { $name };
    (@value $name:ident $value:expr) => { $value };
    ($template:expr $(, $name:ident $(= $value:expr)?)*) => {
        $crate::wording::fill_template(
            &$template,
            &[$((stringify!($name), &$crate::wording::printed!(@value $name $($value)?))),*],
        )
    };
}
pub(crate) use printed;

/// Fills each placeholder of a template with the value of its name.
pub(crate) fn fill_template(template: &str, values: &[(&str, &dyn Display)]) -> String {
    fill_placeholders(template, |text, placeholder| {
        let value = values.iter().find(|(name, _)| *name == placeholder);
        debug_assert!(value.is_some(), "no {placeholder} for {template:?}");
        // Writing to a text never fails.
        let _ = value.map(|(_, value)| write!(text, "{value}"));
    })
}

pub(crate) const MAX_TEMPLATE_CHARS: usize = 1000;

/// Text that names the known keys in the problem of an unknown key.
pub(crate) const KNOWN_KEYS: &str = "the keys of the English texts";

impl Texts {
    /// Creates texts from pairs of key and template. A text without a pair stays English; an empty text is not
    /// printed.
    ///
    /// # Errors
    /// All [`Problems`]: [`Code::UnknownField`] for a key that is not in the table; [`Code::TooMany`] for more than
    /// 1000 characters; [`Code::WrongType`] for a character that the PDF font lacks, braces that are not in pairs, other
    /// placeholders or more line breaks (`|`) than the English template has, and an invalid decimal mark.
    ///
    /// ```
    /// use kirtle::Texts;
    ///
    /// assert!(Texts::new([("grain_line", "Fadenlauf"), ("vent", "Schlitz {height}")]).is_ok());
    ///
    /// let problems = Texts::new([("grain", "Fadenlauf"), ("vent", "Schlitz {Höhe}")]).unwrap_err();
    /// let lines = ["texts.grain: unknown field; known fields are the keys of the English texts",
    ///     "texts.vent: \"Schlitz {Höhe}\" is not a text with the placeholder {height}"];
    /// assert_eq!(problems.to_string(), lines.join("\n"));
    /// ```
    pub fn new<K: AsRef<str>, T: Into<String>>(templates: impl IntoIterator<Item = (K, T)>) -> Result<Self, Problems> {
        let (mut texts, mut problems) = (Self::default(), Vec::new());
        for (key, template) in templates {
            if problems.len() > Problems::MAX {
                break;
            }
            let (key, template) = (key.as_ref(), compose_letters(&template.into()));
            let field = format!("texts.{}", quote_unusual_field_name(key));
            if let Some((key, english)) = Self::english().find(|(known, _)| *known == key) {
                problems.extend(template_problem(&field, english, &template));
                texts.translations.remove(key);
                texts.translations.extend((template != english).then_some((key, template)));
            } else {
                let unknown = Problem::new(Code::UnknownField, field).with_choices(Self::english().map(|(key, _)| key));
                problems.push(unknown.with_limit(KNOWN_KEYS));
            }
        }
        Problems::ok_if_empty(problems)?;
        Ok(texts)
    }

    /// Returns key and English template of each text, for a translator to start from.
    ///
    /// ```
    /// assert!(kirtle::Texts::english().any(|text| text == ("hem_length", "hem {length}")));
    /// ```
    pub fn english() -> impl Iterator<Item = (&'static str, &'static str)> {
        Self::table().map(|(key, english, _)| (key, english))
    }

    /// Returns key, English template and description of each text.
    pub(crate) fn table() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
        let caution = |code: &FindingCode| (code.name(), code.message_template(), "Caution; the key is its code.");
        let cautions = FindingCode::ALL.iter().map(caution);
        let words = CAUTION_WORDS.iter().map(|(key, english)| (*key, *english, "Part of a caution."));
        let rules =
            table::RULE_NAMES.iter().map(|(key, english)| (*key, *english, "Name of a rule; the key is its field."));
        table::TABLE.iter().copied().chain(rules).chain(cautions).chain(words)
    }

    /// Returns key and template of each text, in the order of the table.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &str)> {
        Self::english().map(|(key, english)| (key, self.template_or(key, english)))
    }

    /// Returns key and template of each text that is not English, in the order of the table.
    pub fn translated(&self) -> impl Iterator<Item = (&'static str, &str)> {
        Self::english().filter_map(|(key, _)| Some((key, &**self.translations.get(key)?)))
    }

    fn template_or<'t>(&'t self, key: &str, english: &'t str) -> &'t str {
        self.translations.get(key).map_or(english, String::as_str)
    }

    /// Returns the template of a key in the table; empty for another key.
    pub(crate) fn template(&self, key: &str) -> &str {
        let english = Self::english().find(|(known, _)| *known == key);
        english.map_or("", |(_, english)| self.template_or(key, english))
    }

    /// Returns the name of a piece, whose key is `name`, in capitals; a letter whose capital the PDF font lacks stays.
    pub(crate) fn piece_name_in_capitals(&self, name: &str) -> String {
        let capital = |letter: char| match letter.to_uppercase().to_string() {
            capital if capital.chars().all(is_in_pdf_font) => capital,
            _ => letter.to_string(),
        };
        self.template(name).chars().map(capital).collect()
    }

    /// Formats a number with the decimal mark of the texts.
    pub(crate) fn number(&self, number: impl Display) -> String {
        number.to_string().replace('.', self.decimal_mark())
    }

    /// Joins items by [`pair`](Self::pair): `a and b and c`; empty without items.
    pub(crate) fn join(&self, items: impl IntoIterator<Item = String>) -> String {
        items.into_iter().reduce(|first, second| printed!(self.pair(), first, second)).unwrap_or_default()
    }
}

/// Returns the problem of a template, as [`Texts::new`] lists them; `None` for a valid template.
fn template_problem(field: &str, english: &str, template: &str) -> Option<Problem> {
    let wrong = |wanted: &str| Some(Problem::invalid_name_problem(field, template, wanted));
    let too_many = Problem::too_many_problem(field, template.chars().count(), MAX_TEMPLATE_CHARS, "letters");
    if too_many.is_some() {
        return too_many;
    } else if let Some(letter) = template.chars().find(|letter| !is_in_pdf_font(*letter)) {
        let font = "a text on one line in letters of the PDF font: Latin, Greek, Cyrillic, but no";
        return wrong(&format!("{font} {:?} (U+{:04X})", letter.to_string(), u32::from(letter)));
    } else if field == "texts.decimal_mark" && !matches!(template, "." | "," | "'" | "\u{b7}") {
        return wrong("a decimal mark: point, comma, apostrophe or raised point");
    } else if template.matches('|').count() > english.matches('|').count() {
        return wrong("a text without more line breaks \"|\" than the English one");
    }
    let known = placeholders(english).unwrap_or_default();
    match placeholders(template) {
        None => wrong("a text with braces in pairs around placeholders"),
        Some(_) if template.is_empty() => None,
        Some(names) if names.iter().collect::<BTreeSet<_>>() == known.iter().collect() => None,
        Some(_) if known.is_empty() => wrong("a text without placeholders"),
        Some(_) => {
            let plural = if known.len() == 1 { "" } else { "s" };
            wrong(&format!("a text with the placeholder{plural} {{{}}}", known.join("}, {")))
        }
    }
}

/// Returns the names of the placeholders of a template; `None` if its braces are not in pairs.
fn placeholders(template: &str) -> Option<Vec<&str>> {
    let mut pieces = template.split('{');
    if pieces.next()?.contains('}') {
        return None;
    }
    pieces.map(|piece| piece.split_once('}').filter(|(_, words)| !words.contains('}')).map(|(name, _)| name)).collect()
}

/// Wording of a drawing or a lesson: the ruler of its lengths, and its texts. A function that prints takes a [`Ruler`]
/// or a [`Unit`](crate::Unit) for English texts, or a pair of a ruler and [`Texts`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wording<'t> {
    /// Ruler that decides unit and rounding of printed lengths.
    pub ruler: Ruler,
    /// Printed texts.
    pub texts: &'t Texts,
}

impl<R: Into<Ruler>> From<R> for Wording<'static> {
    fn from(ruler: R) -> Self {
        (ruler, &ENGLISH).into()
    }
}

impl<'t, R: Into<Ruler>> From<(R, &'t Texts)> for Wording<'t> {
    fn from((ruler, texts): (R, &'t Texts)) -> Self {
        Self { ruler: ruler.into(), texts }
    }
}

impl<'t> Wording<'t> {
    /// Returns the short name of the ruler's unit, such as `cm`, to be printed after a number.
    pub(crate) fn unit(self) -> &'t str {
        [self.texts.unit_cm(), self.texts.unit_in(), self.texts.unit_mm()][self.ruler.unit() as usize]
    }

    /// Formats a length, given in centimetres, in the ruler's unit, rounded to its step: `72.5`, or `28 9/16`.
    pub(crate) fn length(self, length_cm: f64) -> String {
        self.texts.number(self.ruler.format_length(length_cm))
    }

    /// Formats a length, given in centimetres, as [`length`](Self::length) does, with its unit: `72.5 cm`.
    pub(crate) fn length_with_unit(self, length_cm: f64) -> String {
        self.with_unit(self.length(length_cm))
    }

    /// Formats a length that the user chose, given here in centimetres, as [`Ruler::format_input_length`] does.
    pub(crate) fn input_length(self, length_cm: f64) -> String {
        self.texts.number(self.ruler.format_input_length(length_cm))
    }

    /// Returns a name, or for a blank name waist and hip of a body.
    pub(crate) fn name_or_girths(self, name: &str, body: &Body) -> String {
        let [waist, hip] = [body.waist, body.hip].map(|cm| self.length(cm));
        if is_blank(name) { printed!(self.texts.body_label(), waist, hip, unit = self.unit()) } else { name.to_owned() }
    }

    /// Appends the ruler's unit to a number.
    pub(crate) fn with_unit(self, number: impl Display) -> String {
        format!("{number} {}", self.unit())
    }
}
