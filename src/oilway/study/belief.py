"""One number asked for, and what a belief may ask of the machine behind it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from oilway.elements.poppet_seat import PoppetSeat
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.solve.result import State
from oilway.study.controls import Control
from oilway.study.worksheet import Question
from oilway.study.worksheet_solve import Sitting
from oilway.study.worksheet_words import Value

PUMPS = ("fixed pump", "test pump", "pressure-compensated pump", "load-sensing pump")


@dataclass
class Case:
    """One number asked for: where, at which solved state, and what a misconception may change."""

    sitting: Sitting
    question: Question
    words: str
    value: Value
    state: State

    @property
    def machine(self) -> Machine:
        """The machine asked about."""
        return self.state.machine

    @property
    def is_pressure(self) -> bool:
        """Whether one pressure in one chamber is asked for."""
        return self.value.kind == "pressure" and self.value.chamber != ""

    def main(self) -> Control | None:
        """The main relief: the first that acts as one and opens."""
        known = self.sitting.models.controls(self.machine)
        return next((c for c in known if c.acts_as == "relief" and c.mounted is not None), None)

    def again(self, **changed: float) -> Value:
        """The same answer at a point where some parameters differ."""
        return self.sitting.answer(self.question, self.words, more=changed)

    def pump_flow(self) -> float:
        """What all pumps deliver at their outlets, slip taken off (m3/s at 0 psi)."""
        outlets = {(n, p.nodes["outlet"]) for n, p in self.machine.parts.items() if p.kind in PUMPS}
        return sum(
            self.state.at_no_pressure(e.value)
            for chamber, entries in self.state.flows.items()
            for e in entries
            if (e.part, chamber) in outlets
        )

    def passes(self, mounted: Mounted) -> bool:
        """Whether a flow asked for passes a valve as a whole, or the one seat it has."""
        seats = [e.name for e in self.machine.elements.values()
                 if isinstance(e, PoppetSeat) and e.name.startswith(mounted.prefix)]  # fmt: skip
        whole = self.value.part.rpartition("@")[0] == mounted.name
        return whole or (self.value.part in seats and len(seats) == 1)

    def cylinders(self) -> list[str]:
        """The cylinders of the machine."""
        return [name for name, part in self.machine.parts.items() if part.kind == "cylinder"]

    def ends(self) -> list[str]:
        """The chambers at the ends of all cylinders."""
        return [c for name in self.cylinders() for c in self.machine.parts[name].nodes.values()]

    def at_neutral(self) -> bool:
        """Whether there is a lever, and every lever stands in neutral."""
        return bool(self.levers()) and all(self.state.parameter(t) == 0 for t in self.levers())

    def levers(self) -> tuple[str, ...]:
        """The parameters of all levers."""
        return self.machine.axes["lever"].targets if "lever" in self.machine.axes else ()


Rule = Callable[[Case], float | None]


@dataclass(frozen=True)
class Misconception:
    """A belief, what its answer reveals, and its wrong number (SI), or ``None`` where it leads to none."""

    name: str
    reveals: str
    rule: Rule
