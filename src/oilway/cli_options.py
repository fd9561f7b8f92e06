"""What the verbs of the command line share: options, and the texts behind them."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from oilway.errors import Place

if TYPE_CHECKING:
    from oilway.model.machine import Machine


class Units(StrEnum):
    """Units of the answer."""

    shop = "shop"
    metric = "metric"


File = Annotated[
    str, typer.Argument(help="A machine file, a valve file, or the name of a shipped valve.", metavar="FILE")
]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
UnitsOption = Annotated[Units, typer.Option(help="Units of the answer: psi and gpm, or bar and L/min.")]
Output = Annotated[
    Path | None, typer.Option("-o", "--output", help="Write the answer to this file.", metavar="PATH")
]
Change = Annotated[
    list[str] | None,
    typer.Option(
        "--change",
        help="Replace a text of the file before it is read, 'part.key=text', also inside valves; may be repeated.",
        metavar="PART.KEY=TEXT",
    ),
]


def pairs(texts: Iterable[str] | None, option: str) -> dict[str, str]:
    """'word=value' texts of an option as a mapping."""
    from oilway.model.machine import word_pairs

    return word_pairs(texts or [], Place(option))


def point_at(machine: Machine, at: str) -> dict[str, float]:
    """The operating point that --at says."""
    return machine.point_from(pairs(at.split(","), "--at"))
