"""Size charts, ranges, alterations and fittings, from Python and the command line."""

import copy
import io
import itertools
import json
import pickle
import re
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf.filemanagement
import pytest
from jsonschema import Draft202012Validator
from pypdf import PdfReader

import kirtle
from kirtle.__main__ import main

CHART = "name,waist,hip,hip_depth,length\nM,28,38,8,24\nS,26,36,8,24\nL,30.5,40.5,8.25,24.5\n"
EASE = kirtle.Ease(waist=1.5, hip=5)
EASES = ("--waist-ease", "1.5", "--hip-ease", "5")
BANDED, FACED = ("back", "front", "waistband"), ("back", "front", "facing")
BODY = kirtle.Body(waist=70, hip=100, hip_depth=20.5, length=58)


@pytest.fixture(scope="module")
def sizes() -> kirtle.SizeRange:
    return kirtle.SizeChart.demo().draft(ease=EASE)


def test_a_chart_keeps_its_numbers_and_sorts_its_sizes() -> None:
    chart = kirtle.SizeChart.from_csv(CHART, unit="in")
    assert kirtle.SizeChart.from_csv(CHART.replace("\n", ",,\n"), unit="in") == chart  # Deleted columns of a spreadsheet.
    assert chart.names == ["S", "M", "L"] and len(chart) == 3
    assert chart.to_csv("in").splitlines()[2] == "M,28,38,8,24"
    assert chart == kirtle.SizeChart([(name, chart[name]) for name in reversed(chart.names)])
    assert pickle.loads(pickle.dumps(chart)) == chart and hash(chart) == hash(kirtle.SizeChart.from_csv(CHART, unit="in"))
    assert list(chart) == chart.names == list(chart.draft(ease=EASE))
    assert chart.between(waist=("S", "M"), hip="M") == chart.between(waist=("S", "M", 0.5), hip="M")
    assert chart.draft(ease=EASE).nest("S-M").names == ["S", "M"]
    with pytest.raises(KeyError, match="no size .XL.; the sizes are S, M, L"):
        chart["XL"]
    umlaut = kirtle.SizeChart([("o\u0308", chart["S"]), ("L", chart["L"])])
    assert umlaut == pickle.loads(pickle.dumps(umlaut)) and umlaut.names == ["ö", "L"]
    assert umlaut.draft(ease=EASE)["o\u0308"].body == umlaut["ö"] == umlaut["o\u0308"] == umlaut.between(waist="o\u0308", hip="o\u0308")


def test_the_best_sizes_are_a_chart_to_draft_fit_and_nest(tmp_path: Path) -> None:
    people = kirtle.simulate(300, seed=1)
    for seed in range(3):
        chart = kirtle.best_chart(people, 5, loss="within", tolerance=2, seed=seed).chart(hip_depth=20, length=60)
        assert kirtle.fit_chart(chart, people, ease=EASE, tolerance=2).served > 0.3 * len(people)
        chart.draft(ease=EASE).nest().save(tmp_path / "nest.pdf")
    assert any(chart[a].waist > chart[b].waist for a, b in itertools.pairwise(sorted(chart, key=lambda name: chart[name].hip)))


def test_a_range_prints_each_caution_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    chart = tmp_path / "chart.csv"
    chart.write_text("name,waist,hip,hip_depth,length\nS,68,92,20,60\nM,74,98,20,85\nL,80,104,20,85\n")
    cautions = [line for line in run_command(capsys, "sizes", str(chart), *EASES)[1].splitlines() if line.startswith("Caution: ")]
    assert len(cautions) == 1 and "The hem is" in cautions[0] and cautions[0].endswith("(Size M; also L)")


FIRST = [{"what": "waist", "by": -1, "at": "side"}, {"what": "hip_line", "by": 0.5}]

INSTANCES: list[Callable[[kirtle.SizeRange], object]] = [
    lambda sizes: sizes,
    lambda sizes: kirtle.SizeChart.from_csv(CHART, unit="in").draft(ease=EASE, rules=kirtle.Rules(balance=0.5)),
    lambda sizes: sizes.nest(),
    lambda sizes: sizes.nest(["36-40"], name="Class", side=0.625, opening=7.25, press="side", unit="in"),
    lambda sizes: sizes.nest(["36-40"], preset="garment", notes=["Order 17"], unit="in"),
    lambda sizes: sizes.nest(["36-40"], preset="garment", pieces=BANDED, underlap=2, vent=18),
    lambda sizes: sizes.nest(["36-40"], preset="garment", pieces=FACED, facing_depth=2.75, unit="in"),
    lambda sizes: sizes.alter(BODY),
    lambda sizes: sizes.alter(BODY, tolerance_mm=10.5),
    lambda sizes: kirtle.Fitting(sizes["40"]),
    lambda sizes: kirtle.Fitting(sizes["40"]).correct(FIRST),
    lambda sizes: kirtle.Fitting(sizes["40"]).correct(FIRST).correct([]).correct([{"what": "length", "by": 1.1}], unit="in"),
]


@pytest.mark.parametrize("select", INSTANCES)
def test_classes_are_frozen_equal_hashable_and_copied(select: Callable[[kirtle.SizeRange], object], sizes: kirtle.SizeRange) -> None:
    instance, others = select(sizes), [other(sizes) for other in INSTANCES if other is not select]
    for twin in (copy.copy(instance), copy.deepcopy(instance), pickle.loads(pickle.dumps(instance))):
        assert twin == instance and hash(twin) == hash(instance) and repr(twin) == repr(instance)
    assert instance not in [object(), *others]
    with pytest.raises(AttributeError):
        setattr(instance, "verdict", "")


def test_copies_keep_the_drafts_the_alteration_and_every_fitting(sizes: kirtle.SizeRange) -> None:
    twin = pickle.loads(pickle.dumps(sizes))
    assert twin["44"] == sizes["44"] and twin.chart == sizes.chart and twin.nest() == sizes.nest()
    altered = sizes.alter(BODY, tolerance_mm=10.5)
    twin = pickle.loads(pickle.dumps(altered))
    assert twin.to_dict() == altered.to_dict() and twin.svg() == altered.svg()
    fitted = kirtle.Fitting(sizes["40"]).correct(FIRST).correct([{"what": "length", "by": 2}])
    in_inches = kirtle.Fitting.from_json(fitted.to_json("in"))
    assert in_inches.draft.lengths.side == pytest.approx(fitted.draft.lengths.side) and len(in_inches.to_dict()["rounds"]) == 2
    with pytest.raises(kirtle.InputError, match="^fitting: invalid JSON: missing field `format`"):
        kirtle.Fitting.from_json("{}")
    with pytest.raises(TypeError, match="not an instance of 'Draft'"):
        kirtle.Fitting(sizes)  # type: ignore[arg-type]
    twin = pickle.loads(pickle.dumps(fitted))
    while repr(fitted) != "<Fitting after 0 corrections>":
        assert (twin.draft, twin.changes, repr(twin)) == (fitted.draft, fitted.changes, repr(fitted)) and fitted.changes
        twin, fitted = twin.undo(), fitted.undo()
    assert twin == fitted == kirtle.Fitting(sizes["40"])


EASE_IN_INCHES = kirtle.Ease(waist=0.5, hip=2, unit="in")


def test_a_chart_in_inches_gives_bodies_advice_and_drawings_in_inches() -> None:
    chart = pickle.loads(pickle.dumps(kirtle.SizeChart.from_csv(CHART, unit="in")))
    assert kirtle.SizeChart.from_json(chart.to_json()).unit == chart.unit == "in" and chart.to_csv() == chart.to_csv("in")
    assert repr(chart["L"]) == 'Body(waist=30.5, hip=40.5, hip_depth=8.25, length=24.5, unit="in")'
    assert repr(chart.between(waist="S", hip="M", length=25)) == 'Body(waist=26.0, hip=38.0, hip_depth=8.0, length=25.0, unit="in")'
    choice = chart.choose(kirtle.Body(waist=28, hip=39, hip_depth=8, length=24, unit="in"), tolerance=0.25, ease=EASE_IN_INCHES)
    assert choice.tolerance == 0.25 and "at most 1/4 in larger" in choice.advice
    drafts = pickle.loads(pickle.dumps(chart.draft(ease=EASE_IN_INCHES)))
    assert kirtle.SizeRange.from_json(json.dumps(json.loads(chart.to_json()) | {"ease": {"waist": 0.5, "hip": 2}})) == drafts
    assert drafts["M"].document_unit == drafts.chart.unit == "in" and "hem 1 1/2, " in drafts["M"].pattern(preset="garment").svg()
    assert (drafts.table(), drafts.grade()) == (drafts.table("in"), drafts.grade("in")) and drafts.table("cm") != drafts.table()
    nest = pickle.loads(pickle.dumps(drafts.nest(preset="garment")))
    assert nest.svg() == drafts.nest(preset="garment", unit="in").svg("in") and "waist 1/2, side 5/8, hem 1 1/2, " in nest.svg()
    assert drafts._repr_svg_() == drafts.nest().svg("in", fit=True) != drafts.nest().svg("cm", fit=True)
    altered = pickle.loads(pickle.dumps(drafts.alter(kirtle.Body(waist=27, hip=37, hip_depth=8, length=25, unit="in"))))
    assert altered.exact.document_unit == "in" and altered.svg() == altered.svg("in") and altered.to_dict() == altered.to_dict("in")
    assert (altered.instructions(), altered.left_out()) == (altered.instructions("in"), altered.left_out("in")) != (altered.instructions("cm"), [])
    with pytest.raises(kirtle.InputError, match="body.waist: 40 in is outside the size chart"):
        drafts.alter(kirtle.Body(waist=40, hip=50, hip_depth=8, length=25, unit="in"))


def test_a_fitting_keeps_unit_cutting_cloth_and_ruler_of_the_order() -> None:
    draft = kirtle.draft(kirtle.Body(waist=29, hip=39.5, hip_depth=8, length=24.5, unit="in"), ease=EASE_IN_INCHES)
    order = {"cutting": {"preset": "garment", "name": "Order 17"}, "cloth": {"width": 55}, "ruler": "in 1/8"}
    pattern = kirtle.Pattern.from_json(json.dumps(json.loads(draft.to_request()) | order))
    fitting = kirtle.Fitting(pattern).correct({"what": "length", "by": 1.1})
    assert fitting.draft.body.length == pytest.approx(25.6 * 2.54) and kirtle.Fitting(draft).draft == fitting.undo().draft
    assert [line.split() for line in str(fitting).splitlines()[:2]] == [["Fitting", "1", "(in)", "requested"], ["length", "+1", "1/8"]]
    assert fitting.fitting_record() in str(fitting) and "(in)" in fitting._repr_html_()
    for twin in (kirtle.Fitting.from_json(fitting.to_json()), pickle.loads(pickle.dumps(fitting)), fitting.undo().correct({"what": "length", "by": 1.1})):
        assert twin == fitting and twin.draft.document_unit == "in" and twin.to_dict() == fitting.to_dict()
        assert twin.pattern() == fitting.draft.pattern(preset="garment", name="Order 17")
        assert json.loads(twin.pattern().to_request()).items() >= {"ruler": "in 1/8", "cloth": twin.to_dict()["request"]["cloth"]}.items()
    in_cm = kirtle.Fitting.from_json(fitting.to_json("cm"))
    assert in_cm.draft.document_unit == "cm" and in_cm.pattern().allowances["hem"] == pytest.approx(1.5 * 2.54)
    assert kirtle.Fitting(draft) != kirtle.Fitting(pattern) and kirtle.Fitting(draft).pattern() == draft.pattern()
    request = json.loads(draft.to_request()) | {"corrections": [{"what": "waist", "by": 0.5, "at": "side"}]}
    corrected = kirtle.Fitting(kirtle.Draft.from_json(json.dumps(request)))
    assert kirtle.Fitting.from_json(corrected.to_json()) == corrected
    with pytest.raises(kirtle.InputError, match="cutting.opening: 15.5 in is longer than"):
        kirtle.Fitting(draft.pattern(opening=15.5)).correct({"what": "length", "by": -7}).correct({"what": "length", "by": -3}).pattern()


def test_a_reader_of_another_document_names_what_it_is(draft: kirtle.Draft) -> None:
    documents = {
        "request": (kirtle.Draft.from_json, draft.to_request(), "read it as a request"),
        "fitting": (kirtle.Fitting.from_json, kirtle.Fitting(draft).to_json(), "read it as a fitting"),
        "chart": (kirtle.SizeChart.from_json, kirtle.SizeChart.demo().to_json(), "read it as a chart"),
        "result": (None, kirtle.chart_json(kirtle.SizeChart.demo().to_json()), "give the request that the result answers"),
    }
    for (expected, (read, *_)), (kind, (_, text, advice)) in itertools.product(documents.items(), documents.items()):
        if read is not None and expected != kind:
            with pytest.raises(kirtle.InputError, match=f"^{expected}: a {kind} is not a {expected}: {advice}$"):
                read(text)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("", [*(f"columns.{name}" for name in ("name", "waist", "hip", "hip_depth", "length")), "sizes"]),
        ("name,waist,hip,hip_depth,length\n", ["sizes"]),
        (CHART.replace("28", "2x8").replace("40.5", "400"), ["sizes[0].waist", "sizes[2].hip"]),
        (CHART.replace("M,", "S,"), ["sizes[1].name"]),
        (CHART.replace("name", "label").replace("28", "x"), ["columns.label", "columns.name", "sizes[0].waist"]),
        (CHART.replace("name", "waist"), ["columns.waist", "columns.name", *(f"sizes[{k}].waist" for k in range(3))]),
        ("charts/chart_in.csv", ["text"]),
    ],
)
def test_invalid_charts_name_every_field(text: str, fields: list[str]) -> None:
    with pytest.raises(kirtle.InputError) as caught:
        kirtle.SizeChart.from_csv(text, unit="in")
    assert [problem.field for problem in caught.value.problems] == fields


def test_a_body_gets_a_size_or_a_blend_of_two_sizes() -> None:
    chart = kirtle.SizeChart.demo()
    choice = chart.choose(kirtle.Body(waist=73, hip=101, hip_depth=20, length=60))
    assert (choice.by, choice.tolerance, choice.individual, choice.outside, choice.sizes_apart) == ("hip", 1, False, False, 1)
    assert choice.advised is not None and (choice.advised.size, choice.waist.size, choice.hip.size) == ("40", "38", "40")
    both = chart.choose(kirtle.Body(waist=66, hip=101, hip_depth=20, length=60), by="both", tolerance=0.25, unit="in")
    assert both.advised is not None and (both.advised.size, both.hip_by, round(both.waist_by * 2.54, 9)) == ("42", -3 / 2.54, -14)
    with pytest.raises(kirtle.InputError, match="choose.tolerance: 11.0 is above the maximum of 10 cm|choose.tolerance: 11 cm is above"):
        chart.choose(kirtle.Body(waist=73, hip=101, hip_depth=20, length=60), tolerance=11)
    body = chart.between(waist="38", hip=("40", "42", 0.5), length=58)
    assert (body.waist, body.hip, body.hip_depth, body.length) == (72, 102, 20.4, 58)
    inches = chart.between(waist="38", hip=("40", "42", 0.5), hip_depth=8, length=23.5, unit="in")
    assert (inches.waist, inches.hip, inches.hip_depth, inches.length) == (72, 102, 20.32, 59.69)
    with pytest.raises(kirtle.InputError, match="blend.length: 5 in is below the minimum of 5.91 in"):
        chart.between(waist="38", hip="40", length=5, unit="in")
    with pytest.raises(kirtle.InputError, match="waist.from: there is no size \"39\"; the sizes are 32"):
        chart.between(waist="39", hip="40")
    with pytest.raises(kirtle.InputError, match="blend.hip.fraction: 1.5 is above the maximum of 1"):
        chart.between(waist="38", hip=("40", "42", 1.5))


def test_a_size_range_has_draft_table_row_and_grade_of_each_size(sizes: kirtle.SizeRange) -> None:
    assert len(sizes) == 12 and sizes["40"] == kirtle.draft(sizes.chart["40"], ease=EASE, rules=sizes["40"].rules)
    assert [len(panel.darts) for name in ("32", "40", "54") for panel in (sizes[name].back, sizes[name].front)] == [2, 1] * 3
    table = dict(sizes.table())
    assert table["40"].back_darts == [dart.intake for dart in sizes["40"].back.darts]
    steps = {(move.panel, move.point): move.step for move in sizes.grade() if move.smaller == "40"}
    assert steps["front", "side_hip"] == [1.0, 0.0]


def size_layers(pdf: bytes) -> list[str]:
    """Returns the names of the layers of a PDF."""
    root: Any = PdfReader(io.BytesIO(pdf)).root_object
    return [group.get_object()["/Name"] for group in root["/OCProperties"]["/OCGs"]]


def test_the_sizes_of_a_nest_are_layers_of_the_same_names_in_all_formats(sizes: kirtle.SizeRange) -> None:
    nest = sizes.nest(["36-40", "44"], preset="garment", pieces=FACED)
    names = ["Size 36", "Size 38", "Size 40", "Size 44"]
    assert size_layers(nest.pdf(paper="A0")) == names
    groups = [group.attrib for group in ElementTree.fromstring(nest.svg()).iter() if "data-name" in group.attrib]
    assert [group["data-name"] for group in groups] == names
    assert [group["{http://www.inkscape.org/namespaces/inkscape}label"] for group in groups] == names
    dxf = ezdxf.filemanagement.read(io.StringIO(nest.dxf()))
    assert not dxf.audit().errors
    assert [layer.dxf.name for layer in dxf.layers if layer.dxf.name.startswith("Size")] == names
    layers = {entity.dxf.layer for block in dxf.blocks if block.name.endswith("_36") for entity in block}
    assert layers == {"Size 36"}
    german = {"one_size": "Größe {name}", "size_layers": "Ebenen wie {layer}"}
    assert size_layers(nest.pdf(paper="A0", texts=german)) == [f"Größe {name}" for name in ("36", "38", "40", "44")]
    svg = nest.svg(texts=german)
    assert "Ebenen wie Größe 36" in svg and 'data-name="Größe 36"' in svg and "Size" not in svg


def test_the_page_of_an_alteration_tells_its_steps_from_those_of_joining(sizes: kirtle.SizeRange) -> None:
    altered = sizes.alter(BODY)
    page = " ".join(PdfReader(io.BytesIO(altered.pdf())).pages[0].extract_text().split())
    assert all(f" Step {number}. {step}" in page for number, step in enumerate(altered.instructions(), 1)) and " 1. Print " in page
    assert "alter the sizes printed without allowances, and add the allowances afterwards." in page


@pytest.mark.parametrize(("unit", "tolerance"), [("cm", "1 cm"), ("in", "3/8 in")])
def test_a_nest_says_how_to_choose_between_two_sizes(sizes: kirtle.SizeRange, unit: str, tolerance: str) -> None:
    rule = f"Between two sizes take the larger, unless your hip is at most {tolerance} larger than that of the smaller."
    page = PdfReader(io.BytesIO(sizes.nest(["38", "40"]).pdf(unit=unit))).pages[0]
    assert rule in " ".join(page.extract_text().split())
    between = kirtle.Body(waist=73, hip=97, hip_depth=20, length=60)  # Sizes 38 and 40 have hips of 96 and 100 cm.
    larger = kirtle.Body(waist=73, hip=97.1, hip_depth=20, length=60)
    assert [sizes.chart.choose(body).hip.size for body in (between, larger)] == ["38", "40"]


def test_the_head_of_a_nest_has_the_name_and_the_numbers_of_each_size(sizes: kirtle.SizeRange) -> None:
    text = PdfReader(io.BytesIO(sizes.nest(["38", "40"], name="Evening class, May 2031").pdf())).pages[0].extract_text()
    assert "Evening class, May 2031. Straight skirt, 2 sizes, 38 to 40" in text and "seam lines: add allowances" in text
    words = text.split()
    for row in ("38 72.0 96.0 20.1 60.0 73.5 101.0", "40 76.0 100.0 20.3 60.0 77.5 105.0"):
        cells = row.split()
        assert any(words[k:k + len(cells)] == cells for k in range(len(words))), row


@pytest.mark.parametrize("options", [{}, {"preset": "garment"}, {"side": 2.5}, {"pieces": BANDED}, {"preset": "trial", "pieces": FACED}])
def test_each_size_is_named_at_every_line_and_no_two_names_overlap(sizes: kirtle.SizeRange, options: dict[str, Any]) -> None:
    root = ElementTree.fromstring(sizes.nest(**options).svg())
    for half, darts, at_centre in (("back", 2, 3), ("front", 1, 2)):
        for name in sizes.chart.names:
            texts = root.findall(f".//*[@class='{half}-{name}']/*[@class='text']/*")
            # At waist, hem and zip on the centre line, at each dart, at the hem's side end, and four times along the side.
            assert len(texts) == at_centre + darts + 1 + 4 and {text.text for text in texts} == {name}
    level = [text.attrib for text in root.findall(".//*[@class='text']/*") if (text.text or "") in sizes.chart.names and "transform" not in text.attrib]
    boxes = [(float(text["x"]), float(text["y"]), float(text["font-size"])) for text in level]
    for k, (x, y, size) in enumerate(boxes):
        assert all(abs(x - u) >= 1.2 * size or abs(y - v) >= size for u, v, _ in boxes[:k]), (x, y)


def test_a_nest_refuses_unknown_sizes_and_wrong_allowances(sizes: kirtle.SizeRange) -> None:
    with pytest.raises(kirtle.InputError, match='sizes: there is no size "37-40"; the sizes are 32, 34') as caught:
        sizes.nest(["37-40", "36", "x"])
    assert [problem.code for problem in caught.value.problems] == ["unknown_size"] * 2
    with pytest.raises(kirtle.InputError, match="cutting.allowances.side: -1 cm is below the minimum"):
        sizes.nest(side=-1)
    with pytest.raises(kirtle.InputError, match=r'cutting.pieces\[2\]: "pocket" is not'):
        sizes.nest(pieces=("back", "front", "pocket"))


def test_pieces_of_one_size_are_those_of_its_measurements(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ease = ("--waist-ease", "1.5", "--hip-ease", "5", "--out")
    one, other, blend = (str(tmp_path / name) for name in ("one.json", "other.json", "blend.json"))
    assert run_command(capsys, "pattern", "demo", "--size", "40", *ease, one)[0] == 0
    measures = ("--waist", "76", "--hip", "100", "--hip-depth", "20.3", "--length", "60", "--name", "Size 40")
    assert run_command(capsys, "pattern", *measures, *ease, other)[0] == 0
    assert Path(one).read_text() == Path(other).read_text()
    assert run_command(capsys, "pattern", "demo", "--waist-size", "38", "--hip-size", "40:42:1/2", *ease, blend)[0] == 0
    assert json.loads(Path(blend).read_text())["name"] == "Waist 38, hip 40–42"
    code, _, error = run_command(capsys, "pattern", "demo", "--size", "39", *ease, one)
    assert code == 2 and '--size "39" is not a size of this chart. Its sizes are 32' in error
    code, _, error = run_command(capsys, "pattern", "demo", "--size", "40", "--out", one)
    assert code == 2 and "Give the ease: --waist-ease and --hip-ease" in error
    for arguments in (("--hip-size", "40"), ("--size", "40", "--hip", "100")):
        with pytest.raises(SystemExit):
            run_command(capsys, "pattern", "demo", *arguments, *ease, one)


def test_an_alteration_reports_its_cost_and_is_saved(sizes: kirtle.SizeRange, tmp_path: Path) -> None:
    altered = sizes.alter(BODY)
    assert not altered.holds and altered.largest_mm == altered.cost.dart_gap_mm == altered.cost.waist_gap_mm
    assert altered.sews and altered.sewing_verdict.startswith("The pattern sews together: the sewn waist is as long as")
    assert altered.difference_verdict.startswith("The pattern is over 3 mm from the exact draft: waist line 6.0 mm (step 2), darts 6.0 mm")
    report = altered.to_dict()
    assert [step["number"] for step in report["steps"]] == [1, 2, 3, 4, 5, 6] and report["differences"][0]["step"] == "hip"
    coarse = sizes.alter(BODY, min_step_mm=6)
    assert len(coarse.instructions()) == 4 and coarse.left_out("in")[0] == "the hip line stays, though the body's is 3/16 in lower than the printed one"
    assert [step["number"] for step in coarse.to_dict()["steps"]] == [1, 2, None, None, 3, 4]
    assert altered.exact == kirtle.draft(BODY, ease=EASE, rules=sizes["40"].rules)
    assert sizes.alter(sizes.chart["40"]).largest_mm < 1e-9
    assert sizes.alter(BODY, tolerance_mm=50).holds
    altered.save(tmp_path / "alter.pdf", paper="A3")
    assert PdfReader(tmp_path / "alter.pdf").pages[0].mediabox.width == pytest.approx(297 / 25.4 * 72, abs=1e-3)
    for tolerance in (0.0, float("nan")):
        with pytest.raises(kirtle.InputError, match="tolerance_mm"):
            sizes.alter(BODY, tolerance_mm=tolerance)
    with pytest.raises(kirtle.InputError, match="min_step_mm"):
        sizes.alter(BODY, min_step_mm=-1)


def test_corrections_accumulate_and_can_be_undone(draft: kirtle.Draft) -> None:
    once = kirtle.Fitting(draft).correct([{"what": "waist", "by": -1, "at": "side"}])
    assert once == kirtle.Fitting(draft).correct({"what": "waist", "by": -1, "at": "side"})
    twice = once.correct([{"what": "length", "by": 2}, {"what": "hip_line", "by": 0.5}])
    assert twice.draft.body.length == draft.body.length + 2
    # Given darts, too, follow the hip line.
    assert [change.field for change in twice.changes if "darts" not in change.field] == ["body.hip_depth", "body.length"]
    assert [dart.length for dart in twice.draft.back.darts] == pytest.approx([dart.length * 20.5 / 20 for dart in once.draft.back.darts])
    assert twice.undo() == once and once.undo().draft == draft
    assert once.draft.proof.holds
    assert [dart.intake for dart in once.draft.back.darts] == pytest.approx([d.intake for d in draft.back.darts])
    assert str(twice) == twice.fitting_record("cm") + "\nFittings: 2. undo() takes back the last fitting."
    assert [line.split() for line in str(once).splitlines()[:2]] == [["Fitting", "1", "(cm)", "requested"], ["waist", "at", "side", "-1"]]
    assert twice._repr_html_().startswith("<table>") and "<td>length</td><td></td><td>+2</td>" in twice._repr_html_()
    with pytest.raises(kirtle.InputError, match=r"corrections\[0\]\.by: NaN is not finite"):
        once.correct([{"what": "hip", "by": float("nan")}])
    with pytest.raises(kirtle.InputError, match=r"body\.length: .* in is below the minimum of 5\.9"):
        once.correct([{"what": "length", "by": -7}] * 3, unit="in")
    with pytest.raises(kirtle.InputError, match=r"corrections\[1\]\.by"):
        once.correct([{"what": "hip", "by": 1}, {"what": "hip", "by": -1}])


def test_chart_documents_satisfy_their_schemas() -> None:
    chart = kirtle.SizeChart.demo()
    rows = [{"name": name, **{key: getattr(chart[name], key) for key in ("waist", "hip", "hip_depth", "length")}}
            for name in chart.names]
    request = {"unit": "cm", "sizes": rows, "ease": {"waist": 1.5, "hip": 5},
               "body": {"waist": 70, "hip": 94, "hip_depth": 20, "length": 60},
               "blend": {"waist": {"from": "38"}, "hip": {"from": "40", "to": "42", "fraction": 0.25}}}
    Draft202012Validator(kirtle.schema("chart")).validate(request)
    report = json.loads(kirtle.chart_json(json.dumps(request)))
    Draft202012Validator(kirtle.schema("sizes")).validate(report)
    assert report["alteration"]["holds"] and report["between"]["hip"] == 101
    request["sizes"] = rows[:1]
    assert not Draft202012Validator(kirtle.schema("chart")).is_valid(request)


def run_command(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_the_chart_commands_print_and_write_results(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    chart = tmp_path / "chart.csv"
    chart.write_text(CHART)
    ease = ("--waist-ease", "0.5", "--hip-ease", "2", "--unit", "in")
    banded = ("--pieces", "back,front,waistband", "--underlap", "1 1/2")
    code, out, _ = run_command(capsys, "sizes", str(chart), *ease, "--grade", "--nest", str(tmp_path / "nest.svg"), *banded)
    assert "WAISTBAND" in (tmp_path / "nest.svg").read_text()
    assert code == 0 and out.splitlines()[1].startswith("S ") and "side_hip" in out and (tmp_path / "nest.svg").exists()
    assert run_command(capsys, "choose", "demo", "--waist", "72", "--hip", "96")[1].startswith("This body is size 38.\n")
    code, out, _ = run_command(capsys, "between", str(chart), "--unit", "in", "--waist", "S", "--hip", "S:M:0.5")
    assert code == 0 and out.splitlines()[1].split() == ["hip", "37", "in"]
    body = ("--waist", "27", "--hip", "37", "--hip-depth", "8", "--length", "24")
    code, out, _ = run_command(capsys, "alter", str(chart), *ease, *body, "--out", str(tmp_path / "alter.svg"))
    assert code == 0 and out.startswith("1. Waist, back and front alike") and "\n\nThe pattern sews together: " in out
    options = ("--min-step", "20", "--tolerance", "1", "--hip-depth", "8.25")
    code, out, _ = run_command(capsys, "alter", str(chart), *ease, *body, *options)
    assert code == 0 and "Left as printed, as too small to matter: the hip line stays, though the body's is 1/4 in lower than the printed one." in out and "1 mm" in out
    tight = ("--waist-ease", "-2", "--hip-ease", "2", "--unit", "in")
    code, out, _ = run_command(capsys, "alter", str(chart), *tight, *body, "--out", str(tmp_path / "tight.svg"))
    assert code == 0 and "Caution: The waist has -2 in of ease" in out and "Caution: The waist has" in (tmp_path / "tight.svg").read_text()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("sizes", "demo"), "Give the ease: --waist-ease and --hip-ease"),
        (("choose", "demo", "--waist", "x", "--hip", "100"), '--waist: "x" is not a number'),
        (("between", "demo", "--waist", "39", "--hip", "40"), '--waist "39" is not a size of this chart. Its sizes are 32, 34'),
        (("alter", "demo", "--waist-ease", "1", "--hip-ease", "5", "--waist", "70", "--hip", "200", "--hip-depth", "20",
          "--length", "60"), "--hip: 200 cm is outside the size chart"),
        (("choose", "demo", "--waist", "70", "--hip", "100", "--tolerance", "-1"), "--tolerance -1 cm is too small (at least 0 cm)."),
        (("alter", "demo", *EASES, "--waist", "70", "--hip", "94", "--hip-depth", "20", "--length", "60", "--min-step", "21"),
         "--min-step 21 mm is too large (at most 20 mm)."),
        (("choose", "nowhere.csv", "--waist", "70", "--hip", "100"), "nowhere.csv: no such file; give a size chart, or the word demo"),
    ],
)
def test_the_chart_commands_refuse_invalid_input(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], message: str
) -> None:
    code, out, err = run_command(capsys, *arguments)
    assert code == 2 and out == "" and err.startswith(message)


def test_the_correct_command_writes_a_request_that_can_be_corrected(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    request = str(Path(__file__).parents[1] / "requests" / "evening-class.json")
    arguments = ("--what", "length", "--by", "-2", "--out", str(tmp_path))
    code, out, _ = run_command(capsys, "correct", request, *arguments)
    assert code == 0 and [line.split() for line in out.splitlines()[1:6]] == [
        ["Fitting", "1", "(cm)", "requested"], ["length", "-2"], [], ["Input", "(cm)", "before", "after"], ["length", "62", "60"]]
    assert f"\nTo undo these corrections, correct {request}, which is unchanged, again.\n" in out
    again = str(tmp_path / "request.json")
    second_output = run_command(capsys, "correct", again, "--what", "length", "--by", "-1")[1]
    assert ["length", "60", "59"] in [line.split() for line in second_output.splitlines()]


def test_the_correct_command_changes_one_dart(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    request = str(Path(__file__).parents[1] / "requests" / "evening-class.json")
    options = ("--what", "dart_length", "--by", "1", "--at", "back 1", "--what", "side_fullness", "--by", "0.25")
    code, out, _ = run_command(capsys, "correct", request, *options, "--out", str(tmp_path))
    rows = [line.split() for line in out.splitlines()]
    assert code == 0 and [row for row in rows if row[:3] == ["back", "dart", "1,"]] == [["back", "dart", "1,", "length", "13.9", "14.9"]]
    assert ["side", "fullness", "(ratio)", "1.5", "1.75"] in rows and ["darts", "by", "shares", "given"] in rows
    assert json.loads((tmp_path / "request.json").read_text())["rules"]["side_fullness"] == 1.75
    code, _, err = run_command(capsys, "correct", request, "--what", "dart_intake", "--by", "1", "--at", "front 3")
    assert code == 2 and err == '--at: the draft has no dart to change at "front 3"; give "back 1" or "back 2" or "front 1" or "front 2"\n', err
    code, _, err = run_command(capsys, "correct", request, "--what", "dart_intake", "--by", "-2", "--at", "front 1")
    assert code == 2 and err == "--by: front 1 would have the intake -0.5 cm (limit: 0.2 cm).\n", err
    code, _, err = run_command(capsys, "correct", request, "--what", "dart_intake", "--by", "1")
    assert code == 2 and err.startswith('Give --at: "darts", "back", "front", or one dart'), err


def test_a_number_of_darts_that_the_chart_chose_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    between = ("between", "demo", "--waist", "38", "--hip", "40", *EASES)
    assert run_command(capsys, *between)[2] == "Front darts: 1, as in all sizes of the chart; with --front-darts per_size: 2.\n"
    assert run_command(capsys, *between, "--front-darts", "per_size")[2] == run_command(capsys, *between, "--front-darts", "1")[2] == ""


def test_the_cloth_to_buy_is_listed_for_every_size(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run_command(capsys, "sizes", "demo", *EASES, "--cloth", "50", "140", "--vent", "18", "--pieces", "back,front,waistband")
    start = out.splitlines().index("cloth to buy        50 cm wide     140 cm wide")
    rows = [line.split() for line in out.splitlines()[start + 1:start + 13]]
    drafted = kirtle.SizeChart.demo().draft(ease=kirtle.Ease(waist=1.5, hip=5))
    pattern = drafted["44"].pattern(preset="garment", vent=18, pieces=["back", "front", "waistband"])
    folded, laid_open = (pattern.lay(140, folded=folded).to_buy_cm for folded in (True, False))
    assert code == 0 and laid_open < folded and rows[6] == ["44", "too", "narrow", f"{laid_open:g}", "cm", "open"] and rows[-1][-1] == "cm"


def test_rows_without_a_value_are_skipped_and_inches_are_recognised(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    chart = tmp_path / "chart.csv"
    chart.write_text("Size;Waist;Hip;Hip depth;Length\nS;26;36;8;24\n;;;;\nM;28;38;8;24\n; ;\n")
    assert run_command(capsys, "sizes", str(chart), *EASES, "--unit", "in")[0] == 0
    code, _, err = run_command(capsys, "sizes", str(chart), *EASES)
    assert code == 2 and "sizes[1].waist (line 4): 28 cm is below the minimum of 40 cm. Inches? Add --unit in.\n" in err


def test_each_fitting_adds_to_the_record_of_those_before(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    request = str(Path(__file__).parents[1] / "requests" / "evening-class.json")
    folders = [tmp_path / str(k) for k in range(3)]
    for folder, (what, by) in zip(folders, [("waist", "-1"), ("length", "2"), ("hip_line", "0.5")], strict=True):
        assert run_command(capsys, "correct", request, "--what", what, "--by", by, "--note", "in calico", "--out", str(folder))[0] == 0
        request = str(folder / "request.json")
    record = (folders[2] / "fittings.txt").read_text()
    assert record.startswith((folders[1] / "fittings.txt").read_text())
    lines = [line.split() for line in record.splitlines()]
    assert [line[1] for line in lines if line[:1] == ["Fitting"]] == ["1", "2", "3"] and ["length", "+2"] in lines
    assert re.fullmatch(r"\d{4}-\d\d-\d\d, in calico", record.splitlines()[0])
    # A year later, new measurements keep the record.
    assert run_command(capsys, "draft", request, "--waist", "78", "--hip-ease", "6", "--out", str(tmp_path / "next"))[0] == 0
    kept = (tmp_path / "next" / "fittings.txt").read_text()
    assert kept.startswith(record) and kept.splitlines()[-1].endswith(", new measurements (cm): waist 74 → 78, hip ease 5 → 6")


@pytest.mark.parametrize(("options", "commands"), [
    (("--waist", "72", "--hip", "96"), ["kirtle between demo --waist 38 --hip 38 --waist-ease 1.5 --hip-ease 5 --out out"]),
    (("--waist", "73", "--hip", "101", "--by", "waist", "--back-darts", "1", "--ruler", "in 1/8"), [
        "kirtle between demo --waist 38 --hip 40 --waist-ease 1.5 --hip-ease 5 --back-darts 1 --ruler 'in 1/8' --out out",
        "kirtle draft out/request.json --waist 73 --hip 101 --waist-ease 0.5 --hip-ease 4 --out altered"]),
    (("--waist", "73", "--hip", "101", "--hip-depth", "21", "--length", "55"),
     ["kirtle between demo --waist 38 --hip 40 --hip-depth 21 --length 55 --waist-ease 1.5 --hip-ease 5 --out out",
      "kirtle draft out/request.json --waist 73 --hip 101 --waist-ease 0.5 --hip-ease 4 --out altered"]),
    (("--waist", "66", "--hip", "108", "--length", "55"),
     ["kirtle draft --waist 66 --hip 108 --hip-depth 20.7 --length 55 --waist-ease 1.5 --hip-ease 5 --out out"]),
    (("--waist", "58", "--hip", "84"), ["kirtle between demo --waist 32 --hip 32 --waist-ease 1.5 --hip-ease 5 --out out",
                                        "kirtle draft out/request.json --waist 58 --hip 84 --waist-ease 1.5 --hip-ease 5 --out altered"]),
    (("--waist", "71", "--hip", "98", "--by", "both"), ["kirtle between demo --waist 40 --hip 40 --waist-ease 1.5 --hip-ease 5 --out out",
                                        "kirtle draft out/request.json --waist 71 --hip 98 --waist-ease 1.5 --hip-ease 5 --out altered"]),
])
def test_the_advice_ends_with_commands_that_make_the_pattern(
    options: tuple[str, ...], commands: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, _ = run_command(capsys, "choose", "demo", *options, *EASES)
    assert code == 0 and [line for line in out.splitlines() if line.startswith("kirtle ")] == commands
    for command in commands:
        assert run_command(capsys, *shlex.split(command)[1:])[0] == 0, command
    if len(commands) == 2:
        # The draft has the girths of the body, with the ease that is left.
        altered = json.loads((tmp_path / "altered" / "result.json").read_text())
        assert [altered["body"][part] for part in ("waist", "hip")] == [float(options[1]), float(options[3])]
    without_ease = run_command(capsys, "choose", "demo", *options)[1]
    assert "--out" not in without_ease


def test_a_body_between_sizes_is_drafted_and_cut(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    place = ("between", "demo", "--waist", "38", "--hip", "40:42")
    folder, pattern = tmp_path / "out", tmp_path / "skirt.json"
    code, out, _ = run_command(capsys, *place, *EASES, "--out", str(folder), "--preset", "garment", "--hem-allowance", "5")
    request = json.loads((folder / "request.json").read_text())
    assert code == 0 and "24 of 24 pattern checks passed." in out and request["body"]["hip"] == 102
    assert request["cutting"] == {"name": "Waist 38, hip 40–42", "preset": "garment", "allowances": {"hem": 5}}
    assert sorted(path.name for path in folder.iterdir()) == ["draft.svg", "request.json", "result.json"]
    code, out, _ = run_command(capsys, *place, *EASES, "--out", str(pattern), "--preset", "garment", "--hem-allowance", "5")
    assert code == 0 and "hem 5" in out and f"wrote {pattern}" in out
    assert json.loads(pattern.read_text()) == json.loads(kirtle.Pattern.from_json(json.dumps(request)).to_json())
    assert "Waist shaping" in run_command(capsys, *place, *EASES)[1]
    chart = tmp_path / "chart.json"
    sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
    chart.write_text(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1, "hip": 4}, "rules": {"balance": 1.5}}))
    code, out, _ = run_command(capsys, "between", str(chart), "--waist", "S", "--hip", "S:M", "--out", str(folder))
    assert code == 0 and json.loads((folder / "request.json").read_text())["rules"] == {"balance": 1.5, "shares": {"back_darts": 2, "front_darts": 1}}
    for options, message in [(("--out", str(folder)), "a draft needs the ease"), (("--preset", "garment"), "nothing is cut"),
                             (("--paper", "A3"), "no PDF is written"), ((*EASES, "--out", str(pattern), "--overlap", "5"), "is not a PDF")]:
        with pytest.raises(SystemExit):
            main([*place, *options])
        assert message in capsys.readouterr().err


@pytest.mark.parametrize(("place", "hip"), [("38", 96), ("38:40", 98), ("38:40:1/4", 97), ("38:40:25%", 97), ("38:40: 50 %", 98), ("40:38:0.25", 99)])
def test_a_place_between_sizes_is_read(place: str, hip: float, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(capsys, "between", "demo", "--waist", "38", "--hip", place)[1].splitlines()[1].split() == ["hip", f"{hip:.1f}", "cm"]


def test_a_chart_with_semicolons_and_a_tall_row_is_read(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    chart = tmp_path / "chart.csv"
    chart.write_text("Name;Waist;Hip;Hip depth;Length\n38;72;96;20,1;60\n38 Tall;72;96;21,5;68\n40;76;100;20,3;60\n")
    choose = ("choose", str(chart), "--waist", "72", "--hip", "96")
    assert run_command(capsys, *choose)[1].startswith("This body is size 38.")
    assert run_command(capsys, *choose, "--length", "67", "--hip-depth", "21")[1].startswith("This body is size 38 Tall.")
    assert run_command(capsys, "sizes", str(chart), *EASES)[0] == 0
    body = ("--waist", "73", "--hip", "98", "--hip-depth", "20", "--length", "60")
    code, _, err = run_command(capsys, "alter", str(chart), *EASES, *body)
    assert code == 2 and "72 cm is not larger than the 72 cm of the next smaller size" in err


def test_several_corrections_of_one_fitting_are_made_together(capsys: pytest.CaptureFixture[str]) -> None:
    request = str(Path(__file__).parents[1] / "requests" / "evening-class.json")
    waist, hip = ("--what", "waist", "--by", "-1", "--at", "side"), ("--by", "0.5", "--what", "hip")
    first = run_command(capsys, "correct", request, *waist, *hip)[1]
    rows = [line.split() for line in first.splitlines()]
    assert ["waist", "ease", "1.5", "0.5"] in rows and ["hip", "ease", "5", "5.5"] in rows
    other = run_command(capsys, "correct", request, *hip, *waist)[1]
    assert sorted(other.splitlines()) == sorted(first.splitlines())
    for options in [(), ("--what", "waist"), ("--by", "1"), (*waist, "--what", "hip"), (*waist, "--at", "darts")]:
        with pytest.raises(SystemExit):
            main(["correct", request, *options])
        assert "give --what and --by for each correction" in capsys.readouterr().err
