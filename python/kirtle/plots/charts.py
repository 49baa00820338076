"""Plots of how size charts fit people: by size, by group, by region of the plane of waist and hip, and by the number of sizes."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from .._kirtle import BestChart, ChartFit
from ..words import by_weight, loss_text, number_text, share_text
from .axes import Floats, axes_of, check_choice, check_range, label_lengths, line_width, mark_size, palette, series_style, write_head
from .ease_profile import unique_handles


def chart_fit(fit: ChartFit, *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the number of people assigned to each size, split into served and unserved people; by weight if they have weights."""
    ax = axes_of(ax)
    names = [name for name, _, _ in fit.loads]
    loads: Sequence[tuple[float, float]] = fit.load_weights or [(assigned, served) for _, assigned, served in fit.loads]
    draw_served(ax, names, *np.array(loads, float).T)
    weights = ", sum of weights" * bool(fit.load_weights)
    ax.set(xlabel="size", ylabel=f"people whose nearest size it is{weights}")
    ax.yaxis.set_major_formatter("{x:,.0f}")
    head = f"{fit.served:,} of {fit.count - fit.unmeasured:,} people served ({share_text(fit, '.0%', by_weight(fit))})"
    bars = "; ".join(f"size {name}: {served:,.12g} of {assigned:,.12g}" for name, (assigned, served) in zip(names, loads, strict=True))
    return write_head(ax, head, f"People served by size{weights}. {head}. {bars}.", title=title)


def regions(fit: ChartFit, *, step: float | None = None, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the share of served people in squares of the plane of waist and hip.

    The side of a square is `step`, in the unit of the fit; by default 4 cm, 40 mm or 1.5 in. The area of the drawn square is proportional
    to its number of people, or to the sum of their weights.
    """
    step = {"cm": 4.0, "mm": 40.0, "in": 1.5}[fit.unit] if step is None else step
    squares = [square for square in fit.regions(step) if square[2] > 0]
    check_range("people", len(squares), 1)
    ax = axes_of(ax)
    colours = palette(ax)
    largest = max(people for _, _, people, _ in squares)
    for waist, hip, people, served in squares:
        side = step * max((people / largest) ** 0.5, 0.12)
        corner = (waist + (step - side) / 2, hip + (step - side) / 2)
        shade = colours.shades(served / people)
        ax.add_patch(Rectangle(corner, side, side, facecolor=shade, edgecolor=colours.ink, linewidth=line_width(0.4)))
    ax.set_aspect("equal")
    # A part of the axes, so that the bar is no higher than the plane.
    beside = ax.inset_axes((1.04, 0, 0.05, 1))
    bar = ax.figure.colorbar(ScalarMappable(Normalize(0, 100), colours.shades), cax=beside, label="served (%)")
    bar.outline.set_visible(False)
    ax.autoscale_view()
    label_lengths(ax, fit.unit, x="waist", y="hip")
    head = f"Area of a square: {'weight of ' * bool(fit.load_weights)}its people, at most {largest:,.0f}"
    return write_head(ax, head, f"Share of served people by waist and hip, {share_text(fit, '.0%', ' of all')}. {head}.", title=title)


def best_charts(charts: Sequence[BestChart], *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the mean loss of best charts with one loss and its lower bound, over the number of sizes."""
    check_range("charts", len(charts), 1)
    loss, scale = loss_text(charts[0]), 100 if charts[0].loss_name == "within" else 1
    for chart in charts:
        check_choice("charts", loss_text(chart), (loss,))
    ax = axes_of(ax)
    counts = [len(chart.sizes) for chart in charts]
    colours, size = palette(ax), mark_size(1)
    found, bound = ([scale * getattr(chart, name) for chart in charts] for name in ("loss", "bound"))
    ax.plot(counts, found, "o-", color=colours.ink, markersize=size, label="best found")
    ax.plot(counts, bound, "s:", color=colours.dart, markerfacecolor=colours.paper, markersize=size, label="lower bound")
    ax.set_ylim(bottom=0)
    ax.set(xticks=counts, xlabel="sizes in the chart", ylabel=loss + " (%)" * (scale == 100))
    points = "; ".join(f"{count}: {one:.3g}, at least {low:.3g}" for count, one, low in zip(counts, found, bound, strict=True))
    return write_head(ax, "Best charts by number of sizes", f"Best charts by number of sizes, {ax.get_ylabel()}. {points}.", title=title)


def coverage(charts: Sequence[BestChart] | Mapping[str, Sequence[BestChart]], *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the share of people served by best charts within a tolerance, and the most that any chart can serve, over the number of sizes.

    `charts` are results of `best_chart` with ``loss="within"``, or several sequences of them by label, such as charts with and without a
    constraint: the distance between their lines is what the constraint costs. The band is the 95% interval of the first line's shares, by
    the bootstrap of a simple random sample: with n people the number served is then binomial. With weights, n is the effective number of
    people by Kish (`BestChart.effective`). A best chart serves fewer people of another sample.
    """
    series = charts if isinstance(charts, Mapping) else {"found": charts}
    check_range("charts", min((len(line) for line in series.values()), default=0), 1)
    for chart in (chart for line in series.values() for chart in line):
        check_choice("charts", chart.loss_name, ("within",))
    ax = axes_of(ax)
    colours, texts = palette(ax), []
    for k, (label, line) in enumerate(series.items()):
        counts = [len(chart.sizes) for chart in line]
        served, most = (np.array([100 * (1 - getattr(chart, name)) for chart in line]) for name in ("loss", "bound"))
        if k == 0:
            error = 196 * np.sqrt(served / 100 * (1 - served / 100) / [chart.effective for chart in line])
            low, high = np.clip([served - error, served + error], 0, 100)
            ax.fill_between(counts, low, high, color=colours.shade(0.16), linewidth=0, label="95% interval")
        ax.plot(counts, served, markersize=mark_size(0.8), linewidth=line_width(1), label=label, **series_style(ax, k, len(series)))
        ax.plot(
            counts, most, "_", color=colours.dart, markersize=mark_size(2), markeredgewidth=line_width(0.9), label=None if k else "proven maximum",
        )
        points = "; ".join(f"{n}: {one:.1f}%, at most {top:.1f}%" for n, one, top in zip(counts, served, most, strict=True))
        texts.append(f"{label}: {points}.")
    ax.set(xticks=sorted({len(chart.sizes) for line in series.values() for chart in line}), xlabel="sizes in the chart", ylabel=f"served{by_weight(next(iter(series.values()))[0])} (%)")
    ax.set_ylim(bottom=0)
    head = "People served by number of sizes"
    return write_head(ax, head, f"{head}. {' '.join(texts)}", title=title)


def constraint_costs(charts: Mapping[str, BestChart], *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot what constraints cost: a bar for each best chart, by label, and a line at its proven bound.

    All charts have one loss. For the loss `within`, a bar is the share of people served; otherwise it is the mean loss.
    """
    check_range("charts", len(charts), 1)
    best = list(charts.values())
    loss, is_share = loss_text(best[0]), best[0].loss_name == "within"
    for chart in best:
        check_choice("charts", loss_text(chart), (loss,))
    found, bound = (np.array([getattr(chart, name) for chart in best]) for name in ("loss", "bound"))
    if is_share:
        found, bound = 100 * (1 - found), 100 * (1 - bound)
    ax = axes_of(ax)
    rows, colours = range(len(best)), palette(ax)
    ax.barh(rows, found, color=colours.guide, edgecolor=colours.ink, linewidth=line_width(0.5), label="best found")
    label = "proven maximum" if is_share else "proven minimum"
    ax.plot(bound, rows, "|", color=colours.dart, markersize=mark_size(2), markeredgewidth=line_width(1.5), label=label)
    ax.set_yticks(rows, list(charts))
    ax.invert_yaxis()
    ax.set_xlim(left=0)
    ax.set(xlabel=f"served{by_weight(best[0])} (%)" if is_share else loss, ylabel="constraint")
    limit = "at most" if is_share else "at least"
    bars = "; ".join(f"{label}: {one:.3g}, {limit} {end:.3g}" for label, one, end in zip(charts, found, bound, strict=True))
    return write_head(ax, "What constraints cost", f"Best charts under constraints, {ax.get_xlabel()}. {bars}.", title=title)


def size_roll(best: BestChart, *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the share of people in each size of a best chart; every person counts in the size with the least loss.

    For the loss `within`, the share is split into people whom the size serves and people for whom it is the nearest size.
    """
    ax = axes_of(ax)
    depths: list[tuple[float, ...]] = [(depth,) for depth in best.hip_depths] or [()] * len(best.sizes)
    sizes = [(waist, hip, *depth) for (waist, hip, _), depth in zip(best.sizes, depths, strict=True)]
    names = ["\n".join(map(number_text, size)) for size in sizes]
    shares = 100 * np.array([share for _, _, share in best.sizes])
    if best.served:
        draw_served(ax, range(len(names)), shares, 100 * np.array(best.served))
    else:
        ax.bar(range(len(names)), shares, color=palette(ax).guide, edgecolor=palette(ax).ink, linewidth=line_width(0.5))
    ax.set_xticks(range(len(names)), names)
    girths = "waist, hip and hip depth" if best.hip_depths else "waist and hip"
    ax.set(xlabel=f"{girths} of the size ({best.unit})", ylabel=f"people{by_weight(best)} (%)")
    served = [f", served {share:.1%}" for share in best.served] or [""] * len(names)
    bars = "; ".join(f"{'/'.join(f'{length:.4g}' for length in size)}: {share:.1%}{here}" for size, (_, _, share), here in zip(sizes, best.sizes, served, strict=True))
    head = f"People by size: {best.measured:,} people, {len(names)} sizes"
    return write_head(ax, head, f"{head}. Share of people by {girths.replace(', ', '/').replace(' and ', '/')} of the size ({best.unit}). {bars}.", title=title)


def draw_served(ax: Axes, sizes: Sequence[Any], assigned: Floats, served: Floats) -> None:
    """Draw a bar for each size: the people assigned to it, split into served and unserved people."""
    colours, width = palette(ax), line_width(0.5)
    edges: dict[str, Any] = {"edgecolor": colours.ink, "linewidth": width}
    ax.bar(sizes, served, color=colours.guide, label="served", **edges)
    ax.bar(
        sizes, assigned - served, bottom=served, color=colours.paper, hatch="////", label="nearest size, but not served", **edges
    )


def served_by_group(fit: ChartFit, *, title: bool = True, ax: Axes | None = None) -> Axes:
    """Plot the share of served people of each group, with its 95% interval, and the share of all; for a fit with groups (`by`)."""
    check_range("groups", len(fit.groups), 1)
    ax = axes_of(ax)
    colours = palette(ax)
    groups = fit.groups
    # A missing share is NaN, which matplotlib leaves out.
    share, *shares = 100 * np.array([fit.share_served, *(group.share_served for group in groups)], np.float64)
    names = [f"{'(none)' if group.group is None else group.group} ({group.count - group.unmeasured:,})" for group in groups]
    for row, group in enumerate(groups):
        if group.interval is not None:
            ends = [100 * end for end in group.interval]
            ax.plot(ends, [row, row], "|-", color=colours.ink, linewidth=line_width(0.8), markersize=mark_size(1), label="95% interval")
    ax.plot(shares, range(len(groups)), "o", color=colours.ink, markersize=mark_size(1))
    ax.axvline(share, color=colours.guide, linestyle="--", linewidth=line_width(0.8), label=f"all: {share_text(fit, '.0%')}")
    ax.set_yticks(range(len(names)), names)
    ax.set_ylim(len(names) - 0.5, -0.5)
    ends = [100 * people.interval[1] for people in groups if people.interval]
    highest = np.nanmax([share, *shares, *ends, 1])
    ax.set_xlim(0, next(end for end in (2, 5, 10, 20, 30, 40, 50, 60, 80, 100) if end >= min(1.05 * highest, 100)))
    ax.set(xlabel=f"served{by_weight(fit)} (%)", ylabel="group (people)")
    rows = "; ".join(f"{name}: {share_text(group)}" for name, group in zip(names, groups, strict=True))
    return write_head(ax, "People served by group", f"Share of people served by group, {share_text(fit, suffix=' of all')}. {rows}.", handles=unique_handles(ax), title=title)
