"""Rows of a fit: what a table of readings says of the valve on its stand, state by state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from oilway.errors import InputError, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.study.instruments import Instrument
from oilway.study.rows import Table, read_table_file

# Column of a table: port role whose chamber it reads.  Q and temp say how the stand was run, T may do either.
READ_AT = {"V": "vent", "D": "drain", "X": "pilot"}


@dataclass(frozen=True)
class Row:
    """One state of the stand: ``inputs`` (parameter or oil temperature to SI), ``rising``, what was ``read``
    where.

    ``turned``: turns of the adjuster beyond those of the first row.
    """

    inputs: dict[str, float]
    rising: bool
    read: dict[str, float]  # name of the unknown in the state -> value, SI
    turned: float = 0.0


def table_of(path: Path) -> tuple[Table, Mapping[str, Instrument]]:
    """The rows of a CSV, or of the last section of a readings file, with its instruments by column.

    Errors: :class:`InputError`.
    """
    if path.suffix.lower() in (".yaml", ".yml"):
        from oilway.study.readings import read_readings

        told = read_readings(path)
        tables = [section.table for section in told.sections if section.table is not None]
        if not tables:
            raise InputError(Problem(Place(path.name), "there are no rows in it", "a fit reads Q and P"))
        return tables[-1], told.instruments
    return read_table_file(path), {}


def rows_of(bench: Machine, table: Table) -> list[Row]:
    """The states of the stand that a table describes.  Errors: :class:`InputError` for a column without a
    place.
    """
    flow, mounted = bench.set_by[1], bench.mounted[0]
    for needed in ("Q", "P"):
        if needed not in table.columns:
            raise InputError(
                Problem(Place(table.file), f"no column {needed}", "a fit reads Q and P, and V, D, T, temp")
            )
    read = places(bench, table)
    outlet = f"{mounted.at('outlet')}.pressure"
    rows, before, way = [], -np.inf, 1.0
    for k in range(len(table)):
        at = {name: float(values[k]) for name, values in table.columns.items()}
        if not np.isfinite(at["Q"]) or at["Q"] <= 0:
            continue
        inputs = {flow: at["Q"]}
        if np.isfinite(at.get("temp", np.nan)):
            inputs[OIL_TEMPERATURE] = at["temp"]
        if np.isfinite(at.get("T", np.nan)) and outlet in bench.system.parameters:
            inputs[outlet] = at["T"]
        shown = {unknown: at[column] for column, unknown in read.items() if np.isfinite(at[column])}
        if shown:
            way = float(np.sign(at["Q"] - before)) or way
            rows.append(Row(inputs, way > 0, shown, float(np.nan_to_num(at.get("turns", 0.0)))))
        before = at["Q"]
    return rows


def places(bench: Machine, table: Table) -> dict[str, str]:
    """The unknown of the stand that each column of a table reads.  Errors: :class:`InputError`."""
    read = {"P": f"pressure in {bench.set_by[0]}"}
    for column, role in READ_AT.items():
        if column in table.columns:
            name = bench.mounted[0].at(role)
            if f"pressure in {name}" not in bench.system.index:
                raise InputError(Problem(Place(table.file), f"this valve has no {role} port to read {column} at"))
            read[column] = f"pressure in {name}"
    return read
