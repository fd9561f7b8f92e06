"""What a chart marks and says of a curve: the numbers are the curve's own."""

from __future__ import annotations

import numpy as np
import pytest

from oilway.draw.chart_facts import MOST, lay_out
from oilway.errors import InputError
from oilway.quantity import PSI, parse
from oilway.study.curve import Curve, Opening
from oilway.study.reducing import ReducingCurve

FLOWS = parse("10 gpm", "flow") * np.linspace(0, 1, 11)
RELIEF = Curve(
    "relief", FLOWS, PSI * np.linspace(1000, 1100, 11), PSI * np.linspace(980, 1080, 11), float(FLOWS[1]), 0.0,
    [Opening("poppet", PSI * 1000, 0.0)],
)  # fmt: skip


def reducing(pushed: bool) -> ReducingCurve:
    """Held at 500 psi, 440 psi at full flow, set at 2 gpm."""
    back = PSI * np.linspace(500, 700, 11) if pushed else np.empty(0)
    rising, falling = PSI * np.linspace(490, 440, 11), PSI * np.linspace(500, 450, 11)
    inlet = PSI * 2000, PSI * 1200, PSI * 3
    return ReducingCurve("reducing", FLOWS, rising, falling, float(FLOWS[2]), *inlet, FLOWS[: back.size], back)


def test_a_relief_is_marked_where_it_cracks_reseats_and_is_full() -> None:
    (facts,) = lay_out([RELIEF], "shop").facts
    marks = [(m.flow, m.pressure / PSI, m.hollow) for m in facts.marks]
    assert marks == [
        (FLOWS[1], pytest.approx(1010), False),
        (FLOWS[1], pytest.approx(990), True),
        (FLOWS[10], pytest.approx(1100), False),
    ]
    assert [p / PSI for p in facts.bar] == pytest.approx([1010, 1100])
    assert facts.label == "cracks 1010 psi\nreseats 990 psi"
    assert "poppet opens at 1000 psi" in facts.words


def test_a_reducing_valve_is_marked_at_no_flow_at_its_setting_and_at_full_flow() -> None:
    layout = lay_out([reducing(pushed=False)], "shop")
    (facts,) = layout.facts
    marks = [(m.flow, m.pressure / PSI, m.hollow) for m in facts.marks]
    assert marks == [
        (0.0, pytest.approx(500), True),
        (FLOWS[10], pytest.approx(440), False),
        (FLOWS[2], pytest.approx(480), False),
    ]
    assert [p / PSI for p in facts.bar] == pytest.approx([440, 500])
    assert facts.label == "holds 500 psi\nat no flow"
    assert facts.words == (
        "held pressure at no flow 500 psi",
        "480 psi at the 2.00 gpm of its setting",
        "440 psi at 10.00 gpm",
        "droop 60 psi",
        "hysteresis 10 psi at 5.00 gpm",
        "inlet from 2000 psi to 1200 psi changes it by 3 psi",
    )
    assert layout.extremes == (0.0, FLOWS[10])


def test_what_is_pushed_back_leads_into_the_rising_branch_from_below_zero() -> None:
    layout = lay_out([reducing(pushed=True)], "shop")
    flows, pressures = layout.facts[0].lead
    assert (flows[0], flows[-1]) == (-FLOWS[10], 0.0)
    assert [pressures[0] / PSI, pressures[-1] / PSI] == pytest.approx([700, 500])
    assert "700 psi with 10.00 gpm pushed back" in layout.facts[0].words
    assert layout.extremes == (-FLOWS[10], FLOWS[10])


def test_what_no_chart_shows_is_refused() -> None:
    with pytest.raises(InputError, match="one to 4 curves, not for 5"):
        lay_out([RELIEF] * (MOST + 1), "shop")
    with pytest.raises(InputError, match="inlet pressures or reduced pressures, not both"):
        lay_out([RELIEF, reducing(pushed=False)], "shop")
