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
    end: float, stream: IO[str] | None = None, clock: Callable[[], float] = time.monotonic
) -> Iterator[Callable[[float], None] | None]:
    """What a run that ends at ``end`` (s) is to tell its time to, or ``None`` where nobody watches.

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
            bars.append(_bar(end, stream))
        for bar in bars:
            bar.update(bar.task_ids[0], completed=reached, refresh=True)

    try:
        yield tell
    finally:
        for bar in bars:
            bar.stop()


def _bar(end: float, stream: IO[str]) -> Progress:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("run"), BarColumn(), TextColumn("{task.completed:.3g} of {task.total:g} s"))
    # It is drawn when there is news: the integrator leaves no time to a thread that would draw it meanwhile.
    console = Console(file=stream, force_terminal=True)
    bar = Progress(*columns, TimeRemainingColumn(), console=console, transient=True, auto_refresh=False)
    bar.add_task("run", total=end)
    bar.start()
    return bar
