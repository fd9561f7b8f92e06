"""The next test: worth its minutes, safe, and with what each cause left would show."""

from __future__ import annotations

from typing import Any

from oilway.study.find import find
from oilway.study.find_readings import read_readings
from oilway.study.next_test import proposals

STALL = "lever valve +1, stalled"


def told(hoist: Any, text: str) -> tuple[Any, Any]:
    bench, dictionary = hoist
    return proposals(find(bench, dictionary, read_readings(bench, text)), dictionary)


def test_capping_the_vent_is_proposed_where_only_that_parts_faults_5_and_13(hoist: Any) -> None:
    bench, _ = hoist
    ahead, _ = told(hoist, f"pump gauge=39 psi @ {STALL}; pressure at main relief.back chamber=0 psi @ {STALL}")
    capped = next(p for p in ahead if "vent of main relief capped" in bench.setups[p.setup].name)
    would = {name: mean for name, mean, _ in capped.would}
    assert would["main relief: vent or remote line open or leaking"] > 2000 * 6894.757
    assert would["main relief: main orifice plugged"] < 100 * 6894.757
    # The trace that leaks off inside the valve empties the back chamber under the cap too: none is shut in.
    (spread,) = [spread for name, _, spread in capped.would if name == "main relief: main orifice plugged"]
    assert spread < 60 * 6894.757
    assert capped.bits > 0.3


def test_no_stall_is_proposed_while_the_relief_may_be_stuck_shut(hoist: Any) -> None:
    bench, _ = hoist
    ahead, refused = told(hoist, "pump gauge=1528 psi; load gauge=1505 psi")
    barred = {bench.setups[r.setup].name for r in refused}
    assert STALL in barred
    assert not {bench.setups[p.setup].name for p in ahead} & barred
    assert all(r.why for r in refused)


def test_a_reading_taken_is_not_proposed_again_and_one_a_set_up(hoist: Any) -> None:
    bench, _ = hoist
    ahead, _ = told(hoist, f"pump gauge=300 psi @ {STALL}")
    assert ahead
    names = [(bench.setups[p.setup].name, bench.panel.offers[p.offer].name) for p in ahead]
    assert (STALL, "pump gauge") not in names
    assert len({setup for setup, _ in names}) == len(names)
    worth = [p.bits / p.minutes for p in ahead]
    assert worth == sorted(worth, reverse=True)
