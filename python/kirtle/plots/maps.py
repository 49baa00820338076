"""Where darts appear: their intake over the ease at waist and hip."""

import numpy as np
import pyarrow as pa
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.patches import Patch
from matplotlib.path import Path
from matplotlib.ticker import MaxNLocator

from .._kirtle import Body, DraftTable, Rules, draft_table
from .sheet import GUIDE, HALO, INK, SHADES, Floats, at_least, axes_of, choice, finite, letters, per_cm

NAMES = ("no dart", "one dart", "two darts", "three darts")
NEAR = 12
"""So many places to each side are the neighbours of a place on a line."""

Bounds = tuple[float, float]


def intake_map(
    body: Body, *, waist_ease: Bounds, hip_ease: Bounds, of: str = "back", steps: int = 200,
    rules: Rules | None = None, unit: str = "cm", ax: Axes | None = None,
) -> Axes:
    """The dart intake of a panel over waist ease and hip ease, with the lines where a dart appears.

    The ease is in `unit`, from the least to the most; `steps` places are drafted each way. What cannot be drafted is hatched.
    """
    choice("of", of, ("back", "front"))
    at_least("steps", steps, 10)
    waist, hip = spread("waist_ease", waist_ease, steps, unit), spread("hip_ease", hip_ease, steps, unit)
    counts, intake = darts(drafted(body, waist, hip, rules, unit), of, steps)
    ax = axes_of(ax)
    ax.set(xlabel=f"waist ease ({unit})", ylabel=f"hip ease ({unit})", xlim=(waist[0], waist[-1]), ylim=(hip[0], hip[-1]))
    shade(ax, waist, hip, counts)
    contours(ax, waist, hip, counts, intake, unit)
    name_regions(ax, waist, hip, counts)
    ax.set_title(f"Dart intake of half the {of} ({unit})", fontsize=letters(ax, largest=10))
    return ax


def spread(field: str, bounds: Bounds, steps: int, unit: str) -> Floats:
    """Even steps between the bounds."""
    least, most = (finite(f"{field}.{name}", value, unit) for name, value in zip(("minimum", "maximum"), bounds, strict=True))
    at_least(f"{field}.maximum", most, least + 0.1, unit)
    return np.linspace(least, most, steps)


def drafted(body: Body, waist: Floats, hip: Floats, rules: Rules | None, unit: str) -> DraftTable:
    """Every pair of waist ease and hip ease, row by row of the map."""
    ease = pa.table({"waist": np.tile(waist, len(hip)), "hip": np.repeat(hip, len(waist))})
    columns: dict[str, object] = {"ease.waist": "waist", "ease.hip": "hip"}
    columns |= {name: getattr(body, name) * per_cm(unit) for name in ("waist", "hip", "hip_depth", "length")}
    return draft_table(ease, columns=columns, rules=rules, unit=unit)


def darts(drafts: DraftTable, of: str, steps: int) -> tuple[Floats, Floats]:
    """How many darts each draft has, and how much they take in together; not a number where it was refused."""
    table = pa.table(drafts)
    counts, intake = (np.asarray(table[name].to_numpy(), float) for name in (f"{of}_darts", f"suppression_{of}"))
    return counts.reshape(steps, steps), intake.reshape(steps, steps)


def shade(ax: Axes, waist: Floats, hip: Floats, counts: Floats) -> None:
    """A shade for each number of darts, a line where it changes, and hatching where there is no draft."""
    ax.pcolormesh(waist, hip, counts, shading="nearest", cmap=SHADES, vmin=0, vmax=7, rasterized=True)
    gone = np.isnan(counts)
    if gone.any():
        ax.contourf(waist, hip, gone, levels=[0.5, 1.5], colors=["white"], hatches=["////"])
        hatched = Patch(facecolor="white", edgecolor=GUIDE, hatch="////", label="cannot be drafted")
        ax.legend(handles=[hatched], loc="upper left", fontsize=letters(ax), framealpha=1)
    for number in range(1, 1 + int(np.nanmax(counts, initial=0))):
        has = np.where(gone, np.nan, counts >= number)
        if np.nanmin(has) < np.nanmax(has):
            border(ax.contour(waist, hip, has, levels=[0.5], colors=[INK], linewidths=2))


def border(line: ContourSet) -> None:
    """Make the line between cells straight where it goes up and down their sides."""
    smooth = []
    for path in line.get_paths():
        path.should_simplify = False
        smooth += [Path(evened(np.asarray(piece, float))) for piece in path.to_polygons(closed_only=False)]
    line.set_paths([Path.make_compound_path(*smooth)])


def evened(places: Floats) -> Floats:
    """Each place of a line as the mean of its neighbours, as many before as behind; the ends stay."""
    here = np.arange(len(places))
    reach = np.minimum(np.minimum(here, here[::-1]), NEAR)
    sums = np.vstack([np.zeros(2), np.cumsum(places, axis=0)])
    means: Floats = (sums[here + reach + 1] - sums[here - reach]) / (2 * reach + 1)[:, None]
    return means


def contours(ax: Axes, waist: Floats, hip: Floats, counts: Floats, intake: Floats, unit: str) -> None:
    """Lines of equal intake, where there is a dart."""
    there = np.where(counts > 0, intake, np.nan)
    if np.isnan(there).all() or np.nanmax(there) - np.nanmin(there) < 1e-9:
        return
    least, most = np.nanmin(there) + 1e-6, np.nanmax(there) - 1e-6
    levels = [level for level in MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(least, most) if least < level < most]
    lines = ax.contour(waist, hip, there, levels=levels, colors=[INK], linewidths=0.7, linestyles="--")
    texts = ax.clabel(lines, fmt=f"%g {unit}", fontsize=letters(ax), manual=label_places(lines), inline_spacing=3)
    for text in texts or ():
        text.set(color=INK, path_effects=HALO)


def label_places(lines: ContourSet) -> list[tuple[float, float]]:
    """Where the labels stand: in a row across the map, beside its middle, and away from its edges."""
    (left, right), (low, high) = lines.axes.get_xlim(), lines.axes.get_ylim()
    found = []
    for path in lines.get_paths():
        places = np.asarray(path.vertices, float)
        shares = (places - [left, low]) / [right - left, high - low]
        inside = np.flatnonzero(np.all((shares > 0.06) & (shares < 0.94), axis=1))
        if len(inside):
            nearest = inside[np.argmin(abs(shares[inside].sum(axis=1) - 0.75))]
            found.append((float(places[nearest, 0]), float(places[nearest, 1])))
    return found


def name_regions(ax: Axes, waist: Floats, hip: Floats, counts: Floats) -> None:
    """The number of darts, in the middle of where they are so many."""
    for number in range(1 + int(np.nanmax(counts, initial=0))):
        rows, places = np.nonzero(counts == number)
        if len(rows) < 0.03 * counts.size:
            continue
        nearest = np.argmin((rows - rows.mean()) ** 2 + (places - places.mean()) ** 2)
        ax.text(
            waist[places[nearest]], hip[rows[nearest]], NAMES[number], ha="center", va="center",
            fontsize=letters(ax, largest=11), weight="bold", color=INK, path_effects=HALO, zorder=5,
        )
