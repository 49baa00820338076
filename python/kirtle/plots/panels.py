"""Drafts as a plot: both panels beside each other, or several drafts over each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.ticker import FixedLocator, FuncFormatter

from .._kirtle import Draft, Panel
from .sheet import CLOTH, DART, GUIDE, INK, MARKERS, SHADES, STYLES, Floats
from .sheet import at_least, axes_of, choice, figure, length, letters, per_cm

APART = 6.0
"""Between the two side seams, in centimetres."""


@dataclass(frozen=True)
class Place:
    """Where a panel lies in a plot: its centre line, the way to its side, what level is zero, and the unit."""

    half: str
    centre: float
    way: int
    level: float
    unit: str

    def __call__(self, points: npt.ArrayLike) -> Floats:
        """Points of the panel, in centimetres, as points of the plot."""
        x, y = np.moveaxis(np.asarray(points, float), -1, 0)
        places: Floats = np.stack([self.centre + self.way * x, y - self.level], axis=-1) * per_cm(self.unit)
        return places

    def panel(self, draft: Draft) -> Panel:
        """The panel of a draft that lies here."""
        return draft.back if self.half == "back" else draft.front


def both(drafts: Sequence[Draft], *, unit: str) -> list[Place]:
    """The back with its centre on the left, the front with its centre on the right."""
    centre = max(draft.back.width for draft in drafts) + APART + max(draft.front.width for draft in drafts)
    return [Place("back", 0.0, 1, 0.0, unit), Place("front", centre, -1, 0.0, unit)]


def outline(panel: Panel, place: Place) -> Path:
    """The outline with its curves as they are: each a cubic."""
    points, codes = [panel.edges[0].points[0]], [Path.MOVETO]
    for edge in panel.edges:
        points += edge.points[1:]
        codes += [Path.LINETO] if len(edge.points) == 2 else [Path.CURVE4] * 3
    return Path(place([*points, points[0]]), [*codes, Path.CLOSEPOLY])


def draft(draft: Draft, *, unit: str = "cm", ax: Axes | None = None) -> Axes:
    """The back and the front side by side, with darts, hip line and the main lengths."""
    ax = axes_of(ax)
    places = both([draft], unit=unit)
    for place in places:
        cloth(ax, draft, place)
        for dart in place.panel(draft).darts:
            line(ax, place, [[dart.centre, (dart.inner[1] + dart.outer[1]) / 2], dart.tip], "-.", DART, 0.9)
        lengths(ax, draft, place)
    dart_name = f"dart, intake × length ({unit})"
    named: list[tuple[str, Any, str]] = [("seam line", "-", INK), ("hip line", "--", GUIDE), (dart_name, "-.", DART)]
    legend(ax, [Line2D([], [], linestyle=style, color=colour, label=name) for name, style, colour in named])
    finish(ax, places, [draft], "below the waist at the side")
    return ax


def cloth(ax: Axes, draft: Draft, place: Place) -> None:
    """A panel with its hip line."""
    panel, hip = place.panel(draft), draft.body.hip_depth
    ax.add_patch(PathPatch(outline(panel, place), facecolor=CLOTH, edgecolor=INK, linewidth=1.2, joinstyle="round"))
    line(ax, place, [[0, hip], [panel.width, hip]], "--", GUIDE, 0.9)


def line(ax: Axes, place: Place, points: npt.ArrayLike, style: Any, colour: str, width: float) -> None:
    """A straight line of a panel."""
    ax.add_line(Line2D(*place(points).T, linestyle=style, color=colour, linewidth=width))


def lengths(ax: Axes, draft: Draft, place: Place) -> None:
    """The main lengths, each beside its line."""
    panel, hip, hem, size = place.panel(draft), draft.body.hip_depth, draft.body.length, letters(ax)

    def write(x: float, y: float, text: str, turn: int = 0, up: str = "center", scale: float = 1.0) -> None:
        across, down = place([x, y])
        ax.text(across, down, text, ha="center", va=up, rotation=turn, fontsize=size * scale, color=INK)

    def told(name: str, value: float) -> str:
        return f"{name} {length(value * per_cm(place.unit), place.unit)}"

    middle, low = panel.width / 2, (hip + hem) / 2
    write(middle, low - 0.1 * (hem - hip), place.half.upper(), scale=1.3)
    write(middle, hip + 0.6, told("hip", panel.width), up="top")
    write(middle, hem - 0.6, told("hem", panel.seams.hem), up="bottom")
    write(middle, -0.8, told("sewn waist", panel.seams.waist), up="bottom")
    write(1.6, low, told(f"centre {place.half}", panel.seams.centre), 90)
    write(panel.width - 1.6, low, told("side seam", panel.seams.side), 90)
    for dart in panel.darts:
        intake, long = (figure(value * per_cm(place.unit), place.unit) for value in (dart.intake, dart.length))
        write(dart.tip[0], dart.tip[1] + 0.5, f"{intake} ×\n{long}", up="top", scale=0.85)


def overlay(
    drafts: Sequence[Draft], *, labels: Sequence[str] | None = None, half: str = "both", unit: str = "cm", ax: Axes | None = None
) -> Axes:
    """Drafts over each other, on the centre line and the hip line; a mark at each dart's tip tells whose it is."""
    at_least("drafts", len(drafts), 1)
    choice("half", half, ("back", "front", "both"))
    names = list(labels) if labels is not None else [f"draft {k}" for k in range(1, len(drafts) + 1)]
    if len(names) != len(drafts):
        raise ValueError(f"labels: {len(names)} labels are given for {len(drafts)} drafts")
    ax = axes_of(ax)
    places = both(drafts, unit=unit)
    places = [place for place in places if half in (place.half, "both")]
    if half == "front":
        places = [Place("front", 0.0, 1, 0.0, unit)]
    shown = [over(ax, one, places, k, len(drafts)) for k, one in enumerate(drafts)]
    for handle, name in zip(shown, names, strict=True):
        handle.set_label(name)
    ax.axhline(0, color=GUIDE, linewidth=0.7, linestyle=":")
    legend(ax, shown)
    finish(ax, places, drafts, "below the hip line")
    return ax


def over(ax: Axes, draft: Draft, places: Sequence[Place], k: int, count: int) -> Line2D:
    """One of several drafts; returns how its line and its mark look."""
    colour, style, mark = SHADES(1 - 0.55 * k / max(count - 1, 1)), STYLES[k % len(STYLES)], MARKERS[k % len(MARKERS)]
    for place in places:
        lifted = Place(place.half, place.centre, place.way, draft.body.hip_depth, place.unit)
        panel = place.panel(draft)
        ax.add_patch(PathPatch(outline(panel, lifted), facecolor="none", edgecolor=colour, linestyle=style, linewidth=1.3))
        tips = lifted([dart.tip for dart in panel.darts]) if panel.darts else np.empty((0, 2))
        ax.plot(*tips.T, mark, color=colour, markersize=4, markerfacecolor="white")
    return Line2D([], [], color=colour, linestyle=style, marker=mark, markersize=4, markerfacecolor="white")


def legend(ax: Axes, handles: list[Line2D]) -> None:
    """What the lines are, above the plot."""
    columns, size = min(len(handles), 4), letters(ax)
    ax.legend(
        handles=handles, ncols=columns, frameon=False, fontsize=size, handlelength=2.4, columnspacing=1.2,
        loc="lower center", bbox_to_anchor=(0.5, 1),
    )


def finish(ax: Axes, places: Sequence[Place], drafts: Sequence[Draft], down: str) -> None:
    """Even scales, y down, and ticks that count from each centre line."""
    unit = places[0].unit
    step = 10.0 if unit == "cm" else 4.0
    ticks: dict[float, float] = {}
    for place in places:
        widest = max(place.panel(draft).width for draft in drafts) * per_cm(unit)
        for far in np.arange(0, widest, step):
            ticks[place.centre * per_cm(unit) + place.way * float(far)] = float(far)
    ax.xaxis.set_major_locator(FixedLocator(sorted(ticks)))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{min(ticks.items(), key=lambda tick: abs(tick[0] - x))[1]:g}"))
    ax.set(aspect="equal", xlabel=f"from the centre ({unit})", ylabel=f"{down} ({unit})")
    ax.autoscale_view()
    top, bottom = sorted(ax.get_ylim())
    ax.set_ylim(bottom, top)
