"""Where the oil of a chamber goes: its flow ledger followed, passage by passage, to where it ends."""

from __future__ import annotations

from dataclasses import dataclass

from oilway.elements.network import MOVES
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.solve.result import Entry, State

LEAST = 1e-3  # of what leaves the chamber: smaller shares are not followed
NOTABLE = 0.1  # of the pressure lost on the way: what takes less only leads the oil there
DISPLACES = "displacement x speed"  # law of a motor whose shaft carries the oil through


@dataclass(frozen=True)
class Route:
    """One way oil leaves a chamber: the ``parts`` that hold it back, in order, and where it ends.

    ``flow`` in m3/s counted at 0 psi gauge; ``share`` of all that leaves the chamber.  A relief or other valve
    with an adjuster counts as one part.
    """

    parts: tuple[str, ...]
    end: str
    flow: float
    share: float


def routes_of_pump(state: State, pump: str, outlet: str) -> list[Route]:
    """The ways the oil goes that a pump brings into its outlet chamber, largest first."""
    brought = sum(e.value for e in state.flows.get(outlet, []) if e.part == pump and e.value > 0)
    return _routes(state, outlet, _leaving(state, outlet), (), brought)


def routes(state: State, start: str, ends: tuple[str, ...] = (), beside: str = "") -> list[Route]:
    """The ways oil leaves the chamber ``start``, largest first.

    A way ends in a tank, in a chamber among ``ends``, or with a part whose motion takes the oil up.  Where ways
    meet, the oil is shared out as the ledger of the chamber shares it.  What the motion of the part ``beside``
    itself carries away is left out.
    """
    first = [e for e in _leaving(state, start) if not (e.part == beside and moves(e))]
    return _routes(state, start, first, ends, sum(e.value for e in first))


def _routes(state: State, start: str, first: list[Entry], ends: tuple[str, ...], total: float) -> list[Route]:
    found: dict[tuple[tuple[str, ...], str], float] = {}
    if first and total > 0:
        _follow(state, start, first, 1.0, (start,), [], ends, found)
    return [
        Route(parts, end, state.at_no_pressure(share * total), share)
        for (parts, end), share in sorted(found.items(), key=lambda item: -item[1])
    ]


def moves(entry: Entry) -> bool:
    """True where oil is taken along by a motion, not driven through an opening."""
    return entry.other == MOVES or entry.law == DISPLACES


def valve_of(state: State, part: str) -> Mounted | None:
    """The innermost mounted valve that holds a part; none for a part of the machine itself."""
    return valve_in(state.machine, part)


def valve_in(machine: Machine, part: str) -> Mounted | None:
    """The same, of a machine."""
    around = [m for m in machine.mounted if m.prefix and part.startswith(m.prefix)]
    return max(around, key=lambda m: len(m.prefix), default=None)


def called(state: State, part: str) -> str:
    """A part by its name; one inside a valve with an adjuster by the name of that valve."""
    valve = valve_of(state, part)
    return valve.name if valve is not None and valve.adjuster else part


def _leaving(state: State, chamber: str) -> list[Entry]:
    """What leaves a chamber, kg/s positive."""
    entries = state.flows.get(chamber, [])
    return [Entry(e.label, e.part, e.law, -e.value, e.other) for e in entries if e.value < 0 and e.other]


def _follow(
    state: State,
    here: str,
    leaving: list[Entry],
    share: float,
    seen: tuple[str, ...],
    passed: list[tuple[str, float]],
    ends: tuple[str, ...],
    found: dict[tuple[tuple[str, ...], str], float],
) -> None:
    total = sum(e.value for e in leaving)
    for entry in leaving:
        part = share * entry.value / total
        if part < LEAST:
            continue
        if entry.other == MOVES:
            _end(state, passed, entry.part, part, found)
            continue
        there = entry.other
        way = [*passed, (entry.part, state.pressures[here] - state.pressures[there])]
        onward = [] if there in seen or there in ends else _leaving(state, there)
        if onward and state.machine.parts[there].kind != "tank":
            _follow(state, there, onward, part, (*seen, there), way, ends, found)
        else:
            _end(state, way, there, part, found)


def _end(
    state: State,
    passed: list[tuple[str, float]],
    end: str,
    share: float,
    found: dict[tuple[tuple[str, ...], str], float],
) -> None:
    lost = sum(max(drop, 0.0) for _, drop in passed)
    kept = [part for part, drop in passed if drop >= NOTABLE * lost]
    parts = tuple(dict.fromkeys(called(state, part) for part in kept))
    found[parts, end] = found.get((parts, end), 0.0) + share
