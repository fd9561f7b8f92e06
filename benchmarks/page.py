"""How fast the page's server answers while a slider is dragged: question to answer over a real connection.

Run ``python -m benchmarks page``.  The browser paints after that; 50 ms are allowed for both together.
"""

from __future__ import annotations

import http.client
import json
import statistics
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import uvicorn

from oilway import quantity
from oilway.page.server import app
from oilway.page.session import Session
from oilway.study.story import HOIST, examples

TARGET = 20.0  # ms, p95 of one frame
STEPS = 300  # of a drag, there and back
# A drag over each of these (parameter of the hoist, kind, from, to); the relief opens on the way.
DRAGS = (
    ("box.load pressure", "pressure", "0 psi", "2600 psi"),
    ("pump.engine speed", "rotation", "600 rpm", "2400 rpm"),
    ("oil temperature", "temperature", "20 F", "200 F"),
    ("main relief.main orifice.diameter", "length", "0.4 mm", "1.5 mm"),
)


@contextmanager
def served(file: str) -> Iterator[int]:
    """A running server on a free port."""
    server = uvicorn.Server(uvicorn.Config(app(Session(file)), port=0, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield server.servers[0].sockets[0].getsockname()[1]
    server.should_exit = True
    thread.join()


def drag(connection: http.client.HTTPConnection, parameter: str, values: Iterator[float]) -> list[float]:
    """Milliseconds from question to answer for each value."""
    times = []
    for k, value in enumerate(values):
        body = json.dumps({"seq": k, "side": "a", "set": {parameter: value}})
        begin = time.perf_counter()
        connection.request("POST", "/api/frame", body, {"Content-Type": "application/json"})
        answer = connection.getresponse().read()
        times.append(1e3 * (time.perf_counter() - begin))
        assert b'"values"' in answer, answer
    return times


def run() -> bool:
    """Print the table; True when every target is met."""
    print(f"Page: one frame of the hoist from the server, {STEPS} steps of a drag, ms (target p95 {TARGET:g})")
    met = True
    with served(str(examples() / HOIST)) as port:
        connection = http.client.HTTPConnection("127.0.0.1", port)
        for parameter, kind, first, last in DRAGS:
            a, b = quantity.parse(first, kind), quantity.parse(last, kind)
            there = np.linspace(a, b, STEPS // 2)
            times = drag(connection, parameter, iter([*map(float, there), *map(float, there[::-1])]))
            p95 = statistics.quantiles(times, n=20)[-1]
            missed = "" if p95 <= TARGET else "  MISSED"
            print(f"  {parameter:<40}p50 {statistics.median(times):6.2f}  p95 {p95:6.2f}{missed}", flush=True)
            met = met and p95 <= TARGET
        connection.close()
    return met
