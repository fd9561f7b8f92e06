"""Misconceptions: each follows from the model with the belief applied, and is named when it is answered."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import CLASS, PSI, SHIPPED, item_of, variant

import oilway
from benchmarks.class_beliefs import NAMED, Tried, inject
from oilway import quantity
from oilway.solve.point import solve_point
from oilway.study.misconceptions import MISCONCEPTIONS
from oilway.study.roster import Student
from oilway.study.story import examples
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant
from oilway.study.worksheet_solve import Wrong


@pytest.fixture(scope="module")
def tried() -> Tried:
    """Two students of every shipped worksheet (30 in ``python -m benchmarks class``)."""
    out = Tried()
    for path in SHIPPED:
        out.add(inject(str(path), 2))
    return out


def test_each_injected_misconception_is_named(tried: Tried) -> None:
    """In 95 of 100 cases or more, each of them, where the number differs beyond the tolerance."""
    assert len(tried.applied) >= 8
    assert {n: c for n, c in tried.applied.items() if tried.named[n] < NAMED * c} == {}, tried.missed


def test_who_has_everything_right_gets_full_marks(tried: Tried) -> None:
    assert tried.sheets == tried.perfect == 2 * len(SHIPPED)


def test_an_injected_misconception_is_named_on_a_metric_sheet() -> None:
    tried = inject(str(CLASS / "hoist_relief.yaml"), 1, "metric")
    assert tried.met
    assert tried.applied.total() > 8


def wrong_of(found: Variant, item: str) -> dict[str, Wrong]:
    return {w.misconception: w for w in item_of(found, item).wrong}


@pytest.fixture(scope="module")
def hoist() -> Variant:
    return Drawer(read_worksheet(CLASS / "hoist_relief.yaml")).variant(Student("m"))


def test_who_thinks_that_pumps_make_pressure_answers_the_setting(hoist: Variant) -> None:
    setting = quantity.parse(hoist.drawn["setting"], "pressure")
    assert wrong_of(hoist, "pump gauge")["pumps make pressure"].value == pytest.approx(setting, rel=1e-5)
    assert wrong_of(hoist, "parked")["main relief holds a parked load"].value == pytest.approx(setting, rel=1e-5)


def test_who_leaves_back_pressure_out_answers_what_it_reads_without(hoist: Variant) -> None:
    wrong = wrong_of(hoist, "tank line")["back-pressure does not matter"]
    machine = hoist.sitting.models.machine({"main relief.setting": f"{hoist.drawn['setting']} at 18 gpm"})
    without = solve_point(machine, machine.point_from({"load pressure": "3400 psi", "lever": "1"}))
    assert wrong.value == pytest.approx(without.pressures["pump line"], rel=1e-6)


def test_who_turns_up_a_relief_for_speed_scales_with_the_setting(hoist: Variant) -> None:
    wrong = wrong_of(hoist, "faster")["higher setting fixes a slow cylinder"]
    high, low = (quantity.parse(hoist.drawn[word], "pressure") for word in ("higher", "setting"))
    assert wrong.value == pytest.approx(item_of(hoist, "cylinder speed").size() * high / low, rel=1e-4)


def test_who_thinks_the_pilot_carries_all_answers_the_pump_flow(hoist: Variant) -> None:
    wrong = wrong_of(hoist, "pilot")["the pilot carries full flow"]
    assert float(wrong.value) > 100 * item_of(hoist, "pilot").size()


def test_who_always_sees_a_drop_chooses_higher(hoist: Variant) -> None:
    assert wrong_of(hoist, "back chamber")["an orifice always drops pressure"].value == "higher"


def test_a_switch_and_a_setting_that_cracks() -> None:
    found = Drawer(read_worksheet(CLASS / "direct_relief.yaml")).variant(Student("m"))
    wrong = wrong_of(found, "lost")
    assert wrong["cracking = setting"].value == 0.0
    assert quantity.number(float(wrong["a relief opens fully at its setting"].value), "flow") == pytest.approx(
        18, rel=1e-6
    )
    assert {w.value for w in wrong_of(found, "between").values()} == {"seated", "at its stop"}


def test_the_rod_the_reducing_valve_and_the_counterbalance(tmp_path: Path) -> None:
    head = "format: 1\nworksheet: w\nfile: {}\n"
    point = "{lever: -1, load pressure: 0 psi, engine speed: 1000 rpm}"
    retracts = f"questions:\n  - {{id: q, ask: a, set: {point}, answer: speed of hoist cylinder}}\n"
    for name in ("tipping_hoist.yaml", "press.yaml"):
        (tmp_path / name).write_text((examples() / name).read_text(encoding="utf-8"), encoding="utf-8")
    found = variant(tmp_path, retracts, head=head.format("tipping_hoist.yaml"))
    area = 1 - (56 / 100) ** 2  # of the rod end, of the bore
    wrong = wrong_of(found, "q")["the rod takes no room"]
    assert float(wrong.value) / item_of(found, "q").size() == pytest.approx(area, rel=0.1)
    machine = oilway.load(tmp_path / "press.yaml")
    inlet = next(m for m in machine.mounted if m.name == "clamp reducing").at("inlet")
    text = f"questions:\n  - {{id: q, ask: a, answer: pressure of {inlet}}}\n"
    wrong = wrong_of(variant(tmp_path, text, head=head.format("press.yaml")), "q")[
        "a reducing valve is a relief in line"
    ]
    assert float(wrong.value) == pytest.approx(600 * PSI, rel=1e-3)


def test_each_says_what_it_reveals() -> None:
    assert len({m.name for m in MISCONCEPTIONS}) == len(MISCONCEPTIONS)
    assert all(m.reveals.endswith(".") for m in MISCONCEPTIONS)


def test_a_held_line_of_a_stand_is_no_back_pressure() -> None:
    """Without the drain pressure a reducing valve holds its setting; its main line is left as it is."""
    found = Drawer(read_worksheet(CLASS / "reducing.yaml")).variant(Student("m"))
    setting = quantity.parse(found.drawn["setting"], "pressure")
    wrong = wrong_of(found, "drain pressure")["back-pressure does not matter"]
    assert wrong.value == pytest.approx(setting, rel=1e-3)
    assert wrong_of(found, "below")["a reducing valve makes its setting"].value == pytest.approx(setting, rel=1e-3)


def test_who_takes_a_counterbalance_for_a_pilot_check_lets_pilot_times_ratio_open_it() -> None:
    found = Drawer(read_worksheet(CLASS / "counterbalance.yaml")).variant(Student("m"))
    pilot = quantity.parse(found.drawn["pilot"], "pressure")
    assert wrong_of(found, "opens")["counterbalance = pilot check"].value == pytest.approx(3 * pilot, rel=0.01)
    assert "counterbalance = pilot check" not in wrong_of(found, "held")  # there is no pilot pressure in neutral


def test_who_thinks_a_valve_limits_its_own_line_answers_its_setting() -> None:
    """Of an unloading valve in the log, and of a sequence valve while the second load stands above it."""
    for sheet, word, item, belief in (
        ("unloading", "unloads", "gauges.a", "an unloading valve holds its pump at the setting"),
        ("sequence", "follows", "pressing.a", "a sequence valve limits the first line"),
    ):
        found = Drawer(read_worksheet(CLASS / f"{sheet}.yaml")).variant(Student("m"))
        setting = quantity.parse(found.drawn[word], "pressure")
        assert wrong_of(found, item)[belief].value == pytest.approx(setting, rel=1e-4)


def test_what_slips_back_in_a_pump_goes_over_no_relief() -> None:
    """All of the pump goes over it already, so who thinks that it opens fully is not wrong here."""
    found = Drawer(read_worksheet(CLASS / "sequence.yaml")).variant(Student("m"))
    assert "a relief opens fully at its setting" not in wrong_of(found, "over the relief")


def test_who_takes_cracking_for_the_setting_still_adds_the_tank_line() -> None:
    """One belief at a time: back-pressure counts one to one for him too."""
    found = Drawer(read_worksheet(CLASS / "direct_relief.yaml")).variant(Student("m"))
    cracking, tank = (quantity.parse(found.drawn[word], "pressure") for word in ("cracking", "tank"))
    wrong = wrong_of(found, "back pressure")["cracking = setting"]
    assert wrong.value == pytest.approx(cracking + tank, abs=10 * PSI)
