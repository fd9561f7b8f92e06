"""A plan on the terminal."""

from __future__ import annotations

import io

import pytest
from rich.console import Console
from tests.study.shop import stalled

from oilway.plan_text import print_plan
from oilway.study.plan import setting_plan


@pytest.fixture
def told(machine):
    def run(units: str = "shop", **more) -> str:
        out = io.StringIO()
        plan = setting_plan(machine(stalled(**more)))
        print_plan(Console(file=out, width=300), plan, units)
        return out.getvalue()

    return run


def test_steps_stand_in_their_order_each_with_why_and_cautions(told) -> None:
    text = told()
    first, second = text.index("1. main (relief), in the machine: 2300 psi"), text.index("2. port (port relief)")
    assert text.index("Before the first step") < first < second
    assert text.count("Why here:") == 2
    assert first < text.index("CAUTION: Never above 3400 psi") < text.index("  - Gauge at line") < second


def test_units_are_metric_on_request(told) -> None:
    text = told("metric")
    assert "158.6 bar" in text
    # The gauge is named in both units whatever is asked for; nothing else is in psi.
    assert " psi" not in text.replace("0 to 4000 psi", "").replace("0 to 5000 psi", "")
