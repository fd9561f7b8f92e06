"""Find: which faults explain a few readings, which are ruled out and by what, and whether any explains them at
all.

Every condition of the dictionary is weighed by all readings at once, with the tolerances of the machine shared
among them, any one instrument possibly wrong, and the severity of each fault left open.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from oilway.elements.chamber import DEAD_HEAD
from oilway.model.system import Vector
from oilway.study.dictionary import Bench, Dictionary
from oilway.study.faults import Fault
from oilway.study.find_readings import Reading
from oilway.study.hypotheses import SOUND, Hypotheses
from oilway.study.taken import Taken
from oilway.study.weigh import IMPLAUSIBLE, Weighed, rarity, weigh

RULED_OUT = 0.01  # of the probability: less is told as ruled out
SUSPECT = 0.5  # probability from which an instrument is named
APART = 3.0  # combined standard deviations that tell two causes apart
DEAD_HEADED = DEAD_HEAD.partition(":")[0]


@dataclass(frozen=True)
class Against:
    """The reading that speaks most against a cause: what it would be there, how far off it is in standard
    deviations.
    """

    reading: Reading
    expected: float
    spread: float
    off: float


@dataclass(frozen=True)
class Cause:
    """One cause: ``fault`` (``None``: nothing is wrong with the machine) and its probability.

    ``severity`` the likeliest, ``between`` holds nine tenths; ``rarity`` of a misfit as large, by chance, once a
    wrong instrument is left out;
    ``against`` what speaks most against it; ``condition`` the index of the likeliest condition.
    ``steady`` is False for a gauge that is wrong in no steady way, which has no severity.
    """

    fault: Fault | None
    probability: float
    severity: float
    between: tuple[float, float]
    rarity: float
    against: Against | None
    condition: int
    steady: bool = True

    @property
    def name(self) -> str:
        """The fault as a technician says it."""
        return self.fault.name if self.fault else "nothing is wrong with the machine"


@dataclass
class Found:
    """The answer: causes by probability, those ruled out, instruments that are suspect.

    ``explained`` is False when no single cause does; ``wrong`` the probability of each instrument named in
    readings. ``weights`` (h,) of all conditions and the best wrong instrument of each (``blamed``, 0 for none)
    are kept for the choice of the next test.  ``unsolved`` names the faults that had no state of rest
    somewhere, and why.
    """

    bench: Bench
    readings: list[Reading]
    causes: list[Cause]
    ruled_out: list[Cause]
    explained: bool
    wrong: dict[str, float]
    unsolved: list[str]
    weights: Vector
    blamed: NDArray[np.int_]
    ties: list[list[str]] = field(default_factory=list)

    @property
    def suspects(self) -> list[str]:
        """Instruments that are more likely wrong than right."""
        return [name for name, chance in self.wrong.items() if chance > SUSPECT]


def find(bench: Bench, dictionary: Dictionary, readings: list[Reading]) -> Found:
    """Weigh every single fault by readings.  Takes no solve: all it needs is in the dictionary."""
    conditions = Hypotheses(bench, dictionary)
    taken = Taken(conditions, readings)
    weighed = weigh(taken)
    log = weighed.log + np.log(conditions.prior)
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    causes = _causes(taken, weighed, weights)
    wrong = dict(zip(taken.instruments, map(float, weights @ weighed.wrong), strict=True))
    kept = [c for c in causes if c.probability >= RULED_OUT]
    out = [c for c in causes if c.probability < RULED_OUT]
    explained = any(c.rarity > IMPLAUSIBLE for c in kept)
    found = Found(
        bench, readings, kept, out, explained, wrong, _unsolved(bench, dictionary), weights, weighed.best
    )
    found.ties = _ties(conditions, kept)
    return found


def _causes(taken: Taken, weighed: Weighed, weights: Vector) -> list[Cause]:
    """All causes, the likeliest first; those of no weight by how little they fit."""
    found, conditions, said = [], taken.conditions, taken.said
    for f in range(SOUND, len(conditions.bench.faults)):
        rows = np.flatnonzero(conditions.fault == f)
        possible = rows[said.known[rows]]
        if not len(possible):
            continue
        best = int(possible[np.argmax(weighed.log[possible])])
        misfit = float(weighed.misfit[best]) if said.possible[best] else np.inf
        steady = rows[~conditions.free[rows]]
        found.append(
            Cause(
                None if f == SOUND else conditions.bench.faults[f],
                float(weights[rows].sum()),
                float(conditions.severity[best]),
                _middle(conditions.severity[steady], weights[steady]),
                rarity(misfit, len(taken.readings)) if np.isfinite(misfit) else 0.0,
                _against(taken, best) if said.possible[best] else None,
                best,
                not conditions.free[best],
            )
        )
    return sorted(found, key=lambda c: (-c.probability, -c.rarity))


def _middle(severity: Vector, share: Vector) -> tuple[float, float]:
    """The severities between which nine tenths of the weight lie."""
    if share.sum() <= 0:
        return 0.0, 1.0
    order = np.argsort(severity)
    running = np.cumsum(share[order]) / share.sum()
    low, high = (int(np.searchsorted(running, q)) for q in (0.05, 0.95))
    last = len(order) - 1
    return float(severity[order[min(low, last)]]), float(severity[order[min(high, last)]])


def _against(taken: Taken, best: int) -> Against | None:
    """The reading furthest from what a condition says, each by itself."""
    said, readings = taken.said, taken.readings
    if not readings:
        return None
    total = np.sqrt(taken.spread[best] ** 2 + (said.slope[best] ** 2).sum(axis=1))
    off = taken.values - said.mean[best]
    worst = int(np.argmax(np.abs(off) / total))
    return Against(
        readings[worst], float(said.mean[best, worst]), float(total[worst]), float(off[worst] / total[worst])
    )


def _unsolved(bench: Bench, dictionary: Dictionary) -> list[str]:
    """Faults without a state of rest at some set-ups, each with the reason once."""
    told: dict[tuple[str, str], list[str]] = {}
    for f, _, u, why in dictionary.unsolved:
        name = "the sound machine" if f == SOUND else bench.faults[f].name
        short = DEAD_HEADED if DEAD_HEADED in why else why
        places = told.setdefault((name, short), [])
        if bench.setups[u].name not in places:
            places.append(bench.setups[u].name)
    return [f"{name}: {why}, at: {'; '.join(places)}" for (name, why), places in told.items()]


def _ties(conditions: Hypotheses, causes: list[Cause]) -> list[list[str]]:
    """Groups of causes left that no reading on offer tells apart by :data:`APART` standard deviations."""
    bench = conditions.bench
    pairs = [(u, r) for u, s in enumerate(bench.setups) for r, o in enumerate(bench.panel.offers) if o.valid(s)]
    setups, offers = (np.array(a, dtype=int) for a in zip(*pairs, strict=True))
    rows = [c.condition for c in causes]
    mean = conditions.said(setups, offers, np.array(rows, dtype=int)).mean
    own = bench.panel.spread(offers, mean)
    groups: list[list[int]] = []
    for k in range(len(rows)):
        for group in groups:
            apart = np.abs(mean[k] - mean[group[0]]) / np.hypot(own[k], own[group[0]])
            if apart.max() < APART:
                group.append(k)
                break
        else:
            groups.append([k])
    return [[causes[k].name for k in group] for group in groups if len(group) > 1]
