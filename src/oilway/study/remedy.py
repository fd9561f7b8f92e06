"""What would prove a reading that its doubt leaves open: which gauge or meter, or a reading nearer the middle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from oilway.quantity import PSI, Units, show
from oilway.study.figure import TURNED, Figure, Term
from oilway.study.instruments import CLASSES
from oilway.study.readings import Limit, Readings

# Ranges of gauges met in the trade, psi and bar. Source, from memory: EN 837-1 and common practice.
SPANS = tuple(p * PSI for p in (300, 600, 1000, 1500, 2000, 3000, 5000, 6000, 10000))
PLACE = (0.5, 0.75)  # of the span: where a setting is read best (common practice)
HALVINGS = 40
SPARE = 0.8  # of the room left: a gauge that is just good enough for one reading is none for the next


def room(value: float, limit: Limit) -> float:
    """The doubt (SI) below which a verdict would be reached: the way to the nearest limit."""
    return min(abs(value - end) for end in (limit.low, limit.high) if end is not None)


def half_band(limit: Limit) -> float:
    """Half the width between the limits; endless for a limit on one side."""
    return math.inf if limit.low is None or limit.high is None else (limit.high - limit.low) / 2


def remedies(figure: Figure, limit: Limit, readings: Readings) -> Iterator[str]:
    """What to try for one figure, the doubt that weighs most first."""

    def said(value: float) -> str:
        return readings.show(value, figure.kind)

    doubt, wanted, widest = figure.uncertainty, room(figure.value, limit), half_band(limit)
    largest = figure.largest()
    if doubt >= widest:
        yield (
            f"with these instruments no reading is ever accepted: U of {said(doubt)} is not "
            f"smaller than half the limits, {said(widest)}; rejected beyond "
            f"{said((limit.low or 0) - doubt)} and {said((limit.high or 0) + doubt)}"
        )
    if largest is not None:
        yield _better(figure, largest, wanted, readings)
    if doubt < widest:
        ends = [
            f"at least {said(limit.low + doubt)}" if limit.low is not None else "",
            f"at most {said(limit.high - doubt)}" if limit.high is not None else "",
        ]
        yield "or a reading that leaves room for U: " + " and ".join(end for end in ends if end)


def _better(figure: Figure, largest: Term, wanted: float, readings: Readings) -> str:
    column = largest.source.partition(",")[0]
    if largest.scatter:
        return "the readings scatter most: steadier rows, or more repeats"
    instrument = readings.instruments.get(column)
    if instrument is None:
        return f"{largest.source} weighs most"
    if largest.source.endswith(TURNED):
        return f"how far the gauge on {column} itself reads apart rising and falling: enter its own 'hysteresis'"
    if "," in largest.source:
        step = readings.show(instrument.reads_to, instrument.kind)
        return f"the gauge on {column} is read too coarsely: read it in finer steps than {step} ('reads to')"
    share = _share(figure, column, SPARE * wanted)
    if share is None:
        left = readings.show(wanted, figure.kind)
        return f"no better instrument on {column} alone will do: the rest of U is larger than {left}"
    own = instrument.limit(figure.value if instrument.kind == figure.kind else instrument.high)
    needed = share * own
    if instrument.kind != "pressure" or figure.kind != "pressure":
        return (
            f"{column} weighs most: an instrument with {share:.0%} of its limit of error would do, such as a "
            "smaller range or a measuring vessel for a small flow"
        )
    return _gauge(readings, column, figure.value, needed)


def _share(figure: Figure, column: str, wanted: float) -> float | None:
    """Largest share of a column's limits of error that brings the doubt down to ``wanted``."""

    def doubt(share: float) -> float:
        terms = [Term(t.source, t.size * (share if t.source == column else 1.0), t.scatter) for t in figure.terms]
        return Figure(figure.name, figure.kind, figure.value, terms, "").uncertainty

    if doubt(0.0) >= wanted:
        return None
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if doubt(middle) <= wanted else (low, middle)
    return low


def _gauge(readings: Readings, column: str, value: float, needed: float) -> str:
    """Class and span of gauges that are good enough."""
    needed, instrument = needed * (1 + 1e-9), readings.instruments[column]
    found = []
    fitting = [span for span in SPANS if PLACE[0] <= value / span <= PLACE[1]]
    for span in dict.fromkeys([instrument.span, *fitting]):
        fit = [size for size in CLASSES if size / 100 * span <= needed]
        if fit:
            limit = readings.show(max(fit) / 100 * span, "pressure")
            found.append(f"class {max(fit):g} on 0 to {readings.show(span, 'pressure')} (± {limit})")
    if not found:
        closest = readings.show(needed, "pressure")
        return f"the reading lies within {closest} of a limit: no usual gauge on {column} tells that"
    return f"a gauge on {column} of {' or of '.join(found)} would do"


def expected_at_full_flow(value: float, slope: float, at: float, rated: float, units: Units = "shop") -> str:
    """What would be read at full flow if the slope seen last went on: an indication, no reading.

    Trade arithmetic: 3000 psi at 8 gpm and 20 psi/gpm make 3320 psi at 24 gpm.

    >>> from oilway import quantity
    >>> gpm = quantity.parse("1 gpm", "flow")
    >>> expected_at_full_flow(3000 * PSI, 20 * PSI / gpm, 8 * gpm, 24 * gpm)
    '3320 psi at 24.00 gpm if the slope seen goes on (20.0 psi/gpm): an indication, no reading'
    """
    there = show(value + slope * (rated - at), "pressure", units)
    said = show(slope, "gradient", units)
    return f"{there} at {show(rated, 'flow', units)} if the slope seen goes on ({said}): an indication, no reading"
