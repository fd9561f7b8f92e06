"""How far a long run is, on the terminal and nowhere else: a bar of the time reached."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress

PATIENCE = 1.0  # s: what is done sooner shows no bar


@contextmanager
def shown_progress(
    end: float,
    stream: IO[str] | None = None,
    clock: Callable[[], float] = time.monotonic,
    *,
    what: str = "run",
    unit: str = "s",
) -> Iterator[Callable[[float], None] | None]:
    """What something that ends at ``end`` is to tell how far it is, or ``None`` where nobody watches.

    The bar stands on ``stream`` (stderr) only if that is a terminal, and goes when the run is done.
    """
    stream = stream or sys.stderr
    if not stream.isatty():
        yield None
        return
    begun = clock()
    bars: list[Progress] = []

    def tell(reached: float) -> None:
        if not bars and clock() - begun > PATIENCE:
            bars.append(_bar(end, (what, unit), stream))
        for bar in bars:
            bar.update(bar.task_ids[0], completed=reached, refresh=True)

    try:
        yield tell
    finally:
        for bar in bars:
            bar.stop()


def _bar(end: float, words: tuple[str, str], stream: IO[str]) -> Progress:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    what, unit = words
    columns = (TextColumn(what), BarColumn(), TextColumn("{task.completed:.3g} of {task.total:g} " + unit))
    # It is drawn when there is news: the integrator leaves no time to a thread that would draw it meanwhile.
    console = Console(file=stream, force_terminal=True)
    bar = Progress(*columns, TimeRemainingColumn(), console=console, transient=True, auto_refresh=False)
    bar.add_task(what, total=end)
    bar.start()
    return bar
