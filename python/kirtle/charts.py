"""The commands on a size chart: ``sizes``, ``choose``, ``between`` and ``alter``. Each reads CSV, JSON, or the demo chart."""

import argparse
import json
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import Body, InputError, Pattern, SizeRange
from .chart_files import chart_of, report_of, request_between
from .options import CAUTION, by_ruler, dart_options, darts_of, paper_of, paper_options, parse_length, ruler_of, ruler_option, texts_of, texts_option
from .options import typed_lengths, typed_options
from .requests import (
    caution, cutting_of, cutting_options, draft_files, length_to_buy_text, number_options, texts_of_draft, with_cutting, write_draft, write_pattern,
)

BODY_MEASUREMENTS = ("waist", "hip", "hip_depth", "length")
"""Names of the measurements of a body, as fields and as attributes of the parsed options."""


def add_commands(commands: Any) -> None:
    """Add the commands on size charts."""
    sizes = add_chart_command(commands, "sizes", "draft every size of a chart: key lengths, grade table, nest", run_sizes)
    sizes.add_argument("--grade", action="store_true", help="print how far each named point moves from one size to the next")
    sizes.add_argument("--cloth", metavar="WIDTH", nargs="+", help="print the cloth to buy for each size, by widths of cloth such as 90 140 (default preset for it: garment)")
    sizes.add_argument("--nest", metavar="FILE", help="file for the sizes drawn on each other; its name ends with .pdf, .svg or .dxf")
    sizes.add_argument("--sizes", metavar="LIST", help="sizes of the nest, such as 36-44 or 36,38,42 (default: all)")
    cutting_options(sizes, preset="none")
    paper_options(sizes, sheets=True)
    texts_option(sizes)
    choose = add_chart_command(commands, "choose", "choose a size for a body: which size, what is altered, and the commands for it", run_choose)
    number_options(choose, ("waist", "hip"))
    number_options(choose, ("hip_depth", "length"), required=False)
    choose.add_argument("--by", choices=("hip", "waist", "both"), help="girth by which the size is chosen (default: hip)")
    choose.add_argument("--tolerance", metavar="N", help="take the smaller of two sizes if the body is at most N larger (default: 1 cm)")
    between = add_chart_command(commands, "between", "work out the measurements of a body between sizes; with the ease, draft it", run_between)
    for part in ("waist", "hip"):
        between.add_argument(f"--{part}", required=True, metavar="SIZE[:SIZE[:FRACTION]]",
                             help=f"size at the {part}; half-way between two sizes (38:40), or with a fraction (38:40:1/4, 38:40:25%%)")
    number_options(between, ("hip_depth", "length"), required=False)
    between.add_argument("--out", metavar="DIR|FILE", help="folder for request.json, result.json and draft.svg, or a file of the pattern: .pdf, .svg, .dxf or .json")
    between.set_defaults(files=lambda out: [Path(out)] if is_pattern_file(out) else draft_files(out))
    cutting_options(between)
    paper_options(between, sheets=True)
    texts_option(between)
    alter = add_chart_command(commands, "alter", "alter the printed nest for a body, step by step, and compare with an exact draft", run_alter)
    number_options(alter, BODY_MEASUREMENTS)
    alter.add_argument("--tolerance", metavar="MM", help="largest difference of seams that sew together, and of a pattern close to the exact draft (default: 3)")
    alter.add_argument("--min-step", metavar="MM", help="leave out changes of at most MM (default: 3)")
    alter.add_argument("--out", metavar="FILE", help="file for the drawing; its name ends with .pdf, .svg or .dxf")
    paper_options(alter)
    texts_option(alter)


def add_chart_command(commands: Any, name: str, about: str, run: Callable[[argparse.Namespace], str]) -> argparse.ArgumentParser:
    """Add a command that starts from a size chart; return the command's parser."""
    added: argparse.ArgumentParser = commands.add_parser(name, help=about)
    added.add_argument("chart", help="size chart in CSV (columns name, waist, hip, hip_depth, length) or JSON, or the word demo")
    added.add_argument("--unit", choices=("cm", "in"), help="unit of the lengths in CSV and options (default: cm)")
    ruler_option(added)
    number_options(added, ("waist_ease", "hip_ease"), required=False)
    dart_options(added)
    added.set_defaults(run=run, parser=added)
    return added


def run_sizes(options: argparse.Namespace) -> str:
    """Return the key lengths of every size, and the grade table if asked for; write the nest, if asked for."""
    paper, chart = paper_of(options, options.nest) | texts_of(options, options.nest), chart_of(options)
    cutting = cutting_of(options, chart["unit"])
    if options.nest is None and (options.sizes is not None or cutting and options.cloth is None):
        options.parser.error("no nest is drawn: give --nest, or leave out the options of sizes and cutting")
    drafted = SizeRange.from_json(json.dumps(chart))
    report, unit, ruler = report_of(chart), chart["unit"], ruler_of(chart)
    heads = ("size", "waist", "hip", "hip depth", "length", "shaping", "back hip", "front hip", "side seam")
    lines = [f"{heads[0]:<12}" + "".join(f"{head:>10}" for head in heads[1:]) + f"   darts ({ruler[:2]})"]
    for size in report["sizes"]:
        body, key = size["body"], size["lengths"]
        numbers = (body["waist"], body["hip"], body["hip_depth"], body["length"], key["suppression"], key["back_width"],
                   key["front_width"], key["side_seam"])
        darts = [" + ".join(by_ruler(dart, unit, ruler) for dart in key[half]) or "none" for half in ("back_darts", "front_darts")]
        lines.append(f"{size['name']:<12}" + "".join(f"{by_ruler(value, unit, ruler):>10}" for value in numbers)
                     + f"   back {darts[0]}, front {darts[1]}")
    if options.grade:
        lines += ["", f"{'panel':<7}{'point':<16}{'smaller':>8}{'larger':>8}{'across':>10}{'down':>10}   ({unit}; minus is up)"]
        for move in report["grade"]:
            step = "".join(f"{value:>10.3f}" for value in move["step"]) if move["step"] else f"{'one size only':>20}"
            lines.append(f"{move['panel']:<7}{move['point']:<16}{move['smaller']:>8}{move['larger']:>8}{step}")
    if options.cloth is not None:
        widths = [parse_length(width, unit) for width in options.cloth]
        lines += ["", f"{'cloth to buy':<14}" + "".join(f"{f'{width:g} {unit} wide' if isinstance(width, float) else width:>16}" for width in widths)]
        for name in drafted:
            pattern = drafted[name].pattern(**{"preset": "garment", "unit": unit} | cutting)
            lines.append(f"{name:<14}" + "".join(f"{cloth_to_buy(pattern, width, unit):>16}" for width in widths))
    if options.nest is not None:
        chosen = [choice.strip() for choice in options.sizes.split(",")] if options.sizes is not None else None
        drafted.nest(chosen, unit=unit, **cutting).save(options.nest, **paper, unit=ruler)
        lines.append(f"wrote {options.nest}")
    return "\n".join([*lines, *range_cautions(drafted, ruler[:2]), CAUTION])


def cloth_to_buy(pattern: Pattern, width: float | str, unit: str) -> str:
    """Return the length of cloth to buy as text, for the shorter lay of folded and of open cloth; ``too narrow`` if the pattern fits neither."""
    lengths = []
    for folded in (True, False):
        try:
            lengths.append(pattern.lay(width, folded=folded, unit=unit).to_dict(unit))  # type: ignore[arg-type]
        except InputError as error:
            if any(problem.code != "cloth_too_narrow" for problem in error.problems):
                raise
    best = min(lengths, key=lambda lay: lay["to_buy_cm"], default=None)
    return f"{length_to_buy_text(best)}{'' if best['folded'] else ' open'}" if best else "too narrow"


def range_cautions(drafted: SizeRange, unit: str) -> list[str]:
    """Return each kind of finding once: the message for the first size with the finding, and the names of all sizes with it."""
    found: dict[tuple[str, str], tuple[str, list[str]]] = {}
    for name in drafted:
        for finding in drafted[name].to_dict(unit)["findings"]:
            found.setdefault((finding["code"], finding["panel"]), (finding["message"], []))[1].append(name)
    return [f"{caution(message)} (Size {names[0]}" + (f"; also {', '.join(names[1:])}" if names[1:] else "") + ")" for message, names in found.values()]


def run_choose(options: argparse.Namespace) -> str:
    """Return the advice for a body, and the commands that draft it with the ease that is left."""
    chart = chart_of(options)
    # Hip depth and length only decide between sizes of equal girths, so missing ones are taken from the first size.
    given = typed_lengths(options, *BODY_MEASUREMENTS, unit=chart["unit"])
    chart["body"] = {name: chart["sizes"][0][name] for name in BODY_MEASUREMENTS} | given
    chart["choose"] = typed_options(options, "by") | typed_lengths(options, "tolerance", unit=chart["unit"])
    choice = report_of(chart)["choice"]
    return "\n".join([choice["advice"], *shell_commands_for_choice(choice, chart, options), CAUTION])


def shell_commands_for_choice(choice: dict[str, Any], chart: dict[str, Any], options: argparse.Namespace) -> list[str]:
    """Return two commands: one drafts the advised sizes, or else the body itself; one changes the girths of that draft to those of the body."""
    ease, body = chart.get("ease"), chart["body"]
    own = {part: body[part] for part in BODY_MEASUREMENTS if getattr(options, part) is not None}

    def typed(given: dict[str, float | str | None]) -> str:
        texts = {name: f"{round(value, 3) + 0.0:g}" if isinstance(value, float | int) else value for name, value in given.items()}
        return "".join(f" --{name.replace('_', '-')} {shlex.quote(text)}" for name, text in texts.items() if text)

    end = typed({f"{part}_ease": value for part, value in (ease or {}).items()} | darts_of(options) | {"ruler": options.ruler, "out": ease and "out"})
    if choice["individual"]:
        size = next(size for size in chart["sizes"] if size["name"] == choice["hip"]["size"])
        taken = ", ".join(part.replace("_", " ") for part in BODY_MEASUREMENTS if part not in own)
        note = [f"Of size {size['name']}, as not given: {taken}."] * bool(taken)
        unit = chart["unit"] if chart["unit"] != "cm" else None
        return [*note, "", f"kirtle draft{typed({'unit': unit} | {part: own.get(part, size[part]) for part in BODY_MEASUREMENTS})}{end}"] if ease else []
    sizes = {part: choice[part]["size"] for part in ("waist", "hip")}
    lines = ["", f"kirtle between {shlex.quote(options.chart)}{typed({'unit': options.unit} | own | sizes)}{end}"]
    if ease and any(abs(choice[part][part]) > 0.005 for part in sizes):
        left = {f"{part}_ease": ease[part] + choice[part][part] + choice[f"{part}_by"] for part in sizes}
        return [*lines, f"kirtle draft out/request.json{typed({part: body[part] for part in sizes} | left)} --out altered"]
    return lines


def is_pattern_file(out: str | None) -> bool:
    """Return whether an output names a file for a pattern, rather than a folder for a draft."""
    return out is not None and Path(out).suffix.lower() in (".pdf", ".svg", ".dxf", ".json")


def run_between(options: argparse.Namespace) -> str:
    """Return the measurements of a body between sizes; with the ease also its draft, or with a file of the pattern its pattern."""
    paper = paper_of(options, options.out)
    texts = (texts_of if is_pattern_file(options.out) else texts_of_draft)(options, options.out)
    request = request_between(options, {part: (f"--{part}", getattr(options, part)) for part in ("waist", "hip")})
    cut = with_cutting(request, options)
    if "ease" not in request and options.out is not None:
        options.parser.error("a draft needs the ease: give --waist-ease and --hip-ease")
    if cut != request and options.out is None:
        options.parser.error("nothing is cut: give --out, or leave out the options of cutting")
    unit, ruler = request["unit"], ruler_of(request)
    lines = [f"{name.replace('_', ' '):<10}{by_ruler(value, unit, ruler):>8} {ruler[:2]}" for name, value in request["body"].items()]
    if "ease" not in request:
        return "\n".join([*lines, CAUTION])
    if is_pattern_file(options.out):
        return "\n".join([*lines, "", write_pattern(Pattern.from_json(json.dumps(cut)), options.out, paper | texts, ruler)])
    return "\n".join([*lines, "", write_draft(json.dumps(cut), options.out and Path(options.out), texts, {})])


def run_alter(options: argparse.Namespace) -> str:
    """Return the steps of an alteration and their cost; write the drawing, if asked for."""
    paper = paper_of(options, options.out) | texts_of(options, options.out)
    chart = chart_of(options)
    chart["body"] = typed_lengths(options, *BODY_MEASUREMENTS, unit=chart["unit"])
    limits: dict[str, Any] = {f"{name}_mm": mm for name, mm in typed_lengths(options, "tolerance", "min_step", unit="mm").items()}
    sizes = SizeRange.from_json(json.dumps(chart | limits))
    altered = sizes.alter(Body(**chart["body"], unit=chart["unit"]), **limits)
    ruler = ruler_of(chart)
    report = altered.to_dict(ruler)
    lines = [f"{k}. {step}" for k, step in enumerate(report["instructions"], 1)]
    lines += [f"Left as printed, as too small to matter: {what}." for what in report["left_out"]]
    lines += ["", report["sewing_verdict"], report["difference_verdict"]]
    lines += [caution(finding["message"]) for finding in altered.exact.to_dict(chart["unit"])["findings"]]
    if options.out is not None:
        altered.save(options.out, **paper, unit=ruler)
        lines.append(f"wrote {options.out}")
    return "\n".join([*lines, CAUTION])
