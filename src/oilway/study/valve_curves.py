"""The pressure-flow curve of every relief in a machine, and the channels of the point that walks along it."""

from __future__ import annotations

from dataclasses import dataclass

from oilway.errors import InputError
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.mount import Mounted
from oilway.solve.result import State
from oilway.study.curve import Curve, relief_curve
from oilway.study.setting import put_on_stand

RELIEFS = ("relief", "port relief")


@dataclass(frozen=True)
class ValveCurve:
    """A curve, and where the machine stands on it.

    ``pressure`` is the channel of the inlet pressure; the sum of the channels ``flows``, which count into the
    inlet chamber, is the flow over the valve with its sign turned.  ``adjuster`` is a parameter, or empty.
    """

    valve: str
    adjuster: str
    curve: Curve
    pressure: str
    flows: list[str]


class Benches:
    """The reliefs of a machine, each on the stand on which it is set; built once, asked again and again."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._stands: dict[str, Machine] = {}

    def curves(self, state: State) -> list[ValveCurve]:
        """Curves of all reliefs with the internals and the oil that they have at a state, one after the other.

        Valves that are not set by the flow of a test pump have none.  Errors: :class:`NoSolution`.
        """
        found, adjusters = [], set()
        for mounted in self.machine.mounted:
            # An adjuster shared with a valve inside counts once, for the outer one, which stands first.
            if mounted.valve.acts_as not in RELIEFS or mounted.adjuster in adjusters:
                continue
            adjusters.add(mounted.adjuster)
            stand = self._stand(mounted)
            try:
                curve = relief_curve(stand, point=_as_on(stand, mounted, state))
            except InputError:
                continue
            inlet = mounted.at("inlet", "work port")
            entries = enumerate(state.flows.get(inlet, []))
            flows = [f"into:{inlet}#{i}" for i, entry in entries if mounted.holds(entry.part)]
            adjuster = f"{mounted.adjuster}.turns" if mounted.adjuster else ""
            found.append(ValveCurve(mounted.name, adjuster, curve, f"pressure:{inlet}", flows))
        return found

    def _stand(self, mounted: Mounted) -> Machine:
        if mounted.name not in self._stands:
            self._stands[mounted.name] = put_on_stand(self.machine, mounted)
        return self._stands[mounted.name]


def _as_on(stand: Machine, mounted: Mounted, state: State) -> dict[str, float]:
    """What was changed inside the valve, and the oil, as an operating point of its stand."""
    point = {OIL_TEMPERATURE: state.point.get(OIL_TEMPERATURE, state.machine.temperature)}
    for name, value in state.point.items():
        own = name.removeprefix(mounted.prefix)
        if mounted.holds(name) and own in stand.system.parameters:
            point[own] = value
    return point
