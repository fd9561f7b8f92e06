"""Published numbers and trends of things in motion, from runs of machines in text: CK19, CK20, CK48-CK50.

Sources stand beside each number; 'from memory' means that the text was not at hand.
"""

from __future__ import annotations

import math
import textwrap

import numpy as np
import pytest

import oilway
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.transient import Course, Knot, transient
from oilway.study.run import Run, read_change, run


def text(parts: str) -> str:
    """A machine file around its parts, in an oil without air, so that its modulus is the one given: 1.4 GPa."""
    oil = (
        "{grade: ISO VG 46, viscosity index: 100, density at 15 C: 885.5 kg/m3, bulk modulus: 1.4 GPa, "
        "entrained air: 0, temperature: 40 C}"
    )
    return f"format: 1\nmachine: bench\noil: {oil}\nparts:\n{textwrap.indent(parts.strip(), '  ')}\n"


def released(machine: Machine, states: dict[str, float], duration: float, step: float) -> Course:
    """A run from given states, the others zero, with nothing changing on the way."""
    motion, th = machine.system.motion, machine.theta()
    start = np.zeros(len(motion.names))
    for name, value in states.items():
        start[motion.names.index(name)] = value
    return transient(machine.system, start, [Knot(0.0, th), Knot(duration, th)], step, relative=1e-8)


def frequency(times: Vector, values: Vector) -> float:
    """Frequency (Hz) of a swing, from the first to the last upward crossing of its mean, each interpolated."""
    y = values - (values.max() + values.min()) / 2
    k = np.nonzero((y[:-1] <= 0) & (y[1:] > 0))[0]
    crossings = times[k] - y[k] * (times[k + 1] - times[k]) / (y[k + 1] - y[k])
    return float((len(k) - 1) / (crossings[-1] - crossings[0]))


def test_ck19_pressure_rise_in_a_closed_chamber() -> None:
    # Continuity (Merritt, from memory): 1.4 GPa x 60 L/min / 1 L = 14 000 bar/s.
    parts = """
tank: {kind: tank}
trapped: {kind: chamber, volume: 1 L}
pump: {kind: test pump, inlet: tank, outlet: trapped, flow: 60 L/min}
"""
    course = released(oilway.loads(text(parts), "bench.yaml"), {}, 1e-3, 1e-4)
    rise = course.states[:, course.names.index("pressure in trapped")] / np.maximum(course.times, 1e-9)
    assert rise[1] / 1e5 == pytest.approx(14_000, rel=1e-3)
    # Later it is a little less: what comes in at 0 psi is packed into oil that is denser already.
    assert rise[-1] == pytest.approx(1.4e9 * math.log(1 + 1e-3) / 1e-3, rel=1e-6)


def test_ck48_natural_frequency_of_a_poppet_on_its_spring() -> None:
    # Standard: sqrt(k / m) with 22.95 N/mm and 20 g is 1071.2 rad/s = 170.5 Hz.
    parts = """
tank: {kind: tank}
line: {kind: tank, pressure: 10.2 bar}
poppet: {kind: moving part, mass: 20 g, travel: 5 mm, viscous friction: 0 N s/m}
face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
spring: {kind: spring, on: poppet, rate: 22.95 N/mm, compression: 1 mm}
hole: {kind: orifice, from: line, to: tank, diameter: 1 mm}
"""
    # It balances near 2.5 mm and swings between 2 and 3 mm, clear of seat and stop.
    course = released(oilway.loads(text(parts), "bench.yaml"), {"lift of poppet": 2e-3}, 0.1, 5e-5)
    lift = course.states[:, course.names.index("lift of poppet")]
    assert 0 < lift.min() < lift.max() < 5e-3
    assert frequency(course.times, lift) == pytest.approx(170.5, rel=1e-3)


def test_ck49_natural_frequency_of_a_cylinder_shut_in() -> None:
    # Merritt ch. 6, from memory: sqrt(4 B A^2 / (Vt M)) with 1.4 GPa, 20 cm2, 2 L, 1000 kg is 16.843 Hz.
    # Areas whose mean square is (20 cm2)^2, with the thinnest rod there is; 1 L shut in at either end.
    rod = math.pi / 4 * 2e-3**2
    cap = math.sqrt(20e-4**2 - rod**2 / 4) + rod / 2
    bore = math.sqrt(4 * cap / math.pi)
    parts = f"""
cap: {{kind: chamber, volume: {1e6 - 1e3 - cap * 1e6 * 100:.3f} mm3}}
rod: {{kind: chamber, volume: {1e6 - 1e3 - (cap - rod) * 1e6 * 100:.3f} mm3}}
ram:
  kind: cylinder
  cap: cap
  rod: rod
  bore: {bore * 1e3:.6f} mm
  rod diameter: 2 mm
  stroke: 200 mm
  position: 100 mm
  dead volume: 1 cm3
  mass: 20 kg
load: {{kind: load, on: ram, load force: {5e6 * rod:.4f} N, mass: 980 kg}}
"""
    start = {"pressure in cap": 5e6, "pressure in rod": 5e6, "position of ram": 0.1, "velocity of ram": 0.01}
    course = released(oilway.loads(text(parts), "bench.yaml"), start, 1.0, 5e-4)
    speed = course.states[:, course.names.index("velocity of ram")]
    assert speed[-200:].max() == pytest.approx(0.01, rel=1e-3), "nothing damps it"
    assert frequency(course.times, speed) == pytest.approx(16.843, rel=1e-3)


def test_ck50_overshoot_of_a_poppet_with_damping() -> None:
    # Standard second order: damping ratio 0.5 at 100 rad/s overshoots by 16.303 %, first after 36.276 ms.
    parts = """
tank: {kind: tank}
line: {kind: tank, pressure: 10 bar}
poppet: {kind: moving part, mass: 1 kg, travel: 20 mm, viscous friction: 100 N s/m}
face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
spring: {kind: spring, on: poppet, rate: 10 N/mm, compression: 1 mm}
hole: {kind: orifice, from: line, to: tank, diameter: 1 mm}
"""
    machine = oilway.loads(text(parts), "bench.yaml")
    done = run(machine, 0.4, [read_change(machine, "0.1 s: line.pressure=15 bar")], step=1e-4)
    lift = done.series["lift of poppet"].values
    first, last = lift[0], lift[-1]
    assert last - first == pytest.approx(5e5 * math.pi / 4 * 0.01**2 / 10e3, rel=1e-4)
    assert (lift.max() - last) / (last - first) == pytest.approx(0.16303, rel=5e-3)
    assert done.times[lift.argmax()] - 0.1 == pytest.approx(36.276e-3, abs=1e-4)
    outside = np.abs(lift - last) > 0.02 * (last - first)
    # The envelope is within 2 % after 4 / (zeta wn) = 80 ms; the swing itself somewhere in its last half period.
    assert 0.080 - math.pi / (100 * math.sqrt(0.75)) < done.times[outside][-1] - 0.1 < 0.080 + 1e-3


def test_ck20_a_column_of_oil_stopped_at_once() -> None:
    # Joukowsky (standard): 1.4 GPa, 870 kg/m3, 5 m/s stopped: c = 1268.5 m/s, rise 55.18 bar.
    # The pipe as forty lengths of line with a chamber between each two; the far end opens to a tank.
    count, length, bore = 40, 20.0, 0.1
    area = math.pi / 4 * bore**2
    parts = ["tank: {kind: tank, pressure: 100 bar}"]
    for k in range(count):
        share = 0.5 if k == 0 else 1.0
        parts.append(f"x{k}: {{kind: chamber, volume: {share * 1e6 * area * length / count:.3f} cm3}}")
        end = f"x{k + 1}" if k + 1 < count else "tank"
        parts.append(
            f"pipe{k}: {{kind: line, from: {end}, to: x{k}, length: {length / count} m, diameter: 100 mm}}"
        )
    machine = oilway.loads(text("\n".join(parts)), "bench.yaml")
    flow = 870.0 * area * 5.0
    start = {f"pressure in x{k}": 1e7 for k in range(count)} | {f"flow in pipe{k}": flow for k in range(count)}
    course = released(machine, start, 0.1, 1e-4)
    rise = course.states[:, course.names.index("pressure in x0")] - 1e7
    there_and_back = 2 * length / 1268.5
    crest = (course.times > 0.2 * there_and_back) & (course.times < 0.8 * there_and_back)
    # Lumps ring about the crest; their mean is the wave's.
    assert rise[crest].mean() / 1e5 == pytest.approx(55.18, rel=0.03)
    back = course.times[np.nonzero(rise < 0)[0][0]]
    assert back == pytest.approx(there_and_back, rel=0.03)


# -- trends ---------------------------------------------------------------------------------------------------
def after_a_step(machine: Machine, before: str, after: str, duration: float, step: float) -> Run:
    """A run in which the flow over a relief changes at 0.02 s."""
    point = machine.point_from({"pump flow": before})
    return run(machine, duration, [read_change(machine, f"0.02 s: pump flow={after}")], point=point, step=step)


def test_chatter_frequency_hardly_depends_on_flow() -> None:
    # Bazso and Hos, J. Fluids and Structures 42 (2013) 456-465, abstract: nearly constant over flow.
    machine = oilway.load("direct relief", {"poppet.dry friction": "0 N", "poppet.viscous friction": "20 N s/m"})
    heard = []
    for flow in (6, 12, 18):
        done = after_a_step(machine, f"{flow - 1} gpm", f"{flow} gpm", 0.3, 1e-4)
        assert sum(event.what == "seats" for event in done.events) > 50, "it hammers on its seat"
        heard.append(done.figures["inlet"].frequency)
    assert min(heard) > 300
    assert max(heard) < 1.1 * min(heard), "three times the flow, a tenth of a difference"


def test_a_smaller_damping_orifice_is_steadier_but_slower() -> None:
    # Chinese J. Mech. Eng. 2023, s10033-023-00922-5, abstract: smaller orifice, more stable, slower response.
    slowness, swings = [], []
    for diameter in ("0.6 mm", "0.8 mm", "1.1 mm"):
        machine = oilway.load("pilot relief", {"damping orifice.diameter": diameter})
        done = after_a_step(machine, "9 gpm", "18 gpm", 0.5, 1e-4)
        slowness.append(done.figures["inlet"].peak_time - 0.02)  # the main part has opened when the pressure turns
        swings.append(float(np.ptp(done.series["pressure in inlet"].values[done.times > 0.1])))
    assert swings[0] < swings[1] / 2 < swings[2] / 4, "steadier"
    assert slowness[0] > 1.2 * slowness[1] > 1.4 * slowness[2], "slower"


RELIEF_ON_A_LINE = """
tank: {kind: tank}
pump line: {kind: chamber, volume: 1 L}
port: {kind: chamber, volume: 20 cm3}
pump: {kind: test pump, inlet: tank, outlet: pump line, flow: 12 gpm}
pipe: {kind: line, from: pump line, to: port, length: LENGTH m, diameter: 20 mm}
relief:
  kind: valve
  valve: direct relief
  P: port
  T: tank
  setting: 2300 psi at 18 gpm
  with: {poppet.viscous friction: 450 N s/m, poppet.dry friction: 0 N}
"""


def test_a_critical_length_of_line_exists() -> None:
    # Hos, Champneys, Paul, McNeely, part III liquid service (2016), abstract: above a critical length it chatters.
    swings = []
    for length in (0.05, 0.1, 0.5, 2.0):
        machine = oilway.loads(text(RELIEF_ON_A_LINE.replace("LENGTH", str(length))), "bench.yaml")
        done = after_a_step(machine, "11 gpm", "12 gpm", 0.4, 1e-4)
        swings.append(done.figures["port"].frequency)
    assert swings[:2] == [0.0, 0.0]
    assert min(swings[2:]) > 100
