"""Figures of the shorter tests: pump, reducing, counterbalance, load sensing, bypass, precharge, compare."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from oilway.laws.gas import at_temperature
from oilway.laws.uncertainty import mean_scatter
from oilway.study.figure import Bench, Figure, Term, mean
from oilway.study.proof_relief import Sweeps, opening_figures, relief_figures
from oilway.study.readings import Readings, Section
from oilway.study.rows import Table

ATMOSPHERE = 101325.0  # Pa, standard; gauge pressures of gas are made absolute with it
ZERO_CELSIUS = 273.15  # K
NO_FLOW = 0.02  # of the rated flow: less counts as no flow
Source = Callable[[Readings, Section, Table | None], Iterator[Figure]]


def pump_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Flow at low and at rated pressure, what is lost between them, and what leaves by the case."""
    if table is None:
        return
    bench, sweeps, given = Bench(readings), Sweeps(table, "P"), readings.given
    read = {}
    for word, place in (("low", given["low pressure"]), ("rated", given["rated pressure"])):
        points = sweeps.at("Q", place, rising=True)
        if points:
            how = f"Q at {bench.show(place, 'pressure')}"
            read[word] = figure = Figure(f"flow at {word} pressure", "flow", mean(points), [], how)
            bench.reading(figure, "Q", figure.value)
            bench.along(figure, "P", place, points)
            yield figure
    if len(read) == 2 and read["low"].value > 0:
        one, other = read["low"].value, read["rated"].value
        loss = Figure("flow loss", "ratio", (one - other) / one, [], "(Q low - Q rated) / Q low, on one meter")
        bench.difference(loss, "Q", one, other, 1 / one)
        yield loss
    if "QC" not in table.columns:
        return
    points = sweeps.at("QC", given["rated pressure"], rising=True)
    if points:
        how = f"QC at {bench.show(given['rated pressure'], 'pressure')}"
        for name, kind, factor in (
            ("case leakage", "flow", 1.0),
            ("case leakage share", "ratio", 1 / given["rated flow"]),
        ):
            figure = Figure(name, kind, factor * mean(points), [], how)
            bench.reading(figure, "QC", mean(points), factor)
            bench.along(figure, "P", given["rated pressure"], points, factor)
            yield figure


def reducing_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Reduced pressure without and with flow, the droop between them, and the drain."""
    if table is None:
        return
    bench, sweeps = Bench(readings), Sweeps(table, "Q")
    rated, least = readings.given["rated flow"], sweeps.nearest
    read = {}
    for word, place in (("no", least), ("full", rated)):
        points = sweeps.at("R", place, rising=True)
        if points and (word == "full" or least <= NO_FLOW * rated):
            how = f"R at {bench.show(min(place, sweeps.furthest), 'flow')}"
            read[word] = figure = Figure(f"reduced pressure at {word} flow", "pressure", mean(points), [], how)
            bench.reading(figure, "R", figure.value)
            bench.along(figure, "Q", min(place, sweeps.furthest), points)
            yield figure
    if len(read) == 2:
        one, other = read["no"].value, read["full"].value
        droop = Figure("droop", "pressure", one - other, [], "no flow less full flow, on one gauge")
        bench.difference(droop, "R", one, other)
        yield droop
    if "QC" in table.columns:
        drain = Figure("drain flow", "flow", float(table.columns["QC"].max()), [], "the most that the drain gave")
        bench.reading(drain, "QC", drain.value)
        yield drain


def counterbalance_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Opening and reseating pressure at the load port, over the highest load, and without back-pressure."""
    if table is None:
        return
    bench, sweeps, given = Bench(readings), Sweeps(table, "Q"), readings.given
    figures = list(opening_figures(bench, sweeps, "L", given["opening flow"], "opening pressure"))
    yield from figures
    opening = next((figure for figure in figures if figure.name == "opening pressure"), None)
    if opening is None:
        return
    load = given["highest load pressure"]
    terms = [Term(t.source, t.size / load, t.scatter) for t in opening.terms]
    how = f"opening pressure over the highest load pressure, {bench.show(load, 'pressure')}"
    yield Figure("opening over load", "ratio", opening.value / load, terms, how, list(opening.missing))
    back = sweeps.at("B", given["opening flow"], rising=True) if "B" in table.columns else []
    if back:
        factor = 1 + given["pilot ratio"]
        how = f"opening pressure less {factor:g} x B: what an unvented spring chamber adds"
        value = opening.value - factor * mean(back)
        figure = Figure("corrected opening", "pressure", value, list(opening.terms), how, list(opening.missing))
        bench.reading(figure, "B", mean(back), factor)
        yield figure


def load_sensing_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Margin of the pump over the load while it moves; standby and the load-sensing line in neutral."""
    bench, read = Bench(readings), section.values
    pump, load = read["pump pressure moving"], read["load-sensing pressure moving"]
    one, other = float(np.mean(pump)), float(np.mean(load))
    margin = Figure("margin", "pressure", one - other, [], "P less LS while the function moves")
    if readings.same_instrument("P", "LS"):
        bench.difference(margin, "P", one, other)
    else:
        bench.reading(margin, "P", one)
        bench.reading(margin, "LS", other)
    margin.terms += [*_scatter(pump), *_scatter(load)]
    yield margin
    for name, key, column in (
        ("standby", "pump pressure neutral", "P"),
        ("load-sensing line in neutral", "load-sensing pressure neutral", "LS"),
    ):
        figure = Figure(name, "pressure", float(np.mean(read[key])), _scatter(read[key]), f"{column} in neutral")
        bench.reading(figure, column, figure.value)
        yield figure


def bypass_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Oil caught at the open rod port over time."""
    bench, read = Bench(readings), section.values
    volume, time, pressure = (
        float(np.mean(read[key])) for key in ("collected volume", "collecting time", "pressure")
    )
    how = f"volume over time at {bench.show(pressure, 'pressure')}"
    figure = Figure("bypass flow", "flow", volume / time, [], how)
    bench.reading(figure, "vessel", volume, 1 / time)
    bench.reading(figure, "watch", time, volume / time**2)
    yield figure


def precharge_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Gas pressure as read, and what it is at the reference temperature."""
    bench, read = Bench(readings), section.values
    pressure, temperature = (float(np.mean(read[key])) for key in ("gas pressure", "gas temperature"))
    gas = Figure("gas pressure", "pressure", pressure, _scatter(read["gas pressure"]), "P as read")
    bench.reading(gas, "P", pressure)
    yield gas
    wanted = readings.given["reference temperature"] + ZERO_CELSIUS
    there = temperature + ZERO_CELSIUS
    value = float(at_temperature(pressure + ATMOSPHERE, there, wanted)) - ATMOSPHERE
    how = f"gas pressure taken to {bench.show(wanted - ZERO_CELSIUS, 'temperature')} in a shell of one volume"
    terms = [Term(t.source, t.size * wanted / there, t.scatter) for t in gas.terms]
    figure = Figure("precharge", "pressure", value, terms, how, list(gas.missing))
    bench.reading(figure, "temp", temperature, (value + ATMOSPHERE) / there)
    yield figure


def compare_figures(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """Difference of two stall pressures: on one gauge its class drops out, on two it counts twice."""
    bench = Bench(readings)
    first, second = (section.values[key] for key in ("first stall", "second stall"))
    one, other = float(np.mean(first)), float(np.mean(second))
    same = readings.same_instrument("P", "P2")
    how = f"second less first stall pressure, on {'one gauge' if same else 'two gauges'}"
    figure = Figure("difference", "pressure", other - one, [*_scatter(first), *_scatter(second)], how)
    if same:
        bench.difference(figure, "P", one, other)
    else:
        bench.reading(figure, "P", one)
        bench.reading(figure, "P2", other)
    yield figure


def _scatter(values: list[float]) -> list[Term]:
    """Scatter of repeated readings; one reading shows none."""
    return [Term("scatter of the repeats", mean_scatter(values), scatter=True)] if len(values) > 1 else []


def _relief(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    return iter(()) if table is None else relief_figures(readings, section, table)


def _no_more(readings: Readings, section: Section, table: Table | None) -> Iterator[Figure]:
    """A step response has no figures besides those of its step."""
    return iter(())


FIGURES: dict[str, Source] = {
    "relief": _relief,
    "pump flow": pump_figures,
    "reducing": reducing_figures,
    "counterbalance": counterbalance_figures,
    "load sensing": load_sensing_figures,
    "cylinder bypass": bypass_figures,
    "precharge": precharge_figures,
    "compare": compare_figures,
    "step": _no_more,
}
