"""Notebook widget with sliders for a draft. Requires ``pip install kirtle[widget]``."""

import math
import re
from pathlib import Path
from typing import Any

try:
    import anywidget
    import traitlets
except ImportError as _error:
    raise ImportError(
        f"kirtle.widget requires anywidget, but {_error.name} is missing: pip install kirtle[widget]", name=_error.name,
    ) from _error

from ._kirtle import Body, Draft, Ease, Rules, schema
from .exceptions import InputError

__all__ = ["LiveDraft"]

SLIDERS = {
    "waist": ("body.waist", "waist", 15),
    "hip": ("body.hip", "hip", 15),
    "hip_depth": ("body.hip_depth", "hip depth", 5),
    "length": ("body.length", "length", 20),
    "waist_ease": ("ease.waist", "ease at the waist", 6),
    "hip_ease": ("ease.hip", "ease at the hip", 8),
}
"""Sliders by attribute name: path of the number in a request, label, and distance from the start to each end in centimetres."""

STEPS = {"cm": 0.5, "in": 0.25}
"""Step of every slider by unit, as a number of that unit."""


class LiveDraft(anywidget.AnyWidget, metaclass=traitlets.MetaHasTraits):  # ipywidgets has no type hints.
    """Notebook widget: sliders for a body and its ease, with the drawing and the main numbers of the draft.

    Each slider is a settable attribute in `unit`: `waist`, `hip`, `hip_depth`, `length`, `waist_ease` and `hip_ease`. `draft` is
    the last valid draft, `svg` its drawing, `numbers` its main lengths as text, `findings` its cautions. If the sliders have
    values that cannot be drafted, `error` has the problems, and all other attributes keep the last valid draft.

    >>> import kirtle
    >>> from kirtle.widget import LiveDraft
    >>> body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
    >>> live = LiveDraft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    >>> live.hip_ease = 7
    >>> live.draft.ease, live.error
    (Ease(waist=1.5, hip=7.0), '')
    >>> live.length = 12
    >>> live.error, live.draft.body.length
    ('body.length: 12 cm is below the minimum of 15 cm', 62.0)
    """

    _esm: Any = Path(__file__).with_name("widget.js")
    _css: Any = Path(__file__).with_name("widget.css")

    waist = traitlets.Float().tag(sync=True)
    hip = traitlets.Float().tag(sync=True)
    hip_depth = traitlets.Float().tag(sync=True)
    length = traitlets.Float().tag(sync=True)
    waist_ease = traitlets.Float().tag(sync=True)
    hip_ease = traitlets.Float().tag(sync=True)
    unit = traitlets.Unicode(read_only=True).tag(sync=True)
    sliders = traitlets.List(traitlets.Dict(), read_only=True).tag(sync=True)
    canvas = traitlets.List(traitlets.Float(), read_only=True).tag(sync=True)
    svg = traitlets.Unicode(read_only=True).tag(sync=True)
    numbers = traitlets.Dict(read_only=True).tag(sync=True)
    findings = traitlets.List(traitlets.Unicode(), read_only=True).tag(sync=True)
    error = traitlets.Unicode(read_only=True).tag(sync=True)

    def __init__(self, body: Body, *, ease: Ease, rules: Rules | None = None, unit: str = "cm") -> None:
        """Create the widget with its sliders at the numbers of a body and its ease.

        Raises `InputError` with all the problems of these numbers at once.
        """
        self._rules = rules
        self._draft = Draft(body, ease=ease, rules=rules)
        super().__init__()
        start = start_values(self._draft, unit)
        with self.hold_sync():
            self.set_trait("unit", unit)
            self.set_trait("sliders", [slider(name, start[name], unit) for name in SLIDERS])
            for name, value in start.items():
                setattr(self, name, value)
            self._publish()
            self.set_trait("canvas", largest_drawing(self.svg, self.sliders, start, unit))
        self.observe(self._redraft, names=list(SLIDERS))

    def __repr__(self) -> str:
        return f"LiveDraft({', '.join(f'{name}={getattr(self, name):g}' for name in SLIDERS)}, unit={self.unit!r})"

    @property
    def draft(self) -> Draft:
        """Last valid draft."""
        return self._draft

    def _redraft(self, change: Any) -> None:
        """Redraft after a change of a slider; if the values cannot be drafted, set `error` and keep the last valid draft."""
        with self.hold_sync():
            try:
                self._draft = self._draft_from_sliders()
            except InputError as error:
                self.set_trait("error", str(error))
            else:
                self._publish()

    def _draft_from_sliders(self) -> Draft:
        """Draft a skirt from the values of the sliders."""
        body = Body(waist=self.waist, hip=self.hip, hip_depth=self.hip_depth, length=self.length, unit=self.unit)
        return Draft(body, ease=Ease(waist=self.waist_ease, hip=self.hip_ease, unit=self.unit), rules=self._rules)

    def _publish(self) -> None:
        """Send drawing, numbers and findings of the last valid draft to the browser."""
        result = self._draft.to_dict(self.unit)
        self.set_trait("svg", self._draft.svg(self.unit, fit=True))
        self.set_trait("numbers", main_lengths(result))
        self.set_trait("findings", [finding["message"] for finding in result["findings"]])
        self.set_trait("error", "")


def start_values(draft: Draft, unit: str) -> dict[str, float]:
    """Return the start of each slider by name: the number of the draft, in `unit`."""
    request = draft.to_dict(unit)
    parts = {name: path.split(".") for name, (path, _, _) in SLIDERS.items()}
    return {name: request[part][field] for name, (part, field) in parts.items()}


def slider(name: str, start: float, unit: str) -> dict[str, Any]:
    """Return a slider as a dict for the browser; both ends are whole steps from the start, within the range of the number."""
    path, label, travel_cm = SLIDERS[name]
    low, high = limits(path, unit)
    step = STEPS[unit]
    travel = travel_cm if unit == "cm" else travel_cm / 2.54
    below, above = (max(0, math.floor(min(travel, room) / step + 1e-9)) for room in (start - low, high - start))
    return {"name": name, "label": label, "min": start - below * step, "max": start + above * step, "step": step}


def largest_drawing(svg: str, sliders: list[dict[str, Any]], start: dict[str, float], unit: str) -> list[float]:
    """Return width and height in mm that hold the drawing at every value of the sliders, given the drawing at their start.

    Half the finished hip lies across the drawing, and the length down it.
    """
    width, height = (float(size) for size in re.findall(r'viewBox="0 0 (\S+) (\S+)"', svg)[0])
    millimetres = 10 if unit == "cm" else 25.4
    room = {slider["name"]: millimetres * (slider["max"] - start[slider["name"]]) for slider in sliders}
    return [width + (room["hip"] + room["hip_ease"]) / 2 + 1, height + room["length"] + 1]


def limits(path: str, unit: str) -> tuple[float, float]:
    """Return the minimum and maximum of a number in `unit`, as the request schema has them."""
    part, field = path.split(".")
    number = schema("request")["then" if unit == "in" else "else"]["properties"][part]["properties"][field]
    return number["minimum"], number["maximum"]


def main_lengths(result: dict[str, Any]) -> dict[str, str]:
    """Return the main lengths of a result as a dict from label to text with unit."""
    unit, suppression = result["unit"], result["suppression"]
    decimals = 1 if unit == "cm" else 2

    def length(value: float) -> str:
        return f"{value:.{decimals}f} {unit}"

    lengths = {f"finished {girth}": length(result["body"][girth] + result["ease"][girth]) for girth in ("waist", "hip")}
    lengths |= {
        "suppression of half the garment": length(suppression["total"]),
        "intake at each side edge": length(suppression["side"] / 2),
    }
    for half in ("back", "front"):
        intakes = [length(dart["intake"]) for dart in result[half]["darts"]]
        lengths[f"{half} darts"] = " + ".join(intakes) or "none"
    for half in ("back", "front"):
        lengths[f"centre {half} below side"] = length(result[half]["waist_lowering"])
    return lengths
