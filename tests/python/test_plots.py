"""Plots show Kirtle's numbers, with units, and refuse wrong input."""

import doctest
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path as FilePath
from typing import Any

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.dataset as ds
import pyarrow.parquet as pq
import pytest
from conftest import TESTS

mpl.use("Agg")

from matplotlib import pyplot as plt  # noqa: E402
from matplotlib.axes import Axes  # noqa: E402
from matplotlib.collections import PathCollection, QuadMesh  # noqa: E402
from matplotlib.contour import ContourSet  # noqa: E402
from matplotlib.patches import PathPatch, Rectangle  # noqa: E402
from matplotlib.path import Path  # noqa: E402
from pictures import matches_picture  # noqa: E402

import kirtle  # noqa: E402
from kirtle import plots, widget  # noqa: E402
from kirtle import format_length  # noqa: E402

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
CHART = kirtle.SizeChart.demo()
PICTURE = TESTS / "golden" / "intake-map.png"
PEOPLE = kirtle.simulate(12_000, seed=5)


@pytest.fixture(autouse=True)
def close_figures() -> Iterator[None]:
    yield
    plt.close("all")


@pytest.fixture(scope="module")
def fit() -> kirtle.ChartFit:
    return kirtle.fit_chart(CHART, PEOPLE, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=3)


def outlines(ax: Axes) -> list[Path]:
    """Returns the paths of the panels drawn on the axes."""
    return [patch.get_path() for patch in ax.patches if isinstance(patch, PathPatch)]


def rendered(ax: Axes) -> Axes:
    """Renders the figure, as some errors appear only then, and checks that both axes have a label."""
    ax.get_figure(root=True).canvas.draw()  # type: ignore[union-attr]
    assert ax.get_xlabel() and ax.get_ylabel()
    return ax


def texts(ax: Axes) -> set[str]:
    """Returns the texts written on the axes."""
    return {text.get_text() for text in ax.texts}


@pytest.mark.parametrize(("unit", "scale"), [("cm", 1.0), ("in", 1 / 2.54)])
def test_a_draft_is_drawn_at_its_size(draft: kirtle.Draft, unit: str, scale: float) -> None:
    ax = rendered(plots.draft(draft, unit=unit))
    assert ax.get_xlabel() == f"from the centre ({unit})" and ax.get_ylabel() == f"below the waist ({unit})"
    for path, panel in zip(outlines(ax), (draft.back, draft.front), strict=True):
        box = path.get_extents()
        # The waist at the side, at level 0, is the top of the panel; the hem is its bottom.
        assert (box.width, box.y1) == pytest.approx((panel.width * scale, draft.body.length * scale))
        assert box.y0 == pytest.approx(0, abs=1e-9)
        assert len(np.asarray(path.vertices)) == 2 + sum(len(edge.points) - 1 for edge in panel.edges)
        curves = [edge for edge in panel.edges if len(edge.points) == 4]
        assert np.sum(np.asarray(path.codes) == Path.CURVE4) == 3 * len(curves) > 0
    assert f"hip {format_length(draft.back.width * scale, unit)} {unit}" in texts(ax)
    assert f"side seam {format_length(draft.front.seams.side * scale, unit)} {unit}" in texts(ax)
    top, bottom = ax.get_ylim()
    assert top > bottom and ax.get_aspect() == 1


def test_the_front_is_mirrored_and_ticks_count_from_each_centre(draft: kirtle.Draft) -> None:
    ax = rendered(plots.draft(draft))
    back, front = (path.get_extents() for path in outlines(ax))
    assert back.x0 == 0 and front.x0 > back.x1
    values = {text.get_position()[0]: float(text.get_text()) for text in ax.get_xticklabels()}
    assert values[0.0] == values[front.x1] == 0 and values[10.0] == values[front.x1 - 10] == 10


@pytest.mark.parametrize("half", ["back", "front"])
def test_overlaid_drafts_are_aligned_at_centre_and_hip_line(half: str) -> None:
    drafts = [kirtle.draft(CHART[name], ease=kirtle.Ease(waist=1.5, hip=5)) for name in ("36", "42", "48")]
    ax = rendered(plots.overlay(drafts, labels=["36", "42", "48"], half=half))
    assert ax.get_ylabel() == "height from the hip line (cm)"
    for path, draft in zip(outlines(ax), drafts, strict=True):
        box, panel = path.get_extents(), getattr(draft, half)
        assert box.x0 == 0 and box.x1 == pytest.approx(panel.width)
        assert (box.y0, box.y1) == pytest.approx((-draft.body.hip_depth, draft.body.length - draft.body.hip_depth))
    legend = ax.get_legend()
    assert legend and [text.get_text() for text in legend.get_texts()] == ["36", "42", "48"]
    # Line style and marker distinguish the drafts in grey print.
    styles = {str(patch.get_linestyle()) for patch in ax.patches}
    assert len(styles) == len({line.get_marker() for line in legend.get_lines()}) == 3


def test_an_overlay_holds_drafts_with_straight_and_slanted_centres(draft: kirtle.Draft) -> None:
    slanted = kirtle.Fitting(draft).correct({"what": "waist", "by": -1, "at": "centre_back"}).draft
    for drafts in ([draft, slanted], [slanted, draft]):
        ax = rendered(plots.overlay(drafts, exaggerate=4))
        assert len(ax.patches) == 4


def test_the_overlay_of_both_halves_has_four_outlines(draft: kirtle.Draft) -> None:
    assert len(outlines(rendered(plots.overlay([draft, draft])))) == 4


def dart_counts(ax: Axes, steps: int) -> npt.NDArray[np.float64]:
    """Returns the number of darts shown in each cell of a map of `steps` × `steps` cells; NaN where a cell is blank."""
    (mesh,) = [one for one in ax.collections if isinstance(one, QuadMesh)]
    counts: Any = np.ma.array(mesh.get_array(), dtype=float).filled(np.nan)
    return np.asarray(counts, float).reshape(steps, steps)


@pytest.mark.parametrize("of", ["back", "front"])
def test_the_map_shows_the_dart_count_of_each_draft(of: str) -> None:
    ax = rendered(plots.intake_map(BODY, waist_ease=(-2, 38), hip_ease=(-9, 21), of=of, steps=60))
    counts = dart_counts(ax, 60)
    rng = np.random.default_rng(1)
    for row, column in rng.integers(0, 60, (150, 2)):
        ease = kirtle.Ease(waist=np.linspace(-2, 38, 60)[column], hip=np.linspace(-9, 21, 60)[row])
        assert counts[row, column] == len(getattr(kirtle.draft(BODY, ease=ease), of).darts)
    assert {"no dart", "one dart", "two darts"} <= texts(ax) and ax.get_xlabel() == "waist ease (cm)"
    assert any(text.endswith(" cm") for text in texts(ax))


def test_the_line_of_the_map_separates_one_dart_from_two() -> None:
    """Below the line, by 0.15 cm of hip ease, drafts have one back dart; above the line, two."""
    ax = plots.intake_map(BODY, waist_ease=(0, 10), hip_ease=(-4, 8), steps=100)
    (line,) = [one for one in ax.collections if isinstance(one, ContourSet) and np.max(one.get_linewidth()) == 2]
    points = np.vstack([np.asarray(path.vertices) for path in line.get_paths()])
    for waist, hip in points[5:-5:7]:
        counts = [len(kirtle.draft(BODY, ease=kirtle.Ease(waist=waist, hip=hip + by)).back.darts) for by in (-0.15, 0.15)]
        assert counts == [1, 2]


def test_cells_that_cannot_be_drafted_are_blank_and_hatched() -> None:
    ax = rendered(plots.intake_map(BODY, waist_ease=(-14, 6), hip_ease=(0, 10), steps=41))
    blank = np.isnan(dart_counts(ax, 41))
    assert blank[:, :8].all() and not blank[:, 8:].any()
    legend = ax.get_legend()
    assert legend and [text.get_text() for text in legend.get_texts()] == ["cannot be drafted"]


def test_maps_in_inches_and_centimetres_show_the_same_counts() -> None:
    maps = []
    for unit, scale in (("cm", 2.54), ("in", 1.0)):
        ax = plots.intake_map(BODY, waist_ease=(0, 4 * scale), hip_ease=(-2 * scale, 3 * scale), steps=30, unit=unit)
        maps.append(dart_counts(ax, 30))
    assert (maps[0] == maps[1]).all() and ax.get_ylabel() == "hip ease (in)"
    body = kirtle.Body(waist=29, hip=40, hip_depth=8, length=24, unit="in")
    for source in (body, kirtle.draft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))):
        assert plots.intake_map(source, waist_ease=(0, 2), hip_ease=(0, 4), steps=10).get_ylabel() == "hip ease (in)"


def test_no_label_of_a_map_lies_on_a_mark_or_on_a_border() -> None:
    marks = {"A": kirtle.Ease(waist=1, hip=4), "B": kirtle.Ease(waist=2, hip=6)}
    ax = rendered(plots.intake_map(BODY, waist_ease=(-2, 8), hip_ease=(-2, 10), of="front", marks=marks))
    assert "2.5 cm" in texts(ax) and "3 cm" not in texts(ax)


def test_the_map_of_a_body_with_a_figure_is_that_of_its_drafts() -> None:
    body = kirtle.Body(waist=BODY.waist, hip=BODY.hip, hip_depth=BODY.hip_depth, length=BODY.length, figure=kirtle.Figure(front_waist=BODY.waist * 0.53))
    counts = dart_counts(plots.intake_map(body, waist_ease=(0, 4), hip_ease=(-2, 7), of="front", steps=10), 10)
    eases = ((waist, hip) for hip in np.linspace(-2, 7, 10) for waist in np.linspace(0, 4, 10))
    drafts = [kirtle.draft(body, ease=kirtle.Ease(waist=waist, hip=hip)) for waist, hip in eases]
    assert [len(draft.front.darts) for draft in drafts] == counts.ravel().tolist()


def test_given_darts_make_the_map_uniform() -> None:
    dart = kirtle.GivenDart(intake=2, length=12, place=0.5)
    rules = kirtle.Rules(darts=kirtle.Darts(back=[dart], front=[]))
    ax = rendered(plots.intake_map(BODY, waist_ease=(0, 4), hip_ease=(2, 8), rules=rules))
    assert "rules" in ax.get_title() or "darts given" in ax.get_title()
    assert texts(ax) == {"one dart"}


def test_many_people_are_thinned_out_and_the_legend_gives_the_numbers(fit: kirtle.ChartFit) -> None:
    ax = rendered(plots.population(PEOPLE, chart=CHART, fit=fit))
    points = [one for one in ax.collections if isinstance(one, PathCollection)]
    counts = [len(np.asarray(one.get_offsets())) for one in points[:2]]
    assert sum(counts) == 4_000 and ax.get_xlabel() == "waist (cm)"
    legend = ax.get_legend()
    assert legend
    served = f"served ({fit.served:,} of 11,999 people, 1 not measured; 4,000 shown)"
    marks = [handle.get_sizes().max() for handle in legend.legend_handles if isinstance(handle, PathCollection)]
    assert min(marks) > 4 * points[0].get_sizes().max() and len(points[2].get_facecolor()) == 0  # Squares hide nobody.
    assert legend and served in [text.get_text() for text in legend.get_texts()]
    assert np.asarray(points[2].get_offsets()).tolist() == [[CHART[name].waist, CHART[name].hip] for name in CHART.names]
    assert texts(ax) == set(CHART.names)


def test_few_people_are_all_shown_at_their_waist_and_hip() -> None:
    people = pd.DataFrame({"W": [28.0, 30.0, None], "hip": [38, 40, 41]})
    best = kirtle.best_chart(people, 1, columns={"waist": "W"}, unit="in")
    ax = rendered(plots.population(people, chart=best, columns={"waist": "W"}, unit="in"))
    points, sizes = (np.asarray(one.get_offsets()) for one in ax.collections if isinstance(one, PathCollection))
    assert points.tolist() == [[28, 38], [30, 40]] and sizes == pytest.approx(np.array([[29, 39]]))
    assert ax.get_ylabel() == "hip (in)"


def test_people_are_plotted_in_the_unit_of_their_fit() -> None:
    people = pd.DataFrame({"waist": [720.0, 860.0], "hip": [960.0, 1040.0]})
    fit = kirtle.fit_chart(CHART, people, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=20, unit="mm")
    ax = rendered(plots.population(people, chart=CHART, fit=fit))
    sizes = [np.asarray(one.get_offsets()) for one in ax.collections if isinstance(one, PathCollection)][-1]
    assert ax.get_xlabel() == "waist (mm)" and sizes.tolist() == [[10 * CHART[name].waist, 10 * CHART[name].hip] for name in CHART.names]
    with pytest.raises(kirtle.InputError, match='unit: "cm" is not "mm"'):
        plots.population(people, fit=fit, unit="cm")


def test_people_who_are_not_measured_are_left_out_and_counted() -> None:
    people = pd.DataFrame({"waist": [72.0, 80, -9, 74], "hip": [98.0, 104, 96, 999]})
    fit = kirtle.fit_chart(CHART, people, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2)
    for one, note in ((None, "4 people"), (fit, f"{fit.served} of 2 people")):
        ax = rendered(plots.population(people, fit=one))
        assert sum(len(np.asarray(points.get_offsets())) for points in ax.collections) == 2
        assert f"{note.replace('4', '2')}, 2 not measured" in plots.description(ax)


def test_the_bars_show_people_served_and_not_served_by_size(fit: kirtle.ChartFit) -> None:
    ax = rendered(plots.chart_fit(fit))
    heights = [patch.get_height() for patch in ax.patches if isinstance(patch, Rectangle)]
    served, rest = heights[: len(CHART)], heights[len(CHART) :]
    assert served == [served for _, _, served in fit.loads] and rest == [count - served for _, count, served in fit.loads]
    assert f"({fit.share_served:.0%})" in ax.get_title()


def test_the_squares_are_centred_on_the_regions(fit: kirtle.ChartFit) -> None:
    ax = rendered(plots.regions(fit, step=5))
    squares = [patch for patch in ax.patches if isinstance(patch, Rectangle)]
    middles = [(one.get_x() + one.get_width() / 2, one.get_y() + one.get_height() / 2) for one in squares]
    assert middles == [pytest.approx((waist + 2.5, hip + 2.5)) for waist, hip, _, _ in fit.regions(5)] and ax.get_xlabel() == "waist (cm)"


@pytest.mark.parametrize(("unit", "step"), [("cm", 4), ("mm", 40), ("in", 1.5)])
def test_the_squares_have_a_round_side_in_every_unit_and_no_empty_square(unit: str, step: float) -> None:
    people = pa.table(kirtle.simulate(50, seed=1, unit=unit)).append_column("w", pa.array([0.0] * 25 + [0.4] * 25))
    fit = kirtle.fit_chart(CHART, people, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2, columns={"weight": "w"}, unit=unit)
    ax = rendered(plots.regions(fit))
    assert len(ax.patches) == sum(weight > 0 for _, _, weight, _ in fit.regions(step))
    (bar,) = ax.child_axes
    assert bar.get_window_extent().height == pytest.approx(ax.get_window_extent().height)


def test_the_costs_of_constraints_are_plotted_with_their_bounds() -> None:
    women = kirtle.simulate(200, seed=1)
    constraints: dict[str, dict[str, Any]] = {"free": {}, "even": {"grid": 2}, "two drops": {"drop": [14, 20]}}
    charts = {label: kirtle.best_chart(women, 4, loss="within", tolerance=3, **given) for label, given in constraints.items()}
    ax = rendered(plots.constraint_costs(charts))
    assert [bar.get_path().get_extents(bar.get_patch_transform()).width for bar in ax.patches] == pytest.approx([100 - 100 * best.loss for best in charts.values()])
    assert [label.get_text() for label in ax.get_yticklabels()] == list(charts)
    assert charts["free"].loss <= charts["even"].loss <= charts["two drops"].loss


def test_best_charts_are_plotted_with_their_bounds() -> None:
    people = kirtle.simulate(1_000, seed=5)
    charts = [kirtle.best_chart(people, sizes, restarts=2) for sizes in (1, 2, 4)]
    ax = rendered(plots.best_charts(charts))
    best, bound = (np.asarray(line.get_xydata()).tolist() for line in ax.lines)
    assert best == [[len(chart.sizes), chart.loss] for chart in charts]
    assert bound == [[len(chart.sizes), chart.bound] for chart in charts] and "cm²" in ax.get_ylabel()


def test_the_bars_of_a_marginal_are_weighted_shares() -> None:
    people = pd.DataFrame({"waist": [70.0, 71.0, 90.0, None, 999.0], "hip": [96.0, 96.0, 106.0, 99.0, 99.0], "w": [1.0, 2.0, 1.0, 5.0, 5.0]})
    best = kirtle.best_chart(people, 2, columns={"weight": "w"})
    for of, first, values in (("waist", 70.0, {70: 75, 90: 25}), ("hip", 96.0, {96: 75, 106: 25}), ("drop", 16.0, {16: 25, 24: 50, 26: 25})):
        ax = rendered(plots.marginal(people, of, columns={"weight": "w"}, chart=best))
        bars = {patch.get_x(): patch.get_height() for patch in ax.patches if isinstance(patch, Rectangle) and patch.get_height()}
        assert bars == pytest.approx(values) and min(bars) == first, of
        drops = [hip - waist for waist, hip, _ in best.sizes]
        lines = {"waist": best.sizes[0][0], "hip": best.sizes[0][1], "drop": min(drops)}
        assert min(float(np.ravel(line.get_xdata())[0]) for line in ax.lines) == pytest.approx(lines[of], abs=1e-6)
    assert "3 of 5 people. 5% have at most 16, half at most 25, 95% at most 26 cm" in plots.description(ax)
    in_mm = rendered(plots.marginal(people * 10, columns={"weight": "w"}, unit="mm"))
    assert len(in_mm.patches) == len(ax.patches) and in_mm.get_xlabel() == "drop (mm)"
    with pytest.raises(kirtle.InputError, match='of: "girth" is not "waist", "hip" or "drop"'):
        plots.marginal(people, "girth")


def test_counts_of_equal_sizes_do_not_overlap_in_a_marginal() -> None:
    drops = [25.4] * 5 + [26.0] * 3 + [26.7] * 2
    rows = "".join(f"{k},{60 + 4 * k},{60 + 4 * k + drop},20,60\n" for k, drop in enumerate(drops))
    ax = rendered(plots.marginal(PEOPLE, chart=kirtle.SizeChart.from_csv(f"name,waist,hip,hip_depth,length\n{rows}")))
    counts = [text for text in ax.texts if text.get_text().startswith("×")]
    boxes = [text.get_window_extent() for text in counts]
    assert [text.get_text() for text in counts] == ["×5", "×3", "×2"]
    assert not any(one.overlaps(other) for k, one in enumerate(boxes) for other in boxes[:k])


def test_a_share_by_weight_is_labelled() -> None:
    people = pa.table(kirtle.simulate(60, seed=1)).append_column("w", pa.array([1.0, 2.0] * 30)).append_column("by", pa.array(["A", "B"] * 30))
    for columns in ({"weight": "w"}, None):
        options: dict[str, Any] = {"tolerance": 3, "columns": columns}
        best = kirtle.best_chart(people, 2, loss="within", certify=False, **options)
        fit = kirtle.fit_chart(CHART, people, ease=kirtle.Ease(waist=1.5, hip=5), by="by", **options)
        labels = [
            plots.size_roll(best).get_ylabel(), plots.coverage([best]).get_ylabel(), plots.constraint_costs({"free": best}).get_xlabel(),
            plots.best_charts([best]).get_ylabel(), plots.served_by_group(fit).get_xlabel(), plots.marginal(people, columns=columns).get_ylabel(),
        ]
        assert all(("by weight" in label) == (columns is not None) for label in labels), labels


def test_people_served_and_not_served_differ_in_grey_and_boxes_are_named() -> None:
    women = kirtle.simulate(100, seed=1)
    one = kirtle.fit_chart(CHART, women, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2)
    for style in ("default", "grayscale"):
        with plt.style.context(style):
            ax = plots.population(women, chart=CHART, fit=one, tolerance=2)
        served, unserved, sizes = (one for one in ax.collections if isinstance(one, PathCollection))
        colours = [np.ravel(points.get_facecolor())[:3] for points in (served, unserved)]
        lightness = [float(colour @ [0.2126, 0.7152, 0.0722]) for colour in colours]
        assert lightness[1] - lightness[0] > 0.1 and served.get_zorder() > unserved.get_zorder() and len(np.ravel(sizes.get_facecolor())) == 0
        legend = ax.get_legend()
        assert legend and "within 2 cm of a size" in [text.get_text() for text in legend.get_texts()]
        assert plots.description(ax).endswith("Boxes: within 2 cm of a size.")
        assert all(box.get_linestyle() != "-" for box in ax.patches)


def test_the_bars_of_a_size_roll_show_whom_the_size_serves() -> None:
    best = kirtle.best_chart(PEOPLE, 3, loss="within", tolerance=2, certify=False)
    ax = rendered(plots.size_roll(best))
    heights = [patch.get_height() for patch in ax.patches if isinstance(patch, Rectangle)]
    assert heights[:3] == pytest.approx([100 * share for share in best.served])
    assert np.add(heights[:3], heights[3:]) == pytest.approx([100 * share for _, _, share in best.sizes])
    assert len(rendered(plots.size_roll(kirtle.best_chart(PEOPLE, 3, certify=False))).patches) == 3


def test_plots_draw_on_the_axes_passed_to_them(draft: kirtle.Draft, body: kirtle.Body, fit: kirtle.ChartFit) -> None:
    figure, grid = plt.subplots(2, 2)
    (one, two), (three, four) = grid
    assert plots.draft(draft, ax=one) is one and plots.population(PEOPLE, ax=two) is two
    assert plots.intake_map(body, waist_ease=(0, 4), hip_ease=(2, 8), ax=three) is three
    assert plots.chart_fit(fit, ax=four) is four and plt.get_fignums() == [figure.number]


def test_invalid_arguments_are_refused(draft: kirtle.Draft, body: kirtle.Body, fit: kirtle.ChartFit) -> None:
    invalid: dict[str, Callable[[], Axes]] = {
        'unit: "mm" is not "cm" or "in"': lambda: plots.draft(draft, unit="mm"),
        'half: "left" is not "back", "front" or "both"': lambda: plots.overlay([draft], half="left"),
        "drafts: 0 is below the minimum of 1": lambda: plots.overlay([]),
        "waist_ease.maximum: 0 cm is below the minimum of 4.1 cm": lambda: plots.intake_map(body, waist_ease=(4, 0), hip_ease=(0, 5)),
        "hip_ease.maximum: nan is not finite; give a length in cm": lambda: plots.intake_map(body, waist_ease=(0, 4), hip_ease=(0, float("nan"))),
        "steps: 2 is below the minimum of 10": lambda: plots.intake_map(body, waist_ease=(0, 4), hip_ease=(0, 5), steps=2),
        'of: "hem" is not "back" or "front"': lambda: plots.intake_map(body, waist_ease=(0, 4), hip_ease=(0, 5), of="hem"),
        'people.hip: "hip" is not "waist" or "hips"': lambda: plots.population(pd.DataFrame({"waist": [70.0], "hips": [96.0]})),
        'charts: "mean sum of differences in waist and hip (cm)" is not "mean sum of squared': lambda: plots.best_charts(
            [kirtle.best_chart(PEOPLE, 1, loss=loss) for loss in ("squared", "absolute")]),
        'charts: "mean sum of differences in waist and hip (cm)" is not "mean sum of squared differences': lambda: plots.constraint_costs(
            {loss: kirtle.best_chart(PEOPLE, 1, loss=loss) for loss in ("squared", "absolute")}
        ),
        'charts: "squared" is not "within"': lambda: plots.coverage([kirtle.best_chart(PEOPLE, 1)]),
    }
    for message, call in invalid.items():
        with pytest.raises(kirtle.InputError) as caught:
            call()
        assert str(caught.value).startswith(message) and caught.value.problems[0].message == str(caught.value)
        assert caught.value.problems[0].field == message.split(":")[0]
    assert caught.value.to_json().startswith('{"problems": [{"code": "unknown_choice"')
    with pytest.raises(ValueError, match="1 labels are given for 2 drafts"):
        plots.overlay([draft, draft], labels=["one"])
    with pytest.raises(ValueError, match="fit: has 12,000 people, but the table has 3"):
        plots.population(kirtle.simulate(3), fit=fit)
    with pytest.raises(TypeError, match="list offers no Arrow stream"):
        plots.population([1, 2])
    with pytest.raises(TypeError, match=r"Path offers no Arrow stream; .*pyarrow.dataset.dataset\(path\)"):
        plots.population(FilePath("people.parquet"))


def test_the_people_of_a_dataset_are_plotted(tmp_path: FilePath) -> None:
    pq.write_table(pa.table(kirtle.simulate(50, seed=1)), tmp_path / "people.parquet")
    of_dataset, of_table = (plots.population(source) for source in (ds.dataset(tmp_path), kirtle.simulate(50, seed=1)))
    assert plots.description(of_dataset) == plots.description(of_table)


def test_kirtle_imports_without_matplotlib_and_plots_name_the_missing_package() -> None:
    code = """
import sys
import kirtle
assert not {"matplotlib", "pyarrow", "numpy"} & set(sys.modules)
sys.modules["matplotlib"] = None
try:
    import kirtle.plots
except ImportError as error:
    print(error)
"""
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    reason = "kirtle.plots requires matplotlib and pyarrow, but matplotlib is missing"
    assert printed == f"{reason}: pip install kirtle[plots]\n"


def test_the_readme_picture_is_the_intake_map(tmp_path: FilePath) -> None:
    ax = plots.intake_map(BODY, waist_ease=(-2, 26), hip_ease=(-2, 14), of="front")
    assert matches_picture(ax, PICTURE, tmp_path / "new.png")


def test_the_docstring_examples_of_plots_and_widget_run() -> None:
    for module in (plots, widget):
        assert doctest.testmod(module) == (0, 4 if module is plots else 10)


def test_boxes_lines_and_axes_of_many_people_and_groups_can_be_read() -> None:
    women, chart = kirtle.simulate(1500, seed=1), kirtle.SizeChart.demo()
    ease = kirtle.Ease(waist=1.5, hip=5)
    few, many = (plots.population(source, chart=chart, tolerance=2) for source in (kirtle.simulate(100), women))
    points: list[Any] = [few.collections[0], many.collections[0]]
    assert points[0].get_sizes()[0] > 2 * points[1].get_sizes()[0]
    assert all(box.get_zorder() > many.collections[0].get_zorder() for box in many.patches) and len(many.patches) == len(chart)
    table = pa.table(women).append_column("site", pa.array(["A", "B"] * 750))
    ax = plots.served_by_group(kirtle.fit_chart(chart, table, ease=ease, tolerance=2, by="site", bootstrap=20))
    legend = ax.get_legend()
    assert ax.get_xlim() == (0, 20) and legend is not None and [text.get_text() for text in legend.get_texts()][0] == "95% interval"
    sizes = chart.draft(ease=ease)
    ends = [np.asarray(line.get_ydata(), float)[[0, -1]].tolist() for line in plots.ease_by_level([sizes["32"], sizes["54"]]).lines]
    assert all([sizes[name].body.hip_depth] * 2 in ends for name in ("32", "54"))
