"""The college's bench for counterbalance valves: pL + R pp = pset + (1 + R) pb, at the flow of its setting."""

from __future__ import annotations

import pytest

import oilway
from oilway.quantity import PSI
from oilway.solve.point import solve_point
from oilway.study.story import examples


@pytest.mark.parametrize(("pilot", "back"), [(0, 0), (200, 0), (0, 60), (300, 80)])
def test_the_load_gauge_reads_the_balance(pilot: int, back: int) -> None:
    """Set to 2400 psi, ratio 3 to 1, unvented."""
    bench = oilway.load(examples() / "stands" / "counterbalance_bench.yaml")
    point = bench.point_from({"pilot line.pressure": f"{pilot} psi", "valve line.pressure": f"{back} psi"})
    found = solve_point(bench, point).readings["load gauge"][1] / PSI
    assert found == pytest.approx(2400 - 3 * pilot + 4 * back, abs=5)


def test_vented_the_valve_port_does_not_count() -> None:
    changes = {"counterbalance.spring chamber": "vented", "counterbalance.Y": "tank"}
    bench = oilway.load(examples() / "stands" / "counterbalance_bench.yaml", changes)
    read = [
        solve_point(bench, bench.point_from({"valve line.pressure": f"{back} psi"})).readings["load gauge"][1]
        for back in (0, 60)
    ]
    assert read[1] == pytest.approx(read[0], rel=2e-3)
