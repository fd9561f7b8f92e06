"""Trials of ``fit``: readings of a direct-acting relief with known insides and 1 % noise, rising and falling."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

import oilway
from oilway.model.machine import Machine
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.study.fit import fit
from oilway.study.instruments import Accuracy, Instrument
from oilway.study.rows import Table
from oilway.study.setting import on_setting_stand

NOISE = 0.01
TRUTH = {
    "main spring.turns": 4.2,
    "main spring.rate": 430e3,  # N/m
    "seat.worn gap": 6e-6,  # m
    "poppet.dry friction": 40.0,  # N
    "seat.discharge coefficient": 0.72,
}
PSI = 6894.757
GAUGE = Instrument(
    "P", "pressure", 0.0, 5000 * PSI, "0 to 5000 psi", Accuracy("1 % of span", "span", (0.01,)), 10 * PSI, 10 * PSI
)
GPM = 231 * 0.0254**3 / 60
FLOWS = np.concatenate([np.geomspace(0.1, 1.0, 6), np.linspace(2.0, 18, 9)]) * GPM


@dataclass
class Trials:
    """Of so many trials, the share in which each internal lay within its 95 % interval; processor time (s) of the
    slowest fit.
    """

    count: int
    inside: dict[str, float]
    slowest: float


def readings(
    machine: Machine,
    truth: dict[str, float],
    flows: np.ndarray,
    noise: float,
    seed: int,
    *,
    turned: bool = True,
    gauge: Instrument | None = None,
) -> Table:
    """A table of Q and P on the stand of a valve, rising then falling, with noise of a seed.

    ``turned``: up once more with the adjuster a turn further in.  With a ``gauge`` the pressures carry its error,
    a line over its scale drawn once, and what each reading adds, in place of ``noise``.
    """
    bench = on_setting_stand(machine)
    system, (chamber, flow) = bench.system, bench.set_by
    rng, z, pressures = np.random.default_rng(seed), None, []
    swept = np.concatenate([flows, flows[::-1][1:], flows[4:] if turned else flows[:0]])
    turns = np.where(np.arange(len(swept)) < 2 * len(flows) - 1, 0.0, 1.0)
    rising = [not len(flows) <= k < 2 * len(flows) - 1 for k in range(len(swept))]
    for q, turn, up in zip(swept, turns, rising, strict=True):
        th = pushed(system, bench.theta({flow: float(q)}), "open" if up else "shut")
        for name, value in truth.items():
            th[system.parameters[name]] = value
        th[system.parameters[f"{bench.mounted[0].adjuster}.turns"]] += turn
        z = steady(system, th, z)
        pressures.append(z[system.index[f"pressure in {chamber}"]])
    shown = np.array(pressures)
    if gauge is None:
        shown = shown * (1 + noise * rng.standard_normal(len(shown)))
    else:
        spread, share = gauge.limit(0.0) / 2, gauge.repeats(0.0)
        along, ends = np.pi / 2 * (shown - gauge.low) / gauge.span, rng.standard_normal(2)
        line = np.cos(along) * ends[0] + np.sin(along) * ends[1]
        alone = share * rng.standard_normal(len(shown))
        shown = shown + spread * (np.sqrt(1 - share**2) * line + alone)
    return Table("trial", {"Q": swept, "P": shown, "turns": turns}, np.arange(len(shown)) + 2, {})


def trials(count: int, first_seed: int = 0, gauge: Instrument | None = None) -> Trials:
    """So many fits, each of readings with noise of its own, or of a gauge with an error of its own."""
    machine = oilway.load("direct relief")
    hits, slowest = dict.fromkeys(TRUTH, 0), 0.0
    for seed in range(first_seed, first_seed + count):
        table = readings(machine, TRUTH, FLOWS, NOISE, seed, gauge=gauge)
        begun = time.process_time()
        found = fit(machine, table, list(TRUTH), None if gauge else NOISE, {"P": gauge} if gauge else None)
        slowest = max(slowest, time.process_time() - begun)
        for item in found.internals:
            hits[item.name] += item.low <= TRUTH[item.name] <= item.high
    return Trials(count, {name: hit / count for name, hit in hits.items()}, slowest)
