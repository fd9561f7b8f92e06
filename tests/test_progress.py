"""The bar of a long run: only on a terminal, only when it takes long, and gone at the end."""

from __future__ import annotations

import io
import itertools
import re

import pytest

from oilway.progress import PATIENCE, shown_progress


@pytest.fixture(autouse=True)
def able(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that can move its cursor; a dumb one is shown nothing."""
    monkeypatch.setenv("TERM", "xterm")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


def told(seconds: float, *reached: float) -> str:
    """What stands on a terminal when each piece of news comes ``seconds`` after the one before."""
    stream, ticks = Terminal(), itertools.count()
    with shown_progress(4.0, stream, lambda: seconds * next(ticks)) as tell:
        assert tell is not None
        for time in reached:
            tell(time)
    return stream.getvalue()


def test_a_quick_run_shows_nothing() -> None:
    assert told(PATIENCE / 10, 1.0, 2.0, 3.0, 4.0) == ""


def test_a_long_run_shows_the_time_reached_of_all() -> None:
    text = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", told(0.6 * PATIENCE, 1.0, 2.0, 3.5))
    assert "1 of 4 s" not in text, "too soon"
    assert "2 of 4 s" in text
    assert "3.5 of 4 s" in text


def test_the_bar_is_gone_also_after_an_error() -> None:
    stream, ticks = Terminal(), itertools.count()

    def stalls() -> None:
        with shown_progress(4.0, stream, lambda: 2 * PATIENCE * next(ticks)) as tell:
            assert tell is not None
            tell(1.0)
            raise RuntimeError("stalled")

    with pytest.raises(RuntimeError, match="stalled"):
        stalls()
    assert stream.getvalue().endswith("\x1b[2K"), "its line is erased"
    assert "\x1b[?25h" in stream.getvalue(), "the cursor is back"


def test_piped_nobody_is_told() -> None:
    stream = io.StringIO()
    with shown_progress(4.0, stream) as tell:
        assert tell is None
    assert stream.getvalue() == ""
