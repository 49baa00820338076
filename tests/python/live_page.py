"""A page of Chromium with a live draft, whose kernel is this process."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from conftest import TESTS
from playwright.sync_api import Browser, Page, sync_playwright

from kirtle.widget import LiveDraft

ESM, CSS = ((TESTS.parent / "python" / "kirtle" / f"widget.{suffix}").read_text() for suffix in ("js", "css"))

SHOW = """async ({ esm, css, state, answers }) => {
  document.head.appendChild(document.createElement("style")).textContent = css;
  const listeners = {}, fire = (event, ...rest) => (listeners[event] ?? []).forEach((show) => show(...rest));
  let changes = {};
  window.deliver = (messages) => {
    for (const { method, state: update, content, buffers } of messages) {
      if (method === "update") {
        Object.assign(state, update);
        for (const name in update) fire(`change:${name}`);
      }
      if (method === "custom") fire("msg:custom", content, buffers.map((bytes) => new DataView(new Uint8Array(bytes).buffer)));
    }
  };
  const kernel = async (data) => answers && deliver(await window.kernel(data));
  const model = {
    get: (name) => state[name],
    on: (event, show) => (listeners[event] ??= []).push(show),
    off: (event, show) => (listeners[event] = listeners[event].filter((other) => other !== show)),
    set: (name, value) => { state[name] = changes[name] = value; fire(`change:${name}`); },
    save_changes: () => { kernel({ method: "update", state: changes, buffer_paths: [] }); changes = {}; },
    send: (content) => kernel({ method: "custom", content }),
  };
  const address = URL.createObjectURL(new Blob([esm], { type: "text/javascript" }));
  const el = document.body.appendChild(document.createElement("div"));
  window.leave = (await import(address)).default.render({ model, el });
}"""
"""Renders the widget in a page, with a model that speaks to the kernel as that of a notebook does."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """Runs a Chromium without network."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        yield browser
        browser.close()


class LivePage:
    """A page that shows a live draft. `deliver` sends it what was set in Python since."""

    def __init__(
        self, browser: Browser, live: LiveDraft, width: int = 800, height: int = 800, *,
        style: str = "", content: str = "", answers: bool = True,
    ) -> None:
        self.live, self.sent = live, list[dict[str, Any]]()
        live.comm.publish_msg = self.collect
        self.page: Page = browser.new_page(viewport={"width": width, "height": height}, accept_downloads=True)
        self.page.set_content(f"<!DOCTYPE html><body>{content}</body>")
        self.page.expose_function("kernel", self.answer)
        state = {name: getattr(live, name) for name in live.keys if not name.startswith("_") and name not in {"layout", "tooltip"}}
        self.page.evaluate(SHOW, {"esm": ESM, "css": CSS + style, "state": state, "answers": answers})

    def collect(self, kind: str, data: dict[str, Any] | None = None, buffers: Any = None, **_: object) -> None:
        """Keeps a message of the kernel until it is delivered."""
        self.sent.append((data or {}) | {"buffers": [list(bytes(buffer)) for buffer in buffers or []]})

    def answer(self, data: dict[str, Any]) -> list[dict[str, Any]]:
        """Hands a message of the page to the widget; returns the messages that the widget sends back."""
        self.live._handle_msg({"content": {"data": data}, "buffers": []})
        sent, self.sent = self.sent, []
        return sent

    def deliver(self) -> None:
        """Sends the page what the widget has sent since."""
        sent, self.sent = self.sent, []
        self.page.evaluate("messages => deliver(messages)", sent)
