"""Runs of one command for each row of a list in CSV, such as a class: the option ``--each`` of ``draft``, ``pattern``, ``lay`` and ``lesson``."""

import argparse
import csv
import io
import re
import unicodedata
from pathlib import Path

from . import Draft, InputError, SizeChart
from .chart_files import chart_text, standard_name
from .files import MAX_BYTES
from .options import CAUTION, error_text, names_size, refuse_overwriting, texts_of, typed_options
from .requests import NUMBERS, findings_of, pattern_of, request_text

NOT_IN_FILE_NAMES = r'[\x00-\x1f<>:"/\\|?*]|^\.|\.$|^$'
"""Regular expression of characters and forms that some system forbids in a file name."""


def run_each(options: argparse.Namespace) -> str:
    """Run the command of the options once for each row of a list, and return a line for each file, with the codes of its cautions in words.

    The problems of rows become remarks, each with its rows, and the exit code 1.
    """
    rows, written, problems = rows_of(options), [], dict[str, list[str]]()
    for row in rows:
        try:
            if len(row.cells) != len(row.columns):
                raise InputError(f"number of columns: {len(row.cells)} instead of {len(row.columns)}")
            printed, text = row.run(row), request_text(row)
            findings = findings_of(pattern_of(row, text)) if "preset" in row else Draft.from_json(text).to_dict()["findings"]
            cautions = dict.fromkeys(finding["code"].replace("_", " ") for finding in findings)
            failed = [line for line in printed.splitlines() if line.startswith("FAILED")]
            written.append(f"wrote {row.out}" + f": {', '.join([*failed, *cautions])}" * bool(failed or cautions))
        except (InputError, OSError) as error:
            for problem in error_text(error, row).replace(f'"{row.out}"', f'"{options.out}"').splitlines():
                in_list = re.sub(r"--([a-z-]+)", lambda found: found[1].replace("-", " ") if standard_name(found[1]) in row.columns else found[0], problem)
                problems.setdefault(in_list, []).append(row.place)
    options.remarks += [f"{', '.join(places)}: {problem}" for problem, places in problems.items()]
    options.exit_code = 1 if problems else 0
    return "\n".join([*written, CAUTION])


def rows_of(options: argparse.Namespace) -> list[argparse.Namespace]:
    """Return the options of the command for each row of a list: a number that is not typed comes from the row."""
    if names_size(options) or typed_options(options, "name") or options.request is None or "{name}" not in str(options.out):
        options.parser.error("--each needs a list in CSV, and {name} in --out, but no --name and no size")
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
            own = {"row": name, "place": f"{name} ({place})" if name else place, "columns": columns, "cells": cells}
            rows.append(argparse.Namespace(**typed | numbers | own | {"out": type(options.out)(str(options.out).replace("{name}", name))}))
    check_files(rows, options)
    for row in rows:
        row.request, row.texts = None, texts_of(options, options.out).get("texts")
    return rows


def check_files(rows: list[argparse.Namespace], options: argparse.Namespace) -> None:
    """Raise one error for all rows whose file cannot be written: a forbidden name, the file of another row, a missing folder, or a file that is read."""
    problems, places = [f"{options.request}: no row below the header"] * (not rows), dict[str, str]()
    for row in rows:
        if re.search(NOT_IN_FILE_NAMES, row.row):
            problems.append(f'{row.place}: a file cannot have the name "{row.row}"')
        elif (other := places.setdefault(unicodedata.normalize("NFC", row.row).casefold(), row.place)) != row.place:
            problems.append(f"{row.place}: the same file as {other}")
        elif "files" not in options and not (folder := Path(row.out).parent).is_dir():
            problems.append(f"{folder}: no such folder; make it first")
        else:
            refuse_overwriting(row)
    if problems:
        raise InputError("\n".join(dict.fromkeys(problems)))
