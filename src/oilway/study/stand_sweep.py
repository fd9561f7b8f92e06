"""Where to read next on a sweep at the stand, and what is odd about where was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from oilway.study.branches import STANDS
from oilway.study.conditions import FULL, POINTS
from oilway.study.forms import Form

STEPS = POINTS + 2  # places each way: a reading that has to be left out does not spoil the sweep
APART = 0.1  # of the last reading: a place closer to it is passed over
BEYOND = 2.0  # times the flow at which a counterbalance valve counts as open


def ends(form: Form, given: Mapping[str, float]) -> tuple[float, float] | None:
    """First and last place of the swept column (SI); ``None`` while a number that it needs is missing."""
    try:
        if form.name == "relief":
            return given["cracking flow"] * given["rated flow"], given["rated flow"]
        if form.name == "pump flow":
            return given["low pressure"], given["rated pressure"]
        if form.name == "counterbalance":
            return APART * given["opening flow"], BEYOND * given["opening flow"]
        return (0.0, given["rated flow"]) if form.name == "reducing" else None
    except KeyError:
        return None


def places(form: Form, given: Mapping[str, float]) -> list[float]:
    """Places on the way up (SI), closest at the beginning, where a relief's curve bends (common practice)."""
    found = ends(form, given)
    if found is None:
        return []
    low, high = found
    power = 1 if form.name == "pump flow" else 2
    return [low + (high - low) * (k / (STEPS - 1)) ** power for k in range(STEPS)]


def turned(read: Sequence[float], top: float) -> bool:
    """Whether the sweep has been as far as it goes."""
    return max(read, default=0.0) >= FULL * top


def still_to_read(
    on_the_way: Sequence[float], read: Sequence[float], *, both_ways: bool
) -> list[tuple[float, bool]]:
    """Places still to be read after those that were (SI), each with whether it is on the way up.

    >>> still_to_read([1.0, 2.0, 4.0], [1.0, 2.1, 4.0, 1.9], both_ways=True)
    [(1.0, False)]
    """
    if not on_the_way:
        return []
    last, top = read[-1] if read else -1.0, on_the_way[-1]
    down = [(place, False) for place in reversed(on_the_way[:-1])] if both_ways else []
    if turned(read, top):
        return [(place, up) for place, up in down if place < last * (1 - APART)]
    up = [(p, True) for p in on_the_way if not read or p > last * (1 + APART) or (p == top and p > last)]
    return up + down


def out_of_order(read: Sequence[float], top: float, *, both_ways: bool) -> str:
    """What is odd about the last of the places read (SI); nothing, in words, where nothing is.

    >>> out_of_order([1.0, 4.0, 2.0], 10.0, both_ways=True)
    'back on the way up'
    """
    if len(read) < 2:
        return ""
    before, now = read[-2], read[-1]
    slack = STANDS * top
    if not turned(read[:-1], top):
        return "back on the way up" if now < before - slack else ""
    coming_down = both_ways and before < FULL * top
    return "up again on the way down" if coming_down and now > before + slack else ""
