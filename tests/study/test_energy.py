"""The energy of a run: it balances whatever holds energy, entries are worked by hand, the error is the steps'."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.model.machine import Machine
from oilway.study.energy import Energy, energy_of_run, groups
from oilway.study.run import Run, read_change, run
from oilway.study.story import examples

AMBIENT, MODULUS = 101325.0, 1.5e9  # of the oil of these tests
STARVED = """
tank: {kind: tank}
suction: {kind: chamber, volume: 0.2 L}
strainer: {kind: orifice, from: tank, to: suction, diameter: 3 mm}
pump: {kind: test pump, inlet: suction, outlet: tank, flow: 1 gpm}
"""
# Everything that holds energy at once, on a tank under pressure.
STORE = """
tank: {kind: tank, pressure: 2 psi}
line: {kind: chamber, volume: 0.2 L}
hose end: {kind: chamber, volume: 0.2 L}
hose: {kind: hose, from: line, to: hose end, length: 5 m, diameter: 20 mm}
store: {kind: accumulator, at: hose end, size: 2 L, precharge: 50 bar}
pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
hole: {kind: orifice, from: hose end, to: tank, diameter: 2 mm}
ram:
  kind: cylinder
  cap: line
  rod: tank
  bore: 50 mm
  rod diameter: 30 mm
  stroke: 200 mm
  position: 100 mm
  seal friction: 200 N
  seal clearance: 10 um
weight:
  kind: linkage
  on: ram
  ratio: "1.2 at 0 mm, 1.0 at 100 mm, 2.0 at 200 mm"
  load force: 2 kN
  mass: 100 kg
"""
RAM = """
tank: {kind: tank}
cap: {kind: chamber, volume: 0.2 L}
pump: {kind: test pump, inlet: tank, outlet: cap, flow: 2 gpm}
ram: {kind: cylinder, cap: cap, rod: tank, bore: 50 mm, rod diameter: 30 mm, stroke: 200 mm, position: 20 mm}
weight: {kind: load, on: ram, load force: 5 kN, mass: 100 kg}
"""
Build = Callable[..., Machine]


def asked(machine: Machine, duration: float, *changes: str, **more: object) -> Run:
    """A run with its changes in words."""
    return run(machine, duration, [read_change(machine, text) for text in changes], **more)


def stored(machine: Build, **more: object) -> Run:
    """The store filled until the ram stands at its end, then left to the hole."""
    changes = ("0.1 s: pump flow=20 gpm", "1.5 s over 0.1 s: pump flow=0 gpm")
    return asked(machine(STORE), 3.0, *changes, **more)


def starved(machine: Build, **more: object) -> Run:
    """A pump that draws a void, stopped while it stands, and the void filled."""
    return asked(machine(STARVED), 3.0, "0 s: pump flow=5 gpm", "0.5 s: pump flow=0 gpm", **more)


def relief(name: str) -> Run:
    """A shipped relief when the flow over it doubles."""
    machine = oilway.load(name)
    return asked(machine, 0.2, "0.05 s: pump flow=18 gpm", point=machine.point_from({"pump flow": "9 gpm"}))


def swing() -> Run:
    """The swing drive, started and braked: an inertia, crossover reliefs, a brake valve."""
    machine = oilway.load(str(examples() / "swing_drive.yaml"))
    changes = ("0.1 s over 0.1 s: lever=1", "0.6 s over 0.1 s: lever=0")
    return asked(machine, 1.0, *changes, point=machine.point_from({"lever": "0"}))


# -- balance --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("what", ["store", "starved", "direct relief", "pilot relief", "swing"])
def test_energy_and_mass_balance_at_the_default_tolerance(machine: Build, what: str) -> None:
    made = {"store": lambda: stored(machine), "starved": lambda: starved(machine), "swing": swing}
    done = made.get(what, lambda: relief(what))()
    energy = energy_of_run(done)
    assert min(energy.sides) > 5.0, "J: something was turned over"
    assert energy.error < 1e-4
    assert done.mass_error < 1e-4


@pytest.mark.parametrize("make", [stored, starved])
def test_the_error_falls_with_the_tolerance(machine: Build, make: Callable[..., Run]) -> None:
    coarse, fine = (make(machine, relative=tolerance) for tolerance in (1e-4, 1e-7))
    assert energy_of_run(fine).error < energy_of_run(coarse).error / 10
    assert fine.mass_error < coarse.mass_error / 10


def test_an_entry_left_out_is_seen(machine: Build) -> None:
    whole = energy_of_run(stored(machine))
    for less in (
        replace(whole, carried=0.0),
        replace(whole, heat={n: v for n, v in whole.heat.items() if n != "ram"}),
        *(replace(whole, gained={n: v for n, v in whole.gained.items() if n != name}) for name in whole.gained),
    ):
        assert less.error > 5 * whole.error


# -- by hand --------------------------------------------------------------------------------------------------
def test_a_chamber_pumped_up_holds_what_the_pump_gave(machine: Build) -> None:
    # 1 L pressed to p holds p^2 V / 2 B, but for a small part in p / B.
    built = machine("""
        tank: {kind: tank}
        shut: {kind: chamber, volume: 1 L}
        pump: {kind: test pump, inlet: tank, outlet: shut, flow: 0 gpm}
    """)
    done = asked(built, 0.1, "0 s: pump flow=6 L/min")
    energy, p = energy_of_run(done), done.figures["shut"].end
    assert p == pytest.approx(0.01 * MODULUS, rel=0.01), "a hundredth of its volume more"
    assert energy.gained["compressed oil"] == pytest.approx(p**2 * 1e-3 / (2 * MODULUS), rel=0.01)
    assert energy.put_in == {"pump": pytest.approx(energy.gained["compressed oil"], rel=1e-4)}


def test_the_work_on_a_load_is_force_times_way_and_its_mass_keeps_the_rest(machine: Build) -> None:
    done = asked(machine(RAM), 0.5, "0.1 s over 0.1 s: pump flow=4 gpm")
    energy = energy_of_run(done)
    place, speed = (done.series[f"{what} of ram"].values for what in ("position", "velocity"))
    assert energy.work == {"weight": pytest.approx(5e3 * (place[-1] - place[0]), rel=1e-5)}
    moved = 0.5 * 120.0 * (speed[-1] ** 2 - speed[0] ** 2)
    assert moved > 0.1
    assert energy.gained["moving masses"] == pytest.approx(moved, rel=1e-9)


def test_the_gas_holds_what_pressed_it(machine: Build) -> None:
    done = stored(machine)
    p = done.series["pressure in hose end"].values
    start, end = (float(x) + AMBIENT for x in (p[0], p[-1]))
    assert end > start
    pressures = np.linspace(start, end, 20_001)
    volumes = 2e-3 * ((50e5 + AMBIENT) / np.maximum(pressures, 50e5 + AMBIENT)) ** (1 / 1.4)
    work = -np.trapezoid(pressures - AMBIENT, volumes)
    assert energy_of_run(done).gained["gas of accumulators"] == pytest.approx(work, rel=1e-6)


def test_the_wall_of_a_hose_holds_half_pressure_times_swelling(machine: Build) -> None:
    done = stored(machine)
    volume = math.pi / 4 * 20e-3**2 * 5.0
    ends = [done.series[f"pressure in {name}"].values for name in ("line", "hose end")]
    held = [sum(0.5 * p[k] ** 2 * volume / 2 / 400e6 for p in ends) for k in (0, -1)]
    assert energy_of_run(done).gained["hose walls"] == pytest.approx(held[1] - held[0], rel=1e-9)


def test_a_void_holds_its_volume_times_the_vacuum(machine: Build) -> None:
    done = asked(machine(STARVED), 0.5, "0 s: pump flow=5 gpm")
    taken, let_in = (done.series[f"flow through {part}"].values for part in ("pump", "strainer"))
    void = np.trapezoid(taken - let_in, done.times)
    assert void > 1e-5
    # The atmosphere would give it back; the pump has given it.
    assert energy_of_run(done).gained["compressed oil"] == pytest.approx((AMBIENT - 0.05e5) * void, rel=0.02)


def test_heat_of_an_orifice_is_pressure_times_flow(machine: Build) -> None:
    built = machine("""
        tank: {kind: tank}
        line: {kind: chamber, volume: 0.5 L}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
        bleed: {kind: orifice, from: line, to: tank, diameter: 2 mm}
    """)
    done = asked(built, 0.5, "0.1 s over 0.3 s: pump flow=8 gpm")
    power = done.series["pressure in line"].values * done.series["flow through bleed"].values
    # Oil pressed to p gives p / density less half of p / B: 1 % here.
    assert energy_of_run(done).heat["bleed"] == pytest.approx(np.trapezoid(power, done.times), rel=0.01)


def test_a_shaft_gives_back_its_turning() -> None:
    done = swing()
    speed = 2 * math.pi * done.series["speed of motor"].values
    inertia = done.course.th[0, done.machine.system.parameters["motor.inertia"]]
    turning = 0.5 * inertia * (speed[-1] ** 2 - speed[0] ** 2)
    assert energy_of_run(done).gained["moving masses"] == pytest.approx(turning, rel=1e-3)


@pytest.mark.parametrize("change", ["0.1 s: turns=5 turns", "0.1 s over 0.2 s: turns=5 turns"])
def test_the_hand_on_the_adjuster_presses_the_spring(change: str) -> None:
    machine = oilway.load("direct relief")
    below = machine.point_from({"load pressure": "500 psi"})
    done = asked(machine, 0.5, change, point=below)
    rate, pitch, before, given = (
        machine.theta(below)[machine.system.parameters[f"main spring.{name}"]]
        for name in ("rate", "pitch", "turns", "compression")
    )
    assert before < 5
    pressed = [0.5 * rate * (given + pitch * turns) ** 2 for turns in (before, 5.0)]
    energy = energy_of_run(done)
    assert energy.inputs == pytest.approx(pressed[1] - pressed[0], rel=5e-3), "the seat gives way by microns"
    assert energy.gained["springs"] == pytest.approx(energy.inputs, rel=5e-3)
    assert energy.error < 1e-6


# -- as it is told --------------------------------------------------------------------------------------------
def test_what_happens_inside_a_valve_is_told_of_the_valve() -> None:
    energy = energy_of_run(swing())
    assert {"pump", "motor", "main relief", "lever valve"} <= set(energy.heat)
    assert "main relief.main seat" not in energy.heat
    assert list(energy.heat.values()) == sorted(energy.heat.values(), reverse=True)


def test_groups_have_every_entry_once(machine: Build) -> None:
    energy = energy_of_run(stored(machine))
    told = groups(energy)
    given = sum(told["put in"].values())
    taken = sum(sum(amounts.values()) for name, amounts in told.items() if name != "put in")
    assert given - taken == pytest.approx(energy.left_over, abs=1e-9 * given)


def test_nothing_turned_over_has_no_error() -> None:
    assert Energy({}, 0.0, {}, {}, 0.0, {}).error == 0.0


def test_a_course_without_its_books_is_refused(machine: Build) -> None:
    done = asked(machine(RAM), 0.01)
    with pytest.raises(InputError, match="without its books"):
        energy_of_run(replace(done, course=replace(done.course, books=None)))
