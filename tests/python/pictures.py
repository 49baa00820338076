"""Compares plots with the committed pictures of the README."""

import os
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from PIL import Image


def matches_picture(ax: Axes, picture: Path, scratch: Path) -> bool:
    """Returns whether the plot, saved to `scratch`, looks like the committed picture; KIRTLE_WRITE=1 rewrites the picture."""
    for path in [scratch, *([picture] if os.environ.get("KIRTLE_WRITE") else [])]:
        ax.get_figure(root=True).savefig(path, dpi=110, metadata={"Software": None})  # type: ignore[union-attr]
    new, committed = (np.asarray(Image.open(path).convert("L"), float) for path in (scratch, picture))
    return new.shape == committed.shape and float(np.abs(new - committed).mean()) < 0.5 and picture.stat().st_size < 60_000
