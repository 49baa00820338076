"""Plot of the ease from the waist to below the hip line."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, EaseByLevel
from .axes import CLOTH, DART, GUIDE, INK, Floats, axes_of, font_size, format_length, input_error

SHOWN_DEPTH = 1.25
"""Depth of the plot divided by the depth of the hip line; below the hip line the ease stays the same."""

STEP = 0.25
"""Distance between the levels of a draft in centimetres, small enough for a smooth curve."""

LABEL_BOX = {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 1}
"""White box behind a label, which hides lines behind the text."""


def ease_by_level(
    source: Draft | EaseByLevel, *, high_hip: float | None = None, high_hip_depth: float | None = None, ax: Axes | None = None
) -> Axes:
    """Plot the ease by level from the waist to below the hip line, with marks at the least and the greatest ease.

    For a draft, `high_hip` and `high_hip_depth` are as in `Draft.ease_by_level`, in centimetres. For inches, pass the result of
    `Draft.ease_by_level`.
    """
    profile = ease_profile(source, high_hip, high_hip_depth)
    ease, levels = np.array(profile.ease), np.array(profile.levels)
    ax = axes_of(ax)
    ax.plot(ease, levels, color=INK, linewidth=1.6, label="garment less body")
    if profile.tightest[1] < 0:
        ax.fill_betweenx(
            levels, ease, 0, where=list(ease < 0), interpolate=True, facecolor=CLOTH, edgecolor=DART, hatch="////", linewidth=0,
            label="narrower than the body",
        )
    ax.axvline(0, color=INK, linewidth=0.8)
    mark_extremes(ax, profile)
    hip = profile.hip_line
    ax.axhline(hip, color=GUIDE, linestyle="--", linewidth=0.9)
    ax.annotate(
        "hip line", (0, hip), xycoords=("axes fraction", "data"), xytext=(4, 3), textcoords="offset points", va="bottom",
        fontsize=font_size(ax), color=INK,
    )
    ax.set_ylim(min(SHOWN_DEPTH * hip, levels[-1]), -0.04 * hip)
    ax.set_xlim(*ease_limits(ease))
    ax.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    ax.set(xlabel=f"ease ({profile.unit})", ylabel=f"below the waist at the side ({profile.unit})")
    ax.legend(
        frameon=False, fontsize=font_size(ax), ncols=2, handlelength=2.4, columnspacing=1.2, loc="lower center",
        bbox_to_anchor=(0.5, 1),
    )
    return ax


def ease_profile(source: Draft | EaseByLevel, high_hip: float | None, high_hip_depth: float | None) -> EaseByLevel:
    """Return the given ease by level, or compute it from a draft; refuse a high hip without a draft."""
    if isinstance(source, Draft):
        return source.ease_by_level(high_hip=high_hip, high_hip_depth=high_hip_depth, step=STEP)
    for field, value in (("high_hip", high_hip), ("high_hip_depth", high_hip_depth)):
        if value is not None:
            message = f"{field}: cannot be given together with an ease by level, which already has a body profile"
            raise input_error("conflict", field, value, "an ease by level", None, message)
    return source


def ease_limits(ease: Floats) -> tuple[float, float]:
    """Return the limits of the ease axis, with zero inside and room for labels at both sides."""
    low, high = min(ease.min(), 0.0), max(ease.max(), 0.0)
    width = max(high - low, 0.1)
    return low - 0.2 * width, high + 0.25 * width


def mark_extremes(ax: Axes, profile: EaseByLevel) -> None:
    """Mark the levels of the least and the greatest ease, each with the ease as label."""
    for name, (level, ease), shape, offset in (("tightest", profile.tightest, "v", -8), ("loosest", profile.loosest, "^", 8)):
        ax.plot([ease], [level], shape, color=DART, markerfacecolor="white", markersize=6, linestyle="none", zorder=4, label=name)
        ax.annotate(
            format_length(ease, profile.unit).replace("-", "−"), (ease, level), xytext=(offset, 6), textcoords="offset points", va="center",
            ha="right" if offset < 0 else "left", fontsize=font_size(ax), color=INK, zorder=5, bbox=LABEL_BOX,
        )
