"""Explain: regimes come out of the balance, and the words follow the regime."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.errors import NoSolution
from oilway.quantity import parse
from oilway.study.explain import BAND, default_points, explain, point_words
from oilway.study.story import examples, hoist

PSI = parse("1 psi", "pressure")
VENTED = """format: 1
machine: vented
oil: {grade: ISO VG 46, temperature: 120 F}
parts:
  tank: {kind: tank}
  line: {kind: chamber, volume: 1 L}
  vent line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 18 gpm}
  relief: {kind: valve, valve: pilot relief, P: line, T: tank, X: vent line, setting: 2300 psi at 18 gpm}
  vent valve: {kind: orifice, from: vent line, to: tank, diameter: VENT}
"""


@pytest.fixture(scope="module")
def pilot() -> oilway.Machine:
    return oilway.load("pilot relief")


def at(machine: oilway.Machine, **words: str):
    (explained,) = explain(machine, [machine.point_from({k.replace("_", " "): v for k, v in words.items()})])
    return explained


def words_for(machine: oilway.Machine, **standing: str) -> str:
    """What the valve's own file says of parts that stand so."""
    wanted = {(name.replace("_", " "), word) for name, word in standing.items()}
    state = next(s for m in machine.mounted for s in m.valve.states if set(s.when) == wanted)
    return " ".join(state.say.split())


# -- three regimes --------------------------------------------------------------------------------------------
def test_nothing_open_below_cracking(pilot: oilway.Machine) -> None:
    item = at(pilot, load_pressure="1500 psi")
    p = item.state.pressures
    assert p["back chamber"] == pytest.approx(p["inlet"], abs=1.0)
    assert p["pilot chamber"] == pytest.approx(p["inlet"], abs=1.0)
    assert p["pilot spring chamber"] == pytest.approx(0.0, abs=1.0)
    assert item.state.flow_through("main orifice") == pytest.approx(0.0, abs=1e-9)
    assert item.state.flow_through("main seat") == item.state.flow_through("pilot seat") == 0.0
    assert item.regimes[0][1] == words_for(pilot, pilot_poppet="seated", main_part="seated")
    assert item.balances == []


def test_pilot_open_main_shut(pilot: oilway.Machine) -> None:
    item = at(pilot, load_pressure="2265 psi")
    p, spring = item.state.pressures, 6e3 * 18e-3 / (math.pi / 4 * 0.024**2)
    assert 0 < p["inlet"] - p["back chamber"] < spring
    assert item.state.flow_through("main seat") == 0.0
    through = item.state.at_no_pressure(item.state.flow_through("main orifice"))
    assert through == pytest.approx(item.state.at_no_pressure(item.state.flow_through("pilot seat")), rel=1e-6)
    assert 0 < through < parse("0.1 gpm", "flow")
    assert item.regimes[0][1] == words_for(pilot, pilot_poppet="open", main_part="seated")


def test_main_open_at_full_flow(pilot: oilway.Machine) -> None:
    item = at(pilot)
    p, area = item.state.pressures, math.pi / 4 * 0.024**2
    terms = {e.label: -e.value / area for e in item.state.forces["main part"] if e.label != "pressure"}
    drop = p["inlet"] - p["back chamber"]
    assert drop == pytest.approx(sum(terms.values()), rel=1e-6)
    assert terms["spring preload"] == pytest.approx(6e3 * 18e-3 / area, rel=1e-9)
    assert terms["spring rate x lift"] > 0
    assert terms["flow force"] > 0
    assert item.regimes[0][1] == words_for(pilot, pilot_poppet="open", main_part="open")


def test_the_default_points_walk_through_the_regimes(pilot: oilway.Machine) -> None:
    stand = [{n: x.word for n, x in item.state.statuses.items()} for item in explain(pilot)]
    assert [(s["pilot poppet"], s["main part"]) for s in stand] == [
        ("seated", "seated"), ("open", "seated"), ("open", "open")
    ]  # fmt: skip
    assert len({item.regimes[0][1] for item in explain(pilot)}) == 3
    direct = [item.state.statuses["poppet"].word for item in explain(oilway.load("direct relief"))]
    assert direct == ["seated", "open", "open"]
    assert len(default_points(hoist("two-stage"))) == 1


def test_words_follow_the_balance_not_the_pressure(pilot: oilway.Machine) -> None:
    """The same load and pilot with a harder main spring: the drop is there, but it does not beat the spring."""
    hard = pilot.with_part("main spring", {"compression": 25e-3})  # 49 psi instead of 35
    assert at(pilot, load_pressure="2290 psi").state.statuses["main part"].word == "open"
    item = at(hard, load_pressure="2290 psi")
    assert item.state.statuses["main part"].word == "seated"
    assert item.regimes[0][1] == words_for(pilot, pilot_poppet="open", main_part="seated")


# -- vented ---------------------------------------------------------------------------------------------------
def test_vented_it_unloads_at_little_more_than_its_main_spring() -> None:
    vented = oilway.loads(VENTED.replace("VENT", "6 mm"), "vented.yaml")
    (item,) = explain(vented)
    assert item.state.statuses["relief.pilot poppet"].word == "seated"
    assert item.state.statuses["relief.main part"].word == "open"
    said = dict(item.regimes)["relief"]
    assert said == words_for(vented, pilot_poppet="seated", main_part="open")
    assert "vent" in said
    spring = 6e3 * 18e-3 / (math.pi / 4 * 0.024**2)  # 35 psi
    assert spring < item.state.pressures["line"] < spring + 25 * PSI
    # the whole pump flow goes over the main part but for what the orifice lets to the vent
    assert item.state.flow_through("relief.main seat") == pytest.approx(item.state.flow_through("pump"), rel=0.01)


def test_a_shut_vent_changes_nothing() -> None:
    (shut,) = explain(
        oilway.loads(
            VENTED.replace("  vent valve: {kind: orifice, from: vent line, to: tank, diameter: VENT}\n", ""),
            "v.yaml",
        )
    )
    assert shut.state.pressures["line"] / PSI == pytest.approx(2300, abs=0.1)


def test_a_leaking_vent_lowers_the_pressure_by_degrees() -> None:
    """Trade fault 13: the wider the leak, the lower; a leak as wide as the orifice takes the pilot's word away."""
    pressures = [
        explain(oilway.loads(VENTED.replace("VENT", d), "v.yaml"))[0].state.pressures["line"] / PSI
        for d in ("0.1 mm", "0.5 mm", "1 mm", "6 mm")
    ]
    assert pressures == sorted(pressures, reverse=True)
    assert pressures[0] == pytest.approx(2300, abs=15)
    assert pressures[1] < 2290
    assert pressures[-1] < 100


# -- what belongs to the answer ---------------------------------------------------------------------------------
def test_pressures_on_the_way_down_are_shown_where_they_differ(pilot: oilway.Machine) -> None:
    item = at(oilway.load("direct relief"))
    twice = 2 * 4 / (math.pi / 4 * 0.011**2)
    assert item.state.pressures["inlet"] - item.falling["inlet"] == pytest.approx(twice, rel=0.2)
    assert "outlet" not in item.falling
    assert all(abs(item.falling[c] - item.state.pressures[c]) > BAND for c in item.falling)
    assert at(oilway.load("direct relief", {"poppet.dry friction": "0 N"})).falling == {}
    assert at(pilot, load_pressure="1000 psi").falling == {}


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
def test_back_pressure_adds_to_an_internally_drained_valve(valve: str) -> None:
    built = oilway.load(valve)
    without, with_it = (at(built, tank_pressure=p).state.pressures["inlet"] for p in ("0 psi", "120 psi"))
    assert (with_it - without) / PSI == pytest.approx(120, abs=0.6)


def test_stability_is_told_for_each_point(pilot: oilway.Machine) -> None:
    assert all(item.stability.stable for item in explain(pilot))
    loose = oilway.load("direct relief", {"poppet.viscous friction": "0 N s/m"})
    assert not at(loose).stability.stable


def test_limits_broken_follow_the_findings() -> None:
    built = oilway.load("direct relief", {"inlet.rated pressure": "2200 psi"})
    assert at(built).limits_broken
    assert not at(built, load_pressure="1500 psi").limits_broken


def test_answers_do_not_depend_on_the_points_asked_before(pilot: oilway.Machine) -> None:
    points = [pilot.point_from({"load pressure": p}) for p in ("500 psi", "2290 psi", "2265 psi")]
    together = [item.state.z for item in explain(pilot, points)]
    alone = [explain(pilot, [point])[0].state.z for point in points]
    for one, other in zip(together, alone, strict=True):
        assert (one == other).all()


def test_no_solution_is_no_answer(machine) -> None:
    built = machine(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 1 gpm}
        """
    )
    with pytest.raises(NoSolution):
        explain(built)


# -- words ------------------------------------------------------------------------------------------------------
def test_a_valve_without_words_of_its_own_is_told_part_by_part() -> None:
    built = oilway.load(examples() / "damped_step_relief.yaml")
    seated, _, full = (item.regimes[0][1] for item in explain(built))
    assert seated == "The plunger sits on its seat: what pushes it shut is stronger."
    assert full.startswith("The plunger floats ")
    assert "mm open" in full
    stopped = oilway.load(
        examples() / "damped_step_relief.yaml", {"plunger.travel": "0.1 mm", "setting": "2300 psi at 2 gpm"}
    )
    assert at(stopped, pump_flow="20 gpm").regimes[0][1] == "The plunger stands fully open against its stop."


def test_a_valve_without_a_free_part_follows_its_lever() -> None:
    words = dict(explain(hoist("two-stage"))[0].regimes)
    assert words["lever valve"] == "It has no free part: its openings follow the lever."
    assert words["main relief"] == words_for(hoist("two-stage"), pilot_poppet="seated", main_part="seated")


def test_the_point_is_told_in_the_words_it_was_asked_in(pilot: oilway.Machine) -> None:
    point = pilot.point_from(
        {"load pressure": "2000 psi", "oil temperature": "104 F", "main orifice.diameter": "1 mm"}
    )
    said = point_words(pilot, point)
    assert said == "load pressure 2000 psi, oil temperature 104 °F, main orifice.diameter 0.039 in"
    assert "137.9 bar" in point_words(pilot, point, "metric")
    assert "40.0 °C" in point_words(pilot, point, "metric")
    assert point_words(pilot, {}) == "as in the file"
