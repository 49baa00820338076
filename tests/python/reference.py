"""The reference page: what the stub and the Python modules say, grouped for who reads it beside a notebook."""

import ast
import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import kirtle

PACKAGE = Path("python/kirtle")

GROUPS: dict[str, tuple[str, list[str]]] = {
    "Bodies and drafts": (
        "Measurements, ease and rules go in, a draft comes out. Attributes are centimetres.",
        ["Body", "Ease", "Rules", "Shares", "Darts", "FixedDart", "draft", "Draft", "Suppression", "Panel", "Dart", "Edge", "Seams",
         "Girths", "Lengths", "Proof", "Check", "Finding", "draft_json", "schema"],
    ),
    "Patterns and paper": (
        "A draft ready to cut, on paper and on cloth: `Draft.pattern` makes it, `Pattern.lay` lays it.",
        ["Pattern", "Piece", "Notch", "Lay", "Placed"],
    ),
    "Sizes": (
        "Charts of sizes, what lies between them, and corrections after a trial garment.",
        ["SizeChart", "Choice", "SizeDifference", "SizeRange", "KeyLengths", "GradeIncrement", "Alteration", "Cost", "Fitting", "Change", "chart_json"],
    ),
    "Tables": (
        "Every body of a table, through Arrow: pandas, polars, pyarrow, duckdb.",
        ["draft_table", "DraftTable", "draft_stream", "DraftStream", "Rows"],
    ),
    "Surveys": (
        "How sizes serve many people, and which sizes would serve them best.",
        ["simulate", "Population", "BodyTable", "fit_chart", "ChartFit", "best_sizes", "BestSizes", "best_chart", "BestChart",
         "compare_charts", "ChartComparison", "LogBand"],
    ),
    "Questions": (
        "What moves a draft, how exact it is, and what to change for a number that is wanted: methods of `Draft` give these.",
        ["Sensitivity", "StandardErrors", "Uncertainty", "Ellipse", "Solutions", "EaseByLevel"],
    ),
    "Plots and widget": (
        "`from kirtle import plots` needs matplotlib and pyarrow, `from kirtle.widget import LiveDraft` needs anywidget. Every "
        "plot draws on `ax`, or on a figure of its own, and returns the axes.",
        ["plots", "LiveDraft"],
    ),
    "Errors": (
        "Wrong input raises one exception, with everything that is wrong.",
        ["InputError", "Problem"],
    ),
}

RANGES = {
    "Body": ["body"], "Ease": ["ease"], "Rules": ["rules"], "Shares": ["rules", "shares"],
    "FixedDart": ["rules", "darts", "back"], "Draft.pattern": ["cutting"], "Pattern.lay": ["cloth"],
}
"""Where the request schema has the ranges of arguments."""

HEAD = """\
# Kirtle in Python

What there is, in the order in which one needs it. This page is made from the docs of the code
(`KIRTLE_WRITE=1 uv run pytest tests/python/test_reference.py`), which also runs its examples, each as after

```python
import json
import kirtle, pyarrow
from kirtle import *
```

Lengths are centimetres, angles degrees where a name ends in `_deg`, areas the square of the unit. `unit="in"` lets a call take and
give inches. Arguments behind a `*` are given by name. Whatever is wrong with an input is raised at once, as one
`InputError`. Classes are frozen; bodies, rules, drafts, patterns, lays and charts can be compared, hashed, copied and
pickled. Fit is not judged here: make a trial garment first.
"""

SHOWN = {"__getitem__", "__len__"}
"""What is told of names with underscores: what one writes as `chart["38"]` or `len(chart)`."""


def page() -> str:
    """The whole page."""
    found = definitions()
    parts = [HEAD, contents()]
    for group, (about, names) in GROUPS.items():
        parts.append(f"## {group}\n\n{about}\n")
        for name in names:
            parts += drawn() if name == "plots" else [told(found[name])]
    return "\n".join(parts)


def contents() -> str:
    """The table of contents."""
    lines = []
    for group, (_, names) in GROUPS.items():
        links = [f"[{name}](#{anchor(name)})" for name in names if name != "plots"]
        if "plots" in names:
            links = [f"[plots.{one.name}](#{anchor('plots.' + one.name)})" for one in plots()] + links
        lines.append(f"- [{group}](#{anchor(group, words=True)}): {', '.join(links)}")
    return "\n".join(lines) + "\n"


def anchor(name: str, *, words: bool = False) -> str:
    """What a viewer of Markdown makes of a heading."""
    heading = name if words else title(name)
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def title(name: str) -> str:
    """A function and a class may differ in a capital only, so that the heading says which it is."""
    return f"class {name}" if name[0].isupper() else f"{name}()"


def definitions() -> dict[str, ast.ClassDef | ast.FunctionDef]:
    """Every class and function of the package by its name."""
    found: dict[str, ast.ClassDef | ast.FunctionDef] = {}
    for name in ("_kirtle.pyi", "errors.py", "widget.py"):
        for node in ast.parse((PACKAGE / name).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef | ast.FunctionDef):
                found[node.name] = node
    return found


def plots() -> list[ast.FunctionDef]:
    """The plots, in the order of their module's list."""
    module = ast.parse((PACKAGE / "plots" / "__init__.py").read_text(encoding="utf-8"))
    (listed,) = [node.value for node in module.body if isinstance(node, ast.Assign)]
    names = ast.literal_eval(listed)
    found = {}
    for file in sorted((PACKAGE / "plots").glob("*.py")):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name in names:
                found[node.name] = node
    return [found[name] for name in names]


def drawn() -> list[str]:
    """The example of the plots, and each plot."""
    module = ast.parse((PACKAGE / "plots" / "__init__.py").read_text(encoding="utf-8"))
    return [prose(module).split("\n\n", 2)[2] + "\n", *map(plot, plots())]


def plot(node: ast.FunctionDef) -> str:
    """A plot."""
    return f"### plots.{title(node.name)}\n\n{code('plots.' + signature(node))}\n\n{prose(node)}\n"


def told(node: ast.ClassDef | ast.FunctionDef) -> str:
    """A class or a function: how it is called, what it does, what it has."""
    head = f"### {title(node.name)}\n\n"
    if isinstance(node, ast.FunctionDef):
        return f"{head}{code(signature(node))}\n\n{prose(node)}\n"
    methods = [one for one in node.body if isinstance(one, ast.FunctionDef)]
    parts = [prose(node)]
    made = [one for one in methods if one.name in ("__new__", "__init__")]
    # What is made from JSON is made by Kirtle.
    for one in made:
        given = [argument.arg for argument in [*one.args.posonlyargs, *one.args.args][1:]]
        if given != ["json"] and node.name != "InputError":
            parts += [code(signature(one, node.name)), prose(one), ranges(node.name, one, methods)]
    parts.append(attributes([one for one in methods if is_property(one) and node.name not in RANGES] + fields(node)))
    for one in methods:
        if not is_property(one) and (one.name in SHOWN or not one.name.startswith("_")):
            name = f"{node.name}.{one.name}"
            parts += [f"#### {name}\n", code(signature(one, name if is_static(one) else None)), prose(one), ranges(name, one)]
    return head + "\n\n".join(part.strip("\n") for part in parts if part) + "\n"


def is_property(node: ast.FunctionDef) -> bool:
    """Whether it is read as an attribute."""
    return any(isinstance(one, ast.Name) and one.id == "property" for one in node.decorator_list)


def is_static(node: ast.FunctionDef) -> bool:
    """Whether it is called on the class."""
    return any(isinstance(one, ast.Name) and one.id == "staticmethod" for one in node.decorator_list)


def fields(node: ast.ClassDef) -> list[ast.AnnAssign]:
    """Attributes that are declared as such."""
    return [one for one in node.body if isinstance(one, ast.AnnAssign) and not ast.unparse(one.target).startswith("_")]


def attributes(found: list[ast.FunctionDef | ast.AnnAssign]) -> str:
    """A table of attributes."""
    rows = []
    for one in found:
        if isinstance(one, ast.AnnAssign):
            rows.append((ast.unparse(one.target), plain(one.annotation), "everything that is wrong, in the order of the input"))
        else:
            about = " ".join((ast.get_docstring(one) or "").split())
            rows.append((one.name, plain(one.returns), about))
    if not rows:
        return ""
    lines = [f"| `{name}` | `{kind}` | {about} |".replace(" | None`", " \\| None`") for name, kind, about in rows]
    return "\n".join(["| attribute | type | |", "|---|---|---|", *lines])


def signature(node: ast.FunctionDef, name: str | None = None) -> str:
    """How it is called, an argument a line where it does not fit on one."""
    arguments = node.args
    both = [*arguments.posonlyargs, *arguments.args]
    free = [None] * (len(both) - len(arguments.defaults)) + list(arguments.defaults)
    shown = [argument(one, default) for one, default in zip(both, free, strict=True) if one.arg not in ("self", "cls")]
    named = [argument(one, default) for one, default in zip(arguments.kwonlyargs, arguments.kw_defaults, strict=True)]
    shown += ["*", *named] if named else []
    back = f" -> {plain(node.returns)}" if node.returns is not None and node.name not in ("__new__", "__init__") else ""
    line = f"{name or node.name}({', '.join(shown)}){back}"
    if len(line) <= 110:
        return line
    return "\n".join([f"{name or node.name}(", *(f"    {one}," for one in shown), f"){back}"])


def argument(one: ast.arg, default: ast.expr | None) -> str:
    """An argument with its type and default."""
    text = f"{one.arg}: {plain(one.annotation)}" if one.annotation is not None else one.arg
    return text if default is None else f"{text} = {ast.unparse(default)}".replace("'", '"')


def plain(kind: ast.expr | None) -> str:
    """A type as one would say it."""
    text = ast.unparse(kind) if kind is not None else "Any"
    text = text.replace("SupportsFloat | SupportsIndex", "float").replace("SupportsIndex", "int")
    text = text.replace("str | PathLike[str]", "str | Path")
    return re.sub(r"SupportsGetItem\[int, ", "Sequence[", text)


def code(text: str) -> str:
    """A block of Python."""
    return f"```python\n{text}\n```"


def prose(node: ast.ClassDef | ast.FunctionDef | ast.Module) -> str:
    """What is said of it, its examples as blocks."""
    parts, example = [], []
    for paragraph in (ast.get_docstring(node) or "").split("\n\n"):
        if paragraph.lstrip().startswith(">>>"):
            example.append(paragraph)
        else:
            parts.append(paragraph.replace("``", "`"))
    parts += [f"```pycon\n{text}\n```" for text in example]
    return "\n\n".join(parts)


def ranges(name: str, call: ast.FunctionDef, attributes: Sequence[ast.FunctionDef] = ()) -> str:
    """The arguments that have a range, in the order of the call, in both units, as the request schema has them."""
    if name not in RANGES:
        return ""
    centimetres, inches = (at(one["properties"], RANGES[name]) for one in kirtle.schema("request")["oneOf"])
    about = {one.name: " ".join((ast.get_docstring(one) or "").split()) for one in attributes if is_property(one)}
    lines = ["| argument | in cm | in inches | default | |", "|---|---|---|---|---|"]
    for argument in [*call.args.args, *call.args.kwonlyargs]:
        row, other = centimetres.get(argument.arg, {}), inches.get(argument.arg, {})
        what = about.get(argument.arg) or row.get("description", "")
        if "minimum" in row:
            spans = [f"{one['minimum']:g} to {one['maximum']:g}" for one in (row, other)]
            # What is a share or an angle is the same in both.
            spans[1] = "the same" if spans[1] == spans[0] else spans[1]
            defaults = [f"{one['default']:g}" for one in (row, other) if "default" in one]
            default = "the preset's" if name == "Draft.pattern" and not defaults else " or ".join(dict.fromkeys(defaults))
            lines.append(f"| `{argument.arg}` | {' | '.join(spans)} | {default} | {what} |")
        elif what:
            given = json.dumps(row["default"]) if "default" in row else ""
            lines.append(f"| `{argument.arg}` | | | {given} | {what} |")
    if attributes:
        lines += ["", "Each is an attribute, too; lengths are in centimetres then."]
    return "\n".join(lines)


def at(properties: dict[str, Any], path: list[str]) -> dict[str, Any]:
    """The fields of an object within the schema, and with them those of the allowances in it."""
    for part in path:
        found = properties[part]
        properties = found.get("items", found)["properties"]
    allowances: dict[str, Any] = properties.get("allowances", {}).get("properties", {})
    return properties | allowances


def examples(text: str) -> Iterator[tuple[int, str]]:
    """The examples of a page with the line each starts at."""
    for found in re.finditer(r"```pycon\n(.*?)\n```", text, re.DOTALL):
        yield text.count("\n", 0, found.start()) + 1, found.group(1) + "\n"
