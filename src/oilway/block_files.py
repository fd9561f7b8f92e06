"""Blocks of a spread kept in a folder as Parquet, so that what was solved once is never solved again.

Beside them stands a manifest that says what they were made from.  The same spread begun again takes what is there
and solves the rest; another one is refused, so that two never mix.  The manifest begins with an underline: readers
of a folder of Parquet files pass over such names.
"""

from __future__ import annotations

import hashlib
import io
import json
import platform
from collections.abc import Iterator, Mapping, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np

from oilway import __version__
from oilway.errors import InputError, Place, Problem
from oilway.files import write_whole
from oilway.provenance import check_parquet, sources
from oilway.study.spread_job import BLOCK, Job, Solve, one_after_another
from oilway.study.spread_work import Block

FORMAT = 1
MANIFEST = "_manifest.json"
MADE_FROM, DIGEST = "made from", "made from sha256"
NUMBER, LINE, FAILURE = "set", "line", "no result"


def kept_in(folder: Path, said: Mapping[str, str] | None = None, over: Solve = one_after_another) -> Solve:
    """Solve blocks by ``over`` and keep each in a folder as soon as it is solved; those kept before are read.

    ``said`` are the words the spread was asked for with, kept in the manifest.  Errors, before anything is solved:
    :class:`InputError` where the folder holds another spread or other files, or Parquet cannot be written.
    """
    check_parquet(folder)

    def solve(job: Job, blocks: Sequence[range]) -> Iterator[Block]:
        made_from = origin(job, blocks[-1].stop)
        _take(folder, made_from, said or {})
        mark, missing = digest(made_from), []
        for block in blocks:
            path = folder / name_of(block)
            if path.is_file():
                yield _read(path, block, mark)
            else:
                missing.append(block)
        for done in over(job, missing):
            block = range(done.first, done.first + len(done.values))
            write_whole(folder / name_of(block), _table(job, block, done, mark))
            yield done

    return solve


def origin(job: Job, number: int) -> dict[str, Any]:
    """What the numbers of a spread follow from, as plain data: two spreads with the same have the same numbers."""
    columns = "\n".join(job.machine.system.parameters).encode()
    return {
        "oilway version": __version__,
        "title": job.machine.title,
        "files sha256": sources(job.machine),
        "parameters sha256": hashlib.sha256(columns + job.written.tobytes()).hexdigest(),
        "tolerances": {t.parameter: t.reach for t in job.tolerances},
        "operating point": {**job.machine.point, **job.point},
        "run": None if job.timed is None else [
            job.timed.duration, *([c.at, c.over, c.values] for c in job.timed.changes)
        ],
        "outputs": [name for name, _ in job.outputs],
        "adjusters": "set anew" if job.anew else "keep their turns",
        "number": number,
        "sets in a block": BLOCK,
        "seed": job.seed,
    }  # fmt: skip


def digest(made_from: Mapping[str, Any]) -> str:
    """One text for all of it."""
    return hashlib.sha256(json.dumps(made_from, sort_keys=True).encode()).hexdigest()


def name_of(block: range) -> str:
    """The file of a block; sets are counted from 1."""
    return f"sets_{block.start + 1:07d}_{block.stop:07d}.parquet"


def _take(folder: Path, made_from: dict[str, Any], said: Mapping[str, str]) -> None:
    """Make the folder that of this spread, or see that it is."""
    path = folder / MANIFEST
    if not path.is_file():
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            what = "it holds other files and no manifest of a spread"
            raise InputError(Problem(Place(str(folder)), what, "name a new folder"))
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as err:
            raise InputError(Problem(Place(str(folder)), f"cannot be made: {err.strerror}")) from None
        versions = {"python": platform.python_version(), **{name: version(name) for name in ("numpy", "casadi")}}
        data = {"format": FORMAT, MADE_FROM: made_from, "made with": versions, "asked with": dict(said)}
        write_whole(path, json.dumps(data, indent=2) + "\n")
        return
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))[MADE_FROM]
    except (ValueError, KeyError, TypeError):
        what = "it is no manifest of a spread"
        raise InputError(Problem(Place(str(path)), what, "name a new folder, or delete this one")) from None
    here = json.loads(json.dumps(made_from))
    other = [key for key in here if kept.get(key) != here[key]]
    if other:
        told = "; ".join(f"{key}: {_short(kept.get(key))} there, {_short(here[key])} here" for key in other)
        hint = "name another folder; nothing in this one was changed"
        raise InputError(Problem(Place(str(folder)), f"it holds the sets of another spread: {told}", hint))


def _short(value: Any) -> str:
    text = json.dumps(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _table(job: Job, block: range, done: Block, mark: str) -> bytes:
    """A block as Parquet, SI: number of the set, what was drawn, outputs, why there is none, and the line."""
    import pyarrow
    import pyarrow.parquet

    columns = [job.machine.system.parameters[t.parameter] for t in job.tolerances]
    parts = job.sets(block.start, block.stop)[:, columns]
    table: dict[str, Any] = {NUMBER: np.arange(block.start, block.stop) + 1}
    table |= {t.parameter: parts[:, k] for k, t in enumerate(job.tolerances)}
    table |= {name: done.values[:, k] for k, (name, _) in enumerate(job.outputs)}
    table[FAILURE] = [done.failures.get(k) for k in block]
    if done.lines.shape[1]:
        table[LINE] = list(done.lines)
    told = {DIGEST: mark, "units": "SI", "outputs": json.dumps(dict(job.outputs)), "oilway version": __version__}
    out = io.BytesIO()
    schema = pyarrow.table(table).replace_schema_metadata(told)
    pyarrow.parquet.write_table(schema, out)
    return out.getvalue()


def _read(path: Path, block: range, mark: str) -> Block:
    """A block that was kept.  Errors: :class:`InputError` for a file that is not what its name says."""
    import pyarrow
    import pyarrow.parquet

    try:
        table = pyarrow.parquet.read_table(path)
        told = {k.decode(): v.decode() for k, v in (table.schema.metadata or {}).items()}
        if told.get(DIGEST) != mark or table.num_rows != len(block):
            raise ValueError
    except (ValueError, OSError, pyarrow.ArrowException):
        what = "it is not the block of this spread that its name says"
        raise InputError(Problem(Place(str(path)), what, "delete it: it is solved anew then")) from None
    names = list(json.loads(told["outputs"]))
    values = np.column_stack([table.column(name).to_numpy() for name in names])
    lines = np.empty((len(block), 0))
    if LINE in table.column_names:
        lines = table.column(LINE).combine_chunks().flatten().to_numpy().reshape(len(block), -1)
    why = {block.start + k: text for k, text in enumerate(table.column(FAILURE).to_pylist()) if text is not None}
    return Block(block.start, values, lines, why)
