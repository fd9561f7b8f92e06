"""The quasi-static march: one input goes through a list of values, friction remembers where parts stood."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from oilway.elements.network import FRICTION
from oilway.model.system import System, Vector
from oilway.solve.result import refuse_impossible
from oilway.solve.steady import steady


def march(
    system: System, th: Vector, parameter: str, values: Iterable[float], start: Vector | None = None
) -> list[Vector]:
    """States z at rest for each value (SI) of a parameter, in order, each started from the one before.

    Dry friction acts: a part moves only when pushed beyond its band, so that the way up and the way down
    differ.  Parts begin on their seats, or where ``start`` leaves them.  Errors: as :func:`steady`.
    """
    return list(marching(system, th, parameter, values, start))


def marching(
    system: System, th: Vector, parameter: str, values: Iterable[float], start: Vector | None = None
) -> Iterator[Vector]:
    """As :func:`march`, one state at a time, for who cannot say beforehand how far to go."""
    th = th.copy()
    th[system.parameters[FRICTION]] = 1.0
    places = [system.parameters[f"{name}.march reference"] for name in system.moving]
    column = system.parameters[parameter]
    z = start
    if z is not None and places:
        th[places] = [status.lift for status in system.ledger(z, th)[1]]
    for value in values:
        th[column] = value
        z = steady(system, th, z)
        terms, statuses, _, _ = system.ledger(z, th)
        refuse_impossible(system, terms)
        th[places] = [status.lift for status in statuses]
        yield z
