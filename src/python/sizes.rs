//! The Python classes `SizeChart`, `SizeRange`, `Nest` and `Alteration`, and the function `chart_json`. Attributes are
//! in centimetres; methods take and return lengths in their `unit`, by default that of the chart.

use pyo3::exceptions::{PyKeyError, PyTypeError};
use pyo3::prelude::*;
use pyo3::types::PyList;

use super::arguments::{
    BooleanArgument, DocumentText, NameArgument, NamesArgument, NumberArgument, SizeNamesArgument,
    SizePositionArgument, TextsArgument, argument_types, json_object, json_object_without_none, parse_ruler_or,
    parse_table_unit, parse_unit, parse_unit_or, value_or_raise, wording,
};
use super::class::{operator_methodcaller, python_class};
use super::draft::Draft;
use super::inputs::{Body, Ease, Given, Rules};
use super::typed_objects::{AnyDict, TextIterator, json_to_dict};
use crate::document::{
    AlterationReport, BestChartReport, ChartRequest, ChoiceReport, GradeIncrementReport, JsonValue, KeyLengths,
    convert_each, read_document, read_size_blend, read_size_choice_rule, to_json_text,
};
use crate::drawing::{draw_alteration, draw_nest, paginate, with_header};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::files::save_drawing;
use crate::pattern::{Cutting, Preset};
use crate::sizes;
use crate::text::compose_letters;
use crate::wording::Texts;

argument_types! {
    /// Argument that is a size chart; raises `TypeError`, with advice for a best chart, for any other object.
    ChartArgument(Py<SizeChart>) as <SizeChart as pyo3::type_object::PyTypeInfo>::TYPE_HINT,
        |object| match object.cast::<SizeChart>() {
            Err(_) if object.is_instance_of::<BestChartReport>() => {
                let advice = "a best chart has no hip depth and no length: give its .chart(hip_depth=…, length=…)";
                return Err(PyTypeError::new_err(advice));
            }
            chart => chart?.to_owned().unbind(),
        };
}

/// Chart of named sizes in ascending order of the sum of waist and hip. Lengths are in centimetres.
///
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60)), ("M", Body(waist=74, hip=98, hip_depth=20, length=60))]).names
/// ['S', 'M']
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60))])
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 1 size is given, at least 2 sizes needed
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct SizeChart(pub(super) sizes::SizeChart, pub(super) Unit);

/// Returns a Python iterator over the names of the sizes, from the smallest to the largest.
fn iterator_over_names<'py>(py: Python<'py>, chart: &sizes::SizeChart) -> PyResult<TextIterator<'py>> {
    PyList::new(py, chart.sizes().iter().map(|size| &size.name))?.try_iter().map(TextIterator)
}

/// Creates the `KeyError` for a name that no size has; the error lists the names of the sizes.
fn unknown_size_error(chart: &sizes::SizeChart, name: &str) -> PyErr {
    let names: Vec<_> = chart.sizes().iter().map(|size| &*size.name).collect();
    PyKeyError::new_err(format!("there is no size {name:?}; the sizes are {}", names.join(", ")))
}

python_class! { SizeChart as chart;
    /// Names of the sizes, from the smallest to the largest.
    names: Vec<String> = chart.0.sizes().iter().map(|size| size.name.clone()).collect();
    /// Unit in which the lengths were given, `cm` or `in`: the default unit of every method of the chart, and of its
    /// bodies, drafts, nests and alterations. Notebooks show lengths in this unit.
    unit: &'static str = chart.1.name();
    // JSON and Python have the same escapes.
    repr = format!("<SizeChart of {}>", to_json_text(&chart.names()));
    hash = chart.0.to_csv(Unit::Cm);
    equal other = chart.0 == other.0;
    pickle = from_json(chart.0.to_json(chart.1));
    {
        /// Create a chart from pairs of a name and a body, in any order.
        ///
        /// Raises `InputError` with all the problems at once.
        #[new]
        fn new(sizes: Vec<(String, PyRef<'_, Body>)>) -> PyResult<Self> {
            let unit = sizes.first().map_or(Ok(Unit::Cm), |(_, body)| parse_unit(body.unit()))?;
            let size = |(name, body): (_, PyRef<'_, Body>)| Ok(sizes::Size { name, body: body.body_if_without_figure()? });
            let sizes = sizes.into_iter().map(size).collect::<Result<_, Problems>>()?;
            Ok(Self(sizes::SizeChart::new(sizes)?, unit))
        }

        /// Return an example chart of 12 sizes, with the increments of EN 13402-3.
        #[staticmethod]
        fn demo() -> Self { Self(sizes::SizeChart::demo(), Unit::Cm) }

        /// Create a chart from comma-separated values with the columns `name`, `waist`, `hip`, `hip_depth` and
        /// `length`.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> text = SizeChart.demo().to_csv("in")
        /// >>> SizeChart.from_csv(text, unit="in").names[:3]
        /// ['32', '34', '36']
        /// >>> SizeChart.from_csv("name,waist,hip,hip_depth,length")
        /// Traceback (most recent call last):
        /// kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
        #[staticmethod]
        #[pyo3(signature = (text, *, unit = "cm"))]
        fn from_csv(text: DocumentText, unit: &str) -> PyResult<Self> {
            let unit = parse_table_unit(unit)?;
            if !text.0.contains('\n') && text.0.to_ascii_lowercase().ends_with(".csv") {
                let problem = Problem::new(Code::WrongType, "text").with_value(format!("the path {:?}", text.0));
                Err(Problems::from(problem.with_limit("a text in CSV: read the file first")))?;
            }
            Ok(Self(sizes::SizeChart::from_csv(&text.0, unit)?, unit.of_document()))
        }

        /// Create a chart from JSON that follows `schema("chart")`.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(text: DocumentText) -> PyResult<Self> {
            let request = ChartRequest::from_json(&text.0)?;
            Ok(Self(request.chart, request.unit))
        }

        /// Return the chart as comma-separated values, which `from_csv` reads with the same `unit`.
        #[pyo3(signature = (unit = None))]
        fn to_csv(&self, unit: Option<&str>) -> PyResult<String> { Ok(self.0.to_csv(parse_unit_or(unit, self.1)?)) }

        /// Return the chart as JSON that follows `schema("chart")`, which `from_json` reads, with lengths in `unit`.
        #[pyo3(signature = (unit = None))]
        fn to_json(&self, unit: Option<&str>) -> PyResult<String> { Ok(self.0.to_json(parse_unit_or(unit, self.1)?)) }

        /// Return the body of the size called `name`.
        ///
        /// Raises `KeyError` for an unknown name.
        fn __getitem__(&self, name: &str) -> PyResult<Body> {
            let unknown = || unknown_size_error(&self.0, name);
            self.0.size(name).map(|size| Body::from_library_body(size.body, self.1)).ok_or_else(unknown)
        }

        /// Return the number of sizes.
        fn __len__(&self) -> usize { self.0.sizes().len() }

        /// Return an iterator over the names of the sizes, from the smallest to the largest.
        fn __iter__<'py>(&self, py: Python<'py>) -> PyResult<TextIterator<'py>> { iterator_over_names(py, &self.0) }

        /// Choose a size for a body, with advice in words; lengths are in `unit`.
        ///
        /// `by` is the girth by which the size is chosen: `hip`, `waist` or `both`. The smaller of two sizes is taken
        /// if this girth of the body is at most `tolerance` larger than that of the size, by default 1 cm. With `ease`
        /// the advice has the ease that is left.
        ///
        /// Raises `InputError` for an unknown girth or a tolerance out of range.
        ///
        /// >>> chart = SizeChart.demo()
        /// >>> choice = chart.choose(Body(waist=73, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> print(choice.advice)
        /// Take size 40, by the hip, and blend it to the waist of size 38. The hip of size 40 leaves 4.0 cm of ease instead of 5.0 cm. The waist of size 40 is 3.0 cm too large. The waist of size 38 leaves 0.5 cm of ease instead of 1.5 cm. Rule: take the larger of two sizes, unless the hip of the body is at most 1.0 cm larger than the hip of the smaller size.
        /// >>> chart.between(waist=choice.waist.size, hip=choice.hip.size)
        /// Body(waist=72.0, hip=100.0, hip_depth=20.3, length=60.0)
        /// >>> chart.choose(Body(waist=73, hip=101, hip_depth=20.5, length=62), by="knee")
        /// Traceback (most recent call last):
        /// kirtle.InputError: choose.by: "knee" is not "hip" or "waist" or "both"
        #[pyo3(signature = (body, *, by = "hip", tolerance = None, ease = None, unit = None))]
        fn choose(
            &self, body: &Body, by: &str, tolerance: Option<NumberArgument>, ease: Option<&Ease>, unit: Option<&str>,
        ) -> PyResult<ChoiceReport> {
            let (unit, by) = (parse_unit_or(unit, self.1)?, JsonValue::String(by.to_owned()));
            let value = json_object_without_none(vec![("by", Some(by)), ("tolerance", tolerance.map(|tolerance| tolerance.0))]);
            let rule = read_document(Some(unit), ["choose", "choose."], &value, read_size_choice_rule)?;
            Ok(ChoiceReport::new(&self.0.choose(&body.0, &rule), ease.map(|ease| &ease.0), unit.into(), unit))
        }

        /// Return a body between sizes of the chart, given in `unit`.
        ///
        /// `waist` and `hip` are each the name of a size, two names for half-way between, or two names and a fraction
        /// from 0 to 1: 0.25 is a quarter of the way from the first size to the second. `hip_depth` and `length`, in
        /// `unit`, replace the values of the sizes.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> SizeChart.demo().between(waist="38", hip=("40", "42"))
        /// Body(waist=72.0, hip=102.0, hip_depth=20.4, length=60.0)
        /// >>> SizeChart.demo().between(waist="39", hip="40")
        /// Traceback (most recent call last):
        /// kirtle.InputError: waist.from: there is no size "39"; the sizes are 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
        #[pyo3(signature = (*, waist, hip, hip_depth = None, length = None, unit = None))]
        fn between(
            &self, waist: SizePositionArgument, hip: SizePositionArgument, hip_depth: Option<NumberArgument>,
            length: Option<NumberArgument>, unit: Option<&str>,
        ) -> PyResult<Body> {
            let (unit, [waist, hip]) = (parse_unit_or(unit, self.1)?, [waist, hip].map(Some));
            let value = json_object!(waist, hip, hip_depth, length);
            let blend = read_document(Some(unit), ["blend", "blend."], &value, read_size_blend)?;
            value_or_raise(self.0.between(&blend), unit).map(|body| Body::from_library_body(body, unit))
        }

        /// Draft every size of the chart with the same ease and rules.
        ///
        /// Raises `InputError` with all the problems at once; each problem names its size.
        ///
        /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        /// >>> sizes["40"].back.width
        /// 25.25
        /// >>> long = Rules(darts=Darts(back=[GivenDart(intake=3, length=25, place=0.5)], front=[]))
        /// >>> SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5), rules=long)
        /// Traceback (most recent call last):
        /// kirtle.InputError: size "32" rules.darts.back: a dart tip would lie 26... cm below the side end of the waist, but the hip line lies only 19.5 cm below that end: use a shorter dart
        /// ...
        #[pyo3(signature = (*, ease, rules = None))]
        fn draft(&self, py: Python<'_>, ease: &Ease, rules: Option<&Rules>) -> PyResult<SizeRange> {
            let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
            Ok(SizeRange(value_or_raise(py.detach(|| self.0.draft(&ease.0, &rules)), self.1)?, self.1))
        }
    }
}

/// Drafts of all sizes of a chart, with one ease and one set of rules.
///
/// A notebook displays the drafts as a nest: all sizes on one drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct SizeRange(sizes::SizeRange, Unit);

python_class! { SizeRange as range;
    /// Chart of the sizes.
    chart: SizeChart = SizeChart(range.0.chart().clone(), range.1);
    repr = format!("<SizeRange of {} drafts>", range.0.drafts().len());
    hash = format!("{:?} {:?}", range.0.chart(), range.0.ease());
    equal other = range.0 == other.0;
    cut(preset: &str = "none" => Some(NameArgument(JsonValue::String(preset.to_owned()))); after sizes: Option<SizeNamesArgument>)
        by range.1, as unit, cutting
        /// Return the nest of chosen sizes: their patterns, cut alike and drawn on each other.
        ///
        /// `sizes` is one or more names of sizes, or rows of sizes such as `36-44`; by default all sizes. `preset` is
        /// `trial`, `garment`, or `none` for no allowances; `name` is the name of the nest. The other options are as in
        /// `Draft.pattern`, with lengths in `unit`. The waistbands of all sizes are aligned at the centre front, the
        /// facings at the waist of the centre line.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        /// >>> sizes.nest(["36-40", "44"], preset="garment", hem=5, pieces=("back", "front", "waistband")).names
        /// ['36', '38', '40', '44']
        /// >>> sizes.nest(["39"])
        /// Traceback (most recent call last):
        /// kirtle.InputError: sizes: there is no size "39"; the sizes are 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
        nest -> Nest = Nest::nest_from_range(&range.0, &sizes.map(|sizes| sizes.0).unwrap_or_default(), cutting, unit);
    {
        /// Draft all sizes of a chart in JSON that follows `schema("chart")` and contains `ease`.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(py: Python<'_>, text: DocumentText) -> PyResult<Self> {
            let request = ChartRequest::from_json(&text.0)?;
            Ok(Self(py.detach(|| request.required_size_range())?, request.unit))
        }

        /// Return the draft of the size called `name`.
        ///
        /// Raises `KeyError` for an unknown name.
        fn __getitem__(&self, name: &str) -> PyResult<Draft> {
            let name = &*compose_letters(name);
            let found = self.0.sizes_with_drafts().find(|(size, _)| size.name == name);
            let unknown = || unknown_size_error(self.0.chart(), name);
            found.map(|(_, draft)| Draft::from_library_draft(draft, self.1)).ok_or_else(unknown)
        }

        /// Return the number of drafts.
        fn __len__(&self) -> usize { self.0.drafts().len() }

        /// Return an iterator over the names of the sizes, from the smallest to the largest.
        fn __iter__<'py>(&self, py: Python<'py>) -> PyResult<TextIterator<'py>> { iterator_over_names(py, self.0.chart()) }

        /// Return the name and the key lengths of each size, in the order of the chart, with lengths in `unit`.
        #[pyo3(signature = (unit = None))]
        fn table(&self, unit: Option<&str>) -> PyResult<Vec<(String, KeyLengths)>> {
            let unit = parse_unit_or(unit, self.1)?;
            Ok(self.0.sizes_with_drafts().map(|(size, draft)| (size.name.clone(), KeyLengths::new(draft, unit))).collect())
        }

        /// Return the grade increments in `unit`: how far each named point moves from one size to the next larger size.
        #[pyo3(signature = (unit = None))]
        fn grade(&self, unit: Option<&str>) -> PyResult<Vec<GradeIncrementReport>> {
            Ok(convert_each(&self.0.grade(), GradeIncrementReport::new, parse_unit_or(unit, self.1)?))
        }

        /// Alter the printed nest on paper for one body, and compare the result with the exact draft of the body.
        ///
        /// `tolerance_mm`, from 0.1 to 50 mm, by default 3 mm, is the largest difference of seams that sew together,
        /// and of a pattern that is close to the exact draft. Changes of at most `min_step_mm`, from 0 to 20 mm, by
        /// default 3 mm, are left out.
        ///
        /// Raises `InputError` for a body outside the chart or a limit out of range.
        ///
        /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
        /// >>> altered = sizes.alter(Body(waist=70, hip=100, hip_depth=20.5, length=58))
        /// >>> altered.sews, altered.holds, round(altered.cost.side_gap_mm, 1)
        /// (True, False, 5.3)
        /// >>> sizes.alter(Body(waist=140, hip=160, hip_depth=20.5, length=58))
        /// Traceback (most recent call last):
        /// kirtle.InputError: body.waist: 140 cm is outside the size chart, which ends at 112 cm: draft this body individually
        /// body.hip: 160 cm is outside the size chart, which ends at 132 cm: draft this body individually
        #[pyo3(signature = (body, *, tolerance_mm = None, min_step_mm = None))]
        fn alter(
            &self, py: Python<'_>, body: &Body, tolerance_mm: Option<f64>, min_step_mm: Option<f64>,
        ) -> PyResult<Alteration> {
            let [tolerance_mm, min_step_mm] = [tolerance_mm, min_step_mm].map(|mm| mm.map(JsonValue::Number));
            let value = json_object_without_none(vec![("tolerance_mm", tolerance_mm), ("min_step_mm", min_step_mm)]);
            let limits = read_document(Some(Unit::Cm), ["", ""], &value, |limits| limits.read_numbers(&sizes::AlterationLimits::FIELDS))?;
            let body = body.body_if_without_figure()?;
            let inner = py.detach(|| self.0.alter(&body, Some(sizes::AlterationLimits::from_array(limits))));
            Ok(Alteration { range: self.0.clone(), unit: self.1, inner: value_or_raise(inner, self.1)? })
        }

        fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
            let cutting = Cutting::preset(Preset::None, self.1).convert_lengths(Unit::Cm, self.1);
            Nest::nest_from_range(&self.0, &[], cutting, self.1)?.svg(py, None, true, None)
        }

        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (SizeChart,))> {
            let ease = Ease(*self.0.ease(), Given { numbers: *self.0.ease(), unit: Unit::Cm });
            let keywords = (("ease", ease), ("rules", Rules(self.0.rules().clone())));
            Ok((operator_methodcaller(py, ("draft",), keywords)?, (self.chart(),)))
        }
    }
}

/// Nest: sizes of a range as patterns, cut alike and drawn on each other.
///
/// A notebook displays the nest as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Nest {
    range: sizes::SizeRange,
    /// Allowances, opening, vent and waist finish; lengths in `unit`.
    cutting: Cutting,
    unit: Unit,
    inner: sizes::Nest,
}

impl Nest {
    /// Makes the nest of the sizes `choices` of a range, all sizes if `choices` is empty; lengths of `cutting` are in
    /// `unit`.
    fn nest_from_range(range: &sizes::SizeRange, choices: &[String], cutting: Cutting, unit: Unit) -> PyResult<Self> {
        let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
        let inner = value_or_raise(range.nest(&choices, &cutting.clone().convert_lengths(unit, Unit::Cm)), unit)?;
        Ok(Self { range: range.clone(), cutting, unit, inner })
    }
}

python_class! { Nest as nest;
    /// Names of the sizes, from the smallest to the largest.
    names: Vec<String> = nest.inner.sizes().iter().map(|(name, _)| name.clone()).collect();
    /// Name printed on the nest; empty if no name is printed.
    name: &str = &nest.cutting.name;
    repr = format!("<Nest of {} sizes>", nest.inner.sizes().len());
    hash = format!("{:?}", nest.inner);
    equal other = nest.inner == other.inner;
    drawn(unit: Option<&str> = None) by parse_ruler_or(unit, nest.unit)?, as path, wording, paper: (margin_mm, overlap_mm)
        /// Draw the nest as SVG, with written lengths in `unit`, by default that of the nest. Each size is a layer,
        /// such as `Size 38`.
        ///
        /// The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        /// `Draft.svg`.
        svg = with_header(draw_nest(&nest.inner, wording));
        /// Return the bytes of a PDF of the nest at true size. Each size is a layer. The options are as in
        /// `Pattern.save`.
        pdf(margin_mm, overlap_mm) = paginate(&draw_nest(&nest.inner, wording), &paper);
        /// Write the nest to a `.pdf`, `.svg` or `.dxf` file. A failed call leaves no partial file.
        ///
        /// `paper`, `margin_mm`, `overlap_mm` and `texts` are as in `Pattern.save`.
        ///
        /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        save(margin_mm, overlap_mm) = save_drawing(path, &draw_nest(&nest.inner, wording), &paper);
        /// Return the nest as DXF, with coordinates in millimetres and written lengths in `unit`. Each size is a layer.
        /// `texts` is as in `Draft.svg`.
        dxf = draw_nest(&nest.inner, wording);
    {
        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (SizeRange,))> {
            let AnyDict(keywords) = json_to_dict(py, &to_json_text(&self.cutting))?;
            keywords.call_method1("update", (keywords.call_method1("pop", ("allowances",))?,))?;
            keywords.set_item("unit", self.unit.name())?;
            Ok((operator_methodcaller(py, ("nest", self.names()), keywords.items())?, (SizeRange(self.range.clone(), self.unit),)))
        }
    }
}

/// Alteration of a printed nest for one body, compared with the exact draft of the body.
///
/// A notebook displays the alteration as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Alteration {
    range: sizes::SizeRange,
    unit: Unit,
    inner: sizes::Alteration,
}

python_class! { Alteration as alteration;
    /// Differences of the altered pattern from the exact draft of the body, in millimetres, one for each place (waist
    /// line, side seam, hem and so on).
    cost: sizes::Cost = alteration.inner.cost;
    /// Largest difference of the altered pattern from the exact draft, in millimetres; infinite if the numbers of darts
    /// differ.
    largest_mm: f64 = alteration.inner.cost.largest_mm();
    /// Whether the largest difference of the altered pattern from the exact draft is at most the tolerance.
    holds: bool = alteration.inner.is_within_tolerance();
    /// Whether the altered pattern sews together within the tolerance: the sewn waist is as long as wanted, and both
    /// side seams are equally long.
    sews: bool = alteration.inner.sews();
    /// Whether the altered pattern sews together, and by how much its seams differ, in words.
    sewing_verdict: String = alteration.inner.sewing_verdict(&Texts::default());
    /// How far the altered pattern is from the exact draft, in words, by place and by step of the alteration.
    difference_verdict: String = alteration.inner.difference_verdict(&Texts::default());
    /// Exact draft of the body.
    exact: Draft = Draft::from_library_draft(&alteration.inner.exact, alteration.unit);
    repr = format!("<Alteration: {}>", alteration.inner.sewing_verdict(&Texts::default()));
    hash = to_json_text(&AlterationReport::new(&alteration.inner, Unit::Cm.into(), Unit::Cm));
    equal other = (&alteration.range, &alteration.inner) == (&other.range, &other.inner);
    drawn(unit: Option<&str> = None) by parse_ruler_or(unit, alteration.unit)?, as path, wording, paper: (10.0, 10.0)
        /// Draw the printed sizes, the altered outline and the exact draft as SVG, with written lengths in `unit`, by
        /// default that of the chart.
        ///
        /// The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        /// `Draft.svg`.
        svg = with_header(draw_alteration(&alteration.range, &alteration.inner, wording));
        /// Return the bytes of the PDF that `save` writes with the same options.
        pdf() = paginate(&draw_alteration(&alteration.range, &alteration.inner, wording), &paper);
        /// Write the drawing of the alteration to a `.pdf`, `.svg` or `.dxf` file. A failed call leaves no partial
        /// file. `texts` is as in `Draft.svg`.
        ///
        /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        save() = save_drawing(path, &draw_alteration(&alteration.range, &alteration.inner, wording), &paper);
    {
        /// Return the instructions of the alteration, one for each step, with lengths in `unit`. `texts`
        /// is as in `Draft.svg`.
        #[pyo3(signature = (unit = None, *, texts = None))]
        fn instructions(&self, unit: Option<&str>, texts: Option<TextsArgument>) -> PyResult<Vec<String>> {
            Ok(self.inner.instructions(wording(parse_ruler_or(unit, self.unit)?, texts.as_ref())?))
        }

        /// Return, in words, the changes from 0.5 mm to `min_step_mm`, which are left out, with lengths in `unit`.
        /// `texts` is as in `Draft.svg`.
        #[pyo3(signature = (unit = None, *, texts = None))]
        fn left_out(&self, unit: Option<&str>, texts: Option<TextsArgument>) -> PyResult<Vec<String>> {
            Ok(self.inner.left_out(wording(parse_ruler_or(unit, self.unit)?, texts.as_ref())?))
        }

        /// Convert the alteration to a dict: instructions, steps, differences (`cost`), verdicts and altered outlines,
        /// with lengths in `unit`.
        #[pyo3(signature = (unit = None))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> {
            let ruler = parse_ruler_or(unit, self.unit)?;
            let report = AlterationReport::new(&self.inner, ruler, ruler.unit());
            json_to_dict(py, &to_json_text(&report))
        }

        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (SizeRange,))> {
            let (body, limits) = (Body::from_library_body(*self.inner.exact.body(), Unit::Cm), self.inner.limits);
            let limits = [("tolerance_mm", limits.tolerance_mm), ("min_step_mm", limits.min_step_mm)];
            Ok((operator_methodcaller(py, ("alter", body), limits)?, (SizeRange(self.range.clone(), self.unit),)))
        }
    }
}

/// Answer a request on a chart of sizes in JSON, and return the report in JSON.
///
/// The documents follow `schema("chart")` and `schema("sizes")`.
///
/// Raises `InputError` with all the problems at once.
///
/// >>> sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
/// >>> report = json.loads(chart_json(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1.5, "hip": 5}})))
/// >>> [size["name"] for size in report["sizes"]]
/// ['S', 'M']
/// >>> chart_json('{"unit": "cm", "sizes": []}')
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
#[pyfunction]
pub(crate) fn chart_json(py: Python<'_>, chart: DocumentText) -> PyResult<String> {
    Ok(py.detach(|| crate::document::chart_json(&chart.0))?)
}
