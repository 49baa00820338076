"""Plots of the ease from the waist to below the hip line: as curves, and as closed lines around the body in space."""

from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, EaseByLevel
from ..words import draft_labels, given_number, length, length_number, number_text, subject
from .axes import STYLES, Floats, axes_of, check_range, fit_text, input_error, label_lengths, line_width, mark_size, named_items
from .axes import palette, per_cm, series_style, set_limits, unit_of, write_head, write_near
from .panels import legend_lines

SHOWN_DEPTH = 1.25
"""Depth of the plot divided by the depth of the hip line; below the hip line the ease stays the same."""

STEP = 0.25
"""Distance between the levels of a draft in centimetres, small enough for a smooth curve."""

SECTION_DEPTH_PER_WIDTH = 0.75
"""Assumed depth of a section of the body divided by its width."""


def ease_by_level(
    source: Draft | EaseByLevel | Sequence[Draft | EaseByLevel] | Mapping[str, Draft | EaseByLevel], *, high_hip: float | None = None, high_hip_depth: float | None = None,
    labels: Sequence[str] | None = None, unit: str | None = None, title: bool = True, ax: Axes | None = None,
) -> Axes:
    """Plot the ease by level from the waist to below the hip line: of one draft with its least and greatest ease, or of several.

    `source` is a draft, a result of `Draft.ease_by_level`, or a sequence of these, with `labels`, or a mapping from labels. For drafts,
    `high_hip` and `high_hip_depth` are as in `Draft.ease_by_level`, in `unit`, and marks show the levels where darts end: hollow in the
    back, filled in the front. Without these, each draft is over its own body, with the high hip of its figure or an assumed one. A result has
    a unit of its own.
    """
    sources, labels = named_items(source, labels)
    check_range("source", len(sources), 1)
    unit = unit_of(sources[0], unit)
    profiles = [ease_profile(one, high_hip, high_hip_depth, unit) for one in sources]
    drafts = [one for one in sources if isinstance(one, Draft)]
    names = draft_labels(sources, labels, unit)
    ax = axes_of(ax)
    colours, is_single = palette(ax), len(sources) == 1
    hips = {profile.hip_line for profile in profiles}
    hip = max(hips)
    for index, (profile, name) in enumerate(zip(profiles, names, strict=True)):
        label = "garment minus body" if is_single and labels is None else name
        ax.plot(profile.ease, profile.levels, linewidth=line_width(1), label=label, **series_style(ax, index, len(sources)) | {"marker": ""})
    shade_negative(ax, profiles)
    ax.axvline(0, color=colours.ink, linewidth=line_width(0.5))
    for one, profile in zip(sources, profiles, strict=True):
        if isinstance(one, Draft):
            mark_tips(ax, one, profile)
    if is_single:
        mark_extremes(ax, profiles[0])
    for line in hips:
        ax.axhline(line, color=colours.guide, linestyle="--", linewidth=line_width(0.6))
    write_near(ax, "hip line" if len(hips) == 1 else "hip lines", (0, hip), (4, -3), xycoords=("axes fraction", "data"), va="top")
    set_limits(ax, "y", min(SHOWN_DEPTH * hip, profiles[0].levels[-1]), -0.06 * hip)
    ease = np.concatenate([[0.0], *(profile.ease for profile in profiles)])
    room = 0.25 * max(np.ptp(ease), 0.1)  # For labels at both sides.
    set_limits(ax, "x", ease.min() - room, ease.max() + room)
    ax.xaxis.set_major_locator(MaxNLocator("auto", steps=[1, 2, 5, 10]))
    label_lengths(ax, unit, x="ease", y="below the waist")
    high_hips = {(figure.high_hip, figure.high_hip_depth) if figure else (None, None) for figure in (one.body.figure for one in drafts)}
    differ = high_hip is None and len(high_hips) > 1
    head = (subject(drafts, unit) if drafts else "Ease by level") + ". Each over its own high hip, measured or assumed" * differ
    extremes = [f"least {length(one.tightest[1], unit)}, greatest {length(one.loosest[1], unit)}." for one in profiles]
    texts = [f"{name}: {extreme}" for name, extreme in zip(names, extremes, strict=True)]
    if is_single and labels is None:
        texts = [extremes[0].capitalize()]
    if differ:
        texts.append("To compare them over one body, give high_hip and high_hip_depth.")
    return write_head(ax, head, f"Ease from the waist to below the hip line. {head}. {' '.join(texts)}", handles=unique_handles(ax), title=title)


def unique_handles(ax: Axes) -> list[Any]:
    """Return what is labelled on the axes, once for each label."""
    handles, labels = ax.get_legend_handles_labels()
    return list(dict(zip(labels, handles, strict=True)).values())


def ease_profile(source: Draft | EaseByLevel, high_hip: float | None, high_hip_depth: float | None, unit: str) -> EaseByLevel:
    """Return the given ease by level, or compute it from a draft; refuse a high hip without a draft."""
    if isinstance(source, Draft):
        return source.ease_by_level(high_hip=high_hip, high_hip_depth=high_hip_depth, step=STEP * per_cm(unit), unit=unit)
    unit_of(source, unit)
    for field, value in (("high_hip", high_hip), ("high_hip_depth", high_hip_depth)):
        if value is not None:
            text = "cannot be given together with an ease by level, which already has a body profile"
            raise input_error("conflict", field, value, "an ease by level", None, text)
    return source


def shade_negative(ax: Axes, profiles: Sequence[EaseByLevel]) -> None:
    """Hatch the levels where a garment is narrower than the body."""
    colours = palette(ax)
    for profile in profiles:
        ease = np.array(profile.ease)
        if ease.min() < 0:
            ax.fill_betweenx(
                np.array(profile.levels), ease, 0, where=list(ease < 0), interpolate=True, facecolor=colours.cloth, edgecolor=colours.dart,
                hatch="////", linewidth=0, label="narrower than the body",
            )


def mark_tips(ax: Axes, draft: Draft, profile: EaseByLevel) -> None:
    """Mark the ease at the levels of a tape that passes through a dart tip."""
    colours, scale = palette(ax), per_cm(profile.unit)
    for half, panel, face in (("back", draft.back, colours.paper), ("front", draft.front, colours.guide)):
        # A tape on the sewn skirt bends with the waist, so its level at the side is not the height of the tip on the flat panel.
        levels = [scale * dart.length / (1 - dart.inner[1] / draft.body.hip_depth) for dart in panel.darts]
        ax.plot(
            np.interp(levels, profile.levels, profile.ease), levels, "o", color=colours.ink, markerfacecolor=face, linestyle="none",
            markersize=mark_size(0.8), zorder=4, label=f"dart tips, {half}" if levels else None,
        )


def mark_extremes(ax: Axes, profile: EaseByLevel) -> None:
    """Mark the levels of the least and the greatest ease, each with the ease as label."""
    colours = palette(ax)
    box = {"facecolor": colours.paper, "edgecolor": "none", "alpha": 0.85, "pad": 1}
    for name, (level, ease), shape, offset in (("tightest", profile.tightest, "v", -8), ("loosest", profile.loosest, "^", 8)):
        ax.plot([ease], [level], shape, color=colours.dart, markerfacecolor=colours.paper, markersize=mark_size(1), zorder=4, label=name)
        align = "right" if offset < 0 else "left"
        write_near(ax, length(ease, profile.unit), (ease, level), (offset, 0), va="center", ha=align, zorder=5, bbox=box)


def ease_around(
    source: Draft | EaseByLevel, *, high_hip: float | None = None, high_hip_depth: float | None = None, enlarge: float = 3.0,
    unit: str | None = None, title: bool = True, ax: Any = None,
) -> Any:
    """Plot the closed skirt around the body in space: closed lines with the girths of garment and body, at levels 5 cm or 2 in apart.

    The girths are those of `Draft.ease_by_level`. The shapes are assumed: each section of the body is an ellipse three quarters as deep
    as wide, and the garment stands off equally all around, by its ease divided by 2π, so that its line is longer than the body's
    by exactly the ease. The distance is drawn `enlarge` times as large, a factor from 1 to 10; the title says so. `ax` are 3-D axes.
    """
    unit = unit_of(source, unit)
    check_range("enlarge", enlarge, 1, 10)
    if ax is not None and ax.name != "3d":
        raise ValueError('ax: these axes are flat; give 3-D axes: plt.subplot(projection="3d")')
    profile = ease_profile(source, high_hip, high_hip_depth, unit)
    ax = axes_of(ax, projection="3d")
    colours, hip = palette(ax), profile.hip_line
    step = 5.0 if unit == "cm" else 2.0
    levels = [*np.arange(0, hip - 0.4 * step, step), hip]
    turn = np.linspace(0, 2 * np.pi, 145)
    widest = 0.0
    entries = {"body": (STYLES[1], colours.guide), "garment, darts closed": ("-", colours.ink)}
    for level in levels:
        girth, ease = (float(np.interp(level, profile.levels, values)) for values in (profile.body, profile.ease))
        body, normals = section(girth, turn)
        garment = body + enlarge * ease / (2 * np.pi) * normals
        ax.plot(*body.T, -level, color=colours.guide, linestyle=STYLES[1], linewidth=line_width(0.7))
        name = "garment, narrower than the body" if ease < 0 else "garment, darts closed"
        style, colour = entries[name] = (STYLES[2], colours.dart) if ease < 0 else ("-", colours.ink)
        ax.plot(*garment.T, -level, linestyle=style, color=colour, linewidth=line_width(1))
        widest = max(widest, float(garment.max()))
        sign = "+" if ease > 0 else ""
        x = 1.12 * garment[:, 0].max()
        ax.text(x, 0, -level, f"{sign}{length_number(ease, unit)}", va="center", fontsize="small", path_effects=colours.halo)
    ax.set(xlim=(-widest, 1.3 * widest), ylim=(-widest, widest), zlim=(-levels[-1], 0))
    ax.set_box_aspect((2.3 * widest, 2 * widest, 2 * hip), zoom=0.94)
    ax.view_init(elev=28, azim=-62)
    for axis in (ax.xaxis, ax.yaxis, ax.zaxis):
        axis.set_pane_color((*colours.paper, 0))
    ax.grid(False)  # Its lines would be paler than 3 to 1.
    ax.set(xticks=[], yticks=[])
    ax.set_zticks([-level for level in levels], [given_number(level, unit) for level in levels])
    ax.set_zlabel(f"below the waist ({unit})", labelpad=float(mpl.rcParams["font.size"]))
    name = subject([source], unit) if isinstance(source, Draft) else "Ease by level"
    note = f"Assumed: elliptic sections {SECTION_DEPTH_PER_WIDTH:g} as deep as wide, the same ease all around"
    times = f". Numbers: ease ({unit})" + f", drawn {number_text(enlarge)} times as large" * (enlarge != 1)
    assumed = ax.text2D(0.5, 0, note, transform=ax.transAxes, ha="center", va="bottom", fontsize="small", in_layout=False)
    extremes = (profile.tightest, profile.loosest)
    least, greatest = (f"{length(ease, unit)} at {length(level, unit)} below the waist" for level, ease in extremes)
    text = f"The closed skirt around the body. {name}{times}. Least ease {least}, greatest {greatest}. {note}."
    write_head(ax, f"{name}{times}", text, handles=legend_lines(entries), title=title)
    fit_text(assumed, 0.96 * float(ax.bbox.width), 0)
    return ax


def section(girth: float, turn: Floats) -> tuple[Floats, Floats]:
    """Return points of the ellipse with a girth, and its outward normals of length 1 at the points."""
    points = np.stack([np.cos(turn), SECTION_DEPTH_PER_WIDTH * np.sin(turn)], axis=-1)
    normals = np.stack([SECTION_DEPTH_PER_WIDTH * np.cos(turn), np.sin(turn)], axis=-1)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return points * girth / np.linalg.norm(np.diff(points, axis=0), axis=1).sum(), normals
