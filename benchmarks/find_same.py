"""Whether the fault dictionary, each state begun from the one before, holds what a solve from nothing finds.

Every state of it is solved again from a machine at rest, with nothing known, and held against it: all readings on
offer (pressures, flows, speeds), what is shut in and could stand anywhere, and what has no state.  The pressure of
oil that both say could stand anywhere is not held against the other: no answer rests on it (``hypotheses.LOOSE``).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

import oilway
from oilway.study.dictionary import SEVERITIES, Bench, Dictionary, bench_of, build, empty_entry, solve_into
from oilway.study.story import examples

MACHINES = ("tipping_hoist", "boom")
WITHIN = 1e-5  # of the largest such reading in the dictionary
TOLD = 10


@dataclass
class Compared:
    """Counts over all states; ``worst`` difference as a share of the largest such reading, ``anywhere`` how many
    pressures could stand anywhere in both.
    """

    states: int = 0
    anywhere: int = 0
    worst: float = 0.0
    other: list[str] = field(default_factory=list)
    flags: list[str] = field(default_factory=list)
    status: list[str] = field(default_factory=list)


def run() -> bool:
    """Measure and print; False where anything differs."""
    met = True
    for name in MACHINES:
        bench = bench_of(oilway.load(examples() / f"{name}.yaml"))
        found = compare(bench, build(bench))
        met &= not (found.other or found.flags or found.status)
        print(f"\nDictionary against solves from nothing, {name}: {found.states} states, worst {found.worst:.1e}")
        print(f"  pressures of shut-in oil that could stand anywhere in both, not compared: {found.anywhere}")
        for what, places in (("other readings", found.other), ("other shut-in oil", found.flags),
                             ("solved in one only", found.status)):  # fmt: skip
            print(f"  {what}: {len(places)}")
            for place in places[:TOLD]:
                print(f"    {place}")
    return met


def compare(bench: Bench, dictionary: Dictionary) -> Compared:
    """Every state of a dictionary against its own solve from nothing."""
    out = Compared()
    size = np.nanmax(np.abs(dictionary.mean), axis=(0, 1, 2), initial=1e-12)
    for f, fault in enumerate(bench.faults):
        for s, severity in enumerate(SEVERITIES):
            entry = empty_entry(bench)
            for u, setup in enumerate(bench.setups):
                solve_into(bench, entry, u, setup, fault.changes(severity), [], sloped=False)
                place = f"{fault.name}, severity {severity} @ {setup.name}"
                out.states += 1
                if entry.status[u] != dictionary.status[f, s, u]:
                    out.status.append(place)
                    continue
                if np.any(entry.loose[u] != dictionary.loose[f, s, u]):
                    out.flags.append(place)
                anywhere = (entry.loose[u] > 0) & (dictionary.loose[f, s, u] > 0)
                out.anywhere += int(anywhere.sum())
                off = np.nan_to_num(np.abs(entry.mean[u] - dictionary.mean[f, s, u]) / size)
                off[anywhere] = 0.0
                if off.max() > WITHIN:
                    out.other.append(f"{place}: {bench.panel.offers[int(off.argmax())].name} {off.max():.1e}")
                else:
                    out.worst = max(out.worst, float(off.max()))
    return out
