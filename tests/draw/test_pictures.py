"""The pictures of a machine, and choosing one."""

from __future__ import annotations

import pytest

import oilway
from oilway.draw.picture import Picture
from oilway.draw.pictures import Named, laid_out, pick, pictures
from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.study.frame import channels
from oilway.study.handles import start
from oilway.study.story import examples


@pytest.mark.parametrize("file", [str(examples() / "tipping_hoist.yaml"), "pilot relief", "counterbalance"])
def test_every_binding_follows_a_channel_that_is_there(file: str) -> None:
    machine = oilway.load(file)
    state = solve_point(machine, start(machine))
    names = {c.name for c in channels(state)} | {f"status:{part}" for part in state.statuses}
    drawn = pictures(machine)
    assert drawn
    assert len({n.key for n in drawn}) == len({n.name for n in drawn}) == len(drawn)
    for named in drawn:
        assert {b.channel for b in named.picture.bindings} <= names


def test_what_cannot_be_laid_out_is_left_out_and_told_when_asked_for() -> None:
    def fails() -> Picture:
        raise ValueError("no way for a line")

    good, bad = pictures(oilway.load("load check"))[-1], Named("x", "odd", "circuit", fails)
    assert laid_out([bad, good]) == [good]
    with pytest.raises(InputError, match="'odd' cannot be drawn: no way for a line"):
        _ = bad.picture


def test_a_valve_inside_a_valve_is_in_the_picture_of_the_outer_one() -> None:
    names = [n.name for n in pictures(oilway.load("port relief"))]
    assert names == ["port relief with anti-cavitation check", "circuit"]
    names = [n.name for n in pictures(oilway.load(examples() / "swing_drive.yaml"))]
    assert names == ["circuit", "main relief", "lever valve", "crossover", "brake valve"]


def test_a_picture_is_picked_by_name_and_the_first_where_none_is_said() -> None:
    drawn = pictures(oilway.load(examples() / "tipping_hoist.yaml"))
    assert pick(drawn) is drawn[0]
    assert drawn[0].sort == "circuit", "of a machine"
    assert pick(drawn, drawn[-1].name) is drawn[-1]
    with pytest.raises(InputError, match="did you mean 'circuit'"):
        pick(drawn, "circiut")
    with pytest.raises(InputError, match="no picture"):
        pick([], "circuit")
