"""Rows of the choice benchmark: one measured figure each, timed as the best of several repeats."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

Row = dict[str, Any]


def row(part: str, what: str, value: float | str, unit: str = "", note: str = "") -> Row:
    """One figure of the table."""
    return {"part": part, "what": what, "value": value, "unit": unit, "note": note}


def once(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds of one run, and what it returned."""
    begin = time.perf_counter()
    result = work()
    return time.perf_counter() - begin, result


def best(work: Callable[[], Any], repeats: int = 5, inner: int = 1) -> float:
    """Seconds per run, the least of `repeats` after one unmeasured run: other loads only ever add."""
    work()
    return min(once(lambda: [work() for _ in range(inner)])[0] for _ in range(repeats)) / inner


def show(rows: list[Row]) -> None:
    """Print rows as a plain table, grouped by part."""
    part = ""
    for r in rows:
        if r["part"] != part:
            part = r["part"]
            print(f"\n{part}")
        value = r["value"] if isinstance(r["value"], str) else f"{r['value']:.4g}"
        print(f"  {r['what']:<62} {value:>12} {r['unit']:<8} {r['note']}", flush=True)
