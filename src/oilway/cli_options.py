"""What the verbs of the command line share: options, and the texts behind them."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from oilway.errors import Place
from oilway.files import write_whole

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

Port = Annotated[
    int | None,
    typer.Option(help="Port on this computer; the first free one from 8765 unless given.", min=1, max=65535),
]
Browser = Annotated[bool, typer.Option(help="Show the page in the browser at once.")]


def pairs(texts: Iterable[str] | None, option: str) -> dict[str, str]:
    """'word=value' texts of an option as a mapping."""
    from oilway.model.machine import word_pairs

    return word_pairs(texts or [], Place(option))


def point_at(machine: Machine, at: str) -> dict[str, float]:
    """The operating point that --at says."""
    return machine.point_from(pairs(at.split(","), "--at"))


def amount(text: str | None, kind: str) -> float | None:
    """The SI value of an option; none where it is left out."""
    from oilway import quantity

    return None if text is None else quantity.parse(text, kind)


def console_to(file: Any) -> Any:
    """A console that writes to a file, or to standard output: wide as the terminal, plain when piped."""
    from rich.console import Console

    target = file or sys.stdout
    width = shutil.get_terminal_size().columns if target.isatty() else 110
    return Console(file=target, width=width, soft_wrap=False, emoji=False)


def write_text(output: Path | None, draw: Any) -> None:
    """Let ``draw`` write on a console: standard output, or a file written whole."""
    if output is None:
        draw(console_to(None))
        return
    import io

    text = io.StringIO()
    draw(console_to(text))
    write_whole(output, text.getvalue())


def write_json(data: Any, output: Path | None) -> None:
    """Write plain data as JSON."""
    text = json.dumps(data, indent=2, allow_nan=False) + "\n"
    if output is None:
        sys.stdout.write(text)
    else:
        write_whole(output, text)


def end(limit_broken: bool) -> None:
    """End with status 1 where a limit is broken."""
    if limit_broken:
        raise typer.Exit(1)
