"""Texts of plots and of results in a notebook: lengths, bodies, ease and darts, and quantities and inputs in plain words."""

import re
from collections.abc import Sequence
from typing import Any

from ._kirtle import BestChart, BestSizes, Body, ChartComparison, ChartFit, Draft, Figure, GroupFit, Rules, format_length
from .options import CM_PER_UNIT

TABLE_UNITS = ("cm", "in", "mm")
"""Units of tables."""

COUNT_WORDS = ("no dart", "one dart", "two darts", "three darts")
"""A number of darts in words."""

POINTS = {
    "centre_waist": "waist at the centre", "centre_hem": "hem at the centre",
    "side_waist": "waist at the side", "side_hip": "hip line at the side", "side_hem": "hem at the side",
    "inner": "inner end of the mouth of the", "tip": "tip of the", "outer": "outer end of the mouth of the",
}
"""Points of a panel in words; the name of the dart follows a point of a dart."""

AXES = {"x": "distance from the centre", "y": "depth below the waist at the side"}
"""Coordinates of a point, in words."""

MAIN_QUANTITIES = re.compile(
    r"(suppression\.(total|side)|sewn_waist|hip_girth|hem_girth|side_seam|\w+\.(width|waist_lowering|centre_seam)|.*\.(intake|length|centre))"
)
"""Lengths of a draft that tables and plots of all quantities show."""

FIGURE_NAMES = ("front_length", "side_length", "back_length", "front_hip", "front_waist", "high_hip", "high_hip_depth")
"""Measurements of a figure."""

DART_COUNTS = {"back_darts", "front_darts"}
"""Rules that are a number of darts, or a word that chooses it."""

LENGTH_RULES = {
    "balance", "centre_back_lower", "centre_front_lower", "centre_back_in", "back_largest_dart", "front_largest_dart", "smallest_dart",
}
"""Rules that are lengths; the steepest side is an angle, all others are shares."""


def length(value: float, unit: str = "cm") -> str:
    """Return a length given in `unit` as text, with the unit: one decimal for centimetres, a fraction for inches."""
    return f"{length_number(value, unit)} {unit}"


def length_number(value: float, unit: str) -> str:
    """Return a length given in `unit` as text, without the unit: one decimal for centimetres, a fraction for inches."""
    return format_length(value, unit).replace("-", "−")


def unit_suffix(unit: str) -> str:
    """Return the text after a number with a unit; empty for a ratio and for a count."""
    return {"": "", "count": "", "deg": "°"}.get(unit, f" {unit}")


def signed(change: float) -> str:
    """Return a change as text with its sign and two decimals: a length to a tenth of a millimetre."""
    return f"{change:+.2f}".replace("-", "−") if round(change, 2) else "0"


def number_text(value: float) -> str:
    """Return a number as text, with at most two decimals and no trailing zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".").replace("-", "−")


def given_number(value: float, unit: str) -> str:
    """Return a length given by the caller in `unit` as text, without the unit: at most two decimals for centimetres, a fraction for inches."""
    return length_number(value, unit) if unit == "in" else number_text(value)


def in_unit(value: float, unit: str) -> str:
    """Return a length given by the caller in centimetres as text in `unit`, without the unit."""
    return given_number(value / CM_PER_UNIT[unit], unit)


def given_length(value: float, unit: str) -> str:
    """Return a length given by the caller in centimetres as text in `unit`, with the unit."""
    return f"{in_unit(value, unit)} {unit}"


def by_weight(result: BestChart | BestSizes | ChartComparison | ChartFit) -> str:
    """Return `` by weight`` if the people of a result have sampling weights; otherwise an empty text."""
    return " by weight" * ("weight" in (result.settings.get("columns") or {}))


def loss_text(result: BestChart | ChartComparison) -> str:
    """Return what the loss of a best chart or of a comparison is, with its unit."""
    return {
        "squared": f"mean sum of squared differences in waist and hip ({result.unit}²)",
        "absolute": f"mean sum of differences in waist and hip ({result.unit})",
        "within": f"not served {within_text(result)}", "log_band": "mean loss outside the band",
        "draft": f"mean distance of the size's draft from a person's own ({result.unit})",
    }[result.settings.get("loss", "draft")] + by_weight(result)


def within_text(result: BestChart | ChartComparison) -> str:
    """Return the tolerance of a best chart or of a comparison as text."""
    tolerance = result.settings.get("tolerance")
    return "within the bounds" if tolerance is None or "bounds" in result.settings else f"within {tolerance:g} {result.unit}"


def proof_text(best: BestChart) -> str:
    """Return how good a best chart is, and what is proven of every chart of its kind."""
    if best.loss_name == "within":
        return f"{within_text(best)}: {1 - best.loss:.1%} served{by_weight(best)}; no such chart serves more than {1 - best.bound:.1%}"
    return f"{loss_text(best)}: {best.loss:.4g}; no such chart has less than {best.bound:.4g}"


def size_table(best: BestChart) -> tuple[list[str], list[tuple[float, ...]]]:
    """Return heads and rows of the sizes of a best chart: number, waist, hip, hip depth if sizes have it, shares of people and of people served."""
    columns = {
        "size": range(1, len(best.sizes) + 1), "waist": [size[0] for size in best.sizes], "hip": [size[1] for size in best.sizes],
        "hip depth": best.hip_depths, "people": [size[2] for size in best.sizes], "served": best.served,
    }
    columns = {head: values for head, values in columns.items() if len(values)}
    return list(columns), list(zip(*columns.values(), strict=True))


def body_rules_and_unit(source: Body | Draft, rules: Rules | None, unit: str | None) -> tuple[Body, Rules | None, str]:
    """Return the body, the rules and the unit of a body or of a draft; given rules, and a given unit, replace its own."""
    if isinstance(source, Draft):
        return source.body, rules or source.rules, unit or source.document_unit
    return source, rules, unit or source.unit


def body_text(body: Body, unit: str, rules: Rules | None = None) -> str:
    """Return waist and hip of a body as text, whether it has a figure, and the rules that differ from the default."""
    others = [f"{name} {text}" for name, text in changed_rule_texts(rules or Rules(), unit).items()]
    girths = f"waist {in_unit(body.waist, unit)}, hip {in_unit(body.hip, unit)} {unit}"
    return ", ".join([girths] + ["with a figure"] * (body.figure is not None) + (others if len(others) < 3 else ["other rules"]))


def input_texts(draft: Draft, unit: str) -> dict[str, str]:
    """Return the measurements and the ease of a draft by name, as texts in `unit`; waist, hip and their ease come first."""
    body, ease = draft.body, draft.ease
    lengths = {
        "waist": body.waist, "hip": body.hip, "waist ease": ease.waist, "hip ease": ease.hip,
        "hip depth": body.hip_depth, "length": body.length,
    }
    return {name: in_unit(value, unit) for name, value in lengths.items()}


def figure_numbers(figure: Figure | None) -> dict[str, float]:
    """Return the given measurements of a figure by name, in centimetres; empty without a figure."""
    return {name: number for name in FIGURE_NAMES if (number := getattr(figure, name, None)) is not None}


def figure_texts(draft: Draft, unit: str) -> dict[str, str]:
    """Return the given measurements of a draft's figure by name, as texts in `unit`."""
    return {name.replace("_", " "): given_length(number, unit) for name, number in figure_numbers(draft.body.figure).items()}


def rule_texts(rules: Rules, unit: str) -> dict[str, str]:
    """Return rules by name, as texts with lengths in `unit`, and whether darts are by shares or given."""
    of_darts = {"darts": "given"} if rules.darts else rule_number_texts(rules.shares, unit) | {"darts": "by shares"}
    return rule_number_texts(rules, unit) | of_darts


def changed_rule_texts(rules: Rules, unit: str) -> dict[str, str]:
    """Return the rules that differ from the default by name, as texts with lengths in `unit`."""
    by_default = rule_texts(Rules(), unit)
    return {name: text for name, text in rule_texts(rules, unit).items() if by_default.get(name) != text}


def input_value(result: dict[str, Any], path: str) -> Any:
    """Return an input by its path, such as ``rules.darts.back[0].intake``, from the document of a result."""
    value: Any = result
    for key in re.findall(r"\w+", path):
        value = value[int(key) if key.isdigit() else key]
    return value


def main_lengths(result: dict[str, Any]) -> dict[str, str]:
    """Return the main lengths of a result as a dict from label to text with unit."""
    unit, suppression = result["unit"], result["suppression"]
    lengths = {f"finished {girth}": length(result["body"][girth] + result["ease"][girth], unit) for girth in ("waist", "hip")}
    lengths |= {
        "suppression of half the garment": length(suppression["total"], unit),
        "intake at each side edge": length(suppression["side"] / 2, unit),
    }
    for half in ("back", "front"):
        intakes = [length(dart["intake"], unit) for dart in result[half]["darts"]]
        lengths[f"{half} darts"] = " + ".join(intakes) or "none"
    for half in ("back", "front"):
        lengths[f"centre {half} below side"] = length(result[half]["waist_lowering"], unit)
    return lengths


def all_lengths(result: dict[str, Any]) -> dict[str, str]:
    """Return the main lengths of a result, those of its seams, the hip widths of its panels, and length and place of each dart."""
    unit = result["unit"]
    lengths = {name.replace("_", " ").replace("side", "side seam"): length(value, unit) for name, value in result["lengths"].items()}
    for half in ("back", "front"):
        lengths[f"{half} width"] = length(result[half]["width"], unit)
        sizes = [[length_number(dart[name], unit) for name in ("intake", "length", "centre")] for dart in result[half]["darts"]]
        lengths[f"{half} darts"] = " + ".join("{} × {} at {}".format(*size) for size in sizes) + f" {unit}" if sizes else "none"
    return main_lengths(result) | lengths


def rule_number_texts(rules: Any, unit: str) -> dict[str, str]:
    """Return the numbers of rules or of shares by name, as texts with lengths in `unit`."""
    return {
        name.replace("_", " "): given_length(value, unit) if name in LENGTH_RULES else number_text(value) if isinstance(value, float)
        else str(value) for name, value in rule_numbers(rules).items()
    }


def rule_numbers(rules: Any) -> dict[str, Any]:
    """Return the numbers and the dart counts among the attributes of rules or of shares, by name."""
    values = {name: getattr(rules, name) for name in dir(rules) if not name.startswith("_")}
    return {name: value for name, value in values.items() if isinstance(value, float) or name in DART_COUNTS}


def subject(drafts: Sequence[Draft], unit: str) -> str:
    """Return the subject of a title: those of waist, hip, their ease, figure and rules other than the default that are equal in all drafts.

    If nothing is equal, it is the number of drafts.
    """
    inputs, rules = [input_texts(draft, unit) for draft in drafts], [rule_texts(draft.rules, unit) for draft in drafts]
    girths = [f"{name} {value}" for name, value in list(inputs[0].items())[:4] if all(one[name] == value for one in inputs)]
    others = [f"{name} {value}" for name, value in changed_rule_texts(drafts[0].rules, unit).items() if all(one.get(name) == value for one in rules)]
    parts = [f"{', '.join(girths)} {unit}"] * bool(girths) + ["with a figure"] * all(figure_texts(draft, unit) for draft in drafts)
    text = ", ".join(parts + (others if len(others) < 3 else ["other rules"])) or f"{len(drafts)} drafts"
    return text[0].upper() + text[1:]


def draft_labels(drafts: Sequence[Any], labels: Sequence[str] | None, unit: str) -> list[str]:
    """Return a label for each draft: the given label, else what differs, else its number; refuse a wrong number of labels.

    If more than two rules differ, each draft has those of its rules that differ from the default.
    """
    if labels is not None:
        if len(labels) != len(drafts):
            raise ValueError(f"labels: {len(labels)} labels are given for {len(drafts)} drafts")
        return list(labels)
    if all(isinstance(draft, Draft) for draft in drafts):
        inputs, figures = ([of(draft, unit) for draft in drafts] for of in (input_texts, figure_texts))
        lengths = differing_names(inputs)
        rules = [rule_texts(draft.rules, unit) for draft in drafts]
        if len(differing_names(rules)) > 2:
            rules = [changed_rule_texts(draft.rules, unit) for draft in drafts]
        parts = zip(
            [", ".join(f"{name} {one[name]}" for name in lengths) + f" {unit}" * bool(lengths) for one in inputs],
            difference_texts(figures, "without a figure", "with a figure"),
            difference_texts(rules, "default rules", "other rules"), strict=True,
        )
        texts = [", ".join(filter(None, part)) for part in parts]
        if all(texts) and len(set(texts)) > 1:
            return [text if texts.count(text) == 1 else f"draft {k}: {text}" for k, text in enumerate(texts, 1)]
    return [f"draft {k}" for k in range(1, len(drafts) + 1)]


def differing_names(inputs: Sequence[dict[str, str]]) -> list[str]:
    """Return the names of the texts that are not equal in all the mappings."""
    return [name for name in dict.fromkeys(name for one in inputs for name in one) if len({one.get(name) for one in inputs}) > 1]


def difference_texts(inputs: Sequence[dict[str, str]], missing: str, many: str) -> list[str]:
    """Return, for each mapping, its texts that differ between the mappings: `missing` for an empty mapping, `many` for more than two texts."""
    if not differing_names(inputs):
        return [""] * len(inputs)
    names = differing_names([one for one in inputs if one])
    texts = [[f"{name} {one[name]}" for name in names if name in one] or [f"{name} {text}" for name, text in one.items()] for one in inputs]
    return [(", ".join(own) if len(own) < 3 else many) if one else missing for own, one in zip(texts, inputs, strict=True)]


def darts_of_panels(draft: Draft, unit: str) -> list[str]:
    """Return, for back and front, the number of darts in words, and the intake of each dart in `unit`."""
    intakes = [[format_length(dart.intake / CM_PER_UNIT[unit], unit) for dart in panel.darts] for panel in (draft.back, draft.front)]
    return [COUNT_WORDS[len(own)] + f", {' + '.join(own)} {unit}" * bool(own) for own in intakes]


def quantity_text(name: str, quantities: Sequence[str]) -> str:
    """Return a quantity such as ``back.darts[0].intake`` in words; `quantities` are the names of all quantities of the draft."""

    def dart(half: str, number: int) -> str:  # Counted from 0 at the centre.
        count = sum(one.startswith(f"{half}.darts[") and one.endswith(".intake") for one in quantities)
        if count == 1:
            return f"{half} dart"
        return f"{half} dart {'nearest the centre' if number == 0 else 'nearest the side' if number == count - 1 else 'in the middle'}"

    if found := re.fullmatch(r"(back|front)\.darts\[(\d)]\.(\w+)", name):
        return f"{found[3].replace('centre', 'place')} of the {dart(found[1], int(found[2]))}"
    if found := re.fullmatch(r"(back|front)\.(?:dart_(\d)_)?(\w+)\.([xy])", name):
        point = f"{POINTS[found[3]]} {dart(found[1], int(found[2]) - 1)}" if found[2] else f"{found[1]} {POINTS[found[3]]}"
        return f"{point}, {AXES[found[4]]}"
    owner, _, what = name.rpartition(".")
    what = what.replace("_", " ")
    if owner in ("suppression", "nominal"):
        parts = {"total": "of half the garment", "side": "by the side seam", "back": "by the back darts", "front": "by the front darts"}
        return f"{'nominal ' * (owner == 'nominal')}suppression {parts[what]}"
    return f"{what} of the {owner}" if owner else what


def input_text(name: str) -> str:
    """Return an input such as ``ease.hip`` in words."""
    if found := re.fullmatch(r"rules\.darts\.(back|front)\[(\d)]\.(\w+)", name):
        return f"{found[3]} of given {found[1]} dart {int(found[2]) + 1}"
    owner, _, what = name.rpartition(".")
    what = what.replace("_", " ")
    return {"body": f"{what} of the body", "body.figure": f"{what} of the body", "ease": f"ease at the {what}"}.get(owner, f"rule: {what}")


def ends_text(interval: tuple[float, float] | None) -> str:
    """Return the ends of an interval of a share as text; empty without one."""
    return f"{interval[0]:.1%} to {interval[1]:.1%}" if interval else ""


def interval_text(interval: tuple[float, float] | None) -> str:
    """Return a 95% interval of a share as text after a comma; empty without one."""
    return f", 95% interval {ends_text(interval)}" * bool(interval)


def points_text(change: float) -> str:
    """Return a change of a share as text, with its sign, in percentage points."""
    return f"{100 * change:+.1f}".replace("-", "−") + " points"


def share_text(people: ChartFit | GroupFit, form: str = ".1%", suffix: str = "") -> str:
    """Return the share of served people, of all or of a group, as text in the format `form` with a suffix; without a share, the reason."""
    if people.share_served is None:
        return "nobody measured" if people.count == people.unmeasured else "all weights are 0"
    return format(people.share_served, form) + suffix
