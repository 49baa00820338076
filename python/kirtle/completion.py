"""Completion in IPython: names of inputs and quantities inside quotes, and the ranges of arguments in the help of Shift+Tab.

`import kirtle` in IPython calls `install` once. Completion evaluates only names and attributes.
"""

import math
import re
from typing import Any

from ._kirtle import Body, Draft, Ease, Figure, GivenDart, Rules, Shares
from .request_fields import fields

CALL = re.compile(
    r"""([A-Za-z_][\w.]*)\.(seek|sensitivity|vary|uncertainty|curve|effects)\(\s*(?:([A-Za-z_][\w.]*)\s*,\s*)?"""
    r"""([\[{]?\s*(?:["'][^"']*["']\s*(?::[^,]*)?,\s*)*)["']([\w.\[\]]*)$"""
)
"""Call of a method of a draft, or of a plot of it, up to a cursor inside quotes.

Groups: the draft or the plots, the method or plot, the plotted draft, the names before, the partial name.
"""

RANGES = {Body: ["body"], Figure: ["body", "figure"], Ease: ["ease"], Rules: ["rules"], Shares: ["rules", "shares"], GivenDart: ["rules", "darts", "back"]}
"""Path in the schema of a request to the arguments of each class."""

HEAD = "Arguments, with their ranges in cm or in inches:"
"""Heading of the list of arguments in the documentation of a class."""


def install(shell: Any) -> None:
    """Add completion of names to an IPython shell, and the ranges of arguments to the docstrings of the classes."""
    from IPython.core.completer import SimpleCompletion, context_matcher

    @context_matcher()  # type: ignore[untyped-decorator]
    def kirtle_names(context: Any) -> dict[str, Any]:
        partial, names = names_at_cursor(context.text_until_cursor, shell.user_ns)
        completions = [SimpleCompletion(text=name, type="name") for name in names]
        return {"completions": completions, "matched_fragment": partial, "suppress": bool(names)}

    shell.Completer.custom_matchers.append(kirtle_names)
    for kind, path in RANGES.items():
        about, prompt, examples = str(kind.__doc__).partition(">>>")
        if HEAD not in about:
            setattr(kind, "__doc__", f"{about.rstrip()}\n\n{range_text(path)}\n\n{prompt}{examples}")


def names_at_cursor(text: str, namespace: dict[str, Any]) -> tuple[str, list[str]]:
    """Return the partial name before the cursor and its completions; both empty unless a quantity or an input is expected there."""
    if not (found := CALL.search(text)):
        return "", []
    owner, method, plotted, before, partial = found.groups()
    first, *attributes = (plotted or owner).split(".")
    draft = namespace.get(first)
    for attribute in attributes:
        draft = getattr(draft, attribute, None)
    if not isinstance(draft, Draft):
        return "", []
    is_first = not before.strip()
    is_input = {"sensitivity": not plotted, "seek": is_first, "curve": not is_first}.get(method, True)
    names = draft.sensitivity().inputs if is_input else [*draft.quantities(), "back.darts", "front.darts", "girth"]
    return partial, [name for name in names if name.startswith(partial)]


def range_text(path: list[str]) -> str:
    """Return a line for each argument of a class: its range in both units, its default, and its description."""
    lines, inches = [HEAD], fields(path, "in")
    for name, row in fields(path, "cm").items():
        span = " or ".join(dict.fromkeys(span_text(one) for one in (row, inches[name]) if "minimum" in one))
        words = f"; default {default}" if isinstance(default := row.get("default"), int | float | str) else ""
        if text := f"{span + words + '. ' if span else ''}{row.get('description', '')}":
            lines.append(f"{name}: {text}")
    return "\n".join(lines)


def span_text(row: dict[str, Any]) -> str:
    """Return the range of a number in a schema, rounded inwards to two decimals: ``15.75 to 78.74``."""
    return f"{math.ceil(row['minimum'] * 100 - 1e-9) / 100:g} to {math.floor(row['maximum'] * 100 + 1e-9) / 100:g}"
