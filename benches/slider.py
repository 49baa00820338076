"""Times a slider move until Chromium shows the new drawing in JupyterLab: `uv run --no-sync python benches/slider.py`."""

import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import jupytext
from playwright.sync_api import Page, sync_playwright

NOTEBOOK = """# %%
import kirtle
from kirtle.widget import LiveDraft
LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=kirtle.Ease(waist=1.5, hip=5))
"""

MOVES = """async () => {
  const input = document.querySelector(".kirtle input[name=hip_ease]");
  const drawing = document.querySelector(".kirtle-drawing");
  const times = [];
  for (let k = 0; k < 60; k++) {
    const changed = new Promise((done) => new MutationObserver(done).observe(drawing, { childList: true, subtree: true }));
    const start = performance.now();
    input.value = 4 + (k % 5);
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await changed;
    await new Promise(requestAnimationFrame);
    times.push(performance.now() - start);
    await new Promise((later) => setTimeout(later, 60));
  }
  return times;
}"""


@contextmanager
def jupyter_lab(folder: Path) -> Iterator[str]:
    """Runs a private JupyterLab on a folder of notebooks; yields its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = [
        "--no-browser", "--allow-root", f"--ServerApp.port={port}", "--ServerApp.port_retries=0", "--ServerApp.ip=127.0.0.1",
        "--IdentityProvider.token=", "--ServerApp.password=", f"--ServerApp.root_dir={folder}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    ]
    homes = {f"JUPYTER_{kind}_DIR": str(folder / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")}
    homes |= {"JUPYTERLAB_SETTINGS_DIR": str(folder / "settings"), "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces")}
    server = subprocess.Popen(
        [sys.executable, "-m", "jupyterlab", *options],
        env=os.environ | homes, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    try:
        yield wait_until_up(f"http://127.0.0.1:{port}/api", server).removesuffix("/api")
    finally:
        server.terminate()
        server.wait(20)


def wait_until_up(address: str, server: subprocess.Popen[bytes]) -> str:
    """Returns the address once the server answers; fails after 30 seconds of refused connections."""
    for _ in range(300):
        assert server.poll() is None, "the server has exited"
        try:
            with urllib.request.urlopen(address, timeout=1):
                return address
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"{address} does not answer")


@contextmanager
def open_notebook(address: str, notebook: str) -> Iterator[Page]:
    """Opens a notebook in Chromium and yields the page."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1400, "height": 1000})
        page.set_default_timeout(60_000)
        page.goto(f"{address}/lab/tree/{notebook}")
        yield page
        browser.close()


@contextmanager
def run_all(address: str, notebook: str) -> Iterator[Page]:
    """Opens a notebook in Chromium, starts all of its cells, and yields the page."""
    with open_notebook(address, notebook) as page:
        page.get_by_text("| Idle").wait_for()
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.locator("[data-command='runmenu:run-all']").click()
        yield page


def main() -> None:
    """Prints the median and the maximum time of 60 moves, 60 ms apart, so that no move waits for another."""
    notebook = jupytext.reads(NOTEBOOK, "py:percent")
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
    with tempfile.TemporaryDirectory() as folder:
        jupytext.write(notebook, Path(folder) / "live.ipynb")
        with jupyter_lab(Path(folder)) as address, run_all(address, "live.ipynb") as page:
            page.locator(".kirtle-drawing svg").wait_for(state="attached")
            times: list[float] = page.evaluate(MOVES)
    print(f"a slider move to its drawing: median {statistics.median(times):.1f} ms, worst {max(times):.1f} ms")


if __name__ == "__main__":
    main()
