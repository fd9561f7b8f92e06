"""Spread: a hand-derived first-order estimate, slopes against differences, limits, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.solve.point import pushed, solve_point
from oilway.solve.sensitivity import gradients
from oilway.solve.steady import steady
from oilway.study.allowed import tolerances
from oilway.study.curve import relief_curve
from oilway.study.run import read_change, run
from oilway.study.spread import spread
from oilway.study.spread_work import CRACKING, FULL, OVERRIDE, RESEATING

SPRING = {"main spring.rate": "10 %"}


def alone(declared: dict[str, str]) -> dict[str, str]:
    """Only what is declared: common practice taken back."""
    machine = oilway.load("direct relief")
    return {t.parameter: "0 %" for t in tolerances(machine)} | declared


def test_a_spring_spreads_the_cracking_pressure_as_reckoned_by_hand() -> None:
    """Direct acting: p A = rate x preload + friction, so a tenth of the rate moves p A by a tenth of the force."""
    machine = oilway.load("direct relief")
    told = spread(machine, alone(SPRING), number=500)
    parts = told.machine.parts
    face = next(p for p in parts.values() if p.kind == "face" and p.values["pushes"] == "open")
    area = math.pi / 4 * float(face.values["diameter"]) ** 2
    th = dict(zip(told.machine.system.parameters, told.machine.theta(), strict=True))
    preload = th["main spring.compression"] + th["main spring.pitch"] * th["main spring.turns"]
    by_hand = 0.1 * th["main spring.rate"] * preload / area
    cracking = next(o for o in told.outputs if o.name == CRACKING)
    # the small lift and jet at the cracking flow come on top
    assert cracking.extreme == pytest.approx(by_hand, rel=0.03)
    assert cracking.deviation == pytest.approx(by_hand / math.sqrt(3), rel=0.03)
    assert np.std(cracking.values) == pytest.approx(by_hand / math.sqrt(3), rel=0.06)  # 500 draws


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
def test_slopes_agree_with_differences_between_solutions(valve: str) -> None:
    machine = spread(oilway.load(valve), number=2).machine
    system, th = machine.system, pushed(machine.system, machine.theta(), "open")
    z, name = steady(system, th), f"pressure:{machine.set_by[0]}"
    slopes = gradients(system, z, th, [name])[1][0]
    inlet = system.index[f"pressure in {machine.set_by[0]}"]
    for tol in tolerances(machine):
        k = system.parameters[tol.parameter]
        if not tol.value:
            continue
        ends = []
        for step in (-2, -1, 1, 2):  # the five-point rule: its own error lies below 1e-6
            near = th.copy()
            near[k] += step * 1e-3 * tol.value
            ends.append(steady(system, near, z)[inlet])
        difference = (ends[0] - 8 * ends[1] + 8 * ends[2] - ends[3]) / (12e-3 * tol.value)
        largest = abs(slopes[k]) + 1e-3 * z[inlet] / tol.value
        assert abs(slopes[k] - difference) <= 1e-6 * largest, tol.parameter


def test_as_written_it_is_the_curve() -> None:
    told = spread(oilway.load("pilot relief"), number=3)
    curve = relief_curve(oilway.load("pilot relief"))
    written = {o.name: o.nominal for o in told.outputs}
    assert written[FULL] == pytest.approx(curve.full, rel=1e-9)
    assert written[CRACKING] == pytest.approx(curve.cracking, rel=1e-9)
    assert written[OVERRIDE] == pytest.approx(curve.override, rel=1e-6)
    assert written[RESEATING] == pytest.approx(curve.reseating, rel=1e-9)


def test_the_part_that_matters_most_stands_first_and_limits_are_counted() -> None:
    told = spread(oilway.load("pilot relief"), number=200, limits={"full-flow pressure": "2200 psi to 2400 psi"})
    full = next(o for o in told.outputs if o.name == FULL)
    assert full.influences[0].tolerance.parameter == "pilot spring.rate"
    assert sum(i.share for i in full.influences) == pytest.approx(1.0)
    inside = (full.values >= oilway.quantity.parse("2200 psi", "pressure")) & (
        full.values <= oilway.quantity.parse("2400 psi", "pressure")
    )
    assert full.accepted == inside.mean()
    assert 0 < full.accepted < 1


def test_a_count_is_told_with_its_own_doubt() -> None:
    told = spread(oilway.load("direct relief"), number=100, limits={"override": "at least 0 psi"})
    override = next(o for o in told.outputs if o.name == OVERRIDE)
    assert override.accepted == 1
    low, high = override.accepted_between
    assert high == 1
    # of none in n not one is left out with 95 % where the rest is below z^2 / (n + z^2) (Wilson)
    assert 1 - low == pytest.approx(1.96**2 / (100 + 1.96**2), rel=1e-3)


def test_sound_valves_set_anew_differ_in_all_but_the_full_flow_pressure() -> None:
    machine = oilway.load("pilot relief")
    kept, anew = ({o.name: o for o in spread(machine, number=60, anew=anew).outputs} for anew in (False, True))
    assert np.ptp(anew[FULL].values) < 20  # Pa: how close a setting is made
    assert np.ptp(kept[FULL].values) > 1e6
    assert 0.1 < np.ptp(anew[OVERRIDE].values) / np.ptp(kept[OVERRIDE].values) < 1
    assert np.ptp(anew[RESEATING].values) > 1e4
    assert np.ptp(anew["turns"].values) > 0.5
    assert "pilot spring.rate" not in [i.tolerance.parameter for i in anew[OVERRIDE].influences[:2]]


def test_setting_leaves_of_a_spring_what_its_lift_makes_of_it_as_reckoned_by_hand() -> None:
    """Direct acting: at full flow p A = preload + rate x lift + jet stays, so a tenth of the rate takes a tenth of
    rate x lift off the preload, and off the cracking pressure.
    """
    told = spread(oilway.load("direct relief"), alone(SPRING), number=2, anew=True)
    face = next(p for p in told.machine.parts.values() if p.kind == "face" and p.values["pushes"] == "open")
    area = math.pi / 4 * float(face.values["diameter"]) ** 2
    setting = told.machine.mounted[0].setting
    full, cracked = (
        solve_point(told.machine, {told.machine.set_by[1]: flow}).statuses["poppet"].lift
        for flow in (setting.flow, setting.cracked_flow)
    )
    rate = told.job.written[told.machine.system.parameters["main spring.rate"]]
    by_hand = -0.1 * rate * (full - cracked) / area
    cracking = next(o for o in told.outputs if o.name == CRACKING)
    assert cracking.influences[0].effect == pytest.approx(by_hand, rel=0.03)


def test_slopes_of_valves_set_anew_agree_with_valves_set_anew() -> None:
    machine = oilway.load("pilot relief")
    told = spread(machine, number=2, anew=True)
    job, written = told.job, told.job.written
    for name in (CRACKING, "turns"):
        output = next(o for o in told.outputs if o.name == name)
        which = [n for n, _ in job.outputs].index(name)
        for influence in output.influences:
            tol = influence.tolerance
            if not tol.value or influence.share < 1e-3:
                continue
            near = np.tile(written, (4, 1))
            near[:, job.machine.system.parameters[tol.parameter]] += 1e-3 * tol.value * np.array([-2, -1, 1, 2])
            ends = job.of_sets(near).values[:, which]
            difference = (ends[0] - 8 * ends[1] + 8 * ends[2] - ends[3]) / (12e-3 * tol.value)
            # a setting is made to 10 Pa at most, here to far less
            assert influence.slope == pytest.approx(difference, rel=1e-4), tol.parameter


def test_a_run_in_time_has_figures_and_a_band() -> None:
    machine = oilway.load("pilot relief")
    change = read_change(machine, "0.02 s over 0.005 s: test pump.flow=9 gpm")
    names = ["peak pressure:inlet", "end pressure:inlet"]
    told = spread(machine, number=10, duration=0.1, changes=[change], channels=names)
    alone = run(told.machine, 0.1, [change]).figures["inlet"]
    assert [o.name for o in told.outputs] == names
    assert [o.nominal for o in told.outputs] == pytest.approx([alone.peak, alone.end], rel=1e-5)
    assert told.band is not None
    assert told.band.over.x_kind == "time"
    assert told.outputs[1].influences[0].tolerance.parameter == "pilot spring.rate"


def test_what_nobody_has_is_counted_and_named() -> None:
    """A pilot spring a third softer does not reach the setting: its turns end before."""
    told = spread(oilway.load("pilot relief"), {"pilot spring.rate": "60 %"}, number=40, anew=True)
    lost = [f for f in told.failures if "does not reach the setting" in str(f)]
    assert 0 < len(lost) < 40
    assert all(o.lost == len(lost) for o in told.outputs)


def test_a_machine_is_taken_at_its_operating_point() -> None:
    told = spread(oilway.load("examples/tipping_hoist.yaml"), number=20)
    names = [o.name for o in told.outputs]
    assert any(name.startswith("speed:") for name in names)
    assert told.band is None


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"declared": {"main sprin.rate": "10 %"}}, "unknown word"),
        ({"declared": {"main spring.rate": "10 psi"}}, "spring rate"),
        ({"declared": {"main spring.rate": "100 %"}}, "leave nothing"),
        ({"declared": {"oil temperature": "10 %"}}, "no part"),
        ({"limits": {"overide": "at most 60 psi"}}, "did you mean 'override'"),
        ({"channels": ["pressure:inlt"]}, "did you mean 'pressure:inlet'"),
        ({"number": 1}, "cannot be drawn"),
        ({"limits": {"override": "about 60 psi"}}, "is no limit"),
        ({"channels": ["peak pressure:inlet"]}, "say how long"),
        ({"anew": True, "declared": alone({"test pump.flow": "2 %"})}, "nothing to set anew"),
    ],
)
def test_what_cannot_be_used_is_named(asked: dict, said: str) -> None:
    with pytest.raises(InputError, match=said):
        spread(oilway.load("direct relief"), **asked)
