"""A test sheet to be read: a relief's curve at a few flows, rounded to what a gauge shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from oilway import quantity
from oilway.errors import InputError, QuantityError
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.study.curve import Curve, relief_curve
from oilway.study.setting import put_on_stand
from oilway.study.worksheet import Question
from oilway.study.worksheet_solve import Sitting, Wrong, refuse

POINTS = 24  # of the march behind the sheet
FIGURES = ("full-flow pressure", "cracking pressure", "override", "reseating pressure", "hysteresis")
READS_TO = "10 psi"


@dataclass
class TableSheet:
    """Flows (m3/s) and rounded pressures (Pa) going up and coming down; ``doubt`` of one reading (Pa)."""

    valve: str
    flows: list[float]
    rising: list[float]
    falling: list[float]
    doubt: float

    def figure(self, name: str) -> float:
        """A figure (Pa) as it is read off the table: the first row counts as cracked, the last is full flow."""
        half = len(self.flows) // 2
        return {
            "full-flow pressure": self.rising[-1],
            "cracking pressure": self.rising[0],
            "reseating pressure": self.falling[0],
            "override": self.rising[-1] - self.rising[0],
            "hysteresis": self.rising[half] - self.falling[half],
        }[name]

    def wrong(self, name: str, tolerance: float) -> list[Wrong]:
        """The wrong figures that misconceptions read off this table."""
        key = self.figure(name)
        rules: dict[str, tuple[str, str, str]] = {
            "full-flow pressure": ("cracking pressure", "cracking = setting", CRACKING),
            "cracking pressure": ("full-flow pressure", "cracking = setting", CRACKING),
            "reseating pressure": ("cracking pressure", "reseats where it cracked", RESEATS),
        }
        if name not in rules:
            return []
        other, called, reveals = rules[name]
        value = self.figure(other)
        return [Wrong(called, reveals, value)] if abs(value - key) > tolerance else []

    def wrong_verdict(self, bare: str, key: str) -> list[Wrong]:
        """The verdict that one gives who leaves the doubt of the gauge out."""
        return [Wrong("a gauge reads exactly", EXACT, bare)] if bare != key else []


CRACKING = "Takes the pressure at which it just opens for the pressure it is set to at full flow."
RESEATS = "Leaves friction out: on the way down it shuts lower than it opened."
EXACT = "Leaves the doubt of the gauge out: a reading near a limit proves nothing."


def valve_of(question: Question, machine: Machine) -> Mounted:
    """The valve a question names, or the first one with a setting."""
    name = question.texts.get("valve", "")
    found = [m for m in machine.mounted if (m.name == name if name else m.setting is not None)]
    if not found:
        known = ", ".join(m.name for m in machine.mounted)
        raise refuse(question, f"there is no valve '{name}' with a setting", f"known here: {known}")
    return found[0]


def curve_of(sitting: Sitting, question: Question, flows: list[float] | None = None) -> Curve:
    """The curve of the valve of a question on its stand, at the student's setting; flows in m3/s."""
    machine = sitting.machine(question)
    mounted, words = valve_of(question, machine), _texts(sitting, question.map("set"))
    key = (id(machine), mounted.name, *sorted(words.items()), *(flows or ()))
    return sitting.models.curve(key, lambda: _taken(question, machine, mounted, words, flows))


def _taken(
    question: Question, machine: Machine, mounted: Mounted, words: dict[str, str], flows: list[float] | None
) -> Curve:
    stand = machine if mounted.prefix == "" and not mounted.valve.stand.items else put_on_stand(machine, mounted)
    try:
        point = stand.point_from(words)
        full, cracked = (flows[-1], flows[0]) if flows else (None, None)
        return relief_curve(stand, flow=full, cracked_flow=cracked, points=POINTS, point=point)
    except InputError as err:
        raise refuse(question, str(err.problems[0].what), err.problems[0].hint) from None


def _texts(sitting: Sitting, texts: Mapping[str, str]) -> dict[str, str]:
    return {word: sitting.fill(text) for word, text in texts.items()}


def table_sheet(sitting: Sitting, question: Question) -> TableSheet:
    """The sheet of a question.  Errors: :class:`InputError` for flows or a gauge that cannot be read."""
    try:
        flows = [quantity.parse(sitting.fill(text), "flow") for text in question.lists.get("flows", ())]
        step = quantity.parse(question.texts.get("reads to", READS_TO), "pressure")
        doubt = _doubt(sitting.fill(question.texts.get("gauge", "")))
    except QuantityError as err:
        raise refuse(question, err.what, err.hint) from None
    if len(flows) < 3 or sorted(set(flows)) != flows or flows[0] <= 0:
        raise refuse(question, "flows: three or more, rising, above zero", "flows: [0.2 gpm, 9 gpm, 18 gpm]")
    curve = curve_of(sitting, question, flows)
    rising, falling = (
        [round(curve.at(branch, q) / step) * step for q in flows] for branch in (curve.rising, curve.falling)
    )
    return TableSheet(curve.name, flows, rising, falling, doubt)


def _doubt(text: str) -> float:
    """The doubt (Pa) of a gauge: '1.6 % of 4000 psi'; zero for none."""
    if not text:
        return 0.0
    share, of, span = text.partition(" of ")
    if not of:
        raise QuantityError(f"'{text}' is no class of a gauge", "write '1.6 % of 4000 psi'")
    return quantity.parse(share, "ratio") * quantity.parse(span, "pressure")
