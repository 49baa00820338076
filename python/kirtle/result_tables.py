"""Results as tables in a notebook: numbers with units, rounded to the marks of a tape."""

import collections
import csv
import math
from collections.abc import Sequence
from typing import Any

from ._kirtle import BestChart, BestSizes, Body, ChartComparison, ChartFit, Choice, Dart, Draft, DraftTable, Ease, EaseByLevel, Figure, Finding, FitComparison
from ._kirtle import Girths, GivenDart, GroupComparison, GroupFit, Lengths, Proof, RefusedPeople, Rules, Sensitivity, SizeChart, Solutions, Suppression
from ._kirtle import Uncertainty, format_length
from .options import CM_PER_UNIT
from .table_formats import Table
from .words import DART_COUNTS, LENGTH_RULES, MAIN_QUANTITIES, all_lengths, by_weight, ends_text, figure_numbers, given_length, input_text, length
from .words import length_number, loss_text, points_text, proof_text, quantity_text, rule_numbers, share_text, signed, size_table, unit_suffix, within_text

DRAFT_COLUMNS = ("back_darts", "front_darts", "suppression_total", "side_seam", "back_width", "front_width", "error_text")
"""Columns shown of the first drafts of a table."""

UNIT_WORDS = {"cm": "cm", "in": "inches", "mm": "mm"}
"""Units as words after "in"."""

STEPS = {"cm": 0.1, "in": 1 / 16}
"""Step to which a table rounds a length, by unit."""

ROWS = 5
"""Number of drafts shown of a table."""

MAIN_INPUTS = ("ease.waist", "ease.hip", "body.waist", "body.hip")
"""Inputs shown of derivatives with respect to more than `COLUMNS` inputs."""

COLUMNS = 8
"""Largest number of inputs all of which are shown."""


def label(name: str) -> str:
    """Return the name of an attribute or column as words."""
    return name.replace("_", " ")


def lengths(caption: str, result: Any, *names: str) -> Table:
    """Return the table of the named lengths of a result, with two decimals for lengths in the unit of the caller and for suppressions."""
    unit = getattr(result, "unit", "cm")
    is_given = hasattr(result, "unit") or isinstance(result, Suppression)
    texts = [given_length(value, unit) if is_given else length(value / CM_PER_UNIT[unit], unit) for value in (getattr(result, name) for name in names)]
    return Table(caption, (), list(zip(map(label, names), texts, strict=True)))


def body(measured: Body) -> Table:
    """Return the measurements of a body, with those of its figure."""
    rows = lengths("Body", measured, "waist", "hip", "hip_depth", "length").rows
    return Table("Body", (), rows + figure(measured.figure).rows if measured.figure is not None else rows)


def figure(measured: Figure) -> Table:
    """Return the measurements of a figure that are given."""
    return lengths("Figure", measured, *figure_numbers(measured))


def rules(result: Rules) -> Table:
    """Return the rules that differ from their default, and given darts."""
    numbers, usual = (rule_numbers(rules) | rule_numbers(rules.shares) for rules in (result, Rules()))
    rows: list[tuple[str, ...]] = [
        (label(name), rule_text(name, value), f"instead of {rule_text(name, usual[name])}")
        for name, value in numbers.items() if value != usual[name]
    ]
    for half in ("back", "front") if result.darts else ():
        rows += [(f"{half} dart {k}", *given_dart(dart)) for k, dart in enumerate(getattr(result.darts, half), 1)]
    return Table("Rules that differ from the default" if rows else "Rules: each has its default", (), rows)


def rule_text(name: str, value: float | str) -> str:
    """Return the number of a rule as text with its unit; a number of darts may be a word."""
    if name in DART_COUNTS:
        return str(value)
    value = float(value)
    return length(value) if name in LENGTH_RULES else f"{value:.3g}" + ("°" if name == "steepest_side" else "")


def given_dart(dart: GivenDart) -> tuple[str, str]:
    """Return the size of a given dart and its place as texts."""
    place = f"at {dart.place:.0%} of the waist" if dart.place is not None else f"{length(dart.centre or 0)} from the centre line"
    return f"{length(dart.intake)} × {length(dart.length)}", place


def proof(result: Proof) -> Table:
    """Return the checks of a proof: what is measured, and what is expected."""
    rows = [
        (
            f"{label(check.name)}, {check.panel}",
            *(f"{round(number, 9):.4g}{unit_suffix(check.unit)}" for number in (check.measured, check.expected)), "yes" if check.holds else "no",
        )
        for check in result.checks
    ]
    caption = "Proof of a draft: " + ("every check holds" if result.holds else "not every check holds")
    return Table(caption, ("check", "measured", "expected", "holds"), rows)


def finding(result: Finding) -> Table:
    """Return a caution and the compared numbers."""
    rows: list[tuple[str, ...]] = [(name, f"{getattr(result, name):.4g}{unit_suffix(result.unit)}") for name in ("measured", "limit")]
    return Table(f"Caution: {result.message}", (), rows)


def size_chart(chart: SizeChart) -> Table:
    """Return the sizes of a chart, in the unit in which they were given."""
    heads, *sizes = csv.reader(chart.to_csv(chart.unit).splitlines())
    rows = [(name, *(format_length(float(number), chart.unit) for number in numbers)) for name, *numbers in sizes]
    return Table(f"Size chart, in {UNIT_WORDS[chart.unit]}", ("size", *map(label, heads[1:])), rows)


def choice(result: Choice) -> Table:
    """Return the advised size, its differences from the body, and the advice in words."""
    advised = result.advised
    rows = [(f"{girth} of the size minus {girth} of the body", length(getattr(advised, girth))) for girth in ("waist", "hip") if advised]
    rows += [(f"change of the pattern's {girth}", length(getattr(result, f"{girth}_by"))) for girth in ("waist", "hip")]
    return Table(f"Size {advised.size}" if advised else "No size", (), [*rows, ("advice", result.advice)])


def ease_text(settings: dict[str, Any]) -> str:
    """Return the ease among the settings of drafts, in their unit, or the columns of the ease."""
    eases = {girth: settings["columns"].get(f"ease.{girth}", settings.get("ease", {}).get(girth)) for girth in ("waist", "hip")}
    texts = {girth: f"of the column {ease}" if isinstance(ease, str) else f"{ease:.3g} {settings['unit']}" for girth, ease in eases.items()}
    return f"ease {texts['waist']} at the waist, {texts['hip']} at the hip"


def draft_table(table: DraftTable) -> Table:
    """Return the first drafts of a table; the caption has the number of refused rows by reason."""
    try:
        import pyarrow
    except ImportError:  # Kirtle itself requires no Arrow library.
        return Table(f"{len(table):,} drafts, {table.refused:,} refused", (), [])
    drafts = pyarrow.table(table)
    reasons = collections.Counter(codes[0] for codes in drafts["error_codes"].drop_null().to_pylist()).most_common()
    refused = "; ".join(f"{count:,} refused: {label(reason)}" for reason, count in reasons) or "none refused"
    columns = [name for name in DRAFT_COLUMNS if name != "error_text" or reasons]
    settings = table.settings
    unit = settings["unit"]

    def text(value: Any) -> str:
        return "" if value is None else format_length(value, unit) if isinstance(value, float) else str(value)

    rows = [(str(k), *map(text, row.values())) for k, row in enumerate(drafts.select(columns).slice(0, ROWS).to_pylist())]
    return Table(f"{len(drafts):,} drafts, {refused}; {ease_text(settings)}; lengths in {UNIT_WORDS[unit]}", ("row", *map(label, columns)), rows)


def share_row(name: str, people: ChartFit | GroupFit) -> tuple[str, ...]:
    """Return name, numbers of people and of served people, share served, its standard error and its 95% interval; the last two may be empty."""
    error = "" if people.standard_error is None else f"{100 * people.standard_error:.2f}"
    return name, f"{people.count - people.unmeasured:,}", f"{people.served:,}", share_text(people), error, ends_text(people.interval)


def table_of_shares(caption: str, first: str, rows: list[tuple[str, ...]], weights: str = "", note: str = "") -> Table:
    """Return the table of rows of `share_row`, whose first column has the head `first`; without the columns of intervals if all are empty."""
    heads = (first, "people", "served", f"share served{weights}", "standard error (points)", "95% interval")
    count = len(heads) if any(row[-1] for row in rows) else len(heads) - 2
    return Table(caption, heads[:count], [row[:count] for row in rows], note)


def group_name(group: GroupFit | GroupComparison) -> str:
    """Return the label of a group; ``(none)`` for people without a label."""
    return "(none)" if group.group is None else group.group


def group_fits(groups: Sequence[GroupFit]) -> Table:
    """Return the numbers of people and of served people of each group, and the share served, by weight if people have weights."""
    return table_of_shares("Measured people by group; shares by weight if people have weights", "group", [share_row(group_name(group), group) for group in groups])


def refused_people(refused: Sequence[RefusedPeople]) -> Table:
    """Return for each reason the number of refused people and their mean girths, with those of the accepted people."""
    heads = ("refused", "people", *(f"mean {girth}{of}" for girth in ("waist", "hip") for of in ("", " of the accepted")))
    means = [["" if mean is None else f"{mean:.1f}" for mean in (of.waist, of.accepted_waist, of.hip, of.accepted_hip)] for of in refused]
    rows = [(f"{of.field} {label(of.code)}", f"{of.people:,}", *girths) for of, girths in zip(refused, means, strict=True)]
    return Table("People without a size, by reason", heads, rows, "Means are unweighted, in the unit of the result.")


def chart_fit(fit: ChartFit) -> Table:
    """Return the numbers of people and of served people, and the share served, of all, by size and by group; by weight if people have weights."""
    violated = ", ".join(f"{label(bound)} {count:,}" for bound, count in fit.unserved.items() if count)
    measured = fit.count - fit.unmeasured
    caption = f"Fit of a chart: {fit.served:,} of {measured:,} measured people served ({fit.served / max(measured, 1):.1%})"
    note = f"{fit.unmeasured:,} unmeasured. " * bool(fit.unmeasured) + f"Unserved, some by several bounds: {violated}." * bool(violated)
    weights = fit.load_weights or [(people, served) for _, people, served in fit.loads]
    rows = [share_row("all", fit)]
    rows += [
        (name, f"{people:,}", f"{served:,}", f"{served_weight / weight:.1%}" if weight else "", "", "")
        for (name, people, served), (weight, served_weight) in zip(fit.loads, weights, strict=True)
    ]
    rows += [share_row(f"group {group_name(group)}", group) for group in fit.groups]
    return table_of_shares(caption, "size or group" if fit.groups else "size", rows, by_weight(fit), note.strip())


def fit_comparison(compared: FitComparison) -> Table:
    """Return the numbers of people whom each of two charts serves, and the difference of the shares served with its interval."""
    names = {"both": "served by both", "only_first": "only by the first", "only_second": "only by the second", "neither": "by neither"}
    rows: list[tuple[str, ...]] = [(text, f"{getattr(compared, name):,} people") for name, text in names.items()]
    if compared.difference is not None:
        rows.append(("share of the second minus share of the first", points_text(compared.difference)))
    if compared.standard_error is not None and compared.interval is not None:
        rows += [("standard error", f"{100 * compared.standard_error:.2f} points"), ("95% interval", " to ".join(map(points_text, compared.interval)))]
    return Table("Two fits of the same people", (), rows)


def chart_comparison(compared: ChartComparison) -> Table:
    """Return the loss of held-out people in the given chart and in the best chart, or the share served, of all and by group; with the gain."""
    is_share = compared.settings["loss"] == "within"
    what = f"served {within_text(compared)}{by_weight(compared)}" if is_share else loss_text(compared)

    def row(name: str, people: ChartComparison | GroupComparison) -> tuple[str, ...]:
        gains = [people.given_loss - people.best_loss, *(people.gain_interval or ())]
        numbers = [f"{1 - loss:.1%}" if is_share else f"{loss:.4g}" for loss in (people.given_loss, people.best_loss)]
        gain, *ends = (points_text(gain) if is_share else f"{gain:+.4g}".replace("-", "−") for gain in gains)
        return (name, f"{people.held_out:,}", *numbers, gain, " to ".join(ends)) if people.held_out else (name, "0", "", "", "", "")

    rows = [row("all", compared), *(row(group_name(group), group) for group in compared.groups)]
    heads = ("group", "held out", "given chart", "best chart", "gain", "95% interval")
    count = len(heads) - (not compared.gains)
    note = f"The best chart has {len(compared.sizes)} sizes for {compared.training:,} other people" + f"; {len(compared.gains)} splits" * bool(compared.gains)
    return Table(f"Given and best chart on held-out people: {what}", heads[:count], [cells[:count] for cells in rows], note + ".")


def best_chart(best: BestChart) -> Table:
    """Return waist, hip and share of people of each size, with the mean loss and its bound."""
    heads, sizes = size_table(best)
    lengths = heads.index("people")
    rows = [
        (str(k), *(length(value, best.unit) for value in cells[: lengths - 1]), *(f"{share:.1%}" for share in cells[lengths - 1 :])) for k, *cells in sizes
    ]
    heads[lengths:] = [head + by_weight(best) for head in heads[lengths:]]
    return Table(f"Best chart for {best.measured:,} people, {proof_text(best)}", tuple(heads), rows)


def best_sizes(best: BestSizes) -> Table:
    """Return the girth of each size, the girths of its people and their share, with the mean loss."""
    rows = [
        (str(k), *(length(girth, best.unit) for girth in girths), f"{share:.1%}") for k, (*girths, share) in enumerate(best.sizes, 1)
    ]
    caption = f"Best sizes by {best.girth} for {best.measured:,} people: mean loss {best.loss:.4g}, the minimum"
    return Table(caption, ("size", best.girth, "from", "to", "people" + by_weight(best)), rows)


def solutions(found: Solutions) -> Table:
    """Return the values of an input that give the wanted value, the nearest first."""
    is_length = not found.input.startswith("rules.") or found.input.rpartition(".")[2] in LENGTH_RULES
    is_angle = found.input.endswith("steepest_side")
    step = STEPS[found.unit] if is_length else 0.01 if is_angle else 0.001

    def text(value: float) -> str:
        return length(value, found.unit) if is_length else f"{value:.4g}{'°' * is_angle}"

    # Rounded inwards, so that each shown number is a solution.
    low, high = math.ceil(found.interval[0] / step) * step, math.floor(found.interval[1] / step) * step
    rows: list[tuple[str, ...]] = [("nearest", text(min(max(found.value, low), high) if low <= high else found.value))]
    rows += [("from, to", f"{text(low)}, {text(high)}")] if low < high else []
    rows += [("also", text(value)) for value in found.others]
    return Table(f"Solutions for {input_text(found.input)}", (), rows)


def sensitivity(rates: Sensitivity) -> Table:
    """Return the changes of the main quantities by each input, or by the main inputs of many; the note names what does not change."""
    inputs = [name for name in MAIN_INPUTS if name in rates.inputs and len(rates.inputs) > COLUMNS] or rates.inputs
    units = dict(zip(rates.inputs, rates.input_units, strict=True))
    names = filter(MAIN_QUANTITIES.fullmatch, rates.quantities)
    rows = [(quantity_text(name, rates.quantities), *(signed(rates[name, by]) for by in inputs)) for name in names]
    changed = [row for row in rows if set(row[1:]) != {"0"}]
    notes = ["No change: " + ", ".join(row[0] for row in rows if row not in changed) + "."] * (len(changed) < len(rows))
    if len(inputs) < len(rates.inputs):
        notes.append(f"Not shown: {len(rates.inputs) - len(inputs)} other inputs; `sensitivity` takes the names of those to show.")
    heads = ("changes by, in " + UNIT_WORDS[rates.unit], *(f"1 {units[by]} more: {input_text(by)}".replace("1  more", "1 more") for by in inputs))
    return Table("What moves the draft, while number of darts and active limits stay the same", heads, changed, " ".join(notes))


def uncertainty(errors: Uncertainty) -> Table:
    """Return value, standard error and simulated spread of the main quantities; the note is that of the result."""
    rows: list[tuple[str, ...]] = [
        (quantity_text(name, errors.quantities), f"{value:.{1 if errors.unit == 'cm' else 2}f}".replace("-", "−"), f"{error:.2f}", f"{spread:.2f}")
        for name, value, error, spread in zip(errors.quantities, errors.values, errors.standard_errors, errors.spread, strict=True)
        if MAIN_QUANTITIES.fullmatch(name)
    ]
    heads = (f"in {UNIT_WORDS[errors.unit]}", "value", "standard error", f"spread of {errors.drafts:,} drafts")
    return Table("How exact the draft is", heads, rows, f"{errors.note[:1].upper()}{errors.note[1:]}" + "." * bool(errors.note))


def ease_by_level(profile: EaseByLevel) -> Table:
    """Return the girths of garment and body, and the ease, at each level."""
    columns = zip(profile.levels, profile.garment, profile.body, profile.ease, strict=True)
    rows = [tuple(length_number(number, profile.unit) for number in numbers) for numbers in columns]
    return Table(f"Ease by level, in {UNIT_WORDS[profile.unit]}", ("below the waist", "garment", "body", "ease"), rows)


TABLES: dict[type, Any] = {
    Draft: lambda draft: Table("Main lengths of the draft", (), list(all_lengths(draft.to_dict()).items())),
    EaseByLevel: ease_by_level,
    Sensitivity: sensitivity,
    Uncertainty: uncertainty,
    Body: body,
    Figure: figure,
    Ease: lambda ease: lengths("Ease", ease, "waist", "hip"),
    Rules: rules,
    Girths: lambda girths: lengths("Girths", girths, "waist", "hip", "hem"),
    Lengths: lambda finished: lengths("Finished lengths", finished, "centre_back", "centre_front", "side"),
    Proof: proof,
    Finding: finding,
    GivenDart: lambda dart: Table("Given dart", (), [("", *given_dart(dart))]),
    Dart: lambda dart: lengths("Dart", dart, "intake", "length", "centre"),
    Suppression: lambda result: lengths("Suppression of half the garment", result, "total", "side", "back", "front"),
    SizeChart: size_chart,
    Choice: choice,
    DraftTable: draft_table,
    ChartFit: chart_fit,
    GroupFit: lambda group: group_fits([group]),
    RefusedPeople: lambda refused: refused_people([refused]),
    FitComparison: fit_comparison,
    ChartComparison: chart_comparison,
    BestChart: best_chart,
    BestSizes: best_sizes,
    Solutions: solutions,
}
"""Functions that give the table of a result, by class."""

LIST_TABLES: dict[type, Any] = {GroupFit: group_fits, RefusedPeople: refused_people}
"""Functions that give the table of a list of results, by class."""
