"""Blind recovery: readings of a machine that is not the one in the file, and whether its fault is named.

The machine that is measured differs from its file in everything that has a tolerance (oil temperature, slip, gaps,
settings, loads ...), drawn evenly and not from the bell curve that the inference assumes; its severity lies off
the dictionary's own; its readings carry noise of their own seed.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from oilway.errors import NoSolution
from oilway.model.system import Vector
from oilway.solve.point import rest
from oilway.solve.result import refuse_impossible
from oilway.study.dictionary import Bench, Dictionary
from oilway.study.find import APART, find
from oilway.study.find_readings import Reading
from oilway.study.hypotheses import ALONG, Hypotheses
from oilway.study.tolerances import shifted

NOISE = 0.02
LEAST = {"pressure": 2e4, "flow": 3e-7, "velocity": 1e-6, "rotation": 1 / 240, "temperature": 0.5}
WIDTH = 1.5  # standard deviations: half width of the even spread of each tolerance
SEVERITIES = (0.1, 0.3, 0.5, 0.7, 0.9)


@dataclass
class Outcome:
    """Counts over all cases; ``confused`` (true fault, named first) to how often."""

    cases: int = 0
    tied: int = 0
    first: int = 0
    third: int = 0
    confused: dict[tuple[str, str], int] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)

    @property
    def told(self) -> int:
        """Cases that the readings tell apart from every other cause."""
        return self.cases - self.tied


def measured(
    bench: Bench, changes: dict[str, float], setups: list[int], rng: np.random.Generator, noise: float = NOISE
) -> list[Reading]:
    """All readings on offer at some set-ups, of one machine that differs from its file, with noise."""
    by = rng.uniform(-WIDTH, WIDTH, len(bench.wobbles))
    readings = []
    start: Vector | None = None
    for u in setups:
        th, temperature = bench.theta(bench.setups[u], changes)
        warm = temperature
        for wobble, off in zip(bench.wobbles, by, strict=True):
            th = shifted(bench.machine, th, wobble, temperature, off)
            warm += off * wobble.fixed if wobble.column < 0 else 0.0
        try:
            start, _ = rest(bench.machine, th, start)
            refuse_impossible(bench.machine.system, bench.machine.system.ledger(start, th)[0])
        except NoSolution:
            start = None
            continue  # nobody could read anything there
        shown = bench.panel.read(bench.machine, start, th, warm)
        for r, offer in enumerate(bench.panel.offers):
            if offer.valid(bench.setups[u]):
                spread = float(
                    np.hypot(LEAST[offer.kind], noise * shown[r] if offer.kind != "temperature" else 0.0)
                )
                readings.append(Reading(r, u, float(shown[r] + spread * rng.standard_normal()), spread))
    return readings


def apart(conditions: Hypotheses, fault: int, severity: float, readings: list[Reading]) -> bool:
    """Whether some reading tells this case from every other cause at every severity, by combined spreads."""
    setups, offers = (np.array([getattr(x, k) for x in readings], dtype=int) for k in ("setup", "offer"))
    said = conditions.said(setups, offers)
    own = np.array([x.spread for x in readings])
    variance = own**2 + conditions.spread(offers, said) ** 2 + (said.slope[..., :-ALONG] ** 2).sum(axis=2)
    mine = np.flatnonzero(conditions.fault == fault)
    row = mine[np.argmin(np.abs(conditions.severity[mine] - severity))]
    others = np.flatnonzero((conditions.fault != fault) & said.known)
    distance = np.abs(said.mean[others] - said.mean[row]) / np.sqrt(variance[others] + variance[row])
    far = np.where(said.possible[others], distance.max(axis=1), np.inf)
    return bool(far.min() >= APART)


def blind(
    bench: Bench, dictionary: Dictionary, seed: int, setups: list[int], severities: tuple[float, ...] = SEVERITIES
) -> Outcome:
    """Every fault at every severity, hidden and looked for."""
    rng, out = np.random.default_rng(seed), Outcome()
    conditions = Hypotheses(bench, dictionary)
    for k, fault in enumerate(bench.faults):
        for severity in severities:
            readings = measured(bench, fault.changes(severity), setups, rng)
            out.cases += 1
            if not apart(conditions, k, severity, readings):
                out.tied += 1
                continue
            named = [c.name for c in find(bench, dictionary, readings).causes]
            out.first += named[:1] == [fault.name]
            out.third += fault.name in named[:3]
            if named[:1] != [fault.name]:
                pair = (fault.name, named[0] if named else "none")
                out.confused[pair] = out.confused.get(pair, 0) + 1
                out.missed.append(f"{fault.name} {severity}")
    return out
