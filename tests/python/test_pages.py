"""The README's examples in Python run, one after the other, and its numbers in comments are those they give."""

import ast
import re
from pathlib import Path
from typing import Any

import matplotlib
import pytest

import kirtle

README = Path(__file__).parents[2] / "README.md"


def blocks() -> list[str]:
    return re.findall(r"```python\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)


def test_the_examples_in_python_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    matplotlib.use("agg")
    names: dict[str, Any] = {}
    found = blocks()
    assert len(found) == 4
    told = 0
    for block in found:
        if "plots" in block:
            names["people"] = kirtle.simulate(300, seed=1)
        lines = block.splitlines()
        for node in ast.parse(block).body:
            code = ast.get_source_segment(block, node) or ""
            exec(code, names)  # Any line that fails names itself.
            said = re.search(r"# (\d+\.\d+)(…?)$", lines[node.end_lineno - 1] if node.end_lineno else "")
            if said and isinstance(node, ast.Expr):
                value = eval(code, names)
                assert str(value).startswith(said[1]) if said[2] else value == float(said[1]), (code, value)
                told += 1
    assert told == 2


def test_the_error_it_shows_is_told() -> None:
    (shown,) = re.findall(r"```text\n>>> (kirtle\.Body\(.*?\))\nkirtle\.errors\.InputError: (.*?)\n```", README.read_text(), re.DOTALL)
    with pytest.raises(kirtle.InputError) as caught:
        eval(shown[0], {"kirtle": kirtle})
    assert str(caught.value) == shown[1]


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "src/method.md", "src/embedding.md", "benches/speed.md"])
def test_every_link_leads_somewhere(page: str) -> None:
    path = README.parent / page
    text = path.read_text(encoding="utf-8")
    links = [link for link in re.findall(r"\]\(([^)]+)\)|src=\"([^\"]+)\"", text) for link in link if link]
    for link in links:
        if not link.startswith("https://"):
            target, _, anchor = link.partition("#")
            there = path.parent / target if target else path
            assert there.exists(), link
            if anchor:
                headings = re.findall(r"^#+ (.*)$", there.read_text(encoding="utf-8"), re.MULTILINE)
                assert anchor in [re.sub(r"[^\w\- ]", "", one.lower()).replace(" ", "-") for one in headings], link
