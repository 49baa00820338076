"""A draft in a notebook that follows sliders. Needs ``pip install kirtle[widget]``."""

import math
from pathlib import Path
from typing import Any

try:
    import anywidget
    import traitlets
except ImportError as _error:
    raise ImportError(
        f"kirtle.widget shows itself by anywidget, and {_error.name} is missing: pip install kirtle[widget]", name=_error.name,
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
"""For each slider its number in a request, its label, and how far it goes to each side, in centimetres."""

STEPS = {"cm": 0.5, "in": 0.25}


class LiveDraft(anywidget.AnyWidget, metaclass=traitlets.MetaHasTraits):  # Named, as ipywidgets ships no types.
    """Sliders for a body and its ease, the drawing, and the numbers that a drafter looks at.

    Each slider is an attribute that can be set, in `unit`. `draft` is the last draft, `svg` its drawing, `numbers` what is told
    of it. Where the sliders stand at what cannot be drafted, `error` says why, and the rest stays as it was.

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
    svg = traitlets.Unicode(read_only=True).tag(sync=True)
    numbers = traitlets.Dict(read_only=True).tag(sync=True)
    findings = traitlets.List(traitlets.Unicode(), read_only=True).tag(sync=True)
    error = traitlets.Unicode(read_only=True).tag(sync=True)

    def __init__(self, body: Body, *, ease: Ease, rules: Rules | None = None, unit: str = "cm") -> None:
        """Raises `InputError` with all the problems of the start at once."""
        self._rules = rules
        self._draft = Draft(body, ease=ease, rules=rules)
        super().__init__()
        start = starts(self._draft, unit)
        with self.hold_sync():
            self.set_trait("unit", unit)
            self.set_trait("sliders", [slider(name, start[name], unit) for name in SLIDERS])
            for name, value in start.items():
                setattr(self, name, value)
            self._show()
        self.observe(self._follow, names=list(SLIDERS))

    def __repr__(self) -> str:
        return f"LiveDraft({', '.join(f'{name}={getattr(self, name):g}' for name in SLIDERS)}, unit={self.unit!r})"

    @property
    def draft(self) -> Draft:
        """The last draft that could be made."""
        return self._draft

    def _follow(self, change: Any) -> None:
        """Draft anew, or say why not."""
        with self.hold_sync():
            try:
                self._draft = self._drafted()
            except InputError as error:
                self.set_trait("error", str(error))
            else:
                self._show()

    def _drafted(self) -> Draft:
        """The draft that the sliders ask for."""
        body = Body(waist=self.waist, hip=self.hip, hip_depth=self.hip_depth, length=self.length, unit=self.unit)
        return Draft(body, ease=Ease(waist=self.waist_ease, hip=self.hip_ease, unit=self.unit), rules=self._rules)

    def _show(self) -> None:
        """Hand over the draft."""
        result = self._draft.to_dict(self.unit)
        self.set_trait("svg", self._draft.svg(self.unit, fit=True))
        self.set_trait("numbers", numbers(result))
        self.set_trait("findings", [finding["message"] for finding in result["findings"]])
        self.set_trait("error", "")


def starts(draft: Draft, unit: str) -> dict[str, float]:
    """Where the sliders start."""
    request = draft.to_dict(unit)
    parts = {name: path.split(".") for name, (path, _, _) in SLIDERS.items()}
    return {name: request[part][field] for name, (part, field) in parts.items()}


def slider(name: str, start: float, unit: str) -> dict[str, Any]:
    """A slider's label, and its ends: whole steps from the start, in its span and the range of the number."""
    path, label, span = SLIDERS[name]
    least, most = limits(path, unit)
    step = STEPS[unit]
    reach = span if unit == "cm" else span / 2.54
    below, above = (max(0, math.floor(min(reach, room) / step + 1e-9)) for room in (start - least, most - start))
    return {"name": name, "label": label, "min": start - below * step, "max": start + above * step, "step": step}


def limits(path: str, unit: str) -> tuple[float, float]:
    """The range of a number of a request."""
    requests = schema("request")["oneOf"]
    properties = next(one["properties"] for one in requests if one["properties"]["unit"]["const"] == unit)
    part, field = path.split(".")
    found = properties[part]["properties"][field]
    return found["minimum"], found["maximum"]


def numbers(result: dict[str, Any]) -> dict[str, str]:
    """What a drafter looks at, with units."""
    unit, taken = result["unit"], result["suppression"]
    places = 1 if unit == "cm" else 2

    def told(value: float) -> str:
        return f"{value:.{places}f} {unit}"

    shown = {"to take in, on half": told(taken["total"]), "at each side edge": told(taken["side"] / 2)}
    for half in ("back", "front"):
        intakes = [told(dart["intake"]) for dart in result[half]["darts"]]
        shown[f"{half} darts"] = " + ".join(intakes) or "none"
    for half in ("back", "front"):
        shown[f"centre {half} below side"] = told(result[half]["waist_lowering"])
    return shown
