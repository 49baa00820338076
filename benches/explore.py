"""Times a map of 200 × 200 drafts and a slider move of LiveDraft: `uv run --no-sync python benches/explore.py`."""

import itertools
import json
import statistics
import time

import numpy as np

import kirtle
from kirtle.plots import maps
from kirtle.widget import LiveDraft

MOVES = 500
BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)


def ease_map() -> None:
    """Prints the median and the maximum time of 50 maps; each map is 40,000 drafts with dart counts and intakes as arrays."""
    waist, hip = np.linspace(-2, 26, 200), np.linspace(-2, 14, 200)
    times = []
    for _ in range(50):
        start = time.perf_counter()
        maps.draft_grid(BODY, waist, hip, "front", None, "cm")
        times.append(1e3 * (time.perf_counter() - start))
    print(f"a map of 200 × 200 drafts: median {statistics.median(times):.1f} ms, worst {max(times):.1f} ms")


def slider() -> None:
    """Prints the median and the maximum time of 500 slider moves, from the message of a move to that of the new drawing."""
    live = LiveDraft(BODY, ease=kirtle.Ease(waist=1.5, hip=5))
    sent: list[str] = []
    live.comm.publish_msg = lambda kind, data=None, **_: sent.append(json.dumps(data))
    times = []
    for value in itertools.islice(itertools.cycle([5.5, 6.0, 6.5, 6.0]), MOVES):
        sent.clear()
        update = {"method": "update", "state": {"hip_ease": value}, "buffer_paths": []}
        start = time.perf_counter()
        live._handle_msg({"content": {"data": update}, "buffers": []})
        times.append(1e3 * (time.perf_counter() - start))
        assert any("<svg" in message for message in sent)
    print(f"a slider's message to the drawing's message: median {statistics.median(times):.2f} ms, worst {max(times):.2f} ms")


if __name__ == "__main__":
    ease_map()
    slider()
