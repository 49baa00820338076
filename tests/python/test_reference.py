"""The reference page is made from the docs of the code, names everything there is, and its examples run."""

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
    "Body", "Ease", "Rules", "Shares", "Darts", "FixedDart", "draft", "draft_json", "schema", "SizeChart", "chart_json", "draft_table",
    "fit_chart", "best_sizes", "best_chart", "compare_charts", "simulate", "Population", "LogBand", "StandardErrors", "LiveDraft", "InputError",
    "Draft.girth_at", "Draft.pattern", "Draft.seek", "Draft.sensitivity", "Draft.uncertainty", "Draft.ease_by_level", "Pattern.lay",
    "Pattern.save", "SizeChart.between", "SizeChart.draft", "SizeChart.from_csv", "SizeRange.alter", "Fitting.correct", "Ellipse.growth",
    "StandardErrors.with_covariance",
]
"""What shows something that works and something that is refused."""


def test_the_page_is_that_of_the_code() -> None:
    made = reference.page()
    if "KIRTLE_WRITE" in os.environ:
        PAGE.write_text(made, encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == made, "write it anew with KIRTLE_WRITE=1"


def test_everything_is_in_one_group() -> None:
    named = [name for _, names in reference.GROUPS.values() for name in names]
    assert sorted(named) == sorted({*kirtle.__all__, "plots", "LiveDraft"} - {"__version__"})


def test_every_link_leads_to_a_heading() -> None:
    text = PAGE.read_text(encoding="utf-8")
    headings = [re.sub(r"[^\w\- ]", "", line.lstrip("# ").lower()).replace(" ", "-") for line in text.splitlines() if line.startswith("#")]
    links = re.findall(r"\]\(#([^)]*)\)", text)
    assert len(links) > 70 and set(links) <= set(headings)
    assert len([one for one in headings if one in links]) == len(set(links)), "two headings with one anchor"


def test_what_there_is_says_what_it_is() -> None:
    text = PAGE.read_text(encoding="utf-8")
    bare = [part.split("\n", 1)[0] for part in re.split(r"\n#{3,4} ", text)[1:] if not re.search(r"[a-z][.:;)`*]", part)]
    assert not bare and "|  |\n" not in text


@pytest.mark.parametrize("name", MAIN)
def test_the_main_things_show_what_is_refused(name: str) -> None:
    text = PAGE.read_text(encoding="utf-8")
    heading = f"#### {name}" if "." in name else f"### {reference.title(name)}"
    part = text.split(f"\n{heading}\n", 1)[1]
    part = re.split(r"\n#{2,4} " if "." in name else r"\n#{2,3} ", part, maxsplit=1)[0]
    shown = "".join(example for _, example in reference.examples(part))
    assert shown.count(">>>") >= 2 and ("Traceback" in shown or "except" in shown or ".error" in shown), shown


def test_the_examples_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = PAGE.read_text(encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    matplotlib.use("agg")
    names = {name: getattr(kirtle, name) for name in kirtle.__all__} | {"json": json, "kirtle": kirtle, "pyarrow": pyarrow}
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    told: list[str] = []
    for line, example in reference.examples(text):
        runner.run(doctest.DocTestParser().get_doctest(example, dict(names), f"line {line}", str(PAGE), line), out=told.append)
    assert runner.tries > 100 and not runner.failures, "".join(told)
