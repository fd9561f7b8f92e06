"""The worked reasoning of a key: the state, its pressures, the ledgers of what is open, the laws behind them."""

from __future__ import annotations

from typing import Any

from oilway import quantity
from oilway.quantity import Units
from oilway.solve.result import Entry, State
from oilway.study.explain import point_words, words
from oilway.study.law_words import LAWS
from oilway.study.worksheet_solve import FINEST, Item

LITTLE = 1e-4  # share of the largest line of a ledger: less is left out of the print


def reasons(state: State, asked: list[Item], units: Units) -> dict[str, Any]:
    """A state as plain data: what was said, regimes in words, pressures, force ledgers, flow ledgers, laws."""
    forces = {name: entries for name, entries in state.forces.items()
              if name in state.statuses and state.statuses[name].word != "seated"}  # fmt: skip
    chambers = _chambers(state, asked)
    flows = {name: state.flows[name] for name in chambers if _balanced(state, name)}
    shown = [e for entries in (*forces.values(), *flows.values()) for e in _largest(entries)]
    return {
        "at": point_words(state.machine, state.point, units, between=" "),
        "words": [
            f"{m.name}: {words(state, m)}"
            for m in state.machine.mounted
            if any(m.holds(part) for part in state.statuses)
        ],
        "pressures": [[name, quantity.show(p, "pressure", units)] for name, p in state.pressures.items()],
        "forces": [_forces(state, name, entries, units) for name, entries in forces.items()],
        "flows": [_flows(state, name, entries, units) for name, entries in flows.items()],
        "laws": list(dict.fromkeys(f"{e.law}: {LAWS[e.law].form}" for e in shown if e.law in LAWS)),
    }


def _chambers(state: State, asked: list[Item]) -> list[str]:
    """The chambers that the questions speak of: asked themselves, or at an end of a part asked for."""
    found: list[str] = []
    for item in asked:
        if item.chamber:
            found.append(item.chamber)
        for words_ in item.words.replace(" less ", "|").replace(" plus ", "|").replace(" | ", "|").split("|"):
            name = words_.partition(" of ")[2] or words_.partition(" through ")[2] or words_.partition(" over ")[2]
            names = (name, *(m.prefix + name for m in state.machine.mounted))
            part = next((state.machine.parts[n] for n in names if n in state.machine.parts), None)
            if part is not None and part.nodes:
                found.append(next(iter(part.nodes.values())))
    return list(dict.fromkeys(found))


def _balanced(state: State, chamber: str) -> bool:
    """Whether what comes in has to go out: a tank takes the difference; where nothing moves, nothing is told."""
    part = state.machine.parts.get(chamber)
    return (part is None or part.kind != "tank") and any(e.value for e in state.flows.get(chamber, []))


def _largest(entries: list[Entry]) -> list[Entry]:
    most = max((abs(e.value) for e in entries), default=0.0)
    return [e for e in entries if abs(e.value) > LITTLE * most]


def _forces(state: State, name: str, entries: list[Entry], units: Units) -> dict[str, Any]:
    status = state.statuses[name]
    return {
        "part": name,
        "stands": f"{status.word}, lift {quantity.show(status.lift, 'length', units)}",
        "terms": [[_called(e, entries), quantity.show(e.value, "force", units)] for e in _largest(entries)],
        "sum": quantity.show(_closed(sum(e.value for e in entries), "force"), "force", units),
    }


def _flows(state: State, name: str, entries: list[Entry], units: Units) -> dict[str, Any]:
    counted = [(e, state.at_no_pressure(e.value)) for e in _largest(entries)]
    return {
        "chamber": name,
        "terms": [[_called(e, [o for o, _ in counted]), quantity.show(q, "flow", units)] for e, q in counted],
        "sum": quantity.show(_closed(state.at_no_pressure(sum(e.value for e in entries)), "flow"), "flow", units),
    }


def _called(entry: Entry, beside: list[Entry]) -> str:
    """What a line of a ledger is: its part, and its law where the part has two lines."""
    name = entry.part if entry.label in ("", entry.part) else f"{entry.label}, {entry.part}"
    twice = sum((e.part, e.label) == (entry.part, entry.label) for e in beside) > 1
    return f"{name} ({entry.law})" if twice else name


def _closed(value: float, kind: str) -> float:
    """A sum that closes, without the last digits of its rounding."""
    return 0.0 if abs(value) < 1e-3 * FINEST[kind] else value


def answer_words(item: Item, units: Units) -> str:
    """The key in words."""
    if isinstance(item.key, float):
        return quantity.show(item.key, item.quantity, units)
    return " → ".join(item.key) if isinstance(item.key, tuple) else item.key


def tolerance_words(item: Item, units: Units) -> str:
    """How near counts, in words."""
    if item.kind != "number":
        return ""
    digits = None if item.quantity == "pressure" else 3
    full, half = (quantity.show(size, item.quantity, units, digits) for size in (item.tolerance, item.half))
    return f"± {full} full marks, ± {half} half"
