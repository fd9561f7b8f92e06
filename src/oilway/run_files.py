"""A run written to a file: a table for a spreadsheet, a table for programs, or a chart, by the ending.

Parquet is written by pyarrow: the reference implementation, long kept, with a settled way to write metadata.  It
is a download of 55 MB, so it is an extra that only those install who want it.  fastparquet is 2 MB but brings
pandas with it; polars weighs as much (54 MB), and calls its way to write metadata experimental.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

from oilway import __version__
from oilway.draw.chart_style import SUFFIXES
from oilway.draw.course import save_course
from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.files import write_whole
from oilway.provenance import check_parquet, sources
from oilway.quantity import Units
from oilway.run_text import run_columns, run_table
from oilway.study.run import Run

TABLES = (".csv", ".parquet")
ENDINGS = (*TABLES, *SUFFIXES)


def check_ending(path: Path) -> None:
    """Refuse, before anything is run, a path that :func:`write_run` could not write.

    Errors: :class:`InputError` for another ending, and for .parquet where what writes it is not installed.
    """
    suffix = path.suffix.lower()
    if suffix not in ENDINGS:
        what = "a run is written as .csv, .parquet, .svg, .png or .pdf" + (
            f", not as '{suffix}'" if suffix else ""
        )
        hint = did_you_mean(suffix, ENDINGS) or f"write '{path.stem or 'run'}.csv'"
        raise InputError(Problem(Place(str(path)), what, hint))
    if suffix == ".parquet":
        check_parquet(path, ", or write a .csv")


def write_run(run: Run, path: Path, units: Units, said: Mapping[str, str] | None = None) -> None:
    """Write a run the way its ending says; ``said`` are the words it was asked for with, kept in a .parquet.

    Errors: as :func:`check_ending`, and :class:`InputError` where it cannot be written.
    """
    check_ending(path)
    suffix = path.suffix.lower()
    if suffix == ".csv":
        write_whole(path, run_table(run, units))
    elif suffix == ".parquet":
        write_whole(path, run_parquet(run, units, said))
    else:
        save_course(run, path, units)


def run_parquet(run: Run, units: Units, said: Mapping[str, str] | None = None) -> bytes:
    """All series as a Parquet file: the columns of the CSV, and in its metadata where they come from."""
    import pyarrow
    import pyarrow.parquet

    table = pyarrow.table(run_columns(run, units))
    out = io.BytesIO()
    pyarrow.parquet.write_table(table.replace_schema_metadata(origin(run, said)), out)
    return out.getvalue()


def origin(run: Run, said: Mapping[str, str] | None = None) -> dict[str, str]:
    """Where a run comes from: title, files with their SHA-256, version, and the words said."""
    path = run.machine.path
    told = {"title": run.machine.title, "file": path.name, "oilway version": __version__}
    hashes = sources(run.machine)
    if path.is_file():
        told["file sha256"] = hashes.pop(path.name)
    if hashes:
        told["valve files sha256"] = "\n".join(f"{name} {digest}" for name, digest in hashes.items())
    told["complete"] = "yes" if run.course.complete else "no: the run stalled"
    return told | dict(said or {})
