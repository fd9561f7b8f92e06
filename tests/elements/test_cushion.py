"""Cushions: speed, pressure and heat of the last part of a stroke by hand, free on the way back, soft arrival."""

from __future__ import annotations

import math

import numpy as np
import pytest

from oilway.errors import InputError
from oilway.study.run import read_change, run

BORE, ROD, STROKE = 80e-3, 45e-3, 0.5
CAP = math.pi / 4 * BORE**2
RING = math.pi / 4 * (BORE**2 - ROD**2)
NEEDLE = 3e-3
CD, RE_T = 0.61, 9.33
CUSHIONS = (
    "cap cushion length: 40 mm, cap cushion orifice: 3 mm, rod cushion length: 40 mm, rod cushion orifice: 3 mm, "
    "cushion taper: 4 mm"
)
# A load lets its oil out by an open end, so that nothing but the cushion holds it.
LOWERING = """
    tank: {kind: tank}
    other: {kind: tank}
    line: {kind: chamber}
    pipe: {kind: orifice, from: line, to: tank, diameter: 90 mm}
    ram: {kind: cylinder, bore: 80 mm, rod diameter: 45 mm, stroke: 500 mm, cap: line, rod: other,
          position: 20 mm, CUSHIONS}
    weight: {kind: load, on: ram, load force: 20 kN, mass: 500 kg}
    """.replace("CUSHIONS", CUSHIONS)
PULLED = LOWERING.replace("cap: line, rod: other", "cap: other, rod: line").replace("20 kN", "-20 kN")
PULLED = PULLED.replace("position: 20 mm", "position: 480 mm")
DRIVEN = f"""
    tank: {{kind: tank}}
    line: {{kind: chamber, volume: 1 L}}
    back: {{kind: chamber, volume: 1 L}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 40 L/min}}
    load valve: {{kind: test load, from: line, to: tank, load pressure: 150 bar}}
    return: {{kind: orifice, from: back, to: tank, diameter: 12 mm}}
    ram: {{kind: cylinder, bore: 80 mm, rod diameter: 45 mm, stroke: 500 mm, cap: line, rod: back,
          position: 440 mm, {CUSHIONS}}}
    weight: {{kind: load, on: ram, load force: 5 kN, mass: 200 kg}}
    """


def speed_through_needle(oil, force: float, area: float, share: float = 1.0, needle: float = NEEDLE) -> float:
    """m/s of a piston: force on the area makes the drop of area x speed x share through the needle."""
    u = oil.orifice_speed(needle, force / area, oil.rho0, CD, RE_T)
    return u * math.pi / 4 * needle**2 / area / share


@pytest.mark.parametrize(("parts", "area", "way"), [(LOWERING, CAP, -1), (PULLED, RING, 1)])
def test_inside_the_cushion_the_needle_sets_the_speed(solve, oil, parts: str, area: float, way: int) -> None:
    state = solve(parts)
    by_hand = speed_through_needle(oil, 20e3, area)
    assert state.velocities["ram"] == pytest.approx(way * by_hand, rel=1e-4)  # the pipe drops a little, too
    # turbulent, round figures: 20 kN on 50.3 cm2 drive 58 m/s through 7.07 mm2
    assert pytest.approx(0.61 * math.sqrt(2 * 20e3 / area / oil.rho0) * 7.069e-6 / area, rel=0.02) == by_hand
    end = "cap" if way < 0 else "rod"
    assert state.readings[f"ram.{end} cushion"] == ("pressure", pytest.approx(20e3 / area, rel=1e-4))
    other = "rod" if way < 0 else "cap"
    assert state.readings[f"ram.{other} cushion"][1] == pytest.approx(0.0, abs=1.0)


def test_before_the_cushion_there_is_no_drop(solve, force) -> None:
    state = solve(LOWERING.replace("position: 20 mm", "position: 41 mm"))
    assert force(state, "ram", "cap cushion") == 0.0
    assert -state.velocities["ram"] > 0.5


def test_over_the_taper_the_port_shuts_by_degrees(solve, oil) -> None:
    # Half way down the taper half of the port is shut: twice the speed makes the same drop.
    half, whole = (solve(LOWERING.replace("position: 20 mm", f"position: {mm} mm")) for mm in (38, 30))
    assert half.velocities["ram"] == pytest.approx(-speed_through_needle(oil, 20e3, CAP, 0.5), rel=1e-3)
    assert half.velocities["ram"] == pytest.approx(2 * whole.velocities["ram"], rel=1e-3)
    nearly = solve(LOWERING.replace("position: 20 mm", "position: 39.99 mm"))
    before = solve(LOWERING.replace("position: 20 mm", "position: 40 mm"))
    assert nearly.velocities["ram"] == pytest.approx(before.velocities["ram"], rel=0.01)


def test_leaving_the_stop_is_free(solve, force) -> None:
    state = solve(DRIVEN.replace("position: 440 mm", "position: 10 mm"))
    assert state.velocities["ram"] > 0
    assert force(state, "ram", "cap cushion") == 0.0
    plain = solve(DRIVEN.replace("position: 440 mm", "position: 10 mm").replace(f", {CUSHIONS}", ""))
    assert state.velocities["ram"] == pytest.approx(plain.velocities["ram"], rel=1e-9)
    assert state.pressures == pytest.approx(plain.pressures, rel=1e-9)


def test_pressure_stands_on_the_ring_round_the_plunger(solve, oil) -> None:
    # 50 mm of plunger leave 30.6 cm2 of 50.3: less oil by the needle, and more pressure to hold the same.
    state = solve(LOWERING.replace("cushion taper", "cap cushion plunger: 50 mm, cushion taper"))
    ring = math.pi / 4 * (BORE**2 - 50e-3**2)
    assert state.velocities["ram"] == pytest.approx(-speed_through_needle(oil, 20e3, ring), rel=1e-3)
    assert state.readings["ram.cap cushion"][1] == pytest.approx(20e3 / ring, rel=1e-4)


def test_what_the_load_gives_up_is_heat_in_the_cushion(solve) -> None:
    state = solve(LOWERING)
    heat = next(e.value for e in state.power if e.part == "ram" and e.label == "heat" and e.law == "orifice law")
    assert heat == pytest.approx(20e3 * -state.velocities["ram"], rel=1e-3)
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-6 * heat)


def test_a_cushion_above_the_rating_is_reported(solve) -> None:
    # 20 kN on 50.3 cm2 are 39.8 bar in the cushion; next to nothing stands at the port.
    rated = [
        solve(LOWERING.replace("cushion taper", f"rated pressure: {bar} bar, cushion taper")) for bar in (39, 41)
    ]
    what = "cap cushion pressure above its rated pressure"
    assert [[f.what for f in state.findings] for state in rated] == [[what], []]


@pytest.fixture
def arrivals(machine):
    """Runs to the outer end with and without cushions, from rest in front of them."""

    def built(parts: str):
        made = machine(parts.replace("rod cushion orifice: 3 mm", "rod cushion orifice: 1.5 mm"))
        point = made.point_from({"pump flow": "0 L/min"})
        return run(made, 1.2, [read_change(made, "0.02 s over 0.1 s: pump flow=40 L/min")], point=point)

    return built(DRIVEN), built(DRIVEN.replace(f", {CUSHIONS}", ""))


def test_with_a_cushion_it_meets_its_stop_slower(arrivals, oil) -> None:
    met = []
    for done in arrivals:
        time = next(e.time for e in done.events if "meets its outer end" in e.what)
        met.append(float(np.interp(time, done.times, done.series["velocity of ram"].values)))
        assert done.mass_error < 1e-4
    soft, hard = met
    # Without: what the pump gives, 40 L/min on 50.3 cm2. With: what the ring pushes through the needle at the
    # pressure then in the cap end, no more than the load valve's 150 bar.
    assert hard == pytest.approx(40e-3 / 60 / CAP, rel=0.05)
    most = speed_through_needle(oil, 160e5 * CAP - 5e3, RING, needle=1.5e-3)
    assert 0 < soft < most < 0.6 * hard


def test_a_run_shows_the_pressure_in_the_cushion(arrivals) -> None:
    soft, hard = arrivals
    assert "ram.rod cushion" not in hard.figures
    figures = soft.figures["ram.rod cushion"]
    assert figures.peak > 3 * soft.figures["back"].peak
    inside = soft.series["position of ram"].values < STROKE - 40e-3
    shown, port = (soft.series[f"pressure in {name}"].values for name in ("ram.rod cushion", "back"))
    assert shown[inside] == pytest.approx(port[inside])


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("cap cushion length: 40 mm, ", "", "cap cushion orifice wants a cap cushion length"),
        (", cap cushion orifice: 3 mm", "", "cap cushion length wants a cap cushion orifice"),
        (
            "rod cushion length: 40 mm",
            "rod cushion length: 600 mm",
            "rod cushion length is longer than the stroke",
        ),
        ("cushion taper: 4 mm", "cushion taper: 50 mm", "cushion taper is longer than the cap cushion length"),
        (
            "cushion taper",
            "rod cushion plunger: 40 mm, cushion taper",
            "rod cushion plunger does not lie between rod and bore",
        ),
        (
            "cushion taper",
            "cap cushion plunger: 80 mm, cushion taper",
            "cap cushion plunger does not lie between rod and bore",
        ),
    ],
)
def test_contradictions_are_refused(machine, old: str, new: str, what: str) -> None:
    assert old in DRIVEN
    with pytest.raises(InputError, match=what):
        machine(DRIVEN.replace(old, new))
