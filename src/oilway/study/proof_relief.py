"""Figures of a sweep of flow, up and down: a relief valve, a counterbalance valve at its load port."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from oilway.study.branches import Point, branches, read_at
from oilway.study.figure import Bench, Figure, Term, mean
from oilway.study.readings import Readings, Section
from oilway.study.rows import Floats, Table

NOTHING = 1e3  # Pa: less is no pressure to take a share of


class Sweeps:
    """The branches of a table, and what each reads where."""

    def __init__(self, table: Table, swept: str) -> None:
        self.table, self.swept = table, swept
        self.flow = table.columns[swept]
        self.found = branches(self.flow)

    def at(self, column: str, place: float, *, rising: bool) -> list[Point]:
        """What every rising (or falling) branch reads at a place; empty where none comes that far."""
        values: Floats = self.table.columns[column]
        points = []
        for branch in self.found:
            if branch.rising == rising:
                point = read_at(self.flow[branch.rows], values[branch.rows], place)
                if point is not None:
                    points.append(point)
        return points

    @property
    def furthest(self) -> float:
        """The largest value of the swept column."""
        return float(self.flow.max(initial=0.0))

    @property
    def nearest(self) -> float:
        """The value from which every rising branch has rows."""
        return max((float(self.flow[b.rows].min()) for b in self.found if b.rising), default=self.furthest)


def relief_figures(readings: Readings, section: Section, table: Table) -> Iterator[Figure]:
    """Cracking, full flow, override, reseating, hysteresis, repeatability, leakage, corrected setting."""
    bench, sweeps = Bench(readings), Sweeps(table, "Q")
    rated = readings.given["rated flow"]
    cracked = readings.given["cracking flow"] * rated
    yield from opening_figures(bench, sweeps, "P", cracked, "cracking pressure")
    yield from _full_figures(bench, sweeps, readings, section, cracked, rated)
    yield from _hysteresis(bench, sweeps, rated)
    yield from _repeatability(bench, sweeps, section, rated)
    yield from _leakage(bench, section, sweeps.at("P", rated, rising=True))


def opening_figures(bench: Bench, sweeps: Sweeps, column: str, flow: float, name: str) -> Iterator[Figure]:
    """The pressure where the valve opens, the one where it shuts again, and the share of the two."""
    up, down = (sweeps.at(column, flow, rising=rising) for rising in (True, False))
    at = bench.show(flow, "flow")
    if up:
        opening = Figure(name, "pressure", mean(up), [], f"{column} on the way up at {at}")
        bench.reading(opening, column, opening.value)
        bench.along(opening, sweeps.swept, flow, up)
        yield opening
    if down:
        seat = Figure("reseating pressure", "pressure", mean(down), [], f"{column} on the way down at {at}")
        bench.reading(seat, column, seat.value)
        bench.along(seat, sweeps.swept, flow, down)
        yield seat
    if up and down and mean(up) > NOTHING:
        one, other = mean(up), mean(down)
        share = Figure("reseating share", "ratio", other / one, [], f"reseating pressure over {name}")
        bench.difference(share, column, one, other, 1 / one, turned=True)
        bench.along(share, sweeps.swept, flow, up, other / one**2)
        bench.along(share, sweeps.swept, flow, down, 1 / one)
        yield share


def _full_figures(
    bench: Bench, sweeps: Sweeps, readings: Readings, section: Section, cracked: float, rated: float
) -> Iterator[Figure]:
    """What is read at full flow, and by how much that lies over cracking."""
    full = sweeps.at("P", rated, rising=True)
    if not full:
        return
    at = min(rated, sweeps.furthest)
    figure = Figure(
        "full-flow pressure", "pressure", mean(full), [], f"P on the way up at {bench.show(at, 'flow')}"
    )
    bench.reading(figure, "P", figure.value)
    bench.along(figure, "Q", at, full)
    repeats = section.values.get("repeats", [])
    if len(repeats) > 1:
        doubt = float(np.std(repeats, ddof=1))
        figure.terms.append(Term("scatter of the repeats", doubt / len(repeats) ** 0.5, scatter=True))
    yield figure
    yield from _corrected(bench, sweeps, readings, figure, full, at)
    low = sweeps.at("P", cracked, rising=True)
    if low and mean(low) > NOTHING:
        yield from _override(bench, (cracked, low), (at, full))


def _override(bench: Bench, low: tuple[float, list[Point]], full: tuple[float, list[Point]]) -> Iterator[Figure]:
    one, other = mean(low[1]), mean(full[1])
    how = "full-flow less cracking pressure, on one gauge"
    for name, kind, value, factors in (
        ("override", "pressure", other - one, (1.0, 1.0, 1.0)),
        ("override share", "ratio", (other - one) / one, (1 / one, other / one**2, 1 / one)),
    ):
        figure = Figure(name, kind, value, [], how if kind == "pressure" else "override over cracking pressure")
        bench.difference(figure, "P", one, other, factors[0])
        bench.along(figure, "Q", low[0], low[1], factors[1])
        bench.along(figure, "Q", full[0], full[1], factors[2])
        yield figure


def _corrected(
    bench: Bench, sweeps: Sweeps, readings: Readings, full: Figure, points: list[Point], at: float
) -> Iterator[Figure]:
    """The setting with the back-pressure taken off: an internal drain adds it 1:1."""
    if "T" not in sweeps.table.columns:
        return
    internal = readings.facts.get("drain", "internal").startswith("internal")
    back = sweeps.at("T", at, rising=True)
    how = "full-flow pressure less T: an internal drain adds it 1:1"
    if not internal:
        back, how = [Point(0.0, 0.0, 0.0)], "as read: with an external drain T adds nothing"
    figure = Figure("corrected setting", "pressure", full.value - mean(back), list(full.terms), how)
    figure.missing = list(full.missing)
    if internal and readings.same_instrument("P", "T"):
        figure.terms = [term for term in figure.terms if term.source != "P"]
        bench.difference(figure, "P", full.value, mean(back))
    elif internal:
        bench.reading(figure, "T", mean(back))
    yield figure


def _hysteresis(bench: Bench, sweeps: Sweeps, rated: float) -> Iterator[Figure]:
    half = 0.5 * rated
    up, down = (sweeps.at("P", half, rising=rising) for rising in (True, False))
    if not up or not down:
        return
    one, other = mean(up), mean(down)
    how = f"rising less falling at {bench.show(half, 'flow')}, on one gauge"
    figure = Figure("hysteresis", "pressure", one - other, [], how)
    bench.difference(figure, "P", one, other, turned=True)
    bench.along(figure, "Q", half, up)
    bench.along(figure, "Q", half, down)
    yield figure


def _repeatability(bench: Bench, sweeps: Sweeps, section: Section, rated: float) -> Iterator[Figure]:
    """Highest less lowest of three readings at full flow or more, typed or from sweeps."""
    typed = section.values.get("repeats", [])
    values = typed or [point.value for point in sweeps.at("P", rated, rising=True)]
    if len(values) < 3:
        return
    how = f"highest less lowest of {len(values)} readings at full flow"
    figure = Figure("repeatability", "pressure", max(values) - min(values), [], how)
    bench.difference(figure, "P", max(values), min(values))
    yield figure


def _leakage(bench: Bench, section: Section, full: list[Point]) -> Iterator[Figure]:
    """Oil caught below cracking, by a measuring vessel and a watch."""
    caught = [section.values.get(f"leakage {word}") for word in ("volume", "time", "pressure")]
    if not all(caught):
        return
    volume, time, pressure = (float(np.mean(values)) for values in caught if values)
    share = f", {pressure / mean(full):.0%} of the full-flow pressure" if full else ""
    figure = Figure("leakage", "flow", volume / time, [], f"caught at {bench.show(pressure, 'pressure')}{share}")
    bench.reading(figure, "vessel", volume, 1 / time)
    bench.reading(figure, "watch", time, volume / time**2)
    yield figure
