"""Machines of the shop tests: a valve worked by hand, and a circuit with a held cylinder. Invented figures."""

from __future__ import annotations

import math

from oilway.quantity import parse

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
# No jet force, seat 10 mm, a 100 N/mm spring moved 1 mm a turn, dry friction 5 N.
PLAIN = """format: 1
valve: plain relief
acts as: relief
ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}
adjuster: spring
rated flow: 15 gpm
setting: 1500 psi at 15 gpm
parts:
  inlet: {kind: chamber}
  outlet: {kind: chamber}
  poppet: {kind: moving part, mass: 50 g, travel: 4 mm, dry friction: 5 N}
  face: {kind: face, on: poppet, chamber: inlet, diameter: 10 mm, pushes: open}
  back: {kind: face, on: poppet, chamber: outlet, diameter: 10 mm, pushes: shut}
  spring: {kind: spring, on: poppet, rate: 100 N/mm, pitch: 1 mm/turn, most turns: 20 turns}
  seat: {kind: poppet seat, on: poppet, from: inlet, to: outlet, diameter: 10 mm, half angle: 45 deg,
         recovered jet: 100 %}
"""
SEAT = math.pi / 4 * 0.010**2  # m2
BENCH = """
    tank: {kind: tank}
    line: {kind: chamber, rated pressure: 4000 psi}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 24 gpm}
    relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: "SETTING"}
    """
# A pump, a main relief, and a cylinder with a port relief behind a wide passage; a hose in the return.
STALLED = """
    tank: {kind: tank}
    line: {kind: chamber, rated pressure: 3500 psi}
    work: {kind: chamber, rated pressure: 3500 psi}
    return: {kind: chamber, rated pressure: 400 psi}
    pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm,
           volumetric efficiency: 100 %, rated pressure: 3500 psi}
    way: {kind: orifice, from: line, to: work, diameter: 20 mm}
    hose: {kind: line, from: return, to: tank, length: 3 m, diameter: 16 mm, rated pressure: 400 psi}
    main: {kind: valve, valve: pilot relief, P: line, T: return, setting: 2300 psi at 72 L/min}
    port: {kind: valve, valve: port relief, A: work, T: return, setting: PORT at 72 L/min}
    cylinder: {kind: cylinder, cap: work, rod: tank, bore: 80 mm, rod diameter: 40 mm, stroke: 600 mm,
               rated pressure: 3400 psi}
    box: {kind: load, on: cylinder, load pressure: 800 psi}
    """


def stalled(port: str = "2700 psi", swap: dict[str, str] | None = None) -> str:
    """The text of the circuit with its port relief at a setting, and texts replaced."""
    return swapped(STALLED.replace("PORT", port), swap or {})


def swapped(text: str, swap: dict[str, str]) -> str:
    """A text with others in it replaced, each of which must be there."""
    for old, new in swap.items():
        assert old in text
        text = text.replace(old, new)
    return text
