"""Drawing requests that nobody would draw: never an answer of the server's own failing, never long.

`python -m tests.torture.fuzz [bodies]`. Real bodies broken in every way a seeded die finds, and bodies at the
very limits, sent to the board of a patient through every layer of the server but the network.
"""

import json
import random
import sys
import time
import uuid
from collections import Counter
from collections.abc import Callable
from typing import Any

from tests.torture.practice import boards, folder_of_its_own, gather_static
from tests.torture.tablets import drawn
from tests.torture.told import Told, percentile

BODIES = 10_000
# Of each request: 99 of 100 under the first, all under the second (ms).
MOST_OF_99, MOST = 300, 1000
STRANGE: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 2**31, 2**63, -(2**63), 10**400, 0.1, 1e308, -1e308, 5e-324),
    *(float("nan"), float("inf"), float("-inf"), "", "0", "\0", "\ud800", "‮", "a" * 5000, "1e5", "null"),
    *([], {}, [[]], [None], {"": {}}, [[1, 2]], [[0, 0, 0, 0]] * 2000, [1e9] * 4, "'; DROP TABLE x; --"),
    *("../../etc/passwd", "<script>alert(1)</script>", "{{ 7*7 }}", "%s%n", str(uuid.UUID(int=0))),
)
Body = Callable[[random.Random], bytes]


def one_member_strange(dice: random.Random) -> bytes:
    event = an_event(dice)
    for _ in range(dice.randrange(1, 4)):
        event[dice.choice([*event, "type", "id", "seq", "extra"])] = dice.choice(STRANGE)
    return sent([event])


def one_point_strange(dice: random.Random) -> bytes:
    event = drawn(dice, dice.randrange(1, 400))
    for _ in range(dice.randrange(1, 4)):
        point = dice.choice(event["points"])
        point[dice.randrange(4)] = dice.choice(STRANGE)
    return sent([event])


def envelope_strange(dice: random.Random) -> bytes:
    return json.dumps({dice.choice(["events", "waiting", "x"]): dice.choice(STRANGE)}).encode()


def bytes_broken(dice: random.Random) -> bytes:
    body = bytearray(sent([an_event(dice)]))
    for _ in range(dice.randrange(1, 6)):
        body[dice.randrange(len(body))] = dice.randrange(256)
    return bytes(body[: dice.randrange(1, len(body))]) if dice.random() < 0.3 else bytes(body)


def nested(dice: random.Random) -> bytes:
    depth = dice.choice([10, 1_000, 50_000, 120_000])
    return b'{"events": ' + b"[" * depth + b"]" * dice.choice([depth, 0]) + b"}"


def long_line(dice: random.Random) -> bytes:
    """A line round an area that crosses itself as often as it can."""
    corners = [
        [dice.uniform(0, 1000), dice.uniform(0, 1700), 0.5, n] for n in range(dice.randrange(50, 1001))
    ]
    return sent([{**drawn(dice, 1), "mode": "area", "points": corners}])


def many(dice: random.Random) -> bytes:
    return sent([an_event(dice) for _ in range(dice.randrange(10, 200))])


def too_large(dice: random.Random) -> bytes:
    return b" " * dice.choice([256 * 1024 - 1, 256 * 1024, 256 * 1024 + 1, 400 * 1024]) + sent([])


def deaf(dice: random.Random) -> bytes:
    return dice.randbytes(dice.randrange(0, 300))


KINDS: tuple[tuple[Body, int], ...] = (
    (one_member_strange, 34),
    (one_point_strange, 24),
    (envelope_strange, 10),
    (bytes_broken, 16),
    (nested, 4),
    (long_line, 2),
    (many, 3),
    (too_large, 2),
    (deaf, 5),
)


def an_event(dice: random.Random) -> dict[str, Any]:
    other = {"id": str(uuid.UUID(int=dice.getrandbits(128), version=4)), "seq": dice.randrange(1, 400)}
    return dice.choice(
        [
            drawn(dice, other["seq"]),  # type: ignore[arg-type]
            {**other, "type": "withdraw", "strokes": [other["id"]], "restores": dice.choice([True, False])},
            {**other, "type": "answer", "intensities": {"ache": dice.randrange(11)}, "no_pain": False},
            {**other, "type": "grouping", "strokes": [other["id"]], "together": True},
            {**other, "type": "cleared", "parts": ["head"]},
            {**other, "type": "area", "strokes": [other["id"]], "answers": {"usual": 4}},
        ]
    )


def sent(events: list[Any]) -> bytes:
    return json.dumps({"events": events, "waiting": len(events)}).encode()


def main(bodies: int = BODIES) -> int:
    told = Told()
    with folder_of_its_own():
        gather_static()
        statuses, times, failed = _ask(bodies)
    told.figure(f"{bodies:,} bodies; answers by status {dict(sorted(statuses.items()))}")
    told.promise(f"{len(failed)} answers of 500 and above {failed[:2] or ''}", not failed)
    known = {"200", "400", "413"}
    told.promise(f"each answer is 200, 400 or 413 {set(statuses) - known or ''}", set(statuses) <= known)
    in_99, most = 1000 * percentile(times, 0.99), 1000 * max(times)
    told.promise(f"99 of 100 within {in_99:.0f} ms (at most {MOST_OF_99})", in_99 <= MOST_OF_99)
    told.promise(f"all within {most:.0f} ms (at most {MOST:,})", most <= MOST)
    return told.end()


def _ask(bodies: int) -> tuple[Counter[str], list[float], list[str]]:
    import logging

    from django.test import Client

    logging.disable(logging.CRITICAL)
    dice = random.Random(9)
    # A board is full some day; a fresh one keeps the way through to the database open.
    waiting = boards(1 + bodies // 400)
    statuses: Counter[str] = Counter()
    times, failed = [], []
    for number in range(bodies):
        if number % 400 == 0:
            client = Client(headers={"host": "localhost"}, raise_request_exception=False)
            client.cookies["board"] = waiting.pop().token
            client.post("/board/confirm/", {"is_me": "yes"})
        make = dice.choices([kind for kind, _ in KINDS], [weight for _, weight in KINDS])[0]
        body = make(dice)
        began = time.perf_counter()
        answer = client.post("/board/save/", body, content_type="application/json")
        times.append(time.perf_counter() - began)
        statuses[str(answer.status_code)] += 1
        if answer.status_code >= 500:
            failed.append(f"{make.__name__}: {body[:200]!r}")
    return statuses, times, failed


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
