"""What the terminal shows: every number of the result, in the units asked for, names never read as markup."""

from __future__ import annotations

import io
import re

import pytest
from rich.console import Console

import oilway
from oilway import quantity
from oilway.study.check import check
from oilway.study.curve import relief_curve
from oilway.study.explain import explain
from oilway.study.story import hoist
from oilway.text import AUTHORITY, print_checked, print_curves, print_explained


def printed(draw, *things, width: int = 110) -> str:
    """What a function prints, as plain text."""
    text = io.StringIO()
    draw(Console(file=text, width=width, emoji=False), *things)
    return text.getvalue()


def lines_of(text: str) -> str:
    """One line, one blank between words: where it was broken does not matter."""
    return " ".join(text.split())


@pytest.fixture(scope="module")
def full():
    return explain(oilway.load("pilot relief"))[-1]


@pytest.fixture(scope="module")
def text(full) -> str:
    return printed(print_explained, [full], "shop")


# -- explain --------------------------------------------------------------------------------------------------
def test_every_chamber_is_shown_with_its_pressure(full, text: str) -> None:
    for chamber, pressure in full.state.pressures.items():
        assert re.search(rf"{chamber}\s+{quantity.show(pressure, 'pressure').removesuffix(' psi')}\b", text), (
            chamber
        )


def test_every_force_that_counts_is_shown_with_its_worth(full, text: str) -> None:
    forces = lines_of(text)
    for part, entries in full.state.forces.items():
        assert f"Forces on {part} (open, lift " in forces
        for entry in entries:
            if abs(entry.value) > 1.0:
                assert entry.label in forces
                assert quantity.show(entry.value, "force").removesuffix(" lbf") in forces, entry
    assert "worth, psi" in forces
    assert forces.count("sum") >= 3  # two parts and the power


def test_the_classroom_rule_stands_beside_the_computed_balance(full, text: str) -> None:
    said = lines_of(text)
    for balance in full.balances:
        rule = quantity.show(balance.rule, "pressure", digits=1)
        net = quantity.show(balance.net, "pressure", digits=1)
        assert f"{balance.part}: the classroom rule counts the spring alone, {rule}" in said
        assert f"computed: {net} = " in said


def test_flows_say_where_the_oil_goes(text: str) -> None:
    said = lines_of(text)
    assert "main orifice (from inlet)" in said
    assert "main seat (to outlet)" in said
    assert "counted at 0 psi" in said


def test_stability_and_authority_close_the_answer(full, text: str) -> None:
    assert "steady: a nudge dies away" in text
    assert lines_of(text).endswith(AUTHORITY)
    loose = explain(oilway.load("direct relief", {"poppet.viscous friction": "0 N s/m"}))
    assert "NOT STEADY" in printed(print_explained, loose, "shop")


def test_metric_is_metric_throughout(full) -> None:
    said = printed(print_explained, [full], "metric")
    assert not re.search(r"\b(psi|gpm|lbf|hp)\b", said.replace("counted at 0 psi", ""))
    for chamber, pressure in full.state.pressures.items():
        assert re.search(
            rf"{chamber}\s+{quantity.show(pressure, 'pressure', 'metric').removesuffix(' bar')}\b", said
        )


def test_a_seated_part_shows_no_lift_and_a_shut_chamber_no_oil() -> None:
    built = oilway.load("pilot relief")
    said = printed(print_explained, explain(built, [built.point_from({"load pressure": "1000 psi"})]), "shop")
    assert "Forces on main part (seated)" in said
    assert "no oil moves" in said
    assert "classroom rule" not in said


def test_the_way_down_has_its_column_where_friction_makes_one(text: str) -> None:
    assert "on falling pressure" in text
    free = {"main part.dry friction": "0 N", "pilot poppet.dry friction": "0 N"}
    assert "on falling pressure" not in printed(
        print_explained, explain(oilway.load("pilot relief", free)), "shop"
    )


def test_gauges_cylinders_and_broken_limits_are_told() -> None:
    built = hoist("two-stage")
    point = built.point_from({"load pressure": "1500 psi"})
    (item,) = explain(built, [point])
    said = lines_of(printed(print_explained, [item], "shop"))
    reading = quantity.show(item.state.readings["load gauge"][1], "pressure")
    assert f"load gauge reads {reading}" in said
    assert (
        f"hoist cylinder extends at {quantity.show(item.state.velocities['hoist cylinder'], 'velocity')}" in said
    )
    (neutral,) = explain(built, [built.point_from({"lever": "0", "load pressure": "1500 psi"})])
    said = lines_of(printed(print_explained, [neutral], "shop"))
    assert "hoist cylinder retracts at" in said
    assert "in/min" in said  # drift is told per minute
    assert "LIMIT: rod line: pressure below the point where air comes out of the oil" in said


def test_isolated_oil_is_told(machine) -> None:
    built = machine(
        """
        tank: {kind: tank}
        spool: {kind: lever, stroke: 5 mm}
        boom: {kind: chamber}
        edge: {kind: spool edge, on: spool, from: boom, to: tank, diameter: 20 mm, overlap: 2 mm}
        """,
        top="trapped: {boom: 700 psi}\n",
    )
    said = lines_of(printed(print_explained, explain(built), "shop"))
    assert re.search(r"boom \(nothing fixes it: as given\) 700\b", said)


def test_oil_behind_a_shut_check_is_told_at_the_least_it_can_stand_at(machine) -> None:
    built = machine(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
        way: {kind: orifice, from: line, to: tank, diameter: 3 mm}
        check: {kind: check valve, from: line, to: boom, diameter: 8 mm}
        boom: {kind: chamber}
        """
    )
    said = lines_of(printed(print_explained, explain(built), "shop"))
    assert "boom (nothing fixes it: the least it can stand at)" in said


def test_names_from_files_are_text_not_markup(machine) -> None:
    built = machine(
        """
        tank: {kind: tank}
        "the [red]line[/]": {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: "the [red]line[/]", flow: 5 gpm}
        "a [/bold] hole": {kind: orifice, from: "the [red]line[/]", to: tank, diameter: 3 mm}
        """
    )
    said = printed(print_explained, explain(built), "shop")
    assert "the [red]line[/]" in said
    assert "a [/bold] hole" in said
    assert "pump: no relief" not in printed(print_checked, check(built))


def test_the_text_fits_the_width_it_is_given(full) -> None:
    for width in (80, 110):
        assert max(map(len, printed(print_explained, [full], "shop", width=width).splitlines())) <= width


# -- check ----------------------------------------------------------------------------------------------------
def test_a_check_shows_parts_notes_and_what_has_no_rating() -> None:
    checked = check(hoist("direct-acting"))
    said = lines_of(printed(print_checked, checked))
    assert said.startswith(checked.machine.title)
    assert "1 fixed pump" in said
    assert "no rating: return hose" in said
    assert "every pump has a path to tank" in said
    for note in checked.notes:
        assert lines_of(note) in said


def test_a_check_with_findings_does_not_say_all_is_well() -> None:
    checked = check(hoist("direct-acting").with_part("pump line", {"rated pressure": 1e7}))
    said = lines_of(printed(print_checked, checked))
    assert "LIMIT: main relief: set to 2300 psi, above the rated pressure of pump line (1450 psi)" in said
    assert "path to tank" not in said


# -- curve ----------------------------------------------------------------------------------------------------
def test_curves_stand_side_by_side_with_their_figures() -> None:
    curves = [relief_curve(oilway.load(name)) for name in ("direct relief", "pilot relief")]
    said = printed(print_curves, curves, "shop")
    figures_of = {
        "cracking pressure": "cracking",
        "full-flow pressure": "full",
        "override  ": "override",
        "reseating pressure": "reseating",
        "hysteresis at half flow": "hysteresis",
    }
    for label, name in figures_of.items():
        figures = r"\s+".join(quantity.show(getattr(c, name), "pressure") for c in curves)
        assert re.search(rf"{label}\s*{figures}\s", said), label
    assert re.search(r"counts as cracked at\s+0.18 gpm\s+0.18 gpm", said)
    assert "main part leaves its seat at" in lines_of(said)
    assert "bar per L/min" in printed(print_curves, curves, "metric")


def test_a_note_of_a_curve_is_shown() -> None:
    worn = relief_curve(oilway.load("direct relief", {"seat.worn gap": "10 um", "setting": "2300 psi at 18 gpm"}))
    assert "leakage alone carries the flow that counts as cracked" in lines_of(
        printed(print_curves, [worn], "shop")
    )
