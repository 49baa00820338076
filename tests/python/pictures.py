"""Pictures of the README that plots make."""

import os
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from PIL import Image


def is_picture(ax: Axes, picture: Path, again: Path) -> bool:
    """Whether the plot, written to `again`, looks like the picture; with KIRTLE_WRITE=1 the picture is written anew."""
    for place in [again, *([picture] if os.environ.get("KIRTLE_WRITE") else [])]:
        ax.get_figure(root=True).savefig(place, dpi=110, metadata={"Software": None})  # type: ignore[union-attr]
    new, kept = (np.asarray(Image.open(path).convert("L"), float) for path in (again, picture))
    return new.shape == kept.shape and float(np.abs(new - kept).mean()) < 0.5 and picture.stat().st_size < 60_000
