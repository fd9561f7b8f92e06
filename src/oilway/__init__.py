"""Oilway: hydraulic pressure controls computed from their chambers, passages, springs and oil.

The whole job in five names:
:func:`load` a file, :func:`check` it, :func:`explain` it at operating points, :func:`take_curve` of a
valve; :class:`Machine` is what they work on.
"""

from __future__ import annotations

from pathlib import Path

from oilway.errors import ImpossibleCircuit, InputError, NoSolution, OilwayError
from oilway.model.load import read_machine, read_machine_text
from oilway.model.machine import Machine
from oilway.study.check import check
from oilway.study.curve import relief_curve
from oilway.study.explain import explain
from oilway.study.reducing import reducing_curve, take_curve
from oilway.study.setting import settle

__version__ = "0.1.0"
__all__ = [
    "ImpossibleCircuit",
    "InputError",
    "Machine",
    "NoSolution",
    "OilwayError",
    "check",
    "explain",
    "load",
    "loads",
    "reducing_curve",
    "relief_curve",
    "take_curve",
]


def load(path: str | Path, changes: dict[str, str] | None = None) -> Machine:
    """Read a machine file, a valve file or a shipped valve by name, with its settings solved.

    ``changes`` replaces texts of the file: ``{"main relief.valve": "direct relief"}``.
    Errors: :class:`InputError` (file, line, what, did you mean), :class:`ImpossibleCircuit` for a setting out
    of the adjuster's reach.

    >>> load("direct relief").title
    'direct-acting relief'
    """
    return settle(read_machine(Path(path), changes))


def loads(
    text: str, name: str = "text", folder: Path | None = None, changes: dict[str, str] | None = None
) -> Machine:
    """As :func:`load`, from text; valves it names by path are looked for in ``folder``."""
    return settle(read_machine_text(text, name, folder, changes))
