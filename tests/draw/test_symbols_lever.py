"""The squares of a lever valve say what its spool joins, as its edges are cut."""

from __future__ import annotations

import pytest
from tests.draw.drawn import drawing, machine

from oilway.draw.symbols_lever import ways
from oilway.model.machine import Machine
from oilway.solve.point import solve_point


def joined(made: Machine, valve: str, position: float) -> set[str]:
    mounted = next(m for m in made.mounted if m.name == valve)
    return {a + b for a, b in ways(made, mounted, f"{valve}.spool", position)}


@pytest.mark.parametrize(
    ("name", "valve", "position", "wanted"),
    [
        ("tipping_hoist", "lever valve", 1, {"PA", "BT"}),
        ("tipping_hoist", "lever valve", 0, {"PT"}),  # tandem centre
        ("tipping_hoist", "lever valve", -1, {"PB", "AT"}),
        ("boom", "lever valve", 0, {"PT", "AT", "BT"}),  # both work ports let off in neutral
        ("tractor_loader", "lift valve", 0, set()),  # its centre is closed for good
        ("forklift_mast", "lever valve", -1, {"PB", "AT"}),  # B and T in one chamber of the machine
    ],
)
def test_the_ways_follow_the_edges_of_the_spool(name: str, valve: str, position: float, wanted: set[str]) -> None:
    assert joined(machine(name), valve, position) == wanted


def test_the_ways_at_full_lever_are_those_the_oil_takes() -> None:
    """Against the solved machine: a way that is drawn loses little pressure, one that is not is no way."""
    at = solve_point(machine("tipping_hoist"), {"lever valve.spool.position": 1.0})
    p = {
        port: at.pressures[f"{line} line"]
        for port, line in zip("PTAB", ("pump", "return", "cap", "rod"), strict=True)
    }
    assert p["P"] - p["A"] < 0.05 * p["P"]
    assert p["B"] - p["T"] < 0.05 * p["P"]
    assert p["A"] - p["T"] > 0.5 * p["P"]


def test_the_frame_moves_over_the_square_that_acts() -> None:
    bindings = [b for b in drawing("tipping_hoist").picture.bindings if b.channel == "position:lever valve.spool"]
    frame = max(bindings, key=lambda b: abs(float(b.options["dx"])))
    assert float(frame.options["dx"]) == -60, "one square to the left at lever 1, where P-A and B-T are drawn"
