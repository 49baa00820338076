"""The shell: ``python -m kirtle`` with ``draft``, ``pattern``, ``lay``, ``correct``, ``batch``, the charts' commands, or ``schema``."""

import argparse
import io
import json
import math
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TextIO

from . import Draft, InputError, Pattern, __version__, charts, draft_json, schema, tables
from .files import read, readable, whole

MEASURES = {
    "waist": "waist girth of the body",
    "hip": "girth at the fullest hip",
    "hip-depth": "waist to fullest hip, straight down",
    "length": "waist to hem, straight down the side",
    "waist-ease": "added to the waist, all around",
    "hip-ease": "added to the hip, all around",
}
"""The options that make a request without a file."""


WHAT = ("waist", "hip", "hip_line", "centre_back", "centre_front", "length")
"""What a correction changes."""

ALLOWANCES = ("waist", "side", "hem", "centre_back")
"""The edges that have an allowance."""

SCHEMAS = ("request", "result", "pattern", "lay", "chart", "sizes", "fit", "best_chart", "best_sizes", "comparison", "error")
"""The schemas that there are."""

INTERRUPTED = 130
"""What a command returns that was ended by Ctrl-C, as shells have it."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; returns 0, or 2 with every problem on standard error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # A terminal without ° or × shows a question mark.
    arguments = sys.argv[1:] if arguments is None else arguments
    if any("\0" in argument for argument in arguments):
        parser().error("no argument has a zero byte")
    options = parser().parse_args(arguments)
    try:
        text: str = options.run(options)
    except InputError as error:
        return complain(str(error))
    except OSError as error:
        return complain(f"{error.filename2 or error.filename}: {error.strerror}")
    except KeyboardInterrupt:
        return INTERRUPTED
    return show(text)


def complain(text: str) -> int:
    """Print what is wrong on standard error, if that takes it; returns 2."""
    try:
        if sys.stderr is not None:
            print(text, file=sys.stderr, flush=True)
    except OSError:
        drop(sys.stderr)
    return 2


def drop(stream: TextIO) -> None:
    """Leave nothing in the stream for Python to flush, and to fail on, at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def show(text: str) -> int:
    """Print the text; returns 0, or 2 where the output cannot take it. A reader that has enough of it is no fault."""
    try:
        print(text, flush=True)
    except OSError as error:
        drop(sys.stdout)
        return 0 if isinstance(error, BrokenPipeError) else complain(f"standard output: {error.strerror}")
    return 0


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    top = argparse.ArgumentParser(prog="kirtle", description="Drafts the straight skirt from a body.")
    top.add_argument("--version", action="version", version=f"kirtle {__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    draft = commands.add_parser("draft", help="draft a request: a table, the result in JSON, the drawing in SVG")
    request_options(draft, run_draft)
    draft.add_argument("--out", type=Path, metavar="DIR", help="write result.json and draft.svg into DIR")
    pattern = commands.add_parser("pattern", help="make the pieces ready to cut: PDF, SVG, DXF or JSON")
    request_options(pattern, run_pattern)
    pattern.add_argument("--out", metavar="FILE", help="write FILE, in the format its name tells: .pdf .svg .dxf .json")
    cutting_options(pattern)
    pattern.add_argument("--paper", type=readable, default="A4", help="of a PDF: A4 to A0, Letter, '60 x 80 cm', 'roll 90 cm', …")
    pattern.add_argument("--margin", type=float, default=10, metavar="MM", help="white on every side (default: 10)")
    pattern.add_argument("--overlap", type=float, default=10, metavar="MM", help="of neighbouring tiles (default: 10)")
    lay = commands.add_parser("lay", help="lay the pieces on cloth: how much it takes, and where each lies")
    request_options(lay, run_lay)
    lay.add_argument("--out", metavar="FILE", help="write FILE, in the format its name tells: .svg .json")
    cutting_options(lay)
    lay.add_argument("--width", metavar="N", help="width of the cloth between its selvedges, laid open")
    lay.add_argument("--open", action="store_true", help="lay it open (default: folded lengthwise)")
    lay.add_argument("--one-way", action="store_true", help="all pieces the same way, for nap, pile, print or shade")
    corrected = commands.add_parser("correct", help="change a draft after a trial garment, and draft it anew")
    request_options(corrected, run_correct)
    corrected.add_argument("--what", required=True, choices=WHAT, help="what to change")
    corrected.add_argument("--by", required=True, metavar="N", help="above zero more, lower or longer; below zero less")
    corrected.add_argument("--at", choices=("shared", "side", "darts"), help="where a girth changes (default: shared)")
    corrected.add_argument("--out", type=Path, metavar="DIR", help="write request.json, result.json and draft.svg into DIR")
    charts.add_commands(commands, number)
    tables.add_commands(commands, number)
    printed = commands.add_parser("schema", help="print a JSON Schema")
    printed.add_argument("name", choices=SCHEMAS)
    printed.set_defaults(run=lambda options: json.dumps(schema(options.name), indent=2))
    return top


def request_options(command: argparse.ArgumentParser, run: Callable[[argparse.Namespace], str]) -> None:
    """What every command takes that starts from a request."""
    command.add_argument("request", nargs="?", help="a request in JSON; - reads standard input")
    command.add_argument("--unit", choices=("cm", "in"), help="unit of the measurements (default: cm)")
    for name, help_text in MEASURES.items():
        command.add_argument(f"--{name}", metavar="N", help=help_text)
    command.set_defaults(run=run, parser=command)


def cutting_options(command: argparse.ArgumentParser) -> None:
    """How the pieces are cut."""
    command.add_argument("--preset", choices=("trial", "garment"), help="round allowances to start from (default: trial)")
    command.add_argument("--name", help="a size, or whose body it is, to stand on the pieces")
    for name in ALLOWANCES:
        command.add_argument(f"--{name.replace('_', '-')}-allowance", dest=f"{name}_allowance", metavar="N")
    command.add_argument("--opening", metavar="N", help="from the waist down the centre back to its end")
    command.add_argument("--press", choices=("centre", "side"), help="where the darts are pressed (default: centre)")


def run_draft(options: argparse.Namespace) -> str:
    """Draft a request, write its files, and give the table."""
    text = request_text(options)
    draft = Draft.from_json(text)
    files = {"result.json": draft_json(text), "draft.svg": draft.svg()}
    lines = [table(draft.to_dict())]
    if options.out is not None:
        options.out.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            write(options.out / name, content)
            lines.append(f"wrote {options.out / name}")
    return "\n".join(lines)


def run_correct(options: argparse.Namespace) -> str:
    """Correct a draft, write the changed request and its draft, and say what changed."""
    text = request_text(options)
    Draft.from_json(text)  # What is wrong with the request is said before it is changed.
    request = json.loads(text)
    one = {"what": options.what, "by": number(options.by)} | ({"at": options.at} if options.at else {})
    request["corrections"] = [*request.get("corrections", []), one]
    text = json.dumps(request)
    draft, result = Draft.from_json(text), json.loads(draft_json(text))
    lines = [f"{change['field']}: {shown(change['before'])} -> {shown(change['after'])}" for change in result["changes"]]
    lines += ["", table(result)]
    if options.out is not None:
        options.out.mkdir(parents=True, exist_ok=True)
        # The changed request by itself, so that the next fitting starts from it.
        changed = {name: result[name] for name in ("unit", "body", "ease", "rules")}
        changed |= {name: request[name] for name in ("cutting", "cloth") if name in request}
        files = {"request.json": json.dumps(changed), "result.json": json.dumps(result), "draft.svg": draft.svg()}
        for name, content in files.items():
            write(options.out / name, content)
            lines.append(f"wrote {options.out / name}")
    return "\n".join(lines)


def shown(value: float | None) -> str:
    """A number to a hundredth; what was not given as such."""
    return "not given" if value is None else f"{value:.2f}"


def run_pattern(options: argparse.Namespace) -> str:
    """Make the pieces of a request, write them, and say how they are cut."""
    pattern = pattern_of(options, request_text(options))
    made, lines = pattern.to_dict(), []
    unit, allowances = made["unit"], made["allowances"]
    for name in ("back", "front"):
        piece = made[name]
        copies = "cut 1 on the fold" if piece["on_fold"] else "cut 2, a pair"
        darts = any(edge["role"] == "dart" for edge in piece["seam"])
        lines.append(f"{name:<6} {copies}" + (f", darts pressed towards the {made['press']}" if darts else ""))
    lines.append("allowances: " + ", ".join(f"{edge.replace('_', ' ')} {allowances[edge]:g}" for edge in allowances) + f" {unit}")
    lines.append(f"opening: {made['opening']:g} {unit} down the centre back")
    if options.out is not None:
        pattern.save(options.out, paper=options.paper, margin_mm=options.margin, overlap_mm=options.overlap)
    return "\n".join(lines + closing(cautions(pattern), options.out))


def run_lay(options: argparse.Namespace) -> str:
    """Lay the pieces of a request on cloth, write the lay, and say how much it takes."""
    text = request_text(options)
    pattern = pattern_of(options, text)
    cloth, told = json.loads(text).get("cloth"), options.width is not None or options.open or options.one_way
    if cloth is not None and told:
        options.parser.error("the request says what cloth: leave it there, or in the options, not both")
    if cloth is None:
        if options.width is None:
            options.parser.error("give the cloth, either in the request or as --width")
        cloth = {"width": number(options.width), "folded": not options.open, "one_way": options.one_way}
    lay = pattern.lay(**cloth)
    made = lay.to_dict()
    unit, how = made["unit"], "folded lengthwise" if made["folded"] else "laid open"
    lines = [
        f"cloth {made['width']:g} {unit} wide, {how}: {made['length']:.1f} {unit} long",
        f"buy {made['to_buy_cm']:g} cm, or {made['to_buy_yd']:g} yd; {made['waste']:.0%} is left over",
    ]
    if options.out is not None:
        lay.save(options.out)
    return "\n".join(lines + closing(cautions(pattern), options.out))


def pattern_of(options: argparse.Namespace, text: str) -> Pattern:
    """The pattern of a request, cut as the options say, or else as the request says."""
    given = {name: value for name in ("preset", "name", "press") if (value := getattr(options, name)) is not None}
    lengths = {name: getattr(options, f"{name}_allowance") for name in ALLOWANCES} | {"opening": options.opening}
    given |= {name: number(value) for name, value in lengths.items() if value is not None}
    if not given:
        return Pattern.from_json(text)
    draft = Draft.from_json(text)
    if "cutting" in json.loads(text):
        options.parser.error("the request says how it is cut: leave it there, or in the options, not both")
    return draft.pattern(**given)


def cautions(pattern: Pattern) -> list[str]:
    """What a cutter would want to hear, in the unit of the request."""
    findings = [*pattern.draft.to_dict()["findings"], *pattern.to_dict()["findings"]]
    return [f"Caution: {finding['message']}." for finding in findings]


def closing(lines: list[str], out: str | None) -> list[str]:
    """What stands below: cautions, and what was written."""
    return [*lines, charts.CAUTION, *([f"wrote {out}"] if out is not None else [])]


def request_text(options: argparse.Namespace) -> str:
    """The request from a file, from standard input, or from the options."""
    given = {name: value for name in MEASURES if (value := getattr(options, name.replace("-", "_"))) is not None}
    if options.request is None:
        if not given:
            options.parser.error("give a request in JSON, or the measurements")
        return json.dumps(request_of(given, options.unit or "cm"))
    if options.unit:
        given["unit"] = options.unit
    if given:
        options.parser.error(f"give a request or measurements, not both: --{', --'.join(given)}")
    if options.request != "-":
        with Path(options.request).open("rb") as source:
            return read(source, "request", options.request)
    if sys.stdin is None:
        options.parser.error("standard input is closed")
    return read(sys.stdin.buffer, "request", "standard input")


def request_of(given: dict[str, str], unit: str) -> dict[str, Any]:
    """A request from the options; what is no number stays text, to be refused as such."""
    request: dict[str, Any] = {"unit": unit, "body": {}, "ease": {}}
    for name, value in given.items():
        part, field = ("ease", name.removesuffix("-ease")) if name.endswith("-ease") else ("body", name)
        request[part][field.replace("-", "_")] = number(value)
    return request


def number(text: str) -> float | str:
    """The number, where the text is a finite one as JSON writes it."""
    try:
        value = json.loads(text)
        is_number = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    except (ValueError, OverflowError, RecursionError):
        return readable(text)
    return float(value) if is_number else readable(text)


def write(path: Path, content: str) -> None:
    """Write a text file whole or not at all."""
    with whole(path) as half:
        half.write_text(content, encoding="utf-8")


def table(result: dict[str, Any]) -> str:
    """The result as a cutter would read it."""
    unit, digits = result["unit"], 2 if result["unit"] == "in" else 1

    def row(name: str, *values: float | str) -> str:
        shown = (f"{value:.{digits}f}" if isinstance(value, float) else value for value in values)
        return f"{name:<26}" + "".join(f"{value:>12}" for value in shown)

    body, ease, suppression = result["body"], result["ease"], result["suppression"]
    back, front = result["back"], result["front"]
    lines = [
        row(f"Straight skirt ({unit})", "body", "ease", "garment"),
        row("waist", float(body["waist"]), float(ease["waist"]), result["girths"]["waist"]),
        row("hip", float(body["hip"]), float(ease["hip"]), result["girths"]["hip"]),
        row("hip depth, straight down", float(body["hip_depth"])),
        row("length, straight down", float(body["length"])),
        "",
        row("To take in on half", "all", "both sides", "back darts", "front darts"),
        row("suppression", *(suppression[place] for place in ("total", "side", "back", "front"))),
        row("each side edge", "", suppression["side"] / 2),
        "",
        row("Half back, half front", "back", "front"),
        row("width at the hip", back["width"], front["width"]),
        row("waist, darts closed", back["seams"]["waist"], front["seams"]["waist"]),
        row("centre below side", back["waist_lowering"], front["waist_lowering"]),
        row("centre seam or fold", back["seams"]["centre"], front["seams"]["centre"]),
        row("side seam, along it", back["seams"]["side"], front["seams"]["side"]),
        "",
        row("Darts", "from centre", "intake", "length"),
    ]
    for name, panel in (("back", back), ("front", front)):
        lines += [row(f"{name} dart", dart["centre"], dart["intake"], dart["length"]) for dart in panel["darts"]]
    if not back["darts"] and not front["darts"]:
        lines.append("none")
    checks = result["proof"]["checks"]
    held = sum(check["holds"] for check in checks)
    lines += ["", f"Proof of the geometry: {held} of {len(checks)} checks hold."]
    lines += [f"FAILS: {check['name']} ({check['panel']})" for check in checks if not check["holds"]]
    lines += [f"Caution: {finding['message']}." for finding in result["findings"]]
    lines.append(charts.CAUTION)
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
