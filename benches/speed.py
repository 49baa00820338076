"""Compares `kirtle.draft` with the peer script in NumPy and SciPy, timed in turn: `uv run --no-sync python benches/speed.py`."""

import statistics
import timeit
from collections.abc import Callable

import peer

import kirtle

BODY = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
EASE = kirtle.Ease(waist=1.5, hip=5)


def draft_only() -> object:
    return kirtle.draft(BODY, ease=EASE)


def draft_and_read() -> object:
    draft = kirtle.draft(BODY, ease=EASE)
    return draft.suppression, draft.back, draft.front


def peer_by_quad() -> object:
    return peer.peer_draft(72.0, 98.0, 20.0, 60.0, 1.5, 5.0)


def peer_by_fixed_rule() -> object:
    return peer.peer_draft(72.0, 98.0, 20.0, 60.0, 1.5, 5.0, peer.lengths_by_rule)


def microseconds(work: Callable[[], object], number: int) -> float:
    """Returns the mean time of one call in microseconds, over `number` calls."""
    return timeit.timeit(work, number=number) / number * 1e6


def main() -> None:
    """Prints the median time of eleven rounds, and the median ratio to `kirtle.draft` within a round."""
    rounds = [
        (microseconds(draft_only, 5000), microseconds(draft_and_read, 2000),
         microseconds(peer_by_quad, 20), microseconds(peer_by_fixed_rule, 50))
        for _ in range(11)
    ]
    names = ("kirtle.draft", "draft, suppression, panels", "NumPy/SciPy, quad", "NumPy/SciPy, fixed rule")
    for k, name in enumerate(names):
        time = statistics.median(each[k] for each in rounds)
        ratio = statistics.median(each[k] / each[0] for each in rounds)
        print(f"{name:<26}{time:10.1f} µs{ratio:10.0f} ×")


if __name__ == "__main__":
    main()
