"""What moves a draft: one number by its inputs, and its points by the errors of the inputs."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Ellipse as Oval
from matplotlib.ticker import MaxNLocator

from .._kirtle import Draft, Ellipse, StandardErrors, Sensitivity
from .panels import Place, cloth, finish, legend
from .sheet import DART, GUIDE, HALO, INK, Floats, at_least, at_most, axes_of, choice, letters, per_cm

SIGNS = {"deg": "°", "cm": " cm", "in": " in"}
"""How a unit stands behind a number."""

FACTORS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""How much larger ellipses may be drawn."""


def sensitivity(
    source: Draft | Sensitivity, quantity: str, *, errors: StandardErrors | None = None, count: int = 10, ax: Axes | None = None
) -> Axes:
    """How much a number of the draft, such as ``back.darts[0].intake``, changes by each input, the most at the top.

    Each bar is the derivative times the change that stands beside it: 1 cm (or 1 in, where a `Sensitivity` is in inches), 1° or,
    for a ratio, 0.01; with `errors` the standard error of each, and the title tells what they come to together. Of the inputs
    the `count` that change it most are shown.
    """
    at_least("count", count, 1)
    made = source.sensitivity() if isinstance(source, Draft) else source
    inputs = made.inputs if errors is None else errors.names
    slopes = np.array([made[quantity, name] for name in inputs])
    units = dict(zip(made.inputs, made.input_units, strict=True))
    steps = [step(units[name]) for name in inputs]
    sizes = np.array([size for size, _ in steps]) if errors is None else np.sqrt(np.diag(errors.covariance))
    names = [f"{name}   per {size:.3g}{sign}" for name, size, (_, sign) in zip(inputs, sizes, steps, strict=True)]
    value, sign = number(made, quantity)
    effects = slopes * sizes
    order = np.argsort(-abs(effects), kind="stable")
    ax = axes_of(ax)
    bars(ax, [names[k] for k in order[:count]], effects[order[:count]])
    ax.set_xlabel(f"change ({sign.strip()}){left_out(abs(effects[order[count:]]), sign)}")
    ax.set_ylabel("per change of one input" if errors is None else "per standard error of one input")
    title = f"{quantity} = {value:.3f}{sign}"
    if errors is not None:
        total = float(np.sqrt(slopes @ np.array(errors.covariance) @ slopes))
        title = f"{quantity} = {value:.3f} ± {total:.3f}{sign}"
    ax.set_title(title, fontsize=letters(ax, largest=10))
    return ax


def step(unit: str) -> tuple[float, str]:
    """A small change of an input that has this unit, and how the unit stands behind it."""
    return (1.0, SIGNS[unit]) if unit else (0.01, "")


def number(made: Sensitivity, quantity: str) -> tuple[float, str]:
    """A number of the draft, and how its unit stands behind it."""
    row = made.quantities.index(quantity)
    unit = made.units[row]
    return made.values[row], SIGNS.get(unit, f" {unit}")


def bars(ax: Axes, names: list[str], effects: Floats) -> None:
    """A bar for each effect, with its value at its end; what makes less is white and hatched."""
    places = np.arange(len(names))
    size, thick, exact = letters(ax), min(0.62, 0.12 * len(names)), decimals(abs(effects).max())
    for those, colour, hatch in ((effects >= 0, GUIDE, ""), (effects < 0, "white", "////")):
        ax.barh(places[those], effects[those], height=thick, color=colour, edgecolor=INK, linewidth=0.8, hatch=hatch)
    for place, effect in zip(places, effects, strict=True):
        away, side = (4, "left") if effect >= 0 else (-4, "right")
        text = f"{effect:+.{exact}f}".replace("-", "−") if effect else "0"
        ax.annotate(
            text, (effect, place), xytext=(away, 0), textcoords="offset points", ha=side, va="center", fontsize=size, color=INK,
        )
    ax.axvline(0, color=INK, linewidth=0.8)
    ax.set_yticks(places, names, fontsize=size)
    ax.tick_params(axis="y", length=0)
    ax.spines["left"].set_visible(False)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.margins(x=0.24)
    ax.xaxis.set_major_locator(MaxNLocator(6))


def decimals(largest: float) -> int:
    """How many decimals show three digits of the largest."""
    return int(np.clip(2 - np.floor(np.log10(largest)), 0, 9)) if largest > 0 else 1


def left_out(rest: Floats, sign: str) -> str:
    """What is said of the inputs that are not shown."""
    if not len(rest):
        return ""
    inputs = "1 other input" if len(rest) == 1 else f"{len(rest)} other inputs"
    most = f"{rest.max():.{decimals(rest.max()) - 1}f}{sign} at the most" if rest.max() > 0 else "no change"
    return f"\n{inputs}: {most}"


def ellipses(
    draft: Draft, errors: StandardErrors, *, probability: float = 0.95, half: str = "back", magnify: float | None = None,
    unit: str = "cm", ax: Axes | None = None,
) -> Axes:
    """A panel with the ellipse in which each of its points lies with this probability, if its inputs have normal errors.

    Small ellipses are drawn `magnify` times as large, by default by a round factor that lets them be seen; the legend says so.
    Errors of lengths are in `unit`.
    """
    choice("half", half, ("back", "front"))
    at_most("probability", at_least("probability", probability, 0.01), 0.9999)
    scale, growth = per_cm(unit), Ellipse.growth(probability)
    found = [one for one in draft.uncertainty(errors, unit=unit).ellipses if one.panel == half]
    place = Place(half, 0.0, 1, 0.0, unit)
    longest = growth * max(one.semi_axes[0] for one in found)
    factor = fitting(longest, place.panel(draft).width * scale) if magnify is None else magnify
    at_most("magnify", at_least("magnify", factor, 0.1), 1000)
    ax = axes_of(ax, size=(4.5, 7))
    cloth(ax, draft, place)
    for one in found:
        oval(ax, one, growth * factor)
    ax.plot(*np.array([one.centre for one in found]).T, "o", color=INK, markersize=2.5, linestyle="none", zorder=4)
    larger = "" if factor == 1 else f", drawn {factor:g} × as large"
    named: list[tuple[Any, str, str]] = [("-", DART, f"{100 * probability:g}% ellipse{larger}"), ("--", GUIDE, "hip line")]
    legend(ax, [Line2D([], [], linestyle=style, color=colour, label=name) for style, colour, name in named])
    tell(ax, max(found, key=lambda one: one.semi_axes[0]), growth, factor, unit)
    finish(ax, [place], [draft], "below the waist at the side")
    return ax


def fitting(longest: float, width: float) -> float:
    """The largest round factor by which the ellipses stay within a fifth of the width."""
    return max((factor for factor in FACTORS if factor * longest <= width / 5), default=1.0)


def oval(ax: Axes, one: Ellipse, growth: float) -> None:
    """The ellipse of a point; where an axis is nothing, a line."""
    long, short = (2 * growth * axis for axis in one.semi_axes)
    ax.add_patch(Oval(one.centre, long, short, angle=one.angle_deg, facecolor=f"{DART}30", edgecolor=DART, linewidth=1.1, zorder=3))


def tell(ax: Axes, one: Ellipse, growth: float, factor: float, unit: str) -> None:
    """The longest half axis as it is, beside its ellipse, so that the others can be judged."""
    (long, short), turn = one.semi_axes, np.radians(one.angle_deg)
    reach = growth * factor * float(np.hypot(long * np.cos(turn), short * np.sin(turn)))
    ax.annotate(
        f"half axis\n{growth * long:.2f} {unit}", (one.centre[0] + reach, one.centre[1]), xytext=(5, 0),
        textcoords="offset points", va="center", fontsize=letters(ax), color=INK, path_effects=HALO,
    )
