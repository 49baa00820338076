"""Results as tables and pictures in a notebook: numbers with units, rounded to the marks of a tape; completion of names in IPython."""

import copy
import doctest
import html
import importlib
import json
import pickle
import re
import subprocess
import sys
from typing import Any
from xml.etree import ElementTree

import pyarrow
import pytest
from IPython.core.completer import IPCompleter, provisionalcompleter
from IPython.core.formatters import DisplayFormatter
from IPython.core.interactiveshell import InteractiveShell

import kirtle
from kirtle.completion import install, names_at_cursor

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
EASE = kirtle.Ease(waist=1.5, hip=5)
CHART = kirtle.SizeChart.demo()
DRAFT = kirtle.draft(BODY, ease=EASE)


def texts(result: object) -> tuple[str, list[list[str]]]:
    """Returns the caption and the cells of the table that a notebook shows of a result."""
    data, _ = DisplayFormatter().format(result)
    caption = re.findall("<caption>(.*?)</caption>", data["text/html"])[0]
    return caption, [re.findall("<t[hd].*?>(.*?)</t[hd]>", row) for row in re.findall("<tr>(.+?)</tr>", data["text/html"])]


SHARES = kirtle.Shares(back_largest_dart=4, steepest_side=18, back_share=0.31, front_darts=1)
DARTS = kirtle.Darts(back=[kirtle.GivenDart(intake=3, length=12, place=0.5)], front=[kirtle.GivenDart(intake=2, length=9, centre=8)])


FIGURE = kirtle.Figure(front_length=99.5, side_length=100, high_hip=96, high_hip_depth=10)


@pytest.mark.parametrize(("result", "caption", "rows"), [
    (BODY, "Body", [["waist", "74 cm"], ["hip", "101 cm"], ["hip depth", "20.5 cm"], ["length", "62 cm"]]),
    (kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=FIGURE), "Body", [
        ["waist", "74 cm"], ["hip", "101 cm"], ["hip depth", "20.5 cm"], ["length", "62 cm"],
        ["front length", "99.5 cm"], ["side length", "100 cm"], ["high hip", "96 cm"], ["high hip depth", "10 cm"],
    ]),
    (kirtle.Figure(side_length=39, back_length=38.5, unit="in"), "Figure", [["side length", "39 in"], ["back length", "38 1/2 in"]]),
    (EASE, "Ease", [["waist", "1.5 cm"], ["hip", "5 cm"]]),
    (kirtle.Rules(), "Rules: each has its default", []),
    (kirtle.Rules(balance=0.3, shares=SHARES), "Rules that differ from the default", [
        ["balance", "0.3 cm", "instead of 1.0 cm"], ["back largest dart", "4.0 cm", "instead of 3.0 cm"],
        ["back share", "0.31", "instead of 0.3"], ["front darts", "1", "instead of auto"], ["steepest side", "18°", "instead of 20°"],
    ]),
    (kirtle.Rules(darts=DARTS), "Rules that differ from the default", [
        ["back dart 1", "3.0 cm × 12.0 cm", "at 50% of the waist"], ["front dart 1", "2.0 cm × 9.0 cm", "8.0 cm from the centre line"],
    ]),
    (kirtle.Body(waist=29, hip=39.5, hip_depth=8, length=24, unit="in"), "Body", [
        ["waist", "29 in"], ["hip", "39 1/2 in"], ["hip depth", "8 in"], ["length", "24 in"],
    ]),
    (DRAFT.back.darts[0], "Dart", [["intake", "2.3 cm"], ["length", "13.9 cm"], ["centre", "7.2 cm"]]),
    (DRAFT.seek("ease.hip", "front.darts", 1), "Solutions for ease at the hip", [
        ["nearest", "4.0 cm"], ["from, to", "−10.0 cm, 4.0 cm"],
    ]),
    (DRAFT.seek("ease.hip", "front.darts", 1, unit="in"), "Solutions for ease at the hip", [
        ["nearest", "1 9/16 in"], ["from, to", "−3 7/8 in, 1 9/16 in"],
    ]),
    (DRAFT.vary({"ease.hip": 3}).seek("rules.shares.back_largest_dart", "back.darts", 1), "Solutions for rule: back largest dart", [
        ["nearest", "4.4 cm"], ["from, to", "4.4 cm, 6.0 cm"],
    ]),
    (DRAFT.girths, "Girths", [["waist", "75.5 cm"], ["hip", "106.0 cm"], ["hem", "106.0 cm"]]),
    (DRAFT.lengths, "Finished lengths", [["centre back", "61.2 cm"], ["centre front", "61.0 cm"], ["side", "62.4 cm"]]),
    (kirtle.GivenDart(intake=3, length=13, place=0.5), "Given dart", [["", "3.0 cm × 13.0 cm", "at 50% of the waist"]]),
    (DRAFT.suppression, "Suppression of half the garment", [
        ["total", "15.41 cm"], ["side", "7.7 cm"], ["back", "4.62 cm"], ["front", "3.08 cm"],
    ]),
    (CHART.choose(BODY, ease=EASE), "Size 40", [
        ["waist of the size minus waist of the body", "2.0 cm"], ["hip of the size minus hip of the body", "−1.0 cm"],
        ["change of the pattern&#x27;s waist", "−2.0 cm"], ["change of the pattern&#x27;s hip", "0.0 cm"],
        ["advice", CHART.choose(BODY, ease=EASE).advice],
    ]),
])
def test_a_result_shows_its_numbers_with_units(result: object, caption: str, rows: list[list[str]]) -> None:
    assert texts(result) == (caption, rows)


def test_a_size_chart_shows_its_sizes_and_escapes_their_names() -> None:
    caption, (heads, *rows) = texts(CHART)
    assert caption == "Size chart, in cm" and heads == ["size", "waist", "hip", "hip depth", "length"]
    assert [row[0] for row in rows] == CHART.names and rows[0] == ["32", "60.0", "84.0", "19.5", "60.0"]
    chart = kirtle.SizeChart.from_csv("name,waist,hip,hip_depth,length\n<b>&,60,84,19.5,60\nB,64,88,19.7,60\n")
    assert texts(chart)[1][1][0] == "&lt;b&gt;&amp;"


BODIES = pyarrow.table({"waist": [70.0, 75, 20, 74, None, 74], "hip": [96.0, 99, 101, 101, 101, 100]})
CONSTANTS: dict[str, Any] = {"ease.waist": 1.5, "ease.hip": 5, "body.hip_depth": 20, "body.length": 60}


def test_a_table_of_drafts_shows_its_first_rows_and_why_rows_are_refused() -> None:
    caption, (heads, *rows) = texts(kirtle.draft_table(BODIES, columns=CONSTANTS))
    assert caption == "6 drafts, 1 refused: below minimum; 1 refused: missing; ease 1.5 cm at the waist, 5 cm at the hip; lengths in cm"
    assert heads[:5] == ["row", "back darts", "front darts", "suppression total", "side seam"] and len(rows) == 5
    draft = kirtle.draft(kirtle.Body(waist=70, hip=96, hip_depth=20, length=60), ease=EASE)
    assert rows[0][1:5] == ["2", "1", f"{draft.suppression.total:.1f}", f"{draft.back.seams.side:.1f}"]
    assert rows[2][1:] == [""] * 6 + ["body.waist: 20 cm is below the minimum of 40 cm"]
    assert texts(kirtle.draft_table(BODIES.slice(0, 2), columns=CONSTANTS))[0] == "2 drafts, none refused; ease 1.5 cm at the waist, 5 cm at the hip; lengths in cm"
    # An ease without its unit is shown in that of the table; an ease may have a column.
    inches = pyarrow.table({"waist": [29.0], "hip": [39.0], "hip_depth": [8.0], "length": [24.0], "ease": [2.0]})
    caption = texts(kirtle.draft_table(inches, ease=kirtle.Ease(waist=0.5, hip=2), unit="in"))[0]
    assert caption == "1 drafts, none refused; ease 0.197 in at the waist, 0.787 in at the hip; lengths in inches"
    caption = texts(kirtle.draft_table(inches, columns={"ease.waist": 0.5, "ease.hip": "ease"}, unit="in"))[0]
    assert "; ease 0.5 in at the waist, of the column ease at the hip; " in caption


def test_inches_are_a_word_in_captions_and_heads() -> None:
    inches = kirtle.table(DRAFT.ease_by_level(unit="in")).caption, kirtle.table(DRAFT.sensitivity(unit="in")).heads[0]
    assert (*inches, kirtle.table(DRAFT.uncertainty(ERRORS, unit="in")).heads[0]) == ("Ease by level, in inches", "changes by, in inches", "in inches")


def test_tables_in_millimetres_have_whole_numbers() -> None:
    people = kirtle.simulate(100, seed=1, unit="mm")
    best = kirtle.best_sizes(people, 2, girth="waist", unit="mm"), kirtle.best_chart(people, 2, restarts=1, unit="mm")
    for result in (*best, kirtle.draft_table(people, columns={"length": 600.0}, ease=EASE, unit="mm")):
        assert "mm" in str(kirtle.table(result))
    assert kirtle.format_length(725.4, "mm") == "725"


def test_a_table_of_drafts_shows_counts_without_an_arrow_library(monkeypatch: pytest.MonkeyPatch) -> None:
    table = kirtle.draft_table(BODIES, columns=CONSTANTS)
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert texts(table) == ("6 drafts, 2 refused", [])


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_fits_and_best_sizes_show_people_and_loss(unit: str) -> None:
    people = kirtle.simulate(300, seed=1, unit=unit)
    fit = kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, unit=unit)
    caption, (heads, *rows) = texts(fit)
    assert caption.startswith(f"Fit of a chart: {fit.served} of 300 measured people served ({fit.share_served:.1%})")
    assert kirtle.table(fit).note.startswith("Unserved, some by several bounds: hip loose ")
    assert heads == ["size", "people", "served", "share served"] and rows[0] == ["all", "300", str(fit.served), f"{fit.share_served:.1%}"]
    assert rows[1:] == [[name, str(all_), str(served), f"{served / all_:.1%}" if all_ else ""] for name, all_, served in fit.loads]
    best = kirtle.best_chart(people, 2, loss="squared", unit=unit)
    caption, (heads, *rows) = texts(best)
    assert caption == f"Best chart for 300 people, mean sum of squared differences in waist and hip ({unit}²): {best.loss:.4g}; no such chart has less than {best.bound:.4g}"
    assert heads == ["size", "waist", "hip", "people"] and len(rows) == 2 and rows[0][1].endswith(f" {unit}")
    served = kirtle.best_chart(people, 2, loss="within", tolerance=1, unit=unit)
    caption, (heads, *rows) = texts(served)
    assert f"within 1 {unit}: {1 - served.loss:.1%} served; no such chart" in caption and heads[4] == "served"
    assert [row[4] for row in rows] == [f"{share:.1%}" for share in served.served]
    sizes = kirtle.best_sizes(people, 3, girth="hip", unit=unit)
    caption, (heads, *rows) = texts(sizes)
    assert caption == f"Best sizes by hip for 300 people: mean loss {sizes.loss:.4g}, the minimum"
    assert heads == ["size", "hip", "from", "to", "people"] and [row[4] for row in rows] == [f"{size[3]:.1%}" for size in sizes.sizes]


def test_a_weighted_fit_shows_the_share_of_people_and_the_share_by_weight() -> None:
    people = pyarrow.table(kirtle.simulate(300, seed=1))
    people = people.append_column("w", pyarrow.array([1.0 + row % 9 for row in range(300)])).append_column("site", pyarrow.array(["A", "B"] * 150))
    fit = kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, columns={"weight": "w"}, by="site")
    share, by_weight = f"{fit.served / 300:.1%}", f"{fit.share_served:.1%} by weight"
    assert f"people=300, served={fit.served} ({share}, {by_weight})" in repr(fit) and share != by_weight.split()[0]
    caption, (heads, *rows) = texts(fit)
    assert f"{fit.served} of 300 measured people served ({share})" in caption and heads[3:] == ["share served by weight"]
    assert rows[0][3] + " by weight" == by_weight and rows[1][3] == f"{fit.load_weights[0][1] / fit.load_weights[0][0]:.1%}"
    assert rows[-1] == ["group B", "150", str(fit.groups[1].served), f"{fit.groups[1].share_served:.1%}"]
    assert str(kirtle.table(fit.groups[1:])) == f"Measured people by group; shares by weight if people have weights\ngroup  people  served  share served\nB      150     {rows[-1][2]:<6}  {rows[-1][3]}"
    best = kirtle.best_chart(people, 3, loss="within", tolerance=2, columns={"weight": "w"})
    caption, (heads, *_) = texts(best)
    assert f"{1 - best.loss:.1%} served by weight; no such chart" in caption and heads[3:] == ["people by weight", "served by weight"]
    assert texts(kirtle.best_sizes(people, 3, girth="hip", columns={"weight": "w"}))[1][0][-1] == "people by weight"
    assert "by weight" not in str(kirtle.table(kirtle.best_chart(people, 3)))


def test_a_fit_with_replicates_shows_errors_and_intervals_of_all_and_of_groups() -> None:
    people = pyarrow.table(kirtle.simulate(300, seed=1)).append_column("site", pyarrow.array(["A", None, "B"] * 100))
    fit = kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, by="site", bootstrap=20)
    _, (heads, *rows) = texts(fit)
    assert heads == ["size or group", "people", "served", "share served", "standard error (points)", "95% interval"]
    of: Any
    for row, of in zip((rows[0], *rows[-3:]), (fit, *fit.groups), strict=True):
        assert row[4:] == [f"{100 * of.standard_error:.2f}", f"{of.interval[0]:.1%} to {of.interval[1]:.1%}"]
    assert [row[0] for row in rows[-3:]] == ["group A", "group B", "group (none)"] and rows[1][4:] == ["", ""]
    assert [row[1:] for row in texts(fit.groups[2])[1][1:]] == [rows[-1][1:]]


def test_comparisons_and_refused_people_show_what_a_paper_prints() -> None:
    people = pyarrow.table(kirtle.simulate(300, seed=1)).append_column("site", pyarrow.array(["A", "B"] * 150))
    options: dict[str, Any] = {"loss": "within", "tolerance": 2, "by": "site", "restarts": 2, "certify": False}
    compared = kirtle.compare_charts(CHART, people, splits=3, **options)
    caption, (heads, *rows) = texts(compared)
    assert caption == "Given and best chart on held-out people: served within 2 cm"
    assert heads == ["group", "held out", "given chart", "best chart", "gain", "95% interval"]
    of: Any
    for row, of, name in zip(rows, (compared, *compared.groups), ("all", "A", "B"), strict=True):
        gain, *ends = (f"{100 * number:+.1f} points".replace("-", "−") for number in (of.given_loss - of.best_loss, *of.gain_interval))
        assert row == [name, str(of.held_out), f"{1 - of.given_loss:.1%}", f"{1 - of.best_loss:.1%}", gain, " to ".join(ends)]
    assert kirtle.table(compared).note == f"The best chart has 12 sizes for {compared.training} other people; 3 splits."
    caption, (heads, all_) = texts(kirtle.compare_charts(CHART, kirtle.simulate(300, seed=1, unit="mm"), restarts=2, certify=False, unit="mm"))
    assert caption == "Given and best chart on held-out people: mean sum of squared differences in waist and hip (mm²)" and len(heads) == len(all_) == 5

    narrow, wide = (kirtle.fit_chart(CHART, people, ease=EASE, tolerance=tolerance, bootstrap=20) for tolerance in (2, 3))
    difference: Any = kirtle.compare_fits(narrow, wide)
    assert texts(difference) == ("Two fits of the same people", [
        ["served by both", f"{difference.both} people"], ["only by the first", "0 people"], ["only by the second", f"{difference.only_second} people"],
        ["by neither", f"{difference.neither} people"], ["share of the second minus share of the first", f"{100 * difference.difference:+.1f} points"],
        ["standard error", f"{100 * difference.standard_error:.2f} points"],
        ["95% interval", " to ".join(f"{100 * end:+.1f} points" for end in difference.interval)],
    ])
    refused = kirtle.fit_chart(CHART, BODIES, ease=EASE, tolerance=2).refused
    reasons = kirtle.table(refused).rows
    assert reasons == [("waist below minimum", "1", "", "73.2", "101.0", "99.0"), ("waist missing", "1", "", "73.2", "101.0", "99.0")]
    assert texts(refused[1])[1][1:] == [list(reasons[1])]
    assert kirtle.table([]).rows == []
    with pytest.raises(TypeError, match="no table shows an object of the class list"):
        kirtle.table([refused[0], compared.groups[0]])


def test_a_proof_and_a_finding_show_what_they_compare() -> None:
    caption, (heads, *rows) = texts(DRAFT.proof)
    assert caption == "Proof of a draft: every check holds" and heads == ["check", "measured", "expected", "holds"] and len(rows) == len(DRAFT.proof.checks)
    assert rows[0] == ["sewn waist, both", "75.5 cm", "75.5 cm", "yes"]
    (finding,) = DRAFT.vary({"ease.waist": 0}).findings
    assert texts(finding) == (f"Caution: {finding.message}", [["measured", "0 cm"], ["limit", "1.2 cm"]])


def test_a_comparison_lists_what_differs_between_two_drafts() -> None:
    inches = kirtle.draft(kirtle.Body(waist=29, hip=40, hip_depth=8, length=24, unit="in"), ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))
    rows = {name: values for name, *values in kirtle.compare_drafts(inches, inches.vary({"rules.centre_back_in": 0.5})).rows}
    assert rows["rule centre back in"] == ["0 in", "1/2 in"] and "hip" not in rows and "finished hip" not in rows and "back darts" in rows
    assert kirtle.compare_drafts(DRAFT, DRAFT.vary({"rules.shares.back_darts": 2})).rows == [("rule back darts", "auto", "2")]
    longer = {row[0]: row[1:] for row in kirtle.compare_drafts(DRAFT, DRAFT.vary({"rules.shares.back_inner_length": 0.6, "rules.balance": 0})).rows}
    assert longer["back width"] == ("25.5 cm", "26.5 cm") and longer["back darts"][1] == "2.3 × 12.3 at 7.5 + 2.3 × 12.7 at 15.1 cm"
    assert {"side seam", "centre back", "centre front"} <= {row[0] for row in kirtle.compare_drafts(DRAFT, DRAFT.vary({"body.length": 64})).rows}
    given = [kirtle.Fitting(DRAFT).correct({"what": "waist", "by": -2, "at": at}).draft for at in ("side", "darts")]
    rows = {name: values for name, *values in kirtle.compare_drafts(DRAFT, given[0]).rows}
    assert rows["rule darts"] == ["by shares", "given"] and len([name for name in rows if name.startswith("rule")]) == 1
    assert not any(row[0].startswith("rule") for row in kirtle.compare_drafts(*given).rows)


def test_a_result_is_a_table_in_text_html_markdown_and_latex() -> None:
    table = kirtle.table(DRAFT.sensitivity(["ease.hip"]))
    assert str(table).splitlines()[2].split() == "suppression of half the garment +0.51".split() and table.html() == table._repr_html_()
    assert "| width of the back | +0.25 |" in table.markdown().splitlines() and table.markdown().endswith(table.note)
    assert r"centre seam of the back & $-$0.03 \\" in table.latex() and r"\begin{tabular}{lr}" in table.latex(label="tab:a") and r"\label{tab:a}" in table.latex("tab:a")
    percent = kirtle.Table("50% | a_b", ("x", "y"), [("a|b", "1 < 2\n")])
    assert r"\caption{50\% | a\_b}" in percent.latex() and "| a\\|b | 1 &lt; 2  |" in percent.markdown() and kirtle.table(percent) is percent
    assert ("side seam", "62.4 cm") in kirtle.table(DRAFT).rows and kirtle.table(DRAFT.ease_by_level(step=10)).rows[0] == ("0.0", "75.5", "74.0", "1.5")
    with pytest.raises(TypeError, match="no table shows an object of the class int"):
        kirtle.table(74)


def test_a_drawing_is_not_replaced_by_a_table() -> None:
    data, _ = DisplayFormatter().format(DRAFT)
    assert "image/svg+xml" in data and "text/html" not in data


def test_a_draft_shows_its_cautions_and_what_its_high_hip_changes() -> None:
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=80, figure=kirtle.Figure(high_hip=101, high_hip_depth=8))
    draft = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=3))
    data, _ = DisplayFormatter().format(draft)
    assert len(draft.findings) > 1 and all(html.escape(finding.message) in data["text/html"] for finding in draft.findings)
    assert "the side fullness is 2.5 instead of 1.5, and all darts are 0.4 times as long" in data["text/html"] and "<svg" in data["text/html"]
    (blunt,) = (finding for finding in draft.findings if (finding.code, finding.panel) == ("blunt_dart", "back"))
    assert blunt.message.endswith("It is shortened to give room at the high hip: divide it into two darts, or add ease at the hip.")
    assert draft.sensitivity()["side_fullness", "body.figure.high_hip"] == 0 and draft.sensitivity()["dart_length_factor", "body.hip"] == 0


def test_ipython_completes_the_names_of_quantities_and_inputs() -> None:
    rates, errors = DRAFT.sensitivity(), DRAFT.uncertainty(kirtle.StandardErrors.iso_20685())
    completer = IPCompleter(namespace={"rates": rates, "errors": errors}, use_jedi=False)
    for text, name in (("rates['front.w", "front.width"), ("rates['front.width', 'ease.h", "ease.hip"), ("errors['front.w", "front.width")):
        with provisionalcompleter():
            completed = [completion.text for completion in completer.completions(text, len(text))]
        assert any(name in completion for completion in completed), text
    assert rates["front.width", "ease.hip"] == 0.25


ERRORS = kirtle.StandardErrors.iso_20685()


@pytest.mark.parametrize("result", [DRAFT.ease_by_level(high_hip=37.5, high_hip_depth=4, unit="in"), DRAFT.sensitivity(), DRAFT.uncertainty(ERRORS)])
def test_a_picture_takes_its_colours_from_the_page_and_has_an_alternative_in_words(result: object) -> None:
    data, _ = DisplayFormatter().format(result)
    pictures = [ElementTree.fromstring(one) for one in re.findall("<svg.*?</svg>", data["text/html"])]
    assert pictures and len(data["text/html"]) < 32_000
    for one in pictures:
        colours = {node.get(name) for node in one.iter() for name in ("fill", "stroke")} - {None}
        assert colours == {"none", "currentColor"} and (one.get("aria-hidden") == "true" or len(one.get("aria-label", "")) > 40)


def test_the_curve_of_the_ease_marks_its_extremes() -> None:
    profile = DRAFT.ease_by_level(high_hip=96, high_hip_depth=10)
    data, _ = DisplayFormatter().format(profile)
    picture = data["text/html"]
    assert f">−{-profile.tightest[1]:.1f} cm<" in picture and f">{profile.loosest[1]:.1f} cm<" in picture
    circles = [float(x) for x in re.findall('circle cx="(.*?)"', picture)]
    points = [[float(number) for number in point.split(",")] for point in re.findall("M([^\"]* L[^\"]*)", picture)[0].split(" L")]
    assert circles[0] == pytest.approx(min(x for x, _ in points), abs=0.5) and circles[1] == pytest.approx(max(x for x, _ in points), abs=0.5)


def test_tables_of_derivatives_and_errors_have_the_numbers_of_their_results() -> None:
    rates, errors = DRAFT.sensitivity(), DRAFT.uncertainty(ERRORS)
    caption, (heads, *rows) = texts(rates)
    assert heads[1:3] == ["1 cm more: ease at the waist", "1 cm more: ease at the hip"] and caption.startswith("What moves the draft")
    assert len(heads) == 5 and "Not shown: 20 other inputs" in rates._repr_html_()  # type: ignore[attr-defined]
    numbers = {row[0]: [cell.split("<")[0] for cell in row[1:]] for row in rows}
    assert numbers["intake of the back dart nearest the centre"][1] == f"{rates['back.darts[0].intake', 'ease.hip']:+.2f}" == "+0.08"
    by_depth = kirtle.table(DRAFT.sensitivity(["body.hip_depth", "rules.balance"]))
    assert by_depth.heads[1:] == ("1 cm more: hip depth of the body", "1 cm more: rule: balance") and by_depth.note.startswith("No change: sewn waist, hip girth,")
    assert ("length of the back dart nearest the centre", "+0.68", "0") in by_depth.rows
    _, (heads, *rows) = texts(errors)
    assert heads[3] == "spread of 1,000 drafts"
    assert {row[0]: row[2].split("<")[0] for row in rows}["width of the front"] == f"{errors['front.width']:.2f}"
    spread = dict(zip(errors.quantities, errors.spread, strict=True))["front.darts[0].intake"]
    assert {row[0]: row[3].split("<")[0] for row in rows}["intake of the front dart nearest the centre"] == f"{spread:.2f}"
    assert "% have another number of darts" in errors._repr_html_()  # type: ignore[attr-defined]


@pytest.mark.parametrize(("typed", "name"), [
    ("draft.seek('", "ease.hip"), ('draft.seek("rules.shares.back_l', "rules.shares.back_largest_dart"), ("draft.seek('ease.hip', 'back.darts[0].i", "back.darts[0].intake"),
    ('draft.vary({"body.hip": 3, "ease.h', "ease.hip"), ('draft.uncertainty({"body.w', "body.waist"), ('plots.sensitivity(draft, "front.w', "front.width"),
    ('plots.curve(draft, "front.w', "front.width"), ('plots.curve(draft, "front.width", "ease.h', "ease.hip"),
    ('plots.effects(draft, "body.h', "body.hip"), ("draft.seek('ease.hip', 'gi", "girth"), ("box.draft.sensitivity(['ease.hip', 'body.hip_", "body.hip_depth"),
])
def test_ipython_completes_names_in_calls_of_a_draft(typed: str, name: str) -> None:
    shell = InteractiveShell()
    shell.user_ns |= {"draft": DRAFT, "box": kirtle.Fitting(DRAFT)}
    install(shell)
    with provisionalcompleter():
        completed = [typed[: one.start] + one.text for one in shell.Completer.completions(typed, len(typed))]
    start = typed[: typed.rindex(typed[-1] if typed[-1] in "'\"" else typed.replace('"', "'").rpartition("'")[2])]
    assert any(one.endswith(name) and one.startswith(start) for one in completed) and len(completed) < 120
    assert names_at_cursor("body.seek('", {"body": BODY}) == names_at_cursor("draft.seek(ease", {"draft": DRAFT}) == ("", [])


def test_importing_kirtle_in_ipython_prepares_completion_and_ranges() -> None:
    code = """
from IPython.core.interactiveshell import InteractiveShell
shell = InteractiveShell.instance()
shell.run_cell("import kirtle")
import kirtle
print(len(shell.Completer.custom_matchers), *(shell.inspector.info(kind)["docstring"] for kind in (kirtle.Body, kirtle.Rules)))
"""
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert printed.startswith("1 ") and "\nwaist: 40 to 200 or 15.75 to 78.74. Girth at the natural waist" in printed
    assert "\ncentre_back_in: 0 to 2.5 or 0 to 0.98; default 0.0. Distance" in printed


def test_darts_by_ease_say_the_darts_of_each_draft_and_why_there_is_none() -> None:
    table = kirtle.darts_by_ease(BODY, waist_ease=1.5, hip_ease=[2, 6])
    draft = kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=6))
    intakes = [" + ".join(f"{dart.intake:.1f}" for dart in panel.darts) for panel in (draft.back, draft.front)]
    assert table.rows[1] == ("1.5 cm", "6 cm", f"two darts, {intakes[0]} cm", f"two darts, {intakes[1]} cm", f"{draft.suppression.side:.1f} cm")
    wide = kirtle.Body(waist=60, hip=130, hip_depth=10, length=62)
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.draft(wide, ease=kirtle.Ease(waist=0, hip=60))
    assert [row[2] for row in kirtle.darts_by_ease(wide, waist_ease=(0, 20), hip_ease=60).rows][0] == str(refused.value)
    caption, (heads, *rows) = texts(table)
    assert caption == "Darts by ease: waist 74, hip 101 cm" and heads[4] == "side seam takes in" and [tuple(row) for row in rows[:2]] == table.rows[:2]
    inches = kirtle.darts_by_ease(kirtle.Body(waist=29, hip=40, hip_depth=8, length=24, unit="in"), waist_ease=0.5, hip_ease=2, unit="in")
    assert inches.rows[0][:2] == ("1/2 in", "2 in") and inches.rows[0][2].endswith(" in")
    body = kirtle.Body(waist=29, hip=40, hip_depth=8, length=24, unit="in")
    for source in (body, kirtle.draft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))):
        assert kirtle.darts_by_ease(source, waist_ease=0.5, hip_ease=2) == inches


def test_the_examples_of_text_tables_run() -> None:
    formats, tables = (importlib.import_module(f"kirtle.{name}") for name in ("table_formats", "text_tables"))
    assert (doctest.testmod(formats), doctest.testmod(tables)) == ((0, 3), (0, 8))


@pytest.mark.parametrize("waist", [26.3, 28.1, 29, 31.7, 40 / 3])
def test_inputs_remember_their_unit(waist: float) -> None:
    body = kirtle.Body(waist=waist + 15, hip=41.7, hip_depth=8.1, length=24.3, unit="in")
    ease = kirtle.Ease(waist=0.7, hip=1.9, unit="in")
    draft = kirtle.draft(body, ease=ease)
    assert (body.unit, ease.unit, kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62).unit) == ("in", "in", "cm")
    in_cm = kirtle.Body(waist=body.waist, hip=body.hip, hip_depth=body.hip_depth, length=body.length)
    assert in_cm == body and hash(in_cm) == hash(body) and "unit" not in repr(in_cm)
    for value in (body, ease):
        for other in (eval(repr(value), vars(kirtle)), pickle.loads(pickle.dumps(value)), copy.copy(value)):
            assert other == value and repr(other) == repr(value)
    assert repr(body).endswith('hip=41.7, hip_depth=8.1, length=24.3, unit="in")')
    assert draft.document_unit == "in" and draft.body == body and draft.ease == ease and " (in)</title>" in draft._repr_svg_()
    again = pickle.loads(pickle.dumps(draft))
    assert again == draft and again.document_unit == "in" and again.back.width == draft.back.width


def test_inputs_in_inches_are_those_after_the_corrections() -> None:
    request = {
        "unit": "in", "body": {"waist": 29, "hip": 40, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
        "corrections": [{"what": "waist", "by": 1}],
    }
    draft = kirtle.Draft.from_json(json.dumps(request))
    assert repr(draft.ease) == 'Ease(waist=1.5, hip=2.0, unit="in")' and draft.ease.waist == 1.5 * 2.54
    assert eval(repr(draft), vars(kirtle)) == draft == pickle.loads(pickle.dumps(draft))


def test_a_chart_remembers_its_unit() -> None:
    bodies = [kirtle.Body(waist=waist, hip=waist + 10, hip_depth=8, length=24, unit="in") for waist in (26, 28.5)]
    chart = kirtle.SizeChart([("S", bodies[0]), ("M", bodies[1])])
    assert texts(chart) == ("Size chart, in inches", [
        ["size", "waist", "hip", "hip depth", "length"], ["S", "26", "36", "8", "24"], ["M", "28 1/2", "38 1/2", "8", "24"],
    ])
    by_csv = kirtle.SizeChart.from_csv(chart.to_csv("in"), unit="in")
    assert (chart.unit, by_csv.unit, CHART.unit) == ("in", "in", "cm") and by_csv == chart and hash(by_csv) == hash(chart)
