"""Setting many at once: each as one is set alone."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.study.anew import EXACT, Anew, set_by_settings


@pytest.mark.parametrize("valve", ["pilot relief", "reducing", "counterbalance", "sequence"])
def test_each_gets_the_turns_it_gets_alone(valve: str) -> None:
    machine = oilway.load(valve)
    setter = Anew(machine, machine.mounted[0])
    adjuster, columns = machine.mounted[0].valve.adjuster, machine.system.parameters
    key, unit = ("rate", "N/mm") if f"{adjuster}.rate" in columns else ("wire diameter", "mm")
    spring, per = f"{adjuster}.{key}", {"N/mm": 1e3, "mm": 1e-3}[unit]
    value = float(machine.theta()[columns[spring]])
    th = np.tile(machine.theta(), (3, 1))
    th[:, columns[spring]] = value * np.array([1.0, 1.01, 1.02])
    held = setter.set_in(th)
    assert held.all()
    for row, factor in zip(th, (1.0, 1.01, 1.02), strict=True):
        alone = oilway.load(valve, {spring: f"{value * factor / per} {unit}"})
        turns = alone.theta()[alone.system.parameters[f"{machine.mounted[0].adjuster}.turns"]]
        assert row[setter.adjuster] == pytest.approx(turns, abs=1e-4)


def test_a_valve_in_a_machine_is_set_on_its_stand() -> None:
    machine = oilway.load("examples/tipping_hoist.yaml")
    (setter,) = set_by_settings(machine, ["main relief.pilot spring.rate"])
    th = np.tile(machine.theta(), (2, 1))
    th[1, machine.system.parameters["main relief.pilot spring.rate"]] *= 0.95
    assert setter.set_in(th).all()
    own = setter.on_bench(th)
    assert setter.pressure(own, setter.states(own)) == pytest.approx(setter.setting.pressure, abs=EXACT)
    assert th[1, setter.adjuster] > th[0, setter.adjuster]


def test_turns_follow_by_their_exact_slope() -> None:
    machine = oilway.load("pilot relief")
    setter = Anew(machine, machine.mounted[0])
    column = machine.system.parameters["pilot spring.rate"]
    th = np.tile(machine.theta(), (2, 1))
    th[:, column] *= [0.999, 1.001]
    setter.set_in(th)
    slope = np.diff(th[:, setter.adjuster])[0] / np.diff(th[:, column])[0]
    assert setter.slopes(th.shape[1])[column] == pytest.approx(slope, rel=1e-5)


def test_where_no_turns_reach_the_setting_it_is_said() -> None:
    machine = oilway.load("pilot relief")
    setter = Anew(machine, machine.mounted[0])
    th = np.tile(machine.theta(), (2, 1))
    th[1, machine.system.parameters["pilot spring.rate"]] *= 0.1
    assert setter.set_in(th).tolist() == [True, False]


def test_what_has_no_setting_is_not_set() -> None:
    machine = oilway.load("examples/tipping_hoist.yaml")
    with pytest.raises(InputError, match="nothing to set anew"):
        set_by_settings(machine, ["hoist cylinder.bore"])
    with pytest.raises(InputError, match="has no setting"):
        Anew(machine, next(m for m in machine.mounted if not m.adjuster))
