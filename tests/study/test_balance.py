"""The classroom rule beside the fuller balance: every term, in psi on the part's own face."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.balance import balances, opening_area, worth_area

PSI = parse("1 psi", "pressure")
AREA = math.pi / 4 * 0.024**2


@pytest.fixture(scope="module")
def full():
    return solve_point(oilway.load("pilot relief"))


def test_the_area_is_that_of_the_opening_faces(full) -> None:
    assert opening_area(full, "main part") == pytest.approx(AREA, rel=1e-12)
    assert opening_area(full, "pilot poppet") == pytest.approx(math.pi / 4 * 0.005**2, rel=1e-12)


def test_the_rule_is_the_spring_alone_by_hand(full) -> None:
    main = next(b for b in balances(full) if b.part == "main part")
    assert main.rule == pytest.approx(6e3 * 18e-3 / AREA, rel=1e-9)  # 35 psi
    assert main.area == pytest.approx(AREA, rel=1e-12)


def test_the_net_is_the_difference_of_the_chambers(full) -> None:
    found = {b.part: b for b in balances(full)}
    p = full.pressures
    assert found["main part"].net == pytest.approx(p["inlet"] - p["back chamber"], rel=1e-6)
    pilot = p["pilot chamber"] - p["pilot spring chamber"]
    assert found["pilot poppet"].net == pytest.approx(pilot, rel=1e-6)


def test_the_terms_are_the_ledgers_and_sum_to_the_net(full) -> None:
    for balance in balances(full):
        assert sum(balance.terms.values()) == pytest.approx(balance.net, rel=1e-12)
        for label, value in balance.terms.items():
            ledger = sum(e.value for e in full.forces[balance.part] if e.label == label)
            assert value == pytest.approx(-ledger / balance.area, rel=1e-12), label
        assert next(iter(balance.terms)) == "spring preload"
        assert {"spring rate x lift", "flow force"} <= set(balance.terms)


def test_the_rule_falls_short_by_rate_and_jet(full) -> None:
    main = next(b for b in balances(full) if b.part == "main part")
    missing = main.terms["spring rate x lift"] + main.terms["flow force"] + main.terms["dry friction"]
    assert main.net - main.rule == pytest.approx(missing, rel=1e-9)
    assert missing > 10 * PSI


def test_a_seated_part_has_no_balance_to_show() -> None:
    built = oilway.load("pilot relief")
    shut = solve_point(built, built.point_from({"load pressure": "1000 psi"}))
    assert balances(shut) == []
    half = solve_point(built, built.point_from({"load pressure": "2265 psi"}))
    assert [b.part for b in balances(half)] == ["pilot poppet"]


def test_a_stepped_part_is_weighed_on_its_big_face_with_all_its_faces() -> None:
    """14 mm under the seat, 10 mm behind it fed from the inlet: the spring holds the ring."""
    from oilway.study.story import examples

    state = solve_point(oilway.load(examples() / "damped_step_relief.yaml"))
    (balance,) = balances(state)
    big, small = math.pi / 4 * 0.014**2, math.pi / 4 * 0.010**2
    assert balance.area == pytest.approx(big, rel=1e-12)
    by_hand = state.pressures["inlet"] * (big - small) / big
    assert balance.net == pytest.approx(by_hand, rel=1e-6)


def test_a_file_may_name_the_face_its_setting_acts_on() -> None:
    """Load and pilot both open a counterbalance, but 2400 psi are said of the 8 mm load face."""
    built = oilway.load("counterbalance")
    state = solve_point(built, built.point_from({"pilot line.pressure": "400 psi"}))
    assert opening_area(state, "poppet") == pytest.approx(math.pi / 4 * 0.016**2, rel=1e-12)
    assert worth_area(state, "poppet") == pytest.approx(math.pi / 4 * 0.008**2, rel=1e-12)
    (balance,) = balances(state)
    assert balance.net == pytest.approx((1500 + 3 * 400) * PSI, rel=1e-6)


def test_a_face_that_pushes_shut_counts_the_other_way() -> None:
    built = oilway.load("reducing")
    state = solve_point(built)
    assert worth_area(state, "spool") == pytest.approx(-math.pi / 4 * 0.010**2, rel=1e-12)
    (balance,) = balances(state)
    assert balance.net == pytest.approx(
        state.pressures["sense chamber"] - state.pressures["spring chamber"], rel=1e-6
    )
    # its spring opens it: preload, less what is let go by opening, less the jet that helps to shut it
    assert balance.rule > balance.net
    assert balance.terms["spring rate x lift"] < 0
    assert balance.terms["flow force"] < 0
