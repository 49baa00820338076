"""The ease between waist and hem."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, EaseByLevel
from .sheet import CLOTH, DART, GUIDE, INK, Floats, axes_of, length, letters, refused

BELOW = 1.25
"""So much of the depth of the hip line is shown: below it the ease stays as it is."""

STEP = 0.25
"""From one level to the next, in centimetres: so near that a curve looks like one."""

PAPER = {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 1}
"""What lies below letters, so that no line runs through them."""


def ease_by_level(
    source: Draft | EaseByLevel, *, high_hip: float | None = None, high_hip_depth: float | None = None, ax: Axes | None = None
) -> Axes:
    """What the garment is wider than the body from the waist down past the hip line, with where it is tightest and loosest.

    With a draft `high_hip` and `high_hip_depth` are as in `Draft.ease_by_level`, in centimetres; for inches give what that returns.
    """
    made = asked(source, high_hip, high_hip_depth)
    ease, levels = np.array(made.ease), np.array(made.levels)
    ax = axes_of(ax)
    ax.plot(ease, levels, color=INK, linewidth=1.6, label="garment less body")
    if made.tightest[1] < 0:
        ax.fill_betweenx(
            levels, ease, 0, where=list(ease < 0), interpolate=True, facecolor=CLOTH, edgecolor=DART, hatch="////", linewidth=0,
            label="narrower than the body",
        )
    ax.axvline(0, color=INK, linewidth=0.8)
    mark(ax, made)
    hip = made.hip_line
    ax.axhline(hip, color=GUIDE, linestyle="--", linewidth=0.9)
    ax.annotate(
        "hip line", (0, hip), xycoords=("axes fraction", "data"), xytext=(4, 3), textcoords="offset points", va="bottom",
        fontsize=letters(ax), color=INK,
    )
    ax.set_ylim(min(BELOW * hip, levels[-1]), -0.04 * hip)
    ax.set_xlim(*room(ease))
    ax.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    ax.set(xlabel=f"ease ({made.unit})", ylabel=f"below the waist at the side ({made.unit})")
    ax.legend(
        frameon=False, fontsize=letters(ax), ncols=2, handlelength=2.4, columnspacing=1.2, loc="lower center",
        bbox_to_anchor=(0.5, 1),
    )
    return ax


def asked(source: Draft | EaseByLevel, high_hip: float | None, high_hip_depth: float | None) -> EaseByLevel:
    """The ease that is to be shown."""
    if isinstance(source, Draft):
        return source.ease_by_level(high_hip=high_hip, high_hip_depth=high_hip_depth, step=STEP)
    for field, given in (("high_hip", high_hip), ("high_hip_depth", high_hip_depth)):
        if given is not None:
            message = f"{field}: cannot be given together with an ease by level, which has its own"
            raise refused("conflict", field, given, "an ease by level", None, message)
    return source


def room(ease: Floats) -> tuple[float, float]:
    """The ends of the axis of ease: zero is there, and letters beside each mark."""
    least, most = min(ease.min(), 0.0), max(ease.max(), 0.0)
    wide = max(most - least, 0.1)
    return least - 0.2 * wide, most + 0.25 * wide


def mark(ax: Axes, made: EaseByLevel) -> None:
    """A mark where the garment is tightest, and one where it is loosest, each with its ease."""
    for name, (level, ease), shape, away in (("tightest", made.tightest, "v", -8), ("loosest", made.loosest, "^", 8)):
        ax.plot([ease], [level], shape, color=DART, markerfacecolor="white", markersize=6, linestyle="none", zorder=4, label=name)
        ax.annotate(
            length(ease, made.unit).replace("-", "−"), (ease, level), xytext=(away, 6), textcoords="offset points", va="center",
            ha="right" if away < 0 else "left", fontsize=letters(ax), color=INK, zorder=5, bbox=PAPER,
        )
