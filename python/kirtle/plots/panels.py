"""Plots of drafts: back and front of one draft, or several drafts over each other."""

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
from .axes import CLOTH, DART, GUIDE, INK, MARKERS, SHADES, STYLES, Floats
from .axes import at_least, axes_of, choice, font_size, format_length, format_number, per_cm

PANEL_GAP = 6.0
"""Distance between the side seams of back and front in a plot, in centimetres."""


@dataclass(frozen=True)
class PanelFrame:
    """Position of a panel in a plot: transformation from panel coordinates to plot coordinates.

    `half` is ``back`` or ``front``. `centre` is the x coordinate of the centre line and `zero_level` the level with y = 0, both in
    centimetres. `direction` is 1 for a side seam to the right of the centre line, −1 to the left. The plot is in `unit`.
    """

    half: str
    centre: float
    direction: int
    zero_level: float
    unit: str

    def __call__(self, points: npt.ArrayLike) -> Floats:
        """Transform points of the panel, in centimetres, to plot coordinates."""
        x, y = np.moveaxis(np.asarray(points, float), -1, 0)
        transformed: Floats = np.stack([self.centre + self.direction * x, y - self.zero_level], axis=-1) * per_cm(self.unit)
        return transformed

    def panel(self, draft: Draft) -> Panel:
        """Return the panel of a draft that belongs to the frame."""
        return draft.back if self.half == "back" else draft.front


def two_frames(drafts: Sequence[Draft], *, unit: str) -> list[PanelFrame]:
    """Return the frames of back and front: the back's centre line on the left, the front's centre line on the right."""
    centre = max(draft.back.width for draft in drafts) + PANEL_GAP + max(draft.front.width for draft in drafts)
    return [PanelFrame("back", 0.0, 1, 0.0, unit), PanelFrame("front", centre, -1, 0.0, unit)]


def outline(panel: Panel, frame: PanelFrame) -> Path:
    """Return the outline of a panel as a path; every curve stays a cubic."""
    points, codes = [panel.edges[0].points[0]], [Path.MOVETO]
    for edge in panel.edges:
        points += edge.points[1:]
        codes += [Path.LINETO] if len(edge.points) == 2 else [Path.CURVE4] * 3
    return Path(frame([*points, points[0]]), [*codes, Path.CLOSEPOLY])


def draft(draft: Draft, *, unit: str = "cm", ax: Axes | None = None) -> Axes:
    """Plot back and front of a draft, with darts, hip line and the main lengths in `unit`."""
    ax = axes_of(ax)
    frames = two_frames([draft], unit=unit)
    for frame in frames:
        draw_panel(ax, draft, frame)
        for dart in frame.panel(draft).darts:
            draw_line(ax, frame, [[dart.centre, (dart.inner[1] + dart.outer[1]) / 2], dart.tip], "-.", DART, 0.9)
        write_lengths(ax, draft, frame)
    dart_label = f"dart, intake × length ({unit})"
    entries: list[tuple[str, Any, str]] = [("seam line", "-", INK), ("hip line", "--", GUIDE), (dart_label, "-.", DART)]
    legend(ax, [Line2D([], [], linestyle=style, color=colour, label=label) for label, style, colour in entries])
    finish(ax, frames, [draft], "below the waist at the side")
    return ax


def draw_panel(ax: Axes, draft: Draft, frame: PanelFrame) -> None:
    """Draw a filled panel with its hip line."""
    panel, hip = frame.panel(draft), draft.body.hip_depth
    ax.add_patch(PathPatch(outline(panel, frame), facecolor=CLOTH, edgecolor=INK, linewidth=1.2, joinstyle="round"))
    draw_line(ax, frame, [[0, hip], [panel.width, hip]], "--", GUIDE, 0.9)


def draw_line(ax: Axes, frame: PanelFrame, points: npt.ArrayLike, style: Any, colour: str, width: float) -> None:
    """Draw a straight line between two points of a panel."""
    ax.add_line(Line2D(*frame(points).T, linestyle=style, color=colour, linewidth=width))


def write_lengths(ax: Axes, draft: Draft, frame: PanelFrame) -> None:
    """Write the main lengths of a panel into the plot, each next to the line it measures."""
    panel, hip, hem, size = frame.panel(draft), draft.body.hip_depth, draft.body.length, font_size(ax)

    def write(x: float, y: float, text: str, rotation: int = 0, align: str = "center", scale: float = 1.0) -> None:
        plot_x, plot_y = frame([x, y])
        ax.text(plot_x, plot_y, text, ha="center", va=align, rotation=rotation, fontsize=size * scale, color=INK)

    def label(name: str, value: float) -> str:
        return f"{name} {format_length(value * per_cm(frame.unit), frame.unit)}"

    middle, low = panel.width / 2, (hip + hem) / 2
    write(middle, low - 0.1 * (hem - hip), frame.half.upper(), scale=1.3)
    write(middle, hip + 0.6, label("hip", panel.width), align="top")
    write(middle, hem - 0.6, label("hem", panel.seams.hem), align="bottom")
    write(middle, -0.8, label("sewn waist", panel.seams.waist), align="bottom")
    write(1.6, low, label(f"centre {frame.half}", panel.seams.centre), 90)
    write(panel.width - 1.6, low, label("side seam", panel.seams.side), 90)
    for dart in panel.darts:
        intake, long = (format_number(value * per_cm(frame.unit), frame.unit) for value in (dart.intake, dart.length))
        write(dart.tip[0], dart.tip[1] + 0.5, f"{intake} ×\n{long}", align="top", scale=0.85)


def overlay(
    drafts: Sequence[Draft], *, labels: Sequence[str] | None = None, half: str = "both", unit: str = "cm", ax: Axes | None = None
) -> Axes:
    """Plot several drafts over each other, aligned at the centre line and the hip line, with marks at the dart tips.

    `labels` has one label for each draft. `half` is ``back``, ``front`` or ``both``.
    """
    at_least("drafts", len(drafts), 1)
    choice("half", half, ("back", "front", "both"))
    names = list(labels) if labels is not None else [f"draft {number}" for number in range(1, len(drafts) + 1)]
    if len(names) != len(drafts):
        raise ValueError(f"labels: {len(names)} labels are given for {len(drafts)} drafts")
    ax = axes_of(ax)
    frames = [frame for frame in two_frames(drafts, unit=unit) if half in (frame.half, "both")]
    if half == "front":
        frames = [PanelFrame("front", 0.0, 1, 0.0, unit)]
    handles = [overlay_draft(ax, draft, frames, index, len(drafts)) for index, draft in enumerate(drafts)]
    for handle, name in zip(handles, names, strict=True):
        handle.set_label(name)
    ax.axhline(0, color=GUIDE, linewidth=0.7, linestyle=":")
    legend(ax, handles)
    finish(ax, frames, drafts, "below the hip line")
    return ax


def overlay_draft(ax: Axes, draft: Draft, frames: Sequence[PanelFrame], index: int, count: int) -> Line2D:
    """Draw one of `count` drafts with the shade, line style and marker of its index; return its handle for the legend."""
    colour = SHADES(1 - 0.55 * index / max(count - 1, 1))
    style, mark = STYLES[index % len(STYLES)], MARKERS[index % len(MARKERS)]
    for frame in frames:
        hip_frame = PanelFrame(frame.half, frame.centre, frame.direction, draft.body.hip_depth, frame.unit)
        panel = frame.panel(draft)
        ax.add_patch(PathPatch(outline(panel, hip_frame), facecolor="none", edgecolor=colour, linestyle=style, linewidth=1.3))
        tips = hip_frame([dart.tip for dart in panel.darts]) if panel.darts else np.empty((0, 2))
        ax.plot(*tips.T, mark, color=colour, markersize=4, markerfacecolor="white")
    return Line2D([], [], color=colour, linestyle=style, marker=mark, markersize=4, markerfacecolor="white")


def legend(ax: Axes, handles: list[Line2D]) -> None:
    """Draw a legend above the plot, in at most four columns."""
    columns, size = min(len(handles), 4), font_size(ax)
    ax.legend(
        handles=handles, ncols=columns, frameon=False, fontsize=size, handlelength=2.4, columnspacing=1.2,
        loc="lower center", bbox_to_anchor=(0.5, 1),
    )


def finish(ax: Axes, frames: Sequence[PanelFrame], drafts: Sequence[Draft], y_label: str) -> None:
    """Set equal scales, a y axis downwards, axis labels, and x ticks that count from the centre line of each panel."""
    unit = frames[0].unit
    step = 10.0 if unit == "cm" else 4.0
    ticks: dict[float, float] = {}
    for frame in frames:
        widest = max(frame.panel(draft).width for draft in drafts) * per_cm(unit)
        for distance in np.arange(0, widest, step):
            ticks[frame.centre * per_cm(unit) + frame.direction * float(distance)] = float(distance)
    ax.xaxis.set_major_locator(FixedLocator(sorted(ticks)))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{min(ticks.items(), key=lambda tick: abs(tick[0] - x))[1]:g}"))
    ax.set(aspect="equal", xlabel=f"from the centre ({unit})", ylabel=f"{y_label} ({unit})")
    ax.autoscale_view()
    top, bottom = sorted(ax.get_ylim())
    ax.set_ylim(bottom, top)
