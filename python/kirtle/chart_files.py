"""Size charts of the commands, read from CSV or JSON or taken from the demo chart, and the body between sizes of a chart."""

import argparse
import errno
import json
import re
from contextlib import suppress
from pathlib import Path
from typing import Any

from . import Draft, InputError, SizeChart, chart_json, drawing_texts
from .files import json_or_none, read
from .options import CM_PER_UNIT, parse_size_position, readable, texts_of, typed_lengths, with_darts_and_ruler


def chart_of(options: argparse.Namespace) -> dict[str, Any]:
    """Return the chart that the options name as a JSON document, with ease, numbers of darts and ruler from the options.

    The ease is in the unit of the option ``--table-unit``, if that is given.
    """
    unit = options.unit or "cm"
    name = options.chart if "chart" in options else options.request
    text = SizeChart.demo().to_json(unit) if name == "demo" else chart_text(name)
    if not text.lstrip().startswith(("{", "[")):
        text = SizeChart.from_csv(text, unit=unit).to_json(unit)
    elif name != "demo":
        if isinstance(document := json_or_none(text), dict) and "body" in document and "sizes" not in document:
            options.parser.error(f"{name} is a request, not a size chart")
        SizeChart.from_json(text)  # Problems of the chart itself are raised before those of the options.
        if options.unit:
            options.parser.error("a chart in JSON gives its own unit: leave out --unit")
    chart: dict[str, Any] = json.loads(text)
    typed = getattr(options, "table_unit", None) or chart["unit"]
    scale = CM_PER_UNIT[typed] / CM_PER_UNIT[chart["unit"]]
    numbers = typed_lengths(options, "waist_ease", "hip_ease", unit=typed)
    ease = {name.removesuffix("_ease"): value if isinstance(value, str) else value * scale for name, value in numbers.items()}
    return with_darts_and_ruler(chart | ({"ease": chart.get("ease", {}) | ease} if ease else {}), options)


def chart_text(name: str) -> str:
    """Read the text of a chart from a file."""
    if not Path(name).exists():
        raise FileNotFoundError(errno.ENOENT, "no such file; give a size chart, or the word demo", name)
    with Path(name).open("rb") as source:
        text = read(source, "chart", name)
    if text.startswith("size,waist,hip,people") or '"loss_name":' in text:
        raise InputError(f"{name}: these sizes have no hip depth and no length: give kirtle best --hip-depth and --length, too")
    return text


def standard_name(header: str) -> str:
    """Return the name of a number from the header of its column, or from its option: in lower case, with underscores."""
    return re.sub("[ -]", "_", header.strip().lower())


def report_of(chart: dict[str, Any]) -> dict[str, Any]:
    """Return the report that answers a request on a chart, both as JSON documents."""
    report: dict[str, Any] = json.loads(chart_json(json.dumps(chart)))
    return report


def request_between(options: argparse.Namespace, places: dict[str, tuple[str, str]]) -> dict[str, Any]:
    """Return the request for a body between sizes. `places` has, for waist and hip, an option's name and the text typed for the option."""
    chart = chart_of(options)
    blend: dict[str, Any] = {part: parse_size_position(option, text) for part, (option, text) in places.items()}
    blend |= typed_lengths(options, "hip_depth", "length", unit=chart["unit"])
    body = report_of({"unit": chart["unit"], "sizes": chart["sizes"], "blend": blend})["between"]
    request = {name: chart[name] for name in ("unit", "ease", "rules", "ruler") if name in chart} | {"body": body}
    if common := rules_with_common_darts(chart):
        options.remarks = dart_remarks(request, common["rules"]["shares"])
    return request | common | {"cutting": {"name": name_of_sizes(texts_of(options, "drawing").get("texts") or drawing_texts(), *(text for _, text in places.values()))}}


def dart_remarks(request: dict[str, Any], shares: dict[str, Any]) -> list[str]:
    """Return a line for each panel whose number of darts, equal in all sizes of a chart, differs from that of the body drafted by itself."""
    with suppress(InputError):  # The common number may be the only one that can be drafted.
        draft = Draft.from_json(json.dumps(request))
        return [
            f"{half.capitalize()} darts: {common}, as in all sizes of the chart; with --{half}-darts per_size: {len(panel.darts)}."
            for half, panel in (("back", draft.back), ("front", draft.front))
            if isinstance(common := shares[f"{half}_darts"], int) and common != len(panel.darts)
        ]
    return []


def name_of_sizes(texts: dict[str, str], waist: str, hip: str) -> str:
    """Return the name of a skirt between sizes, in the words of `texts`: ``Size 40``, or ``Waist 12, hip 14–16`` for ``12`` and ``14:16``."""
    waist, hip = ("–".join(readable(text).split(":")[:2]) for text in (waist, hip))
    name = texts["one_size"].replace("{name}", waist) if waist == hip else f"{texts['waist']} {waist}, {texts['hip']} {hip}"
    return name[:1].upper() + name[1:]


def rules_with_common_darts(chart: dict[str, Any]) -> dict[str, Any]:
    """Return the rules of a chart with the numbers of darts that all its sizes have; empty for given darts or without ease."""
    rules = chart.get("rules", {})
    if "ease" not in chart or "darts" in rules:
        return {}
    shares = dict(rules.get("shares", {}))
    for name in ("back_darts", "front_darts"):
        counts = {len(size["lengths"][name]) for size in report_of(chart)["sizes"]}
        if len(counts) == 1 and shares.get(name, "auto") == "auto":
            shares[name] = counts.pop()
    return {"rules": rules | {"shares": shares}}
