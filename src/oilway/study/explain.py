"""Explain an operating point: the regime in words, and the ledgers behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from oilway import quantity
from oilway.model.load import LOAD, PUMP
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.solve.stability import Stability, stability
from oilway.study.balance import Balance, balances
from oilway.study.consequences import Felt, consequences, has_actuator

REGIMES = ("below cracking", "just open", "full flow")  # of a relief whose file names no points
BAND = 0.5 * quantity.PSI  # pressures closer than this on the way up and down are shown as one


@dataclass
class Explained:
    """One operating point explained.

    ``falling`` holds chamber pressures (Pa) on falling pressure where dry friction makes them differ: between
    the two a part may stick anywhere.  ``regimes`` pairs each valve with its state in words.
    """

    state: State
    regimes: list[tuple[str, str]]
    stability: Stability
    falling: dict[str, float]
    balances: list[Balance]

    @property
    def limits_broken(self) -> bool:
        """True when an entered limit is exceeded."""
        return bool(self.state.findings)

    @cached_property
    def felt(self) -> Felt | None:
        """What the operator feels, computed when first asked for; none where nothing moves a load."""
        return consequences(self.state) if has_actuator(self.state.machine) else None


def explain(machine: Machine, points: Sequence[dict[str, float]] | None = None) -> list[Explained]:
    """Explain one or many operating points (full parameter name to SI value each), in order.

    Without points, a valve is explained at those its file names, else on the plain stand below cracking, just open
    and at full flow; a machine at the operating point of its file.  Errors: :class:`NoSolution` and
    :class:`ImpossibleCircuit`.
    """
    out: list[Explained] = []
    for point in points or default_points(machine):
        # Each from a stand at rest, so that an answer does not depend on the points asked for before it.
        state = solve_point(machine, point)
        out.append(
            Explained(
                state,
                [(m.name, words(state, m)) for m in machine.mounted],
                stability(machine.system, state.z, state.th),
                _falling(machine, point, state),
                balances(state),
            )
        )
    return out


def default_points(machine: Machine) -> list[dict[str, float]]:
    """The points a valve file names, else three that show the regimes of a relief; a machine file's own point."""
    if machine.points:
        return list(machine.points.values())
    if PUMP not in machine.parts or not machine.mounted:
        return [{}]
    load = f"{LOAD}.load pressure"
    inlet = machine.parts[PUMP].nodes["outlet"]
    full = solve_point(machine, {}).pressures[inlet]
    least = solve_point(machine, {f"{PUMP}.flow": 1e-6 * float(machine.parts[PUMP].values["flow"] or 0.0)})
    begins = least.pressures[inlet]
    flow = float(machine.parts[PUMP].values["flow"] or 0.0)
    return [{load: 0.5 * begins}, {load: begins + 0.5 * (full - begins)}, {f"{PUMP}.flow": flow}]


def named_points(machine: Machine) -> dict[str, dict[str, float]]:
    """Operating points by name: those of the file, or the three regimes of a relief on the plain stand."""
    if machine.points:
        return machine.points
    found = default_points(machine)
    return dict(zip(REGIMES, found, strict=True)) if {PUMP, LOAD} <= set(machine.parts) and found[0] else {}


def _falling(machine: Machine, point: dict[str, float], state: State) -> dict[str, float]:
    dry = [f"{name}.dry friction" for name in machine.system.moving]
    if not any(state.parameter(name) > 0 for name in dry):
        return {}
    other = solve_point(machine, point, state.z, push="shut")
    return {c: p for c, p in other.pressures.items() if abs(p - state.pressures[c]) > BAND}


# -- words -------------------------------------------------------------------------------------------------
def words(state: State, mounted: Mounted) -> str:
    """The state of one valve in words: from its file where it has words for it, else part by part."""
    for candidate in mounted.valve.states:
        if all(state.statuses[mounted.prefix + part].word == word for part, word in candidate.when):
            return " ".join(candidate.say.split())
    own = [s for name, s in state.statuses.items() if name.startswith(mounted.prefix)]
    if not own:
        return "It has no free part: its openings follow the lever."
    sentences = []
    for status in own:
        name = status.part.removeprefix(mounted.prefix)
        if status.word == "seated":
            sentences.append(f"The {name} sits on its seat: what pushes it shut is stronger.")
        elif status.word == "open":
            lift = quantity.show(status.lift, "length", "metric")
            sentences.append(f"The {name} floats {lift} open, where the forces on it balance.")
        else:
            sentences.append(f"The {name} stands fully open against its stop.")
    return " ".join(sentences)


def point_name(machine: Machine, point: dict[str, float]) -> str:
    """The name that a valve file gives to this operating point, or an empty text."""
    return next((name for name, named in machine.points.items() if named == point), "")


def point_words(
    machine: Machine, point: dict[str, float], units: quantity.Units = "shop", *, between: str = "."
) -> str:
    """The operating point in words, values in the units asked for; ``between`` a part and what is set of it."""
    said = []
    for name, value in point.items():
        # A word that could mean several parts says less than the full name.
        word = next((w for w, axis in machine.axes.items() if axis.targets == (name,)), name)
        kind = machine.resolve(word)[1]
        said.append(f"{word.replace('.', between)} {quantity.show(value, kind, units)}")
    return ", ".join(said) or "as in the file"
