"""Map of the dart intake over the ease at waist and hip."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.patches import Patch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.ticker import MaxNLocator

from .._kirtle import Body, Draft, Ease, Rules, draft_table
from .._kirtle import draft as draft_body
from ..words import COUNT_WORDS, body_rules_and_unit, body_text, figure_numbers, given_number
from .axes import Floats, axes_of, check_choice, check_finite, check_range, fit_texts, inch_ticks, label_lengths, line_width, mark_size, palette, per_cm
from .axes import set_limits, write_head, write_near

SMOOTHING_NEIGHBOURS = 12
"""Number of neighbours on each side in the moving average of a border line."""

Bounds = tuple[float, float]
"""Minimum and maximum ease, in the unit of the call."""


def intake_map(
    body: Body | Draft, *, waist_ease: Bounds, hip_ease: Bounds, of: str = "back", steps: int = 200,
    marks: Mapping[str, Ease] | None = None, rules: Rules | None = None, unit: str | None = None, title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot the dart intake of a panel over waist ease and hip ease, with the lines at which the number of darts changes.

    `waist_ease` and `hip_ease` are each a minimum and a maximum in `unit`, by default that of the body. `of` is the panel, ``back`` or ``front``. The map has
    `steps` × `steps` drafts. The area of values that cannot be drafted is hatched. `marks` are labelled points; above or below each,
    a tick has the hip ease at which the number of darts changes for its waist ease, as `Draft.seek` finds it.
    """
    body, rules, unit = body_rules_and_unit(body, rules, unit)
    check_choice("of", of, ("back", "front"))
    check_range("steps", steps, 10)
    waist, hip = ease_steps("waist_ease", waist_ease, steps, unit), ease_steps("hip_ease", hip_ease, steps, unit)
    counts, intake = draft_grid(body, waist, hip, of, rules, unit)
    ax = axes_of(ax)
    set_limits(ax, "x", waist[0], waist[-1])
    set_limits(ax, "y", hip[0], hip[-1])
    label_lengths(ax, unit, x="waist ease", y="hip ease")
    handles = shade_regions(ax, waist, hip, counts)
    limits = draw_marks(ax, body, marks or {}, of, rules, unit)
    contour_texts = draw_contours(ax, waist, hip, counts, intake, unit)
    names = name_regions(ax, waist, hip, counts, [ease_in_unit(ease, unit) for ease in (marks or {}).values()])
    found = sorted({int(count) for count in np.unique(counts[~np.isnan(counts)])})
    text = f"Dart intake of half the {of} over waist ease and hip ease for a body of {body_text(body, unit, rules)}: "
    text += " or ".join(COUNT_WORDS[count] for count in found) + "." + "".join(f" {limit}." for limit in limits)
    write_head(ax, f"Dart intake of half the {of} ({unit}): {body_text(body, unit, rules)}", text, handles=handles, title=title)
    for k, one in enumerate(texts := [*(one for one in ax.texts if one.get_gid() == "mark"), *names, *contour_texts]):
        one.set_gid(f"label {k}")
    if texts:
        fit_texts(ax, texts)
    return ax


def ease_in_unit(ease: Ease, unit: str) -> tuple[float, float]:
    """Return waist ease and hip ease in `unit`."""
    return ease.waist * per_cm(unit), ease.hip * per_cm(unit)


def draw_marks(ax: Axes, body: Body, marks: Mapping[str, Ease], of: str, rules: Rules | None, unit: str) -> list[str]:
    """Draw labelled marks, each with ticks where the number of darts changes; return the changes in words."""
    colours, limits = palette(ax), []
    low, high = sorted(ax.get_ylim())
    for name, ease in marks.items():
        x, y = ease_in_unit(ease, unit)
        ax.plot(x, y, "o", color=colours.ink, markerfacecolor=colours.paper, markersize=mark_size(1), zorder=6)
        look: dict[str, Any] = {"va": "center", "path_effects": colours.halo, "zorder": 6, "gid": "mark"}
        write_near(ax, name, (x, y), (-6, 0), ha="right", **look)
        drafted = draft_body(body, ease=ease, rules=rules)
        count = len(getattr(drafted, of).darts)
        for limit in drafted.seek("ease.hip", f"{of}.darts", count, unit=unit).interval:
            if low < limit < high:
                ax.plot([x, x], [y, limit], ":", color=colours.ink, linewidth=line_width(0.7), zorder=5)
                ax.plot(x, limit, "_", color=colours.dart, markersize=mark_size(2), markeredgewidth=line_width(1.2), zorder=6)
                write_near(ax, f"{given_number(limit, unit)} {unit}", (x, limit), (8, 0), **look)
                limits.append(f"{name}: {COUNT_WORDS[count]} at a hip ease of {given_number(y, unit)} {unit}; the number changes at {given_number(limit, unit)} {unit}")
    return limits


def ease_steps(field: str, bounds: Bounds, steps: int, unit: str) -> Floats:
    """Return `steps` equally spaced values of an ease from the minimum to the maximum; refuse bounds less than 0.1 apart."""
    low, high = (check_finite(f"{field}.{name}", value, unit) for name, value in zip(("minimum", "maximum"), bounds, strict=True))
    check_range(f"{field}.maximum", high, low + 0.1, unit=unit)
    return np.linspace(low, high, steps)


def draft_grid(body: Body, waist: Floats, hip: Floats, of: str, rules: Rules | None, unit: str) -> tuple[Floats, Floats]:
    """Draft every pair of waist ease and hip ease; return arrays, with a row for each hip ease, of a panel's number of darts and their total intake.

    Both have NaN where nothing can be drafted.
    """
    ease = pa.table({"waist": np.tile(waist, len(hip)), "hip": np.repeat(hip, len(waist))})
    columns: dict[str, object] = {"ease.waist": "waist", "ease.hip": "hip"}
    columns |= {name: getattr(body, name) * per_cm(unit) for name in ("waist", "hip", "hip_depth", "length")}
    columns |= {f"figure.{name}": measured * per_cm(unit) for name, measured in figure_numbers(body.figure).items()}
    table = pa.table(draft_table(ease, columns=columns, rules=rules, unit=unit))
    counts, intake = (np.asarray(table[name].to_numpy(), float).reshape(len(hip), len(waist)) for name in (f"{of}_darts", f"suppression_{of}"))
    return counts, intake


def shade_regions(ax: Axes, waist: Floats, hip: Floats, counts: Floats) -> list[Patch]:
    """Shade the regions of equal number of darts, draw the border lines, and hatch the area without drafts; return a legend for it."""
    colours = palette(ax)
    ax.pcolormesh(waist, hip, counts, shading="nearest", cmap=colours.shades, vmin=0, vmax=7, rasterized=True)
    undrafted, handles = np.isnan(counts), []
    if undrafted.any():
        hatched = ax.contourf(waist, hip, undrafted, levels=[0.5, 1.5], colors=[colours.paper], hatches=["////"])
        hatched.set_edgecolor(colours.guide)
        handles = [Patch(facecolor=colours.paper, edgecolor=colours.guide, hatch="////", label="cannot be drafted")]
    for number in range(1, 1 + int(np.nanmax(counts, initial=0))):
        has_number = np.where(undrafted, np.nan, counts >= number)
        if np.nanmin(has_number) < np.nanmax(has_number):
            smooth_border(ax.contour(waist, hip, has_number, levels=[0.5], colors=[colours.ink], linewidths=line_width(4 / 3)))
    return handles


def smooth_border(line: ContourSet) -> None:
    """Smooth a border line in place; without smoothing, the line is a staircase along the grid cells."""
    smooth = []
    for path in line.get_paths():
        path.should_simplify = False
        smooth += [Path(moving_average(np.asarray(polygon, float))) for polygon in path.to_polygons(closed_only=False)]
    line.set_paths([Path.make_compound_path(*smooth)])


def moving_average(points: Floats) -> Floats:
    """Return a line with each point replaced by the mean of a window centred on the point; the ends stay."""
    index = np.arange(len(points))
    radius = np.minimum(np.minimum(index, index[::-1]), SMOOTHING_NEIGHBOURS)
    sums = np.vstack([np.zeros(2), np.cumsum(points, axis=0)])
    means: Floats = (sums[index + radius + 1] - sums[index - radius]) / (2 * radius + 1)[:, None]
    return means


def draw_contours(ax: Axes, waist: Floats, hip: Floats, counts: Floats, intake: Floats, unit: str) -> list[Text]:
    """Draw lines of equal dart intake, labelled with the intake in `unit`, in the regions with darts."""
    dart_intake = np.where(counts > 0, intake, np.nan)
    if np.isnan(dart_intake).all() or np.nanmax(dart_intake) - np.nanmin(dart_intake) < 1e-9:
        return []
    low, high = np.nanmin(dart_intake) + 1e-6, np.nanmax(dart_intake) - 1e-6
    ticks = inch_ticks(low, high, 8) if unit == "in" else MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(low, high)
    levels = [level for level in ticks if low < level < high]
    obstacles = [line.get_xydata() for line in ax.lines] + [path.vertices for one in ax.collections if isinstance(one, ContourSet) for path in one.get_paths()]
    lines = ax.contour(waist, hip, dart_intake, levels=levels, colors=[palette(ax).ink], linewidths=line_width(0.5), linestyles="--")
    texts = ax.clabel(lines, fmt=lambda level: f"{given_number(level, unit)} {unit}", fontsize="small", manual=label_positions(lines, np.vstack([*obstacles, np.empty((0, 2))])), inline_spacing=3) or []
    for text in texts:
        text.set(color=palette(ax).ink, path_effects=palette(ax).halo)
    return list(texts)


def label_positions(lines: ContourSet, obstacles: Floats) -> list[tuple[float, float]]:
    """Return at most one label position for each line: near one diagonal across the map, away from the edges and from marks and borders."""
    (left, right), (low, high) = lines.axes.get_xlim(), lines.axes.get_ylim()
    positions = []
    for path in lines.get_paths():
        points = np.asarray(path.vertices, float)
        shares, others = ((one - [left, low]) / [right - left, high - low] for one in (points, obstacles))
        distances = np.linalg.norm(shares[:, None] - others, axis=2).min(axis=1, initial=1)
        inside = np.flatnonzero(np.all((shares > 0.06) & (shares < 0.94), axis=1) & (distances > 0.07))
        if len(inside):
            nearest = inside[np.argmin(abs(shares[inside].sum(axis=1) - 0.75))]
            positions.append((float(points[nearest, 0]), float(points[nearest, 1])))
    return positions


def name_regions(ax: Axes, waist: Floats, hip: Floats, counts: Floats, marks: list[tuple[float, float]]) -> list[Text]:
    """Write the number of darts near the middle of each region, away from marks; regions below 3% of the map stay unlabelled."""
    size = [len(waist) / (waist[-1] - waist[0]), len(hip) / (hip[-1] - hip[0])]
    texts = []
    for number in range(1 + int(np.nanmax(counts, initial=0))):
        rows, columns = np.nonzero(counts == number)
        if len(rows) < 0.03 * counts.size:
            continue
        distance = np.hypot(rows - rows.mean(), columns - columns.mean())
        for x, y in marks:
            near = np.hypot(columns - (x - waist[0]) * size[0], 2 * (rows - (y - hip[0]) * size[1]))
            distance += np.where(near < 0.35 * len(waist), len(waist), 0)
        nearest = np.argmin(distance)
        texts.append(ax.text(
            waist[columns[nearest]], hip[rows[nearest]], COUNT_WORDS[number], ha="center", va="center", weight="bold",
            path_effects=palette(ax).halo, zorder=5,
        ))
    return texts
