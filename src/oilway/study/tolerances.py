"""How far a sound machine may differ from its file: tolerances of parts, shared by all of its readings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from oilway import quantity
from oilway.elements.fixed_pump import FixedPump
from oilway.elements.network import OIL
from oilway.errors import InputError
from oilway.model.catalogue import kinds
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.system import Vector
from oilway.model.tree import Block, Problems, Series, check_format, check_keys, read_file, text_of
from oilway.study.faults import DATA
from oilway.study.sites import OIL_SITE

OF = "of"
STEP = 1e-3  # of a standard deviation: how far the slope of an oil with its temperature looks


@dataclass(frozen=True)
class Tolerance:
    """One row: parts of a ``kind``, a ``record``, and one standard deviation: a ``share`` of the value or
    ``fixed``.
    """

    kind: str
    record: str
    share: float
    fixed: float


@dataclass(frozen=True)
class Wobble:
    """One thing that differs from machine to machine: a parameter, by a share of its value and a fixed amount."""

    name: str
    column: int
    share: float
    fixed: float


@cache
def tolerances() -> tuple[Tolerance, ...]:
    """Every row of the shipped file.  Errors: :class:`InputError` with file and line."""
    tree = read_file(DATA / "tolerances.yaml")
    problems = Problems()
    check_format(tree, problems)
    rows = tree.items.get("spread")
    found = []
    for row in rows.items if isinstance(rows, Series) else []:
        if isinstance(row, Block):
            check_keys(row, ("kind", "record", "by"), problems, "tolerance")
            found.append(_row(row, problems))
    problems.stop_if_any()
    return tuple(found)


def _row(row: Block, problems: Problems) -> Tolerance:
    kind, record, by = (text_of(row, key, problems, "tolerance") for key in ("kind", "record", "by"))
    try:
        if by.endswith(OF):
            return Tolerance(kind, record, quantity.parse(by.removesuffix(OF), "ratio"), 0.0)
        return Tolerance(kind, record, 0.0, quantity.parse(by.removesuffix("K"), "number"))
    except InputError as err:
        problems.add(row.place("by"), f"tolerance: {err.problems[0].what}", "write '2 % of'; of the oil '4 K'")
        return Tolerance(kind, record, 0.0, 0.0)


def wobbles(machine: Machine) -> list[Wobble]:
    """What may differ in this machine, the temperature of the oil first (column -1)."""
    known, th, found = machine.system.parameters, machine.theta(), []
    for row in tolerances():
        if row.kind == OIL_SITE:
            found.append(Wobble(OIL_TEMPERATURE, -1, 0.0, row.fixed))
            continue
        for name, part in machine.parts.items():
            pump = row.kind == "any pump" and issubclass(kinds()[part.kind], FixedPump)
            column = known.get(f"{name}.{row.record}")
            if (pump or part.kind == row.kind) and column is not None and th[column] != 0.0 and ": " not in name:
                found.append(Wobble(f"{name}.{row.record}", column, row.share, row.fixed))
    return found


def shifted(machine: Machine, th: Vector, wobble: Wobble, temperature: float, by: float) -> Vector:
    """Parameters with one thing off by so many standard deviations; ``temperature`` (degC) is that of ``th``."""
    moved = th.copy()
    if wobble.column < 0:
        warmer, now = (machine.oil.at(t) for t in (temperature + by * wobble.fixed, temperature))
        for name in OIL:
            record = name.removeprefix("oil.")
            moved[machine.system.parameters[name]] += getattr(warmer, record) - getattr(now, record)
    else:
        moved[wobble.column] += by * (wobble.share * th[wobble.column] + wobble.fixed)
    return np.asarray(moved, dtype=float)


def moved(machine: Machine, th: Vector, wobbles: list[Wobble], temperature: float) -> tuple[Vector, Vector]:
    """Change of all parameters per standard deviation of each tolerance (m, k), and of the temperature (k,), K."""
    moves, warmer = np.zeros((len(th), len(wobbles))), np.zeros(len(wobbles))
    for k, wobble in enumerate(wobbles):
        if wobble.column < 0:
            moves[:, k] = (shifted(machine, th, wobble, temperature, STEP) - th) / STEP
            warmer[k] = wobble.fixed
        else:
            moves[wobble.column, k] = wobble.share * th[wobble.column] + wobble.fixed
    return moves, warmer
