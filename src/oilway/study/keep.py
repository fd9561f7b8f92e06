"""The fault dictionary kept between runs: one file for each machine, found by what the machine is made of."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import asdict, fields
from pathlib import Path

import numpy as np

from oilway.model.machine import Machine
from oilway.study.dictionary import Bench, Dictionary, bench_of, build
from oilway.study.faults import DATA
from oilway.study.setups import Setup

LAYOUT = "5"  # of the file, and of what is computed into it: raised when either changes
FOLDER = "OILWAY_CACHE"  # environment variable: where the files go
ARRAYS = ("mean", "slope", "status", "strain", "sound_mean", "sound_slope", "loose", "sound_loose", "sound_bent")


def dictionary_of(
    machine: Machine,
    *,
    keep: bool = True,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[Bench, Dictionary, bool]:
    """Bench and fault dictionary of a machine, and whether it had to be solved.

    A kept file that cannot be read, or is of another layout, is solved anew and replaced; a folder that cannot be
    written to costs time, not the answer.  ``workers``, ``progress`` and errors: as for
    :func:`oilway.study.dictionary.build`.
    """
    if keep and (found := _read(_path(machine), machine)) is not None:
        return (*found, False)
    bench = bench_of(machine)
    dictionary = build(bench, workers, progress=progress)
    if keep:
        write_kept(machine, bench, dictionary)
    return bench, dictionary, True


def _path(machine: Machine) -> Path:
    return folder() / f"{fingerprint(machine)}.npz"


def folder() -> Path:
    """Where dictionaries are kept."""
    if said := os.environ.get(FOLDER):
        return Path(said)
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".cache")
    return Path(base) / "oilway" / "find"


def fingerprint(machine: Machine) -> str:
    """What a dictionary depends on, as a name: every value of every part, the oil, the point, the fault files."""
    digest = hashlib.sha256(LAYOUT.encode())
    for part in sorted(machine.parts.values(), key=lambda p: p.name):
        digest.update(
            repr((part.name, part.kind, sorted(part.values.items()), sorted(part.nodes.items()))).encode()
        )
    for mounted in machine.mounted:
        digest.update(repr((mounted.prefix, mounted.valve.acts_as, mounted.adjuster, mounted.setting)).encode())
    told = (machine.oil, machine.temperature, sorted(machine.point.items()), sorted(machine.trapped.items()),
            sorted((k, sorted(v.items())) for k, v in machine.points.items()), machine.set_by)  # fmt: skip
    digest.update(repr(told).encode())
    for path in sorted(DATA.glob("*.yaml")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:32]


def write_kept(machine: Machine, bench: Bench, dictionary: Dictionary) -> None:
    """Keep the dictionary of a machine; where its folder cannot be written to, nothing is kept."""
    path = _path(machine)
    told = {
        "layout": LAYOUT,
        "setups": [asdict(setup) for setup in bench.setups],
        "default": bench.default,
        "strained": dictionary.strained,
        "unsolved": dictionary.unsolved,
    }
    arrays = {name: getattr(dictionary, name) for name in ARRAYS}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".npz", delete=False) as file:
            np.savez(file, told=np.array(json.dumps(told)), **arrays)
        Path(file.name).replace(path)
    except OSError:
        return


def _read(path: Path, machine: Machine) -> tuple[Bench, Dictionary] | None:
    """Bench and dictionary from a kept file; ``None`` where there is none that fits."""
    try:
        with path.open("rb") as raw, np.load(raw, allow_pickle=False) as file:
            told = json.loads(str(file["told"]))
            arrays = {name: file[name] for name in ARRAYS}
        if told["layout"] != LAYOUT:
            return None
        setups = [_setup(item) for item in told["setups"]]
        unsolved = [(int(f), int(s), int(u), str(why)) for f, s, u, why in told["unsolved"]]
        bench = bench_of(machine, (setups, str(told["default"])))
        shape = (len(bench.faults), len(setups), len(bench.panel.offers), len(bench.wobbles))
        slope = arrays["slope"].shape
        if (slope[0], *slope[2:]) != shape:
            return None
        return bench, Dictionary(**arrays, strained=told["strained"], unsolved=unsolved)
    except (OSError, EOFError, ValueError, KeyError, TypeError, zipfile.BadZipFile):
        return None


def _setup(item: dict[str, object]) -> Setup:
    known = {field.name for field in fields(Setup)}
    if set(item) != known:
        raise ValueError("another layout")
    return Setup(**{k: tuple(v) if isinstance(v, list) else v for k, v in item.items()})  # type: ignore[arg-type]
