"""What looks wrong in a table of readings: gaps, spikes, swapped columns, wrong units.  Flagged, never repaired.

A flagged row is left out of the figures and told with its line.  A *question* has to be answered by the person who
took the readings: while it stands, the proof is not accepted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from oilway import quantity
from oilway.quantity import show
from oilway.study.instruments import Instrument
from oilway.study.rows import KNOWN, Bools, Floats, Table

WINDOW = 7  # samples of the running median that a spike is held against
SPIKE = 0.05  # of the largest reading: less is noise, not a spike
JUMP = 0.15  # of the largest reading: a typed row this far from both its neighbours is questioned
PAUSE = 5.0  # times the usual time step: the logger missed rows
# (higher, lower): oil flows from the first to the second, so the first reads more.
DOWNSTREAM = (("P", "T"), ("P", "R"), ("P", "V"), ("L", "B"), ("P", "LS"))
SAME_KIND = {"pressure": ("psi", "bar"), "flow": ("gpm", "L/min")}


@dataclass(frozen=True)
class Flag:
    """One thing that looks wrong: gap, spike or question; ``rows`` says where, ``said`` what."""

    sort: str
    rows: str
    said: str

    @property
    def question(self) -> bool:
        """Whether it stands in the way of a verdict."""
        return self.sort == "question"

    def __str__(self) -> str:
        return f"{self.rows}: {self.said}"


def sift(
    table: Table, instruments: Mapping[str, Instrument], *, keep_spikes: bool = False
) -> tuple[Table, list[Flag]]:
    """The rows that stay, and every flag; ``keep_spikes`` for a step, where a short peak may be the answer."""
    flags: list[Flag] = []
    bad = np.zeros(len(table), dtype=bool)
    for rows, flag in _looks(table, instruments):
        flags.append(flag)
        if flag.sort != "pause" and not (flag.sort == "spike" and keep_spikes):
            bad |= rows
    return table.keep(~bad), flags


def _looks(table: Table, instruments: Mapping[str, Instrument]) -> Iterator[tuple[Bools, Flag]]:
    """Each look in turn: the rows concerned, and what to say."""
    gaps = np.zeros(len(table), dtype=bool)
    for name, values in table.columns.items():
        empty = np.isnan(values)
        if empty.any():
            gaps |= empty
            yield empty, Flag("gap", rows_words(table, empty), f"no reading of {name}; left out")
    yield from _clock(table)
    for name, values in table.columns.items():
        if name in instruments:
            yield from _out_of_range(table, name, values, instruments[name])
    yield from _swapped(table, instruments)
    for name, values in table.columns.items():
        if KNOWN[name][0] in ("pressure", "flow"):
            yield from _spikes(table, name, values, gaps)


def _clock(table: Table) -> Iterator[tuple[Bools, Flag]]:
    """Time that runs back, and pauses of the logger."""
    if "t" not in table.columns or len(table) < 3:
        return
    steps = np.diff(table.columns["t"])
    back = np.concatenate([[False], steps < 0])
    if back.any():
        yield back, Flag("question", rows_words(table, back), "time runs backwards: two files in one?")
    usual = float(np.nanmedian(steps))
    pause = np.concatenate([[False], steps > PAUSE * usual]) if usual > 0 else back & False
    if pause.any():
        longest = show(float(np.nanmax(steps)), "time")
        yield (
            pause,
            Flag("pause", rows_words(table, pause), f"rows are missing before it, up to {longest}; not filled"),
        )


def _out_of_range(table: Table, name: str, values: Floats, instrument: Instrument) -> Iterator[tuple[Bools, Flag]]:
    """Readings that the instrument cannot show; another unit is proposed where it would fit."""
    outside = np.array(values > instrument.high * (1 + 1e-9)) | (values < instrument.low - 0.02 * instrument.span)
    if not outside.any():
        return
    worst = float(values[outside][np.argmax(np.abs(values[outside]))])
    said = f"{_as_written(table, name, worst)} on {name} is outside its instrument's {instrument.words}"
    yield (
        outside,
        Flag("question", rows_words(table, outside), said + _another_unit(table, name, worst, instrument)),
    )


def _as_written(table: Table, name: str, value: float) -> str:
    size = quantity.convert(value, KNOWN[name][0], table.units[name])
    return f"{size:.6g} {table.units[name]}"


def _another_unit(table: Table, name: str, value: float, instrument: Instrument) -> str:
    kind, written = KNOWN[name][0], table.units[name]
    size = quantity.convert(value, kind, written)
    fits = [
        unit
        for unit in SAME_KIND.get(kind, ())
        if unit != written and instrument.reaches(quantity.parse(f"{size:.12g} {unit}", kind))
    ]
    return f": were these {fits[0]}, not {written}?" if fits else ": typed wrong, or another instrument?"


def _swapped(table: Table, instruments: Mapping[str, Instrument]) -> Iterator[tuple[Bools, Flag]]:
    """Rows where the gauge downstream reads more than the one upstream, beyond what both may be out."""
    for high, low in DOWNSTREAM:
        if high not in table.columns or low not in table.columns:
            continue
        up, down = table.columns[high], table.columns[low]
        slack = sum(instruments[c].limit(0.5 * instruments[c].high) for c in (high, low) if c in instruments)
        wrong = down > up + max(slack, 0.02 * float(np.nanmax(np.abs(down), initial=0.0)))
        if wrong.any():
            k = int(np.argmax(np.where(wrong, down - up, -np.inf)))
            one, other = _as_written(table, high, up[k]), _as_written(table, low, down[k])
            said = f"{one} on {high} while {low} reads {other}: swapped?"
            yield wrong, Flag("question", rows_words(table, wrong), said)


def _spikes(table: Table, name: str, values: Floats, gaps: Bools) -> Iterator[tuple[Bools, Flag]]:
    """Single samples far from those around them; in typed rows a question, in a logger's file a spike."""
    rows = np.flatnonzero(~gaps)
    width = WINDOW if table.logged else 3
    if len(rows) < max(width, 5):
        return
    kept = values[rows]
    padded = np.pad(kept, width // 2, mode="edge")
    middle = np.median(np.lib.stride_tricks.sliding_window_view(padded, width), axis=1)
    away = np.abs(kept - middle)
    largest = float(np.percentile(np.abs(kept), 99 if table.logged else 100))
    usual = 1.4826 * float(np.median(away))  # standard deviation, of normal noise
    out = away > (max(SPIKE * largest, 8 * usual) if table.logged else JUMP * largest)
    if not out.any():
        return
    mask = np.zeros(len(table), dtype=bool)
    mask[rows[out]] = True
    worst = _as_written(table, name, float(kept[np.argmax(away)]))
    if table.logged:
        yield mask, Flag("spike", rows_words(table, mask), f"spike on {name}, up to {worst}; left out")
    elif KNOWN[name][0] == "pressure":
        yield (
            mask,
            Flag("question", rows_words(table, mask), f"{worst} on {name} lies far from both its neighbours"),
        )


def rows_words(table: Table, rows: Bools, most: int = 6) -> str:
    """Where rows stand: "log.csv:12, 15-19 and 3 more places"."""
    lines = table.lines[rows]
    breaks = np.flatnonzero(np.diff(np.flatnonzero(rows)) > 1)
    starts = np.concatenate([[0], breaks + 1])
    ends = np.concatenate([breaks, [len(lines) - 1]])
    runs = [
        f"{lines[a]}" if a == b else f"{lines[a]}-{lines[b]}"
        for a, b in zip(starts[:most], ends[:most], strict=True)
    ]
    more = f" and {len(starts) - most} more places" if len(starts) > most else ""
    return f"{table.file}:{', '.join(runs)}{more}"
