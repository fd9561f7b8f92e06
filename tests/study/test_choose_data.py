"""A choice as plain data, and its words."""

from __future__ import annotations

import json

import pytest

from oilway.quantity import GALLON, MINUTE, PSI
from oilway.study.choose import Duty, Trouble, choose
from oilway.study.choose_data import choice_data, drain_words, trouble_words


def test_numbers_of_a_trouble_are_said_in_the_units_asked_for() -> None:
    trouble = Trouble("it loses {} at {}", ((GALLON / MINUTE, "flow"), (1000 * PSI, "pressure")))
    assert trouble_words(trouble, "shop") == "it loses 1.00 gpm at 1000 psi"
    assert trouble_words(trouble, "metric") == "it loses 3.79 L/min at 68.9 bar"


def test_the_best_option_comes_first_with_range_and_routing() -> None:
    found = choose(Duty("brake a motor", 1800 * PSI, 12 * GALLON / MINUTE, 60 * PSI, 1200 * PSI))
    data = json.loads(json.dumps(choice_data(found), allow_nan=False))
    first = data["options"][0]
    assert data["chosen"] == "brake, drain external"
    assert first["setting"]["range from"]["value"] < 1800 < first["setting"]["range to"]["value"]
    assert first["drain"].startswith("Y, straight to tank")
    assert data["pilot"] == "from the motor's inlet line"
    assert data["duty"]["steady"] is None
    drains = {o.title: drain_words(o) for o in found.options}
    assert "1 + pilot ratio" in drains["brake, drain internal"]
    assert drains["direct relief"].startswith("into its outlet")


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_every_trouble_has_a_place_for_each_of_its_numbers(units: str) -> None:
    found = choose(Duty("lower pressure in a branch", 700 * PSI, 1e-4, 30 * PSI, 2300 * PSI, 1 * PSI))
    told = [text for o in choice_data(found, units)["options"] for text in o["troubles"]]
    assert told
    assert all("{" not in text for text in told)
