"""Plot of several drafts over each other, aligned at the hip line or the waist, with their differences enlarged if wanted."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.ticker import FuncFormatter

from .._kirtle import Draft
from ..words import draft_labels, given_number, number_text, subject
from .axes import Floats, axes_of, check_choice, check_range, fit_texts, line_width, mark_size, named_items, palette, per_cm, series_style, unit_of, write_head
from .panels import PanelFrame, draft_text, frames_of, name_panel, path_of, scale_and_label

HEIGHTS = {"hip": "height from the hip line", "waist": "below the waist"}
"""Labels of the heights in an overlay, by the level at which the drafts are aligned."""


def overlay(
    drafts: Sequence[Draft] | Mapping[str, Draft], *, labels: Sequence[str] | None = None, half: str = "both", heights: str = "hip", down_to: str = "hem",
    exaggerate: float = 1.0, unit: str | None = None, title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot several drafts over each other, aligned at the centre line, with marks at the dart tips.

    `labels`, or the names of a mapping, has one label for each draft; the default names what differs, ease or body. `half` is ``back``, ``front`` or ``both``.
    `heights` is the level of alignment: ``hip``, with signed distances from the hip line, or ``waist``, with depths below the waist.
    `down_to` is the lower end of the plot, ``hem`` or ``hip``. `exaggerate`, from 1 to 20, multiplies the displacement of each point from
    its place in the first draft; the title has the factor. If the number of darts differs from that of the first draft, waist and darts
    move with the ends of the waist.
    """
    drafts, labels = named_items(drafts, labels)
    check_range("drafts", len(drafts), 1)
    check_choice("half", half, ("back", "front", "both"))
    check_choice("heights", heights, tuple(HEIGHTS))
    check_choice("down_to", down_to, ("hem", "hip"))
    check_range("exaggerate", exaggerate, 1, 20)
    frames = frames_of(drafts, half, unit := unit_of(drafts[0], unit), exaggerate)
    names = draft_labels(drafts, labels, unit)
    ax = axes_of(ax)
    handles, look = [], {"linewidth": line_width(0.9), "markersize": mark_size(0.7), "markerfacecolor": palette(ax).paper}
    for index, (draft, name) in enumerate(zip(drafts, names, strict=True)):
        style = series_style(ax, index, len(drafts)) | look
        for frame in frames:
            edges, reference = (aligned_edges(one, frame, heights) for one in (draft, drafts[0]))
            draw_outline(ax, enlarged(edges, reference, exaggerate), frame, style)
        handles.append(Line2D([], [], label=name, **style))
    deepest = max(draft.body.hip_depth for draft in drafts)
    hip = 0.0 if heights == "hip" else deepest
    ax.axhline(hip * per_cm(unit), color=palette(ax).guide, linewidth=line_width(0.5), linestyle=":")
    panel_names = [name_panel(ax, frame, min(frame.panel(draft).width for draft in drafts) / 2, hip) for frame in frames]
    scale_and_label(ax, frames, drafts, HEIGHTS[heights], down_to=hip if down_to == "hip" else None)
    if heights == "hip":
        ax.yaxis.set_major_formatter(FuncFormatter(lambda y, _: ("+" if y < 0 else "") + given_number(0 - y, unit)))
    enlarge = f"; differences from {names[0]} enlarged {number_text(exaggerate)} times" if exaggerate != 1 else ""
    text = " ".join(f"{name}: {draft_text(draft, unit)}" for name, draft in zip(names, drafts, strict=True))
    write_head(ax, f"{subject(drafts, unit)}{enlarge}", f"Drafts of straight skirts over each other{enlarge}. {text}", handles=handles, title=title)
    fit_texts(ax, panel_names)
    return ax


def aligned_edges(draft: Draft, frame: PanelFrame, heights: str) -> list[tuple[str, Floats]]:
    """Return role and cubic of each edge of a panel, in centimetres, with heights from the level of alignment, `hip` or `waist`."""
    depth = draft.body.hip_depth
    zero = [0.0, depth if heights == "hip" else 0.0]
    edges = []
    for edge in frame.panel(draft).edges:
        points = np.asarray(edge.points, float)
        # A slanted centre has an edge above and an edge below the hip line; a straight one is cut there as well.
        is_cut = edge.role == "centre" and points[0][1] > depth > points[1][1]
        ends = np.array([points[0], [points[0][0], depth], points[1]]) if is_cut else points
        parts = [points] if len(points) == 4 else [np.linspace(ends[k], ends[k + 1], 4) for k in range(len(ends) - 1)]
        edges += [(edge.role, part - zero) for part in parts]
    return edges


def enlarged(edges: list[tuple[str, Floats]], reference: list[tuple[str, Floats]], factor: float) -> list[tuple[str, Floats]]:
    """Return the edges with each difference from the reference times a factor.

    If the numbers of darts differ, points of waist and darts have no counterpart: they move with the ends of the waist.
    """
    has_counterparts = len(edges) == len(reference)
    own, other = ([points for role, points in one if role not in ("waist", "dart")] for one in (edges, reference))
    by_end = [edges[0][1][0] - reference[0][1][0], own[0][0] - other[0][0]]
    moved = []
    rest = iter(zip(own, other, strict=True))
    for k, (role, points) in enumerate(edges):
        if has_counterparts:
            difference = points - reference[k][1]
        elif role in ("waist", "dart"):
            share = points[:, :1] / own[0][0, 0]
            difference = (1 - share) * by_end[0] + share * by_end[1]
        else:
            difference = np.subtract(*next(rest))
        moved.append((role, points + (factor - 1) * difference))
    return moved


def draw_outline(ax: Axes, edges: list[tuple[str, Floats]], frame: PanelFrame, style: dict[str, Any]) -> None:
    """Draw the outline of a panel, with marks at the dart tips."""
    path = path_of([points for _, points in edges], frame, closed=True)
    colour, line = style["color"], {name: style[name] for name in ("linestyle", "linewidth")}
    ax.add_patch(PathPatch(path, facecolor="none", edgecolor=colour, **line))
    legs = [points for role, points in edges if role == "dart"]
    if legs:
        ax.plot(*frame([inner[-1] for inner in legs[::2]]).T, **style | {"linestyle": "none"})
