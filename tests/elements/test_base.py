"""What all elements share."""

from __future__ import annotations

import pytest

from oilway.elements.base import Element, Part, limit_rating
from oilway.elements.network import Network
from oilway.elements.record import RATED, Port
from oilway.errors import Place


class Pipe(Element):
    """A stand-in with three ports and a rating."""

    kind = "pipe"
    ports = (Port("a", ""), Port("b", ""), Port("c", ""))
    records = (RATED,)


def pipe(rating: float | None = None) -> Pipe:
    part = Part("P1", "pipe", {"rated pressure": rating}, {"a": "n1", "b": "n2", "c": "n3"}, Place("f", 3))
    part.places["a"] = Place("f", 4)
    return Pipe(part)


def test_a_part_knows_where_each_of_its_keys_stands() -> None:
    part = pipe().part
    assert (part.place("a"), part.place("rated pressure")) == (Place("f", 4), Place("f", 3))


def test_an_element_finds_its_chambers_and_values() -> None:
    element = pipe(5e6)
    assert (element.name, element.at("b"), element.number("rated pressure")) == ("P1", "n2", 5e6)
    assert pipe().number("rated pressure") is None


def test_oil_can_pass_between_any_two_ports_unless_said_otherwise() -> None:
    assert Pipe.links() == [("a", "b"), ("a", "c"), ("b", "c")]


@pytest.mark.parametrize("rating", [None, 5e6])
def test_a_rating_is_watched_where_one_was_entered(rating: float | None) -> None:
    net = Network()
    net.add_node("n1", 0.0, fixed=True)
    limit_rating(pipe(rating), net, "n1")
    assert [limit.high for limit in net.limits.values()] == ([] if rating is None else [rating])


def test_mean_density_lies_between_the_two(between, oil) -> None:
    # Seen through a part: the leakage of a gap counts the mean of both ends.
    state = between("{kind: annular gap, diameter: 20 mm, clearance: 10 um, length: 10 mm}", "200 bar", "100 bar")
    volume = oil.gap_flow(20e-3, 10e-6, 10e-3, 100e5)
    assert state.flow_through("part") / volume == pytest.approx((oil.rho(200e5) + oil.rho(100e5)) / 2, rel=1e-9)
