"""The transient: the same rest as ``steady``, the same motion as another integrator, mass and energy kept."""

from __future__ import annotations

from collections.abc import Callable

import casadi as ca
import numpy as np
import pytest
from scipy.integrate import solve_ivp

import oilway
from oilway.errors import NoSolution
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve import transient as module
from oilway.solve.point import solve_point
from oilway.solve.transient import Course, Knot, resting_states, transient
from oilway.study.story import HOIST, examples

BLEED = """
tank: {kind: tank}
line: {kind: chamber, volume: 0.5 L}
pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
bleed: {kind: orifice, from: line, to: tank, diameter: 2 mm}
"""
RAM = """
tank: {kind: tank}
cap: {kind: chamber, volume: 0.2 L}
pump: {kind: test pump, inlet: tank, outlet: cap, flow: 2 gpm}
bleed: {kind: orifice, from: cap, to: tank, diameter: 1 mm}
ram: {kind: cylinder, cap: cap, rod: tank, bore: 50 mm, rod diameter: 30 mm, stroke: 200 mm, position: 190 mm}
weight: {kind: load, on: ram, load force: 5 kN, mass: 100 kg}
"""
# It begins 1 mm before its cushion and shuts the port within 2 mm: its speed goes into heat there.
CUSHIONED = RAM.replace(
    "position: 190 mm",
    "position: 149 mm, rod cushion length: 50 mm, rod cushion orifice: 1.5 mm, cushion taper: 2 mm",
)
DIRECT_FREE = {"poppet.dry friction": "0 N"}
PILOT_FREE = {"main part.dry friction": "0 N", "pilot poppet.dry friction": "0 N"}
HOIST_FREE = {f"main relief.{key}": value for key, value in PILOT_FREE.items()}


def from_rest(
    machine: Machine, before: dict[str, str], after: dict[str, str], duration: float, step: float, **more: object
) -> Course:
    """A run from rest at one operating point, with a step to another one at once."""
    start, end = (machine.point_from(words) for words in (before, after))
    knots = [Knot(0.0, machine.theta(start)), Knot(0.0, machine.theta(end)), Knot(duration, machine.theta(end))]
    return transient(machine.system, resting_states(solve_point(machine, start)), knots, step, **more)


def of(course: Course, name: str) -> Vector:
    """One state over the run."""
    return course.states[:, course.names.index(name)]


def flow_step(relative: float = 1e-6, step: float = 1e-3, duration: float = 0.03) -> Course:
    """The two-stage relief when the flow over it doubles."""
    machine = oilway.load("pilot relief")
    return from_rest(machine, {"pump flow": "9 gpm"}, {"pump flow": "18 gpm"}, duration, step, relative=relative)


# -- rest -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("direct relief", {"load pressure": "1500 psi"} | DIRECT_FREE),
        ("direct relief", {"pump flow": "9 gpm"} | DIRECT_FREE),
        ("direct relief", {"pump flow": "18 gpm"} | DIRECT_FREE),
        ("pilot relief", {"load pressure": "1500 psi"} | PILOT_FREE),
        ("pilot relief", {"pump flow": "0.2 gpm"} | PILOT_FREE),
        ("pilot relief", {"pump flow": "18 gpm"} | PILOT_FREE),
        (str(examples() / HOIST), {"lever": "0"} | HOIST_FREE),
        (str(examples() / HOIST), {"lever": "1", "load pressure": "2600 psi"} | HOIST_FREE),
    ],
)
def test_a_run_at_rest_stays_at_the_equilibrium(file: str, words: dict[str, str]) -> None:
    machine = oilway.load(file)
    course = from_rest(machine, words, words, 0.2, 0.01)
    moved = np.abs(course.states - course.states[0]) / machine.system.motion.scale
    creep = [name.startswith("position") for name in course.names]  # a cylinder sinks past the spool's clearance
    assert moved[:, np.logical_not(creep)].max() < 1e-5
    assert moved.max() < 1e-3


def test_a_raising_cylinder_keeps_the_speed_of_the_steady_state() -> None:
    machine = oilway.load(str(examples() / HOIST))
    course = from_rest(machine, {"lever": "1"}, {"lever": "1"}, 1.0, 0.05)
    speed, place = of(course, "velocity of hoist cylinder"), of(course, "position of hoist cylinder")
    assert speed == pytest.approx(speed[0], rel=1e-4)
    assert place[-1] - place[0] == pytest.approx(speed[0] * 1.0, rel=1e-4)


@pytest.mark.parametrize(("file", "flow"), [("direct relief", "18 gpm"), ("pilot relief", "18 gpm")])
def test_with_dry_friction_it_settles_inside_the_stick_band(file: str, flow: str) -> None:
    machine = oilway.load(file)
    low, high = (
        solve_point(machine, machine.point_from({"pump flow": flow}), push=push).pressures["inlet"]
        for push in ("shut", "open")
    )
    assert high - low > 1e4, "a band to settle in"
    course = from_rest(machine, {"pump flow": flow}, {"pump flow": flow}, 0.5, 0.01)
    # The push that holds is spent within 1 mm/s: the pressure drifts off the edge of the band, never out of it.
    assert low < of(course, "pressure in inlet")[-1] <= high


def test_the_step_ends_where_steady_says() -> None:
    machine = oilway.load("direct relief")
    course = from_rest(
        machine, {"pump flow": "9 gpm"} | DIRECT_FREE, {"pump flow": "18 gpm"} | DIRECT_FREE, 1.0, 0.01
    )
    rest = resting_states(solve_point(machine, machine.point_from({"pump flow": "18 gpm"} | DIRECT_FREE)))
    assert np.abs((course.states[-1] - rest) / machine.system.motion.scale).max() < 1e-5


# -- accuracy -------------------------------------------------------------------------------------------------
def test_the_error_falls_with_the_tolerance() -> None:
    truth = flow_step(1e-10)
    scale = oilway.load("pilot relief").system.motion.scale
    errors = [
        np.abs((flow_step(tolerance).states - truth.states) / scale).max() for tolerance in (1e-4, 1e-6, 1e-8)
    ]
    assert errors[0] > 5 * errors[1]
    assert errors[1] > 5 * errors[2]
    assert errors[2] < 1e-4


def test_an_independent_integrator_agrees() -> None:
    machine = oilway.load("pilot relief")
    ours = flow_step(1e-8)
    motion, th = machine.system.motion, ours.th[-1]
    rates = ca.Function("f", [motion.states, motion.th], [motion.rates])
    slopes = ca.Function("j", [motion.states, motion.th], [ca.jacobian(motion.rates, motion.states)])
    size = motion.scale
    theirs = solve_ivp(
        lambda _, y: np.array(rates(y * size, th)).ravel() / size,
        (0.0, ours.times[-1]),
        ours.states[0] / size,
        method="Radau",
        jac=lambda _, y: np.array(slopes(y * size, th)) / size[:, None] * size,
        t_eval=ours.times[1:],
        rtol=1e-7,
        atol=1e-8,
    )
    pressures = [k for k, name in enumerate(ours.names) if name.startswith("pressure")]
    assert np.abs(ours.states[1:, pressures] / size[pressures] - theirs.y.T[:, pressures]).max() < 1e-4


def test_the_output_step_changes_nothing_but_the_output() -> None:
    coarse, fine = flow_step(1e-8, step=3e-3), flow_step(1e-8, step=1e-4)
    assert coarse.times[-1] == fine.times[-1] == pytest.approx(0.03)
    assert of(coarse, "pressure in inlet")[1:] == pytest.approx(of(fine, "pressure in inlet")[30::30], rel=1e-4)


# -- mass and energy ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("file", "before", "after", "duration"),
    [
        ("direct relief", {"pump flow": "9 gpm"}, {"pump flow": "18 gpm"}, 0.1),
        ("pilot relief", {"pump flow": "9 gpm"}, {"pump flow": "18 gpm"}, 0.1),
        ("pilot relief", {"pump flow": "18 gpm"}, {"pump flow": "1 gpm"}, 0.3),
        (str(examples() / HOIST), {"lever": "0"}, {"lever": "1"}, 1.0),
    ],
)
def test_no_oil_is_lost(file: str, before: dict[str, str], after: dict[str, str], duration: float) -> None:
    machine = oilway.load(file)
    course = from_rest(machine, before, after, duration, 1e-3)
    system = machine.system
    terms, *_ = system.moving_ledgers(course.states, course.th)
    out = [k for k, t in enumerate(system.terms) if t.sort == "flow" and machine.parts[t.place].kind == "tank"]
    moved = np.trapezoid(np.abs(terms[:, out]).sum(axis=1), course.times) / 2
    assert moved > 0.005
    assert abs(course.mass_left_over) < 1e-4 * moved


@pytest.mark.parametrize("which", ["line", "ram", "cushioned", "direct relief"])
def test_the_books_of_energy_are_the_power_ledger_over_time(machine: Callable[..., Machine], which: str) -> None:
    circuits = {"line": BLEED, "ram": RAM, "cushioned": CUSHIONED}
    built = machine(circuits[which]) if which in circuits else oilway.load(which)
    flows = {"ram": ("2 gpm", "1.5 gpm"), "cushioned": ("2 gpm", "3 gpm")}.get(which, ("5 gpm", "12 gpm"))
    course = from_rest(built, {"pump flow": flows[0]}, {"pump flow": flows[1]}, 0.04, 1e-5, energy=True)
    terms, *_ = built.system.moving_ledgers(course.states, course.th)
    asked = ("shaft power", "work on the load")
    for k, term in enumerate(built.system.terms):
        if term.sort == "power" and term.label in asked:
            integral = np.trapezoid(terms[:, k], course.times)
            assert course.books.spent[term.label, term.part] == pytest.approx(integral, rel=1e-4)
    spent, gained = (sum(book.values()) for book in (course.books.spent, course.books.gained))
    turned = sum(abs(value) for value in course.books.spent.values())
    assert abs(gained) > 1e-3 * turned, "something is stored or given back"
    assert abs(gained + spent) < 1e-4 * turned


def test_keeping_the_books_changes_nothing_of_the_course(machine: Callable[..., Machine]) -> None:
    built = machine(RAM)
    words = ({"pump flow": "2 gpm"}, {"pump flow": "1.5 gpm"}, 0.1, 1e-3)
    without, kept = (from_rest(built, *words, energy=energy) for energy in (False, True))
    assert without.books is None
    assert np.abs((kept.states - without.states) / built.system.motion.scale).max() < 1e-4


def test_other_oil_put_in_on_the_way_is_no_oil_lost(machine: Callable[..., Machine]) -> None:
    built = machine(BLEED)
    for after in ({"oil temperature": "60 C"}, {"line.volume": "0.4 L"}):
        course = from_rest(built, {}, after, 0.2, 1e-3, energy=True)
        assert abs(course.books.inputs) > 0.1
        assert abs(course.mass_left_over) < 1e-6
        assert (
            abs(sum(course.books.gained.values()) + sum(course.books.spent.values()) - course.books.inputs) < 0.05
        )


# -- knots ----------------------------------------------------------------------------------------------------
def test_a_ramp_is_followed_and_a_step_is_a_step(machine: Callable[..., Machine]) -> None:
    built = machine(BLEED)
    low, high = (built.theta(built.point_from({"pump flow": flow})) for flow in ("5 gpm", "10 gpm"))
    column = built.system.parameters["pump.flow"]
    start = resting_states(solve_point(built, built.point_from({"pump flow": "5 gpm"})))
    knots = [Knot(0.0, low), Knot(0.1, low), Knot(0.3, high), Knot(0.4, high), Knot(0.4, low), Knot(1.0, low)]
    course = transient(built.system, start, knots, 0.01)
    wanted = np.interp(course.times, [0.1, 0.3], [low[column], high[column]])
    before = course.times < 0.4
    assert course.th[before, column] == pytest.approx(wanted[before])
    assert np.all(course.th[course.times > 0.4, column] == low[column])
    pressure = of(course, "pressure in line")
    assert pressure[np.searchsorted(course.times, 0.1) - 1] == pytest.approx(pressure[0], rel=1e-6)
    assert pressure[-1] == pytest.approx(pressure[0], rel=1e-3)


# -- voids and stops ------------------------------------------------------------------------------------------
STARVED = """
tank: {kind: tank}
suction: {kind: chamber, volume: 0.2 L}
strainer: {kind: orifice, from: tank, to: suction, diameter: 3 mm}
pump: {kind: test pump, inlet: suction, outlet: tank, flow: 1 gpm}
"""


def test_a_void_opens_and_refills(machine: Callable[..., Machine]) -> None:
    built = machine(STARVED)
    slow, fast, off = (built.theta(built.point_from({"pump flow": flow})) for flow in ("1 gpm", "5 gpm", "0 gpm"))
    start = resting_states(solve_point(built, built.point_from({"pump flow": "1 gpm"})))
    knots = [Knot(0.0, slow), Knot(0.0, fast), Knot(0.5, fast), Knot(0.5, off), Knot(3.0, off)]
    course = transient(built.system, start, knots, 1e-3)
    rho0 = float(course.th[0, built.system.parameters["oil.rho0"]])
    terms, _, _, pressures = built.system.moving_ledgers(course.states, course.th)
    pressure = pressures["suction"]
    empty = pressure <= pressure.min() + 1.0
    assert pressure.min() == pytest.approx(0.05e5 - 101325.0, abs=1.0)
    filling = next(
        k
        for k, t in enumerate(built.system.terms)
        if t.sort == "flow" and (t.part, t.place) == ("strainer", "suction")
    )
    supply = float(terms[np.nonzero(empty)[0][5], filling])  # constant while the void stands
    taken = rho0 * float(fast[built.system.parameters["pump.flow"]])
    # By hand: the void is what the pump took above what the strainer let through, and fills at the latter.
    opened, closed = course.times[empty][0], course.times[empty][-1]
    assert closed - 0.5 == pytest.approx((taken - supply) * (0.5 - opened) / supply, rel=0.01)
    assert pressure[-1] == pytest.approx(0.0, abs=100.0)
    assert abs(course.mass_left_over) < 1e-4 * taken * 0.5


def test_the_end_stop_is_met_and_holds(machine: Callable[..., Machine]) -> None:
    built = machine(RAM)
    course = from_rest(built, {}, {}, 3.0, 1e-3)
    place, speed = of(course, "position of ram"), of(course, "velocity of ram")
    assert speed[0] > 0.03
    assert place.max() < 0.2 + 1e-3
    # Held by a stop of 1e8 N/m: it gives by the force that the load leaves over.
    area = np.pi / 4 * 0.05**2
    force = of(course, "pressure in cap")[-1] * area - 5000.0
    assert force > 100.0
    assert place[-1] - 0.2 == pytest.approx(force / 1e8, rel=1e-3)
    assert abs(speed[-1]) < 1e-5


# -- stalling -------------------------------------------------------------------------------------------------
def test_a_run_that_stalls_names_time_state_and_equation(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_STEPS", 3)
    with pytest.raises(NoSolution) as stalled:
        flow_step()
    assert "stalled after 0 s" in str(stalled.value)
    assert stalled.value.equation.startswith("rate of ")
    assert stalled.value.unknown in oilway.load("pilot relief").system.motion.names


def test_of_a_stalled_run_the_part_reached_can_be_had(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_STEPS", 60)
    machine = oilway.load("pilot relief")
    rest, more = (machine.theta(machine.point_from({"pump flow": flow})) for flow in ("9 gpm", "18 gpm"))
    start = resting_states(solve_point(machine, machine.point_from({"pump flow": "9 gpm"})))
    knots = [Knot(0.0, rest), Knot(0.02, rest), Knot(0.02, more), Knot(0.2, more)]
    course = transient(machine.system, start, knots, 1e-4, partial=True)
    assert not course.complete
    assert 0.02 < course.times[-1] < 0.2, "it goes on into the hard stretch as far as it can"
    assert len(course.times) == len(course.states) == len(course.th)
    with pytest.raises(NoSolution, match=f"stalled after {course.times[-1]:.4g} s"):
        transient(machine.system, start, knots, 1e-4)


def test_a_run_that_crawls_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    # Never too many steps between two points, but too many for the time they cover.
    monkeypatch.setattr(module, "MOST_STEPS", 200)
    monkeypatch.setattr(module, "CRAWL", 1.0)
    with pytest.raises(NoSolution, match="stalled after") as stalled:
        flow_step(step=1e-5)
    assert stalled.value.equation == f"rate of {stalled.value.unknown}"
    machine = oilway.load("pilot relief")
    words = {"pump flow": "9 gpm"}, {"pump flow": "18 gpm"}
    part = from_rest(machine, *words, 0.03, 1e-5, partial=True)
    assert not part.complete
    assert part.steps >= 200
    assert np.all(np.diff(part.times) >= 0), "no stretch is gone over twice"
    monkeypatch.setattr(module, "CRAWL", 1e-7)
    assert flow_step(step=1e-5).steps > 200, "it goes on where the time moves"


def test_a_wide_passage_that_is_never_laminar_ends_in_words(machine: Callable[..., Machine]) -> None:
    # At no flow its drop is a fraction of a thousandth of a pascal: no step is small enough for the law.
    wide = "{kind: orifice, diameter: 100 mm, transition Reynolds number: 1, from: %s, to: %s}"
    built = machine(f"""
        tank: {{kind: tank}}
        line: {{kind: chamber, volume: 1 cm3}}
        far: {{kind: chamber, volume: 1 cm3}}
        pump: {{kind: test pump, inlet: tank, outlet: line, flow: 0 gpm}}
        first: {wide % ("line", "far")}
        second: {wide % ("far", "tank")}
    """)
    low, high = (built.theta(built.point_from({"pump flow": flow})) for flow in ("0 gpm", "10 gpm"))
    start = resting_states(solve_point(built, built.point_from({"pump flow": "0 gpm"})))
    knots = [Knot(0.0, low), Knot(0.1, high), Knot(0.2, high), Knot(0.3, low), Knot(1.0, low)]
    with pytest.raises(NoSolution, match="stalled after") as stalled:
        transient(built.system, start, knots, 1e-3)
    assert stalled.value.unknown in ("pressure in line", "pressure in far")
    assert "transition Reynolds number" in str(stalled.value)


# -- progress -------------------------------------------------------------------------------------------------
def test_the_time_reached_is_told_on_the_way(machine: Callable[..., Machine]) -> None:
    told: list[float] = []
    course = from_rest(machine(BLEED), {}, {"pump flow": "6 gpm"}, 5.0, 5e-3, progress=told.append)
    assert len(told) >= 5, "about once a second of the run"
    assert told == sorted(told)
    assert told[-1] == course.times[-1] == 5.0
