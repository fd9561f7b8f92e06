"""Lever: a spool where the hand puts it."""

from __future__ import annotations

import pytest

from oilway.errors import InputError

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
    spool: {kind: lever, stroke: 8 mm}
    edge: {kind: spool edge, on: spool, from: line, to: tank, diameter: 16 mm, overlap: 2 mm}
    by-pass: {kind: orifice, from: line, to: tank, diameter: 4 mm}
    """


def test_stroke_times_position_is_the_travel(solve) -> None:
    # At a quarter the spool has moved its 2 mm of overlap: the edge is about to open.
    flows = {x: solve(PARTS, {"lever": x}).flow_through("edge") for x in ("-1", "0", "0.25", "0.2501", "1")}
    assert flows["-1"] == flows["0"] == flows["0.25"] == 0.0
    assert 0 < flows["0.2501"] < flows["1"]


@pytest.mark.parametrize("position", ["1.01", "-1.5"])
def test_it_ends_at_full_stroke(machine, position: str) -> None:
    with pytest.raises(InputError, match=r"lever: .* is outside the legal range of spool.position"):
        machine(PARTS).point_from({"lever": position})
    with pytest.raises(InputError, match=r"circuit.yaml:8: spool: position .* is outside its legal range"):
        machine(PARTS.replace("stroke: 8 mm", f"stroke: 8 mm, position: {position}"))
