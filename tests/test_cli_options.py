"""What the verbs share: 'word=value' texts and operating points."""

from __future__ import annotations

import pytest

import oilway
from oilway.cli_options import pairs, point_at
from oilway.errors import InputError


def test_pairs_drop_blanks_and_name_their_option() -> None:
    assert pairs(["a.b = 1 mm ", "c=x=y"], "--change") == {"a.b": "1 mm", "c": "x=y"}
    assert pairs(None, "--change") == {}
    with pytest.raises(InputError, match="--change: 'lever' is not of the form word=value"):
        pairs(["lever"], "--change")


def test_a_point_is_said_in_one_text() -> None:
    machine = oilway.load("direct relief")
    point = point_at(machine, "load pressure=2000 psi, tank pressure=50 psi")
    assert {name: round(value / 6894.757) for name, value in point.items()} == {
        "test load.load pressure": 2000,
        "outlet.pressure": 50,
    }
