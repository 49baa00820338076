"""Every notebook runs from top to end, and in a browser the live draft follows its slider."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import jupytext
import nbclient
import pytest
from conftest import TESTS
from playwright.sync_api import Locator, sync_playwright

NOTEBOOKS = sorted((TESTS.parent / "python" / "notebooks").glob("*.py"))
PATIENCE = 60_000


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Future[Any]]]:
    """Every notebook, run side by side, and meanwhile the browser."""

    def run(path: Path, folder: Path) -> Any:
        notebook = jupytext.read(path)
        nbclient.NotebookClient(notebook, timeout=60, kernel_name="python3", resources={"metadata": {"path": folder}}).execute()
        return notebook

    with ThreadPoolExecutor() as pool:
        yield {path.stem: pool.submit(run, path, tmp_path_factory.mktemp(path.stem)) for path in NOTEBOOKS}


@pytest.fixture
def lab(tmp_path: Path, runs: object) -> Iterator[str]:
    """A JupyterLab of its own, with the ease notebook up to its live draft, without the plots; where it listens."""
    notebook = jupytext.read(TESTS.parent / "python" / "notebooks" / "ease.py")
    last = next(k for k, cell in enumerate(notebook.cells) if "LiveDraft(" in cell.source)
    notebook.cells = [cell for cell in notebook.cells[: last + 1] if "plots." not in cell.source]
    jupytext.write(notebook, tmp_path / "ease.ipynb")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = [
        "--no-browser", "--allow-root", f"--ServerApp.port={port}", "--ServerApp.port_retries=0", "--ServerApp.ip=127.0.0.1",
        "--IdentityProvider.token=", "--ServerApp.password=", f"--ServerApp.root_dir={tmp_path}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    ]
    homes = {f"JUPYTER_{kind}_DIR": str(tmp_path / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    homes |= {"JUPYTERLAB_SETTINGS_DIR": str(tmp_path / "settings"), "JUPYTERLAB_WORKSPACES_DIR": str(tmp_path / "workspaces")}
    server = subprocess.Popen(
        [sys.executable, "-m", "jupyterlab", *options],
        env=os.environ | homes, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    try:
        yield answering(f"http://127.0.0.1:{port}", server)
    finally:
        server.terminate()
        server.wait(20)


def answering(address: str, server: subprocess.Popen[bytes]) -> str:
    """The address, once something answers there."""
    for _ in range(300):
        assert server.poll() is None, "the server has ended"
        try:
            with urllib.request.urlopen(f"{address}/api", timeout=1):
                return address
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_a_moved_slider_changes_the_drawing(lab: str) -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page: Any = browser.new_page(viewport={"width": 1400, "height": 1000})
        page.set_default_timeout(PATIENCE)
        page.goto(f"{lab}/lab/tree/ease.ipynb")
        page.get_by_text("| Idle").wait_for()
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.locator("[data-command='runmenu:run-all']").click()
        slider, drawing = page.locator(".kirtle input[name=hip_ease]"), page.locator(".kirtle-drawing svg")
        slider.wait_for(state="attached")
        before = drawing.inner_html()
        moved(slider, "ArrowRight", 4)
        page.wait_for_function("before => document.querySelector('.kirtle-drawing svg').innerHTML !== before", arg=before)
        page.locator(".kirtle-numbers", has_text="1.5 cm + 1.5 cm").wait_for()
        assert page.locator(".kirtle-slider", has_text="ease at the hip").locator("output").inner_text() == "5.0 cm"
        drawn = drawing.inner_html()
        too_low = "it => { it.min = 7; it.value = 7; it.dispatchEvent(new Event('input')); }"
        page.locator(".kirtle input[name=hip_depth]").evaluate(too_low)
        page.get_by_text("body.hip_depth: 7 cm is below the least of 10 cm").wait_for()
        assert drawing.inner_html() == drawn != before
        browser.close()


def moved(slider: Locator, key: str, times: int) -> None:
    """Move a slider as a person does by the keyboard."""
    slider.focus()
    for _ in range(times):
        slider.press(key)


@pytest.mark.parametrize("name", [path.stem for path in NOTEBOOKS])
def test_a_notebook_runs(name: str, runs: dict[str, Future[Any]]) -> None:
    notebook = runs[name].result()
    assert notebook.cells[0].cell_type == "markdown" and len(notebook.cells) > 10
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert not [output for output in outputs if output.output_type == "error" or output.get("name") == "stderr"]
    shown = {kind for output in outputs for kind in output.get("data", {})}
    wanted = {"embedding": "image/svg+xml", "population": "image/png", "ease": "application/vnd.jupyter.widget-view+json"}
    assert wanted[name] in shown


def test_there_are_three() -> None:
    assert [path.stem for path in NOTEBOOKS] == ["ease", "embedding", "population"]
