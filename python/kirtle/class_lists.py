"""Runs of one command for each row of a list in CSV, such as a class: the option ``--each`` of ``draft``, ``pattern``, ``lay`` and ``lesson``."""

import argparse
import csv
import io
import re
import unicodedata
from pathlib import Path

from . import Draft, InputError, SizeChart, drawing_texts
from .chart_files import chart_text, name_of_sizes, standard_name
from .files import MAX_BYTES
from .options import CAUTION, error_text, names_size, refuse_overwriting, texts_of
from .requests import NUMBERS, findings_of, pattern_of, request_text

NOT_IN_FILE_NAMES = r'[\x00-\x1f<>:"/\\|?*]|^\.|\.$|^$'
"""Regular expression of characters and forms that some system forbids in a file name."""


def run_each(options: argparse.Namespace) -> str:
    """Run the command of the options once for each row of a list, and return a line for each file, with the codes of its cautions in words.

    The problems of rows become remarks, each with its rows, and the exit code 1.
    """
    rows, written, problems = rows_of(options), [], dict[str, list[str]]()
    darts: dict[str, dict[int, list[str]]] = {"back": {}, "front": {}}
    for row in rows:
        try:
            if row.problem:
                raise InputError(row.problem)
            if len(row.cells) != len(row.columns):
                raise InputError(f"number of columns: {len(row.cells)} instead of {len(row.columns)}")
            printed, text = row.run(row), request_text(row)
            draft = Draft.from_json(text)
            findings = findings_of(pattern_of(row, text)) if "preset" in row else draft.to_dict()["findings"]
            for half, panel in (("back", draft.back), ("front", draft.front)):
                darts[half].setdefault(len(panel.darts), []).extend([row.row] * row.is_size)
            of_lay = re.findall(r"^FAILED.*|^(?:Buy|Laid open,) .*?\d (?:cm|yd)", printed, re.MULTILINE)
            notes = [*of_lay, *dict.fromkeys(finding["code"].replace("_", " ") for finding in findings)]
            written.append(f"wrote {row.out}" + f": {'; '.join(notes)}" * bool(notes))
        except (InputError, OSError) as error:
            for problem in error_text(error, row).replace(f'"{row.out}"', f'"{options.out}"').splitlines():
                in_list = re.sub(r"--([a-z-]+)", lambda found: found[1].replace("-", " ") if standard_name(found[1]) in row.columns else found[0], problem)
                problems.setdefault(in_list, []).append(row.place)
    options.remarks += [f"{', '.join(places)}: {problem}" for problem, places in problems.items()]
    options.exit_code = 1 if problems else 0
    for half, counts in darts.items():
        if len(listed := [f"{count} in {', '.join(names)}" for count, names in counts.items() if names]) > 1:
            written.append(f"{half.capitalize()} darts: {'; '.join(listed)}; one number for all: --{half}-darts {max(counts)}.")
    return "\n".join([*written, CAUTION])


def rows_of(options: argparse.Namespace) -> list[argparse.Namespace]:
    """Return the options of the command for each row of a list: a number that is not typed comes from the row."""
    name_of_all = getattr(options, "name", None)
    if names_size(options) or options.request is None or any("{name}" not in str(text) for text in (options.out, name_of_all or "{name}")):
        options.parser.error("--each needs a list in CSV, no size, and {name} in --out and in --name, if that is given")
    text = SizeChart.demo().to_csv(options.unit or "cm") if options.request == "demo" else chart_text(options.request)
    csv.field_size_limit(MAX_BYTES)
    table = csv.reader(io.StringIO(text, newline=None), delimiter=max(",;\t", key=text.lstrip().partition("\n")[0].count))
    header = next(filter(None, table), [])
    columns = ["name" if name == "size" else name for name in map(standard_name, header)]
    if columns.count("name") != 1 or any(columns.count(name) > 1 for name in NUMBERS):
        raise InputError(f"{options.request}: the header needs one column name, and each other column once: {', '.join(NUMBERS)}")
    unread = [name.strip() for name, column in zip(header, columns, strict=True) if name.strip() and column not in {"name", *NUMBERS}]
    options.remarks = [f"{options.request}: columns that are not read: {', '.join(unread)}"] * bool(unread)
    typed, rows = vars(options), []
    for cells in table:
        if any(cell.strip() for cell in cells):
            by_column = {column: cell.strip() for column, cell in zip(columns, cells, strict=False)}
            numbers = {name: by_column[name] for name in NUMBERS if by_column.get(name) and typed[name] is None}
            name, place = by_column.get("name", ""), f"line {table.line_num}"
            own = {"row": name, "place": f"{name} ({place})" if name else place, "columns": columns, "cells": cells, "problem": ""}
            rows.append(argparse.Namespace(**typed | numbers | own | {"out": type(options.out)(str(options.out).replace("{name}", name))}))
    check_files(rows, options)
    for row in rows:
        row.request, row.texts = None, texts_of(options, options.out).get("texts")
        row.is_size = "size" in map(standard_name, header) or row.row[:1].isdigit()
        row.label = name_of_sizes(row.texts or drawing_texts(), row.row, row.row) if row.is_size else row.row
        row.name = name_of_all and name_of_all.replace("{name}", row.label)
    return rows


def check_files(rows: list[argparse.Namespace], options: argparse.Namespace) -> None:
    """Note the problem of each row whose file has a forbidden name or is the file of another row; raise an error without rows or without a folder."""
    places = dict[str, str]()
    for row in rows:
        if re.search(NOT_IN_FILE_NAMES, row.row):
            row.problem = f'a file cannot have the name "{row.row}"'
        elif (other := places.setdefault(unicodedata.normalize("NFC", row.row).casefold(), row.place)) != row.place:
            row.problem = f"the same file as {other}"
        elif "files" not in options and not (folder := Path(row.out).parent).is_dir():
            raise InputError(f"{folder}: no such folder; make it first")
        else:
            refuse_overwriting(row)
    if not rows:
        raise InputError(f"{options.request}: no row below the header")
