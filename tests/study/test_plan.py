"""Setting plans: order, readings and refusals, against circuits worked by hand."""

from __future__ import annotations

import pytest
from tests.study.shop import BENCH, GPM, PLAIN, PSI, stalled, swapped

import oilway
from oilway.errors import InputError
from oilway.study.plan import ORDER, setting_plan
from oilway.study.staging import BELOW_RELIEF
from oilway.study.story import examples

COMPENSATED = """
    tank: {kind: tank}
    line: {kind: chamber, rated pressure: RATED}
    pump: {kind: pressure-compensated pump, inlet: tank, outlet: line, case: tank, displacement: 36 cc/rev,
           engine speed: 2000 rpm, compensator setting: 2300 psi, band: 100 psi, rated pressure: 3800 psi}
    main: {kind: valve, valve: pilot relief, P: line, T: tank, setting: 2600 psi at 18 gpm}
    cylinder: {kind: cylinder, cap: line, rod: tank, bore: 80 mm, rod diameter: 40 mm, stroke: 600 mm,
               rated pressure: 3800 psi}
    box: {kind: load, on: cylinder, load pressure: 800 psi}
    """


def test_the_main_comes_first_and_reads_its_setting_and_the_back_pressure(machine) -> None:
    plan = setting_plan(machine(stalled()))
    assert [s.control.name for s in plan.steps] == ["main", "port"]
    main = plan.steps[0]
    assert not main.on_bench
    assert not main.masked
    # Internally drained: what the return hose makes adds 1:1.
    assert main.reading.back_pressure > 2 * PSI
    assert main.reading.pressure == pytest.approx(main.control.full + main.reading.back_pressure, abs=2 * PSI)
    assert main.reading.beside == ("port",)  # a direct one, ajar at the main's pressure
    assert 0.9 < main.reading.flow / (2000 / 60 * 36e-6) < 1  # nearly all that the pump gives
    assert main.reading.cold > main.reading.pressure  # the hose asks for more with cold oil


def test_a_port_relief_needs_the_main_out_of_its_way_and_back_again(machine) -> None:
    port = setting_plan(machine(stalled())).steps[1]
    assert port.masked == ("main",)
    (raised,) = port.raised
    assert 2700 * PSI < raised.to < 3400 * PSI  # above the port relief, below the lowest rating
    assert raised.turns > 0
    assert port.reading.pressure == pytest.approx(port.control.full + port.reading.back_pressure, abs=3 * PSI)
    assert not port.reading.beside  # the main does not open


def test_a_main_that_may_not_be_raised_leaves_the_port_relief_to_the_bench(machine) -> None:
    text = stalled(swap={"3400 psi": "2750 psi"})
    port = setting_plan(machine(text)).steps[1]
    assert port.on_bench
    assert port.masked == ("main",)
    assert not port.raised
    assert port.reading is None


def test_a_port_relief_below_the_main_stalls_its_function_and_the_main_moves_nothing(machine) -> None:
    (below,) = setting_plan(machine(stalled())).steps[0].below
    assert below.held == ("cylinder",)
    assert below.to == pytest.approx(2100 * PSI)
    # 19 gpm by 20 mm: some psi between the gauge of the main and the port, and the return hose
    assert below.reads == pytest.approx(below.to, abs=40 * PSI)
    assert abs(below.moved) < 0.01 * below.alone
    assert below.alone == pytest.approx(
        0.5 * 333 * PSI, rel=0.02
    )  # half a turn of 45 N/mm on 5 mm: 45 N / 19.63 mm2


def test_a_compensator_comes_last_and_hides_the_relief_until_it_is_raised(machine) -> None:
    plan = setting_plan(machine(COMPENSATED.replace("RATED", "3800 psi")))
    main, pump = plan.steps
    assert main.masked == ("pump",)
    assert main.raised[0].turns is None
    assert main.reading.pressure == pytest.approx(2600 * PSI, rel=0.01)
    # Destroked it stands within its band below the setting.
    assert 0 <= pump.control.full - pump.reading.pressure <= 100 * PSI
    assert pump.adjuster is None
    assert main.control.full - pump.control.full > BELOW_RELIEF


def test_the_order_is_that_of_the_trade() -> None:
    assert ORDER.index("counterbalance") < ORDER.index("relief") < ORDER.index("port relief")
    assert ORDER.index("relief") < ORDER.index("compensator")
    names = [s.control.name for s in setting_plan(oilway.load(examples() / "boom.yaml")).steps]
    assert names == ["counterbalance", "main relief"]


def test_what_acts_on_the_way_up_does_not_show_while_a_function_is_held() -> None:
    steps = {s.control.name: s for s in setting_plan(oilway.load(examples() / "press.yaml")).steps}
    assert not steps["sequence valve"].shows
    # The ram's own load, 1500 psi, stands behind the valve: the gauge follows it past the setting.
    assert steps["sequence valve"].reading.pressure > 1500 * PSI
    assert steps["clamp reducing"].shows


def test_turns_per_pressure_of_a_plain_spring(machine) -> None:
    """Direct relief, 400 N/mm x 0.75 mm on 11 mm: 300 N / 95.03 mm2 = 457.9 psi a turn, but for the jet."""
    text = BENCH.replace("SETTING", "2300 psi at 24 gpm")
    (step,) = setting_plan(machine(text)).steps
    assert step.adjuster.per_turn == pytest.approx(457.9 * PSI, rel=0.05)


# -- refusals ----------------------------------------------------------------------------------------------
def test_every_missing_rating_is_named_with_its_line_and_the_line_to_add(machine) -> None:
    line, cylinder = ", rated pressure: 3500 psi}\n    work", ",\n               rated pressure: 3400 psi"
    text = stalled(swap={line: "}\n    work", cylinder: ""})
    with pytest.raises(InputError) as refused:
        setting_plan(machine(text))
    first, second = refused.value.problems
    assert str(first.where) == "circuit.yaml:6"  # format, machine, oil, parts, tank, line
    assert first.what.startswith("line: no rated pressure, and it sees the pressure of main")
    assert second.what.startswith("cylinder: no rated pressure")
    assert "add 'rated pressure: ...'" in first.hint


def test_what_sees_no_pressure_of_a_control_needs_no_rating(machine) -> None:
    setting_plan(machine(stalled(swap={"diameter: 16 mm, rated pressure: 400 psi": "diameter: 16 mm"})))


def test_a_setting_above_the_lowest_rating_is_refused(machine) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:\d+: main: .* cylinder, rated for 2200 psi") as refused:
        setting_plan(machine(stalled(swap={"3400 psi": "2200 psi"})))
    assert refused.value.exit_status == 2


def test_a_reading_above_the_rating_by_back_pressure_is_a_finding(machine) -> None:
    """The setting keeps the rating, the gauge with the back-pressure of a narrow hose does not."""
    port = "    port: {kind: valve, valve: port relief, A: work, T: return, setting: 2700 psi at 72 L/min}\n"
    text = stalled(swap={port: "", "3400 psi": "2320 psi", "diameter: 16 mm": "diameter: 8 mm"})
    plan = setting_plan(machine(text))
    assert plan.steps[0].reading.back_pressure > 20 * PSI
    assert any("main: reads" in f and "set it lower" in f for f in plan.findings)


def test_an_adjuster_without_direction_is_refused(tmp_path) -> None:
    """On some cartridges turning in lowers the setting, so nothing is assumed."""
    file = tmp_path / "plain.yaml"
    text = swapped(PLAIN, {"pitch: 1 mm/turn": "compression: 5 mm", "setting: 1500 psi at 15 gpm\n": ""})
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="which way its adjuster") as refused:
        setting_plan(oilway.load(file), rated=3000 * PSI)
    assert "below zero where turning in lowers" in refused.value.problems[0].hint


def test_a_machine_without_controls_has_nothing_to_set(machine) -> None:
    parts = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
        hole: {kind: orifice, from: line, to: tank, diameter: 5 mm}
        """
    with pytest.raises(InputError, match="nothing to set"):
        setting_plan(machine(parts))


def test_a_valve_alone_is_set_on_the_bench_below_the_rating_given() -> None:
    valve = oilway.load("counterbalance")
    with pytest.raises(InputError, match="no rated pressure"):
        setting_plan(valve)
    with pytest.raises(InputError, match="above its rated pressure"):
        setting_plan(valve, rated=2300 * PSI)
    (step,) = setting_plan(valve, rated=3500 * PSI).steps
    assert step.on_bench
    # 6 mm wire, 24 mm, 8 coils: 79.3e3 x 6^4 / (8 x 24^3 x 8) = 116.2 N/mm; x 1.5 mm on 8 mm: 502.7 psi a turn.
    assert step.adjuster.per_turn == pytest.approx(502.7 * PSI, rel=0.01)


def test_flow_of_the_test_bench_is_the_setting_flow(machine) -> None:
    (step,) = setting_plan(machine(BENCH.replace("SETTING", "2300 psi at 24 gpm"))).steps
    assert step.control.flow == pytest.approx(24 * GPM)
