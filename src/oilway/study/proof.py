"""Prove a setting: from a readings file to figures with their doubt, conditions, and a verdict in three states.

Accept only what lies inside the limits with all its doubt, reject only what lies outside with all of U, and
call everything else not proven, with what would prove it.  A condition that is not met, a question about the
readings, or an instrument that is not entered leaves a figure not proven whatever it reads.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

from oilway import quantity
from oilway.quantity import Units
from oilway.study import remedy
from oilway.study.branches import read_at
from oilway.study.conditions import Condition, State, conditions_of
from oilway.study.figure import DIFFERENCE, TURNED, Figure, Judged, Verdict, decide
from oilway.study.proof_forms import FIGURES
from oilway.study.proof_relief import Sweeps
from oilway.study.proof_step import step_figures
from oilway.study.readings import Limit, Readings, Section
from oilway.study.rows import Table
from oilway.study.suspect import Flag, sift

CONVENTION = (
    "U: the largest limit of error whole; the others as rectangular (GUM 4.3.7) combined with the scatter (GUM "
    "4.2.3, 5.1.2) times k = 2 (GUM 6.2.1); root of the sum of squares of the two. Accepted only with all of U "
    "inside the limits, rejected only with all of U outside."
)


@dataclass
class Found:
    """What one section gave: the rows that stayed, what was flagged, the figures by name."""

    section: Section
    table: Table | None
    flags: list[Flag]
    figures: dict[str, Figure]


@dataclass
class Proof:
    """The answer: figures of every section, conditions and verdicts of the last one."""

    readings: Readings
    found: list[Found]
    conditions: list[Condition]
    judged: list[Judged]
    advice: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)

    @property
    def last(self) -> Found:
        """The section that is judged."""
        return self.found[-1]

    @property
    def verdict(self) -> Verdict:
        """One figure rejected rejects the whole; without limits nothing is proven."""
        verdicts = {item.verdict for item in self.judged}
        if Verdict.reject in verdicts:
            return Verdict.reject
        return Verdict.accept if verdicts == {Verdict.accept} else Verdict.not_proven


def prove(readings: Readings, units: Units = "shop") -> Proof:
    """Figures, conditions and verdict of a readings file; ``units`` are those of its sentences."""
    readings = replace(readings, units=units)
    found = [_found(readings, section) for section in readings.sections]
    last = found[-1]
    conditions = conditions_of(readings, last.section, last.table)
    against = _against(conditions, last.flags)
    judged = [_judge(limit, last, readings, against) for limit in readings.limits.values()]
    return Proof(readings, found, conditions, judged, _advice(readings, last), _assumed(readings, found))


def _found(readings: Readings, section: Section) -> Found:
    table = section.table
    flags: list[Flag] = []
    figures: list[Figure] = []
    if table is not None:
        table, flags = sift(table, readings.instruments)
        table = table if len(table) > 1 else None
    if table is not None or not readings.form.columns:
        figures = list(FIGURES[readings.form.name](readings, section, table))
    if section.step is not None:
        step, more = sift(section.step, readings.instruments, keep_spikes=True)
        flags = flags + more
        figures += step_figures(readings, step)
    return Found(section, table, flags, {figure.name: figure for figure in figures})


def _against(conditions: list[Condition], flags: list[Flag]) -> list[tuple[str, str]]:
    """What stands between any reading and a verdict, each with what to do about it."""
    open_conditions = [
        (f"{c.name} {c.state.value} ({c.said})", c.remedy) for c in conditions if c.state is not State.met
    ]
    questions = [(str(flag), "answer it: look at these rows again") for flag in flags if flag.question]
    return open_conditions + questions


def _judge(limit: Limit, last: Found, readings: Readings, against: list[tuple[str, str]]) -> Judged:
    """The verdict on one figure."""
    figure = last.figures.get(limit.figure)
    if figure is None:
        reason = "not read" + _why_not_read(limit, last, readings)
        found = [do for _, do in against if do] or [f"take the readings that {limit.figure} needs"]
        return Judged(limit.figure, limit, None, Verdict.not_proven, reason, found)
    doubt = figure.uncertainty
    plain = decide(figure.value, doubt, limit.low, limit.high)
    said = f"{_against_limit(figure, limit, readings)} against {limit.text}"
    if figure.missing:
        return Judged(limit.figure, limit, figure, Verdict.not_proven, f"{said}: U not complete", figure.missing)
    if against:
        reason = f"{said}: {'; '.join(why for why, _ in against)}"
        found = list(dict.fromkeys(do for _, do in against if do))
        return Judged(limit.figure, limit, figure, Verdict.not_proven, reason, found)
    if plain is Verdict.not_proven:
        hints = list(remedy.remedies(figure, limit, readings))
        return Judged(limit.figure, limit, figure, plain, f"{said}: U reaches over a limit", hints)
    words = "inside with all of U" if plain is Verdict.accept else "outside with all of U"
    hints = _after_reject(readings, limit) if plain is Verdict.reject else []
    return Judged(limit.figure, limit, figure, plain, f"{said}: {words}", hints)


def _against_limit(figure: Figure, limit: Limit, readings: Readings) -> str:
    """Value ± U, in the unit of the limit where that is another: two significant digits of U (GUM 7.2.6)."""
    typed = re.sub(r".*[0-9.]\s*", "", limit.text)
    numbers = figure.value, figure.uncertainty
    if not typed or typed in (quantity.unit(figure.kind, units) for units in ("shop", "metric")):
        return " ± ".join(readings.show(number, figure.kind) for number in numbers)
    value, doubt = (quantity.convert(number, figure.kind, typed) for number in numbers)
    places = max(0, 1 - math.floor(math.log10(doubt))) if doubt > 0 else 2
    return f"{value:.{places}f} {typed} ± {doubt:.{places}f} {typed}"


def _after_reject(readings: Readings, limit: Limit) -> list[str]:
    if readings.form.name == "relief" and limit.figure in ("full-flow pressure", "corrected setting"):
        return [
            "set it again at rated speed, warm, with full flow over it, finishing on rising pressure; prove anew"
        ]
    return []


def _why_not_read(limit: Limit, last: Found, readings: Readings) -> str:
    """Why a figure is missing, with what the readings hint at."""
    if last.table is None or "rated flow" not in readings.given or readings.form.swept != "Q":
        return ""
    sweeps, rated = Sweeps(last.table, "Q"), readings.given["rated flow"]
    said = f": the flow went up to {readings.show(sweeps.furthest, 'flow')} of {readings.show(rated, 'flow')}"
    rising = [branch for branch in sweeps.found if branch.rising]
    if limit.figure != "full-flow pressure" or not rising or len(rising[-1].rows) < 2:
        return said
    rows = rising[-1].rows
    top = read_at(sweeps.flow[rows], last.table.columns["P"][rows], float(sweeps.flow[rows].max()))
    if top is None:
        return said
    return f"{said}; " + remedy.expected_at_full_flow(top.value, top.slope, sweeps.furthest, rated, readings.units)


def _assumed(readings: Readings, found: list[Found]) -> list[str]:
    """What was taken for what was not entered, where a figure rests on it."""
    sources = {term.source for part in found for figure in part.figures.values() for term in figure.terms}
    said = []
    for column, instrument in readings.instruments.items():
        if f"{column}{DIFFERENCE}" in sources and "reads to" in instrument.assumed:
            said.append(f"instrument {column}: 'reads to' not entered, taken as half its limit of error")
        if f"{column}{TURNED}" in sources and "hysteresis" in instrument.assumed:
            said.append(f"instrument {column}: 'hysteresis' not entered, taken as its limit of error")
    return readings.assumed + said


def _advice(readings: Readings, last: Found) -> list[str]:
    """What a careful reader of the sheet would ask, without bearing on the verdict."""
    found = (
        [] if readings.limits else ["no limits entered: nothing is judged; enter the maker's, with their source"]
    )
    for column, instrument in readings.instruments.items():
        if not instrument.calibrated and instrument.column == column:
            found.append(f"instrument {column}: no calibration date")
    figure = last.figures.get("full-flow pressure") or last.figures.get("opening pressure")
    gauge = readings.instruments.get("P") or readings.instruments.get("L")
    if figure is not None and gauge is not None:
        place = (figure.value - gauge.low) / gauge.span
        if not remedy.PLACE[0] <= place <= remedy.PLACE[1]:
            found.append(
                f"the setting sits at {place:.0%} of the gauge; 50 to 75 % is read best (common practice)"
            )
    if readings.form.name == "relief" and "repeatability" not in last.figures:
        found.append("no repeatability: three readings at full flow ('repeats'), or three sweeps")
    return found
