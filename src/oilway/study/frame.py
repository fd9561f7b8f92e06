"""A solved state as one row of numbers with fixed columns: what a picture, a page or a lesson is painted from.

A machine has the same columns ("channels") at every operating point, so that a picture binds to them once and
is then repainted from numbers alone, by the server, from a table inside a file, or for print.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from oilway.solve.result import Entry, State
from oilway.study.explain import words

SIZED = ("orifice", "check valve", "shuttle")  # kinds whose bore is a channel


@dataclass(frozen=True)
class Channel:
    """One column: ``name`` such as ``pressure:pump line``, the quantity kind of its SI values, and its label.

    The label and the law say what a line of a ledger is; they are empty where the name says all.
    """

    name: str
    kind: str
    label: str = ""
    law: str = ""


@dataclass
class Frame:
    """One state: ``values`` SI in the order of :func:`channels`, and what is said of it.

    ``statuses`` seated, open or at its stop by moving part; ``words`` by mounted valve; ``findings`` as pairs of
    part and text.
    """

    point: dict[str, float]
    values: list[float]
    statuses: dict[str, str]
    words: dict[str, str]
    findings: list[tuple[str, str]] = field(default_factory=list)


def frame(state: State) -> Frame:
    """The row of a solved state.  Its channels: :func:`channels` of the same state."""
    return Frame(
        dict(state.point),
        [value for _, value in _columns(state)],
        {name: s.word for name, s in state.statuses.items()},
        {m.name: words(state, m) for m in state.machine.mounted},
        [(f.part, str(f)) for f in state.findings],
    )


def channels(state: State) -> list[Channel]:
    """The columns of :func:`frame`, the same at every operating point of one machine.

    ``pressure:CHAMBER``; ``lift:PART`` of moving parts; ``share:PART``, lift over travel; ``flow:PART`` m3/s
    counted at 0 psi, from the chamber at its first port into the part, and ``flow:PART@PORT`` for each port of a
    cylinder, of a part that has more than two, and of a mounted valve; ``compression:SPRING`` and
    ``turns:SPRING``; ``size:PART``, bore of an orifice, a check valve or a shuttle (m); ``position:PART`` of
    cylinders (m) and levers (-1 to 1); ``rotation:PUMP`` (rev/s); ``speed:PART`` of cylinders; ``reading:GAUGE``;
    and each line of a ledger: ``force:PART#0``, ``torque:SHAFT#0``, ``into:CHAMBER#0`` (m3/s at 0 psi),
    ``power#0``.
    """
    return [channel for channel, _ in _columns(state)]


def _columns(state: State) -> list[tuple[Channel, float]]:
    return [
        *((Channel(f"pressure:{c}", "pressure"), p) for c, p in state.pressures.items()),
        *_moving(state),
        *_flows(state),
        *_through_valves(state),
        *_settings(state),
        *((Channel(f"speed:{c}", "velocity"), v) for c, v in state.velocities.items()),
        *((Channel(f"reading:{g}", kind), value) for g, (kind, value) in state.readings.items()),
        *_ledger("force", "force", state.forces.items()),
        *_ledger("torque", "torque", state.torques.items()),
        *((c, state.at_no_pressure(v)) for c, v in _ledger("into", "flow", state.flows.items())),
        *((Channel(f"power#{i}", "power", e.part, e.label), e.value) for i, e in enumerate(state.power)),
    ]


def _moving(state: State) -> Iterable[tuple[Channel, float]]:
    for name, status in state.statuses.items():
        yield Channel(f"lift:{name}", "length"), status.lift
        yield Channel(f"share:{name}", "ratio"), status.lift / status.travel


def _flows(state: State) -> Iterable[tuple[Channel, float]]:
    """Flow from a chamber into a part, port by port; ports in the same chamber share their flow."""
    for name, part in state.machine.parts.items():
        ports = {port: chamber for port, chamber in part.nodes.items() if chamber in state.flows}
        if part.kind in ("chamber", "tank", "face", "gauge") or len(ports) < 2:
            continue
        flows = {
            port: state.at_no_pressure(-sum(e.value for e in state.flows[chamber] if e.part == name))
            for port, chamber in ports.items()
        }
        yield Channel(f"flow:{name}", "flow"), next(iter(flows.values()))
        if len(flows) > 2 or part.kind == "cylinder":  # its two ends take and give different flows
            yield from ((Channel(f"flow:{name}@{port}", "flow"), q) for port, q in flows.items())


def _through_valves(state: State) -> Iterable[tuple[Channel, float]]:
    """Flow into mounted valves, port by port; ports of one valve in the same chamber share their flow."""
    for mounted in state.machine.mounted:
        for port in mounted.valve.ports.values():
            chamber = mounted.outside[port.chamber]
            if chamber in state.flows:
                into = -sum(e.value for e in state.flows[chamber] if mounted.holds(e.part))
                yield Channel(f"flow:{mounted.name}@{port.name}", "flow"), state.at_no_pressure(into)


def _settings(state: State) -> Iterable[tuple[Channel, float]]:
    """Where springs, adjusters, cylinders and levers stand, how fast pumps turn, how wide a restriction is."""
    for name, part in state.machine.parts.items():
        if part.kind in SIZED:
            yield Channel(f"size:{name}", "length"), state.parameter(f"{name}.diameter")
        if part.kind == "spring":
            turns, lift = state.parameter(f"{name}.turns"), state.statuses[str(part.values["on"])].lift
            screwed = state.parameter(f"{name}.compression") + state.parameter(f"{name}.pitch") * turns
            away = lift if part.values["pushes"] == "shut" else -lift
            yield Channel(f"compression:{name}", "length"), screwed + away
            yield Channel(f"turns:{name}", "turns"), turns
        elif part.kind in ("cylinder", "lever"):
            kind = "length" if part.kind == "cylinder" else "number"
            yield Channel(f"position:{name}", kind), state.parameter(f"{name}.position")
        elif "engine speed" in part.values:
            yield Channel(f"rotation:{name}", "rotation"), state.parameter(f"{name}.engine speed")


def _ledger(sort: str, kind: str, books: Iterable[tuple[str, list[Entry]]]) -> Iterable[tuple[Channel, float]]:
    for place, entries in books:
        for i, entry in enumerate(entries):
            label = entry.label if sort != "into" else entry.part
            yield Channel(f"{sort}:{place}#{i}", kind, label, entry.law), entry.value
