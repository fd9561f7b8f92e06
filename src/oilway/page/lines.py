"""Lines on which the server tells news to every page that listens (server-sent events)."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

from starlette.responses import StreamingResponse

BEAT = 15.0  # s between two signs of life on a quiet line
WAITING = 20  # news that wait for a slow listener; older ones are dropped


def event(name: str, data: dict[str, Any]) -> str:
    """One piece of news as it is written on a line."""
    return f"event: {name}\ndata: {json.dumps(data)}\n\n"


class Lines:
    """All lines of one kind; what is told reaches every one of them."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[str | None]] = set()

    def __len__(self) -> int:
        """How many listen."""
        return len(self._queues)

    def tell(self, name: str, data: dict[str, Any]) -> None:
        """Tell one piece of news to all."""
        said = event(name, data)
        for queue in self._queues:
            while queue.qsize() >= WAITING:
                queue.get_nowait()
            queue.put_nowait(said)

    def hang_up(self) -> None:
        """End every line: they never end by themselves, and the server waits for them."""
        for queue in self._queues:
            queue.put_nowait(None)

    def answer(self, first: str = "") -> StreamingResponse:
        """The answer to one who begins to listen; ``first`` is told at once."""
        return StreamingResponse(self._told(first), media_type="text/event-stream")

    async def _told(self, first: str) -> AsyncIterator[str]:
        queue: asyncio.Queue[str | None] = asyncio.Queue()
        self._queues.add(queue)
        try:
            yield first or ": here\n\n"
            while (said := await _next(queue)) is not None:
                yield said
        finally:
            self._queues.discard(queue)


async def _next(queue: asyncio.Queue[str | None]) -> str | None:
    try:
        return await asyncio.wait_for(queue.get(), BEAT)
    except TimeoutError:
        return ": still here\n\n"
