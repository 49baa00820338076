"""The shell: ``python -m kirtle draft`` and ``python -m kirtle schema``."""

import argparse
import io
import json
import math
import os
import sys
from pathlib import Path
from typing import Any

from . import Draft, MeasurementError, __version__, schema

MEASURES = {
    "waist": "waist girth of the body",
    "hip": "girth at the fullest hip",
    "hip-depth": "waist to fullest hip, straight down",
    "length": "waist to hem, straight down the side",
    "waist-ease": "added to the waist, all around",
    "hip-ease": "added to the hip, all around",
}
"""The options that make a request without a file."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; returns 0, or 2 with every problem on standard error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # A terminal without ° or × shows a question mark.
    options = parser().parse_args(arguments)
    try:
        text: str = options.run(options)
    except MeasurementError as error:
        print(error, file=sys.stderr)
        return 2
    except OSError as error:
        print(f"{error.filename2 or error.filename}: {error.strerror}", file=sys.stderr)
        return 2
    return show(text)


def show(text: str) -> int:
    """Print the text; returns 0, or 2 where the output cannot take it. A reader that has enough of it is no fault."""
    try:
        print(text, flush=True)
    except OSError as error:
        # Nothing is left for Python to flush, and to fail on, at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            return 0
        print(f"standard output: {error.strerror}", file=sys.stderr)
        return 2
    return 0


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    top = argparse.ArgumentParser(prog="kirtle", description="Drafts the straight skirt from a body.")
    top.add_argument("--version", action="version", version=f"kirtle {__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    draft = commands.add_parser("draft", help="draft a request: a table, the result in JSON, the drawing in SVG")
    draft.add_argument("request", nargs="?", help="a request in JSON; - reads standard input")
    draft.add_argument("--out", type=Path, metavar="DIR", help="write result.json and draft.svg into DIR")
    draft.add_argument("--unit", choices=("cm", "in"), help="unit of the measurements (default: cm)")
    for name, help_text in MEASURES.items():
        draft.add_argument(f"--{name}", metavar="N", help=help_text)
    draft.set_defaults(run=run_draft, parser=draft)
    printed = commands.add_parser("schema", help="print a JSON Schema")
    printed.add_argument("name", choices=("request", "result", "error"))
    printed.set_defaults(run=lambda options: json.dumps(schema(options.name), indent=2))
    return top


def run_draft(options: argparse.Namespace) -> str:
    """Draft the request, write its files, and return the table."""
    draft = Draft.from_json(request_text(options))
    files = {"result.json": draft.to_json(), "draft.svg": draft.svg()}
    lines = [table(draft.to_dict())]
    if options.out is not None:
        options.out.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            write(options.out / name, content)
            lines.append(f"wrote {options.out / name}")
    return "\n".join(lines)


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
    if "\0" in options.request:
        options.parser.error("a file's name has no zero byte")
    source = sys.stdin.buffer if options.request == "-" else Path(options.request).open("rb")
    with source:
        return source.read().decode("utf-8-sig", errors="replace")


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
    except ValueError:
        return text
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < math.inf
    return float(value) if is_number else text


def write(path: Path, content: str) -> None:
    """Write a file whole or not at all."""
    half = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        half.write_text(content, encoding="utf-8")
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)


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
    lines.append("Fit is not judged here: make a trial garment first.")
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
