"""A run in text and as a table: the same numbers as the run, with their units."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from rich.console import Console

import oilway
from oilway.quantity import Units, number, show
from oilway.run_text import MOST_EVENTS, TRIFLE, print_run, run_table
from oilway.solve.result import Finding
from oilway.study.energy import energy_of_run
from oilway.study.run import Event, Excess, Run, read_change, run
from oilway.study.story import HOIST, examples


@pytest.fixture(scope="module")
def hoist() -> Run:
    """The box raised from neutral."""
    machine = oilway.load(str(examples() / HOIST))
    change = read_change(machine, "0.2 s over 0.2 s: lever=1")
    return run(machine, 1.0, [change], point=machine.point_from({"lever": "0"}))


def printed(done: Run, units: Units = "shop") -> str:
    """What is printed, on single spaces."""
    out = io.StringIO()
    print_run(Console(file=out, width=110), done, units)
    return " ".join(out.getvalue().split())


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_figures_of_each_pressure_are_printed(hoist: Run, units: Units) -> None:
    text = printed(hoist, units)
    unit = {"shop": "psi", "metric": "bar"}[units]
    assert f"Pressures ({unit})" in text
    for name in ("pump line", "cap line"):
        f = hoist.figures[name]
        start, peak, end = (
            show(p, "pressure", units).removesuffix(unit).strip() for p in (f.start, f.peak, f.end)
        )
        settled = "not yet" if f.settled is None else f"{f.settled:.3f}"
        assert f"{name} {start} {peak} {f.peak_time:.3f} {end} {settled}" in text


def test_the_cylinder_the_events_and_the_oil_are_told(hoist: Run) -> None:
    text = printed(hoist)
    places = hoist.series["position of hoist cylinder"].values
    start, end = (show(float(places[k]), "length", "shop") for k in (0, -1))
    assert f"hoist cylinder: from {start} to {end}, fastest" in text
    first = hoist.events[0]
    assert f"{first.time:.4f} {first.part} {first.what}" in text
    assert "oil accounted for within" in text
    assert "the maker's manual" in text
    assert "INCOMPLETE" not in text


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_the_energy_is_told_by_what_became_of_it(hoist: Run, units: Units) -> None:
    text, energy = printed(hoist, units), energy_of_run(hoist)
    unit = {"shop": "BTU", "metric": "kJ"}[units]
    assert f"Energy of the whole run what of {unit}" in text
    for amounts in (energy.put_in, energy.work, {"main relief": energy.heat["main relief"]}, energy.gained):
        for name, value in amounts.items():
            shown = show(value, "energy", units).removesuffix(unit).strip()
            assert (f"{name} {shown}" in text) == (abs(value) > TRIFLE * max(energy.sides))
    assert "energy accounted for within" in text


def test_what_a_shaft_did_is_told() -> None:
    machine = oilway.load(str(examples() / "swing_drive.yaml"))
    done = run(machine, 0.3, [read_change(machine, "0.1 s: lever=1")], point=machine.point_from({"lever": "0"}))
    values = done.series["speed of motor"].values
    start, end = (show(float(values[k]), "rotation", "shop") for k in (0, -1))
    assert f"motor: from {start} to {end}, fastest" in printed(done)


def test_an_incomplete_run_says_so_first(hoist: Run) -> None:
    text = printed(replace(hoist, course=replace(hoist.course, complete=False)))
    assert text.startswith("Brackwater tipping-trailer hoist: 1 s INCOMPLETE: the run stalled")


def test_what_still_swings_is_printed_with_its_frequency(hoist: Run) -> None:
    swinging = replace(hoist.figures["cap line"], frequency=123.4, settled=None)
    text = printed(replace(hoist, figures={"cap line": swinging}))
    assert "not yet 123" in text


def test_of_many_events_the_rest_is_counted(hoist: Run) -> None:
    many = [Event(0.001 * k, "poppet", "seats") for k in range(MOST_EVENTS + 7)]
    text = printed(replace(hoist, events=many))
    assert text.count("poppet seats") == MOST_EVENTS
    assert "and 7 more" in text
    assert "Seats and stops" not in printed(replace(hoist, events=[]))


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_the_table_has_every_series_at_every_moment(hoist: Run, units: Units) -> None:
    rows = list(csv.reader(io.StringIO(run_table(hoist, units))))
    head, body = rows[0], rows[1:]
    unit = {"shop": "psi", "metric": "bar"}[units]
    assert head[0] == "time, s"
    assert f"pressure in pump line, {unit}" in head
    assert len(head) == 1 + len(hoist.series)
    assert len(body) == len(hoist.times)
    for column, (name, series) in enumerate(hoist.series.items(), 1):
        assert head[column].startswith(f"{name}, ")
        for k in (0, 137, -1):
            assert float(body[k][column]) == pytest.approx(
                number(float(series.values[k]), series.kind, units), rel=1e-8
            )
    assert [float(row[0]) for row in body] == pytest.approx(list(hoist.times), rel=1e-8)


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_a_broken_limit_is_printed_with_when_and_how_long(hoist: Run, units: Units) -> None:
    worst = Finding("cap line", "pressure above its rated pressure", 25e6, 21e6, "pressure")
    told = printed(replace(hoist, findings=[Excess(worst, 0.25, 0.0312, rated=True)]), units)
    value, bound = (show(p, "pressure", units) for p in (worst.value, worst.bound))
    assert f"LIMIT: cap line: {worst.what} ({value}, limit {bound}), from 0.250 s, for 0.031 s in all" in told
    assert "LIMIT" not in printed(replace(hoist, findings=[]), units)
