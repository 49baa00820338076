"""The Python reference is generated from the docs, names everything public, and its examples run."""

import doctest
import json
import os
import re
from pathlib import Path

import matplotlib
import pyarrow
import pytest
import reference

import kirtle

PAGE = Path("python/reference.md")

MAIN = [
    "Body", "Ease", "Rules", "Shares", "Darts", "GivenDart", "draft", "draft_json", "schema", "SizeChart", "chart_json", "draft_table",
    "fit_chart", "best_sizes", "best_chart", "best_chart_by_draft", "compare_charts", "simulate", "darts_by_ease", "Population", "LogBand", "StandardErrors", "LiveDraft", "InputError",
    "Draft.girth_at", "Draft.pattern", "Draft.seek", "Draft.sensitivity", "Draft.uncertainty", "Draft.ease_by_level", "Pattern.lay",
    "Pattern.save", "SizeChart.between", "SizeChart.draft", "SizeChart.from_csv", "SizeRange.alter", "SizeRange.nest", "Fitting.correct", "Ellipse.growth",
    "StandardErrors.with_covariance",
]
"""Classes and functions whose docstring has an example that works and an example that is refused."""


def test_the_page_matches_the_docstrings() -> None:
    page = reference.page()
    if "KIRTLE_WRITE" in os.environ:
        PAGE.write_text(page, encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == page, "KIRTLE_WRITE=1 uv run pytest tests/python/test_reference.py"


def test_every_public_name_is_in_exactly_one_group() -> None:
    grouped = [name for _, names in reference.GROUPS.values() for name in names]
    assert sorted(grouped) == sorted({*kirtle.__all__, "plots", "LiveDraft"} - {"__version__"})


def test_every_link_leads_to_a_heading() -> None:
    text = PAGE.read_text(encoding="utf-8")
    anchors = [re.sub(r"[^\w\- ]", "", line.lstrip("# ").lower()).replace(" ", "-") for line in text.splitlines() if line.startswith("#")]
    links = re.findall(r"\]\(#([^)]*)\)", text)
    assert len(links) > 70 and set(links) <= set(anchors)
    assert len([one for one in anchors if one in links]) == len(set(links)), "two headings share an anchor"


def test_every_entry_has_a_text() -> None:
    text = PAGE.read_text(encoding="utf-8")
    without_text = [part.split("\n", 1)[0] for part in re.split(r"\n#{3,4} ", text)[1:] if not re.search(r"[a-z][.:;)`*]", part)]
    assert not without_text and "|  |\n" not in text


@pytest.mark.parametrize("name", MAIN)
def test_the_main_entries_show_a_refused_call(name: str) -> None:
    text = PAGE.read_text(encoding="utf-8")
    heading = f"#### {name}" if "." in name else f"### {reference.heading(name)}"
    rest = text.split(f"\n{heading}\n", 1)[1]
    entry = re.split(r"\n#{2,4} " if "." in name else r"\n#{2,3} ", rest, maxsplit=1)[0]
    examples = "".join(example for _, example in reference.examples(entry))
    assert examples.count(">>>") >= 2 and ("Traceback" in examples or "except" in examples or ".error" in examples), examples


def test_the_examples_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = PAGE.read_text(encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    matplotlib.use("agg")
    names = {name: getattr(kirtle, name) for name in kirtle.__all__} | {"json": json, "kirtle": kirtle, "pyarrow": pyarrow}
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    report: list[str] = []
    for line, example in reference.examples(text):
        runner.run(doctest.DocTestParser().get_doctest(example, dict(names), f"line {line}", str(PAGE), line), out=report.append)
    assert runner.tries > 100 and not runner.failures, "".join(report)
