"""Every notebook runs and has short cells; in a browser the live draft follows its slider, and a saved one is visible without a kernel."""

import copy
import os
import re
import shutil
import sys
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import jupytext
import nbclient
import nbformat
import pytest
from conftest import TESTS
from playwright.sync_api import Locator, expect

sys.path.insert(0, str(TESTS.parent / "benches"))
from slider import jupyter_lab, open_notebook, run_all

NOTEBOOKS = sorted((TESTS.parent / "python" / "notebooks").glob("*.py"))


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Future[Any]]]:
    """Yields a future of each executed notebook; the notebooks run in parallel, also while the browser test runs."""

    def run(path: Path, folder: Path) -> Any:
        notebook = jupytext.read(path)
        nbclient.NotebookClient(notebook, timeout=60, kernel_name="python3", resources={"metadata": {"path": folder}}).execute()
        return notebook

    with ThreadPoolExecutor() as pool:
        yield {path.stem: pool.submit(run, path, tmp_path_factory.mktemp(path.stem)) for path in NOTEBOOKS}


@pytest.fixture(scope="module")
def lab_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lab")


@pytest.fixture(scope="module")
def lab_address(lab_folder: Path, runs: object) -> Iterator[str]:
    """Runs a JupyterLab with the cells of the ease notebook that lead to its live draft; yields its address."""
    notebook = jupytext.read(TESTS.parent / "python" / "notebooks" / "ease.py")
    needed = ("import LiveDraft", "body = ", "LiveDraft(body")
    notebook.cells = [cell for cell in notebook.cells if cell.cell_type == "code" and any(text in cell.source for text in needed)]
    jupytext.write(notebook, lab_folder / "ease.ipynb")
    with jupyter_lab(lab_folder) as address:
        yield address


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_a_moved_slider_changes_the_drawing(lab_address: str) -> None:
    with run_all(lab_address, "ease.ipynb") as page:
        slider, drawing = page.locator(".kirtle input[name=hip_ease]"), page.locator(".kirtle-drawing svg")
        expect(slider).to_be_enabled(timeout=60_000)  # The controls are disabled until the kernel answers.
        before = drawing.inner_html()
        press(slider, "ArrowRight", 4)
        page.wait_for_function("before => document.querySelector('.kirtle-drawing svg').innerHTML !== before", arg=before)
        page.locator(".kirtle-numbers", has_text="1.5 cm + 1.5 cm").wait_for()
        assert page.get_by_label("ease at the hip in cm").input_value() == "5"
        still = page.locator("[class^=kirtle-still]")
        expect(still).to_contain_text("1.5 cm + 1.5 cm")
        assert not still.is_visible()
        after = drawing.inner_html()
        box = page.get_by_label("hip depth in cm")
        box.fill("7")
        box.press("Enter")
        page.get_by_text("body.hip_depth: 7 cm is below the minimum of 10 cm").wait_for()
        assert drawing.inner_html() == after != before


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_a_saved_notebook_shows_the_live_draft_without_its_kernel_and_without_trust(
    lab_address: str, lab_folder: Path, runs: dict[str, Future[Any]]
) -> None:
    notebook = copy.deepcopy(runs["ease"].result())
    notebook.cells = [cell for cell in notebook.cells if "LiveDraft(" in cell.source and cell.cell_type == "code"]
    notebook.metadata.pop("widgets")  # JupyterLab does not save the state of widgets.
    notebook.metadata["kernelspec"] = {"name": "missing", "display_name": "missing"}
    jupytext.write(notebook, lab_folder / "saved.ipynb")
    with open_notebook(lab_address, "saved.ipynb") as page:
        expect(page.get_by_role("img", name="Back and front of a straight skirt")).to_be_visible(timeout=60_000)
        expect(page.get_by_text("104.0 cm")).to_be_visible()
        expect(page.get_by_text("Start the kernel and run the cell to redraw.")).to_be_visible()


def press(slider: Locator, key: str, times: int) -> None:
    """Moves a slider by pressing a key repeatedly."""
    slider.focus()
    for _ in range(times):
        slider.press(key)


@pytest.mark.parametrize("name", [path.stem for path in NOTEBOOKS])
def test_a_notebook_runs_without_errors(name: str, runs: dict[str, Future[Any]]) -> None:
    notebook = runs[name].result()
    assert notebook.cells[0].cell_type == "markdown" and len(notebook.cells) > 10
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert not [output for output in outputs if output.output_type == "error" or output.get("name") == "stderr"]
    kinds = {kind for output in outputs for kind in output.get("data", {})}
    expected_kind = {"embedding": "image/svg+xml", "population": "image/png", "ease": "application/vnd.jupyter.widget-view+json"}
    assert expected_kind[name] in kinds


def test_there_are_three_notebooks() -> None:
    assert [path.stem for path in NOTEBOOKS] == ["ease", "embedding", "population"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_the_file_that_jupyterlab_opens_by_a_double_click_is_made_of_the_notebook(path: Path) -> None:
    notebook = jupytext.read(path)
    notebook.metadata = {"kernelspec": notebook.metadata["kernelspec"], "language_info": {"name": "python"}}
    for number, cell in enumerate(notebook.cells):
        cell["id"] = f"{path.stem}-{number}"
    text = nbformat.writes(notebook) + "\n"
    file = path.with_suffix(".ipynb")
    if "KIRTLE_WRITE" in os.environ:
        file.write_text(text, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == text, "KIRTLE_WRITE=1 uv run pytest tests/python/test_notebooks.py"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_section_asks_one_question_and_a_cell_has_up_to_three_lines(path: Path) -> None:
    cells = jupytext.read(path).cells
    headings = re.findall("^#+ (.*)$", "\n".join(cell.source for cell in cells if cell.cell_type == "markdown"), re.MULTILINE)
    assert len(headings) >= 10 and all(heading.count("?") == 1 for heading in headings)
    assert max(cell.source.count("\n") for cell in cells if cell.cell_type == "code") <= 2
