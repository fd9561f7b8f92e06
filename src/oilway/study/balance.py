"""What the classroom rule leaves out: the balance of an open part, term by term, in psi on its own face.

The rule says that an open part stands where the pressure difference equals its spring ("a 50 psi spring gives
50 psi").  The fuller answer adds what the spring gains with lift, the push of the jet, friction and stops.
"""

from __future__ import annotations

from dataclasses import dataclass

from oilway.elements.face import Face
from oilway.laws.areas import annulus_area
from oilway.solve.result import State

PRESSURE, RULE = "pressure", "spring preload"


@dataclass(frozen=True)
class Balance:
    """The balance of one open part, every term divided by the area of :func:`worth_area` (Pa).

    ``net`` what the pressures on all its faces leave to move it; ``rule`` what the spring's preload alone would
    say; ``terms`` all that holds ``net`` at rest, by label: they sum to ``net``.
    """

    part: str
    area: float
    net: float
    rule: float
    terms: dict[str, float]


def opening_area(state: State, part: str) -> float:
    """Area (m2) by which pressure pushes a moving part open; 0 where none does."""
    total = 0.0
    for element in state.machine.elements.values():
        if isinstance(element, Face) and element.text("on") == part and element.text("pushes") == "open":
            outer, inner = (state.parameter(f"{element.name}.{r}") for r in ("diameter", "inner diameter"))
            total += float(annulus_area(outer, inner))
    return total


def worth_area(state: State, part: str) -> float:
    """Area (m2) that turns the forces on a part into pressure: the face its valve's setting acts on, where the
    file names one on this part, else all faces that open it.  Negative for a face that pushes shut.
    """
    for mounted in state.machine.mounted:
        face = state.machine.elements.get(mounted.prefix + mounted.valve.setting_face)
        if isinstance(face, Face) and face.text("on") == part:
            outer, inner = (state.parameter(f"{face.name}.{r}") for r in ("diameter", "inner diameter"))
            return float(annulus_area(outer, inner)) * (1.0 if face.text("pushes") == "open" else -1.0)
    return opening_area(state, part)


def balances(state: State) -> list[Balance]:
    """The balance of each moving part that is open, in the order of the ledger."""
    found = []
    for part, status in state.statuses.items():
        area = worth_area(state, part)
        if status.word == "seated" or area == 0.0:
            continue
        terms: dict[str, float] = {RULE: 0.0}  # the spring first, then what the rule leaves out
        for entry in state.forces[part]:
            if entry.label != PRESSURE:
                terms[entry.label] = terms.get(entry.label, 0.0) - entry.value / area
        terms = {label: value for label, value in terms.items() if value != 0.0}
        found.append(Balance(part, area, sum(terms.values()), terms.get(RULE, 0.0), terms))
    return found
