"""The shell's commands about charts of sizes: ``sizes``, ``choose``, ``between`` and ``alter``."""

import argparse
import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import Body, SizeRange, SizeChart, chart_json
from .files import read, readable

CAUTION = "Fit is not judged here: make a trial garment first."

Number = Callable[[str], float | str]
"""Reads a number, or leaves a text that is none as it is, to be refused as such."""


def add_commands(commands: Any, number: Number) -> None:
    """Add the commands to the shell's."""
    sizes = command(commands, "sizes", "draft a chart: every size's key lengths, the grade, the nest", number, run_sizes)
    sizes.add_argument("--grade", action="store_true", help="print how far each named point moves from size to size")
    sizes.add_argument("--nest", metavar="FILE", help="write the nest: .pdf .svg")
    sizes.add_argument("--paper", type=readable, default="A4", help="of a PDF: A4 to A0, Letter, '60 x 80 cm', 'roll 90 cm', …")
    choose = command(commands, "choose", "the nearest sizes of a body, and what to do between two", number, run_choose)
    measures(choose, ("waist", "hip"))
    between = command(commands, "between", "the body between sizes: waist of one, hip of another", number, run_between)
    for part in ("waist", "hip"):
        between.add_argument(f"--{part}", required=True, metavar="FROM[:TO:FRACTION]", help=f"where the {part} lies")
    measures(between, ("hip_depth", "length"), required=False)
    alter = command(commands, "alter", "alter the printed nest for a body, and say what it costs", number, run_alter)
    measures(alter, ("waist", "hip", "hip_depth", "length"))
    alter.add_argument("--tolerance", metavar="MM", help="what it may cost in millimetres (default: 3)")
    alter.add_argument("--out", metavar="FILE", help="write the drawing: .pdf .svg")
    alter.add_argument("--paper", type=readable, default="A4", help="of a PDF")


def command(
    commands: Any, name: str, about: str, number: Number, run: Callable[[argparse.Namespace], str]
) -> argparse.ArgumentParser:
    """A command that starts from a chart."""
    added: argparse.ArgumentParser = commands.add_parser(name, help=about)
    added.add_argument("chart", help="a chart in CSV or JSON, or the word demo")
    added.add_argument("--unit", choices=("cm", "in"), help="unit of a CSV (default: cm)")
    added.add_argument("--waist-ease", metavar="N", help="added to the waist, all around")
    added.add_argument("--hip-ease", metavar="N", help="added to the hip, all around")
    added.set_defaults(run=run, parser=added, number=number)
    return added


def measures(added: argparse.ArgumentParser, names: tuple[str, ...], *, required: bool = True) -> None:
    """Options for a body's measurements."""
    for name in names:
        added.add_argument(f"--{name.replace('_', '-')}", dest=name, required=required, metavar="N")


def chart_of(options: argparse.Namespace) -> dict[str, Any]:
    """The chart as JSON has it, with the ease of the options."""
    unit = options.unit or "cm"
    if options.chart == "demo":
        chart = rows(SizeChart.demo(), unit)
    elif Path(options.chart).suffix.lower() == ".csv":
        chart = rows(SizeChart.from_csv(chart_text(options.chart), unit=unit), unit)
    else:
        text = chart_text(options.chart)
        SizeChart.from_json(text)  # What is no chart is refused as it stands.
        chart = json.loads(text)
        if options.unit:
            options.parser.error("a chart in JSON says its unit itself")
    given = {part: getattr(options, f"{part}_ease") for part in ("waist", "hip")}
    ease = {part: options.number(value) for part, value in given.items() if value is not None}
    return chart | ({"ease": chart.get("ease", {}) | ease} if ease else {})


def chart_text(name: str) -> str:
    """The text of a chart."""
    with Path(name).open("rb") as source:
        return read(source, "chart", name)


def rows(chart: SizeChart, unit: str) -> dict[str, Any]:
    """A chart as JSON has it."""
    table = csv.DictReader(io.StringIO(chart.to_csv(unit), newline=""))
    sizes = [{key: value if key == "name" else float(value) for key, value in row.items()} for row in table]
    return {"unit": unit, "sizes": sizes}


def report_of(chart: dict[str, Any]) -> dict[str, Any]:
    """The answer to a chart."""
    report: dict[str, Any] = json.loads(chart_json(json.dumps(chart)))
    return report


def run_sizes(options: argparse.Namespace) -> str:
    """Every size's key lengths, and on request the grade and the nest."""
    chart = chart_of(options)
    drafted = SizeRange.from_json(json.dumps(chart))
    report, unit = report_of(chart), chart["unit"]
    digits = 2 if unit == "in" else 1
    heads = ("size", "waist", "hip", "depth", "length", "take in", "back", "front", "side seam")
    lines = [f"{heads[0]:<12}" + "".join(f"{head:>10}" for head in heads[1:]) + f"   darts ({unit})"]
    for size in report["sizes"]:
        body, key = size["body"], size["lengths"]
        numbers = (body["waist"], body["hip"], body["hip_depth"], body["length"], key["suppression"], key["back_width"],
                   key["front_width"], key["side_seam"])
        darts = [" + ".join(f"{dart:.{digits}f}" for dart in key[half]) or "none" for half in ("back_darts", "front_darts")]
        lines.append(f"{size['name']:<12}" + "".join(f"{value:>10.{digits}f}" for value in numbers)
                     + f"   back {darts[0]}, front {darts[1]}")
    if options.grade:
        lines += ["", f"{'panel':<7}{'point':<16}{'smaller':>8}{'larger':>8}{'across':>10}{'down':>10}"]
        for move in report["grade"]:
            step = "".join(f"{value:>10.3f}" for value in move["step"]) if move["step"] else f"{'one of them only':>20}"
            lines.append(f"{move['panel']:<7}{move['point']:<16}{move['smaller']:>8}{move['larger']:>8}{step}")
    if options.nest is not None:
        drafted.save(options.nest, paper=options.paper, unit=unit)
        lines.append(f"wrote {options.nest}")
    return "\n".join([*lines, CAUTION])


def run_choose(options: argparse.Namespace) -> str:
    """The advice for a body."""
    chart = chart_of(options)
    # Depth and length do not tell in choosing; the chart's first size lends them.
    first = chart["sizes"][0]
    body = {name: options.number(getattr(options, name)) for name in ("waist", "hip")}
    chart["body"] = body | {name: first[name] for name in ("hip_depth", "length")}
    chart.pop("ease", None)
    return f"{report_of(chart)['choice']['advice']}\n{CAUTION}"


def place(text: str, number: Number) -> dict[str, Any]:
    """A size, or a place between two: 38, or 38:40:0.5."""
    name, *rest = readable(text).split(":", 2)
    keys = zip(("to", "fraction"), (*rest[:1], *map(number, rest[1:])), strict=False)
    return {"from": name, **dict(keys)}


def run_between(options: argparse.Namespace) -> str:
    """The body between sizes."""
    chart = chart_of(options)
    blend = {part: place(getattr(options, part), options.number) for part in ("waist", "hip")}
    own = {name: getattr(options, name) for name in ("hip_depth", "length")}
    chart["blend"] = blend | {name: options.number(value) for name, value in own.items() if value is not None}
    chart.pop("ease", None)
    body = report_of(chart)["between"]
    lines = [f"{name.replace('_', ' '):<10}{value:>8.2f} {chart['unit']}" for name, value in body.items()]
    return "\n".join([*lines, CAUTION])


def run_alter(options: argparse.Namespace) -> str:
    """The steps on paper, their cost, and on request the drawing."""
    chart, names = chart_of(options), ("waist", "hip", "hip_depth", "length")
    chart["body"] = {name: options.number(getattr(options, name)) for name in names}
    if options.tolerance is not None:
        chart["tolerance_mm"] = options.number(options.tolerance)
    text, report = json.dumps(chart), report_of(chart)
    drafted, body = SizeRange.from_json(text), Body(**chart["body"], unit=chart["unit"])
    altered = drafted.alter(body, tolerance_mm=chart.get("tolerance_mm"))
    lines = [f"{k}. {step}" for k, step in enumerate(report["alteration"]["instructions"], 1)]
    cost = {name: value for name, value in report["alteration"]["cost"].items() if value is not None}
    lines += ["", *(f"{name.removesuffix('_mm').replace('_', ' '):<16}{round(value, 1) + 0.0:>7.1f} mm" for name, value in cost.items())]
    lines += ["", report["alteration"]["verdict"]]
    if options.out is not None:
        altered.save(options.out, paper=options.paper, unit=chart["unit"])
        lines.append(f"wrote {options.out}")
    return "\n".join([*lines, CAUTION])
