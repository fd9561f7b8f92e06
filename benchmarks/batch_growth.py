"""How many runs at once grow with the number of sets and of valves.  Part of ``python -m benchmarks batch``."""

from __future__ import annotations

import time

import numpy as np

from benchmarks.batch_rivals import Case
from benchmarks.choice_report import best
from benchmarks.scaling import circuit, growth
from benchmarks.transient import DURATION
from oilway.model.machine import Machine
from oilway.solve import batch_runs, compiled
from oilway.solve.point import solve_point
from oilway.solve.transient import Knot, resting_states, transient, with_friction

SETS, OUTPUT = (1, 10, 100, 1_000, 10_000), 1e-2  # s
VALVES, SHORT, EACH = (1, 2, 5, 10, 20), 0.05, 200  # s, sets


def sets() -> None:
    """From one set to ten thousand."""
    case = Case()
    th = np.tile(case.th, (max(SETS) // len(case.th), 1))
    print(f"  sets of the two-stage relief, {DURATION} s, {round(DURATION / OUTPUT)} points")
    for count in SETS if compiled.AVAILABLE else SETS[:3]:
        start, knots = np.tile(case.start, (count, 1)), [Knot(0.0, th[:count]), Knot(DURATION, th[:count])]

        def work(start: np.ndarray = start, knots: list[Knot] = knots) -> batch_runs.Runs:
            return batch_runs.transients(case.system, start, knots, OUTPUT)

        took, found = best(work, 1 if count > 1_000 else 5), work()
        print(f"  {count:>8} {took:>9.3f} s {1e3 * took / count:>8.2f} ms a run, {found.alone} alone", flush=True)


def valves(series: bool) -> float:
    """From one valve to twenty; the exponent of the processor time of a step."""
    way = "series" if series else "parallel"
    print(f"  valves in {way}, {EACH} sets, {SHORT} s; CVODES one by one takes one of them")
    return growth(VALVES, [_chain(circuit(count, series), count) for count in VALVES])


def _chain(machine: Machine, count: int) -> float:
    """One chain, all springs varied and the flow stepped up: processor time of a step."""
    rest, system = solve_point(machine), machine.system
    th = np.tile(with_friction(system, rest.th), (EACH, 1))
    th[:, system.parameters["pump.flow"]] *= 1.5
    rates = [k for name, k in system.parameters.items() if name.endswith("spring.rate")]
    th[:, rates] *= np.random.default_rng(0).uniform(0.9, 1.1, (EACH, len(rates)))
    start, knots = np.tile(resting_states(rest), (EACH, 1)), [Knot(0.0, th), Knot(SHORT, th)]
    busy, prepared = np.inf, 0.0
    for _ in range(5):
        begun = time.process_time()
        found = batch_runs.transients(system, start, knots, SHORT / 50)
        busy, prepared = min(busy, time.process_time() - begun), max(prepared, found.prepared)
    alone = best(lambda: transient(system, start[0], [Knot(q.time, q.th[0]) for q in knots], SHORT / 50), 3)
    step = busy / max(1, found.steps)
    states = f"{len(system.motion.names):>4} states"
    print(
        f"  {count:>8} {states} {1e3 * busy / EACH:>7.3f} ms a run {1e6 * step:>6.2f} us a step; "
        f"one by one {1e3 * alone:.1f} ms a run; made ready in {prepared:.1f} s",
        flush=True,
    )
    return step
