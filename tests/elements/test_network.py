"""The network: terms make balances and ledgers, so that neither can say what the other does not."""

from __future__ import annotations

import casadi as ca
import pytest

from oilway.elements.base import Element, Part
from oilway.elements.network import Network, Unknown

NOBODY = Element(Part("someone", "", {}, {}))


@pytest.fixture
def net() -> Network:
    """Two chambers a and b and a tank t."""
    net = Network()
    for name in ("a", "b"):
        p = net.unknown(Unknown(f"pressure in {name}", "pressure", f"mass balance of {name}", 1e7, 1.0, name))
        net.balances[name] = net.balances[f"pressure in {name}"]
        net.add_node(name, p, fixed=False)
    net.add_node("t", ca.SX(0), fixed=True)
    return net


def test_a_flow_leaves_one_chamber_and_reaches_the_other(net: Network) -> None:
    net.flow(NOBODY, net.nodes["a"], net.nodes["b"], ca.SX(3.0), "given")
    assert [float(net.balances[n].terms[0]) for n in ("a", "b")] == [-3.0, 3.0]
    booked = [(t.place, t.other, float(v)) for t, v in net.terms if t.sort == "flow"]
    assert booked == [("a", "b", -3.0), ("b", "a", 3.0)]


def test_a_tank_has_a_ledger_but_no_balance(net: Network) -> None:
    net.flow(NOBODY, net.nodes["a"], net.nodes["t"], ca.SX(3.0), "given")
    assert "t" not in net.balances
    assert ("t", 3.0) in [(t.place, float(v)) for t, v in net.terms if t.sort == "flow"]


def test_an_unheated_flow_books_no_heat(net: Network) -> None:
    net.flow(NOBODY, net.nodes["a"], net.nodes["b"], ca.SX(3.0), "given", heats=False)
    assert not [t for t, _ in net.terms if t.sort == "power"]


def test_a_limit_is_found_beside_its_term(net: Network) -> None:
    net.flow(NOBODY, net.nodes["a"], net.nodes["b"], ca.SX(3.0), "given")
    net.limit(NOBODY, "too much", ca.SX(7.0), "pressure", high=5.0, impossible=True)
    ((index, limit),) = net.limits.items()
    assert net.terms[index][0].sort == "limit"
    assert (limit.what, limit.low, limit.high, limit.impossible) == ("too much", None, 5.0, True)


def test_volumes_of_a_chamber_add_up(net: Network) -> None:
    net.add_volume("a", 2.0)
    net.add_volume("a", 3.0)
    assert net.volumes == {"a": 5.0, "b": 0.0, "t": 0.0}


def test_names_without_a_value_have_no_symbol(net: Network) -> None:
    net.parameter("someone.size", 4.0)
    assert net.value(NOBODY, "size") is net.parameters["someone.size"]
    assert net.value(NOBODY, "weight") is None
