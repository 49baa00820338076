"""tests/README.md lists the first line of every test file."""

import os
import re
from pathlib import Path

from conftest import TESTS

PAGE = TESTS / "README.md"
HEAD = "| file | what it shows |\n|---|---|\n"


def first_line(path: Path) -> str:
    """Returns the text of a file's first line, which is its summary."""
    line = path.read_text(encoding="utf-8").split("\n", 1)[0]
    found = re.fullmatch(r'(?://! |""")(.*?)(?:""")?', line)
    assert found, path
    return found[1]


def rows() -> str:
    files = [*sorted(TESTS.glob("*.rs")), *sorted((TESTS / "python").glob("test_*.py"))]
    return "".join(f"| `{path.relative_to(TESTS)}` | {first_line(path)} |\n" for path in files)


def test_the_page_lists_every_test_file() -> None:
    table, page = rows(), PAGE.read_text(encoding="utf-8")
    start = page.index(HEAD) + len(HEAD)
    end = start + re.match(r"(?:\|.*\n)*", page[start:]).end()  # type: ignore[union-attr]
    if os.environ.get("KIRTLE_WRITE"):
        PAGE.write_text(page[:start] + table + page[end:], encoding="utf-8")
    assert table.count("\n") > 60
    assert PAGE.read_text(encoding="utf-8")[start:].startswith(table + "\n"), "KIRTLE_WRITE=1 uv run pytest tests/python/test_contents.py"


def test_every_first_line_is_a_whole_sentence() -> None:
    assert all(row.endswith(". |") for row in rows().splitlines())
