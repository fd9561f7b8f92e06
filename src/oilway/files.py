"""Files that Oilway writes: whole or not at all."""

from __future__ import annotations

import shutil
from pathlib import Path

from oilway.errors import InputError, Place, Problem


def write_whole(path: Path, data: str | bytes) -> None:
    """Write beside the file and put it in place whole, so that nothing is half-written.

    Errors: :class:`InputError` where it cannot be written; an older file is then left as it was.
    """
    if not path.name:
        raise _cannot(path, "it has no name")
    beside = path.with_name(path.name + ".part")
    try:
        beside.write_bytes(data.encode() if isinstance(data, str) else data)
        beside.replace(path)
    except OSError as err:
        if beside.is_file():
            beside.unlink()
        raise _cannot(path, err.strerror) from None


def copy_into(folder: Path, files: list[Path]) -> None:
    """Copy files into a folder, made if need be.  Errors: :class:`InputError` where that cannot be done."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for file in files:
            shutil.copyfile(file, folder / file.name)
    except OSError as err:
        raise _cannot(folder, err.strerror) from None


def _cannot(path: Path, why: str | None) -> InputError:
    return InputError(Problem(Place(str(path)), f"cannot be written: {why or 'the system says no'}"))
