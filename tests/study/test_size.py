"""Choosing parts: each combination is the valve it says, and what stands in the way is named."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.quantity import parse
from oilway.size_text import verdict
from oilway.study.curve import relief_curve
from oilway.study.size import size
from oilway.study.size_figures import TURNS
from oilway.study.spread_work import CRACKING, FULL, OVERRIDE

RATED = parse("3200 psi", "pressure")
BORES = {"main orifice.diameter": "0.5, 0.6, 0.8 mm", "main spring.rate": "4..8 N/mm"}


@pytest.fixture(scope="module")
def found():
    """The two-stage relief over three bores and 25 spring rates."""
    return size(oilway.load("pilot relief"), BORES, ["override<=14 psi", "flow:pilot seat<=0.30 gpm"], rated=RATED)


def test_a_combination_has_the_figures_of_that_valve_changed_in_its_file(found) -> None:
    k = int(np.argmin(abs(found.values - [0.8e-3, 8e3]).sum(axis=1)))
    assert found.values[k] == pytest.approx([0.8e-3, 8e3])
    machine = oilway.load("pilot relief", {"main orifice.diameter": "0.8 mm", "main spring.rate": "8 N/mm"})
    curve = relief_curve(machine)
    assert found.figures[FULL][k] == pytest.approx(curve.full, abs=20)
    assert found.figures[CRACKING][k] == pytest.approx(curve.cracking, abs=200)
    assert found.figures[TURNS][k] == pytest.approx(machine.parts["pilot spring"].values["turns"], abs=1e-4)


def test_every_combination_holds_the_setting_and_the_best_satisfies_every_target(found) -> None:
    assert found.set_up.all()
    assert found.figures[FULL] == pytest.approx(parse("2300 psi", "pressure"), abs=20)
    assert 0 < found.passed.sum() < len(found.values)
    assert found.passed[found.best]
    assert found.figures[OVERRIDE][found.best] <= parse("14 psi", "pressure")
    assert found.figures["flow:pilot seat"][found.best] <= parse("0.30 gpm", "flow")
    assert found.inside[found.best].min() == found.inside[found.passed].min(axis=1).max()


def test_where_nothing_satisfies_the_target_in_the_way_is_named() -> None:
    told = size(oilway.load("pilot relief"), BORES, ["override<=1 psi", "flow:pilot seat<=1 gpm"], rated=RATED)
    assert told.best is None
    assert "No choice satisfies" in verdict(told)
    assert "override at most 1 psi" in verdict(told)
    assert "flow:pilot seat" not in verdict(told)


def test_a_setting_beyond_the_turns_passes_nothing() -> None:
    told = size(
        oilway.load("pilot relief"), {"pilot spring.rate": "5, 45 N/mm"}, ["override<=60 psi"], rated=RATED
    )
    assert told.set_up.tolist() == [False, True]
    assert told.passed.tolist() == [False, True]
    assert np.isnan(told.figures[OVERRIDE][0])


@pytest.mark.parametrize(
    ("free", "targets", "said"),
    [
        ({"main orifice.diamter": "1..2 mm"}, ["override<=9 psi"], "did you mean"),
        ({"main orifice.diameter": "2..1 mm"}, ["override<=9 psi"], "does not rise"),
        ({"main orifice.diameter": "1..2 mm in dirlls"}, ["override<=9 psi"], "did you mean 'drills'"),
        ({"pilot spring.turns": "1..2 turns"}, ["override<=9 psi"], "follow from the setting"),
        ({"main orifice.diameter": "1..2 mm"}, ["override=9 psi"], "is no target"),
        ({"main orifice.diameter": "1..2 mm"}, ["overide<=9 psi"], "did you mean 'override'"),
        ({"main orifice.diameter": "1..2 mm"}, ["override<=9 gpm"], "is a flow"),
        ({}, [], "nothing is said"),
    ],
)
def test_what_cannot_be_used_is_named(free: dict[str, str], targets: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        size(oilway.load("pilot relief"), free, targets, rated=RATED)


def test_nothing_is_set_without_a_rating_nor_above_it() -> None:
    """The setting of the file is 2300 psi."""
    machine = oilway.load("pilot relief")
    with pytest.raises(InputError, match="no rated pressure"):
        size(machine, BORES, ["override<=60 psi"])
    with pytest.raises(InputError, match="above its rated pressure"):
        size(machine, BORES, ["override<=60 psi"], rated=parse("2299 psi", "pressure"))
    hoist = oilway.load("examples/tipping_hoist.yaml", {"hoist cylinder.rated pressure": "2200 psi"})
    with pytest.raises(InputError, match="above"):
        size(hoist, {"main relief.main orifice.diameter": "0.5, 0.6 mm"}, ["override of main relief<=60 psi"])


def test_a_machine_is_sized_at_its_operating_point_with_its_valves_set_anew() -> None:
    machine = oilway.load("examples/tipping_hoist.yaml")
    free = {"main relief.pilot spring.rate": "44, 46 N/mm", "hoist cylinder.bore": "100, 120 mm"}
    targets = ["speed:hoist cylinder>=0.1 m/s", "reading:pump gauge<=3000 psi", "override of main relief<=60 psi"]
    found = size(machine, free, targets)
    assert found.set_anew == ["main relief"]
    assert found.set_up.all()
    pressures = found.figures["full-flow pressure of main relief"]
    assert pressures == pytest.approx(parse("2300 psi", "pressure"), abs=20)
    # half as stiff again a bore takes oil as its area: the cylinder slows with its square
    speeds = {
        round(1e3 * v[1]): s for v, s in zip(found.values, found.figures["speed:hoist cylinder"], strict=True)
    }
    assert speeds[100] / speeds[120] == pytest.approx(1.44, rel=0.03)
    softer, stiffer = (
        np.mean([t for v, t in zip(found.values, found.figures["turns of main relief"], strict=True) if v[0] == r])
        for r in np.unique(found.values[:, 0])
    )
    assert softer > stiffer


def test_a_reducing_valve_has_no_override_but_a_setting() -> None:
    free = {"main spring.wire diameter": "3.15..4.5 mm in wires"}
    machine = oilway.load("reducing")
    found = size(machine, free, ["highest setting>=1 psi"], rated=parse("5000 psi", "pressure"))
    assert found.set_up.any()
    assert OVERRIDE not in found.figures
    with pytest.raises(InputError, match="there is no figure 'override'"):
        size(machine, free, ["override<=60 psi"], rated=parse("5000 psi", "pressure"))


def test_the_file_may_say_what_is_free_and_wanted(tmp_path: Path) -> None:
    text = Path("src/oilway/valves/pilot_relief.yaml").read_text()
    file = tmp_path / "mine.yaml"
    free, targets = "free: {main orifice.diameter: '0.5, 0.6 mm'}", "targets: [override<=60 psi, no chatter]"
    listed = f"size:\n  {free}\n  {targets}\n"
    file.write_text(text + listed)
    found = size(oilway.load(str(file)), rated=RATED)
    assert [p.parameter for p in found.free] == ["main orifice.diameter"]
    assert [t.words() for t in found.targets] == ["override at most 60 psi", "damping ratio at least 0"]
    other = size(oilway.load(str(file)), {"main orifice.diameter": "0.8, 0.9, 1 mm"}, rated=RATED)
    assert len(other.values) == 3
    file.write_text(text + listed.replace("targets", "target"))
    with pytest.raises(InputError, match="did you mean 'targets'"):
        oilway.load(str(file))


def test_the_combination_that_misses_least_is_named() -> None:
    told = size(oilway.load("pilot relief"), BORES, ["override<=1 psi"], rated=RATED)
    k = told.closest
    assert k is not None
    assert told.figures[OVERRIDE][k] == told.figures[OVERRIDE].min()
    assert f"with override {told.figures[OVERRIDE][k] / parse('1 psi', 'pressure'):.1f} psi" in verdict(told)
