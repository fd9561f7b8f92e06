"""Choosing by duty: the figures against hand calculations, the troubles against what the trade knows."""

from __future__ import annotations

import pytest

from oilway.errors import InputError
from oilway.quantity import GALLON, HP, MINUTE, PSI
from oilway.study.choose import JOBS, Choice, Duty, Option, choose

GPM = GALLON / MINUTE


def duty(job: str, pressure: float, flow: float, **more: float) -> Choice:
    pressures = {key: value * PSI for key, value in more.items()}
    return choose(Duty(job, pressure * PSI, flow * GPM, **pressures))


def option(choice: Choice, name: str, **choices: str) -> Option:
    return next(o for o in choice.options if o.name == name and choices.items() <= o.choices.items())


def figure(item: Option, name: str) -> float:
    return next(m.value for m in item.measures if m.name == name)


def test_a_steady_line_wants_two_stages() -> None:
    """Shipped direct relief: 400 of 2300 psi; in proportion 435 of 2500.  Heat: 2500 x 22 / 1714 = 32.1 hp."""
    found = duty("limit a pump line", 2500, 22, steady=200)
    assert found.best.name == "pilot relief"
    direct = option(found, "direct relief")
    assert figure(direct, "override") == pytest.approx(435 * PSI, rel=0.05)
    assert "it loses oil from" in direct.troubles[0].words
    assert figure(direct, "heat at full flow") == pytest.approx(2500 * 22 / 1714 * HP, rel=1e-3)


def test_where_nothing_is_asked_the_plain_one_does() -> None:
    assert duty("limit a pump line", 2500, 22).best.name == "direct relief"


def test_a_return_line_under_pressure_wants_an_external_drain() -> None:
    found = duty("limit a pump line", 2500, 22, drain=150, steady=100)
    assert found.best.choices == {"drain": "external"}
    inside = option(found, "pilot relief", drain="internal")
    assert figure(inside, "shift by back-pressure") == pytest.approx(150 * PSI, rel=0.01)


def test_a_work_port_wants_a_way_in() -> None:
    found = duty("protect a work port", 2800, 14)
    assert found.best.name == "port relief"
    assert "a void opens" in option(found, "direct relief").troubles[-1].words


def test_pilot_pressure_of_a_counterbalance() -> None:
    """pp = (pset + (1 + R) pb - pL) / R, pset = 1.3 x 1700, made at a twentieth of the flow."""
    found = duty("hold and lower a load", 1700, 8, drain=60)
    for words, ratio in (("3 to 1", 3.0), ("4.5 to 1", 4.5)):
        item = option(found, "counterbalance", ratio=words, **{"spring chamber": "unvented"})
        by_hand = (1.3 * 1700 + (1 + ratio) * 60 - 1700) / ratio
        assert figure(item, "pilot to begin") == pytest.approx(by_hand * PSI, rel=0.05)
    assert found.best.choices["spring chamber"] == "vented"  # 60 psi count four times on the other
    assert figure(found.best, "shift by back-pressure") == pytest.approx(0, abs=0.5 * PSI)
    assert "pushes the load down" in option(found, "direct relief").troubles[0].words


def test_a_relief_is_no_sequence_valve() -> None:
    """Drained into its outlet the second load adds 1:1: 1100 + 600."""
    found = duty("second motion after first", 1100, 10, other=600)
    assert found.best.name == "sequence"
    assert figure(found.best, "first line with the second load on") == pytest.approx(1100 * PSI, rel=0.01)
    relief = option(found, "pilot relief")
    assert figure(relief, "first line with the second load on") == pytest.approx(1700 * PSI, rel=0.01)
    assert relief.troubles


def test_a_second_load_above_the_setting_is_told() -> None:
    found = duty("second motion after first", 1100, 10, other=1500)
    assert "stands above the setting" in option(found, "sequence").troubles[0].words


def test_a_relief_holds_the_whole_line_and_not_a_branch() -> None:
    found = duty("lower pressure in a branch", 700, 5, other=2300)
    relief = option(found, "direct relief")
    assert figure(relief, "heat") == pytest.approx(700 * 5 / 1714 * HP, rel=1e-3)
    assert "the main line never makes" in relief.troubles[0].words
    reducing = option(found, "reducing", outlet="non-relieving")
    at_flow = figure(reducing, "held at no flow") - figure(reducing, "droop")
    assert figure(reducing, "heat") == pytest.approx((2300 * PSI - at_flow) * 5 * GPM, rel=1e-6)


def test_idle_heat() -> None:
    """A relief: 800 x 15 / 1714 = 7.0 hp; what unloads idles far below."""
    found = duty("unload a pump", 800, 15)
    assert figure(option(found, "pilot relief"), "heat while idle") == pytest.approx(
        800 * 15 / 1714 * HP, rel=1e-3
    )
    assert figure(found.best, "pump idles at") < 80 * PSI


def test_a_brake_valve_is_open_while_the_motor_is_driven() -> None:
    found = duty("brake a motor", 1800, 12, other=1200, drain=60)
    assert found.best.choices == {"drain": "external"}
    # internal: 60 psi behind it count 1 + 8 times (pilot ratio of the shipped one)
    assert figure(option(found, "brake", drain="internal"), "shift by back-pressure") == pytest.approx(
        540 * PSI, rel=0.01
    )
    relief = option(found, "direct relief")
    assert figure(relief, "against the motor while it is driven") == pytest.approx(1800 * PSI, rel=0.01)


@pytest.mark.parametrize("job", JOBS)
def test_every_job_is_answered_with_every_kind(job: str) -> None:
    other = {"other": 1500.0} if JOBS[job].other else {}
    found = duty(job, 1000, 10, **other)
    assert len(found.options) == len(JOBS[job].kinds)
    assert all(o.valve is not None for o in found.options)


@pytest.mark.parametrize(
    ("wrong", "what"),
    [
        (Duty("hold a lod", 1e7, 1e-4), "there is no job 'hold a lod'"),
        (Duty("unload a pump", 0.0, 1e-4), "--pressure: a duty has"),
        (Duty("unload a pump", 1e7, -1e-4), "--flow: a duty has"),
        (Duty("unload a pump", 1e7, 1e-4, drain=-1.0), "--drain"),
        (Duty("unload a pump", 1e7, 1e-4, steady=0.0), "--steady"),
        (Duty("brake a motor", 1e7, 1e-4), "--other: this job wants a second pressure"),
        (Duty("lower pressure in a branch", 1e7, 1e-4, other=9e6), "nothing to reduce"),
    ],
)
def test_a_duty_that_is_none_is_refused(wrong: Duty, what: str) -> None:
    with pytest.raises(InputError, match=what):
        choose(wrong)
