"""Laying the lines: round what is in the way, joined at the nearest point, straight out of their mouths."""

from __future__ import annotations

import itertools

import pytest
from tests.draw.drawn import NAMES, drawing

from oilway.draw.circuit_lines import STUB, Net, before, lay, sign_box, sign_line, steps
from oilway.draw.router import Router
from oilway.draw.symbols import GRID, Mouth, Pen, Symbol


def symbol(name: str, x: int, y: int, *mouths: Mouth) -> Symbol:
    def nothing(pen: Pen) -> None:
        """Draw nothing."""

    return Symbol(name, 80, 80, list(mouths), nothing, x=x, y=y)


@pytest.mark.parametrize("name", NAMES)
def test_a_line_leaves_its_mouth_straight(name: str) -> None:
    for net in drawing(name).nets:
        for at, mouth in net.ends:
            start, first = at.at(mouth), before(at, mouth)
            out = [s for points, _ in net.lines for a, b in itertools.pairwise(points) for s in [steps(a, b)]]
            assert any(start in s and first in s for s in out), (at.name, mouth.port)


def test_three_mouths_meet_in_one_dot() -> None:
    below = symbol("below", 200, 400, Mouth("out", 40, 0, "up", "line"))
    left, right = (symbol(n, x, 100, Mouth("in", 40, 80, "down", "line")) for n, x in (("l", 0), ("r", 400)))
    (net,) = lay([below, left, right], set(), [], 600, 600)
    assert len(net.dots) == 1
    assert len(net.lines) == 2


def test_a_line_with_one_mouth_ends_blind_after_its_stub() -> None:
    (net,) = lay([symbol("alone", 100, 100, Mouth("out", 40, 0, "up", "line"))], set(), [], 300, 300)
    assert net.lines == [([(140, 100), (140, 100 - STUB)], False)]
    assert net.dots == []


def test_where_there_is_no_way_it_says_so() -> None:
    a = symbol("a", 100, 100, Mouth("out", 40, 0, "up", "line"))
    b = symbol("b", 100, 400, Mouth("in", 40, 80, "down", "line"))
    wall = [(0.0, 260.0, 600.0, 20.0)]
    with pytest.raises(ValueError, match="line"):
        lay([a, b], set(), wall, 600, 600)


def test_no_other_line_passes_a_mouth_that_is_kept() -> None:
    router = Router(200, 200, GRID)
    router.keep("mine", [(100.0, float(y)) for y in range(0, 201, GRID)])
    with pytest.raises(ValueError, match="no way"):
        router.line("other", (0.0, 100.0), [(200.0, 100.0)])
    assert router.line("mine", (0.0, 100.0), [(200.0, 100.0)]) == [(0.0, 100.0), (200.0, 100.0)]


def test_a_line_keeps_off_what_it_should_shun_where_that_costs_little() -> None:
    long, short = Router(1600, 400, GRID), Router(1600, 400, GRID)
    long.shun(60, 180, 1480, 40, 0)
    short.shun(60, 180, 40, 40, 0)
    straight = [(0.0, 200.0), (1600.0, 200.0)]
    assert long.line("a", straight[0], straight[1:]) != straight
    assert short.line("a", straight[0], straight[1:]) == straight


def test_what_is_laid_straight_is_crossed_not_joined() -> None:
    router = Router(400, 400, GRID)
    router.straight("a", (200.0, 0.0), (200.0, 400.0))
    assert router.line("b", (0.0, 200.0), [(400.0, 200.0)]) == [(0.0, 200.0), (400.0, 200.0)]
    assert router.crossed("a", (200.0, 200.0))
    assert not router.crossed("a", (200.0, 100.0))


@pytest.mark.parametrize("side", ["up", "down", "left", "right"])
@pytest.mark.parametrize("is_held", [True, False])
def test_the_line_to_a_tank_ends_inside_its_sign_and_downwards(side: str, is_held: bool) -> None:
    x, y = {"up": (40, 0), "down": (40, 80), "left": (0, 40), "right": (80, 40)}[side]
    mouth = Mouth("T", x, y, side, "tank")
    at = symbol("valve", 100, 100, mouth)
    left, top, width, height = sign_box(at, mouth, is_held=is_held)
    points = sign_line(at, mouth, is_held=is_held)
    assert points[0] == at.at(mouth)
    assert all(left <= px <= left + width and top <= py <= top + height for px, py in points)
    if not is_held:
        assert points[-1][1] > points[-2][1], "oil falls into a tank from above"


def test_steps_go_from_end_to_end_along_the_grid() -> None:
    assert steps((0, 0), (0, -2 * GRID)) == [(0, 0), (0, -GRID), (0, -2 * GRID)]
    assert steps((5, 5), (5, 5)) == [(5, 5)]


def test_a_net_without_lines_has_no_dots() -> None:
    assert Net("line", []).dots == []
