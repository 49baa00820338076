"""The pages: Python examples run, results in comments are right, links have targets, lengths are kept."""

import ast
import re
from pathlib import Path
from typing import Any

import matplotlib
import pytest

import kirtle

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
PAGES = ("README.md", "DEVELOPERS.md", "src/method.md", "src/embedding.md", "src/sewing_room.md", "src/shortcuts.md", "src/figures.md",
         "src/populations.md", "src/notebook.md", "benches/speed.md", "tests/README.md")


def blocks(page: str) -> list[str]:
    return re.findall(r"```python\n(.*?)```", (ROOT / page).read_text(encoding="utf-8"), re.DOTALL)


def claim(line: str) -> tuple[Any, bool] | None:
    """Returns the value stated in a comment at the end of a line, and whether the value is cut off by "…"; None for prose."""
    _, sharp, comment = line.rpartition("  # ")
    stated = comment.strip().removesuffix("…")
    try:
        return (ast.literal_eval(stated), comment.strip().endswith("…")) if sharp else None
    except (SyntaxError, ValueError):
        return None


def same(value: object, stated: object, is_start: bool) -> bool:
    return str(value).startswith(str(stated)) if is_start else value == stated


@pytest.mark.parametrize(("page", "count", "claims"), [("README.md", 4, 6), ("src/notebook.md", 2, 5), ("src/populations.md", 10, 17)])
def test_the_examples_in_python_give_what_they_state(
    page: str, count: int, claims: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    matplotlib.use("agg")
    names: dict[str, Any] = {}
    found, compared = blocks(page), 0
    assert len(found) == count
    for block in found:
        lines = block.splitlines()
        for node in ast.parse(block).body:
            code = ast.get_source_segment(block, node) or ""
            exec(code, names)  # The traceback of a failure shows the line.
            stated = claim(lines[node.end_lineno - 1] if node.end_lineno else "")
            if stated is not None and isinstance(node, ast.Expr):
                value = eval(code, names)
                assert same(value, *stated), (code, value)
                compared += 1
    assert compared == claims


def test_a_wrong_claim_is_seen() -> None:
    assert claim("draft.width   # 25.5") == (25.5, False) and claim("draft.width   # 25.4…") == (25.4, True)
    assert claim("draft.width   # the width") is None and claim("draft.width") is None
    assert not same(25.5, 25.4, False) and not same(25.5, 25.4, True) and same(25.49, 25.4, True)


def test_the_error_of_the_readme_is_raised() -> None:
    (shown,) = re.findall(r"```text\n>>> (kirtle\.Body\(.*?\))\nkirtle\.InputError: (.*?)\n```", README.read_text(), re.DOTALL)
    with pytest.raises(kirtle.InputError) as caught:
        eval(shown[0], {"kirtle": kirtle})
    assert str(caught.value) == shown[1] and f"{type(caught.value).__module__}.InputError" == "kirtle.InputError"


@pytest.mark.parametrize(("page", "limit"), [("README.md", 150), ("DEVELOPERS.md", 200)])
def test_a_page_is_short(page: str, limit: int) -> None:
    assert len((ROOT / page).read_text().splitlines()) <= limit


@pytest.mark.parametrize("page", PAGES)
def test_every_link_has_a_target(page: str) -> None:
    path = ROOT / page
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
