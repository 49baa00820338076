"""Map of the dart intake over the ease at waist and hip."""

import numpy as np
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.patches import Patch
from matplotlib.path import Path
from matplotlib.ticker import MaxNLocator

from .._kirtle import Body, DraftTable, Rules, draft_table
from .axes import GUIDE, HALO, INK, SHADES, Floats, at_least, axes_of, choice, finite, font_size, per_cm

REGION_NAMES = ("no dart", "one dart", "two darts", "three darts")
"""Labels of the regions of a map, by number of darts."""

SMOOTHING_NEIGHBOURS = 12
"""Number of neighbours on each side in the moving average of a border line."""

Bounds = tuple[float, float]
"""Minimum and maximum ease, in the unit of the call."""


def intake_map(
    body: Body, *, waist_ease: Bounds, hip_ease: Bounds, of: str = "back", steps: int = 200,
    rules: Rules | None = None, unit: str = "cm", ax: Axes | None = None,
) -> Axes:
    """Plot the dart intake of a panel over waist ease and hip ease, with the lines at which the number of darts changes.

    `waist_ease` and `hip_ease` are each a minimum and a maximum in `unit`. `of` is the panel, ``back`` or ``front``. The map has
    `steps` × `steps` drafts. The area of values that cannot be drafted is hatched.
    """
    choice("of", of, ("back", "front"))
    at_least("steps", steps, 10)
    waist, hip = ease_steps("waist_ease", waist_ease, steps, unit), ease_steps("hip_ease", hip_ease, steps, unit)
    counts, intake = counts_and_intake(draft_grid(body, waist, hip, rules, unit), of, steps)
    ax = axes_of(ax)
    ax.set(xlabel=f"waist ease ({unit})", ylabel=f"hip ease ({unit})", xlim=(waist[0], waist[-1]), ylim=(hip[0], hip[-1]))
    shade_regions(ax, waist, hip, counts)
    draw_contours(ax, waist, hip, counts, intake, unit)
    name_regions(ax, waist, hip, counts)
    ax.set_title(f"Dart intake of half the {of} ({unit})", fontsize=font_size(ax, largest=10))
    return ax


def ease_steps(field: str, bounds: Bounds, steps: int, unit: str) -> Floats:
    """Return `steps` equally spaced values of an ease from the minimum to the maximum; refuse bounds less than 0.1 apart."""
    low, high = (finite(f"{field}.{name}", value, unit) for name, value in zip(("minimum", "maximum"), bounds, strict=True))
    at_least(f"{field}.maximum", high, low + 0.1, unit)
    return np.linspace(low, high, steps)


def draft_grid(body: Body, waist: Floats, hip: Floats, rules: Rules | None, unit: str) -> DraftTable:
    """Draft every pair of waist ease and hip ease; the waist ease varies fastest."""
    ease = pa.table({"waist": np.tile(waist, len(hip)), "hip": np.repeat(hip, len(waist))})
    columns: dict[str, object] = {"ease.waist": "waist", "ease.hip": "hip"}
    columns |= {name: getattr(body, name) * per_cm(unit) for name in ("waist", "hip", "hip_depth", "length")}
    return draft_table(ease, columns=columns, rules=rules, unit=unit)


def counts_and_intake(drafts: DraftTable, of: str, steps: int) -> tuple[Floats, Floats]:
    """Return the number of darts and their total intake as square arrays, with NaN for rows that cannot be drafted."""
    table = pa.table(drafts)
    counts, intake = (np.asarray(table[name].to_numpy(), float) for name in (f"{of}_darts", f"suppression_{of}"))
    return counts.reshape(steps, steps), intake.reshape(steps, steps)


def shade_regions(ax: Axes, waist: Floats, hip: Floats, counts: Floats) -> None:
    """Shade the regions of equal number of darts, draw the border lines, and hatch the area without drafts."""
    ax.pcolormesh(waist, hip, counts, shading="nearest", cmap=SHADES, vmin=0, vmax=7, rasterized=True)
    undrafted = np.isnan(counts)
    if undrafted.any():
        ax.contourf(waist, hip, undrafted, levels=[0.5, 1.5], colors=["white"], hatches=["////"])
        legend_patch = Patch(facecolor="white", edgecolor=GUIDE, hatch="////", label="cannot be drafted")
        ax.legend(handles=[legend_patch], loc="upper left", fontsize=font_size(ax), framealpha=1)
    for number in range(1, 1 + int(np.nanmax(counts, initial=0))):
        has_number = np.where(undrafted, np.nan, counts >= number)
        if np.nanmin(has_number) < np.nanmax(has_number):
            smooth_border(ax.contour(waist, hip, has_number, levels=[0.5], colors=[INK], linewidths=2))


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


def draw_contours(ax: Axes, waist: Floats, hip: Floats, counts: Floats, intake: Floats, unit: str) -> None:
    """Draw lines of equal dart intake, labelled with the intake in `unit`, in the regions with darts."""
    dart_intake = np.where(counts > 0, intake, np.nan)
    if np.isnan(dart_intake).all() or np.nanmax(dart_intake) - np.nanmin(dart_intake) < 1e-9:
        return
    low, high = np.nanmin(dart_intake) + 1e-6, np.nanmax(dart_intake) - 1e-6
    levels = [level for level in MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(low, high) if low < level < high]
    lines = ax.contour(waist, hip, dart_intake, levels=levels, colors=[INK], linewidths=0.7, linestyles="--")
    texts = ax.clabel(lines, fmt=f"%g {unit}", fontsize=font_size(ax), manual=label_positions(lines), inline_spacing=3)
    for text in texts or ():
        text.set(color=INK, path_effects=HALO)


def label_positions(lines: ContourSet) -> list[tuple[float, float]]:
    """Return at most one label position for each line: near one diagonal across the map, away from the edges."""
    (left, right), (low, high) = lines.axes.get_xlim(), lines.axes.get_ylim()
    positions = []
    for path in lines.get_paths():
        points = np.asarray(path.vertices, float)
        shares = (points - [left, low]) / [right - left, high - low]
        inside = np.flatnonzero(np.all((shares > 0.06) & (shares < 0.94), axis=1))
        if len(inside):
            nearest = inside[np.argmin(abs(shares[inside].sum(axis=1) - 0.75))]
            positions.append((float(points[nearest, 0]), float(points[nearest, 1])))
    return positions


def name_regions(ax: Axes, waist: Floats, hip: Floats, counts: Floats) -> None:
    """Write the number of darts near the middle of each region; regions below 3% of the map stay unlabelled."""
    for number in range(1 + int(np.nanmax(counts, initial=0))):
        rows, columns = np.nonzero(counts == number)
        if len(rows) < 0.03 * counts.size:
            continue
        nearest = np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2)
        ax.text(
            waist[columns[nearest]], hip[rows[nearest]], REGION_NAMES[number], ha="center", va="center",
            fontsize=font_size(ax, largest=11), weight="bold", color=INK, path_effects=HALO, zorder=5,
        )
