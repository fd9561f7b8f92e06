"""A run as it is asked for: changes in words, series of everything, events in time, figures of each pressure."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

import oilway
from oilway.elements.network import Limit
from oilway.errors import InputError, NoSolution
from oilway.model.machine import Machine
from oilway.model.system import System
from oilway.quantity import PSI
from oilway.solve import transient
from oilway.solve.point import solve_point
from oilway.study.run import Change, Run, _crossings, _findings, figures_of, read_change, run
from oilway.study.story import HOIST, examples

FREE = {"main part.dry friction": "0 N", "pilot poppet.dry friction": "0 N"}


def asked(
    machine: Machine, duration: float, *changes: str, at: dict[str, str] | None = None, **more: object
) -> Run:
    """A run with everything in words."""
    point = machine.point_from(at or {})
    return run(machine, duration, [read_change(machine, text) for text in changes], point=point, **more)


@pytest.fixture(scope="module")
def hoist() -> Machine:
    """The tipping-trailer hoist."""
    return oilway.load(str(examples() / HOIST))


@pytest.fixture(scope="module")
def raised(hoist: Machine) -> Run:
    """The box raised from neutral, and stopped."""
    return asked(hoist, 2.0, "0.3 s over 0.2 s: lever=1", "1.4 s over 0.1 s: lever=0", at={"lever": "0"})


# -- changes in words -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "at", "over", "values"),
    [
        ("0.5 s: lever=1", 0.5, 0.0, {"lever": "1"}),
        ("at 500 ms over 0.2 s: lever=1", 0.5, 0.2, {"lever": "1"}),
        (
            " 1 s over 1 s : lever=-0.5, engine speed = 2000 rpm",
            1.0,
            1.0,
            {"lever": "-0.5", "engine speed": "2000 rpm"},
        ),
    ],
)
def test_a_change_is_read(hoist: Machine, text: str, at: float, over: float, values: dict[str, str]) -> None:
    assert read_change(hoist, text) == Change(at, over, hoist.point_from(values))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("lever=1", "does not say when"),
        ("soon: lever=1", "soon"),
        ("3 psi: lever=1", "is a pressure; a time is wanted"),
        ("0.5 s: lever", "changes nothing"),
        ("0.5 s: lever=1, engine speed", "'engine speed' is not of the form word=value"),
        ("0.5 s:", "changes nothing"),
        ("-1 s: lever=1", "changes nothing"),
        ("0.5 s: levr=1", "did you mean 'lever'"),
        ("0.5 s: lever=3 psi", "lever"),
    ],
)
def test_a_change_that_cannot_be_used_is_refused(hoist: Machine, text: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        read_change(hoist, text)


def test_changes_that_overlap_or_outlast_the_run_are_refused(hoist: Machine) -> None:
    with pytest.raises(InputError, match=r"the change at 0\.4 s begins before the one before it has ended"):
        asked(hoist, 1.0, "0.4 s: lever=0", "0.2 s over 0.3 s: lever=1", at={"lever": "0"})
    with pytest.raises(InputError, match=r"the change at 0\.9 s ends after the run"):
        asked(hoist, 1.0, "0.9 s over 0.2 s: lever=1")
    with pytest.raises(InputError, match="takes some time"):
        asked(hoist, 0.0)


def test_changes_may_be_told_in_any_order_and_follow_on_each_other(hoist: Machine) -> None:
    done = asked(hoist, 0.5, "0.3 s: lever=0", "0.1 s over 0.2 s: lever=1", at={"lever": "0"}, step=0.05)
    lever = done.course.th[:, hoist.system.parameters["lever valve.spool.position"]]
    assert lever[done.times < 0.1].max() == 0.0
    middle = np.abs(done.times - 0.2) < 1e-6
    assert lever[middle] == pytest.approx(0.5), "half way up the ramp"
    assert lever[done.times > 0.3].max() == 0.0


# -- what can change on the way -------------------------------------------------------------------------------
def test_the_adjuster_turned_while_running() -> None:
    machine = oilway.load("pilot relief")
    turns = machine.theta()[machine.system.parameters["pilot spring.turns"]]
    more = {"turns": f"{turns + 1:.6f} turns"}
    done = asked(machine, 2.0, f"0.2 s over 0.5 s: turns={more['turns']}", at={"pump flow": "12 gpm"} | FREE)
    there = solve_point(machine, machine.point_from({"pump flow": "12 gpm"} | FREE | more))
    assert done.figures["inlet"].end == pytest.approx(there.pressures["inlet"], rel=1e-4)
    assert done.figures["inlet"].end > done.figures["inlet"].start + 100 * PSI
    assert done.figures["inlet"].settled == pytest.approx(0.7, abs=0.2)


def test_the_engine_throttled_up(hoist: Machine) -> None:
    low, high = ({"lever": "1", "engine speed": speed} for speed in ("800 rpm", "2000 rpm"))
    done = asked(hoist, 3.0, "0.2 s over 0.5 s: engine speed=2000 rpm", at=low)
    speed = done.series["velocity of hoist cylinder"].values
    for k, words in ((0, low), (-1, high)):
        wanted = solve_point(hoist, hoist.point_from(words)).velocities["hoist cylinder"]
        assert speed[k] == pytest.approx(wanted, rel=5e-3)


def test_a_fault_that_sets_in() -> None:
    machine = oilway.load("pilot relief")
    done = asked(machine, 0.5, "0.1 s: pilot seat.worn gap=50 um", at={"load pressure": "2000 psi"} | FREE)
    there = solve_point(
        machine, machine.point_from({"load pressure": "2000 psi", "pilot seat.worn gap": "50 um"} | FREE)
    )
    assert done.series["pressure in back chamber"].values[-1] == pytest.approx(
        there.pressures["back chamber"], rel=1e-3
    )
    assert done.figures["back chamber"].end < done.figures["back chamber"].start - 10 * PSI


# -- series ---------------------------------------------------------------------------------------------------
def test_everything_is_told_over_the_whole_run(hoist: Machine, raised: Run) -> None:
    names = set(raised.series)
    assert {f"pressure in {name}" for name in hoist.system.chambers} <= names
    assert {f"lift of {part}" for part in hoist.system.moving} <= names
    assert {"position of hoist cylinder", "velocity of hoist cylinder"} <= names
    assert {"flow through return hose", "flow through main relief.main seat", "flow through pump"} <= names
    for name, series in raised.series.items():
        assert series.values.shape == raised.times.shape, name
        assert np.all(np.isfinite(series.values)), name
    assert raised.times[0] == 0.0
    assert raised.times[-1] == 2.0
    assert np.all(np.diff(raised.times) > 0)


def test_the_series_begin_with_the_ledgers_of_the_state_of_rest(hoist: Machine, raised: Run) -> None:
    rest = solve_point(hoist, hoist.point_from({"lever": "0"}))
    for chamber, pressure in rest.pressures.items():
        assert raised.series[f"pressure in {chamber}"].values[0] == pytest.approx(pressure, abs=1.0)
    for part in ("return hose", "main relief.main orifice", "pump"):
        told = raised.series[f"flow through {part}"].values[0]
        assert told == pytest.approx(rest.at_no_pressure(rest.flow_through(part)), rel=1e-6, abs=1e-12)


def test_what_instruments_read_is_told_too(machine: Callable[..., Machine]) -> None:
    swing = oilway.load(str(examples() / "swing_drive.yaml"))
    done = asked(swing, 0.4, "0.1 s over 0.1 s: lever=1", at={"lever": "0"})
    speed = done.series["speed of motor"]
    assert speed.kind == "rotation"
    assert speed.values == pytest.approx(done.course.states[:, done.course.names.index("speed of motor")])
    assert speed.values[0] == pytest.approx(
        solve_point(swing, swing.point_from({"lever": "0"})).readings["motor"][1]
    )
    store = asked(
        machine("""
            tank: {kind: tank}
            line: {kind: chamber, volume: 1 L}
            store: {kind: accumulator, at: line, size: 1 L, precharge: 50 bar}
            pump: {kind: test pump, inlet: tank, outlet: line, flow: 0 gpm}
        """),
        0.5,
        "0 s: pump flow=30 L/min",
    ).series["oil in store"]
    assert store.kind == "volume"
    assert 0 < store.values[-1] < 30e-3 / 60 * 0.5, "some of what was pumped pressed the oil of the line"


def test_the_position_is_the_integral_of_the_velocity(raised: Run) -> None:
    speed, place = (raised.series[f"{what} of hoist cylinder"].values for what in ("velocity", "position"))
    assert place[-1] - place[0] > 0.05
    assert np.trapezoid(speed, raised.times) == pytest.approx(place[-1] - place[0], rel=1e-3)


def test_a_lift_stays_between_seat_and_stop(raised: Run) -> None:
    lift = raised.series["lift of main relief.main part"].values
    assert lift.min() == 0.0
    assert 0 < lift.max() <= 4e-3


def test_oil_is_accounted_for(raised: Run) -> None:
    # 36 cc/rev at 2000 rpm for 2 s is 2.4 L, and all of it comes out of the tank.
    assert raised.moved == pytest.approx(2.4e-3 * 860, rel=0.1)
    assert raised.mass_error < 1e-4


def test_in_a_closed_circuit_no_oil_moves_and_none_is_missing(machine: Callable[..., Machine]) -> None:
    done = asked(
        machine("a: {kind: tank}\nb: {kind: chamber}\nhole: {kind: orifice, from: a, to: b, diameter: 1 mm}"), 0.1
    )
    assert (done.moved, done.mass_error) == (pytest.approx(0.0, abs=1e-9), 0.0)


# -- events ---------------------------------------------------------------------------------------------------
def flow_step(step: float) -> Run:
    """The two-stage relief when the flow over it doubles, while its pilot seats and lifts off."""
    machine = oilway.load("pilot relief")
    return asked(machine, 0.08, "0.05 s: pump flow=18 gpm", at={"pump flow": "9 gpm"}, step=step, relative=1e-8)


def test_lift_off_impact_and_bounces_are_located_between_output_points() -> None:
    coarse, fine = flow_step(5e-4), flow_step(5e-6)
    assert len(fine.events) > 8, "it bounces"
    assert len(coarse.events) > 8, "and that is seen though the output steps are longer than a bounce"
    for rough in coarse.events:
        same = [e.time for e in fine.events if (e.part, e.what) == (rough.part, rough.what)]
        assert min(abs(time - rough.time) for time in same) < 2e-6
    assert [e.time for e in fine.events] == sorted(e.time for e in fine.events)


def test_a_crossing_is_found_on_the_cubic_through_places_and_speeds() -> None:
    times = np.array([0.0, 1.0, 2.0])
    # x = (t - 1.3)(t + 1): rises through zero at 1.3, where a straight line would say 1.257.
    x, v = (times - 1.3) * (times + 1), 2 * times - 0.3
    assert _crossings(times, x, v) == [(1, pytest.approx(1.3), True)]
    assert _crossings(times, -x, -v) == [(1, pytest.approx(1.3), False)]
    assert _crossings(times, x + 10, v) == []


def test_an_end_stop_met_and_left_is_told(machine: Callable[..., Machine]) -> None:
    built = machine("""
        tank: {kind: tank}
        cap: {kind: chamber, volume: 0.2 L}
        pump: {kind: test pump, inlet: tank, outlet: cap, flow: 2 gpm}
        bleed: {kind: orifice, from: cap, to: tank, diameter: 1 mm}
        ram: {kind: cylinder, cap: cap, rod: tank, bore: 5 cm, rod diameter: 3 cm, stroke: 20 cm, position: 195 mm}
        load: {kind: load, on: ram, load force: 5 kN, mass: 100 kg}
    """)
    done = asked(built, 3.0, "1.5 s: pump flow=0 gpm")
    place = done.series["position of ram"].values
    met, left = done.events[0], done.events[-1]
    assert (met.part, met.what) == ("ram", "meets its outer end")
    assert left.what == "leaves its outer end"
    # By hand: at the speed it has at rest; and it leaves as soon as the bleed has let the pressure off.
    assert met.time == pytest.approx(0.005 / done.series["velocity of ram"].values[0], rel=1e-3)
    assert left.time > 1.5
    assert place[-1] < 0.2


# -- figures --------------------------------------------------------------------------------------------------
def test_figures_of_a_decaying_swing() -> None:
    # y = 100 (1 - exp(-5 t) cos(2 pi 10 t)) bar: within 2 % for good once exp(-5 t) |cos| is.
    t = np.linspace(0, 2, 4001)
    y = 1e7 * (1 - np.exp(-5 * t) * np.cos(2 * np.pi * 10 * t))
    f = figures_of(t, y)
    assert f.start == 0.0
    assert f.end == pytest.approx(1e7, rel=1e-4)
    assert f.peak == pytest.approx(y.max())
    assert f.peak_time == pytest.approx(0.05, abs=0.003)
    assert f.settled == pytest.approx(-np.log(0.02) / 5, abs=0.05)
    assert f.frequency == 0.0


def test_figures_of_what_goes_on_swinging() -> None:
    t = np.linspace(0, 1, 5001)
    f = figures_of(t, 1e7 + 5e5 * np.sin(2 * np.pi * 43 * t))
    assert f.frequency == pytest.approx(43, rel=1e-3)
    assert f.settled is None


def test_figures_of_a_pressure_that_never_moves() -> None:
    f = figures_of(np.linspace(0, 1, 11), np.full(11, 3e6))
    assert (f.start, f.peak, f.end, f.settled, f.frequency) == (3e6, 3e6, 3e6, 0.0, 0.0)


def test_peak_and_settling_of_a_relief() -> None:
    done = flow_step(1e-4)
    inlet, values = done.figures["inlet"], done.series["pressure in inlet"].values
    assert inlet.peak == values.max() > inlet.start + 100 * PSI
    assert 0.05 < inlet.peak_time < 0.06


# -- stalling -------------------------------------------------------------------------------------------------
def test_a_stalled_run_raises_and_gives_its_part_on_request(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(transient, "MOST_STEPS", 2)
    machine = oilway.load("direct relief")
    with pytest.raises(NoSolution, match="stalled after 0 s") as stalled:
        asked(machine, 0.1, "0 s: pump flow=18 gpm", at={"pump flow": "9 gpm"})
    assert stalled.value.unknown in machine.system.motion.names
    assert stalled.value.equation == f"rate of {stalled.value.unknown}"
    done = asked(machine, 0.1, "0 s: pump flow=18 gpm", at={"pump flow": "9 gpm"}, partial=True)
    assert not done.course.complete
    assert done.times.tolist() == [0.0]
    assert done.figures["inlet"].peak == pytest.approx(done.figures["inlet"].start)


# -- limits ---------------------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def mast() -> Machine:
    """The forklift mast, its load up and the lever in neutral."""
    return oilway.load(str(examples() / "forklift_mast.yaml"))


def test_a_lever_thrown_open_shows_as_a_peak_above_the_rating(mast: Machine) -> None:
    """The load is let down, and its own flow control stops it: what the gauge at the foot reads for a moment."""
    done = asked(mast, 0.5, "0.1 s over 0.1 s: lever=-1")
    foot = next(e for e in done.findings if e.worst.part == "lift cylinder foot")
    rating = mast.theta({})[mast.system.parameters["lift cylinder foot.rated pressure"]]
    assert foot.worst.bound == pytest.approx(rating)
    pressure = done.series["pressure in lift cylinder foot"].values
    assert foot.worst.value == pytest.approx(float(pressure.max()))
    above = pressure > rating
    assert foot.since == done.times[above][0]
    assert foot.lasted == pytest.approx(above.sum() * (done.times[1] - done.times[0]), abs=2e-3)
    assert done.over_rating


def test_a_lever_moved_gently_breaks_no_rating(mast: Machine) -> None:
    assert not asked(mast, 1.0, "0.1 s over 0.3 s: lever=-0.5").over_rating


def test_air_let_out_for_a_moment_is_told_but_is_above_no_limit(hoist: Machine) -> None:
    done = asked(hoist, 0.5, "0.1 s over 0.1 s: lever=0", at={"lever": "1"})
    assert any("air comes out" in e.worst.what for e in done.findings)
    assert not done.over_rating


def test_a_shaft_that_turns_backwards_too_fast_is_beyond_its_rating() -> None:
    """A limit with two ends: the worst is the one farther out, whichever way, and it is a rating."""
    motor = Limit("motor", "turns faster than its rated speed", "rotation", -100.0, 100.0, False)
    air = Limit("line", "air comes out", "pressure", -3e4, None, False)
    system = cast(System, SimpleNamespace(limits={0: motor, 1: air}))
    times, terms = np.array([0.0, 1.0, 2.0]), np.array([[90.0, 0.0], [-130.0, -9e4], [110.0, 0.0]])
    backwards, vacuum = _findings(system, times, terms)
    assert (backwards.worst.value, backwards.worst.bound, backwards.since, backwards.lasted) == (-130, -100, 1, 1)
    assert (backwards.rated, vacuum.rated) == (True, False)
