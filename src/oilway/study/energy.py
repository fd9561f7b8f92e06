"""The energy of a run: who put it in, what it did, where it became heat, what is held, and what is left over.

Nothing here is a second calculation: powers and energies are the terms of the laws themselves, integrated beside
the states (:class:`oilway.solve.transient.Books`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from oilway.elements.network import CARRIED, PUT_IN, WORK
from oilway.errors import InputError, Place, Problem
from oilway.study.routes import valve_in
from oilway.study.run import Run

LITTLE = 1e-3  # J: less than this turned over is nothing


@dataclass(frozen=True)
class Energy:
    """The balance of a whole run, J.

    ``put_in`` by pumps (each, positive), ``inputs`` by what was changed on the way (an adjuster turned against its
    spring), ``work`` done on loads (each; negative where the load drove), ``heat`` by component, largest first;
    ``carried`` into tanks under pressure, ``gained`` by what holds energy (negative: given back).
    """

    put_in: dict[str, float]
    inputs: float
    work: dict[str, float]
    heat: dict[str, float]
    carried: float
    gained: dict[str, float]

    @property
    def sides(self) -> tuple[float, float]:
        """What came in or was given back, and what went out or was taken up, J; equal but for errors."""
        given = [*self.put_in.values(), self.inputs]
        taken = [*self.work.values(), *self.heat.values(), self.carried, *self.gained.values()]
        entries = [-value for value in given] + taken
        return -sum(value for value in entries if value < 0), sum(value for value in entries if value > 0)

    @property
    def left_over(self) -> float:
        """Energy that the balance does not account for: too much that came in, positive."""
        came, went = self.sides
        return came - went

    @property
    def error(self) -> float:
        """What is left over as a share of what was turned over."""
        turned = max(self.sides)
        return abs(self.left_over) / turned if turned > LITTLE else 0.0


def energy_of_run(run: Run) -> Energy:
    """The energy balance of a run.  Errors: :class:`InputError` for a run made without its books of energy."""
    books = run.course.books
    if books is None:
        raise InputError(Problem(Place("run"), "this run was made without its books of energy", "run it anew"))
    sums: dict[str, dict[str, float]] = {}
    for (sort, part), value in books.spent.items():
        # What happens inside a valve is told of the valve.
        valve = valve_in(run.machine, part)
        name = valve.name if valve is not None else part
        book = sums.setdefault(sort, {})
        book[name] = book.get(name, 0.0) + value
    put_in = {name: -value for name, value in sums.get(PUT_IN, {}).items()}
    carried = sum(sums.get(CARRIED, {}).values())
    heat = dict(sorted(sums.get("heat", {}).items(), key=lambda item: -item[1]))
    return Energy(put_in, books.inputs, sums.get(WORK, {}), heat, carried, dict(books.gained))


def groups(energy: Energy) -> Mapping[str, Mapping[str, float]]:
    """The balance as groups of named amounts (J), in the order in which it is told."""
    return {
        "put in": energy.put_in | ({"inputs changed on the way": energy.inputs} if energy.inputs else {}),
        "work on loads": energy.work,
        "heat": energy.heat,
        "carried into tanks": {"oil under pressure": energy.carried} if energy.carried else {},
        "held more than at the beginning": energy.gained,
    }
