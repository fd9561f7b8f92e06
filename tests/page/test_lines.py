"""Lines for news: everybody hears everything, a slow one the newest, and all of them end."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor

from oilway.page.lines import WAITING, Lines, event


def heard(count: int) -> tuple[list[str], list[str]]:
    """What two listeners hear of ``count`` news, the second of them only after all were told."""

    async def listen() -> tuple[list[str], list[str]]:
        lines = Lines()
        quick, slow = (lines.answer("hello").body_iterator for _ in range(2))
        told = [await anext(quick)], [await anext(slow)]
        assert len(lines) == 2
        for number in range(count):
            lines.tell("news", {"number": number})
            told[0].append(await anext(quick))
        lines.hang_up()
        told[0].extend([said async for said in quick])
        told[1].extend([said async for said in slow])
        assert len(lines) == 0
        return told

    with ThreadPoolExecutor(1) as pool:  # the driver of the browser keeps a loop running in the test's own thread
        return pool.submit(lambda: asyncio.run(listen())).result()


def test_both_hear_all_in_order() -> None:
    every = ["hello", *(event("news", {"number": n}) for n in range(5))]
    assert heard(5) == (every, every)


def test_a_slow_line_keeps_the_newest() -> None:
    quick, slow = heard(3 * WAITING)
    assert len(quick) == 3 * WAITING + 1
    assert slow[1:] == quick[-WAITING:]
