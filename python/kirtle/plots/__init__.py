"""Plots of drafts, dart intake, sensitivities, people and size charts with matplotlib. Requires ``pip install kirtle[plots]``.

Every plot draws on the axes `ax`, or on a new figure, and returns the axes. Sizes, colours of text and background, and widths of lines are
those of matplotlib's settings (`font.size`, `figure.figsize`, styles such as `dark_background`). Lines differ by style and mark, shades by
lightness, so that every plot can be read in grey; `plots.save` writes a plot with its description as alternative text. `title=False`
leaves the title out, as where a caption has its text; `plots.description` keeps the text.

>>> from kirtle import Body, Ease, plots
>>> import kirtle
>>> axes = plots.draft(kirtle.draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)))
>>> axes.get_xlabel()
'from the centre (cm)'
"""

try:
    import matplotlib as _matplotlib  # noqa: F401
    import pyarrow as _pyarrow  # noqa: F401
except ImportError as _error:
    raise ImportError(
        f"kirtle.plots requires matplotlib and pyarrow, but {_error.name} is missing: pip install kirtle[plots]", name=_error.name,
    ) from _error

from .axes import description, save
from .charts import best_charts, chart_fit, constraint_costs, coverage, regions, served_by_group, size_roll
from .curve import curve
from .derivatives import effects, ellipses, sensitivity
from .ease_profile import ease_around, ease_by_level
from .maps import intake_map
from .multiples import small_multiples
from .overlay import overlay
from .panels import closed_darts, draft
from .people import marginal, population
from .unmeasured import unmeasured_figure

__all__ = [
    "best_charts", "chart_fit", "closed_darts", "constraint_costs", "coverage", "curve", "description", "draft", "ease_around", "ease_by_level", "effects", "ellipses", "intake_map", "marginal", "overlay",
    "population", "regions", "save", "sensitivity", "served_by_group", "size_roll", "small_multiples", "unmeasured_figure",
]
