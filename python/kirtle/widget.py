"""Notebook widget `LiveDraft`: a draft with sliders. Requires ``pip install kirtle[widget]``."""

import base64
import html
import json
import math
import re
import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

try:
    import anywidget
    import traitlets
    from IPython.display import display
except ImportError as _error:
    raise ImportError(
        f"kirtle.widget requires anywidget, but {_error.name} is missing: pip install kirtle[widget]", name=_error.name,
    ) from _error

from ._kirtle import Body, Draft, Ease, Rules
from .exceptions import InputError
from .options import CM_PER_UNIT
from .request_fields import fields
from .screen_drawing import canvas, screen_svg
from .table_formats import html_table
from .words import input_value, length, main_lengths

__all__ = ["LiveDraft"]

SLIDERS = {
    "waist": ("body.waist", "waist", 15, ""),
    "hip": ("body.hip", "hip", 15, ""),
    "hip_depth": ("body.hip_depth", "hip depth", 5, ""),
    "length": ("body.length", "length", 20, ""),
    "waist_ease": ("ease.waist", "ease at the waist", 6, ""),
    "hip_ease": ("ease.hip", "ease at the hip", 8, ""),
    "side_fullness": ("rules.side_fullness", "side fullness", 0.5, "side_fullness"),
    "back_largest_dart": ("rules.shares.back_largest_dart", "largest back dart", 2, "largest_dart"),
    "front_largest_dart": ("rules.shares.front_largest_dart", "largest front dart", 2, "largest_dart"),
    "high_hip": ("", "high hip", 15, "high_hip"),
    "high_hip_depth": ("", "high hip depth", 5, "high_hip"),
}
"""Sliders by attribute name: path of the number in a request, label, distance from the start to each end (centimetres, or a ratio), name in `more`."""

STEPS = {"cm": 0.5, "in": 0.25}
"""Step of every length by unit, as a number of that unit."""

FULLNESS_STEP = 0.1
"""Step of the side fullness, which has no unit."""

NO_KERNEL = "Start the kernel and run the cell to redraw."
"""Text in place of the sliders in a saved notebook without a kernel."""

CAPTION = "Main lengths of the draft"
"""Caption of the table of numbers."""


class LiveDraft(anywidget.AnyWidget, metaclass=traitlets.MetaHasTraits):  # ipywidgets has no type hints.
    """Notebook widget: sliders for a body and its ease, with the drawing and the main numbers of the draft.

    Each slider is a settable attribute in `unit`: `waist`, `hip`, `hip_depth`, `length`, `waist_ease` and `hip_ease`. `more` adds
    sliders: "side_fullness"; "largest_dart", for `back_largest_dart` and `front_largest_dart`; and "high_hip", for `high_hip` and
    `high_hip_depth`, which also shows the tightest ease above the hip line. Once one of these two is moved, the skirt is drafted with
    both. Instead of a body, its ease and rules the widget takes a draft. `draft` is the last valid draft, `svg` its drawing over the dotted
    outline of the starting draft, `numbers` its main lengths as text, `findings` its cautions, `call` the Python code that makes it. If
    the sliders have values that cannot be drafted, `error` has the problems, and all other attributes keep the last valid draft.
    `observe(call, "draft")` calls a function with each new draft.

    >>> import kirtle
    >>> from kirtle.widget import LiveDraft
    >>> body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
    >>> live = LiveDraft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    >>> live.hip_ease = 7
    >>> live.draft.ease, live.error
    (Ease(waist=1.5, hip=7.0), '')
    >>> live.call
    'kirtle.Draft(kirtle.Body(waist=74.0, hip=101.0, hip_depth=20.5, length=62.0), ease=kirtle.Ease(waist=1.5, hip=7.0))'
    >>> live.hip_eas = 7
    Traceback (most recent call last):
    AttributeError: no slider 'hip_eas'; the sliders are waist, hip, hip_depth, length, waist_ease, hip_ease
    >>> live.length = 12
    >>> live.error, live.draft.body.length
    ('body.length: 12 cm is below the minimum of 15 cm', 62.0)
    """

    _esm: Any = Path(__file__).with_name("widget.js")
    _css: Any = Path(__file__).with_name("widget.css")

    waist, hip, hip_depth, length, waist_ease, hip_ease, side_fullness, back_largest_dart, front_largest_dart, high_hip, high_hip_depth = (
        traitlets.Float().tag(sync=True) for _ in SLIDERS
    )
    unit = traitlets.Unicode(read_only=True).tag(sync=True)
    sliders = traitlets.List(traitlets.Dict(), read_only=True).tag(sync=True)
    svg, call, error, still = (traitlets.Unicode(read_only=True).tag(sync=True) for _ in range(4))
    numbers = traitlets.Dict(read_only=True).tag(sync=True)
    findings = traitlets.List(traitlets.Unicode(), read_only=True).tag(sync=True)
    draft = traitlets.Any(read_only=True)

    def __init__(
        self, body: Body | Draft, *, ease: Ease | None = None, rules: Rules | None = None, unit: str | None = None, more: str | Sequence[str] = (),
    ) -> None:
        """Create the widget with its sliders at the numbers of a body and its ease, or of a draft.

        Raises `InputError` with all the problems of these numbers at once, `ValueError` for an unknown name in `more`, and `TypeError`
        for a body without ease, or a draft with ease or rules.
        """
        if isinstance(body, Draft) == (ease is not None) or isinstance(body, Draft) and rules is not None:
            raise TypeError("LiveDraft takes a body and its ease, or a draft, which has its own ease and rules")
        draft = body if isinstance(body, Draft) else Draft(body, ease=ease, rules=rules)  # type: ignore[arg-type]
        unit = draft.document_unit if unit is None else unit
        rules = draft.rules if isinstance(body, Draft) else rules
        names = slider_names([more] if isinstance(more, str) else more, rules)
        super().__init__()
        start = start_values(draft, names, unit)
        with self.hold_sync():
            self.set_trait("unit", unit)
            self.set_trait("still", f"kirtle-still-{uuid.uuid4().hex}")
            self.set_trait("sliders", [slider(name, start[name], unit) for name in names])
            self._start, self._size, self._display_id = draft, largest_canvas(draft, self.sliders, unit), ""
            self._set(start)
            self._publish(draft)
        self.observe(self._redraft, names=names)
        self.on_msg(self._answer)

    def __setattr__(self, name: str, value: Any) -> None:
        """Set an attribute; refuse a public name that is no attribute, or a slider that is not shown."""
        if name in SLIDERS and self.sliders and name not in self._values() or not name.startswith("_") and not hasattr(type(self), name):
            raise AttributeError(f"no slider {name!r}; the sliders are {', '.join(self._values())}")
        super().__setattr__(name, value)

    def __repr__(self) -> str:
        return f"LiveDraft({', '.join(f'{name}={value:g}' for name, value in self._values().items())}, unit={self.unit!r})"

    def _ipython_display_(self) -> None:
        """Display a still picture, which stays without a kernel, and the widget, which hides the picture once a kernel answers."""
        self._display_id = uuid.uuid4().hex
        self._display_still()
        data, metadata = self._repr_mimebundle_() or ({}, {})
        display(data | {"text/plain": NO_KERNEL}, metadata=metadata, raw=True)

    def reset(self) -> None:
        """Go back to the starting draft: all sliders at their starting values, and the drawing at its starting scale."""
        self._set({slider["name"]: slider["start"] for slider in self.sliders})
        self._size = largest_canvas(self._start, self.sliders, self.unit)
        self._publish(self._start)

    def _set(self, values: dict[str, float]) -> None:
        with self.hold_sync(), self.hold_trait_notifications():
            for name, value in values.items():
                setattr(self, name, value)

    def _values(self) -> dict[str, float]:
        """Return the values of the sliders by name."""
        return {slider["name"]: getattr(self, slider["name"]) for slider in self.sliders}

    def _redraft(self, change: Any) -> None:
        """Redraft after a change of a slider; if the values cannot be drafted, set `error` and keep the last valid draft."""
        with self.hold_sync():
            try:
                self._publish(self._draft_from_sliders())
            except InputError as error:
                self.set_trait("error", str(error))

    def _draft_from_sliders(self) -> Draft:
        """Draft a skirt from the values of the sliders; those of the high hip count once one of the two is moved."""
        result, values = self._start.to_dict(self.unit), self._values()
        request: dict[str, Any] = {part: result[part] for part in ("unit", "body", "ease", "rules")}
        is_moved = any(slider["name"].startswith("high_hip") and values[slider["name"]] != slider["start"] for slider in self.sliders)
        paths = {name: SLIDERS[name][0] or f"body.figure.{name}" for name in values if SLIDERS[name][0] or is_moved}
        for name, path in paths.items():
            *parts, field = path.split(".")
            part = request
            for key in parts:
                part = part.setdefault(key, {})
            part[field] = values[name]
        return Draft.from_json(json.dumps(request))

    def _publish(self, draft: Draft) -> None:
        """Send drawing, numbers and findings of a draft to the browser."""
        result, findings = draft.to_dict(self.unit), draft.findings
        numbers = main_lengths(result)
        if self.high_hip:
            profile = draft.ease_by_level(high_hip=self.high_hip, high_hip_depth=self.high_hip_depth, unit=self.unit)
            level, ease = (length(number, self.unit) for number in profile.tightest)
            numbers["tightest ease"] = f"{ease}, {level} below waist"
            findings += profile.findings
        self._size = list(map(max, self._size, canvas(draft)))
        self.set_trait("svg", self._drawing(draft, self._size, result))
        self.set_trait("numbers", numbers)
        self.set_trait("findings", list({(finding.code, finding.panel): finding.message for finding in findings}.values()))
        self.set_trait("call", python_call(draft))
        self.set_trait("error", "")
        self.set_trait("draft", draft)

    def _drawing(self, draft: Draft, size: list[float], result: dict[str, Any]) -> str:
        """Return the SVG of a draft, over the starting draft, on a canvas of a size."""
        marks = [self.high_hip_depth * CM_PER_UNIT[self.unit]] if self.high_hip else []
        return screen_svg(draft, self._start, size, result, marks)

    def _answer(self, widget: Any, message: Any, buffers: Any) -> None:
        """Carry out the action that the browser requests; answer every message, as the browser disables the sliders until an answer."""
        try:
            match message:
                case {"action": "svg"}:
                    self.send({"file": "skirt.svg", "type": "image/svg+xml"}, [self.draft.svg(self.unit).encode()])
                case {"action": "pdf"}:
                    self.send({"file": "skirt.pdf", "type": "application/pdf"}, [self.draft.pattern(unit=self.unit).pdf()])
                case {"action": "reset"}:
                    self.reset()
                case {"action": "still"} if self._display_id:
                    self._display_still(update=True)
        except InputError as error:
            self.set_trait("error", str(error))
        finally:
            self.send({})

    def _display_still(self, *, update: bool = False) -> None:
        """Display drawing, numbers and findings as plain HTML, or update the last such output."""
        svg = self._drawing(self.draft, list(map(max, canvas(self.draft), canvas(self._start))), self.draft.to_dict(self.unit))
        image = base64.b64encode(svg.encode()).decode()
        alternative = html.escape(re.findall('aria-label="(.*?)"', svg)[0])
        style = "background: #fff; width: 100%; max-width: 32em"
        picture = f'<img alt="{alternative}" style="{style}" src="data:image/svg+xml;base64,{image}">'
        findings = "".join(f"<li>{html.escape(finding)}</li>" for finding in self.findings)
        content = (
            f'<div class="{self.still}">{picture}{html_table(CAPTION, (), self.numbers.items())}<ul>{findings}</ul>'
            "<p>The draft as last seen; the starting draft is dotted.</p></div>"
        )
        display({"text/html": content, "text/plain": repr(self)}, raw=True, display_id=self._display_id, update=update)


def slider_names(more: Sequence[str], rules: Rules | None) -> list[str]:
    """Return the names of the sliders to show; raise `ValueError` for a name in `more` that cannot be shown."""
    groups = {name: group for name, (_, _, _, group) in SLIDERS.items()}
    choices = dict.fromkeys(filter(None, groups.values()))
    for name in more:
        if name not in choices:
            raise ValueError(f"more: {name!r} is not one of {', '.join(choices)}")
    if "largest_dart" in more and rules is not None and rules.shares is None:
        raise ValueError("more: 'largest_dart' is given for rules with given darts, which have no largest dart")
    return [name for name, group in groups.items() if not group or group in more]


def start_values(draft: Draft, names: Sequence[str], unit: str) -> dict[str, float]:
    """Return the start of each slider by name, in `unit`: the number of the draft, or for the high hip that of the assumed body."""
    request, step = draft.to_dict(unit), STEPS[unit]
    values: dict[str, Any] = {name: input_value(request, path) for name in names if (path := SLIDERS[name][0])}
    if "high_hip" in names:
        steps = round(request["body"]["hip_depth"] / 2 / step)
        values["high_hip"] = round(draft.ease_by_level(step=step, unit=unit).body[steps] / step) * step
        values["high_hip_depth"] = steps * step
        values |= {name: number for name, number in request["body"].get("figure", {}).items() if name in values}
    return values


def slider(name: str, start: float, unit: str) -> dict[str, Any]:
    """Return a slider as a dict for the browser; both ends are whole steps from the start, within the range of the number."""
    path, label, travel, _ = SLIDERS[name]
    low, high = limits(path, unit)
    step, travel = (FULLNESS_STEP, travel) if name == "side_fullness" else (STEPS[unit], travel / CM_PER_UNIT[unit])
    below, above = (max(0, math.floor(min(travel, room) / step + 1e-9)) for room in (start - low, high - start))
    return {
        "name": name, "label": label, "unit": "" if name == "side_fullness" else unit,
        "start": start, "min": start - below * step, "max": start + above * step, "step": step,
    }


def largest_canvas(draft: Draft, sliders: Sequence[dict[str, Any]], unit: str) -> list[float]:
    """Return the canvas that holds the drawing at every value of the sliders, given the draft at their start.

    Half the finished hip, or half the finished waist if larger, lies across the drawing, and the length down it.
    """
    width, height, rise = canvas(draft)
    room = {slider["name"]: (slider["max"] - slider["start"]) * CM_PER_UNIT[unit] for slider in sliders}
    return [width + (room["hip"] + room["hip_ease"]) / 2, height + room["length"], rise]


def limits(path: str, unit: str) -> tuple[float, float]:
    """Return the minimum and maximum of a number in `unit` from the request schema; infinite for a number that is not in a request."""
    if not path:
        return -math.inf, math.inf
    *part, name = path.split(".")
    number = fields(part, unit)[name]
    return number["minimum"], number["maximum"]


def python_call(draft: Draft) -> str:
    """Return the Python code that makes a draft, without rules if they are the default."""
    code = repr(draft).replace(f", rules={Rules()!r}", "")
    return re.sub(r"\b([A-Z]\w+)\(", r"kirtle.\1(", code)
