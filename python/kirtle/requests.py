"""The commands on one request: ``draft``, ``pattern``, ``lay``, ``lesson`` and ``correct``. A request is a file, standard input, or options."""

import argparse
import errno
import json
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import Any

from . import Draft, Fitting, Lesson, Pattern, draft_json
from .chart_files import chart_of, request_between
from .files import atomic_write, json_or_none, read
from ._kirtle import format_length
from .options import CAUTION, dart_options, darts_of, names_size, paper_of, paper_options, parse_length, readable, ruler_of, ruler_option, texts_of
from .options import texts_option, typed_lengths, typed_options, with_darts_and_ruler
from .request_fields import fields
from .words import given_number

MEASUREMENTS_AND_EASE = {
    "waist": "waist girth of the body",
    "hip": "girth at the fullest hip",
    "hip_depth": "waist to fullest hip, straight down",
    "length": "waist to hem, straight down the side",
    "waist_ease": "ease at the waist, all around",
    "hip_ease": "ease at the hip, all around",
}
"""Help of the options that make a request without a file, by attribute."""

FIGURE_MEASUREMENTS = {
    "front_length": "waist at the centre front to the floor, straight down; of the three lengths only the differences count",
    "side_length": "waist at the side to the floor, straight down",
    "back_length": "waist at the centre back to the floor, straight down",
    "front_hip": "arc over the front at the fullest hip, from side seam to side seam",
    "front_waist": "arc over the front at the waist, from side seam to side seam",
    "high_hip": "girth at the high hip, where belly or upper hip are fullest",
    "high_hip_depth": "waist to the high hip, straight down",
}
"""Help of the optional measurements of the figure, by attribute."""

NUMBERS = MEASUREMENTS_AND_EASE | FIGURE_MEASUREMENTS
"""Help of all options for numbers of a request, by attribute."""

ALLOWANCES = ("waist", "side", "hem", "centre_back")
"""Names of the edges with a seam or hem allowance."""

PIECE_LENGTHS = ("waistband_width", "underlap", "facing_depth", "vent", "vent_width")
"""Names of the lengths of the pieces that finish the waist, and of the vent."""

DRAFT_FILES = ("result.json", "draft.svg", "request.json")
"""Files that a draft writes into the folder of ``--out``."""

RECORD_FILE = "fittings.txt"
"""File that ``correct`` writes beside the request: the record of this fitting and of all earlier ones."""


def add_commands(commands: Any) -> None:
    """Add the commands on one request."""
    draft = commands.add_parser("draft", help="draft a skirt: print its measurements; with --out write JSON and SVG")
    request_options(draft, run_draft)
    draft.add_argument("--out", type=Path, metavar="DIR", help="folder for request.json, result.json and draft.svg")
    draft.set_defaults(files=draft_files)
    pattern = commands.add_parser("pattern", help="make the pattern pieces, ready to cut: PDF, SVG, DXF or JSON")
    request_options(pattern, run_pattern)
    pattern.add_argument("--out", metavar="FILE", help="file to write; its name ends with .pdf, .svg, .dxf or .json")
    cutting_options(pattern)
    paper_options(pattern, sheets=True)
    lay = commands.add_parser("lay", help="lay the pieces on cloth: how much cloth to buy, and where each piece lies")
    request_options(lay, run_lay)
    lay.add_argument("--out", metavar="FILE", help="file to write; its name ends with .pdf, .svg, .dxf (at true size, of open cloth) or .json")
    cutting_options(lay)
    paper_options(lay)
    lay.add_argument("--width", metavar="N", help="width of the open cloth between the selvedges (required unless the request in JSON has a field cloth)")
    lay.add_argument("--open", action="store_true", help="lay the cloth open (default: folded lengthwise)")
    lay.add_argument("--true-size", action="store_true", help="draw an SVG at true size, for a cutter (default: at 1 : 5)")
    lay.add_argument("--one-way", action="store_true", help="lay all pieces in one direction, for a nap, pile, print or shade")
    lay.add_argument("--selvedge", metavar="N", help="strip along each selvedge that no piece covers (default: 1 cm or 3/8 in)")
    lesson = commands.add_parser("lesson", help="write how to draw a skirt by hand, step by step: PDF or Markdown")
    request_options(lesson, run_lesson)
    lesson.add_argument("--name", help="name in the title and at the foot of each page, such as a size or a person")
    lesson.add_argument("--out", metavar="FILE", help="file to write; its name ends with .pdf or .md (default: print the steps)")
    for command in (draft, pattern, lay, lesson):
        command.add_argument("--each", action="store_true", help="write the files of each row of a list in CSV, each body by itself; --out has {name} in place of the row's name")
    correction = fields(["corrections"], "cm")
    corrected = commands.add_parser("correct", help="change a draft after a trial garment, and draft it again")
    request_options(corrected, run_correct)
    corrected.description += " For several corrections of one fitting repeat --what, --by and --at."
    corrected.add_argument("--what", action=CorrectionPart, choices=correction["what"]["enum"], help="what to change")
    corrected.add_argument("--by", action=CorrectionPart, metavar="N", help="above zero: wider, lower, longer or towards the side; below zero: "
                           "narrower, higher, shorter or towards the centre. Waist and hip change by N all around: 0.5 pinned double at both side seams is 2. "
                           "A dart changes by N; the side fullness is a ratio")
    corrected.add_argument("--at", action=CorrectionPart, choices=correction["at"]["enum"],
                           help="where waist or hip change (default: shared by side seams and darts), or which darts change; not for other corrections: 'back 1' is the back dart nearest the centre")
    corrected.add_argument("--note", type=readable, metavar="TEXT", help="remark for the record of the fitting")
    corrected.add_argument("--out", type=Path, metavar="DIR", help="folder for request.json, result.json, draft.svg and fittings.txt, the record")
    corrected.set_defaults(files=lambda out: [*draft_files(out), Path(out) / RECORD_FILE])


class CorrectionPart(argparse.Action):
    """Collects the options of corrections: an option that the last correction already has begins the next correction."""

    def __call__(self, parser: argparse.ArgumentParser, namespace: argparse.Namespace, values: Any, option_string: str | None = None) -> None:
        """Add the option to the last correction, or begin the next."""
        corrections = list(getattr(namespace, "corrections", []))
        if not corrections or self.dest in corrections[-1]:
            corrections.append({})
        corrections[-1] = corrections[-1] | {self.dest: values}
        namespace.corrections = corrections
        setattr(namespace, self.dest, values)  # Messages check whether the option is given.


def draft_files(folder: str | Path) -> list[Path]:
    """Return the files that a draft writes into a folder."""
    return [Path(folder) / name for name in DRAFT_FILES]


def request_options(command: argparse.ArgumentParser, run: Callable[[argparse.Namespace], str]) -> None:
    """Add the options of a command that starts from a request."""
    command.description = "Give a request in JSON, or the measurements as options, or a size chart and one of its sizes."
    command.add_argument("request", nargs="?", help="request in JSON; - reads standard input; with a size, the size chart or the word demo")
    command.add_argument("--size", help="size of the chart")
    for part in ("waist", "hip"):
        command.add_argument(f"--{part}-size", metavar="SIZE[:SIZE[:FRACTION]]", help=f"size at the {part} if it is not --size; between two sizes as 38:40 or 38:40:1/4")
    command.add_argument("--unit", choices=("cm", "in"), help="unit of the measurements (default: cm)")
    ruler_option(command)
    texts_option(command)
    number_options(command, NUMBERS, required=False)
    dart_options(command)
    command.set_defaults(run=run, parser=command)


def number_options(command: argparse.ArgumentParser, names: Iterable[str], *, required: bool = True) -> None:
    """Add options for measurements and eases of a body."""
    for name in names:
        command.add_argument(f"--{name.replace('_', '-')}", required=required, metavar="N", help=NUMBERS[name])


def cutting_options(command: argparse.ArgumentParser, *, preset: str = "trial") -> None:
    """Add the options that choose the pieces and how they are cut; the help gives ``preset`` as the default preset."""
    command.add_argument("--preset", choices=("trial", "garment", "none"), help=f"set of allowances to start from (default: {preset})")
    command.add_argument("--name", type=readable, help="name printed on the pieces, such as a size, a person or a date")
    command.add_argument("--note", action="append", dest="notes", type=readable, metavar="TEXT", help="line below the title of the sheet; repeat for each line")
    for name in ALLOWANCES:
        command.add_argument(f"--{name.replace('_', '-')}-allowance", dest=f"{name}_allowance", metavar="N",
                             help=f"allowance at the {name.replace('_', ' ')} (default: of the preset)")
    command.add_argument("--opening", metavar="N", help="length of the zip opening, from the waist down the centre back (default: 20 cm or 8 in)")
    command.add_argument("--press", choices=("centre", "side"), help="direction in which the darts are pressed (default: centre)")
    command.add_argument("--unfolded", action="store_const", const=True, help="draw the front, and its facing, with both halves (default: one half, to place on the fold)")
    command.add_argument("--pieces", metavar="NAMES", help="pieces, separated by commas: back,front and optionally waistband or facing (default: back,front)")
    command.add_argument("--waistband-width", metavar="N", help="finished width of the waistband (default: 3 cm or 1 1/4 in)")
    command.add_argument("--underlap", metavar="N", help="length of the waistband beyond the waist (default: 3 cm or 1 1/4 in)")
    command.add_argument("--facing-depth", metavar="N", help="depth of the facing, square to the waist (default: 6 cm or 2 1/2 in)")
    command.add_argument("--vent", metavar="N", help="height of a vent at the centre back (default: no vent)")
    command.add_argument("--vent-width", metavar="N", help="width of the vent's extension (default: 4 cm or 1 1/2 in)")


def run_draft(options: argparse.Namespace) -> str:
    """Draft a request, write its files, and return the printed table."""
    text, texts, record = request_text(options), texts_of_draft(options, options.out), earlier_fittings(options)
    if record:
        Draft.from_json(text)  # Problems of the request are raised before it is compared.
        record += new_measurements(json.loads(Path(options.request).read_text(encoding="utf-8-sig")), json.loads(text))
    return write_draft(text, options.out, texts, {RECORD_FILE: record} if record else {})


def new_measurements(before: dict[str, Any], after: dict[str, Any]) -> str:
    """Return a line for the record of fittings: the measurements and eases that differ between two requests; empty if none differs."""

    def numbers(request: dict[str, Any]) -> dict[str, object]:
        body = request.get("body", {})
        eases = {f"{name} ease": value for name, value in request.get("ease", {}).items()}
        return {name: value for name, value in (body | body.get("figure", {}) | eases).items() if name != "figure"}

    def text(value: object) -> str:
        return given_number(value, after["unit"]) if isinstance(value, int | float) else "none" if value is None else str(value)

    old = {name: text(value) for name, value in numbers(before).items()}
    new = {name: text(value) for name, value in numbers(after).items()}
    changes = [f"{name.replace('_', ' ')} {old.get(name, 'none')} → {value}" for name, value in new.items() if value != old.get(name, "none")]
    return f"{date.today()}, new measurements ({after['unit']}): {', '.join(changes)}\n" if changes else ""


def texts_of_draft(options: argparse.Namespace, folder: str | Path | None) -> dict[str, Any]:
    """Return the given texts as an argument of ``Draft.svg``; refuse them if no folder is given."""
    return texts_of(options, None if folder is None else Path(folder) / "draft.svg")


def write_draft(text: str, folder: Path | None, texts: dict[str, Any], other_files: dict[str, str]) -> str:
    """Draft the text of a request and return the printed table; with a folder, write its files, worded by `texts`, and `other_files`."""
    draft, result = Draft.from_json(text), draft_json(text)
    files = dict(zip(DRAFT_FILES, (result, draft.svg(**texts), text), strict=True)) | other_files
    return "\n".join([measurement_table(draft, json.loads(result), ruler_of(json.loads(text))), *write_all(folder, files)])


def run_correct(options: argparse.Namespace) -> str:
    """Correct a draft, write the changed request and its draft, and return what changed."""
    given = getattr(options, "corrections", [])
    if not given or any("what" not in one or "by" not in one for one in given):
        options.parser.error("give --what and --by for each correction")
    text, texts = request_text(options), texts_of_draft(options, options.out)
    Draft.from_json(text)  # Problems of the request itself are raised before those of the corrections.
    request = json.loads(text)
    given = [one | {"by": parse_length(one["by"], None if one["what"] == "side_fullness" else request["unit"])} for one in given]
    request["corrections"] = [*request.get("corrections", []), *given]
    text = json.dumps(request)
    draft, result = Draft.from_json(text), json.loads(draft_json(text))
    unit, corrections, ruler = request["unit"], request.pop("corrections"), request.get("ruler")
    fitting = Fitting(Draft.from_json(json.dumps(request))).correct(corrections, unit=unit)
    earlier = earlier_fittings(options)
    number_of_fitting = sum(line.startswith("Fitting ") for line in earlier.splitlines()) + 1
    heading = ", ".join(filter(None, (str(date.today()), request.get("cutting", {}).get("name"), options.note and " ".join(options.note.split()))))
    record = fitting.fitting_record(ruler or unit).replace("Fitting 1 ", f"Fitting {number_of_fitting} ", 1)
    record = f"{heading}\n{record}"
    lines = [record, measurement_table(draft, result, ruler_of(request))]
    lines += [f"To undo these corrections, correct {options.request}, which is unchanged, again."] if options.request not in (None, "-") else []
    if options.out is not None:
        # The next fitting starts from the changed request.
        changed = {name: result[name] for name in ("unit", "body", "ease", "rules")}
        changed |= {name: request[name] for name in ("cutting", "cloth", "ruler") if name in request}
        files = dict(zip(DRAFT_FILES, (json.dumps(result), draft.svg(**texts), json.dumps(changed)), strict=True))
        lines += write_all(options.out, files | {RECORD_FILE: f"{earlier}{record}\n"})
    return "\n".join(lines)


def earlier_fittings(options: argparse.Namespace) -> str:
    """Return the record of earlier fittings beside the request; empty before the first fitting."""
    if options.request in (None, "-") or names_size(options):
        return ""
    record = Path(options.request).with_name(RECORD_FILE)
    if not record.is_file():
        return ""
    with record.open("rb") as source:
        return read(source, "record", str(record)) + "\n"


def write_all(folder: Path | None, files: dict[str, str]) -> list[str]:
    """Write files into a folder, each completely or not at all, and return a line for each; without a folder, write and return nothing."""
    if folder is None:
        return []
    if folder.is_file():
        raise NotADirectoryError(errno.ENOTDIR, "this is a file; give a folder", str(folder))
    if folder.suffix.lower() in (".pdf", ".svg", ".dxf", ".json", ".png"):
        raise NotADirectoryError(errno.ENOTDIR, "this is the name of a file; give a folder, or write the pattern by kirtle pattern --out", str(folder))
    record = folder / RECORD_FILE
    if record.exists() and not files.get(RECORD_FILE, "").startswith(record.read_bytes().decode(errors="replace")):
        raise FileExistsError(errno.EEXIST, "this record of fittings would be replaced; give another folder", str(record))
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        with atomic_write(folder / name) as partial:
            partial.write_text(content, encoding="utf-8")
    return [f"wrote {folder / name}" for name in files]


def run_lesson(options: argparse.Namespace) -> str:
    """Write the lesson of a request, or return its steps."""
    text, texts, name = request_text(options), texts_of(options, options.out or "lesson.md"), options.name
    lesson = Lesson.from_json(text, **texts) if name is None else Draft.from_json(text).lesson(name=name, **texts)
    if options.out is None:
        return lesson.to_markdown()
    lesson.save(options.out)
    return f"wrote {options.out}"


def run_pattern(options: argparse.Namespace) -> str:
    """Make the pattern of a request, write it, and return how the pieces are cut."""
    paper = paper_of(options, options.out) | texts_of(options, options.out)
    text = request_text(options)
    return write_pattern(pattern_of(options, text), options.out, paper, ruler_of(json.loads(text)))


def write_pattern(pattern: Pattern, out: str | None, paper: dict[str, Any], ruler: str) -> str:
    """Write a pattern, if a file is given, and return how its pieces are cut, with lengths by ``ruler``."""
    made, lines = pattern.to_dict(ruler[:2]), []
    unit = made["unit"]

    def copies(piece: dict[str, Any]) -> str:
        return "cut 1 on the fold" if piece["on_fold"] else "cut 1" if piece["copies"] == 1 else "cut 2 (mirrored)"

    for name in ("back", "front"):
        piece = made[name]
        darts = any(edge["role"] == "dart" for edge in piece["seam"])
        lines.append(f"{name:<6} {copies(piece)}" + (f", darts pressed towards the {made['press']}" if darts else ""))
    for piece in made.get("waist_pieces", []):
        lines.append(f"{piece['name'].replace('_', ' ')}: {copies(piece)}, also cut from interfacing")
    checks = made.get("proof", {}).get("checks", [])
    lines += [f"FAILED: {check['name']} ({check['panel']})" for check in checks if not check["holds"]]
    lines.append(allowances_text(made["allowances"], ruler))
    lines.append(f"zip opening: {format_length(made['opening'], ruler)} {unit} down the centre back")
    if (vent := made["back"].get("vent")) is not None:
        (_, top), (_, hem) = vent["fold"]
        lines.append(f"vent: {format_length(hem - top, ruler)} {unit} high at the centre back")
    if out is not None:
        pattern.save(out, **paper)
    return "\n".join(lines + last_lines(pattern, unit, out))


def allowances_text(allowances: dict[str, float], ruler: str) -> str:
    """Format the allowances of a pattern, which are in the unit of ``ruler``."""
    widths = (f"{edge.replace('_', ' ')} {chosen_length(width, ruler)}" for edge, width in allowances.items())
    return f"allowances: {', '.join(widths)} {ruler[:2]}"


def chosen_length(length: float, ruler: str) -> str:
    """Format a length that the user chose, in the unit of ``ruler``: inches to the step of the ruler."""
    return f"{round(length, 6):g}" if ruler == "cm" else format_length(length, ruler)


def run_lay(options: argparse.Namespace) -> str:
    """Lay the pieces of a request on cloth, write the lay, and return how much cloth to buy."""
    paper, text = paper_of(options, options.out) | texts_of(options, options.out), request_text(options)
    pattern, request = pattern_of(options, text), json.loads(text)
    cloth, ending = request.get("cloth"), Path(options.out or "").suffix.lower()
    if options.true_size and ending != ".svg":
        options.parser.error("--true-size is for --out with a name that ends with .svg")
    if cloth is not None and (options.width is not None or options.selvedge is not None or options.open or options.one_way):
        options.parser.error("the request gives the cloth: leave out --width, --selvedge, --open and --one-way")
    if cloth is None:
        if options.width is None:
            options.parser.error("give the width of the cloth: --width")
        if not options.open and (options.true_size or ending == ".dxf"):
            options.parser.error(f"{readable(options.out)} is at true size, with one layer of cloth: give --open")
        cloth = typed_lengths(options, "width", "selvedge", unit=request["unit"]) | {"folded": not options.open, "one_way": options.one_way}
    lay, ruler = pattern.lay(**cloth), ruler_of(request)
    made = lay.to_dict(ruler[:2])
    unit, how = made["unit"], "folded lengthwise" if made["folded"] else "laid open"
    lines = [
        f"On cloth {chosen_length(made['width'], ruler)} {unit} wide, {how}, the pieces take {format_length(made['length'], ruler)} {unit}.",
        f"Buy {length_to_buy_text(made)}, plus the length that your cloth shrinks; {made['waste']:.0%} of the needed cloth is left over.",
        allowances_text(pattern.to_dict(unit)["allowances"], ruler),
    ]
    laid_open = pattern.lay(**cloth | {"folded": False}).to_dict(unit) if made["folded"] else made
    if laid_open["length"] < made["length"] and length_to_buy_text(laid_open) != length_to_buy_text(made):
        lines.insert(2, f"Laid open, {length_to_buy_text(laid_open)} is enough.")
    if options.true_size:
        with atomic_write(Path(options.out)) as partial:
            partial.write_text(lay.true_size_svg(**paper), encoding="utf-8")
    elif options.out is not None:
        lay.save(options.out, **paper)
    return "\n".join(lines + last_lines(pattern, unit, options.out))


def length_to_buy_text(lay: dict[str, Any]) -> str:
    """Format the length of cloth to buy for a lay, as shops sell it."""
    return f"{lay['to_buy_cm']:g} cm" if lay["unit"] == "cm" else f"{format_length(lay['to_buy_yd'], 'in')} yd"


def pattern_of(options: argparse.Namespace, text: str) -> Pattern:
    """Make the pattern of a request, cut as the options say, and else as the request says."""
    document = json_or_none(text)
    return Pattern.from_json(json.dumps(with_cutting(document, options)) if isinstance(document, dict) else text)


def with_cutting(document: dict[str, Any], options: argparse.Namespace) -> dict[str, Any]:
    """Return a request with the options of cutting in place of its own cutting."""
    own = document.get("cutting", {})
    given = cutting_of(options, document.get("unit"), own)
    allowances = {name: given.pop(name) for name in ALLOWANCES if name in given}
    if allowances and isinstance(own, dict) and isinstance(own.get("allowances", {}), dict):
        given["allowances"] = own.get("allowances", {}) | allowances
    return document | {"cutting": own | given} if given and isinstance(own, dict) else document


def cutting_of(options: argparse.Namespace, unit: object, own: object = None) -> dict[str, Any]:
    """Return the given options of cutting, lengths in ``unit``, as the keyword arguments of ``Draft.pattern``; ``own`` is the cutting of a request."""
    given = typed_options(options, "preset", "name", "press", "notes", "unfolded")
    lengths = {name: getattr(options, f"{name}_allowance") for name in ALLOWANCES} | {"opening": options.opening}
    lengths |= {name: getattr(options, name) for name in PIECE_LENGTHS}
    if (pieces := options.pieces) is not None:
        given["pieces"] = [readable(name.strip()) for name in pieces.split(",")]
    merged = (own if isinstance(own, dict) else {}) | given
    cut = str(merged.get("pieces")) + " vent" * (options.vent is not None or "vent" in merged)
    for name, piece in (("waistband_width", "waistband"), ("underlap", "waistband"), ("facing_depth", "facing"), ("vent_width", "vent")):
        if lengths[name] is not None and piece not in cut:
            way = "--vent" if piece == "vent" else f"--pieces back,front,{piece}"
            options.parser.error(f"--{name.replace('_', '-')}: no {piece} is cut: give {way}, too")
    return given | {name: parse_length(value, unit) for name, value in lengths.items() if value is not None}


def findings_of(pattern: Pattern, unit: str = "cm") -> list[dict[str, Any]]:
    """Return the findings of draft and pattern in ``unit``; with a vent, without the draft's narrow hem."""
    made = pattern.to_dict(unit)
    of_draft = [finding for finding in pattern.draft.to_dict(unit)["findings"] if finding["code"] != "narrow_hem" or "vent" not in made["back"]]
    return [*of_draft, *made["findings"]]


def caution(message: str) -> str:
    """Format the message of a finding as a sentence."""
    return f"Caution: {message}" + ("" if message.endswith(".") else ".")


def last_lines(pattern: Pattern, unit: str, out: str | None) -> list[str]:
    """Return the last lines of the output: the cautions about draft and pattern, in ``unit``, the caution about fit, and the written file."""
    return [*(caution(finding["message"]) for finding in findings_of(pattern, unit)), CAUTION, *([f"wrote {out}"] if out is not None else [])]


def request_text(options: argparse.Namespace) -> str:
    """Return the request from a file, from standard input, or from the options, with the ruler of the options."""
    given = typed_options(options, *NUMBERS)
    if names_size(options):
        return json.dumps(request_of_size(options))
    if options.request is None:
        own = {"cutting": {"name": options.label}} if "label" in options else {}
        if not given and not own:
            options.parser.error("give a request in JSON, or the measurements (--waist, --hip, --hip-depth, --length)")
        request: dict[str, Any] = {"unit": options.unit or "cm", "body": {}, "ease": {}} | own
        return json.dumps(with_darts_and_ruler(with_numbers(request, given), options))
    if options.request == "demo" or Path(options.request).suffix.lower() == ".csv":
        names = ", ".join(size["name"] for size in chart_of(options)["sizes"])
        options.parser.error(f"{options.request} is a size chart: give --each, or --size, one of {names}")
    if options.request != "-":
        with Path(options.request).open("rb") as source:
            return with_typed_numbers(refuse_result(read(source, "request", options.request), options), given, options)
    if sys.stdin is None:
        options.parser.error("standard input is closed")
    return with_typed_numbers(read(sys.stdin.buffer, "request", "standard input"), given, options)


def with_typed_numbers(text: str, given: dict[str, str], options: argparse.Namespace) -> str:
    """Return the text of a request with the ruler and the numbers of the options, in the unit of the request, in place of its own."""
    document = json_or_none(text) if given or darts_of(options) or options.unit or options.ruler else None
    if not isinstance(document, dict):
        return text
    if options.unit not in (None, document.get("unit")):
        options.parser.error("the request gives its own unit, in which the options are read: leave out --unit")
    return json.dumps(with_darts_and_ruler(with_numbers(document, given), options))


def refuse_result(text: str, options: argparse.Namespace) -> str:
    """Return the text of a request unchanged; refuse the document of a pattern or of a result in its place."""
    document = json_or_none(text)
    for field, advice in (("allowances", "a pattern, not a request: give the request that it was made from"), ("proof", "a result, not a request: give the request.json beside it")):
        if isinstance(document, dict) and field in document:
            options.parser.error(f"{options.request} is {advice}")
    return text


def request_of_size(options: argparse.Namespace) -> dict[str, Any]:
    """Return the request of a size of a chart, or of sizes that differ at waist and hip."""
    if options.request is None:
        options.parser.error("give the size chart of the size, or the word demo")
    if options.waist is not None or options.hip is not None:
        options.parser.error("the size gives waist and hip: leave out --waist and --hip")
    own = {part: getattr(options, f"{part}_size") for part in ("waist", "hip")}
    places = {part: ("--size", options.size) if size is None else (f"--{part}-size", size) for part, size in own.items()}
    if any(size is None for _, size in places.values()):
        options.parser.error("give --size, or both --waist-size and --hip-size")
    request = request_between(options, places)
    figure = typed_lengths(options, *FIGURE_MEASUREMENTS, unit=request["unit"])
    return request | {"body": request["body"] | {"figure": figure}} if figure else request


def with_numbers(request: dict[str, Any], given: dict[str, str]) -> dict[str, Any]:
    """Return a request with the numbers of the options in place of its own; a text that is no number stays, and its field refuses it."""
    for name, value in given.items():
        part, field = ("ease", name.removesuffix("_ease")) if name.endswith("_ease") else ("body", name)
        group = request.setdefault(part, {})
        if name in FIGURE_MEASUREMENTS and isinstance(group, dict):
            group = group.setdefault("figure", {})
        if isinstance(group, dict):
            group[field] = parse_length(value, request.get("unit"))
    return request


def measurement_table(draft: Draft, document: dict[str, Any], ruler: str) -> str:
    """Format a draft as a table of measurements, with lengths by `ruler`; `document` is the document of its result."""
    result = draft.to_dict(ruler[:2])

    def row(name: str, *values: float | str) -> str:
        cells = (format_length(value, ruler) if isinstance(value, float) else value for value in values)
        return f"{name:<26}" + "".join(f"{value:>12}" for value in cells)

    body, ease, suppression = result["body"], result["ease"], result["suppression"]
    back, front = result["back"], result["front"]
    lines = [
        row(f"Straight skirt ({result['unit']})", "body", "ease", "garment"),
        row("waist", float(body["waist"]), float(ease["waist"]), result["girths"]["waist"]),
        row("hip", float(body["hip"]), float(ease["hip"]), result["girths"]["hip"]),
        row("hip depth, straight down", float(body["hip_depth"])),
        row("length, straight down", float(body["length"])),
        "",
        "Waist shaping of half the pattern (suppression)",
        row("total", suppression["total"]),
        row("side seams together", suppression["side"]),
        row("side seam, each panel", suppression["side"] / 2),
        row("back darts", suppression["back"]),
        row("front darts", suppression["front"]),
        "",
        row("Each panel", "back", "front"),
        row("width at the hip", back["width"], front["width"]),
        row("waist, darts closed", back["seams"]["waist"], front["seams"]["waist"]),
        row("waist lower at centre", back["waist_lowering"], front["waist_lowering"]),
        row("centre seam or fold", back["seams"]["centre"], front["seams"]["centre"]),
        row("along the side seam", back["seams"]["side"], front["seams"]["side"]),
        "",
        row("Darts", "from centre", "intake", "length"),
    ]
    for name, panel in (("back", back), ("front", front)):
        lines += [row(f"{name} dart {k}", dart["centre"], dart["intake"], dart["length"]) for k, dart in enumerate(panel["darts"], 1)]
    if not back["darts"] and not front["darts"]:
        lines.append("none")
    checks = result["proof"]["checks"]
    passed = sum(check["holds"] for check in checks)
    lines += ["", *(caution(finding["message"]) for finding in result["findings"])]
    lines += [f"FAILED: {check['name']} ({check['panel']})" for check in checks if not check["holds"]]
    lines += [f"{passed} of {len(checks)} pattern checks passed."]
    if (cost := document.get("rounding")) is not None:
        lines.append(f"Drawn by hand with this ruler: sewn waist {cost['waist_mm']:+.1f} mm, side seams {cost['side_mm']:+.1f} mm, "
                     f"no line more than {cost['distance_mm']:.1f} mm off.")
    lines.append(CAUTION)
    return "\n".join(lines)
