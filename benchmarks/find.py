"""How fast and how often right: fault dictionary, answer, blind recovery, and the intervals of ``fit``."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

import oilway
from benchmarks.find_blind import Outcome, blind
from benchmarks.fit_trials import GAUGE, TRUTH, Trials, trials
from oilway.model.machine import Machine
from oilway.study.diagnosis import diagnose
from oilway.study.dictionary import Bench, Dictionary, bench_of, build
from oilway.study.find_readings import Reading
from oilway.study.keep import FOLDER, dictionary_of, write_kept
from oilway.study.story import examples

SOLVE, ANSWER, FIT = 3.0, 0.5, 2.0  # s
FIRST, THIRD = 0.85, 0.97
ASKED = (5, 6)  # severities and operating points of the target
SEED, TRIALS = 20261125, 500
LOW, HIGH = 0.93, 0.97
EVERY = ("tipping_hoist", "boom", "forklift_mast", "log_splitter", "press", "swing_drive", "tractor_loader")
WRONG = 0.01  # one standard deviation of a reading, as a share: what an answer is asked with
SEEDS = {
    "tipping_hoist": (SEED, 1, 2, 3),
    "boom": (SEED,),
    "forklift_mast": (SEED,),
    "press": (SEED,),
    "log_splitter": (SEED,),
}  # of the blind recovery


def run() -> bool:
    """Measure and print; False when a target is missed."""
    met = _speed()
    for name, seeds in SEEDS.items():
        bench = bench_of(oilway.load(examples() / f"{name}.yaml"))
        dictionary = build(bench)
        for seed in seeds:
            met &= _recovery(name, bench, dictionary, seed)
    return met & _fits()


def _speed() -> bool:
    """The target's own size, then what is solved and kept for ``find``, of every machine from its file."""
    severities, points = ASKED
    print(f"\nFault dictionary, every fault x {severities} severities x {points} set-ups; then all that is kept")
    print(f"Seconds by the clock / of processors; targets {SOLVE} s for the first, {ANSWER} s for an answer")
    print(f"{'machine':<16}faults unknowns {'5 x 6':>15} {'states':>8} {'all':>15} {'read':>6} {'answer':>7}")
    met = True
    for name in EVERY:
        machine, bench, asked, used = _asked(name, tuple(k / (severities - 1) for k in range(severities)), points)
        dictionary, all_in, all_used = _timed(lambda bench=bench: build(bench))
        kept, answer = _again(machine, bench, dictionary)
        size, states = bench.machine.system.size, dictionary.status.size
        print(f"{name:<16}{len(bench.faults):6} {size:8} {asked:6.2f} / {used:5.2f} s "
              f"{states:8} {all_in:6.2f} / {all_used:5.2f} s {kept:6.2f} {answer:7.2f}")  # fmt: skip
        met &= asked <= SOLVE and kept + answer <= ANSWER
    return met


def _asked(name: str, severities: tuple[float, ...], points: int) -> tuple[Machine, Bench, float, float]:
    begun, used = time.perf_counter(), _processor()
    machine = oilway.load(examples() / f"{name}.yaml")
    bench = bench_of(machine)
    build(replace(bench, setups=bench.setups[:points]), severities=severities)
    return machine, bench, time.perf_counter() - begun, _processor() - used


def _timed(work: Callable[[], Dictionary]) -> tuple[Dictionary, float, float]:
    begun, used = time.perf_counter(), _processor()
    done = work()
    return done, time.perf_counter() - begun, _processor() - used


def _again(machine: Machine, bench: Bench, dictionary: Dictionary) -> tuple[float, float]:
    """Seconds to read a kept dictionary, and to answer three readings of a machine with a fault (mid-severity)."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[FOLDER] = folder
        write_kept(machine, bench, dictionary)
        begun = time.perf_counter()
        bench, dictionary, solved = dictionary_of(machine)
        read = time.perf_counter() - begun
        assert not solved
    fault = next(k for k in range(len(bench.faults)) if np.isfinite(dictionary.mean[k, 4]).all())
    wanted = [r for r, offer in enumerate(bench.panel.offers) if offer.kind == "pressure"][:2]
    places = [(r, u) for u in (0, 1) for r in wanted][:3]
    shown = [(r, u, float(dictionary.mean[fault, 4, u, r])) for r, u in places]
    begun = time.perf_counter()
    diagnose(bench, dictionary, [Reading(r, u, v, WRONG * abs(v) + 1e4) for r, u, v in shown])
    return read, time.perf_counter() - begun


def _processor() -> float:
    """Processor time (s) of this process and of those it started."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def _recovery(name: str, bench: Bench, dictionary: Dictionary, seed: int) -> bool:
    setups = [u for u, s in enumerate(bench.setups) if "vent of" not in s.name]
    found: Outcome = blind(bench, dictionary, seed, setups)
    first, third = found.first / max(found.told, 1), found.third / max(found.told, 1)
    told = f"{found.cases} cases, {found.tied} tied, {found.told} told apart by 3 sigma"
    print(f"\nBlind recovery, {name}, seed {seed}: {told}")
    print(
        f"  true cause first {first:.1%} (target {FIRST:.0%}), in the first three {third:.1%} (target {THIRD:.0%})"
    )
    for (true, named), count in sorted(found.confused.items(), key=lambda item: -item[1]):
        print(f"  {count:3} x {true}  named  {named}")
    return first >= FIRST and third >= THIRD


def _fits() -> bool:
    return _fitted("1 % noise", trials(TRIALS)) & _fitted(f"a gauge of {GAUGE.words}", trials(TRIALS, gauge=GAUGE))


def _fitted(noise: str, done: Trials) -> bool:
    print(f"\nFit of {len(TRUTH)} internals to {TRIALS} sets of readings, {noise}; slowest {done.slowest:.2f} s")
    for name, share in done.inside.items():
        print(f"  {name:<30} within its 95 % interval in {share:.1%}")
    mean = sum(done.inside.values()) / len(done.inside)
    print(f"  all: {mean:.1%} (target {LOW:.0%} to {HIGH:.0%})")
    return LOW <= mean <= HIGH and done.slowest <= FIT
