"""How far parts lift in their own work: at full flow, on their stand or in a machine, and never an error."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.errors import NoSolution
from oilway.model.catalogue import shipped_valves
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.study import reach
from oilway.study.reach import LEAST_SHARE, reaches

HOIST = Path(__file__).parents[2] / "examples" / "tipping_hoist.yaml"


@pytest.mark.parametrize("name", shipped_valves())
def test_each_part_reaches_no_further_than_its_stop(name: str) -> None:
    machine = oilway.load(name)
    found = reaches(machine)
    assert set(found) == {n for n, p in machine.parts.items() if p.kind == "moving part"}
    for part, lift in found.items():
        travel = float(machine.parts[part].values["travel"] or 0.0)
        assert LEAST_SHARE * travel <= lift <= travel


def test_a_relief_reaches_its_lift_at_full_flow() -> None:
    """Rated flow runs over it on the plain stand, the load being held."""
    machine = oilway.load("direct relief")
    assert reaches(machine)["poppet"] == solve_point(machine).statuses["poppet"].lift


def test_the_largest_of_the_named_points_counts() -> None:
    machine = oilway.load("brake")
    lifts = [solve_point(machine, p).statuses["spool"].lift for p in machine.points.values()]
    assert max(lifts) > min(lifts)
    assert reaches(machine)["spool"] == max(lifts)


def test_a_valve_in_a_machine_reaches_as_on_its_stand_though_it_is_shut_there() -> None:
    hoist = oilway.load(HOIST)
    state = solve_point(hoist)
    assert state.statuses["main relief.main part"].lift == 0
    assert reaches(hoist)["main relief.main part"] > 1e-4


def test_a_part_that_nothing_lifts_counts_with_its_travel() -> None:
    machine = oilway.load("load check")
    machine.points = {"shut": {"other way.diameter": 0.02}}
    assert solve_point(machine, machine.points["shut"]).statuses["poppet"].lift == 0
    assert reaches(machine)["poppet"] == pytest.approx(5e-3)


def test_what_has_no_solution_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(machine: Machine, point: dict[str, float]) -> None:
        raise NoSolution("nothing", hint="try")

    monkeypatch.setattr(reach, "solve_point", fails)
    assert reaches(oilway.load("direct relief"))["poppet"] == pytest.approx(3e-3)
