"""Plots of drafts: back and front of one draft, as drafted or with its darts closed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.ticker import FixedLocator, FuncFormatter, NullFormatter

from .._kirtle import Draft, Edge, Panel
from ..words import darts_of_panels, length, length_number, subject
from .axes import Colour, Floats, axes_of, cell_extent, check_choice, figure_of, fit_texts, label_lengths, line_width, palette, per_cm, set_limits
from .axes import unit_of, write_head

NOTE_ROOM_CM = 3.0
"""Height of a note below the name of a panel, in cm of the draft."""

GAP, CENTRE_LINE_STEP_CM = 6.0, 10.0
"""Least distance between the side seams of back and front in a plot, and the step of the distance of their centre lines, in cm."""

@dataclass(frozen=True)
class PanelFrame:
    """Position of a panel in a plot: transformation from panel coordinates to plot coordinates.

    `half` is ``back`` or ``front``. `centre` is the x coordinate of the centre line in centimetres. `direction` is 1 for a side seam to
    the right of the centre line, −1 to the left. The plot is in `unit`.
    """

    half: str
    centre: float
    direction: int
    unit: str

    def __call__(self, points: npt.ArrayLike) -> Floats:
        """Transform points of the panel, in centimetres, to plot coordinates."""
        x, y = np.moveaxis(np.asarray(points, float), -1, 0)
        transformed: Floats = np.stack([self.centre + self.direction * x, y], axis=-1) * per_cm(self.unit)
        return transformed

    def panel(self, draft: Draft) -> Panel:
        """Return the panel of a draft that belongs to the frame."""
        return draft.back if self.half == "back" else draft.front


def frames_of(drafts: Sequence[Draft], half: str, unit: str, exaggerate: float = 1.0) -> list[PanelFrame]:
    """Return the frames of the panels: the back's centre line on the left, the front's far enough to the right."""
    widths = []
    for panels in ([draft.back for draft in drafts], [draft.front for draft in drafts]):
        first, *others = (max(panel.width, panel.waist_width) for panel in panels)
        widths.append(max([first, *(first + exaggerate * (width - first) for width in others)]))
    centre = CENTRE_LINE_STEP_CM * np.ceil((sum(widths) + GAP) / CENTRE_LINE_STEP_CM)
    both = [PanelFrame("back", 0.0, 1, unit), PanelFrame("front", float(centre), -1, unit)]
    return both if half == "both" else [PanelFrame(half, 0.0, 1, unit)]


def path_of(edges: Sequence[npt.ArrayLike], frame: PanelFrame, *, closed: bool) -> Path:
    """Return connected edges, each of two or four points, as a path; every curve stays a cubic."""
    points, codes = [np.asarray(edges[0], float)[0]], [Path.MOVETO]
    for edge in edges:
        rest = np.asarray(edge, float)[1:]
        points += list(rest)
        codes += [Path.LINETO] if len(rest) == 1 else [Path.CURVE4] * 3
    return Path(frame([*points, points[0]]), [*codes, Path.CLOSEPOLY]) if closed else Path(frame(points), codes)


def draft(draft: Draft, *, unit: str | None = None, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot back and front of a draft, with darts, hip line and the main lengths in `unit`.

    In a small plot the lengths are written smaller or left out.
    """
    frames = frames_of([draft], "both", unit := unit_of(draft, unit))
    ax = axes_of(ax)
    colours = palette(ax)
    for frame in frames:
        draw_panel(ax, draft, frame)
        for dart in frame.panel(draft).darts:
            draw_line(ax, frame, [[dart.centre, (dart.inner[1] + dart.outer[1]) / 2], dart.tip], "-.", colours.dart)
    dart_label = f"dart, intake × length ({unit})"
    entries = {"seam line": ("-", colours.ink), "hip line": ("--", colours.guide), dart_label: ("-.", colours.dart)}
    scale_and_label(ax, frames, [draft], "below the waist")
    write_head(ax, subject([draft], unit), f"Back and front of a straight skirt. {draft_text(draft, unit)}", handles=legend_lines(entries), title=title)
    kinds = zip(*(write_lengths(ax, draft, frame) for frame in frames), strict=True)
    fit_texts(ax, [text for kind in kinds for texts in kind for text in texts])
    return ax


def draft_text(draft: Draft, unit: str) -> str:
    """Return body, ease and darts of a draft in a sentence."""
    back, front = darts_of_panels(draft, unit)
    return f"{subject([draft], unit)}. Darts, back: {back}; front: {front}."


def legend_lines(entries: dict[str, tuple[Any, Colour]]) -> list[Line2D]:
    """Return a line for each entry of a legend, from its line style and colour."""
    return [Line2D([], [], linestyle=style, color=colour, label=label) for label, (style, colour) in entries.items()]


def draw_panel(ax: Axes, draft: Draft, frame: PanelFrame) -> None:
    """Draw a filled panel with its hip line."""
    panel, hip, colours = frame.panel(draft), draft.body.hip_depth, palette(ax)
    outline = path_of([edge.points for edge in panel.edges], frame, closed=True)
    ax.add_patch(PathPatch(outline, facecolor=colours.cloth, edgecolor=colours.ink, linewidth=line_width(0.8), joinstyle="round"))
    draw_line(ax, frame, [[0, hip], [panel.width, hip]], "--", colours.guide)


def draw_line(ax: Axes, frame: PanelFrame, points: npt.ArrayLike, style: Any, colour: Colour) -> None:
    """Draw a thin straight line between two points of a panel."""
    ax.add_line(Line2D(*frame(points).T, linestyle=style, color=colour, linewidth=line_width(0.6)))


def write_lengths(ax: Axes, draft: Draft, frame: PanelFrame) -> list[list[Text]]:
    """Write the main lengths of a panel, each next to the line it measures; return the texts by kind, the main kinds first."""
    panel, hip, hem, scale = frame.panel(draft), draft.body.hip_depth, draft.body.length, per_cm(frame.unit)

    def write(kind: str, x: float, y: float, text: str, rotation: int = 0, align: str = "center") -> Text:
        plot_x, plot_y = frame([x, y])
        size = "small" if kind == "name" else "x-small"
        box = {"facecolor": palette(ax).cloth, "edgecolor": "none", "pad": 0.5} if kind == "dart" else None  # It may lie on the hip line.
        return ax.text(plot_x, plot_y, text, ha="center", va=align, rotation=rotation, fontsize=size, gid=kind, bbox=box)

    def label(name: str, value: float) -> str:
        return f"{name} {length(value * scale, frame.unit)}"

    middle, low = panel.width / 2, (hip + hem) / 2
    return [
        [write("name", middle, low - 0.1 * (hem - hip), frame.half.upper())],
        [write("dart", dart.tip[0], dart.tip[1] + 0.5, " ×\n".join(length_number(one * scale, frame.unit) for one in (dart.intake, dart.length)),
               align="top") for dart in panel.darts],
        [write("width", middle, hip + 0.6, label("hip", panel.width), align="top"),
         write("width", middle, hem - 0.6, label("hem", panel.seams.hem), align="bottom"),
         write("width", middle, -0.8, label("sewn waist", panel.seams.waist), align="bottom")],
        [write("height", 1.6, low, label(f"centre {frame.half}", panel.seams.centre), 90),
         write("height", panel.width - 1.6, low, label("side seam", panel.seams.side), 90)],
    ]


def closed_darts(draft: Draft, *, half: str = "both", unit: str | None = None, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the upper part of a draft with its darts folded shut, over the draft as cut: the waist is one smooth curve.

    Folding a dart turns everything beyond it, seen from the centre, about its tip. `half` is ``back``, ``front`` or ``both``.
    """
    check_choice("half", half, ("back", "front", "both"))
    frames = frames_of([draft], half, unit := unit_of(draft, unit))
    ax = axes_of(ax)
    colours, hip, names = palette(ax), draft.body.hip_depth, []
    for frame in frames:
        panel = frame.panel(draft)
        cut = [edge for edge in panel.edges if edge.role in ("waist", "dart")] + [edge for edge in panel.edges if edge.role == "side"][:1]
        draw_path(ax, frame, [edge.points for edge in cut], colours.guide, ":", 0.8)
        for edge, points in fold(panel, cut):
            draw_path(ax, frame, [points], *((colours.dart, "-", 0.8) if edge.role == "dart" else (colours.ink, "-", 1.2)))
        draw_line(ax, frame, [panel.edges[0].points[0], [0, hip]], "-", colours.ink)
        names.append(name_panel(ax, frame, panel.width / 2, hip, f"sewn waist {length(panel.seams.waist * per_cm(unit), unit)}"))
    entries: dict[str, tuple[Any, Colour]] = {
        "seam, darts closed": ("-", colours.ink), "dart, closed": ("-", colours.dart), "as cut": (":", colours.guide),
    }
    scale_and_label(ax, frames, [draft], "below the waist", down_to=hip + NOTE_ROOM_CM)
    sewn = "; ".join(name.get_text().replace("\n", ": ") for name in names)
    text = f"The upper part of a straight skirt with its darts closed. {draft_text(draft, unit)} {sewn}."
    write_head(ax, f"Darts closed. {subject([draft], unit)}", text, handles=legend_lines(entries), title=title)
    fit_texts(ax, names)
    return ax


def fold(panel: Panel, edges: Sequence[Edge]) -> list[tuple[Edge, Floats]]:
    """Return each edge with its points after all darts are folded shut; the edges run from the centre to the side."""
    folded, legs = [], 0
    for edge in edges:
        points = np.asarray(edge.points, float)
        # Beyond k darts a point turns about the tip of the k-th dart first, then of the darts nearer to the centre.
        for dart in reversed(panel.darts[: (legs + 1) // 2]):
            cosine, sine = np.cos(angle := -2 * np.radians(dart.half_angle_deg)), np.sin(angle)
            points = (points - dart.tip) @ np.array([[cosine, sine], [-sine, cosine]]) + dart.tip
        legs += edge.role == "dart"
        folded.append((edge, points))
    return folded


def draw_path(ax: Axes, frame: PanelFrame, edges: Sequence[npt.ArrayLike], colour: Colour, style: Any, share: float) -> None:
    """Draw connected edges of a panel."""
    path = path_of(edges, frame, closed=False)
    ax.add_patch(PathPatch(path, facecolor="none", edgecolor=colour, linestyle=style, linewidth=line_width(share), capstyle="round"))


def name_panel(ax: Axes, frame: PanelFrame, x: float, level: float, note: str = "") -> Text:
    """Write the name of a panel, and a note, below the hip line."""
    plot_x, plot_y = frame([x, level + 0.7])
    return ax.text(plot_x, plot_y, "\n".join(filter(None, (frame.half.upper(), note))), ha="center", va="top", fontsize="small")


def scale_and_label(ax: Axes, frames: Sequence[PanelFrame], drafts: Sequence[Draft], heights: str, *, down_to: float | None = None) -> None:
    """Set equal scales, limits, a y axis downwards, axis labels, and x ticks that count from the centre line of each panel.

    The plot ends a little below the level `down_to`, or else below what is drawn.
    """
    unit, scale = frames[0].unit, per_cm(frames[0].unit)
    box = ax.dataLim
    step = tick_step(ax, box.width, box.height, 10 if unit == "cm" else 4)
    ticks: dict[float, float] = {}
    for frame in frames:
        widest = max(frame.panel(draft).width for draft in drafts) * scale
        for distance in np.arange(0, widest, step):
            ticks[frame.centre * scale + frame.direction * float(distance)] = float(distance)
    others = [one for one in ax.get_shared_x_axes().get_siblings(ax) if one is not ax and one.has_data()]
    if any(getattr(one, "kirtle_ticks", ticks).items() != ticks.items() for one in others):
        ax.xaxis.set_major_formatter(NullFormatter())  # Shared axes have one set of numbers; these panels would need two.
    else:
        ax.xaxis.set_major_locator(FixedLocator(sorted(ticks)))
        ax.xaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{min(ticks.items(), key=lambda tick: abs(tick[0] - x))[1]:g}"))
    setattr(ax, "kirtle_ticks", ticks)
    top, bottom = box.y0 - 3.5 * scale, box.y1 + 1.5 * scale if down_to is None else (down_to + 4.5) * scale
    set_limits(ax, "y", bottom, top)
    set_limits(ax, "x", box.x0 - 1.5 * scale, box.x1 + 1.5 * scale)
    ax.set_aspect("equal")
    ax.set_xlabel(f"from the centre ({unit})")
    label_lengths(ax, unit, y=heights)


def tick_step(ax: Axes, width: float, height: float, unit_step: int) -> int:
    """Return the distance between two x ticks, a multiple of `unit_step`, at which their numbers do not overlap."""
    room = [0.7 * abs(np.diff(cell_extent(ax, direction))[0]) for direction in (0, 1)]
    step_pixels = unit_step * min(room[0] / width, room[1] / height)
    number_pixels = 2.4 * float(mpl.rcParams["font.size"]) * figure_of(ax).dpi / 72
    return unit_step * max(1, int(np.ceil(number_pixels / step_pixels)))
