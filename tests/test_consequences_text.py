"""The section 'What the operator feels' in the terminal: every figure of the study, in the units asked for."""

from __future__ import annotations

import io
import math
import re

import pytest
from rich.console import Console

import oilway
from oilway.consequences_text import cavity_line, headline, print_felt, warming_lines
from oilway.study.consequences import Actuator, Cavity, Drift
from oilway.study.explain import Explained, explain
from oilway.study.story import hoist
from oilway.study.warming import Warming
from oilway.text import AUTHORITY, print_explained

CAP = math.pi / 4 * 0.100**2  # m2


def felt_at(**words: str) -> Explained:
    built = hoist("two-stage")
    point = built.point_from({name.replace("_", " "): text for name, text in words.items()})
    return explain(built, [point])[0]


def printed(item: Explained, units: str = "shop", width: int = 110) -> str:
    text = io.StringIO()
    print_felt(Console(file=text, width=width, emoji=False), item, units)
    return text.getvalue()


def lines_of(text: str) -> str:
    return " ".join(text.split())


def test_a_valve_on_the_bench_has_no_such_section() -> None:
    assert printed(explain(oilway.load("pilot relief"))[0]) == ""


def test_the_section_closes_the_point_it_belongs_to() -> None:
    text = io.StringIO()
    items = [felt_at(lever="0"), felt_at(lever="1")]
    print_explained(Console(file=text, width=110), items, "shop", [print_felt])
    said = text.getvalue()
    assert said.count("What the operator feels") == 2
    assert said.index("What the operator feels") < said.index("lever 1")  # before the next point begins
    assert lines_of(said).endswith(AUTHORITY)


def test_drift_is_told_per_minute_in_both_systems() -> None:
    item = felt_at(lever="0")
    velocity = -item.state.velocities["hoist cylinder"]
    inches, millimetres = velocity * 60 / 0.0254, velocity * 60e3
    said = lines_of(printed(item))
    assert f"lever in neutral: it retracts at {inches:.3g} in/min, {millimetres:.3g} mm/min (drift)" in said
    assert f"{millimetres:.3g} mm/min, {inches:.3g} in/min" in lines_of(printed(item, "metric"))


def test_the_ways_of_the_oil_are_ranked_and_the_main_relief_has_none() -> None:
    said = printed(felt_at(lever="0"))
    shares = [float(s) for s in re.findall(r"\(spool\) +\S+ +([\d.]+) %  ", said)]
    assert shares[:2] == sorted(shares[:2], reverse=True)
    assert sum(shares[:2]) == pytest.approx(100, abs=0.2)
    assert "no share in it (0 %): main relief (two-stage relief), lever valve.load check (check valve)" in said


def test_the_leak_is_told_as_a_meter_or_a_jar_would() -> None:
    item = felt_at(lever="0")
    # all that leaves is what the cap end gives up; counted at no pressure it is 1 % more
    lost = -CAP * item.state.velocities["hoist cylinder"] * 60e6  # mL/min
    told = [float(s) for s in re.findall(r"\(spool\) +([\d.]+) +[\d.]+ %  ", printed(item, "metric"))]
    assert sum(told[:2]) == pytest.approx(lost, rel=0.015)


def test_force_at_standstill_is_a_table_both_ways() -> None:
    said = printed(felt_at(lever="1"))
    # 2300 psi on the cap area of 12.17 in2, and 1500 psi asked
    most, asks, spare = map(int, re.search(r"extends, lever 1 \(now\) +(\d+) +(\d+) +(\d+)", said).groups())
    assert most == pytest.approx(2300 * CAP / 0.0254**2, rel=2e-3)
    assert asks == pytest.approx(1500 * CAP / 0.0254**2, rel=1e-3)
    assert spare == pytest.approx(most - asks, abs=1)
    assert re.search(r"retracts, lever -1 +\d+ +-\d+ +\d+", said)


def test_a_stall_says_which_valve_takes_the_oil() -> None:
    said = lines_of(printed(felt_at(lever="1", load_pressure="2600 psi")))
    assert "hoist cylinder STALLS" in said
    assert "95 % of the oil of pump goes by way of main relief (two-stage relief) to tank" in said
    assert "STALLS" not in printed(felt_at(lever="1"))


def test_heat_is_psi_times_gpm_over_1714() -> None:
    item = felt_at(lever="1", load_pressure="2600 psi")
    said = printed(item)
    hp, btu = map(float, re.search(r"main relief +([\d.]+) +(\d+)", said).groups())
    gpm = next(r.flow for r in item.felt.pumped["pump"]) / (231 * 0.0254**3 / 60)
    psi = item.state.pressures["pump line"] / 6894.757
    assert hp == pytest.approx(psi * gpm / 1714, rel=0.015)  # oil that gives way under pressure
    assert btu == pytest.approx(hp * 2544.4, rel=1e-3)
    assert re.search(r"total +[\d.]+ +\d+", said)


def test_warming_is_told_with_what_was_taken_for_it() -> None:
    known = Warming(1000.0, 0.02, 60.0, [], ["heat transfer of tank 12 W/m2K"])
    shop, metric = (" / ".join(warming_lines(known, units)) for units in ("shop", "metric"))
    assert "warms by 2.16 °F a minute" in shop  # 0.02 K/s x 60 x 9/5
    assert "warms by 1.20 °C a minute" in metric
    assert "settles at 140 °F" in shop
    assert "settles at 60.0 °C" in metric
    assert "(common practice: heat transfer of tank 12 W/m2K)" in shop


def test_tank_and_cooler_are_told_with_what_each_gives_off() -> None:
    given = {"tank": 745.7, "cooler": 2 * 745.7}
    known = Warming(3 * 745.7, 0.02, 60.0, [], [], given, ["cooler"], -0.01)
    shop, metric = (" / ".join(warming_lines(known, units)) for units in ("shop", "metric"))
    assert "given off by tank wall 1.00 hp and cooler 2.00 hp" in shop
    assert "given off by tank wall 0.75 kW and cooler 1.49 kW" in metric
    assert "with all that cools it at work, it cools by 1.08 °F a minute" in shop  # 0.01 K/s x 60 x 9/5
    three = Warming(0.0, None, 60.0, [], [], {"tank": 745.7, **dict.fromkeys(("a", "b"), 745.7)}, ["a", "b"])
    assert "tank wall 1.00 hp, a 1.00 hp and b 1.00 hp" in " ".join(warming_lines(three, "shop"))


def test_a_tank_that_cannot_hold_it_is_not_given_a_temperature_oil_never_has() -> None:
    assert "settles beyond 302 °F" in " ".join(warming_lines(Warming(2e4, None, 1400.0, [], []), "shop"))


def test_what_is_missing_is_named() -> None:
    (line,) = warming_lines(Warming(1000.0, None, None, ["how fast: give the tank its 'oil volume'"], []), "shop")
    assert line == "not known: how fast: give the tank its 'oil volume'"


def test_cavitation_is_told_with_its_void() -> None:
    line = cavity_line(Cavity("rod line", "air comes out", -96325.0, 1e-6), "metric")
    assert line == "cavitation: rod line at -1.0 bar: air comes out; a void grows by 60 mL/min"
    assert "void" not in cavity_line(Cavity("pump", "too low", -3e4, 0.0), "shop")
    assert "cavitation: rod line at -14 psi" in printed(felt_at(lever="0"))


@pytest.mark.parametrize(
    ("speed", "kind", "stop", "drift", "said"),
    [
        (0.0, "velocity", False, None, "jack: it stands"),
        (0.0, "velocity", True, None, "jack is pressed against its end stop"),
        (-0.1, "velocity", False, Drift("cap", False, [], []), "jack: it retracts at 3.937 in/s with its load"),
        (2.0, "rotation", False, None, "jack: it turns forwards at 120 rpm"),
        (-1e-4, "rotation", False, Drift("a", True, [], []), "jack: it turns backwards at 0.006 rpm (drift)"),
    ],
)
def test_an_actuator_in_one_line(speed: float, kind: str, stop: bool, drift: Drift | None, said: str) -> None:
    assert headline(Actuator("jack", kind, speed, {}, [], stop, drift), "shop") == said


def test_names_from_files_are_text_and_the_width_is_kept(machine) -> None:
    built = machine(
        """
        tank: {kind: tank}
        "the [red]cap[/]": {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: "the [red]cap[/]", flow: 1 gpm}
        bleed: {kind: orifice, from: "the [red]cap[/]", to: tank, diameter: 4 mm}
        "[bold]jack": {kind: cylinder, cap: "the [red]cap[/]", rod: tank, bore: 50 mm, rod diameter: 20 mm,
                       stroke: 1 m}
        box: {kind: load, on: "[bold]jack", load force: 5 kN}
        """
    )
    (item,) = explain(built)
    said = printed(item)
    assert "[bold]jack" in said
    assert "the [red]cap[/]" in said
    for width in (80, 110):
        assert max(map(len, printed(felt_at(lever="0"), width=width).splitlines())) <= width
