"""Parses numbers and sizes of the command line, and describes problems in the words of the options that caused them."""

import argparse
import re
from functools import partial
from pathlib import Path
from typing import Any

from . import _kirtle
from ._kirtle import Problem, drawing_texts, format_length
from .exceptions import InputError
from .files import input_overwritten_by, read

CAUTION = "This does not check fit: sew a trial garment (toile) first."
"""Caution at the end of the output of a command."""

USUAL_EASE = {"cm": "1 to 2 cm and 4 to 6 cm", "in": "½ to ¾ in and 2 to 2¾ in"}
"""Usual ease at waist and hip (centimetres: common practice; inches: Central Washington University, costume text, chapter 16)."""

CM_PER_UNIT = {"cm": 1, "in": 2.54, "mm": 0.1}
"""Centimetres in one unit."""

RULERS = ("cm", "in", "in 1/8")
"""Rulers of printed lengths: a unit, or a unit and the step of rounding."""

FIELDS = {
    r"(?:body\.)?(waist|hip|hip_depth|length)": r"\1",
    r"body\.figure\.(front_length|side_length|back_length|front_hip|front_waist|high_hip|high_hip_depth)": r"\1",
    r"ease\.(waist|hip)": r"\1_ease",
    r"cutting\.allowances\.(waist|side|hem|centre_back)": r"\1_allowance",
    r"cutting\.(opening|name|press|waistband_width|underlap|facing_depth|vent|vent_width)": r"\1",
    r"cutting\.(pieces)(?:\[\d+\])?": r"\1",
    r"rules\.shares\.(back_darts|front_darts)": r"\1",
    r"cloth\.(width|selvedge)": r"\1",
    r"paper\.(margin|overlap)": r"\1",
    r"(paper|sizes|threads)": r"\1",
    r"corrections\[\d+\]\.(by|at)": r"\1",
    r"(?:blend\.)?(waist|hip)\.(?:from|to|fraction)": r"\1",
    r"(?:blend\.)?(hip_depth|length)": r"\1",
    r"(?:choose\.)?(tolerance)(?:_mm)?": r"\1",
    r"(min_step)_mm": r"\1",
    r"loss\.within": "tolerance",
    r"(bounds|by|bootstrap|keep|replicate_factor)(?:\.\w+|\[\d+\])?": r"\1",
    r"(grid|drop|min_share)(?:\[\d+\])?": r"\1",
    r"search\.(time_limit)": r"\1",
    r"path": "out",
}
"""Patterns of field paths, and for each the attribute of the parsed options that gives the field."""


def readable(text: str) -> str:
    """Return an argument with a question mark in place of each byte that is not UTF-8."""
    return text.encode(errors="replace").decode()


def parse_number(text: str) -> float | str:
    """Parse a number without a unit, with a point or a comma, or with a fraction; return any other text, which its field refuses."""
    return parse_length(text, None)


def parse_length(text: str, unit: object) -> float | str:
    """Parse a length in ``unit``, or with its own unit, as ``kirtle.parse_length`` does; without a valid unit, a number. Return any other text."""
    given = readable(text)
    if str(unit) not in CM_PER_UNIT and re.search("[mn\"″]", given, re.IGNORECASE):
        return given
    try:
        return _kirtle.parse_length(given, str(unit) if str(unit) in CM_PER_UNIT else "cm")
    except InputError:
        return given


def number(text: str, unit: str | None = None) -> float:
    """Parse an option as a number, or as a length in ``unit``; refuse any other text."""
    value = parse_length(text, unit)
    if isinstance(value, str):
        raise argparse.ArgumentTypeError(f'"{value}" is not a number')
    return value


def typed_options(options: argparse.Namespace, *names: str) -> dict[str, Any]:
    """Return those of the named options that are typed, by attribute."""
    return {name: value for name in names if (value := getattr(options, name, None)) is not None}


def typed_lengths(options: argparse.Namespace, *names: str, unit: object) -> dict[str, float | str]:
    """Return those of the named options that are typed, by attribute, parsed as lengths in ``unit``."""
    return {name: parse_length(value, unit) for name, value in typed_options(options, *names).items()}


def parse_size_position(option: str, text: str) -> dict[str, Any]:
    """Parse a position between sizes: one size (``38``), half-way (``38:40``), or a fraction (``38:40:1/4``, ``38:40:25%``)."""
    name, *rest = readable(text).split(":", 2)
    if not rest:
        return {"from": name}
    typed = rest[1].strip() if len(rest) == 2 else "1/2"
    share = parse_number(typed.removesuffix("%").rstrip())
    if isinstance(share, float) and typed.endswith("%"):
        share /= 100
    if not isinstance(share, float) or not 0 <= share <= 1:
        raise InputError(f'{option} "{readable(text)}": write two sizes, half-way (38:40) or with a fraction from 0 to 1 (38:40:1/4, 38:40:25%).')
    return {"from": name, "to": rest[0], "fraction": share}


def ruler_option(command: argparse.ArgumentParser) -> None:
    """Add the option that chooses the ruler of printed lengths."""
    command.add_argument("--ruler", choices=RULERS, help="rounding of printed lengths: cm to the millimetre, in to 1/16 inch, 'in 1/8' to 1/8 inch (default: the unit)")


def ruler_of(document: dict[str, Any]) -> str:
    """Return the ruler by which the lengths of a document are printed: its own, or its unit."""
    ruler: str = document.get("ruler", document["unit"])
    return ruler


def by_ruler(value: float, unit: str, ruler: str) -> str:
    """Format a length in ``unit`` by a ruler, also of the other unit."""
    return format_length(value * CM_PER_UNIT[unit] / CM_PER_UNIT[ruler[:2]], ruler)


def dart_options(command: argparse.ArgumentParser) -> None:
    """Add the options that choose the number of darts."""
    for half in ("back", "front"):
        command.add_argument(f"--{half}-darts", type=parse_number, metavar="N", help=f"number of {half} darts: 0 to 3, auto, or per_size (default: auto)")


def darts_of(options: argparse.Namespace) -> dict[str, float | str]:
    """Return the numbers of darts given as options, by the names of their fields."""
    return typed_options(options, "back_darts", "front_darts")


def with_darts_and_ruler(document: dict[str, Any], options: argparse.Namespace) -> dict[str, Any]:
    """Return a request or a chart with the numbers of darts that the options give among its rules, and with their ruler."""
    rules, given = document.get("rules", {}), darts_of(options)
    shares = rules.get("shares", {}) if isinstance(rules, dict) else None
    if given and isinstance(shares, dict):
        document = document | {"rules": rules | {"shares": shares | given}}
    return document | ({"ruler": options.ruler} if options.ruler is not None else {})


def paper_options(command: argparse.ArgumentParser, *, sheets: bool = False) -> None:
    """Add the options for the paper of a PDF; with ``sheets`` also those for the joins of its sheets."""
    command.add_argument("--paper", type=readable, help="paper of a PDF: A4 to A0, Letter, Legal, Tabloid, '60 x 80 cm', 'roll 90 cm' (default: A4)")
    if sheets:
        command.add_argument("--margin", type=partial(number, unit="mm"), metavar="MM", help="white margin on every side of a sheet of a PDF (default: 10)")
        command.add_argument("--overlap", type=partial(number, unit="mm"), metavar="MM", help="overlap of neighbouring sheets of a PDF (default: 10)")


def paper_of(options: argparse.Namespace, out: str | None) -> dict[str, Any]:
    """Return the paper options as arguments of ``save``; refuse them if no PDF is written."""
    names = {"paper": "paper", "margin": "margin_mm", "overlap": "overlap_mm"}
    given = typed_options(options, *names)
    if given and (out is None or Path(out).suffix.lower() != ".pdf"):
        listed = ", ".join(f"--{name}" for name in given)
        where = "no PDF is written" if out is None else f"{readable(out)} is not a PDF"
        options.parser.error(f"{where}: leave out {listed}, or write a file that ends with .pdf")
    return {names[name]: value for name, value in given.items()}


def texts_option(command: argparse.ArgumentParser) -> None:
    """Add the option for texts in another language."""
    command.add_argument("--texts", metavar="FILE", help="texts of drawings in another language, in JSON; `kirtle texts` prints the English ones")


def texts_of(options: argparse.Namespace, out: Path | str | None) -> dict[str, Any]:
    """Return the texts as a keyword argument of the function that writes ``out``; refuse texts if ``out`` is no drawing."""
    if options.texts is None:
        return {}
    if out is None or Path(out).suffix.lower() == ".json":
        where = "no drawing is written" if out is None else f"{readable(str(out))} is not a drawing"
        options.parser.error(f"{where}: leave out --texts")
    if isinstance(options.texts, str):  # Read once, as the file may be a pipe.
        with Path(options.texts).open("rb") as source:
            options.texts = drawing_texts(read(source, "table of texts", options.texts))
    return {"texts": options.texts}


def refuse_overwriting(options: argparse.Namespace) -> None:
    """End a command that would write over a file that it reads, also under another name of the file."""
    inputs = [name for name in typed_options(options, "request", "chart", "source", "texts", "against").values() if name != "demo"]
    for given in typed_options(options, "out", "nest").values():
        for path in getattr(options, "files", lambda out: [Path(out)])(given):
            if (name := input_overwritten_by(path, inputs)) is not None:
                source = "standard input" if name == "-" else name
                options.parser.error(f"{path} is the file that is read ({source}) and would be overwritten: give another name for the output")
        if Path(given).name.lower() == "request.json":
            options.parser.error(f"{given} is the name of a request, which would be replaced: give another name for the output")


def error_text(error: InputError | OSError, options: argparse.Namespace) -> str:
    """Return what went wrong in the words of the options, a line for each different problem."""
    if isinstance(error, OSError):
        return f"{error.filename2 or error.filename}: {error.strerror}"
    # A length that was converted from another unit has at most four decimals.
    lines = [re.sub(r"\d+\.\d{6,}", lambda found: f"{round(float(found[0]), 4):g}", describe_problem(problem, options)) for problem in error.problems]
    if "column_names" in options and any("=COLUMN: " in line for line in lines):
        lines.append("The columns are " + ", ".join(f'"{name}"' for name in options.column_names) + ".")
    return with_unit_option("\n".join(dict.fromkeys(lines)), options) if lines else str(error)


def with_unit_option(text: str, options: argparse.Namespace) -> str:
    """Return a text with the option of the command in place of a keyword argument for the unit."""
    return re.sub(r'\bunit="(\w+)"', rf"--{'table-unit' if 'table_unit' in options else 'unit'} \1", text)


def describe_problem(problem: Problem, options: argparse.Namespace) -> str:
    """Return a sentence on one problem in the words of the option that was typed; the problem's message if no option matches."""
    if problem.code == "missing" and problem.field.startswith("ease") and can_option_give(options, "waist_ease"):
        return f"Give the ease: --waist-ease and --hip-ease (usual: {USUAL_EASE[getattr(options, 'unit', None) or 'cm']})."
    if problem.code == "missing" and "numbers" in options and (column := re.fullmatch(r"(?:people|body)\.(\w+)", problem.field)):
        return f"Give --number {column[1]}=COLUMN: {problem.limit}."
    if problem.code == "broken_json" and (name := getattr(options, problem.field, None)) is not None:
        source = "standard input" if name == "-" else name
        return f"{source}: {problem.text}"
    dart = re.fullmatch(r"rules\.darts\.(back|front)\[(\d)\]\.(intake|length|centre)", problem.field)
    if dart and problem.limit is not None and hasattr(options, "corrections"):
        limit, unit = typed_value(problem.limit), problem.unit or ""
        return f"--by: {dart[1]} {int(dart[2]) + 1} would have the {dart[3]} {format_length(float(problem.value or 0), unit)} {unit} (limit: {limit} {unit})."
    attribute = attribute_of(problem.field)
    if problem.code == "unknown_size" and names_size(options):
        attribute = f"{attribute}_size" if getattr(options, f"{attribute}_size") else "size"
    if attribute == "out" and getattr(options, "nest", None) is not None:
        attribute = "nest"
    if attribute == "width" and "cloth" in options:
        attribute = "cloth"
    typed = getattr(options, attribute, None) if attribute else None
    if attribute is None or (typed is None and not (problem.code == "missing" and can_option_give(options, attribute))):
        return problem.message + (f".{hint}" if (hint := other_unit(problem, options)) and "(line " in problem.message else "")
    if attribute == "at" and (only := re.fullmatch(r'"shared", a place for "(\w+)"', str(problem.limit))):
        return f"--at {typed}: leave out --at for --what {only[1]}."
    option = f"--{attribute.replace('_', '-')}"
    unit = f" {problem.unit}" if problem.unit else ""
    match problem.code:
        case "missing":
            girth = f" {found[1]}=MIN:MAX" if (found := re.fullmatch(r"bounds\.(\w+)", problem.field)) else ""
            return f"Give {option}{girth}: {problem.limit}."
        case "below_minimum" | "above_maximum":
            why, limit = ("too small", "at least") if problem.code == "below_minimum" else ("too large", "at most")
            return f"{option} {typed_value(problem.value)}{unit} is {why} ({limit} {typed_value(problem.limit)}{unit}).{other_unit(problem, options)}"
        case "unknown_size":
            size = f"{option} {problem.value} is not a size of this chart. Its sizes are {problem.limit}."
            ways = "some (36,38) or a row of them (36-44)" if attribute == "sizes" else "two half-way (38:40), or two with a fraction (38:40:1/4)"
            return f"{size} Write one size (38), {ways}."
    return f"{option}: {with_option_names(problem.text)}"


def with_option_names(text: str) -> str:
    """Return a text with the option in place of each path of a field that an option gives."""
    return re.sub(r"[a-z]+(?:\.[a-z_]+)+", lambda path: f"--{name.replace('_', '-')}" if (name := attribute_of(path[0])) else path[0], text)


def typed_value(value: float | str | None) -> str:
    """Format a value as it was typed, without a trailing ``.0``."""
    return str(value).removesuffix(".0")


def attribute_of(field: str) -> str | None:
    """Return the attribute of the parsed options that gives a field; ``None`` if no option does."""
    for pattern, attribute in FIELDS.items():
        if found := re.fullmatch(pattern, field):
            return found.expand(attribute)
    return None


def can_option_give(options: argparse.Namespace, attribute: str) -> bool:
    """Return whether an option can supply a missing field: if no request is read from a file, or for the site of a correction, ``--at``."""
    return hasattr(options, attribute) and (attribute == "at" or names_size(options) or getattr(options, "request", None) is None)


def names_size(options: argparse.Namespace) -> bool:
    """Return whether the options name a size of a chart instead of a request."""
    return bool(typed_options(options, "size", "waist_size", "hip_size"))


def other_unit(problem: Problem, options: argparse.Namespace) -> str:
    """Return a hint at the other unit if the value would be in range in that unit; an empty text otherwise."""
    reads_request = getattr(options, "request", None) is not None and not names_size(options)
    if not isinstance(problem.value, float) or not isinstance(problem.limit, float):
        return ""
    if problem.unit == "cm" and problem.code == "below_minimum" and problem.value * CM_PER_UNIT["in"] >= problem.limit > 0:
        return f" Inches? Write {typed_value(problem.value)}in." if reads_request else " Inches? Add --unit in."
    if problem.unit == "in" and problem.code == "above_maximum" and problem.value <= problem.limit * CM_PER_UNIT["in"]:
        return f" Centimetres? Write {typed_value(problem.value)}cm." if reads_request else " Centimetres? Leave out --unit in."
    return ""
