"""Plots of derivatives, standard errors and ease by level show Kirtle's numbers."""

from collections.abc import Callable, Iterator
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from conftest import TESTS

mpl.use("Agg")

from matplotlib import pyplot as plt  # noqa: E402
from matplotlib.axes import Axes  # noqa: E402
from matplotlib.collections import PolyCollection  # noqa: E402
from matplotlib.patches import Ellipse, PathPatch, Rectangle  # noqa: E402
from pictures import matches_picture  # noqa: E402
from request_schema import request_schema  # noqa: E402

import kirtle  # noqa: E402
from kirtle import plots  # noqa: E402
from kirtle import format_length  # noqa: E402
from kirtle.plots.derivatives import input_change  # noqa: E402
from kirtle.words import MAIN_QUANTITIES, input_text, quantity_text  # noqa: E402

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
DRAFT = kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=5))
ERRORS = kirtle.StandardErrors.iso_20685()
INTAKE = "back.darts[0].intake"


@pytest.fixture(autouse=True)
def close_figures() -> Iterator[None]:
    yield
    plt.close("all")


def rendered(ax: Axes) -> Axes:
    """Renders the figure, as some errors appear only then, and checks that both axes have a label."""
    ax.get_figure(root=True).canvas.draw()  # type: ignore[union-attr]
    assert ax.get_xlabel() and ax.get_ylabel()
    return ax


def bars(ax: Axes) -> dict[str, float]:
    """Returns the width of each bar by its label, from the top."""
    widths = {bar.get_y() + bar.get_height() / 2: bar.get_width() for bar in ax.patches if isinstance(bar, Rectangle)}
    names = dict(zip(ax.get_yticks(), (text.get_text() for text in ax.get_yticklabels()), strict=True))
    return {names[round(y)]: widths[y] for y in sorted(widths)}


def texts(ax: Axes) -> list[str]:
    """Returns the texts written on the axes."""
    return [text.get_text() for text in ax.texts]


def legend(ax: Axes) -> list[str]:
    """Returns the entries of the legend."""
    box = ax.get_legend()
    assert box
    return [text.get_text() for text in box.get_texts()]


def test_each_bar_is_a_derivative_times_the_change_in_its_label() -> None:
    ax = rendered(plots.sensitivity(DRAFT, INTAKE, count=100))
    shown, sensitivity = bars(ax), DRAFT.sensitivity()
    expected = {}
    for name, unit in zip(sensitivity.inputs, sensitivity.input_units):
        size, sign = input_change(unit)
        expected[f"{input_text(name)}, {size:g}{sign}"] = sensitivity[INTAKE, name] * size
    assert shown == expected
    assert {"hip of the body, 1 cm", "rule: back share, 0.01", "rule: steepest side, 1°"} <= shown.keys()
    sizes = np.abs(list(shown.values()))
    assert (np.diff(sizes) <= 0).all() and ax.get_ylim()[0] > ax.get_ylim()[1]
    assert ax.get_xlabel() == "change (cm)" and " ".join(ax.get_title().split()) == (
        "Intake of the back dart nearest the centre: 2.31 cm. Waist 74, hip 101, waist ease 1.5, hip ease 5 cm")
    assert texts(ax)[:3] == ["−0.15", "+0.08", "+0.08"] and "−0.08" in texts(ax)


def test_a_curve_breaks_where_darts_come_and_has_the_derivative_as_tangent() -> None:
    ax = rendered(plots.curve(DRAFT, "front.darts[0].intake", "ease.hip", between=(0, 10)))
    *pieces, tangent, point = (np.asarray(line.get_xydata()) for line in ax.lines)
    assert len(pieces) == 2 and pieces[0][-1, 0] < 4.09 < pieces[1][0, 0] and len(np.vstack(pieces)) == 401
    assert (np.diff(tangent[:, 1]) / np.diff(tangent[:, 0]))[0] == pytest.approx(DRAFT.sensitivity()["front.darts[0].intake", "ease.hip"])
    assert point.tolist() == [[5, DRAFT.front.darts[0].intake]] and "the line has 2 pieces" in plots.description(ax)
    assert rendered(plots.curve(DRAFT, "back.width", "rules.side_fullness", between=(1, 2.5), unit="in")).get_ylabel().endswith("(in)")
    with pytest.raises(kirtle.InputError, match="ease.hip: 70 cm is above the maximum of 60 cm"):
        plots.curve(DRAFT, "back.width", "ease.hip", between=(70, 80))
    assert rendered(plots.curve(DRAFT, "back_dart1_intake", "ease.hip", between=(4, 6))).lines


def test_a_curve_says_where_nothing_can_be_drafted_and_where_its_dart_comes() -> None:
    ax = rendered(plots.curve(DRAFT, "back.waist_lowering", "rules.centre_back_in", between=(0, 4)))
    *_, tangent, _ = (np.asarray(line.get_xydata()) for line in ax.lines)
    assert ax.get_xlabel() == "rule: centre back in (cm), only drafted from 0 to 2.5 cm" and tangent[-1, 0] == 2.5
    assert "above the maximum of 2.5 cm" in plots.description(ax)
    assert "a dart comes or goes" in plots.description(plots.curve(DRAFT, "front.darts[1].intake", "ease.hip", between=(0, 10)))
    figure = kirtle.Figure(front_hip=53)
    with pytest.raises(kirtle.InputError, match="rules.balance: .* not used"):
        plots.curve(kirtle.draft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=figure), ease=DRAFT.ease), "front.width", "rules.balance", between=(-2, 2))
    with pytest.raises(kirtle.InputError, match="did you mean back.width"):
        plots.curve(DRAFT, "BACK.WIDHT", "ease.hip", between=(4, 6))
    assert rendered(plots.sensitivity(DRAFT, "back.width", errors={"body.waist": 0.9, "body.hip": 0.9})).patches


def test_a_curve_counts_darts_and_measures_girths() -> None:
    ax = rendered(plots.curve(DRAFT, "front.darts", "ease.hip", between=(0, 8)))
    assert [set(np.asarray(line.get_ydata())) for line in ax.lines] == [{1}, {2}, {2}] and legend(ax) == ["drafted", "this draft"]
    ax = rendered(plots.curve(DRAFT, "girth", "ease.hip", between=(3, 8), level=10))
    assert np.asarray(ax.lines[-1].get_ydata())[0] == DRAFT.girth_at(10) and ax.get_ylabel() == "girth 10 cm below the waist (cm)"
    inches = kirtle.draft(kirtle.Body(waist=29, hip=40, hip_depth=8, length=24, unit="in"), ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))
    for unit in ("cm", "in"):
        ax = plots.curve(inches, "girth", "ease.hip", between=(1, 3), level=4, unit=unit)
        assert np.asarray(ax.lines[-1].get_ydata())[0] == inches.girth_at(4, unit=unit)
    with pytest.raises(ValueError, match="level: goes with the quantity girth"):
        plots.curve(DRAFT, "girth", "ease.hip", between=(3, 8))


def test_the_effects_of_an_input_are_bars_of_its_derivatives() -> None:
    rates = DRAFT.sensitivity()
    for input, count, step in (("body.waist", 10, 1), ("body.waist", 3, 1), ("rules.balance", 100, 1), ("rules.side_fullness", 5, 0.01)):
        ax = rendered(plots.effects(DRAFT, input, count=count))
        assert 0 < len(bars(ax)) <= count
        for name in filter(MAIN_QUANTITIES.fullmatch, rates.quantities):
            bar = bars(ax).get(quantity_text(name, rates.quantities))
            assert bar in (None, pytest.approx(rates[name, input] * step))
    ax = rendered(plots.effects(DRAFT.sensitivity(unit="in"), "body.waist"))
    assert list(bars(ax).values())[0] == pytest.approx(1) and ax.get_title() == "1 in more waist of the body"
    assert " ".join(ax.get_xlabel().split()) == (
        "change (in); 6 other lengths: at most 0.04 in each; no change: hip girth, hem girth, width of the back, width of the front")


def test_the_axis_label_summarises_the_omitted_inputs() -> None:
    ax = rendered(plots.sensitivity(DRAFT, "back_dart1_intake", count=3))
    assert list(bars(ax)) == ["rule: centre back in, 1 cm", "hip of the body, 1 cm", "ease at the hip, 1 cm"]
    assert " ".join(ax.get_xlabel().split()) == "change (cm); 21 other inputs: at most 0.08 cm each"
    ax = rendered(plots.sensitivity(DRAFT, "back.centre_hem.x", count=23))
    assert set(bars(ax).values()) == {0} and ax.get_xlabel() == "change (cm); 1 other input: no change"


@pytest.mark.parametrize(("quantity", "unit"), [("side_angle", "°"), ("back.area", "in²"), ("back.width", "in")])
def test_each_quantity_has_its_unit(quantity: str, unit: str) -> None:
    sensitivity = DRAFT.sensitivity(unit="in")
    ax = rendered(plots.sensitivity(sensitivity, quantity))
    assert ax.get_xlabel().startswith(f"change ({unit})") and ax.get_title().endswith(unit)
    assert bars(ax)["hip of the body, 1 in"] == sensitivity[quantity, "body.hip"]


def test_bars_of_standard_errors_add_up_to_that_of_the_quantity() -> None:
    sensitivity, error = DRAFT.sensitivity(), DRAFT.uncertainty(ERRORS)["side_angle"]
    ax = rendered(plots.sensitivity(sensitivity, "side_angle", errors=ERRORS))
    figure = kirtle.Figure(front_length=101.5, side_length=101, back_length=99.5, front_hip=53)
    draft = kirtle.draft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=figure), ease=kirtle.Ease(waist=1.5, hip=5))
    assert "front hip of the body, 1 cm" in bars(rendered(plots.sensitivity(draft, "front.width")))
    assert bars(ax) == {f"{words} of the body, {size:g} cm": sensitivity["side_angle", f"body.{name}"] * size
                        for name, words, size in (("hip", "hip", 0.9), ("waist", "waist", 0.9), ("hip_depth", "hip depth", 0.5))}
    assert np.linalg.norm(list(bars(ax).values())) == pytest.approx(error) and f"± {error:.2f}°" in ax.get_title()
    errors = kirtle.StandardErrors.with_covariance(["body.waist", "body.hip"], [[0.25, 0.3], [0.3, 0.49]])
    ax = rendered(plots.sensitivity(sensitivity, "suppression.total", errors=errors))
    assert f"± {DRAFT.uncertainty(errors)['suppression.total']:.2f} cm" in ax.get_title()


def test_plots_of_errors_say_that_darts_come_or_go() -> None:
    uncertainty = DRAFT.uncertainty(ERRORS)
    note = uncertainty.note.partition(":")[0].removeprefix("of ")
    for ax in (plots.sensitivity(DRAFT, "front.darts[0].intake", errors=ERRORS), plots.ellipses(DRAFT, ERRORS)):
        assert note in " ".join(ax.get_title().split()) and note in plots.description(ax)
    spread = uncertainty.spread[uncertainty.quantities.index("front.darts[0].intake")]
    assert f"; with errors {DRAFT.uncertainty(ERRORS)['front.darts[0].intake', 'mean']:.2f} ± {spread:.2f} cm" in plots.sensitivity(DRAFT, "front.darts[0].intake", errors=ERRORS).get_title()
    certain = kirtle.StandardErrors({"body.hip": 0.01})
    assert "another number" not in plots.description(plots.ellipses(DRAFT, certain))


@pytest.mark.parametrize("rules", [
    kirtle.Rules(), kirtle.Rules(darts=kirtle.Darts(back=[kirtle.GivenDart(intake=2, length=12, place=0.5)], front=[
        kirtle.GivenDart(intake=2, length=9, centre=11)])),
])
def test_an_input_without_length_unit_has_one_range_in_the_schema(rules: kirtle.Rules) -> None:
    """A length has different ranges in cm and in inches; a ratio or an angle has one range."""
    sensitivity = kirtle.draft(BODY, ease=DRAFT.ease, rules=rules).sensitivity(unit="in")
    for name, unit in zip(sensitivity.inputs, sensitivity.input_units):
        ranges = []
        for row in map(request_schema, ("cm", "in")):
            for part in name.split("."):
                field = row["properties"][part.removesuffix("[0]")]
                row = field["items"] if part.endswith("[0]") else field
            ranges.append((row["minimum"], row["maximum"]))
        assert (ranges[0] != ranges[1]) == (unit == "in") and (unit == "deg") == (name == "rules.shares.steepest_side"), name


def marks(ax: Axes) -> dict[str, tuple[float, float]]:
    """Returns level and ease of the marks "tightest" and "loosest"."""
    points = {str(line.get_label()): np.asarray(line.get_xydata(), float)[0] for line in ax.lines}
    return {name: (float(points[name][1]), float(points[name][0])) for name in ("tightest", "loosest")}


def test_ease_by_level_has_levels_downwards_and_marks_the_extremes() -> None:
    profile = DRAFT.ease_by_level(high_hip=97.5, high_hip_depth=10, step=0.25)
    ax = rendered(plots.ease_by_level(DRAFT, high_hip=97.5, high_hip_depth=10))
    assert np.array_equal(np.asarray(ax.lines[0].get_xydata()), np.transpose([profile.ease, profile.levels]))
    assert marks(ax) == {"tightest": profile.tightest, "loosest": profile.loosest}
    assert texts(ax)[:2] == [f"−{-profile.tightest[1]:.1f} cm", f"{profile.loosest[1]:.1f} cm"]
    low, high = ax.get_ylim()
    assert low == pytest.approx(1.25 * 20.5) and high < 0 and legend(ax)[1] == "narrower than the body"
    lines = [np.asarray(line.get_ydata()) for line in ax.lines]
    assert any((line == 20.5).all() for line in lines)
    (negative,) = [one for one in ax.collections if isinstance(one, PolyCollection)]
    box = np.vstack([np.asarray(path.vertices) for path in negative.get_paths()])
    below = np.array(profile.levels)[np.array(profile.ease) < 0]
    assert box[:, 0].max() == 0 and box[:, 0].min() == min(profile.ease)
    assert 0 < below.min() - box[:, 1].min() < 0.25 and 0 < box[:, 1].max() - below.max() < 0.25


def test_the_readme_picture_is_the_plot_of_ease_by_level(tmp_path: Path) -> None:
    ax = plots.ease_by_level(DRAFT, high_hip=96, high_hip_depth=10)
    assert matches_picture(ax, TESTS / "golden" / "ease-by-level.png", tmp_path / "new.png")


def test_ease_by_level_in_inches_without_negative_ease() -> None:
    profile = DRAFT.ease_by_level(step=0.5, unit="in")
    ax = rendered(plots.ease_by_level(profile))
    assert np.asarray(ax.lines[0].get_xdata()).tolist() == profile.ease and not ax.collections
    assert ax.get_xlabel() == "ease (in)" and f"{format_length(profile.tightest[1], 'in')} in" in texts(ax)
    assert any(np.allclose(np.asarray(line.get_ydata(), float), 20.5 / 2.54) for line in ax.lines)
    box, inside = ax.get_legend(), ax.get_window_extent()
    assert box and box.get_window_extent().y0 >= inside.y1


@pytest.mark.parametrize(("half", "unit", "probability"), [("back", "cm", 0.95), ("front", "in", 0.5)])
def test_each_point_has_its_error_ellipse(half: str, unit: str, probability: float) -> None:
    ax = rendered(plots.ellipses(DRAFT, ERRORS, probability=probability, half=half, unit=unit, magnify=3))
    found = [one for one in DRAFT.uncertainty(ERRORS, unit=unit).ellipses if one.panel == half]
    shown = [patch for patch in ax.patches if isinstance(patch, Ellipse)]
    scale = 3 * kirtle.Ellipse.growth(probability)
    for patch, one in zip(shown, found, strict=True):
        assert np.array_equal(patch.get_center(), one.centre) and patch.get_angle() == one.angle_deg
        assert (patch.get_width(), patch.get_height()) == pytest.approx([2 * scale * axis for axis in one.semi_axes])
    assert np.asarray(ax.lines[-1].get_xydata()).tolist() == [list(one.centre) for one in found]
    longest = kirtle.Ellipse.growth(probability) * max(one.semi_axes[0] for one in found)
    assert legend(ax) == [f"{100 * probability:g}% ellipse, enlarged 3 times, longest half axis {longest:.2f} {unit}", "hip line"]
    assert ax.get_ylim()[0] > ax.get_ylim()[1] and ax.get_aspect() == 1 and ax.get_xlabel() == f"from the centre ({unit})"
    (panel,) = [patch for patch in ax.patches if isinstance(patch, PathPatch)]
    assert panel.get_path().get_extents().x1 == pytest.approx(getattr(DRAFT, half).width / {"cm": 1, "in": 2.54}[unit])


@pytest.mark.parametrize(("error", "factor"), [(0.9, 5), (0.09, 50), (0.0009, 100), (9, 1)])
def test_small_ellipses_are_magnified(error: float, factor: int) -> None:
    ax = plots.ellipses(DRAFT, kirtle.StandardErrors({"body.hip": error}))
    larger = f", enlarged {factor} times" if factor > 1 else ""
    assert legend(ax)[0].startswith(f"95% ellipse{larger}, longest half axis ")
    longest = max(max(patch.get_width(), patch.get_height()) for patch in ax.patches if isinstance(patch, Ellipse)) / 2
    assert longest <= 25.5 / 5 or factor == 1


def test_plots_draw_on_the_axes_passed_to_them() -> None:
    _, (one, two, three) = plt.subplots(1, 3, figsize=(18, 6))
    assert plots.sensitivity(DRAFT, "side_seam", ax=one) is one and plots.ease_by_level(DRAFT, ax=two) is two
    assert plots.ellipses(DRAFT, ERRORS, ax=three) is three and len(plt.get_fignums()) == 1


EASE = DRAFT.ease_by_level()
INVALID: dict[str, Callable[[], Axes]] = {
    'quantity: "back.knee" is not one of 92 names: did you mean back.': lambda: plots.sensitivity(DRAFT, "back.knee"),
    "count: 0 is below the minimum of 1": lambda: plots.sensitivity(DRAFT, INTAKE, count=0),
    'by: "body.waist" is not': lambda: plots.sensitivity(DRAFT.sensitivity(["ease.hip"]), INTAKE, errors=ERRORS),
    "high_hip_depth: missing": lambda: plots.ease_by_level(DRAFT, high_hip=95),
    "high_hip: cannot be given together with": lambda: plots.ease_by_level(EASE, high_hip=95),
    "high_hip_depth: cannot be given together with": lambda: plots.ease_by_level(EASE, high_hip_depth=9),
    'half: "both" is not "back" or "front"': lambda: plots.ellipses(DRAFT, ERRORS, half="both"),
    'unit: "mm" is not "cm" or "in"': lambda: plots.ellipses(DRAFT, ERRORS, unit="mm"),
    "magnify: 0 is below the minimum of 0.1": lambda: plots.ellipses(DRAFT, ERRORS, magnify=0),
    "probability: 0 is below the minimum of 0.01": lambda: plots.ellipses(DRAFT, ERRORS, probability=0),
    "probability: 1.5 is above the maximum of 0.9999": lambda: plots.ellipses(DRAFT, ERRORS, probability=1.5),
    "probability: nan is below the minimum of 0.01": lambda: plots.ellipses(DRAFT, ERRORS, probability=float("nan")),
    "magnify: inf is above the maximum of 1000": lambda: plots.ellipses(DRAFT, ERRORS, magnify=float("inf")),
    'by: "ease.knee" is not one of 24 names': lambda: plots.effects(DRAFT, "ease.knee"),
    'by: "body.knee" is not one of 24 names: did you mean body.': lambda: plots.ellipses(DRAFT, kirtle.StandardErrors({"body.knee": 1})),
}


@pytest.mark.parametrize("message", INVALID)
def test_invalid_arguments_are_refused(message: str) -> None:
    with pytest.raises(kirtle.InputError) as caught:
        INVALID[message]()
    assert str(caught.value).startswith(message) and caught.value.problems[0].field == message.split(":")[0]
    assert not plt.get_fignums()


def test_curves_of_an_unmeasured_figure_follow_the_exact_derivatives() -> None:
    ax = rendered(plots.unmeasured_figure(DRAFT, reach=0.1))
    curves = {str(line.get_label()).partition(":")[0]: np.array(line.get_data()) for line in ax.lines if len(line.get_xdata()) > 2}  # type: ignore[arg-type]
    assumed = {"front_length": 100, "side_length": 100 + DRAFT.front.waist_lowering, "front_hip": 2 * DRAFT.front.width * 101 / 106}
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=kirtle.Figure(**assumed))  # type: ignore[arg-type]
    slopes = kirtle.draft(body, ease=DRAFT.ease).sensitivity(["body.figure.front_length", "body.figure.front_hip"])
    for name, quantity, sign in (("front_length", "front.waist_lowering", -1), ("front_hip", "front.width", 1)):
        by, off = curves[name.replace("_", " ")]
        expected = sign * slopes[quantity, f"body.figure.{name}"]
        assert off == pytest.approx(expected * by, abs=2e-4)
    by, off = curves["high hip"]
    assert (off >= -1e-9).all() and off[by <= 0] == pytest.approx(0, abs=1e-9)
    by, off = curves["front waist"]
    assert (np.diff(off) > 0).all() and off[len(off) // 2] == pytest.approx(0, abs=1e-9)
