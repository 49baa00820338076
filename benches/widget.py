"""From the message of a moved slider to the message with the drawing: `uv run python benches/widget.py`."""

import itertools
import json
import statistics
import time

import kirtle
from kirtle.widget import LiveDraft

ROUNDS = 500


def main() -> None:
    """Print the median and the worst of some hundred moves of one slider."""
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
    live = LiveDraft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    sent: list[str] = []
    live.comm.publish_msg = lambda kind, data=None, **_: sent.append(json.dumps(data))
    times = []
    for value in itertools.islice(itertools.cycle([5.5, 6.0, 6.5, 6.0]), ROUNDS):
        sent.clear()
        update = {"method": "update", "state": {"hip_ease": value}, "buffer_paths": []}
        start = time.perf_counter()
        live._handle_msg({"content": {"data": update}, "buffers": []})
        times.append(1e3 * (time.perf_counter() - start))
        assert any("<svg" in message for message in sent)
    print(f"a slider's message to the drawing's message: median {statistics.median(times):.2f} ms, worst {max(times):.2f} ms")


if __name__ == "__main__":
    main()
