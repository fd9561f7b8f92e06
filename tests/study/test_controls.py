"""What each pressure control opens at, as it is set now, against its setting and a solve of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.model.catalogue import shipped_valves
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.controls import acts, controls

PSI = parse("1 psi", "pressure")
CIRCUIT = """
    tank: {kind: tank}
    line: {kind: chamber}
    other: {kind: chamber}
    return: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: FLOW}
    hose: {kind: line, from: return, to: tank, length: 1 m, diameter: 30 mm}
    way: {kind: orifice, from: line, to: other, diameter: 10 mm}
    valve: {kind: valve, VALVE}
    """
RELIEF = "valve: VARIETY, P: line, T: return, setting: 2100 psi at 18 gpm"


def circuit(valve: str, flow: str = "18 gpm") -> str:
    return CIRCUIT.replace("VALVE", valve).replace("FLOW", flow)


@pytest.mark.parametrize("variety", ["direct relief", "pilot relief"])
def test_a_relief_opens_below_its_setting_and_passes_full_flow_at_it(machine, variety: str) -> None:
    built = machine(circuit(RELIEF.replace("VARIETY", variety)))
    ((found,), notes) = controls(built)
    assert (found.name, found.acts_as, found.chamber, notes) == ("valve", "relief", "line", [])
    assert found.full == pytest.approx(2100 * PSI, abs=0.01 * PSI)
    assert found.flow == pytest.approx(parse("18 gpm", "flow"))
    # It lets nothing pass with 2 psi less in its line, and something with 2 psi more.
    load = "load: {kind: test load, from: line, to: tank, load pressure: 100 psi}\n    "
    loaded = machine(circuit(RELIEF.replace("VARIETY", variety)) + load)
    for off, opened in ((-2, False), (2, True)):
        state = solve_point(loaded, {"load.load pressure": found.opens + off * PSI})
        assert acts(found, state) == opened


def test_turns_of_the_operating_point_count(machine) -> None:
    text = circuit(RELIEF.replace("VARIETY", "direct relief"))
    (before,), _ = controls(machine(text))
    (after,), _ = controls(machine(text, "operating point: {turns: 1 turns}\n"))
    alone = oilway.load("direct relief", {"setting": "2100 psi at 18 gpm"})
    alone.oil, alone.temperature = machine(text).oil, machine(text).temperature
    state = solve_point(alone, alone.point_from({"turns": "1 turns"}))
    assert after.full == pytest.approx(state.pressures["inlet"], rel=1e-6)
    assert after.full < before.full


def test_a_changed_spring_counts_though_the_setting_was_another(machine) -> None:
    built = machine(circuit(RELIEF.replace("VARIETY", "direct relief")))
    (before,), _ = controls(built)
    spring = built.parts["valve.main spring"].values
    (after,), _ = controls(built.with_part("valve.main spring", {"rate": 0.9 * float(spring["rate"])}))
    # Less override apart, nine tenths of the force open it at nine tenths of the pressure.
    assert after.opens == pytest.approx(0.9 * before.opens, rel=0.01)


@pytest.mark.parametrize(
    ("valve", "role", "chamber", "opens"),
    [
        ("valve: sequence, P: line, A: other, Y: tank", "sequence", "line", True),
        ("valve: sequence, P: line, A: other, Y: tank, pilot: remote, X: return", "sequence", "return", True),
        ("valve: unloading, P: line, A: other, T: return, X: other", "unloading", "other", True),
        ("valve: accumulator unloading, P: line, A: other, T: return", "unloading", "other", True),
        ("valve: reducing, P: line, A: other, Y: tank", "reducing", "other", False),
        ("valve: pilot reducing, P: line, A: other, Y: tank", "reducing", "other", False),
        ("valve: counterbalance, L: other, V: line, X: return", "counterbalance", "other", True),
        ("valve: brake, M: other, T: return, X: line", "brake", "other", True),
        ("valve: port relief, A: other, T: return", "port relief", "other", True),
        ("valve: solenoid vented relief, P: line, T: return, Y: tank", "relief", "line", True),
    ],
)
def test_each_senses_where_its_setting_is_read(machine, valve: str, role: str, chamber: str, opens: bool) -> None:
    built = machine(circuit(valve))
    ((found,), _) = controls(built)
    assert (found.acts_as, found.chamber, found.opens is not None) == (role, chamber, opens)
    assert found.full == pytest.approx(built.mounted[0].setting.pressure, abs=0.01 * PSI)
    if opens:
        assert 0.8 * found.full < found.opens < found.full


def test_the_reliefs_of_a_crossover_are_no_main_reliefs(machine) -> None:
    found, _ = controls(machine(circuit("valve: crossover relief, A: line, B: other, T: return")))
    assert {(c.name, c.acts_as, c.chamber) for c in found} == {
        ("valve.relief A", "crossover relief", "line"),
        ("valve.relief B", "crossover relief", "other"),
    }


def test_a_compensator_acts_from_the_foot_of_its_band(machine) -> None:
    pump = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: load-sensing pump, inlet: tank, outlet: line, case: tank, load sense: tank,
               engine speed: 2000 rpm, displacement: 30 cc/rev, compensator setting: 2600 psi, band: 120 psi,
               margin: 250 psi, standby: 300 psi}
        load: {kind: test load, from: line, to: tank, load pressure: 200 psi}
        """
    built = machine(pump)
    ((found,), _) = controls(built)
    assert (found.acts_as, found.chamber, found.flow) == ("compensator", "line", None)
    assert (found.opens, found.full) == pytest.approx((2480 * PSI, 2600 * PSI))
    # Destroked by its margin it is not at its compensator yet.
    assert not acts(found, solve_point(built))


def test_a_valve_that_does_not_say_what_it_acts_as(tmp_path: Path) -> None:
    text = shipped_valves()["direct relief"].read_text(encoding="utf-8").replace("acts as: relief\n", "")
    (tmp_path / "own.yaml").write_text(text, encoding="utf-8")
    parts = circuit("valve: own.yaml, P: line, T: return").replace("\n    ", "\n  ")
    built = oilway.loads(f"format: 1\nmachine: m\nparts:{parts}", "m.yaml", tmp_path)
    ((found,), notes) = controls(built)
    assert found.acts_as == ""
    assert notes == [
        "valve: its file does not say what it acts as, so it is compared with nothing; add 'acts as: ...'"
    ]
