"""Rows and order of a circuit: the pump below, what moves above, the oil's way up between."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.draw.drawn import NAMES, drawing

from oilway.draw.circuit_layout import SIDEWAYS, _apart
from oilway.draw.symbols import Symbol


def by_name(name: str) -> dict[str, Symbol]:
    return {s.name: s for s in drawing(name).symbols}


@pytest.mark.parametrize("name", NAMES)
def test_what_moves_stands_above_every_pump(name: str) -> None:
    pumps = [s for s in drawing(name).symbols if s.place == "pump"]
    actuators = [s for s in drawing(name).symbols if s.place == "actuator"]
    assert all(a.y + a.height < p.y for a in actuators for p in pumps)


def test_the_boom_goes_up_from_pump_to_cylinder() -> None:
    at = by_name("boom")
    way = [at[n] for n in ("pump", "lever valve", "counterbalance", "boom cylinder")]
    assert all(upper.y + upper.height < lower.y for lower, upper in itertools.pairwise(way))
    assert at["return hose"].y > at["pump"].y
    assert at["main relief"].y >= at["lever valve"].y + at["lever valve"].height, "it hangs from the pump line"


def test_signals_come_down_to_the_pump() -> None:
    at = by_name("tractor_loader")
    assert at["lift A signal"].y == at["tilt B signal"].y
    assert abs(at["lift A signal"].y - at["lift valve"].y) < 60, "beside the spool they are cut in"
    assert at["lift valve"].y < at["signal shuttle"].y < at["pump"].y


def test_a_strainer_stands_below_its_pump() -> None:
    at = by_name("everything")
    assert at["strainer"].y > at["pump <1> & co"].y + at["pump <1> & co"].height


def test_what_is_fed_from_above_is_turned() -> None:
    """The flow control lets oil out of the cylinder: its 'from' is the upper mouth, the check's the lower."""
    mouths = {s.name: {m.port: m.side for m in s.mouths} for s in drawing("forklift_mast").symbols}
    assert mouths["lowering control"]["from"] == "up"
    assert mouths["lifting check"]["from"] == "down"


@given(st.lists(st.tuples(st.integers(-500, 500), st.integers(20, 300)), min_size=1, max_size=8))
def test_symbols_of_a_row_are_pushed_apart_in_their_order(row: list[tuple[int, int]]) -> None:
    wanted, widths = [float(x) for x, _ in row], [w for _, w in row]
    placed = _apart(wanted, widths)
    for k in range(len(row) - 1):
        assert placed[k + 1] >= placed[k] + widths[k] + SIDEWAYS - 1e-6
    assert sum(placed) == pytest.approx(sum(wanted), abs=1e-6), "nobody is pushed without pushing back"
