"""Builds python/reference.md from the docstrings of the stub and the Python modules, in groups by task."""

import ast
import json
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pyarrow as pa
from request_schema import request_schema

import kirtle
from kirtle.completion import span_text

PACKAGE = Path("python/kirtle")

GROUPS: dict[str, tuple[str, list[str]]] = {
    "Bodies and drafts": (
        "From measurements, ease and rules to a draft. Attributes are in centimetres.",
        ["Body", "Figure", "Ease", "Rules", "Shares", "Darts", "GivenDart", "draft", "Draft", "Suppression", "Panel", "Dart", "Edge", "Seams",
         "Girths", "Lengths", "Proof", "Check", "Finding", "table", "Table", "darts_by_ease", "compare_drafts", "draft_json", "request_changes", "parse_length",
         "format_length", "schema"],
    ),
    "Patterns and paper": (
        "From a draft to pieces with allowances (`Draft.pattern`), to their lay on the cloth (`Pattern.lay`), and to its drawing by hand (`Draft.lesson`).",
        ["Pattern", "Piece", "WaistPiece", "Vent", "Notch", "Lay", "Placed", "Lesson", "drawing_texts"],
    ),
    "Sizes": (
        "Size charts, bodies between two sizes, and corrections after a trial garment.",
        ["SizeChart", "Choice", "SizeDifference", "SizeRange", "Nest", "KeyLengths", "GradeIncrement", "Alteration", "Cost", "Fitting", "Change", "chart_json"],
    ),
    "Tables": (
        "Drafts of all bodies of a table, through Arrow: pandas, polars, pyarrow, duckdb.",
        ["draft_table", "DraftTable", "draft_stream", "DraftStream", "Rows"],
    ),
    "Surveys": (
        "How well a size chart serves many people, and which sizes would serve them best.",
        ["simulate", "Population", "BodyTable", "fit_chart", "ChartFit", "GroupFit", "GroupComparison", "RefusedPeople", "best_sizes", "BestSizes", "best_chart",
         "best_chart_by_draft", "BestChart", "compare_charts", "ChartComparison", "compare_fits", "FitComparison", "LogBand"],
    ),
    "Derivatives and errors": (
        "Results of methods of `Draft`: derivatives, standard errors, the input for a wanted number, and the ease by level.",
        ["Sensitivity", "StandardErrors", "Uncertainty", "Ellipse", "Solutions", "EaseByLevel"],
    ),
    "Plots and widget": (
        "`from kirtle import plots` needs matplotlib and pyarrow, `from kirtle.widget import LiveDraft` needs anywidget. Every "
        "plot draws on the axes `ax`, or on a new figure, and returns the axes.",
        ["plots", "LiveDraft"],
    ),
    "Errors": (
        "Invalid input raises one exception with all problems.",
        ["InputError", "InternalError", "Problem"],
    ),
}

SCHEMA_PATHS = {
    "Body": ["body"], "Figure": ["body", "figure"], "Ease": ["ease"], "Rules": ["rules"], "Shares": ["rules", "shares"],
    "GivenDart": ["rules", "darts", "back"], "Draft.pattern": ["cutting"], "Pattern.lay": ["cloth"],
}
"""Path in the request schema to the object whose fields are the arguments of the class or method."""

PEOPLE, EASE = kirtle.simulate(1, seed=1), kirtle.Ease(waist=1.5, hip=5)

TABLES: dict[str, Callable[[], Any]] = {
    "draft_table": lambda: kirtle.draft_table(PEOPLE, ease=EASE, outlines=True),
    "fit_chart": lambda: kirtle.fit_chart(
        kirtle.SizeChart.demo(), PEOPLE, ease=EASE, tolerance=2, bounds={"high_hip": (0, 9)}, columns={"high_hip": 95.0, "high_hip_depth": 10.0},
    ),
}
"""Functions whose result is a table, each with a call that returns every column."""

INTRODUCTION = """\
# Kirtle in Python

All classes and functions, grouped by task. This page is generated from the docstrings by
`KIRTLE_WRITE=1 uv run pytest tests/python/test_reference.py`. The test also runs every example, after these imports:

```python
import json
import kirtle, pyarrow
from kirtle import *
```

Attributes are lengths in centimetres, areas in square centimetres, and angles in degrees where a name ends in `_deg`. With `unit="in"`
a call takes and returns inches; methods of a draft, a fitting or a chart, and plots of a draft, do so by default if body or chart was
given in inches. Bodies, ease, rules, charts in CSV and tables may be given in `"mm"`, too. Arguments after `*` are keyword-only. All
problems of an input are raised together, as one `InputError`. Classes are frozen; bodies, rules, drafts, patterns, lays and charts can be compared, hashed, copied and pickled.

This does not check fit: sew a trial garment (toile) first.
"""

LISTED_DUNDERS = {"__getitem__", "__len__"}
"""Special methods that the page lists, as users write `chart["38"]` and `len(chart)`."""


def page() -> str:
    """Returns the text of python/reference.md."""
    by_name = definitions()
    parts = [INTRODUCTION, contents()]
    for group, (about, names) in GROUPS.items():
        parts.append(f"## {group}\n\n{about}\n")
        for name in names:
            parts += plot_entries() if name == "plots" else [entry(by_name[name])]
    return "\n".join(parts)


def contents() -> str:
    """Returns the table of contents: for each group one line of links."""
    lines = []
    for group, (_, names) in GROUPS.items():
        links = [f"[{name}](#{anchor(name)})" for name in names if name != "plots"]
        if "plots" in names:
            links = [f"[plots.{plot.name}](#{anchor('plots.' + plot.name)})" for plot in plots()] + links
        lines.append(f"- [{group}](#{anchor(group, is_heading=True)}): {', '.join(links)}")
    return "\n".join(lines) + "\n"


def anchor(name: str, *, is_heading: bool = False) -> str:
    """Returns the Markdown anchor of a class or function, or of the heading `name` if `is_heading`."""
    text = name if is_heading else heading(name)
    return re.sub(r"[^\w\- ]", "", text.lower()).replace(" ", "-")


def heading(name: str) -> str:
    """Returns a heading that differs between class and function: anchors ignore capitals, as in `Draft` and `draft`."""
    return f"class {name}" if name[0].isupper() else f"{name}()"


def definitions() -> dict[str, ast.ClassDef | ast.FunctionDef]:
    """Returns the syntax tree of each class and function of the package by its name."""
    found: dict[str, ast.ClassDef | ast.FunctionDef] = {}
    for name in ("_kirtle.pyi", "exceptions.py", "table_formats.py", "text_tables.py", "widget.py"):
        for node in ast.parse((PACKAGE / name).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef | ast.FunctionDef):
                found[node.name] = node
    return found


def plots() -> list[ast.FunctionDef]:
    """Returns the plot functions in the order of `kirtle.plots.__all__`."""
    module = ast.parse((PACKAGE / "plots" / "__init__.py").read_text(encoding="utf-8"))
    (listed,) = [node.value for node in module.body if isinstance(node, ast.Assign)]
    names = ast.literal_eval(listed)
    found = {}
    for file in sorted((PACKAGE / "plots").glob("*.py")):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name in names:
                found[node.name] = node
    return [found[name] for name in names]


def plot_entries() -> list[str]:
    """Returns the introduction of `kirtle.plots`, then one entry for each plot."""
    module = ast.parse((PACKAGE / "plots" / "__init__.py").read_text(encoding="utf-8"))
    return [docstring_markdown(module).split("\n\n", 2)[2] + "\n", *map(plot_entry, plots())]


def plot_entry(node: ast.FunctionDef) -> str:
    """Returns heading, signature and text of one plot."""
    return f"### plots.{heading(node.name)}\n\n{code_block('plots.' + signature(node))}\n\n{docstring_markdown(node)}\n"


def entry(node: ast.ClassDef | ast.FunctionDef) -> str:
    """Returns heading, signature and text of a class or function; of a class also its attributes and methods."""
    head = f"### {heading(node.name)}\n\n"
    if isinstance(node, ast.FunctionDef):
        return "\n\n".join(filter(None, [f"{head}{code_block(signature(node))}", docstring_markdown(node), column_table(node.name)])) + "\n"
    methods = [one for one in node.body if isinstance(one, ast.FunctionDef)]
    parts = [docstring_markdown(node)]
    constructors = [one for one in methods if one.name in ("__new__", "__init__")]
    # A constructor from JSON serves pickle only; users never call it.
    for one in constructors:
        names = [argument.arg for argument in [*one.args.posonlyargs, *one.args.args][1:]]
        if names != ["json"] and node.name != "InputError":
            parts += [code_block(signature(one, node.name)), docstring_markdown(one), range_table(node.name, one, methods)]
    parts.append(attribute_table([one for one in methods if is_property(one) and node.name not in SCHEMA_PATHS], fields(node)))
    for one in methods:
        if not is_property(one) and (one.name in LISTED_DUNDERS or not one.name.startswith("_")):
            name = f"{node.name}.{one.name}"
            call = signature(one, name if is_static(one) else None)
            parts += [f"#### {name}\n", code_block(call), docstring_markdown(one), range_table(name, one)]
    return head + "\n\n".join(part.strip("\n") for part in parts if part) + "\n"


def column_table(name: str) -> str:
    """Returns the table of the columns of a function's result: name, unit, and the description in the Arrow field; empty for other results."""
    if name not in TABLES:
        return ""
    fields = [(field.name, field.metadata.get(b"unit", b"").decode(), field.metadata[b"what"].decode()) for field in pa.table(TABLES[name]()).schema]
    lines = [f"| `{column}` | {unit} | {what} |" for column, unit, what in fields]
    about = 'Columns of the result, with `unit="cm"`. '
    if name == "draft_table":
        about += "`back_outline` and `front_outline` exist with `outlines=True` only; if the rules allow a third dart, so do its columns, such as `back_dart3_intake`. "
    about += "The metadata of the Arrow schema has the same texts, as `what` and `unit`:"
    return "\n".join([about, "", "| column | unit | |", "|---|---|---|", *lines])


def is_property(node: ast.FunctionDef) -> bool:
    """Returns whether the method is a property."""
    return any(isinstance(one, ast.Name) and one.id == "property" for one in node.decorator_list)


def is_static(node: ast.FunctionDef) -> bool:
    """Returns whether the method is static."""
    return any(isinstance(one, ast.Name) and one.id == "staticmethod" for one in node.decorator_list)


def fields(node: ast.ClassDef) -> list[tuple[ast.AnnAssign, str]]:
    """Returns the annotated public attributes of a class, each with the text below it."""
    found = []
    for one, below in zip(node.body, [*node.body[1:], ast.Pass()]):
        if isinstance(one, ast.AnnAssign) and not ast.unparse(one.target).startswith("_"):
            text = ast.literal_eval(below.value) if isinstance(below, ast.Expr) else "all problems, in the order of the input"
            found.append((one, " ".join(str(text).split())))
    return found


def attribute_table(properties: list[ast.FunctionDef], annotated: list[tuple[ast.AnnAssign, str]]) -> str:
    """Returns the Markdown table of name, type and meaning of each attribute; an empty text where there are none."""
    rows = [(one.name, readable_type(one.returns), " ".join((ast.get_docstring(one) or "").split())) for one in properties]
    rows += [(ast.unparse(one.target), readable_type(one.annotation), about) for one, about in annotated]
    if not rows:
        return ""
    lines = [f"| `{name}` | `{kind}` | {about} |".replace(" | None`", " \\| None`") for name, kind, about in rows]
    return "\n".join(["| attribute | type | |", "|---|---|---|", *lines])


def signature(node: ast.FunctionDef, name: str | None = None) -> str:
    """Returns the call with types and defaults; beyond 110 columns each argument stands on a line of its own."""
    arguments = node.args
    positional = [*arguments.posonlyargs, *arguments.args]
    defaults = [None] * (len(positional) - len(arguments.defaults)) + list(arguments.defaults)
    pairs = zip(positional, defaults, strict=True)
    shown = [argument(one, default) for one, default in pairs if one.arg not in ("self", "cls")]
    keyword_only = [argument(one, default) for one, default in zip(arguments.kwonlyargs, arguments.kw_defaults, strict=True)]
    shown += ["*", *keyword_only] if keyword_only else []
    shown += [f"**{arguments.kwarg.arg}"] if arguments.kwarg else []
    result = f" -> {readable_type(node.returns)}" if node.returns is not None and node.name not in ("__new__", "__init__") else ""
    line = f"{name or node.name}({', '.join(shown)}){result}"
    if len(line) <= 110:
        return line
    return "\n".join([f"{name or node.name}(", *(f"    {one}," for one in shown), f"){result}"])


def argument(one: ast.arg, default: ast.expr | None) -> str:
    """Returns an argument with its type and default, such as `unit: str = "cm"`."""
    text = f"{one.arg}: {readable_type(one.annotation)}" if one.annotation is not None else one.arg
    return text if default is None else f"{text} = {ast.unparse(default)}".replace("'", '"')


def readable_type(kind: ast.expr | None) -> str:
    """Returns a type annotation in the short form for readers: `float`, `int`, `str | Path`, `Sequence[…]`."""
    text = ast.unparse(kind) if kind is not None else "Any"
    text = text.replace("SupportsFloat | SupportsIndex", "float").replace("SupportsIndex", "int")
    text = text.replace("str | PathLike[str]", "str | Path")
    return re.sub(r"SupportsGetItem\[int, ", "Sequence[", text)


def code_block(text: str) -> str:
    """Returns a fenced Markdown block of Python."""
    return f"```python\n{text}\n```"


def docstring_markdown(node: ast.ClassDef | ast.FunctionDef | ast.Module) -> str:
    """Returns the docstring in Markdown: first the text, then each example as a fenced block."""
    parts, examples = [], []
    for paragraph in (ast.get_docstring(node) or "").split("\n\n"):
        if paragraph.lstrip().startswith(">>>"):
            examples.append(paragraph)
        else:
            parts.append(paragraph.replace("``", "`"))
    parts += [f"```pycon\n{text}\n```" for text in examples]
    return "\n\n".join(parts)


def range_table(name: str, call: ast.FunctionDef, attributes: Sequence[ast.FunctionDef] = ()) -> str:
    """Returns the table of the arguments with their ranges and defaults in cm and in inches, from the request schema."""
    if name not in SCHEMA_PATHS:
        return ""
    centimetres, inches = (schema_fields(request_schema(unit)["properties"], SCHEMA_PATHS[name]) for unit in ("cm", "in"))
    about = {one.name: " ".join((ast.get_docstring(one) or "").split()) for one in attributes if is_property(one)}
    lines = ["| argument | in cm | in inches | default | |", "|---|---|---|---|---|"]
    for argument in [*call.args.args, *call.args.kwonlyargs]:
        row, inch_row = centimetres.get(argument.arg, {}), inches.get(argument.arg, {})
        meaning = about.get(argument.arg) or row.get("description", "")
        if "minimum" in row:
            spans = [span_text(one) for one in (row, inch_row)]
            # Shares and angles have one range in both units.
            spans[1] = "as in cm" if spans[1] == spans[0] else spans[1]
            defaults = [f"{one['default']:g}" for one in (row, inch_row) if "default" in one]
            default = "set by the preset" if name == "Draft.pattern" and not defaults else " or ".join(dict.fromkeys(defaults))
            lines.append(f"| `{argument.arg}` | {' | '.join(spans)} | {default} | {meaning} |")
        elif meaning:
            default = json.dumps(row["default"]) if "default" in row else ""
            lines.append(f"| `{argument.arg}` | | | {default} | {meaning} |")
    if attributes:
        lines += ["", "Every argument is also an attribute; as an attribute, a length is in centimetres."]
    return "\n".join(lines)


def schema_fields(properties: dict[str, Any], path: list[str]) -> dict[str, Any]:
    """Returns the fields of the object at a path of the schema, together with the fields of its `allowances`."""
    for part in path:
        value = properties[part]
        properties = value.get("items", value)["properties"]
    allowances: dict[str, Any] = properties.get("allowances", {}).get("properties", {})
    return properties | allowances


def examples(text: str) -> Iterator[tuple[int, str]]:
    """Yields the examples of a page, each with the number of its first line."""
    for match in re.finditer(r"```pycon\n(.*?)\n```", text, re.DOTALL):
        yield text.count("\n", 0, match.start()) + 1, match.group(1) + "\n"
