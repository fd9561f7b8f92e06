"""What straight slopes leave out: machines within their tolerances solved whole, and how far off a slope was.

A relief that is shut in the machine of the file, and open in one like it, passes oil of which no slope at the shut
valve knows.  Taken once, for the sound machine.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from oilway.elements.chamber import VOID
from oilway.errors import NoSolution
from oilway.model.system import Vector
from oilway.solve.result import refuse_impossible
from oilway.solve.steady import steady
from oilway.study.tolerances import shifted

if TYPE_CHECKING:
    from oilway.study.dictionary import Bench
    from oilway.study.setups import Setup

WAYS = 3  # directions tried in each set-up
EMPTY = VOID + 1e3  # Pa absolute: a chamber that stands lower has a void in it
FAR = 2.0  # standard deviations to either side, along each of them


def bends(bench: Bench, starts: list[Vector | None], mean: Vector, slope: Vector) -> Vector:
    """One standard deviation (u, r), SI, of what the slopes of the sound machine leave out of its readings.

    ``starts`` are its states, ``mean`` (u, r) and ``slope`` (u, r, k) its readings.  Tried are the ways in which a
    machine may differ that move its readings most, or fill a void.  The largest departure counts as two standard
    deviations, as a limit of error does.
    """
    found = np.zeros_like(mean)
    for u, (setup, start) in enumerate(zip(bench.setups, starts, strict=True)):
        if start is None:
            continue
        for way in _ways(bench, mean[u], slope[u]):
            for off in (FAR * way, -FAR * way):
                shown = _shown(bench, setup, start, off)
                if shown is not None:
                    found[u] = np.maximum(found[u], np.abs(shown - mean[u] - slope[u] @ off))
    return found / FAR


def _ways(bench: Bench, mean: Vector, slope: Vector) -> Vector:
    """Directions (w, k) of length 1 among the tolerances that move readings most, by what instruments resolve.

    And for each chamber in a void the one that fills it soonest: in a void the pressure hardly moves, but it moves
    with the oil that is lacking.
    """
    spread = bench.panel.spread(np.arange(len(mean)), mean)
    most = np.linalg.svd(slope / spread[:, None], full_matrices=False)[2][:WAYS]
    edge = EMPTY - bench.machine.theta()[bench.machine.system.parameters["oil.p_ambient"]]
    sizes = np.linalg.norm(slope, axis=1)
    empty = [
        bool(o.chamber) and m < edge and s > 0 for o, m, s in zip(bench.panel.offers, mean, sizes, strict=True)
    ]
    return np.concatenate([most, slope[empty] / sizes[empty, None]])


def _shown(bench: Bench, setup: Setup, start: Vector | None, by: Vector) -> Vector | None:
    """All readings of a sound machine so many standard deviations (k,) from its file; ``None`` without a state."""
    machine = bench.machine
    th, temperature = bench.theta(setup, {})
    warm = temperature
    for wobble, off in zip(bench.wobbles, by, strict=True):
        th = shifted(machine, th, wobble, temperature, float(off))
        warm += float(off) * wobble.fixed if wobble.column < 0 else 0.0
    try:
        z = steady(machine.system, th, start)
        refuse_impossible(machine.system, machine.system.ledger(z, th)[0])
    except NoSolution:
        return None
    return bench.panel.read(machine, z, th, warm)
