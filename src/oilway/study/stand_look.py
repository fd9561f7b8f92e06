"""What is odd about readings at the stand: the flags of a proof, the order of a sweep, a gauge at its end."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from oilway import quantity
from oilway.errors import QuantityError
from oilway.quantity import Units
from oilway.study.forms import RATED, Form
from oilway.study.proof import Proof
from oilway.study.readings import SECTIONS, Limit, parse_limit
from oilway.study.rows import KNOWN, Table
from oilway.study.stand import Draft, split_list
from oilway.study.stand_sweep import out_of_order, places
from oilway.study.suspect import Flag, sift


@dataclass(frozen=True)
class Look:
    """One thing to look at again: a question of the proof, a note, or a caution; where, and what."""

    sort: str
    where: str
    said: str


def looks(draft: Draft, proof: Proof | None, units: Units) -> list[Look]:
    """Everything odd about what has been typed so far."""
    return list(dict.fromkeys(_all(draft, proof, units)))


def _all(draft: Draft, proof: Proof | None, units: Units) -> Iterator[Look]:
    if draft.form is None:
        return
    yield from _gauges(draft, draft.form, units)
    for name in SECTIONS:
        table = draft.table(name) if draft.form.columns else None
        if table is not None:
            yield from _flagged(table, sift(table, draft.instruments)[1], name)
            yield from _over(draft, table, name)
            yield from _order(draft, draft.form, table, name, units)
        yield from _alone(draft, draft.form, name)
    for found in proof.found if proof else ():  # of a logger's file, which no prompt is about
        if draft.has(found.section.name, "file") or draft.has(found.section.name, "step"):
            yield from (Look(flag.sort, flag.rows, flag.said) for flag in found.flags)


def _flagged(table: Table, flags: list[Flag], name: str) -> Iterator[Look]:
    """Flags of a table; a gap in the last row alone is a row that is being typed."""
    last = f":{table.lines[-1]}"
    lines = {str(line): str(k + 1) for k, line in enumerate(table.lines)}
    for flag in flags:
        if flag.sort == "gap" and flag.rows.endswith(last) and "," not in flag.rows and "-" not in flag.rows:
            continue
        rows, more, rest = flag.rows.rpartition(":")[2].partition(" and ")
        rows = re.sub(r"\d+", lambda found: lines.get(found[0], found[0]), rows)
        yield Look(flag.sort, f"{name}, row {rows}{more}{rest}", flag.said)


def _over(draft: Draft, table: Table, where: str) -> Iterator[Look]:
    """A pressure above the end of its gauge is no matter of the sheet alone."""
    for column, values in table.columns.items():
        gauge = draft.instruments.get(column)
        if gauge is not None and gauge.kind == "pressure" and bool((values > gauge.high).any()):
            yield Look("caution", where, f"{column} above the end of its gauge ({gauge.written}). {RATED}")


def _order(draft: Draft, form: Form, table: Table, name: str, units: Units) -> Iterator[Look]:
    way = places(form, draft.given)
    swept = table.columns[form.swept]
    read = [float(value) for value in swept[~np.isnan(swept)]]
    for k in range(2, len(read) + 1) if way else ():
        if said := out_of_order(read[:k], way[-1], both_ways=form.both_ways):
            kind = KNOWN[form.swept][0]
            one, other = (quantity.show(value, kind, units) for value in read[k - 2 : k])
            yield Look("note", f"{name}, row {k}", f"{form.swept} from {one} to {other}: {said}; out of order?")


def _alone(draft: Draft, form: Form, name: str) -> Iterator[Look]:
    """Readings typed on their own, each held against its instrument as the row of a table would be."""
    for key, value in form.values.items():
        kind, column = value.kind, value.column
        for text in split_list(draft.at(name, key)):
            try:
                size = quantity.parse(text, kind)
            except QuantityError:
                continue
            unit = text.lstrip("+-0123456789.,/ ") or quantity.unit(kind)
            table = Table(draft.name, {column: np.array([size])}, np.array([1]), {column: unit})
            yield from _over(draft, table, f"{name}, {key}")
            for flag in sift(table, draft.instruments)[1]:
                yield Look(flag.sort, f"{name}, {key}", flag.said)


def _gauges(draft: Draft, form: Form, units: Units) -> Iterator[Look]:
    """A gauge that ends below what it is to show."""
    for figure, limit in _limits(draft, form):
        column = "L" if "L" in form.columns else "R" if "R" in form.columns else "P"
        gauge = draft.instruments.get(column)
        highest = limit.high if limit.high is not None else limit.low
        if gauge is not None and highest is not None and highest > gauge.high:
            said = f"{quantity.show(highest, 'pressure', units)} is wanted and {column} ends at {gauge.written}"
            yield Look("caution", f"limit of {figure}", f"{said}: fit another gauge. {RATED}")


def _limits(draft: Draft, form: Form) -> Iterator[tuple[str, Limit]]:
    for figure, kind in form.figures.items():
        text = draft.at("limits", figure)
        if kind == "pressure" and text:
            try:
                yield figure, parse_limit(figure, text, kind)
            except QuantityError:
                continue
