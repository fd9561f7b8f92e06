"""Kinds of questions: every key follows from the model, and a draw on a hair is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import HEAD, PSI, item_of, variant

from oilway.errors import InputError
from oilway.model.catalogue import find_valve
from oilway.solve.point import solve_point
from oilway.study.faults import fault_called
from oilway.study.story import examples
from oilway.study.worksheet_draw import NoVariant
from oilway.study.worksheet_kinds import SIZES, Tie, compared, fault_readings

REDUCING = find_valve("reducing", Path())
PILOT = "format: 1\nworksheet: w\nfile: pilot relief\nvary: {load: '1000 psi to 1500 psi, step 50 psi'}\n"


def asked(question: str) -> str:
    return f"questions:\n  - {question}\n"


def test_compared_knows_the_same_from_a_hair() -> None:
    """10 psi are asked for at the least, and 2 psi are nothing."""
    assert [compared(a * PSI, 100 * PSI, "pressure") for a in (115, 101, 80)] == list(SIZES)
    with pytest.raises(Tie, match="differ by 6 psi only"):
        compared(94 * PSI, 100 * PSI, "pressure")


def test_behind_the_orifice_stands_the_same_while_nothing_flows(tmp_path: Path) -> None:
    text = (
        "{id: q, kind: choice, ask: a, set: {load pressure: '{load}'}, "
        "compare: [pressure of inlet, pressure of back chamber]}"
    )
    assert item_of(variant(tmp_path, asked(text), head=PILOT), "q").key == "the same"
    text = text.replace("'{load}'", "5000 psi")  # all of the pump over the relief
    assert item_of(variant(tmp_path, asked(text), head=PILOT), "q").key == "higher"


def test_where_a_part_stands(tmp_path: Path) -> None:
    text = (
        "{id: q, kind: why, marks: 3, ask: a, set: {load pressure: '{near}'}, answer: state of poppet, "
        "rubric: {because: 1}}"
    )
    found = variant(tmp_path, asked(text))
    assert item_of(found, "q").key == "open"
    assert [(i.kind, i.marks) for i in found.items] == [("choice", 2), ("rubric", 1)]
    with pytest.raises(InputError, match="no moving part"):
        variant(tmp_path, asked(text.replace("state of poppet", "state of seat")))


def test_gauges_share_the_marks_and_are_lettered(tmp_path: Path) -> None:
    text = "{id: q, kind: gauges, marks: 4, ask: a, set: {load pressure: '{load}'}, fill: [inlet, back chamber]}"
    found = variant(tmp_path, asked(text), head=PILOT)
    assert [(i.id, i.marks, i.prompt) for i in found.items] == [("q.a", 2, "inlet"), ("q.b", 2, "back chamber")]


def test_steps_are_shuffled_and_the_file_has_the_right_order(tmp_path: Path) -> None:
    text = "{id: q, kind: order, ask: a, steps: [one, two, three, four]}"
    for k in range(5):
        item = item_of(variant(tmp_path, asked(text), student=f"s{k}"), "q")
        assert item.key == ("one", "two", "three", "four")
        assert item.choices != item.key
        assert sorted(item.choices) == sorted(item.key)


def test_which_opens_first_comes_from_the_settings(tmp_path: Path) -> None:
    """A pilot relief in the press is set above and below its sequence valve: the answer follows."""
    head = "format: 1\nworksheet: w\nfile: press.yaml\nchange: {sequence valve.setting: 1200 psi at 1 gpm}\n"
    (tmp_path / "press.yaml").write_text((examples() / "press.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    text = "{id: q, kind: choice, ask: a, first: [main relief, sequence valve]}"
    assert item_of(variant(tmp_path, asked(text), head=head), "q").key == "sequence valve"
    lower = text.replace("ask: a", "ask: a, change: {main relief.setting: 1000 psi at 6 gpm}")
    assert item_of(variant(tmp_path, asked(lower), head=head), "q").key == "main relief"
    with pytest.raises(InputError, match="no pressure control 'main relif'"):
        variant(tmp_path, asked(text.replace("[main relief", "[main relif")), head=head)


def test_a_fault_shows_readings_that_no_other_makes(tmp_path: Path) -> None:
    text = (
        "{id: q, kind: fault, ask: a, set: {load pressure: 5000 psi}, show: [pressure of inlet], "
        "faults: {soft: {main spring.rate: 200 N/mm}, broken: {main spring.rate: 1 N/mm}}}"
    )
    assert item_of(variant(tmp_path, asked(text)), "q").key in ("soft", "broken")
    same = text.replace("main spring.rate: 1 N/mm", "main spring.rate: 200 N/mm")
    with pytest.raises(NoVariant, match="differ by"):
        variant(tmp_path, asked(same))


def test_a_known_fault_is_the_one_of_the_fault_file(tmp_path: Path) -> None:
    """Its changes are those of the fault file; a fault that is not known is told with its line."""
    text = (
        "{id: q, kind: fault, ask: a, set: {load pressure: 1000 psi}, show: [flow through seat], "
        "faults: {scored: 'direct-acting relief: seat worn or scored, 100 %', "
        "stuck: 'direct-acting relief: stuck open, 50 %'}}"
    )
    found = variant(tmp_path, asked(text))
    machine = found.sitting.models.instrumented(found.sitting.machine(found.sitting.worksheet.questions[0]))
    wanted = fault_called(machine, "direct-acting relief: seat worn or scored").changes(1.0)
    state = solve_point(machine, machine.point_from({"load pressure": "1000 psi"}) | wanted)
    (flow,) = fault_readings(found.sitting, found.sitting.worksheet.questions[0], "scored")
    assert flow.size == pytest.approx(abs(state.at_no_pressure(state.flow_through("seat"))))
    with pytest.raises(InputError, match="no fault 'direct-acting relief: seat won'"):
        variant(tmp_path, asked(text.replace("seat worn or scored", "seat won")))
    with pytest.raises(InputError, match="how bad"):
        variant(tmp_path, asked(text.replace(", 100 %", "")))


def test_a_fault_is_read_again_after_one_change(tmp_path: Path) -> None:
    """Below cracking a soft spring shows nothing; blocked, it does: the second set-up tells the two apart."""
    text = (
        "{id: q, kind: fault, ask: a, set: {load pressure: 1000 psi}, "
        "show: [pressure of inlet, flow through seat], "
        "faults: {soft: {main spring.rate: 300 N/mm}, softer: {main spring.rate: 250 N/mm}}AGAIN}"
    )
    with pytest.raises(NoVariant, match="differ by"):
        variant(tmp_path, asked(text.replace("AGAIN", "")))
    again = ", then: 'the load at {below}', again: {load pressure: 5000 psi}"
    found = variant(tmp_path, asked(text.replace("AGAIN", again)))
    question = found.sitting.worksheet.questions[0]
    read = fault_readings(found.sitting, question, "soft")
    machine = found.sitting.machine(question)
    for k, load in enumerate(("1000 psi", "5000 psi")):
        point = machine.point_from({"load pressure": load, "main spring.rate": "300 N/mm"})
        state = solve_point(machine, point)
        assert read[2 * k].size == pytest.approx(state.pressures["inlet"])
        assert read[2 * k + 1].size == pytest.approx(abs(state.at_no_pressure(state.flow_through("seat"))))


def test_readings_that_no_gauge_shows_apart_are_alike(tmp_path: Path) -> None:
    """Two worn gaps that let less pass than a meter shows: a tie, though one is far wider than the other."""
    text = (
        "{id: q, kind: fault, ask: a, set: {load pressure: 1000 psi}, show: [flow through seat], "
        "faults: {a trace: {seat.worn gap: 0.004 um}, another: {seat.worn gap: 0.001 um}}}"
    )
    with pytest.raises(NoVariant, match="differ by"):
        variant(tmp_path, asked(text))


def test_tolerances_are_shares_or_sizes(tmp_path: Path) -> None:
    text = "{id: q, ask: a, set: {load pressure: '{below}'}, answer: pressure of inlet, tolerance: 25 psi}"
    item = item_of(variant(tmp_path, asked(text)), "q")
    assert item.tolerance == pytest.approx(25 * PSI)
    assert item.half == pytest.approx(0.1 * item.size())
    item = item_of(variant(tmp_path, asked(text.replace("25 psi", "4 %"))), "q")
    assert item.tolerance == pytest.approx(0.04 * item.size())
    with pytest.raises(InputError, match="tolerance"):
        variant(tmp_path, asked(text.replace("25 psi", "4 gpm")))


def test_a_changed_valve_changes_the_key(tmp_path: Path) -> None:
    """Every number comes from the file when the sheet is made."""
    text = asked("{id: q, ask: a, set: {load pressure: 5000 psi}, answer: pressure of inlet}")
    keys = [
        item_of(variant(tmp_path, text, head=HEAD.replace("2300 psi at", f"{p} psi at")), "q").size()
        for p in (2300, 2400)
    ]
    assert keys == pytest.approx([2300 * PSI, 2400 * PSI], rel=1e-4)


def test_a_question_may_have_a_file_and_a_fault_of_its_own(tmp_path: Path) -> None:
    """The change of the worksheet is not made in the other file, and a blocked drain lets the outlet follow."""
    text = (
        "questions:\n"
        "  - {id: own, file: reducing, ask: a, set: {consumer.flow: 2 gpm}, answer: pressure of clamp line}\n"
        "  - {id: sick, file: reducing, fault: 'reducing valve: drain blocked, 100 %', ask: a, "
        "set: {consumer.flow: 2 gpm, main line.pressure: '{below}'}, answer: pressure of clamp line}\n"
    )
    found = variant(tmp_path, text)
    assert item_of(found, "own").size() == pytest.approx(600 * PSI, rel=1e-4)
    main = found.sitting.point(found.sitting.worksheet.questions[1], found.sitting.models.machine({}, REDUCING))
    assert item_of(found, "sick").size() == pytest.approx(main["main line.pressure"], rel=0.01)
    with pytest.raises(InputError, match="no fault 'reducing valve: drain bloked'"):
        variant(tmp_path, text.replace("drain blocked", "drain bloked"))
    with pytest.raises(InputError, match="did you mean 'reducing'"):
        variant(tmp_path, text.replace("file: reducing", "file: reducin"))


def test_an_answer_may_be_a_share_of_what_was_drawn(tmp_path: Path) -> None:
    """1.6 % of 4000 psi is 64 psi; the same share of an earlier answer follows it."""
    head = "format: 1\nworksheet: w\nfile: direct relief\nvary: {span: '4000 psi to 4500 psi, step 500 psi'}\n"
    text = (
        "questions:\n  - {id: p, ask: a, set: {load pressure: 1000 psi}, answer: pressure of inlet}\n"
        "  - {id: doubt, ask: a, answer: '1.6 % times {span}'}\n  - {id: more, ask: a, answer: 1.3 times p}\n"
    )
    found = variant(tmp_path, text, head=head)
    span = {"4000 psi": 4000, "4500 psi": 4500}[found.drawn["span"]]
    assert item_of(found, "doubt").size() == pytest.approx(0.016 * span * PSI)
    assert item_of(found, "more").size() == pytest.approx(1.3 * item_of(found, "p").size())


NEXT = (
    "{id: q, kind: next test, ask: a, set: {load pressure: 1000 psi, lever: 1}, gauge: 1.6 % of 4000 psi, "
    "show: [reading of pump gauge, flow through pump, flow through main relief], "
    "faults: {pump: 'pump: worn, 80 %', seat: 'main relief: main seat worn, 85 %'}}"
)


def test_the_next_test_is_the_reading_that_differs_most_in_its_own_doubt(tmp_path: Path) -> None:
    """A shut relief that leaks against one that does not; the pump gauge reads the load with both."""
    head = f"format: 1\nworksheet: w\nfile: {examples() / 'tipping_hoist.yaml'}\n"
    found = variant(tmp_path, asked(NEXT), head=head)
    item = item_of(found, "q")
    assert item.key == "flow through main relief"
    assert item.choices == ("pump gauge", "flow through pump", "flow through main relief")
    assert sorted(item.words.split(" | ")) == ["pump", "seat"]
    assert item.prompt in ("a Left: pump, or seat.", "a Left: seat, or pump.")
    assert item.margin is not None
    assert 0.5 < item.margin < 1
    with pytest.raises(NoVariant, match="no single reading parts"):
        variant(tmp_path, asked(NEXT.replace(", flow through pump, flow through main relief", "")), head=head)
    with pytest.raises(InputError, match="no class of a gauge"):
        variant(tmp_path, asked(NEXT.replace("1.6 % of 4000 psi", "coarse")), head=head)
