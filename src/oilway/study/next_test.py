"""Which single reading next: the information it is expected to give about the cause, per minute it takes.

Source of the measure: expected reduction of entropy, D. V. Lindley, "On a measure of the information provided
by an experiment", Ann. Math. Statist. 27 (1956) 986-1005 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from oilway.model.system import Vector
from oilway.study.dictionary import IMPOSSIBLE, Dictionary
from oilway.study.find import Found
from oilway.study.hypotheses import SOUND, Hypotheses
from oilway.study.taken import WRONG_SHOWS, Taken, common
from oilway.study.weigh import learnt

COUNTS = 1e-3  # weight of a condition from which it takes part
GRID = 121  # values of a reading that are looked at
AT_RISK = 0.02  # share, of all for a fault and of its fault for a severity, from which its dangers count
LEAST_BITS = 0.02  # a reading that is worth less is not proposed
OUT = np.linspace(-4.0, 4.0, 9)  # standard deviations: how far out, and where, each condition has values looked at
TOLD = 3  # proposals


@dataclass(frozen=True)
class Proposal:
    """One reading to take next: indices of set-up and offer, ``bits`` expected, ``minutes``.

    ``would`` holds what each cause left would show: (name, mean, standard deviation), SI, ``None`` without a
    state.
    """

    setup: int
    offer: int
    bits: float
    minutes: float
    would: list[tuple[str, float | None, float]]


@dataclass(frozen=True)
class Refused:
    """A set-up not proposed because it is not safe while ``cause`` is not ruled out, and why."""

    setup: int
    cause: str
    why: str


def proposals(found: Found, dictionary: Dictionary) -> tuple[list[Proposal], list[Refused]]:
    """The readings worth most for their minutes, best first, and the set-ups that are not safe."""
    bench = found.bench
    refused = unsafe(found, dictionary)
    barred = {r.setup for r in refused}
    taken = {(r.setup, r.offer) for r in found.readings}
    pairs = [
        (u, r)
        for u, setup in enumerate(bench.setups)
        for r, offer in enumerate(bench.panel.offers)
        if u not in barred and offer.valid(setup) and (u, r) not in taken
    ]
    if not pairs:
        return [], refused
    after = _predicted(found, dictionary, pairs)
    there = {r.setup for r in found.readings}
    ranked = []
    for k, (u, r) in enumerate(pairs):
        minutes = bench.panel.offers[r].minutes + (0.0 if u in there else bench.setups[u].minutes)
        bits = after.bits(k)
        if bits >= LEAST_BITS:
            ranked.append((bits / minutes, k, minutes, bits))
    ranked.sort(key=lambda item: -item[0])
    # The best reading of each set-up: its neighbours say much the same.
    best = list({pairs[k][0]: (k, minutes, bits) for _, k, minutes, bits in reversed(ranked)}.values())[::-1]
    best.sort(key=lambda item: -item[2] / item[1])
    told = [Proposal(*pairs[k], bits, minutes, after.would(k, found)) for k, minutes, bits in best[:TOLD]]
    return told, refused


@dataclass
class _Predicted:
    """Readings not yet taken, as c conditions left expect them: ``mean`` and ``spread`` (c, n), ``weight``
    (c,), in the order of their ``fault`` (c,).
    """

    mean: Vector
    spread: Vector
    state: NDArray[np.bool_]
    weight: Vector
    fault: NDArray[np.int_]

    def bits(self, k: int) -> float:
        """Expected reduction of the entropy of the cause by reading k."""
        can = self.state[:, k]
        if not can.any():
            return 0.0
        mean, spread, weight, fault = self.mean[can, k], self.spread[can, k], self.weight[can], self.fault[can]
        weight = weight / weight.sum()
        # Where the readings could lie: finer where conditions crowd.
        values = np.sort((mean + OUT[:, None] * spread).ravel())
        grid = np.interp(np.linspace(0, len(values) - 1, GRID), np.arange(len(values)), values)
        grid = grid[np.concatenate([[True], np.diff(grid) > 0])]
        density = np.exp(-0.5 * ((grid - mean[:, None]) / spread[:, None]) ** 2) * (weight / spread)[:, None]
        joint = np.add.reduceat(density, np.flatnonzero(np.diff(fault, prepend=-2)))
        step = np.gradient(grid) if len(grid) > 1 else np.ones(1)
        joint = joint * step
        joint /= joint.sum()
        return float(_entropy(joint.sum(axis=1)) + _entropy(joint.sum(axis=0)) - _entropy(joint.ravel()))

    def would(self, k: int, found: Found) -> list[tuple[str, float | None, float]]:
        """What each cause left would show at reading k."""
        told: list[tuple[str, float | None, float]] = []
        for cause in found.causes:
            index = SOUND if cause.fault is None else found.bench.faults.index(cause.fault)
            rows = np.flatnonzero((self.fault == index) & self.state[:, k])
            if not len(rows):
                told.append((cause.name, None, 0.0))
                continue
            share = self.weight[rows] / self.weight[rows].sum()
            mean = float(share @ self.mean[rows, k])
            square = float(share @ (self.spread[rows, k] ** 2 + (self.mean[rows, k] - mean) ** 2))
            told.append((cause.name, mean, square**0.5))
        return told


def _entropy(share: Vector) -> float:
    """In bits."""
    kept = share[share > 0]
    return float(-(kept * np.log2(kept)).sum())


def _predicted(found: Found, dictionary: Dictionary, pairs: list[tuple[int, int]]) -> _Predicted:
    """What each condition of some weight expects of readings, given those taken."""
    conditions = Hypotheses(found.bench, dictionary)
    taken, panel = Taken(conditions, found.readings), found.bench.panel
    setups, offers = (np.array(a, dtype=int) for a in zip(*pairs, strict=True))
    known = {name: k for k, name in enumerate(taken.instruments)}
    owner = np.array([known.get(panel.offers[r].instrument, -1) for r in offers], dtype=int)
    rows = np.flatnonzero(found.weights > COUNTS)
    rows = rows[np.argsort(conditions.fault[rows], kind="stable")]
    ahead = conditions.said(setups, offers, rows)
    ends = common(panel.ends(offers, ahead.mean), owner, len(known))
    model = conditions.spread(offers, ahead)
    mean, hidden = ahead.mean, np.empty_like(ahead.mean)
    for k, row in enumerate(rows):
        off, covariance = _learnt(taken, int(row), int(found.blamed[row]))
        slope = np.concatenate([ahead.slope[k], ends[k]], axis=1)
        hidden[k] = (slope @ covariance * slope).sum(axis=1)
        mean[k] += slope @ off
    own = np.where(owner >= 0, panel.repeats(offers), 1.0) * panel.spread(offers, mean)
    blamed = (owner >= 0) & (owner == found.blamed[rows, None] - 1)
    spread = np.sqrt(own**2 + model**2 + np.where(blamed, WRONG_SHOWS * mean, 0.0) ** 2 + hidden)
    return _Predicted(
        mean, spread, _has_state(conditions, rows, setups), found.weights[rows], conditions.fault[rows]
    )


def _has_state(conditions: Hypotheses, rows: NDArray[np.int_], setups: NDArray[np.int_]) -> NDArray[np.bool_]:
    found = np.empty((len(rows), len(setups)), dtype=bool)
    for u in np.unique(setups):
        there = conditions.said(np.array([u]), np.array([0]), rows)
        found[:, setups == u] = (there.known & there.possible)[:, None]
    return found


def _learnt(taken: Taken, row: int, blamed: int) -> tuple[Vector, Vector]:
    """What the readings taken say of the tolerances of a condition, and of the instruments."""
    trusted = np.hypot(taken.spread[row], np.where(taken.owner == blamed - 1, taken.wide, 0.0))
    return learnt(taken.said.slope[row], trusted, taken.values - taken.said.mean[row])


def unsafe(found: Found, dictionary: Dictionary) -> list[Refused]:
    """Set-ups in which a condition that is not ruled out would pass a rating, or leave the pump dead-headed.

    Where a reading has been taken the machine has stood already.
    """
    conditions = Hypotheses(found.bench, dictionary)
    been, refused = {r.setup for r in found.readings}, []
    of_fault = np.bincount(conditions.fault + 1, found.weights)[conditions.fault + 1]
    at_risk = np.flatnonzero(
        (of_fault > AT_RISK) & (found.weights > AT_RISK * of_fault) & (conditions.fault != SOUND)
    )
    for u in range(len(found.bench.setups)):
        for row in at_risk if u not in been else ():
            fault, below = int(conditions.fault[row]), int(conditions.below[row])
            why = danger(dictionary, fault, u, (below, below + 1))
            if why:
                refused.append(Refused(u, found.bench.faults[fault].name, why))
                break
    return refused


def danger(dictionary: Dictionary, fault: int, setup: int, severities: tuple[int, ...]) -> str:
    """Why a set-up is not safe with a fault at one of these severities (indices); empty where it is."""
    worst = max(severities, key=lambda s: float(dictionary.strain[fault, s, setup]))
    strain = float(dictionary.strain[fault, worst, setup])
    if dictionary.status[fault, worst, setup] == IMPOSSIBLE:
        return "the pump would be dead-headed, with nothing to relieve it"
    if strain > 1.0:
        return f"{dictionary.strained[fault][worst][setup]} would stand at {100 * strain:.0f} % of its rating"
    return ""
