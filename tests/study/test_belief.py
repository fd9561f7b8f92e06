"""What a belief asks of the machine behind a number: its pumps, cylinders, levers and main relief."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import INLET, item_of, variant
from tests.study.shop import GPM

from oilway.study.belief import Case
from oilway.study.story import examples
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_words import Value


def case(found: Variant, item: str, value: Value | None = None) -> Case:
    asked = item_of(found, item)
    state = found.sitting.state(asked.question)
    return Case(found.sitting, asked.question, asked.words, value or Value(1.0, "flow"), state)


def test_what_pumps_deliver_is_counted_at_the_outlet_with_the_slip_off(tmp_path: Path) -> None:
    """All that goes into the cylinder comes from the pump: main relief shut, spool tight but for a leak."""
    text = """questions:
  - {id: q, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: flow through hoist cylinder@cap}
  - {id: n, ask: a, set: {lever: 0, load pressure: 1500 psi}, answer: speed of hoist cylinder}
"""
    (tmp_path / "hoist.yaml").write_text((examples() / "tipping_hoist.yaml").read_text("utf-8"), encoding="utf-8")
    found = variant(tmp_path, text, head="format: 1\nworksheet: w\nfile: hoist.yaml\n")
    moving, parked = case(found, "q"), case(found, "n")
    assert moving.pump_flow() == pytest.approx(item_of(found, "q").size(), rel=5e-3)
    assert (moving.at_neutral(), parked.at_neutral()) == (False, True)
    assert moving.cylinders() == ["hoist cylinder"]
    assert set(moving.ends()) == set(moving.machine.parts["hoist cylinder"].nodes.values())


def test_a_flow_over_a_valve_on_the_stand_is_that_of_its_one_seat(tmp_path: Path) -> None:
    found = variant(tmp_path, INLET)
    own = case(found, "lost", Value(1.0, "flow", part="seat"))
    relief = own.main()
    assert relief is not None
    assert relief.mounted is not None
    assert own.passes(relief.mounted)
    assert not case(found, "lost", Value(1.0, "flow", part="test pump")).passes(relief.mounted)
    assert own.pump_flow() == pytest.approx(18 * GPM, rel=1e-6)
    assert own.levers() == ()
    assert not own.at_neutral()
