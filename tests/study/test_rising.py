"""A load that rises, in circuits whose order can be told by hand."""

from __future__ import annotations

import pytest

from oilway.laws.areas import circle_area
from oilway.quantity import parse
from oilway.study.controls import controls
from oilway.study.rising import levers, rises

PSI = parse("1 psi", "pressure")
FLOW = parse("10 gpm", "flow")
# Pump, check, cylinder: the check lets the cylinder's line rise above the pump's.
LIFT = """
    tank: {kind: tank}
    line: {kind: chamber}
    cap line: {kind: chamber}
    return: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    main: {kind: valve, valve: direct relief, P: line, T: return, setting: MAIN at 10 gpm}
    check: {kind: check valve, from: line, to: cap line, diameter: 20 mm}
    port: {kind: valve, valve: port relief, A: cap line, T: return, setting: PORT at 10 gpm}
    hose: {kind: line, from: return, to: tank, length: 1 m, diameter: 40 mm}
    cylinder: {kind: cylinder, cap: cap line, rod: tank, bore: 100 mm, rod diameter: 50 mm, stroke: 1 m}
    box: {kind: load, on: cylinder, load pressure: 1000 psi}
    """


@pytest.fixture
def raised(machine):
    """``raised(text)``: controls by name, and the rises of a machine."""

    def run(text: str, top: str = ""):
        built = machine(text, top)
        found, _ = controls(built)
        return {c.name: c for c in found}, rises(built, found)

    return run


def lift(main: str, port: str) -> str:
    return LIFT.replace("MAIN", main).replace("PORT", port)


def test_the_lower_one_acts_first_and_the_other_once_the_load_pushes_back(raised) -> None:
    found, (rise,) = raised(lift("1500 psi", "2000 psi"))
    assert [act.control for act in rise.acts] == ["main", "port"]
    assert (rise.load, rise.kind, rise.point, rise.already, rise.stopped) == (
        "box.load pressure", "pressure", {}, (), "",
    )  # fmt: skip
    main, port = rise.acts
    # Each where its own inlet reaches what opens it; the hose behind it is a few psi.
    assert main.pressure == pytest.approx(found["main"].opens, abs=3 * PSI)
    assert port.pressure == pytest.approx(found["port"].opens, abs=3 * PSI)
    # The rod end is open to the tank, so the load is the pressure in the cap end.
    assert port.load == pytest.approx(port.pressure, rel=1e-6)
    assert main.load < main.pressure


def test_a_port_relief_below_the_main_acts_first(raised) -> None:
    """The main waits until the load itself holds the check shut, at what the port relief lets the load rise to."""
    found, (rise,) = raised(lift("2000 psi", "1500 psi"))
    port, main = rise.acts
    assert (port.control, main.control) == ("port", "main")
    assert port.load < found["port"].full < found["main"].opens < main.load + 20 * PSI


def test_what_a_passage_takes_comes_off_the_load(raised, oil) -> None:
    """dp = rho / 2 (Q / (Cd A))^2 over a 5 mm hole, at which the relief opens before the load gets there."""
    hole = "check: {kind: orifice, from: line, to: cap line, diameter: 5 mm}"
    text = lift("2000 psi", "2600 psi").replace(
        "check: {kind: check valve, from: line, to: cap line, diameter: 20 mm}", hole
    )
    _, (rise,) = raised(text)
    main = rise.acts[0]
    rho = oil.mean(main.pressure, main.load)
    drop = rho / 2 * (FLOW * oil.rho0 / rho / (0.61 * circle_area(5e-3))) ** 2
    assert main.control == "main"
    assert main.pressure - main.load == pytest.approx(drop, rel=0.02)


def test_levers_are_tried_as_given_and_in_neutral(raised, machine) -> None:
    text = """
        tank: {kind: tank}
        line: {kind: chamber}
        cap line: {kind: chamber}
        rod line: {kind: chamber}
        return: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
        main: {kind: valve, valve: direct relief, P: line, T: return, setting: 1800 psi at 10 gpm}
        lever valve: {kind: valve, valve: lever valve, P: line, T: return, A: cap line, B: rod line}
        hose: {kind: line, from: return, to: tank, length: 1 m, diameter: 40 mm}
        cylinder: {kind: cylinder, cap: cap line, rod: rod line, bore: 100 mm, rod diameter: 50 mm, stroke: 1 m}
        box: {kind: load, on: cylinder, load force: 30 kN}
        """
    name = "lever valve.spool.position"
    assert levers(machine(text)) == [name]
    _, found = raised(text, "operating point: {lever: 1}\n")
    assert [(r.point, [a.control for a in r.acts]) for r in found] == [({}, ["main"]), ({name: 0.0}, [])]
    _, found = raised(text, "operating point: {lever: 0}\n")
    assert [(r.point, [a.control for a in r.acts]) for r in found] == [({}, []), ({name: 1.0}, ["main"])]
    assert {r.load for r in found} == {"box.load force"}


def test_what_acts_at_the_least_load_is_told_apart(raised) -> None:
    heavy = lift("400 psi", "2000 psi").replace("load pressure: 1000 psi", "load pressure: 4000 psi")
    found, (rise,) = raised(heavy)
    assert rise.start > found["main"].full
    assert rise.already == ("main",)
    assert [act.control for act in rise.acts] == ["port"]


def test_without_a_control_nothing_is_raised(machine) -> None:
    assert rises(machine(lift("1500 psi", "2000 psi")), []) == []
