"""Plots follow matplotlib's settings: in three styles nothing is clipped or hidden, lines contrast, and metadata say what is shown."""

import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pytest
from conftest import TESTS

mpl.use("Agg")

from matplotlib import pyplot as plt  # noqa: E402
from matplotlib.axes import Axes  # noqa: E402
from matplotlib.colors import to_rgb  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from matplotlib.patches import PathPatch, Rectangle  # noqa: E402
from pictures import matches_picture  # noqa: E402
from PIL import Image  # noqa: E402

import kirtle  # noqa: E402
from kirtle import plots  # noqa: E402
from kirtle.plots.axes import palette  # noqa: E402

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
DRAFTS = [kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=ease)) for ease in (0, 2, 4, 6)]
CHART = kirtle.SizeChart.demo()
FIGURE = kirtle.Figure(front_length=100, side_length=101)
WITH_FIGURE = kirtle.draft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=FIGURE), ease=kirtle.Ease(waist=1.5, hip=5))
SIZES = [kirtle.draft(CHART[name], ease=kirtle.Ease(waist=1.5, hip=5)) for name in ("36", "40", "44", "48")]
ERRORS = kirtle.StandardErrors.iso_20685()
PEOPLE = kirtle.simulate(400, seed=5)
FIT = kirtle.fit_chart(CHART, PEOPLE, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=3)
BEST = {
    label: [kirtle.best_chart(PEOPLE, sizes, loss="within", tolerance=3, grid=grid, certify=False) for sizes in (2, 4, 6)]
    for label, grid in (("free", None), ("even centimetres", 2))
}
GROUPED = pa.table(PEOPLE).append_column("age", [[("20-39", "40-59", "60-79")[row * row % 3] for row in range(400)]])
BY_GROUP = kirtle.fit_chart(CHART, GROUPED, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=3, by="age", bootstrap=100)
MARKS = {"before": kirtle.Ease(waist=1.5, hip=3), "after": kirtle.Ease(waist=1.5, hip=5)}

STYLES: dict[str, Any] = {"default": "default", "dark": "dark_background", "large grey": ["grayscale", {"font.size": 20}]}

PLOTS: dict[str, Callable[[], Axes]] = {
    "draft": lambda: plots.draft(DRAFTS[3]),
    "closed darts": lambda: plots.closed_darts(DRAFTS[3]),
    "overlay": lambda: plots.overlay(DRAFTS),
    "zoomed overlay": lambda: plots.overlay(DRAFTS, half="back", heights="waist", down_to="hip", exaggerate=4),
    "ease by level": lambda: plots.ease_by_level(DRAFTS[3], high_hip=96, high_hip_depth=10),
    "ease of several": lambda: plots.ease_by_level(DRAFTS, high_hip=96, high_hip_depth=10),
    "ease around": lambda: plots.ease_around(DRAFTS[3], high_hip=94, high_hip_depth=10),
    "map": lambda: plots.intake_map(BODY, waist_ease=(-2, 26), hip_ease=(-2, 14), of="front", steps=30, marks=MARKS),
    "sensitivity": lambda: plots.sensitivity(DRAFTS[3], "back.darts[0].intake", count=8),
    "effects": lambda: plots.effects(DRAFTS[3], "body.waist", count=5),
    "number of darts": lambda: plots.curve(DRAFTS[3], "front.darts", "ease.hip", between=(0, 8)),
    "standard errors": lambda: plots.sensitivity(DRAFTS[3], "back.darts[0].intake", errors=ERRORS),
    "ellipses": lambda: plots.ellipses(DRAFTS[3], ERRORS),
    "small multiples": lambda: plots.small_multiples(SIZES, labels=["36", "40", "44", "48"])[3],
    "people": lambda: plots.population(PEOPLE, chart=CHART, fit=FIT),
    "drop": lambda: plots.marginal(PEOPLE, chart=CHART),
    "fit": lambda: plots.chart_fit(FIT),
    "regions": lambda: plots.regions(FIT, step=5),
    "boxes": lambda: plots.population(PEOPLE, chart=BEST["free"][2], tolerance=3),
    "constraint_costs": lambda: plots.constraint_costs({label: line[-1] for label, line in BEST.items()}),
    "coverage": lambda: plots.coverage(BEST),
    "size roll": lambda: plots.size_roll(BEST["even centimetres"][2]),
    "served by group": lambda: plots.served_by_group(BY_GROUP),
    "unmeasured figure": lambda: plots.unmeasured_figure(DRAFTS[3]),
}


@pytest.fixture(autouse=True)
def close_figures() -> Iterator[None]:
    yield
    plt.close("all")


def figure_of(ax: Axes) -> Figure:
    """Returns the drawn figure of the axes."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    figure.canvas.draw()
    return figure


def pixels_of(figure: Figure) -> npt.NDArray[np.int_]:
    """Returns the pixels of a drawn figure."""
    canvas: Any = figure.canvas
    return np.asarray(canvas.buffer_rgba()).astype(int)


def contrast(one: Any, other: Any) -> float:
    """Returns the contrast of two colours after WCAG 2: from 1 to 21."""

    def luminance(colour: Any) -> float:
        rgb = np.array(to_rgb(colour))
        linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
        return float(linear @ [0.2126, 0.7152, 0.0722])

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


SHOWN = [
    *((name, "large grey") for name in PLOTS),
    *((name, "default") for name in ("draft", "overlay", "ease of several", "map", "sensitivity", "ellipses", "small multiples", "people")),
    *((name, "dark") for name in ("draft", "overlay", "ease by level", "ease around", "map", "fit")),
]
"""Plots and styles: all with large letters, without colours; those without a picture on a page also as they are; each kind in dark."""


@pytest.mark.parametrize(("name", "style"), SHOWN)
def test_nothing_is_clipped_or_hidden_and_every_line_contrasts(name: str, style: str) -> None:
    with plt.style.context(STYLES[style]):
        ax = PLOTS[name]()
        figure = figure_of(ax)
        grown = 1.2 if name == "small multiples" else 1
        assert figure.get_size_inches().tolist() == pytest.approx(grown * np.array(mpl.rcParams["figure.figsize"]))
        pixels = pixels_of(figure)
        edge = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]])
        assert (edge == edge[0]).all(), "something is drawn at the edge of the picture"
        for one in figure.axes:
            assert_texts_are_apart(one)
        lines = [line.get_color() for line in ax.lines if line.get_linestyle() != "None"]
        outlines = [patch.get_edgecolor() for patch in ax.patches if isinstance(patch, PathPatch | Rectangle)]
        assert min([contrast(colour, ax.get_facecolor()) for colour in [*lines, *outlines, "black" if style != "dark" else "white"]]) >= 3
        text = mpl.rcParams["font.size"]
        assert 0.5 * text <= ax.title.get_fontsize() <= 1.21 * text
        assert all(0.5 * text <= one.get_fontsize() <= text for one in ax.texts if one.get_visible())
        assert len(plots.description(ax)) > 40 and not re.search(r"_|\[|nan|None", plots.description(ax))


def assert_texts_are_apart(ax: Axes) -> None:
    """Asserts that no text meets the legend, and no text on the axes another text on the axes."""
    texts = [text for text in ax.texts if text.get_visible() and text.get_text()]
    boxes = [text.get_window_extent() for text in texts]
    for k, box in enumerate(boxes):
        meets = [texts[j].get_text() for j in range(k) if box.overlaps(boxes[j])]
        assert not meets or ax.name == "3d", (texts[k].get_text(), meets)
    legend = ax.get_legend()
    around = [one for one in (ax.title, ax.xaxis.label, ax.yaxis.label, *texts) if one.get_text()]
    assert not legend or not [one.get_text() for one in around if one.get_window_extent().overlaps(legend.get_window_extent())]


def test_sizes_grow_with_the_settings_of_matplotlib() -> None:
    sizes: list[Any] = []
    for size in (8, 16):
        with plt.rc_context({"font.size": size, "lines.linewidth": size / 4, "figure.figsize": (size, size)}):
            ax = plots.ease_by_level(DRAFTS[0])
            sizes.append([ax.title.get_fontsize(), ax.xaxis.label.get_fontsize(), ax.lines[0].get_linewidth(), figure_of(ax).get_figwidth()])
    assert np.divide(sizes[0], sizes[1]) == pytest.approx([0.5] * 4)


def test_lines_contrast_in_every_style_of_matplotlib() -> None:
    for style in plt.style.available:
        with plt.style.context(style):
            colours = palette(plt.figure().add_subplot())
            assert min(contrast(one, colours.paper) for one in (colours.ink, colours.guide, colours.dart, colours.shade(0.6))) >= 3, style
            plt.close("all")


def test_a_style_without_colours_has_none() -> None:
    with plt.style.context("grayscale"):
        pixels = pixels_of(figure_of(plots.draft(DRAFTS[0])))
    assert np.ptp(pixels[..., :3], axis=-1).max() <= 2


@pytest.mark.parametrize("reverse", [False, True])
def test_shared_axes_clip_nothing(reverse: bool) -> None:
    small = kirtle.draft(kirtle.Body(waist=60, hip=84, hip_depth=18, length=50), ease=kirtle.Ease(waist=0, hip=2))
    large = kirtle.draft(kirtle.Body(waist=110, hip=136, hip_depth=23, length=90), ease=kirtle.Ease(waist=2, hip=8))
    drafts = [large, small] if reverse else [small, large]
    draw: list[Callable[..., Axes]] = [plots.draft, plots.ease_by_level, lambda draft, ax: plots.overlay([draft], ax=ax)]
    for plot in draw:
        _, axes = plt.subplots(1, 2, figsize=(14, 6), sharex=True, sharey=True)
        for ax, draft in zip(axes, drafts, strict=True):
            plot(draft, ax=ax)
        for ax in axes:
            (left, right), (bottom, top) = sorted(ax.get_xlim()), sorted(ax.get_ylim())
            seen = np.vstack([line.get_xydata() for line in ax.lines if line.get_label()[0] != "_"] or [ax.dataLim.get_points()])
            assert left <= seen[:, 0].min() and seen[:, 0].max() <= right and bottom <= max(seen[:, 1].min(), 0) and seen[:, 0].max() <= right
            assert ax.get_ylim()[0] > ax.get_ylim()[1]
        plt.close("all")


def tick_values(ax: Axes) -> dict[float, str]:
    """Returns the text of each x tick by its position."""
    return {tick.get_position()[0]: tick.get_text() for tick in ax.get_xticklabels()}


def test_shared_axes_have_no_numbers_that_would_be_wrong_for_one_of_them() -> None:
    _, axes = plt.subplots(2, 1, sharex=True)
    plots.draft(SIZES[0], ax=axes[0])
    plots.draft(kirtle.draft(kirtle.Body(waist=130, hip=160, hip_depth=22, length=60), ease=kirtle.Ease(waist=1, hip=5)), ax=axes[1])
    figure_of(axes[0])
    assert set(tick_values(axes[1]).values()) <= {""}


def test_enlarged_differences_are_stated_and_true() -> None:
    ax = plots.overlay(DRAFTS[:3], half="front", exaggerate=5)
    assert "differences from hip ease 0 cm enlarged 5 times" in " ".join(ax.get_title().split())
    widths = [patch.get_path().get_extents().width for patch in ax.patches]
    true = [draft.front.width for draft in DRAFTS]
    assert widths == pytest.approx([true[0], *(true[0] + 5 * (width - true[0]) for width in true[1:3])])
    # With another number of darts, too, the side seam moves by five times its difference.
    box = plots.overlay([DRAFTS[0], DRAFTS[3]], half="front", exaggerate=5).patches[1].get_path().get_extents()
    assert box.width == pytest.approx(true[0] + 5 * (true[3] - true[0]))
    tips = plots.overlay(DRAFTS[:2], half="back", exaggerate=3).lines[1].get_ydata()
    lower = [one.tip[1] for one in DRAFTS[0].back.darts], [one.tip[1] for one in DRAFTS[1].back.darts]
    assert tips == pytest.approx(np.array(lower[0]) + 3 * np.subtract(lower[1], lower[0]) - 20.5)


def test_heights_are_signed_distances_from_the_hip_line_or_depths_below_the_waist() -> None:
    texts = {}
    for heights in ("hip", "waist"):
        ax = plots.overlay(DRAFTS[:2], heights=heights)
        figure_of(ax)
        texts[heights] = {tick.get_text() for tick in ax.get_yticklabels()}
        assert ax.get_ylabel() == {"hip": "height from the hip line (cm)", "waist": "below the waist (cm)"}[heights]
        assert {"BACK", "FRONT"} <= {text.get_text() for text in ax.texts}
    assert {"+20", "0", "−40"} <= texts["hip"] and {"0", "60"} <= texts["waist"]


def test_closed_darts_give_one_smooth_waist_of_the_sewn_length() -> None:
    for draft in (DRAFTS[0], DRAFTS[3]):
        for half in ("back", "front"):
            panel, ax = getattr(draft, half), plots.closed_darts(draft, half=half)
            stretches: list[Any] = [patch.get_path() for patch in ax.patches if patch.get_linewidth() == 1.2 * 1.5]
            waist = stretches[: len(panel.darts) + 1]
            for one, other in zip(waist, waist[1:], strict=False):
                assert one.vertices[-1] == pytest.approx(other.vertices[0], abs=1e-9)
                ends = [np.subtract(*one.vertices[[-1, -2]]), np.subtract(*other.vertices[[1, 0]])]
                directions = [end / np.linalg.norm(end) for end in ends]
                assert directions[0] == pytest.approx(directions[1], abs=1e-9)
            points = np.vstack([path.interpolated(400).vertices if len(path.vertices) == 2 else curve(path.vertices) for path in waist])
            assert np.linalg.norm(np.diff(points, axis=0), axis=1).sum() == pytest.approx(panel.seams.waist, abs=1e-3)
            plt.close("all")


def curve(points: Any) -> Any:
    """Returns many points of a cubic."""
    t = np.linspace(0, 1, 400)[:, None]
    return sum(weight * point for weight, point in zip(((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3), points, strict=True))


@pytest.mark.parametrize("enlarge", [1, 4])
def test_the_lines_in_space_have_the_girths_of_garment_and_body(enlarge: float) -> None:
    profile = DRAFTS[3].ease_by_level(high_hip=96, high_hip_depth=10, step=0.25)
    ax = plots.ease_around(DRAFTS[3], high_hip=96, high_hip_depth=10, enlarge=enlarge)
    curves: list[Any] = [np.transpose(line.get_data_3d()) for line in ax.lines]
    for body, garment in zip(curves[::2], curves[1::2], strict=True):
        level = -body[0, 2]
        girths = [np.linalg.norm(np.diff(one, axis=0), axis=1).sum() for one in (body, garment)]
        expected = [np.interp(level, profile.levels, values) for values in (profile.body, profile.ease)]
        assert girths[0] == pytest.approx(expected[0]) and girths[1] - girths[0] == pytest.approx(enlarge * expected[1], rel=2e-3, abs=2e-3)
        assert np.ptp(body[:, 1]) / np.ptp(body[:, 0]) == pytest.approx(0.75)
    assert ("drawn 4 times" in ax.get_title().replace("\n", " ")) == (enlarge == 4)
    assert "elliptic sections 0.75 as deep as wide" in " ".join(ax.texts[-1].get_text().split()) and "elliptic sections" in plots.description(ax)


def test_dart_tips_are_marked_where_the_girth_has_its_kinks() -> None:
    """Where a tape passes a dart tip, the second derivative of the girth jumps."""
    draft = DRAFTS[3]
    ax = plots.ease_by_level(draft)
    tips = np.concatenate([line.get_ydata() for line in ax.lines if str(line.get_label()).startswith("dart tips")])
    levels = np.arange(5, 19, 0.02)
    slopes = np.gradient([draft.girth_at(level) for level in levels], levels)
    kinks = levels[np.argsort(-abs(np.diff(slopes)))[:40]]
    assert len(tips) == 4 and all(abs(kinks - tip).min() < 0.03 for tip in tips)


def test_several_drafts_are_named_by_what_differs() -> None:
    ax = plots.ease_by_level(DRAFTS)
    legend = ax.get_legend()
    assert legend and [text.get_text() for text in legend.get_texts()][:4] == [f"hip ease {ease} cm" for ease in (0, 2, 4, 6)]
    assert ax.get_title() == "Waist 74, hip 101, waist ease 1.5 cm"
    assert len({str(line._dash_pattern) for line in legend.get_lines()[:4]}) == 4  # type: ignore[attr-defined]


def test_ease_over_different_high_hips_is_said_to_be_so() -> None:
    """The high hip has room, so that both skirts are the same, and only the bodies differ."""
    figures = (None, kirtle.Figure(high_hip=100, high_hip_depth=11))
    bodies = [kirtle.Body(waist=86, hip=102, hip_depth=20, length=60, figure=figure) for figure in figures]
    drafts = [kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)) for body in bodies]
    ax = plots.ease_by_level(drafts)
    assert "Each over its own high hip" in ax.get_title().replace("\n", " ") and "give high_hip and high_hip_depth" in plots.description(ax)
    assert "over its own" not in plots.description(plots.ease_by_level(drafts, high_hip=100, high_hip_depth=11))
    assert "over its own" not in plots.description(plots.ease_by_level(drafts[1:] * 2))


@pytest.mark.parametrize("title", [True, False])
def test_titles_fit_the_column_of_a_journal(title: bool) -> None:
    with plt.rc_context({"font.size": 8, "figure.figsize": (3.5, 2.6)}):
        ax = plots.ellipses(DRAFTS[2], kirtle.StandardErrors.iso_20685(), title=title)
        figure_of(ax).canvas.draw()
        box = ax.title.get_window_extent()
        assert bool(ax.get_title()) is title and "another number of darts" in plots.description(ax)
        assert not title or float(ax.title.get_fontsize()) >= 6.7 and 0 <= box.x0 < box.x1 <= figure_of(ax).bbox.width


def test_the_marks_of_a_map_show_where_the_number_of_darts_changes() -> None:
    ax = plots.intake_map(BODY, waist_ease=(-2, 8), hip_ease=(-2, 10), of="front", steps=20, marks=MARKS)
    ticks = [np.asarray(line.get_xydata()).tolist()[0] for line in ax.lines if line.get_marker() == "_"]
    for waist, hip in ticks:
        counts = [len(kirtle.draft(BODY, ease=kirtle.Ease(waist=waist, hip=hip + by)).front.darts) for by in (-1e-6, 1e-6)]
        assert counts == [1, 2]
    assert len(ticks) == 2 and "before: one dart at a hip ease of 3 cm; the number changes at 4.09 cm." in plots.description(ax)


def test_small_multiples_share_scale_and_legend() -> None:
    axes = plots.small_multiples(SIZES[:2])
    figure = figure_of(axes[0])
    assert len({(ax.get_xlim(), ax.get_ylim()) for ax in axes}) == 1 and len(figure.legends) == 1 and not any(ax.get_legend() for ax in axes)
    assert axes[0].get_title() == "Waist 68, hip 92, hip depth 19.9 cm"
    assert figure.legends[0].get_title().get_text() == "Waist ease 1.5, hip ease 5 cm"
    profiles = plots.small_multiples(SIZES[:2], plots.ease_by_level, labels=["36", "40"], high_hip=100, high_hip_depth=10)
    assert [ax.get_title() for ax in profiles] == ["36", "40"]
    assert {ax.name for ax in plots.small_multiples(SIZES[:2], plots.ease_around)} == {"3d"}
    labels = {ax.get_xlabel() for ax in plots.small_multiples(DRAFTS[::3], plots.sensitivity, quantity="back.darts[0].intake", count=5)}
    assert len(labels) == 2 and all("other inputs:\nat most" in label for label in labels)
    with pytest.raises(ValueError, match="labels: 1 labels are given for 4 items"):
        plots.small_multiples(SIZES, labels=["36"])


@pytest.mark.parametrize("columns", [2, 3])
def test_small_multiples_write_every_length_in_every_panel_and_no_title_meets_another(columns: int) -> None:
    axes = plots.small_multiples(SIZES, columns=columns)
    figure_of(axes[0])
    assert all(len(ax.texts) == len(axes[0].texts) and all(text.get_visible() for text in ax.texts) for ax in axes)
    boxes = [ax.title.get_window_extent() for ax in axes]
    assert not any(one.overlaps(other) for k, one in enumerate(boxes) for other in boxes[:k])


def test_legends_and_titles_name_figures_and_rules_that_differ() -> None:
    balanced = [kirtle.draft(BODY, ease=DRAFTS[0].ease, rules=kirtle.Rules(balance=balance)) for balance in (0, 1)]

    def given(length: float) -> list[kirtle.Draft]:
        darts = kirtle.Darts(back=[kirtle.GivenDart(intake=3, length=length, place=0.5)], front=[])
        return [kirtle.draft(BODY, ease=DRAFTS[0].ease, rules=kirtle.Rules(darts=darts))]

    slanted, many = (
        kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=0), rules=rules)
        for rules in (kirtle.Rules(centre_back_in=1.5), kirtle.Rules(shares=kirtle.Shares(back_darts=3, front_darts=3)))
    )
    corrected = DRAFTS[:1] + [kirtle.Fitting(DRAFTS[0]).correct({"what": "waist", "by": -2, "at": at}).draft for at in ("side", "darts")]
    by_rules = [DRAFTS[0], *given(13), slanted, many]
    for drafts, labels in (
        (balanced, ["balance 0 cm", "balance 1 cm"]),
        ([DRAFTS[0], WITH_FIGURE], ["hip ease 0 cm, without a figure", "hip ease 5 cm, front length 100 cm, side length 101 cm"]),
        (by_rules, ["default rules", "darts given", "centre back in 1.5 cm", "back darts 3, front darts 3"]),
        (by_rules[1:2] + given(11), ["draft 1", "draft 2"]),
        (corrected, ["waist ease 1.5 cm, default rules", "draft 2: waist ease −0.5 cm, darts given", "draft 3: waist ease −0.5 cm, darts given"]),
        ([WITH_FIGURE.vary({"body.figure.front_length": length}) for length in (100, 101)], ["front length 100 cm", "front length 101 cm"]),
    ):
        legend = plots.overlay(drafts).get_legend()
        assert legend and [text.get_text() for text in legend.get_texts()] == labels
    title = plots.draft(WITH_FIGURE).get_title().replace("\n", " ")
    assert title == "Waist 74, hip 101, waist ease 1.5, hip ease 5 cm, with a figure"
    assert plots.draft(balanced[0]).get_title().replace("\n", " ").endswith("cm, balance 0 cm")


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_units_are_those_asked_for(unit: str) -> None:
    shown: Sequence[Axes] = [
        plots.ease_by_level(DRAFTS[0], unit=unit), plots.closed_darts(DRAFTS[0], unit=unit), plots.ease_around(DRAFTS[0], unit=unit),
        plots.sensitivity(DRAFTS[0], "side_seam", unit=unit), plots.overlay(DRAFTS, unit=unit),
    ]
    for ax in shown:
        label = ax.get_zlabel() if ax.name == "3d" else ax.get_xlabel()  # type: ignore[attr-defined]
        assert f"({unit})" in label and f" {unit}" in ax.get_title()
    with pytest.raises(kirtle.InputError, match='unit: "in" is given, but the lengths of the result are in cm'):
        plots.ease_by_level(DRAFTS[0].ease_by_level(), unit="in")


IN_INCHES: dict[str, Callable[[], Axes]] = {
    "draft": lambda: plots.draft(DRAFTS[3], unit="in"),
    "overlay": lambda: plots.overlay(DRAFTS, half="back", down_to="hip", unit="in"),
    "ease by level": lambda: plots.ease_by_level(DRAFTS[3], unit="in"),
    "map": lambda: plots.intake_map(BODY, waist_ease=(0, 3), hip_ease=(0, 5), of="front", steps=30, unit="in"),
    "narrow map": lambda: plots.intake_map(BODY, waist_ease=(0.25, 0.75), hip_ease=(1, 1.5), of="back", steps=30, unit="in"),
    "people": lambda: plots.population(kirtle.simulate(400, seed=5, unit="in"), unit="in"),
}


@pytest.mark.parametrize("size", [(6.4, 4.8), (3.2, 2.6), (12, 9)])
@pytest.mark.parametrize("name", IN_INCHES)
def test_ticks_and_texts_in_inches_are_fractions(name: str, size: tuple[float, float]) -> None:
    with plt.rc_context({"figure.figsize": size}):
        ax = IN_INCHES[name]()
        ax.figure.canvas.draw()
    for axis in (ax.xaxis, ax.yaxis):
        low, high = sorted(axis.get_view_interval())
        shown = [(place, label) for place, label in zip(axis.get_majorticklocs(), axis.get_majorticklabels(), strict=True) if low <= place <= high]
        assert len(shown) >= 2 and all(re.fullmatch(r"[+−]?(\d+|\d+/(2|4|8|16)|\d+ \d+/(2|4|8|16))", label.get_text()) for _, label in shown)
        boxes = [label.get_window_extent() for _, label in shown]
        assert not any(box.overlaps(other) for k, box in enumerate(boxes) for other in boxes[:k])
    words = " ".join([*(text.get_text() for text in ax.texts), ax.get_title(), plots.description(ax)])
    assert not re.search(r"\d\.\d", words), words


REFUSED: dict[str, Callable[[], object]] = {
    "exaggerate: 0.5 is below the minimum of 1": lambda: plots.overlay(DRAFTS, exaggerate=0.5),
    "exaggerate: 21 is above the maximum of 20": lambda: plots.overlay(DRAFTS, exaggerate=21),
    'heights: "hem" is not "hip" or "waist"': lambda: plots.overlay(DRAFTS, heights="hem"),
    'down_to: "waist" is not "hem" or "hip"': lambda: plots.overlay(DRAFTS, down_to="waist"),
    'half: "left" is not "back", "front" or "both"': lambda: plots.closed_darts(DRAFTS[0], half="left"),
    "enlarge: nan is below the minimum of 1": lambda: plots.ease_around(DRAFTS[0], enlarge=float("nan")),
    "source: 0 is below the minimum of 1": lambda: plots.ease_by_level([]),
    "items: 0 is below the minimum of 1": lambda: plots.small_multiples([]),
    'unit: "mm" is not "cm" or "in"': lambda: plots.overlay(DRAFTS, unit="mm"),
    "reach: 7 is above the maximum of 6": lambda: plots.unmeasured_figure(DRAFTS[0], reach=7),
    "source: the body has a figure; give a draft of the body without it": lambda: plots.unmeasured_figure(WITH_FIGURE),
}


@pytest.mark.parametrize("message", REFUSED)
def test_invalid_arguments_are_refused_before_anything_is_drawn(message: str) -> None:
    with pytest.raises(kirtle.InputError) as caught:
        REFUSED[message]()
    assert str(caught.value) == message and caught.value.problems[0].field == message.split(":")[0] and not plt.get_fignums()


def test_axes_that_are_flat_cannot_show_a_body_in_space() -> None:
    with pytest.raises(ValueError, match="ax: these axes are flat"):
        plots.ease_around(DRAFTS[0], ax=plt.figure().add_subplot())


def test_a_saved_plot_says_what_it_shows(tmp_path: Path) -> None:
    ax = plots.ease_by_level(DRAFTS[3])
    paths = [tmp_path / f"plot.{kind}" for kind in ("png", "svg", "pdf")]
    for path in paths:
        plots.save(ax, path)
        first = path.read_bytes()
        plots.save(plots.ease_by_level(DRAFTS[3]), path)
        assert path.read_bytes() == first, path.suffix
    assert b"/Type3" not in first and b"/CIDFontType2" in first
    plots.save(plots.small_multiples(DRAFTS[:2]), tmp_path / "two.svg")
    assert Image.open(paths[0]).info["Description"] == plots.description(ax)
    for path in paths[1:]:
        assert b"Ease from the waist to below the hip line. Waist 74, hip 101," in path.read_bytes()


@pytest.mark.parametrize(("name", "plot"), [("closed-darts", "closed darts"), ("overlay", "zoomed overlay"), ("ease-around", "ease around")])
def test_the_pictures_of_the_page_are_these_plots(name: str, plot: str, tmp_path: Path) -> None:
    assert matches_picture(PLOTS[plot](), TESTS / "golden" / f"{name}.png", tmp_path / "new.png")
