"""Symbols with one way through: every kind has one, upright and upside down, and its oil runs where it says."""

from __future__ import annotations

import pytest
from tests.draw.drawn import box, walk

from oilway.draw.picture import Picture
from oilway.draw.symbols import Pen
from oilway.draw.symbols_lines import WITHIN, check_sign, shuttle, through
from oilway.elements.base import Part
from oilway.model.catalogue import kinds


def part(kind: str) -> Part:
    return Part("some part", kind, {}, {p.name: p.name for p in kinds()[kind].ports})


def test_every_kind_with_a_from_and_a_to_has_a_symbol() -> None:
    assert set(WITHIN) == {
        name for name, kind in kinds().items() if [p.name for p in kind.ports] == ["from", "to"]
    }


@pytest.mark.parametrize("kind", sorted(WITHIN))
@pytest.mark.parametrize("down", [True, False])
def test_its_line_runs_from_one_mouth_to_the_other(kind: str, down: bool) -> None:
    symbol = through(part(kind), down=down)
    sides = {m.port: m.side for m in symbol.mouths}
    assert sides == ({"from": "up", "to": "down"} if down else {"from": "down", "to": "up"})
    picture = Picture("test", symbol.width, symbol.height)
    symbol.draw(Pen(picture, picture.root))
    found = [b for e, at in walk(picture.root) if (b := box(e, at)) is not None]
    for mouth in symbol.mouths:
        assert any(b[0] <= mouth.x <= b[2] and b[1] <= mouth.y <= b[3] for b in found), mouth.port


def test_the_ball_of_a_check_lies_behind_its_seat() -> None:
    """Oil comes through the seat and lifts the ball off: the seat stands on the side the oil comes from."""
    for down in (True, False):
        picture = Picture("test", 100, 100)
        check_sign(Pen(picture, picture.root), 50, 50, down=down)
        (ball, seat) = [b for e, at in walk(picture.root) if (b := box(e, at)) is not None]
        assert (seat[1] < ball[1]) if down else (seat[3] > ball[3])


def test_a_flow_is_shown_only_between_two_chambers() -> None:
    both = part("orifice")
    both.nodes["to"] = both.nodes["from"]
    assert [m.flow for m in through(both, down=True).mouths] == ["", ""]


def test_a_shuttle_hands_on_downwards_what_comes_from_above() -> None:
    sides = {m.port: m.side for m in shuttle(part("shuttle")).mouths}
    assert sides == {"first": "up", "second": "up", "to": "down"}
