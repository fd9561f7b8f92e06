"""When readings count: oil temperature, speed, full flow, points each way, settling; met, not met or not known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from oilway import quantity
from oilway.laws.cleanliness import SIZES, particles_per_ml
from oilway.study.figure import Verdict, decide
from oilway.study.instruments import Instrument
from oilway.study.proof_relief import Sweeps
from oilway.study.readings import WINDOWS, Readings, Section, parse_limit
from oilway.study.rows import Table

# Common practice, not a standard's: named on the sheet where they decide.
POINTS = 8  # readings each way
SWEEP_TIME = 10.0  # s, from a tenth to nine tenths of the way: quicker, and gauge and valve lag behind
WAITED = 3.0  # s a typed reading stands before it is written down, unless a least settling time is entered
NEAR_TEST_PRESSURE = 0.05
FULL = 0.98  # of the rated flow: less is not full flow


class State(StrEnum):
    """Whether a condition is met."""

    met = "met"
    not_met = "not met"
    unknown = "not known"


@dataclass(frozen=True)
class Condition:
    """One condition: what was wanted and found, and what to do where it is not met."""

    name: str
    state: State
    said: str
    remedy: str = ""


_STATES = {Verdict.accept: State.met, Verdict.reject: State.not_met, Verdict.not_proven: State.unknown}


def conditions_of(readings: Readings, section: Section, table: Table | None) -> list[Condition]:
    """Every condition that this kind of test has."""
    return list(_all(readings, section, table))


def _all(readings: Readings, section: Section, table: Table | None) -> Iterator[Condition]:
    form = readings.form
    if form.warm:
        yield _window(
            readings,
            section,
            table,
            "oil temperature",
            "temperature window",
            "temp",
            "warm the oil and test again",
        )
    if "speed window" in section.conditions:
        yield _window(readings, section, table, "engine speed", "speed window", "n", "test at the speed asked for")
    if table is not None:
        sweeps = Sweeps(table, form.swept)
        yield _reached(readings, sweeps)
        yield _points(sweeps, form.both_ways)
        yield _steady(readings, section, table, sweeps)
        if form.name == "reducing":
            yield _supply(readings, table)
    if form.name == "cylinder bypass":
        yield _test_pressure(readings, section)
    if section.name == "as left" and section.adjustment:
        yield _finished(section)
    if "cleanliness target" in section.conditions:
        yield _clean(section)
    for item in form.stated:
        said = section.conditions.get(item.key, "")
        state = {"yes": State.met, "no": State.not_met}.get(said, State.unknown)
        yield Condition(item.key, state, said or "not stated", f"say so under conditions: {item.why}")


def _window(
    readings: Readings, section: Section, table: Table | None, key: str, window: str, column: str, remedy: str
) -> Condition:
    """What was read lies inside a window, instrument and all."""
    kind = WINDOWS[window]
    if window not in section.conditions:
        return Condition(key, State.unknown, "no window entered", f"enter the maker's '{window}'")
    limit = parse_limit(window, section.conditions[window], kind)
    if table is not None and column in table.columns:
        read = [float(table.columns[column].min()), float(table.columns[column].max())]
    elif key in section.conditions:
        read = [quantity.parse(section.conditions[key], kind)]
    else:
        return Condition(key, State.unknown, f"not read; {limit.text} wanted", f"read it: '{key}'")
    said = " to ".join(dict.fromkeys(readings.show(value, kind) for value in read)) + f"; {limit.text} wanted"
    instrument = readings.instruments.get(column)
    found = {_STATES[decide(v, _doubt(instrument, v), limit.low, limit.high)] for v in read}
    for state in (State.not_met, State.unknown):
        if state in found:
            finer = f"; a finer instrument than {instrument.accuracy.text}" if instrument else ""
            return Condition(key, state, said, remedy + (finer if state is State.unknown else ""))
    return Condition(key, State.met, said)


def _doubt(instrument: Instrument | None, value: float) -> float:
    return instrument.limit(value) if instrument else 0.0


def _reached(readings: Readings, sweeps: Sweeps) -> Condition:
    """The sweep goes as far as it is judged."""
    key = {"pump flow": "rated pressure", "counterbalance": "opening flow"}.get(readings.form.name, "rated flow")
    kind = readings.form.given[key].kind
    wanted, found = readings.given[key], sweeps.furthest
    said = f"{readings.show(found, kind)} reached of {readings.show(wanted, kind)}"
    state = State.met if found >= FULL * wanted and any(b.rising for b in sweeps.found) else State.not_met
    remedy = (
        "bring the pump to its rated speed and all its oil over the valve" if key == "rated flow" else "go on up"
    )
    return Condition(f"{key} reached", state, said, remedy)


def _points(sweeps: Sweeps, both_ways: bool) -> Condition:
    """Readings enough on each branch, the turning one counted on both."""
    counts = {
        word: min((len(b.rows) for b in sweeps.found if b.rising == rising), default=0)
        for word, rising in (("up", True), ("down", False))
        if rising or both_ways
    }
    said = ", ".join(f"{count} on the way {word}" for word, count in counts.items())
    state = State.met if min(counts.values()) >= POINTS else State.not_met
    return Condition(
        "points", state, f"{said}; {POINTS} wanted", "take more readings, spread over the whole sweep"
    )


def _steady(readings: Readings, section: Section, table: Table, sweeps: Sweeps) -> Condition:
    """Typed readings have stood; a logger's sweep was slow."""
    if table.logged:
        times = [_sweep_time(sweeps, k, table) for k in range(len(sweeps.found))]
        quickest = min(times, default=0.0)
        state = State.met if quickest >= SWEEP_TIME else State.not_met
        quick = readings.show(quickest, "time", 1)
        said = f"quickest sweep {quick}; {SWEEP_TIME:g} s or more wanted (common practice)"
        return Condition("settled", state, said, "sweep more slowly: gauge and valve lag behind")
    entered = section.conditions.get("least settling time")
    least = quantity.parse(entered, "time") if entered else WAITED
    wanted = f"{readings.show(least, 'time', 0)} or more wanted" + ("" if entered else " (common practice)")
    if "settling time" not in section.conditions:
        return Condition("settled", State.unknown, f"not stated; {wanted}", "say how long each reading stood")
    waited = quantity.parse(section.conditions["settling time"], "time")
    state = State.met if waited >= least else State.not_met
    return Condition(
        "settled", state, f"{readings.show(waited, 'time', 0)}; {wanted}", "wait longer at each reading"
    )


def _sweep_time(sweeps: Sweeps, k: int, table: Table) -> float:
    """Seconds from a tenth to nine tenths of one branch."""
    rows = sweeps.found[k].rows
    share = (sweeps.flow[rows] - sweeps.flow[rows].min()) / np.ptp(sweeps.flow[rows])
    inside = table.columns["t"][rows][(share >= 0.1) & (share <= 0.9)]
    return float(np.ptp(inside)) if len(inside) > 1 else 0.0


def _supply(readings: Readings, table: Table) -> Condition:
    least = readings.given["least supply over outlet"]
    found = float((table.columns["P"] - table.columns["R"]).min())
    over, wanted = (readings.show(value, "pressure") for value in (found, least))
    said = f"inlet over outlet {over} at the least; {wanted} wanted"
    state = State.met if found >= least else State.not_met
    return Condition(
        "supply above outlet", state, said, "raise the supply: an open reducing valve reduces nothing"
    )


def _test_pressure(readings: Readings, section: Section) -> Condition:
    wanted = readings.given["test pressure"]
    found = float(np.mean(section.values["pressure"]))
    state = State.met if abs(found - wanted) <= NEAR_TEST_PRESSURE * wanted else State.not_met
    held, asked = (readings.show(value, "pressure") for value in (found, wanted))
    said = f"{held}; {asked} within {NEAR_TEST_PRESSURE:.0%} wanted"
    return Condition("test pressure", state, said, "hold the pressure while the oil is caught")


def _finished(section: Section) -> Condition:
    """The last turn was made on rising pressure, or friction holds part of the setting."""
    state = {"rising": State.met, "falling": State.not_met}.get(section.finished, State.unknown)
    said = f"finished on {section.finished} pressure" if section.finished else "not stated: 'finished: rising'"
    remedy = "back off below the setting and come up to it again; friction keeps what was finished falling"
    return Condition("finished rising", state, said, remedy)


def _clean(section: Section) -> Condition:
    target = section.conditions["cleanliness target"]
    code = section.conditions.get("cleanliness", "")
    if not code:
        return Condition("cleanliness", State.unknown, f"not counted; {target} wanted", "take an oil sample")
    pairs = zip(code.split("/"), target.split("/"), strict=True)
    state = State.met if all(int(found) <= int(wanted) for found, wanted in pairs) else State.not_met
    most = "/".join(f"{particles_per_ml(int(number))[1]:g}" for number in target.split("/"))
    sizes = "/".join(str(size) for size in SIZES)
    said = f"{code}; {target} wanted, up to {most} particles per mL of {sizes} um"
    return Condition("cleanliness", state, said, "filter the oil before it is judged or set")
