"""Where numbers come from: the files a machine was read from, by their hashes, and the version that solved it."""

from __future__ import annotations

import hashlib
from pathlib import Path

from oilway.errors import InputError, Place, Problem
from oilway.model.machine import Machine


def sources(machine: Machine) -> dict[str, str]:
    """SHA-256 of every file the machine was read from, the valve files in it included, by the name of the file.

    Of two files of one name the second is called by its folder too.  A machine read from text has no file.
    """
    found: dict[str, str] = {}
    for path in dict.fromkeys(p.resolve() for p in (machine.path, *(m.valve.path for m in machine.mounted))):
        if path.is_file():
            name = path.name if path.name not in found else f"{path.parent.name}/{path.name}"
            found[name] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def check_parquet(where: Path, instead: str = "") -> None:
    """Refuse, before anything is solved, a table that could not be written for want of what writes it."""
    try:
        import pyarrow.parquet  # noqa: F401  (is it there?)
    except ImportError:
        what = "a .parquet file needs an extra that is not installed"
        raise InputError(Problem(Place(str(where)), what, f"pip install 'oilway[parquet]'{instead}")) from None
